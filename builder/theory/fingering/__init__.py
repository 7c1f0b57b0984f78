"""The fretting hand: which finger plays each stopped note, as the path of least cost.

Stage:    theory (pure)
In, Out:  `Stop`s whose strings and frets are settled (`finger_passage`), or `Moment`s of notes that may lie anywhere
          (`finger_freely`); a `Fingering` with its marks, or NoSolution with a reason for the player
Not here: walking the neck by a rule (`paths`), which fingers the page shows (`compose`)
"""

from builder.theory.fingering.grips import Grips
from builder.theory.fingering.lie import NARROW_WIDTH, Lie, lie_of
from builder.theory.fingering.moments import FreeNote, Moment
from builder.theory.fingering.postures import Reach
from builder.theory.fingering.search import FreeFingering, NeckLimits, finger_freely
from builder.theory.fingering.settled import finger_passage
from builder.theory.fingering.states import Barre, Fingering, ReachClass, Stop, reach_class
from builder.theory.fingering.weights import Weights, weights_from

__all__ = [
    "NARROW_WIDTH",
    "Barre",
    "Fingering",
    "FreeFingering",
    "FreeNote",
    "Grips",
    "Lie",
    "Moment",
    "NeckLimits",
    "Reach",
    "ReachClass",
    "Stop",
    "Weights",
    "finger_freely",
    "finger_passage",
    "lie_of",
    "reach_class",
    "weights_from",
]
