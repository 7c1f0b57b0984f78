"""Every note with a down-stroke.

Stage:    compose, answer 5 (pure)
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.strokes.stroke_kind import Given, StrokeKind, Struck, together
from builder.theory.practice import StrokeRule

EXAMPLE = """\
strokes: {rule: down}
"""


def strokes(struck: Sequence[Struck], rule: StrokeRule) -> tuple[Given, ...]:
    """Down, whatever comes."""
    return together(["down"] * len(struck), struck)


STROKES = StrokeKind(
    kind="down", summary="Every note with a down-stroke.", strokes=strokes, ends_alike=False, example=EXAMPLE
)
