"""What is asked of a chord shape, and what a shape is.

Stage:    theory (pure)
Units:    frets count from the capo; string 1 is the highest-sounding printed string; points: fewer are easier
Not here: finding one (`search`)
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from builder.theory.fretboard import Place
from builder.theory.pitch import Pitch

Bass = Literal["root", "first", "second", "third", "any"]
Frets = tuple[int | None, ...]
"""A fret for each string, string 1 first: 0 open, None not played."""

DECIMALS = 6  # of points that are compared, so that equal sums of different order are equal


@dataclass(frozen=True, slots=True)
class ShapeRequest:
    """What a shape must be.

    *strings* are those that may sound (None = all), *notes* how many must (None = as many as is good). *bass* is the
    lowest-sounding tone; `root` means the written bass of a chord such as C/E. *position* asks for stopped frets from
    there up to the hand's width, *lowest* puts the lowest-sounding note there; without either, shapes near fret *near*
    are better, 1 = near the nut. *inner_mutes* allows strings between those that sound to stay silent (plucked, not
    strummed); *rootless* lets the root go.
    """

    strings: tuple[int, ...] | None = None
    notes: int | None = None
    bass: Bass = "root"
    open_strings: bool = True
    position: int | None = None
    lowest: Place | None = None
    near: int = 1
    inner_mutes: bool = False
    rootless: bool = False


@dataclass(frozen=True, slots=True)
class Barre:
    """One finger across several strings, *first* the highest-sounding string it must press."""

    finger: int
    fret: int
    first: int
    last: int

    @property
    def strings(self) -> int:
        """How many strings lie under it."""
        return self.last - self.first + 1


@dataclass(frozen=True, slots=True)
class ChordShape:
    """A way to hold a chord; all tuples string 1 first. *fingers*: 0 open, None not played.

    *position* is the fret of finger 1's own place (1 when nothing is stopped), the upper one of two; fewer *points* are
    easier.
    """

    symbol: str
    frets: Frets
    fingers: tuple[int | None, ...]
    pitches: tuple[Pitch | None, ...]
    position: int
    points: float

    @property
    def barres(self) -> tuple[Barre, ...]:
        """Every finger on more than one string, lowest finger first."""
        laid = [(finger, [s for s, f in enumerate(self.fingers, start=1) if f == finger]) for finger in (1, 2, 3, 4)]
        return tuple(
            Barre(finger, self.frets[strings[0] - 1] or 0, strings[0], strings[-1])
            for finger, strings in laid
            if len(strings) > 1
        )

    @property
    def barre(self) -> Barre | None:
        """The barre to print: the index's before any other."""
        return next(iter(self.barres), None)

    @property
    def strings(self) -> tuple[int, ...]:
        """The strings that sound, the lowest-sounding note first."""
        sounding = [(pitch.midi, -string) for string, pitch in enumerate(self.pitches, start=1) if pitch]
        return tuple(-string for _, string in sorted(sounding))
