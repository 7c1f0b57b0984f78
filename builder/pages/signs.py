"""Which signs a study prints, so that every one of them is explained and no other.

Stage:    4 lay out (pure)
In, Out:  a `Study`; kinds of signs by the names that style.ily draws and the phrases explain
Not here: the words (shared/phrases), the drawings (templates/style.ily)
"""

from __future__ import annotations

from collections.abc import Iterator

from builder.pages.hand import barres, shifts, without_told_fingers
from builder.pages.one_staff import circled, positions
from builder.pages.phrases import Phrases
from builder.pages.staff import middle_line
from builder.remembered import by_identity
from builder.spec.plan import Notation
from builder.theory.score import Note, Rest, Study

# In the order in which pages name them: the plucking hand, the fretting hand, what stands between notes, rests.
ORDER = (
    "down",
    "up",
    "pluck",
    "accent",
    "finger",
    "guide",
    "string",
    "position",
    "barre",
    "half-barre",
    "shape",
    "kept",
    "hammer-on",
    "pull-off",
    "slide",
    "bend",
    "release",
    "harmonic",
    "cue",
)
# Those of single notes struck with a pick, which fit beside the instruction on one line.
SHORT = frozenset({"down", "up", "accent", "finger", "cue"})
# Those around the music that are on every page.
ALWAYS = frozenset({"start-disc", "used-disc", "band", "circles"})
_LEDGER_LINES = 3  # more than this is hard to count: print an octave lower (our own choice)


@by_identity
def signs_of(study: Study, notation: Notation) -> frozenset[str]:
    """The kinds of all signs that stand in the music of *study* in this notation."""
    found = {sign for event in study.events if isinstance(event, Note) for sign in _of_note(event, study)}
    found |= {"cue" for event in study.events if isinstance(event, Rest) and event.checkpoint}
    found |= {"barre" if barre.full else "half-barre" for barre in barres(study)}
    found |= {"position" for _ in (positions if notation == "staff" else shifts)(study)[:1]}
    found |= {"string" for _ in circled(study) if notation == "staff"}
    return frozenset(found | {"shape" for _ in study.shapes[:1]})


@by_identity
def book_signs(study: Study, notation: Notation) -> frozenset[str]:
    """The kinds that the book explains for *study*: those of its music, an octave line, repeats."""
    around = {"repeat": study.repeats, "octave": notation != "tab" and bool(octave_up(study))}
    return signs_of(without_told_fingers(study), notation) | {kind for kind, there in around.items() if there}


def drawn(kind: str, phrases: Phrases) -> str:
    """What stands for *kind* where it is explained: a kind that style.ily draws, or a word as found in the music."""
    return phrases("cue-sample") if kind == "cue" else kind


def _of_note(note: Note, study: Study) -> Iterator[str]:
    if note.stroke:
        yield note.stroke if note.stroke in ("down", "up") else "pluck"
    if note.accent:
        yield "accent"
    if note.finger_printed:
        yield "finger"
        yield from ("guide",) if note.guide else ()
    if note.kept and study.shapes:
        yield "kept"
    if note.technique == "bend":
        fret = study.instrument.open_midi(note.string) + note.fret
        yield "bend" if note.pitch.midi > fret else "release"
    elif note.technique:
        yield note.technique


def octave_up(study: Study) -> frozenset[int]:
    """The bars to print under an 8va line: those with too many ledger lines, and a bar between two of them.

    Printed an octave lower, no note may fall below the staff: what was gained above would be lost there.
    """
    middle = middle_line(study.instrument.clef)
    top, lowest = middle + 4, middle - 4
    steps: dict[int, list[int]] = {bar: [] for bar in range(1, study.bars + 1)}
    for event in study.events:
        if isinstance(event, Note):
            steps[event.bar].append(event.pitch.step)
    able = {bar for bar, found in steps.items() if all(step - 7 >= lowest for step in found)}
    high = {bar for bar in able if any((step - top) // 2 > _LEDGER_LINES for step in steps[bar])}
    return frozenset(high | {bar for bar in able if bar - 1 in high and bar + 1 in high})
