"""What a stroke rule is: the other hand's stroke for every note that is struck.

Stage:    compose, answer 5 (pure)
Not here: the kinds themselves; each is a module of this package with one constant STROKES
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from builder.theory.practice import StrokeRule
from builder.theory.score import Stroke, Technique


@dataclass(frozen=True, slots=True)
class StruckNote:
    """One note of those struck together: *pluck* is the letter its material asks for; *finger* stops the string, the
    hand being in *position*."""

    string: int
    fret: int
    finger: int
    midi: int
    voice: int
    pluck: Stroke | None = None
    position: int = 1


@dataclass(frozen=True, slots=True)
class Struck:
    """One stroke to decide, for notes that begin together, lowest first.

    *pitch_of_string* is what the open string of the lowest note sounds; *slot* counts from the barline, *beat* is true
    on a beat. *after_rest*: a rest came before it (true for the first stroke of all); *first* and *lands* say whether
    it opens or ends a burst.
    """

    notes: tuple[StruckNote, ...]
    pitch_of_string: int
    slot: int
    after_rest: bool
    first: bool
    lands: bool
    beat: bool

    @property
    def string(self) -> int:
        """The string of the lowest note."""
        return self.notes[0].string


@dataclass(frozen=True, slots=True)
class Given:
    """The answer for one `Struck`: a stroke a note, or none of it where the notes are *slurred* to those before.

    *technique* says how a slurred note is reached.
    """

    strokes: tuple[Stroke | None, ...]
    slurred: bool = False
    technique: Technique | None = None


@dataclass(frozen=True, slots=True)
class StrokeKind:
    """A kind of stroke rule; `strokes(struck, rule)` answers each, and raises NoSolution where it can't be done.

    *ends_alike*: a landing note that gets another stroke than its burst's first note is worth a warning.
    *materials* are the kinds of material it makes sense for, None = any; *needed* are the keys it can't do without,
    *used* all of its own that it reads.
    """

    kind: str
    summary: str
    strokes: Callable[[Sequence[Struck], StrokeRule], tuple[Given, ...]]
    ends_alike: bool
    example: str
    materials: frozenset[str] | None = None
    needed: tuple[str, ...] = ()
    used: frozenset[str] = frozenset()


def together(strokes: Sequence[Stroke | None], struck: Sequence[Struck]) -> tuple[Given, ...]:
    """Answers in which notes that begin together share one stroke."""
    return tuple(Given((stroke,) * len(one.notes)) for stroke, one in zip(strokes, struck, strict=True))


def other(stroke: Stroke) -> Stroke:
    """Up after down, down after up."""
    return "up" if stroke == "down" else "down"


def beginning(struck: Struck, previous: Stroke | None, rule: StrokeRule) -> Stroke | None:
    """The stroke that `after-rest` settles for *struck*, or None where it leaves the choice to the rule."""
    if rule.after_rest == "grid" and struck.after_rest:
        return "up" if struck.slot % 2 else "down"
    if previous is None or (struck.after_rest and rule.after_rest == "reset"):
        return rule.first
    return None
