"""From shape to shape: which fingers stay, what a change costs, the smoothest way through a row of chords.

Stage:    theory (pure)
In, Out:  the shapes each chord may take; one of each
Units:    points, the same as those of the shapes
Source:   keeping common fingers down and sliding along a string are common practice
Not here: which shapes there are (`search`)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from builder.theory.chord_shapes.shape import DECIMALS, ChordShape
from builder.theory.fingering import Weights


def shape_chain(choices: Sequence[Sequence[ChordShape]], loop: bool, weights: Weights) -> tuple[ChordShape, ...]:
    """Choose one shape of each of *choices* so that holding and changing cost least, round the *loop* too if asked.

    Ties go to the shapes that stand first.
    """
    steps = [_steps(before, after, weights) for before, after in pairwise(choices)]
    closing = _steps(choices[-1], choices[0], weights) if loop else [[0.0] * len(choices[0])] * len(choices[-1])
    best: tuple[float, tuple[int, ...]] | None = None
    for first in range(len(choices[0])):
        ways: dict[int, tuple[float, tuple[int, ...]]] = {first: (choices[0][first].points, (first,))}
        for shapes, step in zip(choices[1:], steps, strict=True):
            ways = {number: _least(ways, number, shapes[number].points, step) for number in range(len(shapes))}
        closed = min((round(points + closing[last][first], DECIMALS), way) for last, (points, way) in ways.items())
        best = closed if best is None else min(best, closed)
    assert best is not None  # every chord brings at least one shape
    return tuple(shapes[number] for shapes, number in zip(choices, best[1], strict=True))


def _steps(before: Sequence[ChordShape], after: Sequence[ChordShape], weights: Weights) -> list[list[float]]:
    """The price of each way from one chord's shapes to the next one's."""
    return [[change_points(one, other, weights) for other in after] for one in before]


def _least(
    ways: Mapping[int, tuple[float, tuple[int, ...]]], number: int, points: float, step: Sequence[Sequence[float]]
) -> tuple[float, tuple[int, ...]]:
    """The cheapest way to shape *number* from the ways to the shapes before it."""
    arrivals = ((cost + step[before][number] + points, (*way, number)) for before, (cost, way) in ways.items())
    return min((round(cost, DECIMALS), way) for cost, way in arrivals)


def change_points(before: ChordShape, after: ChordShape, weights: Weights) -> float:
    """The price of the way from one shape to the next, below 0 where fingers stay and the hand need not travel."""
    kept = {after.fingers[string - 1] for string in kept_fingers(before, after)}
    slid = {new for old, new in zip(before.fingers, after.fingers, strict=True) if new and old == new} - kept
    travel = abs(before.position - after.position) if any(before.fingers) and any(after.fingers) else 0
    return weights.grip_travel * travel - weights.grip_kept * len(kept) - weights.grip_slid * len(slid)


def kept_fingers(before: ChordShape, after: ChordShape) -> tuple[int, ...]:
    """Return the strings on which the same finger stays at the same fret."""
    both = zip(before.frets, before.fingers, after.frets, after.fingers, strict=True)
    return tuple(
        string
        for string, (fret, finger, next_fret, next_finger) in enumerate(both, start=1)
        if finger and (fret, finger) == (next_fret, next_finger)
    )
