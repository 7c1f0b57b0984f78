"""Which fingers can sound together, and what that costs.

Stage:    theory (pure)
In, Out:  notes that sound at one moment as `Placed`; the ways to finger those struck beside those held
Source:   hard rules are common practice: one finger, one fret; a barre only at one fret, by fingers 2 to 4 on
          neighbouring strings; nothing sounds behind a barre on a string it covers
Not here: which finger a shape gives a fret (`costs`), the choice (`search`)
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from builder.theory.fingering.costs import FINGERS, Weights, stretch_points
from builder.theory.fingering.lie import Lie


@dataclass(frozen=True, slots=True)
class Placed:
    """A note on the neck; *finger* is None while it is open to choice, 0 for an open string."""

    string: int
    fret: int
    finger: int | None


def chord_fingers(
    struck: Sequence[Placed], held: Sequence[Placed], shape: Mapping[int, tuple[int, ...]]
) -> Iterator[tuple[int, ...]]:
    """Every way to finger the *struck* notes beside the *held* ones, given the fingers of each fret in the *shape*.

    >>> a_major = [Placed(4, 2, None), Placed(3, 2, None)]
    >>> list(chord_fingers(a_major, [Placed(5, 0, 0)], {2: (2, 3)}))
    [(2, 2), (2, 3), (3, 2), (3, 3)]
    """
    for placed in _extended(list(held), list(struck), shape):
        if _barres_clear(placed):
            yield tuple(note.finger or 0 for note in placed[len(held) :])


def _extended(
    placed: list[Placed], struck: list[Placed], shape: Mapping[int, tuple[int, ...]]
) -> Iterator[list[Placed]]:
    """Add the struck notes one by one in every way that fits the notes before."""
    if not struck:
        yield placed
        return
    note = struck[0]
    for finger in shape.get(note.fret, ()) if note.fret else (0,):
        here = Placed(note.string, note.fret, finger)
        if note.finger in (None, finger) and all(_fits(here, other) for other in placed):
            yield from _extended([*placed, here], struck[1:], shape)


def _fits(a: Placed, b: Placed) -> bool:
    """Whether two fingered notes can sound together, as far as the shape has not settled it."""
    if a.string == b.string:
        return a == b  # two voices meet on one note
    if not a.finger or a.finger != b.finger:
        return True
    return a.fret == b.fret and (a.finger == 1 or abs(a.string - b.string) == 1)


def _barres_clear(placed: Sequence[Placed]) -> bool:
    """No note sounds behind a finger that lies across its string."""
    for finger in FINGERS:
        barre = [note for note in placed if note.finger == finger]
        if len(barre) < 2:
            continue
        low, high = min(note.string for note in barre), max(note.string for note in barre)
        if any(low < note.string < high and note.fret < barre[0].fret for note in placed):
            return False
    return True


def chord_points(struck: Sequence[Placed], held: Sequence[Placed], lie: Lie, weights: Weights) -> float:
    """The price of every pair of stopped notes that begins to sound together now."""
    pairs = [*combinations(struck, 2), *((a, b) for a in struck for b in held)]
    return sum(_pair_points(a, b, lie, weights) for a, b in pairs if a.finger and b.finger)


def _pair_points(a: Placed, b: Placed, lie: Lie, weights: Weights) -> float:
    """A barre, the slant of the hand, or the stretch between two fingers."""
    if a.string == b.string:
        return 0
    if a.finger == b.finger:
        return weights.barre if a.finger == 1 else weights.barre_other
    low, high = sorted((a, b), key=lambda note: note.finger or 0)
    against = weights.order if low.fret == high.fret and low.string < high.string else 0
    stretch = stretch_points(low.finger or 0, high.finger or 0, high.fret - low.fret, lie, weights)
    return against + weights.gesture * stretch
