"""Down and up in turn.

Stage:    compose, answer 5 (pure)
Source:   common practice
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.strokes.stroke_kind import Given, StrokeKind, Struck, beginning, other, together
from builder.theory.practice import StrokeRule
from builder.theory.score import Stroke

EXAMPLE = """\
strokes: {rule: alternate, first: down, after-rest: reset}
"""


def strokes(struck: Sequence[Struck], rule: StrokeRule) -> tuple[Given, ...]:
    """Alternate; `after-rest` says what happens behind a rest; on the grid every slot has its stroke."""
    given: list[Stroke | None] = []
    previous: Stroke | None = None
    for one in struck:
        if rule.after_rest == "grid":
            previous = "up" if one.slot % 2 else "down"
        else:
            previous = beginning(one, previous, rule) or other(previous or rule.first)
        given.append(previous)
    return together(given, struck)


STROKES = StrokeKind(
    kind="alternate",
    summary="Down and up in turn.",
    strokes=strokes,
    ends_alike=True,
    example=EXAMPLE,
)
