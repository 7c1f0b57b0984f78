"""From shape to shape: which fingers stay, what a change costs, the smoothest way through a row of chords.

Stage:    theory (pure)
In, Out:  the shapes each chord may take; one of each
Units:    points, the same as those of the shapes
Source:   keeping common fingers down and sliding along a string are common practice; the prices are our own choice.
          What stays is rewarded, what moves is free: else a chord would lose a string to have one finger less to move
Not here: which shapes there are (`search`)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from builder.theory.chord_shapes.shape import ChordShape

_TRAVEL = 4  # for each fret of the hand's way
_KEPT = 5  # saved by each finger that stays down: enough to choose between fingerings, not between positions
_SLID = 2  # saved by one that slides along its string


def shape_chain(choices: Sequence[Sequence[ChordShape]], loop: bool) -> tuple[ChordShape, ...]:
    """Choose one shape of each of *choices* so that holding and changing cost least, round the *loop* too if asked.

    Ties go to the shapes that stand first.
    """
    steps = [[[change_points(one, other) for other in after] for one in before] for before, after in pairwise(choices)]
    closing = [[change_points(one, other) if loop else 0 for other in choices[0]] for one in choices[-1]]
    best: tuple[int, tuple[int, ...]] | None = None
    for first in range(len(choices[0])):
        ways: dict[int, tuple[int, tuple[int, ...]]] = {first: (choices[0][first].points, (first,))}
        for shapes, prices in zip(choices[1:], steps, strict=True):
            ways = {number: _least(ways, number, shapes[number].points, prices) for number in range(len(shapes))}
        closed = min((points + closing[last][first], way) for last, (points, way) in ways.items())
        best = closed if best is None else min(best, closed)
    assert best is not None  # every chord brings at least one shape
    return tuple(shapes[number] for shapes, number in zip(choices, best[1], strict=True))


def _least(
    ways: Mapping[int, tuple[int, tuple[int, ...]]], number: int, points: int, prices: Sequence[Sequence[int]]
) -> tuple[int, tuple[int, ...]]:
    """The cheapest way to shape *number* from the ways to the shapes before it."""
    return min((cost + prices[before][number] + points, (*way, number)) for before, (cost, way) in ways.items())


def change_points(before: ChordShape, after: ChordShape) -> int:
    """The price of the way from one shape to the next, below 0 where fingers stay and the hand need not travel."""
    kept = {after.fingers[string - 1] for string in kept_fingers(before, after)}
    slid = {new for old, new in zip(before.fingers, after.fingers, strict=True) if new and old == new} - kept
    travel = abs(before.position - after.position) if any(before.fingers) and any(after.fingers) else 0
    return _TRAVEL * travel - _KEPT * len(kept) - _SLID * len(slid)


def kept_fingers(before: ChordShape, after: ChordShape) -> tuple[int, ...]:
    """Return the strings on which the same finger stays at the same fret."""
    both = zip(before.frets, before.fingers, after.frets, after.fingers, strict=True)
    return tuple(
        string
        for string, (fret, finger, next_fret, next_finger) in enumerate(both, start=1)
        if finger and (fret, finger) == (next_fret, next_finger)
    )
