"""How bars are dealt to systems: evenly, with a burst and its rest on one line.

Stage:    4 lay out (pure)
In, Out:  a `Measure` and a staff size; for every number of systems the most even `Deal`
Units:    millimetres; costs are points without a unit, small is good
Source:   our own choice: a line that is half empty or begins inside a burst reads worse than one more line
Not here: which number of systems is best (`layout`)
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise

from builder.pages.measure import Measure, Piece

_MOST_PIECES = 6  # bars a system: more are hard to find one's place in
_TRIED = 12  # numbers of systems worth trying beyond the fewest
# Shares of a mean system's square: what it costs to begin a system at a piece.
_IN_A_RUN, _SILENT, _LABELLED = 0.15, 0.25, -0.03
_LATER = 0.002  # where lines can't be equal, the later ones are the shorter
_CUE_MOVED = 0.05
_BREAK_POINTS, _CUE_POINTS = 25.0, 2.0
_FOR_A_REST = 0.85  # closer notes beat a system that holds nothing but a bar of rest


@dataclass(frozen=True, slots=True)
class Row:
    """The widths of one system; *cue_kept*: its last cue begins under its rest, else it ends with the line.

    *plain_mm* is the way between notes if no cue took room, *words_mm* the least at which no two cues meet.
    """

    units: float
    note_mm: float
    plain_mm: float
    words_mm: float
    cue_kept: bool


@dataclass(frozen=True)
class Deal:
    """Pieces dealt to systems, with what the layout judges it by."""

    rows: tuple[tuple[Piece, ...], ...]
    widths: tuple[Row, ...]
    breaks_cost: float

    @cached_property
    def least_note_mm(self) -> float:
        """The way between two shortest notes in the fullest system."""
        return min(row.note_mm for row in self.widths)

    @cached_property
    def most_note_mm(self) -> float:
        """The way between two shortest notes in the emptiest system."""
        return max(row.note_mm for row in self.widths)

    @cached_property
    def unevenness(self) -> float:
        """How much fuller the fullest system is than the emptiest; 0 when all are alike."""
        return max(row.units for row in self.widths) / min(row.units for row in self.widths) - 1

    @cached_property
    def last_share(self) -> float:
        """How full the last system is, the fullest being 1."""
        return self.widths[-1].units / max(row.units for row in self.widths)


@lru_cache(maxsize=16)
def deals(measure: Measure, size: float) -> tuple[Deal, ...]:
    """The most even deal for every number of systems worth trying, fewest systems first."""
    pieces = measure.pieces(size)
    ways = _Ways(measure, size, pieces)
    count = len(pieces)
    penalties = [_penalty(before, piece) for before, piece in zip((None, *pieces), pieces, strict=False)]
    mean = sum(piece.units for piece in pieces) / count
    # costs[k][n]: the least cost of k systems holding the first n pieces, and where the last of them begins.
    costs: list[dict[int, tuple[float, int]]] = [{0: (0.0, 0)}]
    found: list[Deal] = []
    for systems in range(1, count + 1):
        reached: dict[int, tuple[float, int]] = {}
        for begin, (so_far, _) in costs[-1].items():
            for end in range(begin + 1, min(begin + _MOST_PIECES, count) + 1):
                row = ways.row(begin, end)
                if row.note_mm < ways.least_mm(begin, end) and end > begin + 1:
                    if row.plain_mm < measure.note_mm * _FOR_A_REST:
                        break  # longer systems only get narrower
                    continue
                square = (row.units / mean) ** 2
                moved = 0.0 if row.cue_kept else _CUE_MOVED
                price = so_far + square * (1 + _LATER * systems) + penalties[begin] * square + moved
                if end not in reached or price < reached[end][0]:
                    reached[end] = (price, begin)
        costs.append(reached)
        if count in reached:
            found.append(_deal(pieces, ways, costs, penalties))
            if len(found) > _TRIED:
                break
    return tuple(found)


def _penalty(before: Piece | None, piece: Piece) -> float:
    """What it costs to begin a system at *piece*."""
    if before is None:
        return 0.0
    if piece.silent:
        return _SILENT
    return (0.0 if before.rests_at_end else _IN_A_RUN) + (_LABELLED if piece.labelled else 0.0)


class _Ways:
    """The widths of every stretch of pieces, from running sums."""

    def __init__(self, measure: Measure, size: float, pieces: tuple[Piece, ...]) -> None:
        self._pieces, self._measure, self._size = pieces, measure, size
        self._units, self._extras = [0.0], [0.0]
        for piece in pieces:
            self._units.append(self._units[-1] + piece.units)
            self._extras.append(self._extras[-1] + piece.extra_ss)
        self._known: dict[tuple[int, int], Row] = {}

    def row(self, begin: int, end: int) -> Row:
        """The widths of the pieces from *begin* up to *end*."""
        if (begin, end) not in self._known:
            units, extra = self._units[end] - self._units[begin], self._extras[end] - self._extras[begin]
            plain, kept, moved = self._measure.ways_mm(units, extra, self._pieces[end - 1], self._size, begin == 0)
            keeps = kept >= self._measure.note_mm or kept >= moved
            words = self._measure.words_way_mm(self._pieces[begin:end], keeps)
            self._known[begin, end] = Row(units, kept if keeps else moved, plain, words, keeps)
        return self._known[begin, end]

    def least_mm(self, begin: int, end: int) -> float:
        """The least way between notes: a bar that fills its line may give some of it to its bar of rest."""
        burst_and_rest = end - begin == 2 and self._pieces[end - 1].silent
        return max(self._measure.note_mm * (_FOR_A_REST if burst_and_rest else 1.0), self.row(begin, end).words_mm)


def _deal(
    pieces: tuple[Piece, ...], ways: _Ways, costs: list[dict[int, tuple[float, int]]], penalties: list[float]
) -> Deal:
    """Read the deal back from the last system to the first."""
    bounds = [len(pieces)]
    for reached in reversed(costs[1:]):
        bounds.append(reached[bounds[-1]][1])
    bounds.reverse()
    return Deal(
        rows=tuple(pieces[a:b] for a, b in pairwise(bounds)),
        widths=tuple(ways.row(a, b) for a, b in pairwise(bounds)),
        breaks_cost=_BREAK_POINTS * sum(max(0.0, penalties[begin]) for begin in bounds[1:-1])
        + _CUE_POINTS * sum(not ways.row(a, b).cue_kept for a, b in pairwise(bounds)),
    )
