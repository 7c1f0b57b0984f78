"""How a hand can hold the strings of a chord: fingers and barres, best first.

Stage:    theory (pure)
In, Out:  stopped strings with their frets and the strings that sound open; `Hold`s, the cheapest first
Units:    points; frets count from the lowest stopped one
Source:   hard rules are common practice: one finger, one fret; a higher fret has a higher finger; of two fingers at one
          fret the lower one takes the lower-sounding string; nothing sounds behind a barre
Not here: what the prices are for (their file), which strings and frets make the chord (`voicings`), fingers of passages
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import ceil

from builder.theory.chord_shapes.prices import ShapePrices
from builder.theory.fingering import Lie

Stopped = tuple[int, int]
"""A string and its fret, counted from the lowest stopped fret of the shape."""

_MOST_ARCHED = 3  # strings an index can cross arched; further, its base lies on the free string
_MOST_OTHER = 3  # strings under another finger than the index, neighbours all: the A shape
_FINGERS = 4


@dataclass(frozen=True, slots=True)
class Hold:
    """A finger for each stopped string, in the order they were given; *place* is finger 1's own fret.

    Like the frets, *place* counts from the lowest stopped one, so it is 0 or less.
    """

    fingers: tuple[int, ...]
    points: int
    place: int


@dataclass(frozen=True, slots=True)
class _Laid:
    """One finger on its strings, lowest-sounding (highest number) first."""

    finger: int
    fret: int
    strings: tuple[int, ...]


@lru_cache(maxsize=8192)
def holds(stopped: tuple[Stopped, ...], opened: tuple[int, ...], lie: Lie, prices: ShapePrices) -> tuple[Hold, ...]:
    """Return the ways to hold *stopped* while the strings *opened* sound open, best first; empty when there is none."""
    order = sorted(range(len(stopped)), key=lambda number: (stopped[number][1], -stopped[number][0]))
    rising = [stopped[number] for number in order]
    sounding = (*stopped, *((string, -1) for string in opened))
    found = []
    for fingers in _assigned(rising, ()):
        laid = _laid(rising, fingers)
        points = _points(laid, sounding, lie, prices)
        if points is not None:
            away, place = _placed(laid, lie, prices)
            given = tuple(finger for _, finger in sorted(zip(order, fingers, strict=True)))
            found.append(Hold(given, points + away, place))
    return tuple(sorted(found, key=lambda hold: (hold.points, hold.fingers)))


def least_points(frets: Sequence[int], lie: Lie, prices: ShapePrices) -> int:
    """Return a price that no hold of strings stopped at *frets* goes below; for a search to stop early."""
    different = len(set(frets))
    fingers = sum(sorted(prices.finger(number) for number in range(1, _FINGERS + 1))[:different])
    fifth = min(prices.barre_fifth, prices.barre_fifth_other) if lie.leans else prices.barre_tip
    barre = min(fifth, prices.barre_tip, prices.barre, prices.barre_other) if len(frets) > _FINGERS else 0
    return fingers + _spread_points(min(frets), max(frets), lie, prices) + barre if frets else 0


def _spread_points(low: int, high: int, lie: Lie, prices: ShapePrices) -> int:
    """The price of a shape wider than from the index to the ring finger's own frets."""
    return prices.spread * max(0, high - low - ceil(lie.high[3]))


def _assigned(rising: Sequence[Stopped], given: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """Every way to give the strings fingers: the last one once more at its own fret, or any higher one."""
    if len(given) == len(rising):
        yield given
        return
    last, fret = given[-1] if given else 0, rising[len(given)][1]
    if given and fret == rising[len(given) - 1][1]:
        yield from _assigned(rising, (*given, last))
    later = len({other for _, other in rising[len(given) :]}) - 1  # each of these frets needs a finger too
    for finger in range(last + 1, _FINGERS + 1 - later):
        yield from _assigned(rising, (*given, finger))


def _laid(rising: Sequence[Stopped], fingers: Sequence[int]) -> tuple[_Laid, ...]:
    strings: dict[int, list[int]] = {}
    frets: dict[int, int] = {}
    for finger, (string, fret) in zip(fingers, rising, strict=True):
        strings.setdefault(finger, []).append(string)
        frets[finger] = fret
    return tuple(_Laid(finger, frets[finger], tuple(strings[finger])) for finger in strings)


def _placed(laid: Sequence[_Laid], lie: Lie, prices: ShapePrices) -> tuple[int, int]:
    """The price of fingers off their own frets, and finger 1's place, which the lowest finger gives at its ease.

    Where that finger has two frets, it is the place that suits the others better, else the one nearer to the index.
    """
    lowest = laid[0]
    places = sorted((lowest.fret - own for own in lie.frets(lowest.finger)), key=lambda place: abs(lowest.fret - place))
    return min(((_off_points(laid, place, lie, prices), place) for place in places), key=lambda one: one[0])


def _off_points(laid: Sequence[_Laid], place: int, lie: Lie, prices: ShapePrices) -> int:
    off = [round(2 * lie.off(one.finger, one.fret - place)) for one in laid]  # half frets
    return sum(prices.above * half if half > 0 else -prices.below * half for half in off)


def _points(laid: Sequence[_Laid], sounding: Sequence[Stopped], lie: Lie, prices: ShapePrices) -> int | None:
    """The price of a hold without that of its place; None when it breaks a hard rule."""
    points = _spread_points(laid[0].fret, laid[-1].fret, lie, prices)
    for number, one in enumerate(laid):
        points += prices.finger(one.finger)
        if len(one.strings) > 1:
            barre = _barre_points(one, laid[:number], sounding, lie, prices)
            if barre is None:
                return None
            points += barre
    pairs = combinations(laid, 2)
    against = sum(high.fret - low.fret for low, high in pairs if low.strings[-1] > high.strings[-1])
    return points + prices.against * against


def _barre_points(
    one: _Laid, lower: Sequence[_Laid], sounding: Sequence[Stopped], lie: Lie, prices: ShapePrices
) -> int | None:
    """The price of one finger on several strings; None when it can't lie there."""
    first, last = one.strings[0], one.strings[-1]
    across = first - last + 1
    if any(last < string < first and fret < one.fret for string, fret in sounding):
        return None
    if lie.leans and across == len(one.strings) == 2 and all(other.fret != one.fret for other in lower):
        # The tip is broad enough for both courses and leaves the next one free.
        return prices.barre_fifth if one.finger == 1 else prices.barre_fifth_other
    arched = any(string < last and fret < one.fret for string, fret in sounding)
    if one.finger == 1:
        if arched and across > _MOST_ARCHED:
            return None
        flat = prices.barre_tip if across == 2 else prices.barre + prices.barre_string * across
        return flat + arched * prices.arched
    # Flat beside another finger at the same fret there is no room for it.
    if across != len(one.strings) or across > _MOST_OTHER or any(other.fret == one.fret for other in lower):
        return None
    return prices.barre_other + arched * prices.arched
