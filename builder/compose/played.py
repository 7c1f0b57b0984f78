"""A sound with its place on the neck, as both hands come to it.

Stage:    compose (pure)
Not here: where sounds are placed (`placing`), what is prescribed for single ones (`overrides`)
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from builder.materials import Sound
from builder.theory.fretboard import Place
from builder.theory.pitch import Pitch
from builder.theory.rhythm import Slot


@dataclass(frozen=True, slots=True)
class Played:
    """A sound that is struck: the first slot it fills, how long it sounds in all, where it lies.

    *first* and *lands* say whether it opens or ends a burst; *fresh* that nothing sounded just before it. *held* is
    how long its finger stays down, longer than the note lasts where it rings on. *sound* is what the material gave.
    """

    voice: int
    slot: Slot
    duration: Fraction
    sound: Sound
    place: Place
    finger: int | None
    first: bool
    lands: bool
    fresh: bool
    held: Fraction

    @property
    def pitch(self) -> Pitch:
        """What sounds."""
        return self.sound.pitch
