"""The stroke goes on in the direction of the string change.

Stage:    compose, answer 5 (pure)
Source:   common practice: to a higher-pitched string down, to a lower-pitched string up, on one string in turn
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.strokes.stroke_kind import Given, StrokeKind, Struck, beginning, other, together
from builder.theory.practice import StrokeRule
from builder.theory.score import Stroke

EXAMPLE = """\
strokes: {rule: economy, first: down, ends: same}
"""


def strokes(struck: Sequence[Struck], rule: StrokeRule) -> tuple[Given, ...]:
    """Sweep on at a string change, alternate on a string."""
    given: list[Stroke | None] = []
    previous: Stroke | None = None
    before: Struck | None = None
    for one in struck:
        previous = beginning(one, previous, rule) or _onward(before, one, previous or rule.first)
        given.append(previous)
        before = one
    return together(given, struck)


def _onward(before: Struck | None, one: Struck, previous: Stroke) -> Stroke:
    """The stroke from one note to the next."""
    if before is None or before.string == one.string:
        return other(previous)
    return "down" if one.pitch_of_string > before.pitch_of_string else "up"


STROKES = StrokeKind(
    kind="economy",
    summary="At a string change the stroke goes on in its direction; on one string down and up in turn.",
    strokes=strokes,
    ends_alike=False,
    example=EXAMPLE,
)
