"""What a fingering costs: the hand's shapes, the gaps between fingers, the moves.

Stage:    theory (pure)
In, Out:  weights; frets and fingers; points
Units:    points, whole numbers in the weights, so that equal costs compare equal; distances in frets
Source:   the factors follow Heijink and Meulenbroek, J. Motor Behavior 34(4), 2002, 339–351 (travel, spread) and
          S. Sayegh, Computer Music Journal 13(3), 1989 (along and across the strings); the weights and their
          reasons stand in the weights file, our own choice
Not here: the search for the least cost (`search`), fingers that sound together (`chords`)

The cost of a passage is the sum of
  each hand shape       its fingers and gaps, a finger's second fret (only where the hand must not move within a burst),
                        and a reach beyond comfort;
  each string visit     `gesture` times the gaps between the frets played on one string in one go (single lines only);
  each pair of notes    that follow one another at once within a shape and share a finger;
  each pair of notes    that sound together: a barre, the hand's slant, `gesture` times the stretch between the fingers;
  each change of shape  within a burst a shift or a regrip, during a rest almost nothing.
Every term is the same read backwards. Because distances count in frets, a pattern keeps its fingers up the neck.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from functools import lru_cache
from itertools import combinations, pairwise

from builder.theory.fingering.free_weights import FreeWeights, free_weights_from
from builder.theory.fingering.lie import Lie
from builder.theory.fingering.states import Slice

Pair = tuple[int, int]  # a fret and a finger that plays it
FINGERS = (1, 2, 3, 4)
_PRUNED_FRETS = 5  # beyond five frets comparing fingerings with one another takes longer than searching them all


@dataclass(frozen=True, slots=True)
class Weights:
    """Points for each thing a hand does; the weights file says why."""

    finger_2: int
    finger_3: int
    finger_4: int
    stretch_12: int
    stretch_23: int
    stretch_34: int
    squeeze: int
    gesture: int
    walk: int
    lean: int
    stretched: int
    narrow_stretched: int
    slide: int
    jump: int
    roll: int
    hop: int
    shift: int
    shift_fret: int
    shift_on_string: int
    shift_over_open: int
    regrip: int
    rest_fret: int
    barre: int
    barre_other: int
    order: int
    free: FreeWeights

    def finger(self, finger: int) -> int:
        """The points of a finger's taking a fret."""
        return (0, 0, self.finger_2, self.finger_3, self.finger_4)[finger]


def weights_from(mapping: Mapping[str, object]) -> Weights:
    """Return the weights a file's *mapping* holds: `name: points` or `name: {points, reason}`, hyphens in names.

    Under `free` stand those of the hand that chooses its strings. Raises ValueError naming every key that is missing,
    unknown or no whole number of at least 0.

    >>> weights_from({"finger-2": -1, "free": {}})
    Traceback (most recent call last):
    ...
    ValueError: finger-2: found -1, expected a whole number of at least 0; missing: barre, barre-other, finger-3, \
finger-4, gesture, hop, jump, lean, narrow-stretched, order, regrip, rest-fret, roll, shift, shift-fret, \
shift-on-string, shift-over-open, slide, squeeze, stretch-12, stretch-23, stretch-34, stretched, walk
    """
    names = {item.name.replace("_", "-") for item in fields(Weights)} - {"free"}
    found = {
        key: value["points"] if isinstance(value, Mapping) and "points" in value else value
        for key, value in mapping.items()
        if key != "free"
    }
    wrong = [
        f"{key}: found {value}, expected a whole number of at least 0"
        for key, value in found.items()
        if key in names and (type(value) is not int or value < 0)
    ]
    for word, keys in (("missing", names - found.keys()), ("unknown", found.keys() - names)):
        if keys:
            wrong.append(f"{word}: {', '.join(sorted(keys))}")
    if wrong:
        raise ValueError("; ".join(wrong))
    free = mapping.get("free")
    if not isinstance(free, Mapping):
        raise ValueError("free: expected the weights of the hand that chooses its strings")
    points = {key.replace("-", "_"): value for key, value in found.items() if isinstance(value, int)}
    return Weights(**points, free=free_weights_from(free))


