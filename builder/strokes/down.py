"""Every note with a down-stroke.

Stage:    compose, answer 5 (pure)
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.strokes.stroke_kind import StrokeKind, Struck
from builder.theory.practice import StrokeRule
from builder.theory.score import Stroke

EXAMPLE = """\
strokes: {rule: down}
"""


def strokes(struck: Sequence[Struck], rule: StrokeRule) -> tuple[Stroke | None, ...]:
    """Down, whatever comes."""
    return tuple("down" for _ in struck)


STROKES = StrokeKind(
    kind="down", summary="Every note with a down-stroke.", strokes=strokes, ends_alike=False, example=EXAMPLE
)
