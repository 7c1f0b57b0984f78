"""What the fretting hand is asked for where places are settled, and what it answers: stops, fingerings.

Stage:    theory (pure)
In, Out:  `Stop`s of a passage; its `Fingering`
Units:    onsets and durations are fractions of a whole note; string 1 sounds highest; finger 0 = open string
Source:   the three classes of reach come from the hand profiles of the product contract, our own choice until a
          published percentile of fretting reach is found
Not here: the choice itself (`search`)
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from builder.theory.fretboard import Hand

ReachClass = Literal["comfortable", "stretch", "refused"]


@dataclass(frozen=True, slots=True)
class Stop:
    """A sounding note to finger; its string and fret are settled already.

    *index* is the caller's own number for the note; *finger* is fixed where someone wrote it, else None;
    *new_hand* says that a burst begins with this note: the hand may take a new place before it.
    """

    index: int
    onset: Fraction
    duration: Fraction
    string: int
    fret: int
    finger: int | None = None
    new_hand: bool = False

    @property
    def end(self) -> Fraction:
        """When the note stops sounding."""
        return self.onset + self.duration


@dataclass(frozen=True, slots=True)
class Barre:
    """A finger that lies over *strings* (the highest-sounding and the lowest) while notes of both sound.

    *notes* are the numbers of the stops it presses, in order of onset.
    """

    finger: int
    fret: int
    strings: tuple[int, int]
    notes: tuple[int, ...]
    onset: Fraction
    until: Fraction


@dataclass(frozen=True, slots=True)
class Fingering:
    """The least-cost fingering of a passage; the tuples stand in the order of the stops that were given.

    *positions* holds the fret under finger 1 while the note sounds; with an open note, the place the hand keeps.
    *shapes* numbers the hand's shapes (position, frets and their fingers) in order of first appearance: equal
    numbers, equal fingers. *shifts_in_burst* counts moves to another position with no silence to make them in.
    *guides* are pairs of notes between which a finger slides along its string into a new position; *stretches* the
    notes that open the hand wider than one finger a fret; all are numbers of stops.
    """

    fingers: tuple[int, ...]
    positions: tuple[int, ...]
    shapes: tuple[int, ...]
    cost: float
    widest_reach_mm: float
    shifts_in_burst: int
    guides: tuple[tuple[int, int], ...] = ()
    stretches: tuple[int, ...] = ()
    barres: tuple[Barre, ...] = ()

    @property
    def first_uses(self) -> tuple[int, ...]:
        """The notes at which a hand shape is taken for the first time.

        >>> Fingering((1, 2, 1, 2), (5, 5, 7, 7), (0, 0, 1, 1), 0.0, 0.0, 1).first_uses
        (0, 2)
        """
        return tuple(self.shapes.index(shape) for shape in sorted(set(self.shapes)))


def reach_class(reach_mm: float, hand: Hand) -> ReachClass:
    """Say how *hand* takes a reach: at ease, by a stretch, or not at all.

    >>> medium = Hand("medium", 98, 127)
    >>> [reach_class(reach, medium) for reach in (97.31, 126.18, 129.69)]
    ['comfortable', 'stretch', 'refused']
    """
    if reach_mm <= hand.comfort_mm:
        return "comfortable"
    return "stretch" if reach_mm <= hand.limit_mm else "refused"
