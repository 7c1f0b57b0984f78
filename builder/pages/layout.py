"""How a study is laid on paper: staff size, bars a system, sides, turns, log rows; the ladder of rungs.

Stage:    4 lay out (pure)
In, Out:  a `Measure` and the millimetres its page leaves; `Rung`s, the most generous first
Units:    millimetres
Source:   staff sizes: E. Gould, *Behind Bars*, 2011, holds 5.5 mm (15.6 pt) for the smallest playing size
Not here: whether a page really fits; LilyPond decides, and the engraver then takes the next rung
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from builder.pages.measure import SHORTEST_UNITS, Measure, Piece, space_mm
from builder.pages.page import Paper, Rung

_SMALLEST_STAFF = 16.0  # see the docstring: just above the smallest size for players
_WIDEST_NOTE_MM = 11.5  # above this a burst no longer looks like one gesture (our own choice)
_MOST_BARS = 4
LOG_ROWS = 4
_LEAST_LOG_ROWS = 2
_MOST_LOG_ROWS = 12
LOG_ROW_MM, LOG_HEAD_MM = 5.7, 5.0
_LOG_MM = 4.4 + LOG_HEAD_MM  # label and head row
_CAUTION_MM, _WARNING_MM = 5.4, 5.0
NOTE_LINE_MM, _NOTES_HEAD_MM = 5.2, 10.5
_SHORT_HEAD_MM = 9.0
_GAP_MM = 2.2  # between head, music and foot
_FURNITURE_MM = 7.4  # running head above the title
_SLACK_MM = 9.0  # air a system gains on a page with room (our own choice)
_LOOSE_MM = 16.0  # more air than this behind every system looks like a gap
_HOPE_MM = 9.0  # how far our measure was wrong at most on trial pages
_RUNGS = 5


@dataclass(frozen=True, slots=True)
class Room:
    """What the page around the music takes: the title block, practice notes and warnings."""

    paper: Paper
    head_mm: float
    notes: int
    warnings: int

    @property
    def body_mm(self) -> float:
        """From below the running head to above the foot."""
        return self.paper.height_mm - self.paper.top_mm - self.paper.foot_mm - _FURNITURE_MM

    def foot_mm(self, log_rows: int, notes: bool) -> float:
        """Height of log, caution and practice notes."""
        extra = _NOTES_HEAD_MM + self.notes * NOTE_LINE_MM if notes else 0
        return _LOG_MM + log_rows * LOG_ROW_MM + _CAUTION_MM + extra + self.warnings * _WARNING_MM


# --- choosing ---------------------------------------------------------------------------------------------------------


def ladder(measure: Measure, room: Room, largest: float, line_mm: float) -> tuple[Rung, ...]:
    """The rungs to try, the first that should fit first; at most five, the last one with a side to spare."""
    first = _best(measure, room, largest, line_mm)
    sides = first.sides
    tighter = [_with_log(first, rows) for rows in (first.log_rows - 1, first.log_rows - 2) if rows >= _LEAST_LOG_ROWS]
    if first.notes:
        tighter.insert(0, _with_log(first, min(first.log_rows, LOG_ROWS), notes=False))
    smaller = _rung(measure, line_mm, max(first.staff_size - 1, 12), _bars_like(first), sides, _LEAST_LOG_ROWS, False)
    wider = _rung(measure, line_mm, first.staff_size, _bars_like(first), sides + 1, LOG_ROWS, False)
    rungs = [first, *tighter[: _RUNGS - 3], *([smaller] if smaller else []), *([wider] if wider else [])]
    return tuple(dict.fromkeys(rungs))


def _with_log(rung: Rung, rows: int, notes: bool | None = None) -> Rung:
    return replace(rung, log_rows=rows, notes=rung.notes if notes is None else notes)


def _bars_like(rung: Rung) -> int:
    return len(rung.system_starts)


def _best(measure: Measure, room: Room, largest: float, line_mm: float) -> Rung:
    """The largest staff on the fewest sides that leaves a log of at least two rows."""
    sizes = [largest - step for step in range(int(max(largest - _SMALLEST_STAFF, 0)) + 1)]
    for sides in range(1, 100):
        for rows in range(LOG_ROWS, _LEAST_LOG_ROWS - 1, -1):
            for size in sizes:
                if rows == LOG_ROWS or size == sizes[-1] or size >= largest - 1:
                    found = _filled(measure, room, size, sides, rows, line_mm)
                    if found:
                        return found
    raise ValueError("a study of more than a hundred sides")


def _filled(measure: Measure, room: Room, size: float, sides: int, rows: int, line_mm: float) -> Rung | None:
    """The fullest way at this size: as many systems as fit, then practice notes, then more log rows."""
    for count in _system_counts(measure, size, line_mm):
        rung = _rung(measure, line_mm, size, count, sides, rows, False)
        if rung and _fits(rung, measure, room):
            return _fill_up(_pulled_forward(rung, measure, room), measure, room)
    return None


def _pulled_forward(rung: Rung, measure: Measure, room: Room) -> Rung:
    """Where two sides would be half empty, fill the first: the second one has a log and notes to fill it with."""
    while rung.sides == 2:
        on_first = rung.system_starts.index(rung.turns[0])
        if _spares_mm(rung, measure, room)[0] / on_first <= _LOOSE_MM or on_first + 1 >= len(rung.system_starts):
            break
        later = replace(rung, turns=(rung.system_starts[on_first + 1],))
        if not _fits(later, measure, room):
            break
        rung = later
    return rung


def _fill_up(rung: Rung, measure: Measure, room: Room) -> Rung:
    """Use what is left of the page: practice notes where they leave air around the music, then log rows."""
    if room.notes and _spares_mm(rung, measure, room)[-1] > _NOTES_HEAD_MM + room.notes * NOTE_LINE_MM + 12:
        rung = _with_log(rung, rung.log_rows, notes=True)
    slack = _SLACK_MM * sum(1 for start in rung.system_starts if not rung.turns or start >= rung.turns[-1])
    while rung.log_rows < _MOST_LOG_ROWS and _spares_mm(rung, measure, room)[-1] > slack + LOG_ROW_MM:
        rung = _with_log(rung, rung.log_rows + 1)
    return rung


def _system_counts(measure: Measure, size: float, line_mm: float) -> list[int]:
    """Numbers of systems worth trying, most first: bars divide evenly where they can, and never look stretched."""
    pieces = measure.pieces(size)
    least = _fewest_systems(measure, pieces, size, line_mm)
    counts = [
        n for n in range(least, len(pieces) + 1) if n == least or not _stretched(measure, pieces, size, n, line_mm)
    ]
    even = [n for n in counts if len(pieces) % n == 0]
    return sorted(even, reverse=True) + sorted(set(counts) - set(even), reverse=True)


def _stretched(measure: Measure, pieces: tuple[Piece, ...], size: float, count: int, line_mm: float) -> bool:
    return _note_mm(measure, _deal(pieces, count), size, line_mm) > _WIDEST_NOTE_MM


def _fewest_systems(measure: Measure, pieces: tuple[Piece, ...], size: float, line_mm: float) -> int:
    for count in range(max(1, ceil(len(pieces) / _MOST_BARS)), len(pieces) + 1):
        if _note_mm(measure, _deal(pieces, count), size, line_mm) >= measure.note_mm:
            return count
    return len(pieces)


def _deal(pieces: tuple[Piece, ...], count: int) -> list[tuple[Piece, ...]]:
    """Deal pieces onto *count* systems, full systems first so that only the last one is short."""
    full = ceil(len(pieces) / count)
    rows = [pieces[k : k + full] for k in range(0, len(pieces), full)]
    return rows


def _note_mm(measure: Measure, rows: list[tuple[Piece, ...]], size: float, line_mm: float) -> float:
    """The way between two shortest notes in the fullest system."""
    ways = []
    for number, row in enumerate(rows):
        free = line_mm - measure.lead_mm(size, number == 0) - sum(piece.extra_ss for piece in row) * space_mm(size)
        ways.append(free / sum(piece.units for piece in row) * SHORTEST_UNITS)
    return min(ways)


def _rung(
    measure: Measure, line_mm: float, size: float, systems: int, sides: int, log_rows: int, notes: bool
) -> Rung | None:
    pieces = measure.pieces(size)
    rows = _deal(pieces, min(systems, len(pieces)))
    if len(rows) < sides:
        return None
    turns = _turns(rows, sides)
    # A little under the even share, so that LilyPond stretches lines and never squeezes them.
    step = _note_mm(measure, rows, size, line_mm) / SHORTEST_UNITS / space_mm(size) * 0.94
    short_last = len(rows) > 1 and sum(p.units for p in rows[-1]) < 0.8 * sum(p.units for p in rows[0])
    return Rung(size, tuple(row[0].start for row in rows), turns, round(step, 3), short_last, log_rows, notes)


def _turns(rows: list[tuple[Piece, ...]], sides: int) -> tuple[Fraction, ...]:
    """Where new sides begin: near the even share, after a rest where one is at hand, so that a hand is free to turn."""
    turns: list[int] = []
    for side in range(1, sides):
        even = round(len(rows) * side / sides)
        least = turns[-1] if turns else 0
        near = [k for k in (even, even + 1, even - 1) if least < k <= len(rows) - (sides - side)]
        turns.append(next((k for k in near if rows[k - 1][-1].rests_at_end), near[0]))
    return tuple(rows[k][0].start for k in turns)


def _bars_of_systems(rung: Rung, bar_length: Fraction, bars: int) -> list[range]:
    """The bars each system shows, counted from 1."""
    firsts = [int(start / bar_length) + 1 for start in rung.system_starts]
    ends = [ceil(start / bar_length) for start in rung.system_starts[1:]] + [bars]
    return [range(first, max(first, end) + 1) for first, end in zip(firsts, ends, strict=True)]


def _spares_mm(rung: Rung, measure: Measure, room: Room) -> list[float]:
    """What every side has left over."""
    shown = _bars_of_systems(rung, measure.bar_length, measure.bars)
    heights = [measure.system_mm(bars, rung.staff_size) for bars in shown]
    side_of = [sum(1 for turn in rung.turns if turn <= start) for start in rung.system_starts]
    spares = []
    for side in range(rung.sides):
        head = room.head_mm if side == 0 else _SHORT_HEAD_MM
        foot = room.foot_mm(rung.log_rows, rung.notes) if side == rung.sides - 1 else _CAUTION_MM
        music = sum(height for height, at in zip(heights, side_of, strict=True) if at == side)
        spares.append(room.body_mm - head - foot - 2 * _GAP_MM - music)
    return spares


def _spare_mm(rung: Rung, measure: Measure, room: Room) -> float:
    return min(_spares_mm(rung, measure, room))


def _fits(rung: Rung, measure: Measure, room: Room) -> bool:
    """Whether every side has room; the tightest one-side page may be tried when the rule says just not.

    Turning a page in the middle of a study is worse than one more attempt of the engraver.
    """
    last_resort = rung.sides == 1 and rung.log_rows == _LEAST_LOG_ROWS and rung.staff_size <= _SMALLEST_STAFF
    return _spare_mm(rung, measure, room) >= (-_HOPE_MM if last_resort else 0)
