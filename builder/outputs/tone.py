"""One sound of a practice track, before it has a tempo.

Stage:    7 write
Units:    fractions of a whole note; MIDI note numbers and velocities; what no tempo changes, in seconds
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Tone:
    """One sound. *string* 0 = of no string; *soft* = not struck, but reached by a slur.

    *arrives*: how many semitones from its pitch it begins; *leaves*: how many it moves away before it ends, towards a
    slide's next stroke; either takes *glide_s*. *delay_s*: how much later than *onset* the pick comes to its string.
    """

    onset: Fraction
    duration: Fraction
    midi: int
    velocity: int
    string: int = 0
    soft: bool = False
    arrives: int = 0
    leaves: int = 0
    glide_s: float = 0.0
    delay_s: float = 0.0
