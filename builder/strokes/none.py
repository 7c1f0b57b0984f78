"""No strokes marked: fingers, or the player's choice.

Stage:    compose, answer 5 (pure)
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.strokes.stroke_kind import Given, StrokeKind, Struck, together
from builder.theory.practice import StrokeRule

EXAMPLE = """\
strokes: {rule: none}
"""


def strokes(struck: Sequence[Struck], rule: StrokeRule) -> tuple[Given, ...]:
    """Mark nothing."""
    return together([None] * len(struck), struck)


STROKES = StrokeKind(kind="none", summary="No strokes marked.", strokes=strokes, ends_alike=False, example=EXAMPLE)
