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

from builder.theory.chord_shapes.prices import ShapePrices

Stopped = tuple[int, int]
"""A string and its fret, counted from the lowest stopped fret of the shape."""

# Half frets from finger 1's own place to each finger's: a finger a fret; where three frets lie under the hand (bass),
# fingers 3 and 4 share the third.
_WIDE = (0, 0, 2, 4, 6)
_NARROW = (0, 0, 2, 3, 4)

_MOST_ARCHED = 3  # strings an index can cross arched; further, its base lies on the free string
_MOST_OTHER = 3  # strings under another finger than the index, neighbours all: the A shape
_SPREAD_EASY = 2  # frets between the lowest and the highest of three: the open and movable shapes all keep to them
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
def holds(stopped: tuple[Stopped, ...], opened: tuple[int, ...], narrow: bool, prices: ShapePrices) -> tuple[Hold, ...]:
    """Return the ways to hold *stopped* while the strings *opened* sound open, best first; empty when there is none."""
    order = sorted(range(len(stopped)), key=lambda number: (stopped[number][1], -stopped[number][0]))
    rising = [stopped[number] for number in order]
    sounding = (*stopped, *((string, -1) for string in opened))
    found = []
    for fingers in _assigned(rising, ()):
        points = _points(_laid(rising, fingers), sounding, narrow, prices)
        if points is not None:
            given = tuple(finger for _, finger in sorted(zip(order, fingers, strict=True)))
            found.append(Hold(given, points, _place(rising[0][1], fingers[0], narrow)))
    return tuple(sorted(found, key=lambda hold: (hold.points, hold.fingers)))


def least_points(frets: Sequence[int], prices: ShapePrices) -> int:
    """Return a price that no hold of strings stopped at *frets* goes below; for a search to stop early."""
    different = len(set(frets))
    fingers = sum(sorted(prices.finger(number) for number in range(1, _FINGERS + 1))[:different])
    spread = max(0, max(frets) - min(frets) - _SPREAD_EASY) if frets else 0
    barre = min(prices.barre_tip, prices.barre, prices.barre_other) if len(frets) > _FINGERS else 0
    return fingers + prices.spread * spread + barre


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


def _place(lowest_fret: int, lowest_finger: int, narrow: bool) -> int:
    return lowest_fret - (_NARROW if narrow else _WIDE)[lowest_finger] // 2


def _points(laid: Sequence[_Laid], sounding: Sequence[Stopped], narrow: bool, prices: ShapePrices) -> int | None:
    """The price of a hold; None when it breaks a hard rule."""
    own = _NARROW if narrow else _WIDE
    place = _place(laid[0].fret, laid[0].finger, narrow)
    points = 0
    for number, one in enumerate(laid):
        off = 2 * (one.fret - place) - own[one.finger]
        points += prices.finger(one.finger) + (prices.above * off if off > 0 else -prices.below * off)
        if len(one.strings) > 1:
            barre = _barre_points(one, laid[:number], sounding, prices)
            if barre is None:
                return None
            points += barre
    return points + _layout_points(laid, prices)


def _layout_points(laid: Sequence[_Laid], prices: ShapePrices) -> int:
    """The price of how the fingers lie to one another."""
    pairs = combinations(laid, 2)
    against = sum(high.fret - low.fret for low, high in pairs if low.strings[-1] > high.strings[-1])
    return prices.against * against + prices.spread * max(0, laid[-1].fret - laid[0].fret - _SPREAD_EASY)


def _barre_points(one: _Laid, lower: Sequence[_Laid], sounding: Sequence[Stopped], prices: ShapePrices) -> int | None:
    """The price of one finger on several strings; None when it can't lie there."""
    first, last = one.strings[0], one.strings[-1]
    across = first - last + 1
    if any(last < string < first and fret < one.fret for string, fret in sounding):
        return None
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