def stretch_points(low_finger: int, high_finger: int, frets: int, lie: Lie, weights: Weights) -> float:
    """The price of *frets* from one finger to a higher one, as far as they are more than the fingers cover at ease.

    A wide gap opens where the hand opens most easily.
    """
    opening = (weights.stretch_12, weights.stretch_23, weights.stretch_34)
    return max(0.0, frets - lie.widest(low_finger, high_finger)) * min(opening[low_finger - 1 : high_finger - 1])


def gap_points(low_finger: int, high_finger: int, frets: int, lie: Lie, weights: Weights) -> float:
    """The price of a gap between fingers that is wider or narrower than they lie at ease."""
    crowded = max(0.0, lie.narrowest(low_finger, high_finger) - frets)
    return stretch_points(low_finger, high_finger, frets, lie, weights) + crowded * weights.squeeze


def gaps_points(pairs: Iterable[Pair], lie: Lie, weights: Weights) -> float:
    """The price of all gaps between neighbouring fingers of *pairs*.

    Where fingers lean between two frets each, neighbours at ease may still crowd the hand: all gaps are counted.
    """
    spans: dict[int, tuple[int, int]] = {}
    for fret, finger in pairs:
        low, high = spans.get(finger, (fret, fret))
        spans[finger] = (min(low, fret), max(high, fret))
    used = sorted(spans)
    gaps = combinations(used, 2) if lie.leans else pairwise(used)
    return sum(gap_points(low, high, spans[high][0] - spans[low][1], lie, weights) for low, high in gaps)


@dataclass(frozen=True, slots=True, order=True)
class Need:
    """What a hand shape must do at a fret: *most* strings at once, and the fingers someone wrote there."""

    fret: int
    most: int
    fixed: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Grip:
    """A hand shape wherever it lies on the neck: frets count from its lowest, *place* is finger 1's from there.

    *settled*: finger 1 stands on its place and the others keep to theirs or the next fret.
    """

    pairs: tuple[Pair, ...]
    points: float
    place: int
    settled: bool


@lru_cache(maxsize=4096)
def grips(needs: tuple[Need, ...], lie: Lie, weights: Weights, walks: bool, line: bool) -> tuple[Grip, ...]:
    """Return the hand shapes that meet *needs* (frets from 0); for a *line*, without those never better than another.

    A higher fret never has a lower finger. A fret that one string at a time needs has one finger. Only with *walks*
    may a finger leave its own frets for another: where the hand can move instead, that would be a move in disguise.
    """
    if not walks and not lie.leans and len(needs) > len(FINGERS):
        return ()
    found = [
        grip for pairs in _monotone(needs, 1) if walks or not _walks(pairs, lie) for grip in _grips(pairs, lie, weights)
    ]
    if not line or len(needs) > _PRUNED_FRETS:
        return tuple(found)
    return tuple(_best(found, lie, weights))


def _monotone(needs: Sequence[Need], lowest: int) -> Iterator[tuple[Pair, ...]]:
    """Every way to give the frets fingers from *lowest* on, in rising order."""
    if not needs:
        yield ()
        return
    need = needs[0]
    for fingers in _finger_sets(need, lowest):
        here = tuple((need.fret, finger) for finger in fingers)
        for rest in _monotone(needs[1:], fingers[-1]):
            yield here + rest


def _finger_sets(need: Need, lowest: int) -> Iterator[tuple[int, ...]]:
    """The sets of fingers that may share a fret: one for a line, up to as many as strings for notes together."""
    choices = [finger for finger in FINGERS if finger >= lowest]
    for mask in range(1, 1 << len(choices)):
        chosen = tuple(finger for bit, finger in enumerate(choices) if mask >> bit & 1)
        if len(chosen) <= need.most and set(need.fixed) <= set(chosen):
            yield chosen


def _grips(pairs: tuple[Pair, ...], lie: Lie, weights: Weights) -> Iterator[Grip]:
    """Price a shape: every finger once a fret, the gaps, a finger's second fret; once for each place it may lie at."""
    points = (
        sum(weights.finger(finger) for _, finger in pairs)
        + gaps_points(pairs, lie, weights)
        + _walks(pairs, lie) * weights.walk
        + _leans(pairs) * lie.leans * weights.lean
    )
    for place in _places(pairs, lie):
        settled = pairs[0][1] == 1 and all(fret - place in lie.settled[finger] for fret, finger in pairs)
        yield Grip(pairs, points, place, settled)


