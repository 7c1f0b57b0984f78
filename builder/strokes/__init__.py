"""Rules for the picking or plucking hand, one module a kind."""

from builder.strokes.stroke_kind import StrokeKind, Struck

__all__ = ["StrokeKind", "Struck"]
