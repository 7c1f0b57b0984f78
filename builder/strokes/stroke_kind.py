"""What a stroke rule is: the other hand's stroke for every note that is struck.

Stage:    compose, answer 5 (pure)
Not here: the kinds themselves; each is a module of this package with one constant STROKES
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from builder.theory.practice import StrokeRule
from builder.theory.score import Stroke


@dataclass(frozen=True, slots=True)
class Struck:
    """One stroke to decide: *pitch_of_string* tells which string sounds higher; *slot* counts from the barline.

    *after_rest*: a rest came before it (true for the first stroke of all).
    """

    string: int
    pitch_of_string: int
    slot: int
    after_rest: bool


@dataclass(frozen=True, slots=True)
class StrokeKind:
    """A kind of stroke rule; `strokes(struck, rule)` gives one stroke for each, None = not marked.

    *ends_alike*: a landing note that gets another stroke than its burst's first note is worth a warning.
    """

    kind: str
    summary: str
    strokes: Callable[[Sequence[Struck], StrokeRule], tuple[Stroke | None, ...]]
    ends_alike: bool
    example: str


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