def _places(pairs: Sequence[Pair], lie: Lie) -> list[int]:
    """Finger 1's own place: of two frets it takes, the one from which the other fingers reach least.

    Where fingers have two frets each, every place that has the lowest finger on one of its own and from which the
    others reach least: what comes before and after decides.
    """
    if lie.leans:
        lowest = pairs[0][1]
        low_fret, high_fret = pairs[0][0], max(fret for fret, finger in pairs if finger == lowest)
        first = min(high_fret - int(lie.high[lowest]), low_fret - int(lie.low[lowest]))
        places = range(first, low_fret - int(lie.low[lowest]) + 1)
        off = {at: sum(abs(lie.off(finger, fret - at)) for fret, finger in pairs) for at in places}
        return [at for at in off if off[at] == min(off.values())]
    firsts = [fret for fret, finger in pairs if finger == 1]
    if not firsts:
        low_fret, low_finger = pairs[0]
        return [low_fret - int(lie.low[low_finger])]
    return [min(firsts, key=lambda at: sum(abs(lie.off(finger, fret - at)) for fret, finger in pairs))]


def _walks(pairs: Sequence[Pair], lie: Lie) -> int:
    """How many frets fingers go beyond their own."""
    frets: dict[int, list[int]] = {}
    for fret, finger in pairs:
        frets.setdefault(finger, []).append(fret)
    return sum(max(0, on[-1] - on[0] - lie.room(one)) for one, on in frets.items())


def _leans(pairs: Sequence[Pair]) -> int:
    """How many second frets fingers take."""
    return sum(low[1] == high[1] for low, high in pairwise(pairs))


def _best(found: Sequence[Grip], lie: Lie, weights: Weights) -> Iterator[Grip]:
    """The shapes of a single line that no other of the same place beats in whatever the line may do."""
    profiles = [_profile(grip, lie, weights) for grip in found]
    kept: list[int] = []
    for number, grip in sorted(enumerate(found), key=lambda item: item[1].points):
        rivals = (k for k in kept if (found[k].place, found[k].settled) == (grip.place, grip.settled))
        if not any(all(a <= b for a, b in zip(profiles[k], profiles[number], strict=True)) for k in rivals):
            kept.append(number)
            yield grip


def _profile(grip: Grip, lie: Lie, weights: Weights) -> tuple[float, ...]:
    """All that a line can be charged for in a shape: itself, the gaps of every choice of its frets, shared fingers."""
    choices = (pairs for size in range(2, len(grip.pairs) + 1) for pairs in combinations(grip.pairs, size))
    gaps = (gaps_points(pairs, lie, weights) for pairs in choices)
    shared = (float(a[1] == b[1]) for a, b in combinations(grip.pairs, 2))
    return (grip.points, *gaps, *shared)


def follow_points(from_string: int, from_fret: int, string: int, fret: int, lie: Lie, weights: Weights) -> int:
    """The price of one finger's playing two notes one right after the other within a hand shape."""
    if lie.leans and abs(from_fret - fret) == 1:
        return weights.lean
    if from_string == string:
        return weights.slide if from_fret != fret else 0
    if from_fret != fret:
        return weights.jump
    return weights.roll if abs(from_string - string) == 1 else weights.hop


def move_points(
    from_position: int, from_settled: bool, position: int, settled: bool, to: Slice, same_visit: bool, weights: Weights
) -> float | None:
    """The price of a new hand shape within a burst; None where the hand would change fingers without moving."""
    on_string = weights.shift_on_string if same_visit and not to.after_open else 0
    frets = abs(position - from_position)
    if frets:
        return (weights.shift_over_open if to.after_open else weights.shift) + frets * weights.shift_fret + on_string
    return weights.regrip + on_string if settled and from_settled else None


def burst_points(from_position: int, position: int, to: Slice, weights: Weights) -> float:
    """The price of a new hand shape at the beginning of a burst: a shift where no silence comes before it."""
    frets = abs(position - from_position)
    if to.silence:
        return frets * weights.rest_fret
    return (weights.shift_over_open if to.after_open else weights.shift) + frets * weights.shift_fret if frets else 0
