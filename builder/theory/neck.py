"""What an exercise says about the neck: how to walk it and where to start; who plays.

Stage:    theory (pure)
Not here: walking it (`paths`)
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from builder.theory.chord_shapes import ShapePrices
from builder.theory.fingering import Weights
from builder.theory.fretboard import Hand, Instrument, Place
from builder.theory.pitch import NoteName, Pitch


@dataclass(frozen=True, slots=True)
class Player:
    """Who plays: an instrument, a hand, and what that hand finds hard: in passages, and in chords it holds."""

    instrument: Instrument
    hand: Hand
    weights: Weights
    prices: ShapePrices


@dataclass(frozen=True, slots=True)
class NeckRule:
    """The answer to "where": *path* is a registered kind; *count* is N of `per-string`, else None.

    *strings* fixes the strings in the path's own sense; *position* None = the best one;
    *open_strings* None = only in position 1; *shift_on* are the strings on which the hand may move within a burst,
    None = any. *note* None = the material's own first note; *places* `each-string`, `every-place`, or the places
    themselves.
    """

    path: str
    count: int | None = None
    strings: tuple[int, ...] | None = None
    position: int | None = None
    open_strings: bool | None = None
    shift_in_burst: bool = False
    note: NoteName | Pitch | None = None
    places: Literal["each-string", "every-place"] | tuple[Place, ...] = "each-string"
    shift_on: tuple[int, ...] | None = None
