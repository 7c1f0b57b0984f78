"""The fretting hand: which finger plays each stopped note, as the path of least cost.

Stage:    theory (pure)
In, Out:  `Stop`s whose strings and frets are settled; a `Fingering`, or NoSolution with a reason for the player
Not here: choosing strings and frets (`paths`), which fingers the page shows (`compose`)
"""

from builder.theory.fingering.costs import NARROW_WIDTH, Weights, weights_from
from builder.theory.fingering.search import finger_passage
from builder.theory.fingering.states import Fingering, ReachClass, Stop, reach_class

__all__ = [
    "NARROW_WIDTH",
    "Fingering",
    "ReachClass",
    "Stop",
    "Weights",
    "finger_passage",
    "reach_class",
    "weights_from",
]
