"""The plucking fingers by string: thumb on the basses, i m a on the trebles.

Stage:    compose, answer 5 (pure)
Source:   common practice: p plays strings 4 and lower, i m a rest on strings 3 2 1; no finger plays two notes running,
          so on one string neighbours take turns, and on a bass string the index answers the thumb as lutenists had it;
          more than four notes at once are swept with the thumb
Not here: patterns on held chords, whose letters the material brings along (`materials.right_hand`)
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.strokes.stroke_kind import Given, StrokeKind, Struck
from builder.theory.practice import StrokeRule
from builder.theory.score import Stroke

EXAMPLE = """\
strokes: {rule: pima}
"""

_FIRST_BASS = 4
_MOST_AT_ONCE = 4
# The fingers for a single note on a string, the one at home there first.
_ON_STRING: dict[int, tuple[Stroke, ...]] = {1: ("a", "m", "i"), 2: ("m", "i", "a"), 3: ("i", "m", "a")}
_THUMB: Stroke = "p"
_ON_BASS: tuple[Stroke, ...] = (_THUMB, "i", "m")
# The fingers for so many notes at once on the trebles, lowest first.
_TOGETHER: dict[int, tuple[Stroke, ...]] = {0: (), 1: ("m",), 2: ("i", "m"), 3: ("i", "m", "a")}


def strokes(struck: Sequence[Struck], rule: StrokeRule) -> tuple[Given, ...]:
    """Keep the letters a material brings; else choose by string, no finger twice running unless notes come together."""
    given: list[Given] = []
    before: tuple[Stroke | None, ...] = ()
    for one in struck:
        planned = tuple(note.pluck for note in one.notes)
        if not all(letter in ("p", "i", "m", "a") for letter in planned):
            planned = _single(one.string, before) if len(one.notes) == 1 else _chord(one)
            planned = _by_string(planned, one)
        given.append(Given(planned))
        before = planned
    return tuple(given)


def _single(string: int, before: Sequence[Stroke | None]) -> tuple[Stroke, ...]:
    """The finger nearest home that did not play just now."""
    choices = _ON_BASS if string >= _FIRST_BASS else _ON_STRING[string]
    free: tuple[Stroke, ...] = tuple(finger for finger in choices if finger not in before)
    return free[:1] or choices[:1]


def _by_string(letters: tuple[Stroke, ...], one: Struck) -> tuple[Stroke, ...]:
    """Fingers do not cross: on a re-entrant tuning the lowest note is not on the lowest string."""
    order = sorted(range(len(one.notes)), key=lambda k: -one.notes[k].string)
    given = dict(zip(order, letters, strict=True))
    return tuple(given[k] for k in range(len(one.notes)))


def _chord(one: Struck) -> tuple[Stroke, ...]:
    """The fingers of notes that begin together, lowest first."""
    count = len(one.notes)
    if count > _MOST_AT_ONCE:
        return tuple(_THUMB for _ in one.notes)
    # The thumb takes the lowest note where it lies on a bass string, or where three fingers are not enough.
    lowest = max(note.string for note in one.notes)
    thumb = (_THUMB,) if lowest >= _FIRST_BASS or count == _MOST_AT_ONCE else ()
    return thumb + _TOGETHER[count - len(thumb)]


STROKES = StrokeKind(
    kind="pima",
    summary="Thumb on strings 4 and lower, i m a on the others, no finger twice running.",
    strokes=strokes,
    ends_alike=False,
    example=EXAMPLE,
)
