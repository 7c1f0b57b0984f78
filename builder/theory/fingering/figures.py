"""The shape of a hand within a figure: a finger for each fret, kept while the hand stays.

Stage:    theory (pure)
In, Out:  the shape so far and what is struck now; points and the shape after that, or None where it can't be
Units:    points; distances in frets, so that a pattern keeps its fingers when it moves up the neck
Source:   one finger a fret, and the same for a fret as long as the hand stays: common practice; what is priced follows
          studies of players: how far the fingers spread (Heijink and Meulenbroek, Journal of Motor Behavior 34(4),
          2002, 339-351), along and across the strings (Sayegh, Computer Music Journal 13(3), 1989)
Not here: music without bursts, whose hand keeps no shape (`moves`); the search (`search`)

A figure is a burst of an exercise: short, fast, played again and again. Its shape is priced once, however often a fret
is struck; the gaps of what is played on one string in one go, or together, are felt each time.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import combinations, pairwise
from typing import NamedTuple

from builder.theory.fingering.postures import Reach, Stopped
from builder.theory.fingering.states import reach_class
from builder.theory.fingering.weights import Weights
from builder.theory.fretboard import Hand, Instrument

Pair = tuple[int, int]
"""A fret and a finger that plays it."""


class Shape(NamedTuple):
    """The frets and fingers since the hand came here, lowest first, and those of the string it has not left since.

    *regripped*: other fingers took over without a move, so all of them keep to their own frets or the next; *owes*: the
    index has still to be played before the hand leaves, as it alone tells that the hand has stayed.
    """

    pairs: tuple[Pair, ...]
    visit: tuple[Pair, ...]
    regripped: bool = False
    owes: bool = False


NO_SHAPE = Shape((), ())
_MOST_REMEMBERED = 50_000  # shapes of a hand, some 50 MB


Taken = tuple[tuple[float, Shape], ...]
"""Shapes that a hand may keep or take, each with its price."""


class Figures:
    """The prices of shapes on one instrument; *steady*: the hand may not move within a burst.

    A figure is played again and again: what is worked out once is remembered.
    """

    def __init__(self, reach: Reach, steady: bool) -> None:
        self.reach, self.weights, self.steady = reach, reach.weights, steady
        self.prices: dict[tuple[tuple[Pair, ...], int], float] = {}
        self.gaps: dict[tuple[Pair, ...], float] = {}
        self.taken: dict[tuple[object, ...], Taken] = {}

    def forget(self) -> None:
        """Make room where too much is remembered; called between passages."""
        if len(self.taken) > _MOST_REMEMBERED:
            self.taken.clear()
            self.prices.clear()
            self.gaps.clear()

    def arrive(self, stopped: tuple[Stopped, ...], position: int, line: bool) -> Taken:
        """Take a new shape for what is struck; *line*: a single note, nothing held beside it."""
        key = stopped, position, line
        if key not in self.taken:
            self.taken[key] = self._take(pairs_of(stopped), stopped, position, line)
        return self.taken[key]

    def stay(
        self, shape: Shape, stopped: tuple[Stopped, ...], position: int, line: bool, same_string: bool
    ) -> tuple[Taken, Taken]:
        """Strike on in the shape the hand has, or with other fingers; *same_string*: a line stays on its string."""
        key = shape, stopped, position, line, same_string
        if key not in self.taken:
            self.taken[key] = self._kept(shape, stopped, position, line, same_string)
            self.taken[(*key, "regrip")] = self._regripped(shape, stopped, position, line)
        return self.taken[key], self.taken[(*key, "regrip")]

    def _kept(self, shape: Shape, stopped: tuple[Stopped, ...], position: int, line: bool, same_string: bool) -> Taken:
        """The same shape, and what is struck."""
        struck = pairs_of(stopped)
        before = shape.visit if same_string else ()
        pairs = shape.pairs
        if not set(struck) <= set(pairs):
            pairs = tuple(sorted({*pairs, *struck}))
            if not self._holds(shape.pairs, pairs, stopped) or (
                shape.regripped and not self._settled(struck, position)
            ):
                return ()
        visit = tuple(sorted({*before, *struck})) if line else ()
        points = self._price(pairs, position) - self._price(shape.pairs, position)
        points += self._gestures(stopped, before, visit, line)
        return ((points, Shape(pairs, visit, shape.regripped, shape.owes and shape.pairs[0] not in struck)),)

    def _regripped(self, shape: Shape, stopped: tuple[Stopped, ...], position: int, line: bool) -> Taken:
        """Other fingers in the same place: only from a hand that stands on its index, to frets under their own fingers.

        The index stays; where it has two frets itself (mandolin), nothing would tell that it does.
        """
        struck = pairs_of(stopped)
        if (
            self.steady
            or self.reach.lie.leans
            or shape.owes
            or shape.pairs[0][1] != 1
            or not self._settled((*shape.pairs, *struck), position)
        ):
            return ()
        index = shape.pairs[0]
        taken = self._take(tuple(sorted({index, *struck})), stopped, position, line)
        return tuple(
            (points + self.weights.figure_regrip, new._replace(regripped=True, owes=index not in struck))
            for points, new in taken
        )

    def _take(self, pairs: tuple[Pair, ...], stopped: tuple[Stopped, ...], position: int, line: bool) -> Taken:
        """A new shape of all these *pairs*."""
        if not _one_way_up(pairs):
            return ()
        struck = pairs_of(stopped)
        points = self._price(pairs, position) + self._gestures(stopped, (), struck, line)
        return ((points, Shape(pairs, struck if line else ())),)

    def _settled(self, pairs: Iterable[Pair], position: int) -> bool:
        """Whether every finger has its own fret or the next, so that no two of such shapes cross."""
        return all(fret - position in self.reach.lie.settled[finger] for fret, finger in pairs)

    def _holds(self, before: tuple[Pair, ...], pairs: tuple[Pair, ...], stopped: Sequence[Stopped]) -> bool:
        """Whether one hand can have all the *pairs*: no finger crossed, none for a fret that has another."""
        if not _one_way_up(pairs) or reach_class(self._span_mm(pairs), self.reach.hand) == "refused":
            return False
        for fret, finger in set(pairs) - set(before):
            others = [g for f, g in before if f == fret]
            if len(others) == 1 and sum(f == fret for _, f, g in stopped if g) == 1:
                return False
            if not self.steady and any(g == finger and abs(f - fret) > self.reach.lie.room(g) for f, g in before):
                return False
        return True

    def _price(self, pairs: tuple[Pair, ...], position: int) -> float:
        """The price of a shape of a hand in *position*."""
        if (pairs, position) not in self.prices:
            w = self.weights
            strengths = (0.0, 0.0, w.figure_2, w.figure_3, w.figure_4)
            walks, leans = self._walks(pairs)
            far = bool(pairs) and reach_class(self._span_mm(pairs), self.reach.hand) == "stretch"
            self.prices[pairs, position] = (
                sum(strengths[finger] for _, finger in pairs)
                + self._opened(pairs)
                + w.figure_walk * walks
                + w.figure_lean * leans
                + w.figure_stretched * far
                + w.figure_off * self._off(pairs, position)
            )
        return self.prices[pairs, position]

    def _walks(self, pairs: Sequence[Pair]) -> tuple[int, int]:
        """Frets that fingers go beyond their own from their first to their last, and fingers that have two at ease."""
        frets: dict[int, list[int]] = {}
        for fret, finger in pairs:
            frets.setdefault(finger, []).append(fret)
        lie = self.reach.lie
        walks = sum(max(0, own[-1] - own[0] - lie.room(finger)) for finger, own in frets.items())
        return walks, lie.leans * (len(pairs) - len(frets))

    def _off(self, pairs: Sequence[Pair], position: int) -> float:
        """Frets from the hand's position to that which its lowest finger speaks for, or all fingers that have two."""
        if not pairs:
            return 0
        if self.reach.lie.leans:
            return sum(abs(self.reach.lie.off(finger, fret - position)) for fret, finger in pairs)
        fret, finger = pairs[0]
        return abs(position - max(1, fret - int(self.reach.lie.low[finger])))

    def _gestures(
        self, stopped: Sequence[Stopped], before: tuple[Pair, ...], visit: tuple[Pair, ...], line: bool
    ) -> float:
        """The price of the gaps that are felt now: on one string in one go, or of notes struck together."""
        w = self.weights
        if line:
            return (
                w.figure_gesture * (self._opened(visit) - self._opened(before))
                + self._narrow(visit)
                - self._narrow(before)
            )
        together = sorted(pairs_of(stopped), key=lambda pair: pair[1])
        return w.figure_together * sum(self._stretch(a, b) for a, b in combinations(together, 2))

    def _narrow(self, visit: tuple[Pair, ...]) -> float:
        """The price of four frets where a position has three."""
        if not self.reach.narrow or not visit:
            return 0.0
        return self.weights.figure_narrow * (reach_class(self._span_mm(visit), self.reach.hand) == "stretch")

    def _opened(self, pairs: tuple[Pair, ...]) -> float:
        """The price of the gaps between neighbouring fingers, wider or narrower than they lie at ease."""
        if pairs not in self.gaps:
            spans: dict[int, Pair] = {}
            for fret, finger in pairs:
                low, high = spans.get(finger, (fret, fret))
                spans[finger] = min(low, fret), max(high, fret)
            self.gaps[pairs] = sum(
                self._stretch((spans[a][1], a), (spans[b][0], b)) + self._squeeze(a, b, spans[b][0] - spans[a][1])
                for a, b in self._neighbours(sorted(spans))
            )
        return self.gaps[pairs]

    def _neighbours(self, used: Sequence[int]) -> Iterable[Pair]:
        """The fingers whose gaps count; where fingers have two frets, neighbours at ease may still crowd the hand."""
        return combinations(used, 2) if self.reach.lie.leans else pairwise(used)

    def _stretch(self, low: Pair, high: Pair) -> float:
        """The price of two fingers further apart than they lie at ease: a gap opens where it opens most easily."""
        w = self.weights
        if low[1] == high[1]:
            return 0.0
        wider = high[0] - low[0] - self.reach.lie.widest(low[1], high[1])
        if wider <= 0:
            return 0.0
        return wider * min((w.figure_12, w.figure_23, w.figure_34)[low[1] - 1 : high[1] - 1])

    def _squeeze(self, low: int, high: int, frets: int) -> float:
        return self.weights.figure_squeeze * max(0.0, self.reach.lie.narrowest(low, high) - frets)

    def _span_mm(self, pairs: Sequence[Pair]) -> float:
        return self.reach.instrument.reach_mm(pairs[0][0], pairs[-1][0])


@lru_cache(maxsize=8)
def figures_of(instrument: Instrument, hand: Hand, weights: Weights, steady: bool) -> Figures:
    """Return the shapes of one hand, remembered: a book asks for the same ones in passage after passage."""
    return Figures(Reach(instrument, hand, weights, figures=True), steady)


def pairs_of(stopped: Iterable[Stopped]) -> tuple[Pair, ...]:
    """The frets and fingers of what is stopped, lowest first."""
    return tuple(sorted({(fret, finger) for _, fret, finger in stopped if finger}))


def _one_way_up(pairs: Sequence[Pair]) -> bool:
    """Whether no higher fret has a lower finger."""
    return all(a[1] <= b[1] for a, b in combinations(pairs, 2) if a[0] < b[0])
