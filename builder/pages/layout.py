"""How a study is laid on paper: staff size, bars a system, sides, turns, log rows; the ladder of rungs.

Stage:    4 lay out (pure)
In, Out:  a `Measure` and the millimetres its page leaves; `Rung`s, the best first
Units:    millimetres; costs are points without a unit, small is good
Source:   staff sizes: E. Gould, *Behind Bars*, 2011, holds 5.5 mm (15.6 pt) for the smallest playing size;
          the weights of the costs are our own choice, set by looking at the pages they chose
Not here: dealing bars to systems (`dealing`); whether a page really fits: LilyPond decides, and the engraver then
          takes the next rung
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil

from builder.pages.dealing import Deal, deals
from builder.pages.measure import SHORTEST_UNITS, Measure
from builder.pages.page import Paper, Rung
from builder.pages.staff import space_mm

_SMALLEST_PRINTED = 15.6  # see the docstring: the smallest size for players
LOG_ROWS = 4
_LEAST_LOG_ROWS = 2
_MOST_LOG_ROWS = 12
_ROW_MM, _LOW_ROW_MM, _HIGH_ROW_MM = 5.7, 5.2, 10.0  # to write in; below 5 mm a pencil runs out of its row
_LOG_MM = 9.4  # label and head row
_CAUTION_MM, _CAUTION_LINE_MM, _WARNING_MM = 5.4, 3.9, 5.0
NOTE_LINE_MM, _NOTES_HEAD_MM = 5.2, 10.5
_SHORT_HEAD_MM = 9.0
_GAP_MM = 2.2  # between head, music and foot
_FURNITURE_MM = 7.4  # running head above the title
_EASY_MM, _MOST_AIR_MM = 4.0, 7.5  # air behind a system: what it likes, what still holds the page together
_HELD_BACK_MM = 2.0  # of the air over a foot: what our heights are too small by at worst
_HOPE_MM = 3.0  # how much our heights are too high at most on demonstration pages
_SAFE_MM = 0.5  # a system, where a study turns: one side too full would cost another one
_LONG_LOG_MM, _EMPTY = 17.0, 0.4  # three rows more than usual still look like a log; points for every millimetre beyond
_MOST_SIDES = 99
# Large print: the smallest staff, a shorter head, the caution on three lines.
_LARGE_STAFF, _LARGE_SHORT_HEAD_MM, _LARGE_CAUTION_MM = 24.0, 13.0, 25.0
# What a page pays for (points): see `_cost`.
_PT, _UNEVEN, _WIDE, _TOO_WIDE, _CROWDED = 3.0, 12.0, 2.0, 15.0, 3.0
_WIDE_NOTE_MM, _WIDEST_NOTE_MM, _NEAR_NOTE_MM = 10.0, 11.5, 6.5
_NO_REST_AT_TURN, _LONE_SYSTEM = 30.0, 40.0
_ROWS_MISSING = (0.0, 8.0, 30.0)
_RAGGED_BELOW = 0.6  # a last system less full than this is not stretched


@dataclass(frozen=True, slots=True)
class Room:
    """What the page around the music takes: the title block, practice notes and warnings."""

    paper: Paper
    head_mm: float
    notes: int
    warnings: int
    caution_lines: int = 1
    bound: bool = False

    def turns_at(self, side: int, sides: int) -> bool:
        """Whether the page is turned behind *side*: a study of an even number of sides in a bound book opens on a left.

        >>> paper = Paper("a4", 210, 297)
        >>> [Room(paper, 0, 0, 0, bound=True).turns_at(side, 4) for side in range(4)]
        [False, True, False, False]
        """
        facing = self.bound and sides % 2 == 0 and side % 2 == 0
        return side < sides - 1 and not facing

    @property
    def caution_mm(self) -> float:
        """Height of the caution at the foot of each side."""
        if self.paper.large:
            return _LARGE_CAUTION_MM
        return _CAUTION_MM + (self.caution_lines - 1) * _CAUTION_LINE_MM

    @property
    def body_mm(self) -> float:
        """From below the running head to above the foot."""
        return self.paper.height_mm - self.paper.top_mm - self.paper.foot_mm - _FURNITURE_MM

    @property
    def notes_mm(self) -> float:
        """Height of the practice notes with their title."""
        return _NOTES_HEAD_MM + self.notes * NOTE_LINE_MM if self.notes else 0.0

    def feet_mm(self, log: _Log, notes_side: int | None, sides: int) -> tuple[float, ...]:
        """The height of the foot of every side: all have the caution, the last one the log."""
        if self.paper.large:
            return (self.caution_mm,) * sides
        notes = [self.notes_mm if side == notes_side else 0.0 for side in range(sides)]
        notes[-1] += _LOG_MM + self.warnings * _WARNING_MM + log.height_mm
        return tuple(self.caution_mm + each for each in notes)

    def side_mm(self, first: bool, last: bool) -> float:
        """What a side has for its music when nothing but the caution and a log without rows stands below it."""
        if self.paper.large:
            return self.body_mm - _LARGE_SHORT_HEAD_MM - self.caution_mm - 2 * _GAP_MM
        log = _LOG_MM + self.warnings * _WARNING_MM if last else 0.0
        return self.body_mm - (self.head_mm if first else _SHORT_HEAD_MM) - self.caution_mm - log - 2 * _GAP_MM


@dataclass(frozen=True, slots=True)
class _Log:
    """The least log a page may have: its rows and their height."""

    rows: int
    row_mm: float

    @property
    def height_mm(self) -> float:
        """The height of all rows."""
        return self.rows * self.row_mm


@dataclass(frozen=True, slots=True)
class _Draft:
    """A rung with what it costs."""

    cost: float
    rung: Rung


# --- the ladder -------------------------------------------------------------------------------------------------------


def ladder(measure: Measure, room: Room, largest: float) -> tuple[Rung, ...]:
    """The rungs to try, the first that should fit first; at most four, the last one with a side to spare."""
    if room.paper.large:
        return tuple(replace(rung, head_alone=True) for rung in _large_ladder(measure, room, largest))
    first = _best(measure, room, largest)
    rungs = [first]
    if first.notes_side is not None or first.log_rows > _LEAST_LOG_ROWS or first.log_row_mm > _LOW_ROW_MM:
        rows = max(_LEAST_LOG_ROWS, min(first.log_rows, LOG_ROWS) - 1)
        feet = room.feet_mm(_Log(rows, _LOW_ROW_MM), None, first.sides)
        lower = replace(first, notes_side=None, log_rows=rows, log_row_mm=_LOW_ROW_MM)
        under_mm = measure.under_mm(first.staff_size)
        rungs.append(replace(lower, foot_mm=round(min(feet) + under_mm, 1), pads_mm=(0.0,) * first.sides))
    sizes = [max(first.staff_size - 1, 12.0)]
    # Two rows of log are better than the turn of a page; where it turns anyway, they save nothing.
    least = _Log(_LEAST_LOG_ROWS, _LOW_ROW_MM)
    smaller = _cheapest(measure, room, sizes, 1, least, 2 * _HOPE_MM) if first.sides == 1 else None
    larger = sorted({largest, first.staff_size}, reverse=True)
    # Of many sides one may be too full by LilyPond's count, though not in print: two more make it a system emptier.
    more = (1,) if first.sides == 1 else (1, 2)
    log = _Log(LOG_ROWS, _ROW_MM)
    wider = [_cheapest(measure, room, larger + sizes, first.sides + sides, log, 0.0) for sides in more]
    rungs += [draft.rung for draft in (smaller, *wider) if draft]
    return tuple(dict.fromkeys(rungs))


def _large_ladder(measure: Measure, room: Room, largest: float) -> Iterator[Rung]:
    """Music on sides of its own, on as few as should do, then on one and two more."""
    none, found = _Log(0, 0.0), 0
    sizes = [largest - step for step in range(int(max(largest - _LARGE_STAFF, 0)) + 1)]
    for sides in range(1, _MOST_SIDES + 1):
        draft = _cheapest(measure, room, sizes, sides, none, 0.0)
        if draft:
            yield draft.rung
            found += 1
        if found == 3 or (found and not draft):
            return
    if not found:
        raise ValueError(f"a study of more than {_MOST_SIDES} sides")


def _best(measure: Measure, room: Room, largest: float) -> Rung:
    """The cheapest way on the fewest sides; a log of two rows only where that saves the turn of a page."""
    smallest = ceil(_SMALLEST_PRINTED / room.paper.scale)
    sizes = [largest - step for step in range(int(max(largest - smallest, 0)) + 1)]
    for sides in range(1, _MOST_SIDES + 1):
        tries = [_Log(LOG_ROWS, _ROW_MM), _Log(LOG_ROWS, _LOW_ROW_MM), _Log(LOG_ROWS - 1, _LOW_ROW_MM)]
        if sides == 1:
            tries.append(_Log(_LEAST_LOG_ROWS, _LOW_ROW_MM))
        for log in tries:
            found = _cheapest(measure, room, sizes, sides, log, _HOPE_MM if log == tries[-1] and sides == 1 else 0.0)
            if found:
                return found.rung
    raise ValueError(f"a study of more than {_MOST_SIDES} sides")


def _cheapest(measure: Measure, room: Room, sizes: list[float], sides: int, log: _Log, hope_mm: float) -> _Draft | None:
    """The cheapest draft of so many sides over all sizes and deals; what is dear before it is tried is not tried."""
    best: _Draft | None = None
    for size in sizes:
        for deal in deals(measure, size):
            base = _PT * (max(sizes) - size) + _deal_cost(deal) + _rows_cost(log)
            if best and base >= best.cost:
                continue
            draft = _draft(measure, room, size, deal, sides, log, hope_mm, base)
            if draft and (best is None or draft.cost < best.cost):
                best = draft
    return best


def _rows_cost(log: _Log) -> float:
    """What missing rows cost a page that has a log."""
    return _ROWS_MISSING[max(0, LOG_ROWS - log.rows)] if log.rows else 0.0


def _draft(
    measure: Measure, room: Room, size: float, deal: Deal, sides: int, log: _Log, hope_mm: float, base: float
) -> _Draft | None:
    """The best way to lay these systems on so many sides, with its cost; None where they do not fit."""
    heights = [measure.system_mm(range(row[0].bar, row[-1].bar + 1), size) for row in deal.rows]
    if len(heights) < sides:
        return None
    spread = _spread(deal, heights, room, sides, log, hope_mm)
    if spread is None:
        return None
    turns, spares = spread
    bounds = [0, *turns, len(heights)]
    counts = [b - a for a, b in pairwise(bounds)]
    filled = _filled(room, spares, counts, log)
    feet = room.feet_mm(_Log(filled.rows, filled.row_mm), filled.notes_side, sides)
    rung = Rung(
        staff_size=size,
        system_starts=tuple(row[0].start for row in deal.rows),
        turns=tuple(deal.rows[turn][0].start for turn in turns),
        # A little under the even share, so that LilyPond stretches lines and never squeezes them.
        increment=round(deal.least_note_mm / SHORTEST_UNITS / space_mm(size) * 0.94, 3),
        reach_mm=round(_reach_mm(measure, deal, size) + min(_EASY_MM, *filled.airs_mm), 1),
        cues_kept=tuple(row.cue_kept for row in deal.widths),
        head_alone=False,
        ragged=deal.last_share < _RAGGED_BELOW,
        log_rows=filled.rows,
        log_row_mm=round(filled.row_mm, 2),
        notes_side=filled.notes_side,
        foot_mm=round(min(feet) + measure.under_mm(size), 1),
        pads_mm=tuple(
            round(min(foot - min(feet), max(0.0, air - _HELD_BACK_MM)), 1)
            for foot, air in zip(feet, filled.airs_mm, strict=True)
        ),
    )
    return _Draft(base + filled.cost + sum(_turn_cost(deal, end, n, room, sides) for n, end in enumerate(turns)), rung)


def _reach_mm(measure: Measure, deal: Deal, size: float) -> float:
    """The least way from system to system that suits all of them; nothing stands above the first."""
    below = deal.rows[1:] or deal.rows
    return max(measure.reach_mm(range(row[0].bar, row[-1].bar + 1), size) for row in below)


def _deal_cost(deal: Deal) -> float:
    """What uneven systems, wide or crowded notes and breaks inside a burst cost."""
    wide = max(0.0, deal.most_note_mm - _WIDE_NOTE_MM) * _WIDE
    too_wide = max(0.0, deal.most_note_mm - _WIDEST_NOTE_MM) * _TOO_WIDE
    crowded = max(0.0, _NEAR_NOTE_MM - deal.least_note_mm) * _CROWDED
    return wide + too_wide + crowded + _UNEVEN * deal.unevenness + deal.breaks_cost


# --- sides ------------------------------------------------------------------------------------------------------------


def _spread(
    deal: Deal, heights: list[float], room: Room, sides: int, log: _Log, hope_mm: float
) -> tuple[list[int], list[float]] | None:
    """Where new sides begin and what every side has to spare: air as even as can be, turns after a rest."""
    tops = [0.0]
    for height in heights:
        tops.append(tops[-1] + height)
    count = len(heights)

    def spare(begin: int, end: int, side: int) -> float:
        last = side == sides - 1
        return room.side_mm(side == 0, last) - (log.height_mm if last else 0.0) - (tops[end] - tops[begin])

    def cost(begin: int, end: int, side: int) -> float | None:
        left = spare(begin, end, side)
        if left < (-hope_mm if sides == 1 else _SAFE_MM * (end - begin)):
            return None
        air = left / (end - begin)
        turn = _turn_cost(deal, end, side, room, sides)
        turn += _LONE_SYSTEM if sides > 1 and end - begin == 1 else 0.0
        if side < sides - 1:
            return _air_cost(air) + turn
        # The last side has notes and a log to fill it with, within reason.
        over = left - room.notes_mm - _LONG_LOG_MM - _MOST_AIR_MM * (end - begin)
        return _air_cost(min(air, _MOST_AIR_MM)) + max(0.0, over) * _EMPTY + turn

    best: list[dict[int, tuple[float, tuple[int, ...]]]] = [{0: (0.0, ())}]
    for side in range(sides):
        reached: dict[int, tuple[float, tuple[int, ...]]] = {}
        for begin, (so_far, turns) in best[-1].items():
            ends = [count] if side == sides - 1 else range(begin + 1, count)
            for end in ends:
                price = cost(begin, end, side) if end > begin else None
                if price is not None and (end not in reached or so_far + price < reached[end][0]):
                    reached[end] = (so_far + price, (*turns, end))
        best.append(reached)
    if count not in best[-1]:
        return None
    bounds = [0, *best[-1][count][1]]
    return bounds[1:-1], [spare(a, b, side) for side, (a, b) in enumerate(pairwise(bounds))]


def _turn_cost(deal: Deal, end: int, side: int, room: Room, sides: int) -> float:
    """What it costs that *side* ends before system *end*: nothing where the hands rest, or where nobody turns."""
    rested = deal.rows[end - 1][-1].rests_at_end or not room.turns_at(side, sides)
    return 0.0 if rested else _NO_REST_AT_TURN


def _air_cost(air_mm: float) -> float:
    """What too much or too little air behind every system costs."""
    return max(0.0, air_mm - _MOST_AIR_MM) * 0.8 + max(0.0, 2.0 - air_mm) * 1.0


@dataclass(frozen=True, slots=True)
class _Filling:
    """What stands under the music: rows of the log and their height, the side with the practice notes."""

    cost: float
    rows: int
    row_mm: float
    notes_side: int | None
    airs_mm: tuple[float, ...]


def _filled(room: Room, spares: list[float], counts: list[int], log: _Log) -> _Filling:
    """The best filling: practice notes on one side or none, then more and higher rows of the log."""
    return min(_fillings(room, spares, counts, log), key=lambda filling: filling.cost)


def _fillings(room: Room, spares: list[float], counts: list[int], log: _Log) -> Iterator[_Filling]:
    last = len(spares) - 1
    if room.paper.large:
        airs = tuple(max(0.0, spare / count) for spare, count in zip(spares, counts, strict=True))
        yield _Filling(sum(map(_air_cost, airs)), 0, 0.0, None, airs)
        return
    # Of many sides the first may have them where it holds one system alone.
    first = {0} if last <= 1 or counts[0] == 1 else set()
    sides = [None, *sorted({last} | first)] if room.notes else [None]
    for side in sides:
        left = [spare - (room.notes_mm if at == side else 0.0) for at, spare in enumerate(spares)]
        if side is not None and left[side] < 2.0 * counts[side]:
            continue
        more, row_mm = log.rows, log.row_mm
        while more < _MOST_LOG_ROWS and left[last] > _EASY_MM * counts[last] + row_mm:
            more, left[last] = more + 1, left[last] - row_mm
        over = left[last] - _MOST_AIR_MM * counts[last]
        if over > 0:
            higher = min(_HIGH_ROW_MM, row_mm + over / more)
            row_mm, left[last] = higher, left[last] - more * (higher - row_mm)
        airs_mm = tuple(max(0.0, spare / count) for spare, count in zip(left, counts, strict=True))
        cost = sum(map(_air_cost, airs_mm)) + max(0, more - 8) * 0.7 + (2.0 if side is None else 0.0)
        yield _Filling(cost, more, row_mm, side, airs_mm)
