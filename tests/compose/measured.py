"""Exercises to measure: the shortest specs that show one difficulty each."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from builder.compose import compose
from builder.composing import knowledge_from
from builder.spec import load_library, read_exercise
from builder.theory.score import Metrics, Study

LIBRARY = load_library()
KNOWLEDGE = knowledge_from(LIBRARY)
MODEL = KNOWLEDGE.difficulty

Spec = dict[str, str]
Make = Callable[..., Study]


def study_of(folder: Path, keys: Spec) -> Study:
    """The one study of an exercise."""
    path = folder / "quay.yaml"
    whole = {
        "title": "Quay",
        "tempo": "{from: 60, to: 60, steps: 1}",
        "checkpoints": "{at: none}",
        **keys,
    }
    path.write_text("".join(f"{key}: {value}\n" for key, value in whole.items()), encoding="utf-8")
    spec = read_exercise(path, LIBRARY, None, None)
    assert not spec.problems, "\n".join(map(str, spec.problems))
    composition = compose(spec.exercises[0], KNOWLEDGE)
    assert not composition.problems, "\n".join(map(str, composition.problems))
    (study,) = composition.studies
    return study


def points(metrics: Metrics) -> dict[str, float]:
    return {part.term: part.points for part in metrics.parts}


def at(string: int, fret: int, **neck: str) -> str:
    more = "".join(f"{key.replace('_', '-')}: {value}, " for key, value in {"path": "position", **neck}.items())
    return f"{{{more}start: {{places: [{{string: {string}, fret: {fret}}}]}}}}"


def fingers(pattern: str, strings: str, place: tuple[int, int], **keys: str) -> Spec:
    """A pattern of fingers over strings, sixteenths without a rest."""
    more = keys.pop("more", "")
    return {
        "key": "C major",
        "material": f"{{kind: fingers, pattern: {pattern}, strings: {strings}{more}}}",
        "rhythm": "{meter: 4/4, notes-per-beat: 4, rest: none}",
        "neck": at(*place),
    } | keys


def written(place: tuple[int, int], *voices: str, **keys: str) -> Spec:
    """Notes written out; the place is that of the first, lowest note."""
    texts = ", ".join(f'"{voice}"' for voice in voices)
    return {
        "key": "C major",
        "material": f"{{kind: notes, voices: [{texts}]}}",
        "rhythm": "{meter: 4/4}",
        "neck": at(*place, shift_in_burst="true"),
    } | keys


def scale(place: tuple[int, int], count: int, **keys: str) -> Spec:
    """A line of the key of C major, eighths without a rest."""
    return {
        "key": "C major",
        "material": f"{{kind: scale, notes: {count}}}",
        "rhythm": "{meter: 4/4, notes-per-beat: 2, rest: none}",
        "neck": at(*place),
    } | keys


PICKED = "{rule: alternate, first: down}"
P_I_M_A = "{rule: fingers, order: [p, i, m, a]}"
I_M = "{rule: fingers, order: [i, m]}"
P_I = "{rule: fingers, order: [p, i]}"


def broken_chord(place: tuple[int, int], bass: str, i: str, m: str, a: str) -> Spec:
    """A chord of four strings, each note, `pitch length string finger`, kept to the end of the bar."""
    voices = (f"rest 3/4, {a}", f"rest 1/2, {m}", f"rest 1/4, {i}", bass)
    return written(place, *voices, strokes=P_I_M_A)


def plucked(place: tuple[int, int], chords: str, more: str = "") -> Spec:
    """p i m a m i on held chords, triplets without a rest."""
    return {
        "key": "C major",
        "material": f"{{kind: right-hand, chords: {chords}, pattern: [p, i, m, a, m, i], times: 2{more}}}",
        "rhythm": "{meter: 4/4, notes-per-beat: 3, rest: none}",
        "neck": f"{{start: {{places: [{{string: {place[0]}, fret: {place[1]}}}]}}}}",
        "strokes": "{rule: pima}",
    }


def strummed(place: tuple[int, int], chords: str) -> Spec:
    """Two chords in turn, four strokes each."""
    return {
        "key": "C major",
        "material": f"{{kind: chord-changes, chords: {chords}, beats: 4}}",
        "rhythm": "{meter: 4/4, notes-per-beat: 1, rest: none}",
        "neck": f"{{start: {{places: [{{string: {place[0]}, fret: {place[1]}}}]}}}}",
        "strokes": "{rule: strum, pattern: [down, up]}",
    }


WALK = fingers("[1, 2, 3, 4]", "[3]", (3, 5))
TRILL = "{rule: legato, pluck: [1], pluck-in: string}"
C_CHORD = "C3+E3+G3+C4+E4 1/1@5+4+3+2+1"
A_MINOR = "A2+E3+A3+C4+E4 1/1@5+4+3+2+1"
G_CHORD = "G2+B2+D3+G3+B3+G4 1/1@6+5+4+3+2+1"
