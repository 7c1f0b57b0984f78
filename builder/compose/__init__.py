"""The five answers in order: an `ExercisePlan` becomes a `Composition`."""

from builder.compose.composition import Composition, Knowledge, compose

__all__ = ["Composition", "Knowledge", "compose"]
