"""How a hand can hold the strings of a chord: fingers and barres, best first.

Stage:    theory (pure)
In, Out:  stopped strings with their frets and the strings that sound open; `Grip`s, the cheapest first
Units:    points; frets count from the lowest stopped one
Source:   hard rules are common practice: one finger, one fret; a higher fret has a higher finger; of two fingers at one
          fret the lower one takes the lower-sounding string; nothing sounds behind a barre
Not here: what the prices are for (the weights file), which strings and frets make a chord (`chord_shapes`), how far
          two fingers open and where on the neck the hand lies (`postures`)
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import combinations
from math import ceil
from typing import NamedTuple

from builder.theory.fingering.lie import Lie
from builder.theory.fingering.weights import Weights

CHORD_NOTES = 3  # so many notes struck together are a chord, taken as one grip; two are fingered as a line is

Fretted = tuple[int, int]
"""A string and its fret, counted from the lowest stopped fret of the grip."""

_MOST_ARCHED = 3  # strings an index can cross arched; further, its base lies on the free string
_MOST_OTHER = 3  # strings under another finger than the index, neighbours all: the A shape
_FINGERS = 4
_DECIMALS = 6  # of points, so that equal sums of different order are equal


class Grip(NamedTuple):
    """A finger for each stopped string, in the order they were given; *place* is finger 1's own fret.

    Like the frets, *place* counts from the lowest stopped one, so it is 0 or less, or the upper of two.
    """

    fingers: tuple[int, ...]
    points: float
    place: int


class _Laid(NamedTuple):
    """One finger on its strings, lowest-sounding (highest number) first."""

    finger: int
    fret: int
    strings: tuple[int, ...]


class Grips:
    """The grips of hands that lie alike and pay alike; each is worked out once."""

    def __init__(self, lie: Lie, weights: Weights) -> None:
        self.lie, self.weights = lie, weights
        self.strengths = (0.0, 0.0, weights.figure_2, weights.figure_3, weights.figure_4)
        self.known: dict[tuple[tuple[Fretted, ...], tuple[int, ...]], tuple[Grip, ...]] = {}

    def of(self, stopped: tuple[Fretted, ...], opened: tuple[int, ...]) -> tuple[Grip, ...]:
        """Return the ways to hold *stopped* while the strings *opened* sound; empty when there is none."""
        key = stopped, opened
        if key not in self.known:
            self.known[key] = tuple(sorted(self._found(stopped, opened), key=lambda grip: (grip.points, grip.fingers)))
        return self.known[key]

    def least(self, frets: Sequence[int]) -> float:
        """Return a price that no grip of strings stopped at *frets* goes below; for a search to stop early."""
        if not frets:
            return 0.0
        w = self.weights
        fingers = sum(sorted(self.strengths[1:])[: len(set(frets))])
        fifth = (w.grip_fifth, w.grip_fifth_other) if self.lie.leans else ()
        barre = min(*fifth, w.grip_tip, w.grip_barre, w.grip_barre_other) if len(frets) > _FINGERS else 0.0
        return round(fingers + self._spread(min(frets), max(frets)) + barre, _DECIMALS)

    def _found(self, stopped: Sequence[Fretted], opened: Sequence[int]) -> Iterator[Grip]:
        order = sorted(range(len(stopped)), key=lambda number: (stopped[number][1], -stopped[number][0]))
        rising = [stopped[number] for number in order]
        sounding = (*stopped, *((string, -1) for string in opened))
        for fingers in _assigned(rising, ()):
            laid = _laid(rising, fingers)
            points = self._points(laid, sounding)
            if points is not None:
                away, place = self._placed(laid)
                given = tuple(finger for _, finger in sorted(zip(order, fingers, strict=True)))
                yield Grip(given, round(points + away, _DECIMALS), place)

    def _spread(self, low: int, high: int) -> float:
        """The price of a grip wider than from the index to the ring finger's own frets."""
        return self.weights.grip_spread * max(0, high - low - ceil(self.lie.high[3]))

    def _placed(self, laid: Sequence[_Laid]) -> tuple[float, int]:
        """The price of fingers off their own frets, and finger 1's place, which the lowest finger gives at its ease.

        Where that finger has two frets, it is the place that suits the others better, else the one nearer to the index.
        """
        lowest = laid[0]
        places = (lowest.fret - own for own in self.lie.frets(lowest.finger))
        nearest = sorted(places, key=lambda place: abs(lowest.fret - place))
        return min(((self._off(laid, place), place) for place in nearest), key=lambda one: one[0])

    def _off(self, laid: Sequence[_Laid], place: int) -> float:
        off = [self.lie.off(one.finger, one.fret - place) for one in laid]
        above, below = self.weights.grip_above, self.weights.grip_below
        return round(sum(above * frets if frets > 0 else -below * frets for frets in off), _DECIMALS)

    def _points(self, laid: Sequence[_Laid], sounding: Sequence[Fretted]) -> float | None:
        """The price of a grip without that of its place; None when it breaks a hard rule."""
        points = self._spread(laid[0].fret, laid[-1].fret)
        for number, one in enumerate(laid):
            points += self.strengths[one.finger]
            if len(one.strings) > 1:
                barre = self._barre(one, laid[:number], sounding)
                if barre is None:
                    return None
                points += barre
        pairs = combinations(laid, 2)
        against = sum(high.fret - low.fret for low, high in pairs if low.strings[-1] > high.strings[-1])
        return points + self.weights.grip_against * against

    def _barre(self, one: _Laid, lower: Sequence[_Laid], sounding: Sequence[Fretted]) -> float | None:
        """The price of one finger on several strings; None when it can't lie there."""
        w = self.weights
        first, last = one.strings[0], one.strings[-1]
        across = first - last + 1
        if any(last < string < first and fret < one.fret for string, fret in sounding):
            return None
        beside = any(other.fret == one.fret for other in lower)
        if self.lie.leans and across == len(one.strings) == 2 and not beside:
            # The tip is broad enough for both courses and leaves the next one free.
            return w.grip_fifth if one.finger == 1 else w.grip_fifth_other
        arched = any(string < last and fret < one.fret for string, fret in sounding)
        if one.finger == 1:
            if arched and across > _MOST_ARCHED:
                return None
            flat = w.grip_tip if across == 2 else w.grip_barre + w.grip_barre_string * across
            return flat + arched * w.grip_arched
        # Flat beside another finger at the same fret there is no room for it.
        if across != len(one.strings) or across > _MOST_OTHER or beside:
            return None
        return w.grip_barre_other + arched * w.grip_arched


grips_for = lru_cache(maxsize=16)(Grips)
"""The `Grips` of a lie and weights, with all it has worked out before."""


def _assigned(rising: Sequence[Fretted], given: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
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


def _laid(rising: Sequence[Fretted], fingers: Sequence[int]) -> tuple[_Laid, ...]:
    strings: dict[int, list[int]] = {}
    frets: dict[int, int] = {}
    for finger, (string, fret) in zip(fingers, rising, strict=True):
        strings.setdefault(finger, []).append(string)
        frets[finger] = fret
    return tuple(_Laid(finger, frets[finger], tuple(strings[finger])) for finger in strings)
