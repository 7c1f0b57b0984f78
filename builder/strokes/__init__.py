"""Rules for the picking or plucking hand, one module a kind."""

from builder.strokes.stroke_kind import Given, StrokeKind, Struck, StruckNote

__all__ = ["Given", "StrokeKind", "Struck", "StruckNote"]
