"""Moving a small set of neighbouring notes from chord to chord with the least motion.

Stage:    theory (pure)
In, Out:  chords with their scales; sets of spelled pitches, lowest first
Units:    distances in semitones, note by note: lowest to lowest, and so on upwards
Source:   least total motion is the textbook rule of smooth voice leading; the order in which ties are broken (largest
          single move, then the lower set) is our own choice, so that every loop has exactly one answer
Not here: which scale goes with a chord (`harmony`)
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.errors import NoSolution
from builder.theory.harmony import Chord, Scale
from builder.theory.pitch import Pitch

PitchSet = tuple[Pitch, ...]
Cost = tuple[int, int, tuple[int, ...]]  # summed distance, summed largest moves, bottom notes: compared in this order
_LEAST_CHORD_TONES = 2


def candidates(chord: Chord, scale: Scale, size: int, low: int, high: int) -> tuple[PitchSet, ...]:
    """Every run of *size* neighbouring notes of *scale* between two MIDI notes, at least two of them chord tones."""
    pitches = scale.pitches_between(low, high)
    runs = (pitches[start : start + size] for start in range(len(pitches) - size + 1))
    return tuple(run for run in runs if sum(chord.has(pitch.name) for pitch in run) >= _LEAST_CHORD_TONES)


def sounds(notes: PitchSet) -> tuple[int, ...]:
    """The MIDI notes of a set, by which sets are compared."""
    return tuple(pitch.midi for pitch in notes)


def distance(one: PitchSet, other: PitchSet) -> tuple[int, int]:
    """How far the notes move in all, and the largest single move."""
    moves = [abs(a.midi - b.midi) for a, b in zip(one, other, strict=True)]
    return sum(moves), max(moves)


def nearest_sets(first: PitchSet, choices: Sequence[Sequence[PitchSet]], may_stay: bool) -> tuple[PitchSet, ...]:
    """Go from *first* to the nearest set of each of *choices* in turn; the result begins with *first*.

    Raises `NoSolution` when a chord has no set, or none but the one before it and *may_stay* is false.
    """
    chain = [first]
    for number, sets in enumerate(choices, start=2):
        last = chain[-1]
        allowed = [new for new in sets if may_stay or sounds(new) != sounds(last)]
        if not allowed:
            raise NoSolution(_dead_end(number, bool(sets)))
        chain.append(min(allowed, key=lambda new: (*distance(last, new), new[0].midi)))
    return tuple(chain)


def round_trip(first: PitchSet, choices: Sequence[Sequence[PitchSet]], may_stay: bool) -> tuple[PitchSet, ...]:
    """Choose one set of each of *choices* so that the loop from *first* and back to it moves least.

    Ties go to the loop with the smaller largest moves, then to the lower one. With *may_stay* false the step back
    must move too: the loop is played round and round. Raises `NoSolution` like `nearest_sets`.
    """
    if not choices:
        return (first,)
    best: dict[tuple[int, ...], tuple[Cost, tuple[PitchSet, ...]]] = {sounds(first): ((0, 0, ()), (first,))}
    for number, sets in enumerate(choices, start=2):
        reached = {sounds(new): least for new in sets if (least := _least(best, new, may_stay))}
        if not reached:
            raise NoSolution(_dead_end(number, bool(sets)))
        best = reached
    closed = _least(best, first, may_stay)
    if not closed:
        raise NoSolution("no loop of the chords' sets comes back to the first one without repeating a set")
    return closed[1][:-1]


def _least(
    best: dict[tuple[int, ...], tuple[Cost, tuple[PitchSet, ...]]], new: PitchSet, may_stay: bool
) -> tuple[Cost, tuple[PitchSet, ...]] | None:
    """The cheapest way to reach *new* from the ways known so far; None when it must move and can't."""
    ways = [
        (_extended(cost, chain[-1], new), (*chain, new))
        for key, (cost, chain) in best.items()
        if may_stay or key != sounds(new)
    ]
    return min(ways, key=lambda way: way[0], default=None)


def _extended(cost: Cost, last: PitchSet, new: PitchSet) -> Cost:
    total, largest = distance(last, new)
    return cost[0] + total, cost[1] + largest, (*cost[2], new[0].midi)


def _dead_end(number: int, has_sets: bool) -> str:
    if has_sets:
        return f"chord {number} has no set but the one before it; allow it with may-stay: true, or widen the range"
    return f"chord {number} has no set with two chord tones within the range"
