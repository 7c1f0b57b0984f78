"""The plucking fingers in turn, as on bass and in classical scales.

Stage:    compose, answer 5 (pure)
Source:   common practice: i and m in turn, no finger twice running
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.errors import NoSolution
from builder.strokes.stroke_kind import Given, StrokeKind, Struck, together
from builder.theory.practice import StrokeRule
from builder.theory.score import Stroke

EXAMPLE = """\
strokes: {rule: fingers, order: [i, m], after-rest: reset}
"""


def strokes(struck: Sequence[Struck], rule: StrokeRule) -> tuple[Given, ...]:
    """Take the fingers of `order` in turn; `after-rest` says whether a rest begins it anew."""
    given: list[Stroke] = []
    turn = 0
    for k, one in enumerate(struck):
        if len(one.notes) > 1:
            reason = f"{len(one.notes)} notes at once need as many plucking fingers; take the rule pima"
            raise NoSolution(reason, ("strokes", "rule"), (k,))
        if rule.after_rest == "grid":
            turn = one.slot
        elif one.after_rest and rule.after_rest == "reset":
            turn = 0
        given.append(rule.order[turn % len(rule.order)])
        turn += 1
    return together(given, struck)


STROKES = StrokeKind(
    kind="fingers",
    summary="The plucking fingers in turn: i and m unless another order is given.",
    strokes=strokes,
    ends_alike=False,
    example=EXAMPLE,
    used=frozenset({"order"}),
)
