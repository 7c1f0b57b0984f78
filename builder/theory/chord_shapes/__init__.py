"""The ways to hold a chord on a fretted instrument, best first, and the smoothest way through a row of chords.

Stage:    theory (pure)
In, Out:  a chord, an instrument, a hand, a request; `ChordShape`s, or NoSolution with a reason for the player
Not here: chord symbols (`harmony`), fingers of a passage (`fingering`), what is played on a shape (`materials`)
"""

from builder.theory.chord_shapes.changes import change_points, kept_fingers, shape_chain
from builder.theory.chord_shapes.prices import ShapePrices, shape_prices_from
from builder.theory.chord_shapes.search import chord_shapes, given_shapes
from builder.theory.chord_shapes.shape import Barre, Bass, ChordShape, Frets, ShapeRequest

__all__ = [
    "Barre",
    "Bass",
    "ChordShape",
    "Frets",
    "ShapePrices",
    "ShapeRequest",
    "change_points",
    "chord_shapes",
    "given_shapes",
    "kept_fingers",
    "shape_chain",
    "shape_prices_from",
]
