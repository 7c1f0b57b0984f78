"""Which frets lie under each finger of a hand at ease.

Stage:    theory (pure)
In, Out:  an instrument; the frets of fingers 1 to 4, counted from the hand's position
Units:    frets from the position, the fret under finger 1; half frets where two fingers share a place
Source:   a finger a fret, on a bass 1-2-4, on a mandolin two frets a finger as on a violin (1 on frets 1 and 2, 2 on 3
          and 4, 3 on 5 and 6, 4 on 7, open strings between): common practice
Not here: what it costs to leave these frets (`costs`, `postures`)
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor

from builder.theory.fretboard import Instrument

NARROW_WIDTH = 3  # the widest position in which fingers 3 and 4 share a fret


@dataclass(frozen=True, slots=True)
class Lie:
    """The frets at ease from *low* to *high*, and the frets a settled hand gives each finger; index 0 stands for none.

    *settled* holds for each finger its own frets and, by a stretch, the next. Any two shapes that keep to these with
    finger 1 on its place can follow one another without a higher fret ever having a lower finger.
    """

    low: tuple[float, ...]
    high: tuple[float, ...]
    settled: tuple[tuple[int, ...], ...]

    @property
    def leans(self) -> bool:
        """Whether a finger has more than one fret."""
        return self.low != self.high

    def frets(self, finger: int) -> range:
        """The whole frets of a finger, counted from the position; one that lies between two has the lower."""
        return range(floor(self.low[finger]), floor(self.high[finger]) + 1)

    def room(self, finger: int) -> int:
        """How many whole frets a finger has at ease below its highest."""
        return int(self.high[finger] - self.low[finger])

    def narrowest(self, low_finger: int, high_finger: int) -> float:
        """The fewest frets between two fingers that don't crowd them."""
        return self.low[high_finger] - self.high[low_finger]

    def widest(self, low_finger: int, high_finger: int) -> float:
        """The most frets between two fingers without a stretch."""
        return self.high[high_finger] - self.low[low_finger]

    def off(self, finger: int, fret: int) -> float:
        """How far *fret*, counted from the position, lies outside a finger's own: below it negative, above positive."""
        return min(0.0, fret - self.low[finger]) + max(0.0, fret - self.high[finger])

    def opens(self, low_finger: int, high_finger: int, frets: int) -> bool:
        """Whether *frets* between two fingers are more than they cover in whole frets."""
        return frets > ceil(self.widest(low_finger, high_finger))

    def own_finger(self, fret: int) -> int | None:
        """The finger that has *fret*, counted from the position, to itself; None beyond them all."""
        return next((finger for finger in (1, 2, 4, 3) if self.low[finger] <= fret <= self.high[finger]), None)


_WIDE_OWN = (0.0, 0.0, 1.0, 2.0, 3.0)
_NARROW_OWN = (0.0, 0.0, 1.0, 1.5, 2.0)  # 1-2-4 lies at ease, finger 3 half a fret off
WIDE = Lie(_WIDE_OWN, _WIDE_OWN, ((), (0,), (1, 2), (2, 3), (3, 4)))
NARROW = Lie(_NARROW_OWN, _NARROW_OWN, ((), (0,), (1, 2), (2,), (2, 3)))
# A first position has finger 1 a whole tone above the open string; it draws back from there for half a step.
PAIRED = Lie((0.0, -1.0, 1.0, 3.0, 5.0), (0.0, 0.0, 2.0, 4.0, 5.0), ((), (-1, 0), (1, 2), (3, 4), (5, 6)))


def lie_of(instrument: Instrument) -> Lie:
    """Return how a hand lies on *instrument*."""
    if instrument.frets_per_finger > 1:
        return PAIRED
    return NARROW if instrument.position_width <= NARROW_WIDTH else WIDE
