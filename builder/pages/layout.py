"""How a study is laid on paper: staff size, bars a system, sides, turns, log rows; the ladder of rungs.

Stage:    4 lay out (pure)
In, Out:  a `Music` and the millimetres its page leaves; `Rung`s, the most generous first
Units:    millimetres; staff spaces (ss), a quarter of the staff's height, where a name ends in `_ss`
Source:   note distances: our own measurements of printed trial pages (two-digit frets run together below about
          5 mm); staff sizes: E. Gould, *Behind Bars*, 2011, holds 5.5 mm (15.6 pt) for the smallest playing size
Not here: whether a page really fits; LilyPond decides, and the engraver then takes the next rung
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from math import ceil, log2

from builder.pages.notation import Item, beat_starts
from builder.pages.page import Music, Paper, Rung
from builder.theory.rhythm import Meter

_PT_MM = 25.4 / 72.27  # LilyPond's point
_SMALLEST_STAFF = 16.0  # see the docstring: just above the smallest size for players
_ONE_DIGIT_MM, _TWO_DIGIT_MM = 5.0, 6.0  # least way from fret number to fret number
_WIDEST_NOTE_MM = 11.5  # above this a burst no longer looks like one gesture (our own choice)
# Space of the shortest note in units, and of twice its length one unit more: keeps rests narrow and bursts wide.
SHORTEST_UNITS = 4.0
_MOST_BARS = 4
LOG_ROWS = 4
_LEAST_LOG_ROWS = 2
_MOST_LOG_ROWS = 12
LOG_ROW_MM, LOG_HEAD_MM = 5.7, 5.0
_LOG_MM = 4.4 + LOG_HEAD_MM  # label and head row
_CAUTION_MM, _WARNING_MM = 5.4, 5.0
NOTE_LINE_MM, _NOTES_HEAD_MM = 5.2, 10.5
_SHORT_HEAD_MM = 9.0
_SYSTEM_GAP_MM = 2.3
_GAP_MM = 2.2  # between head, music and foot
_FURNITURE_MM = 7.4  # running head above the title
_SLACK_MM = 9.0  # air a system gains on a page with room (our own choice)
_LOOSE_MM = 16.0  # more air than this behind every system looks like a gap
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


@dataclass(frozen=True, slots=True)
class _Piece:
    """A stretch of music that is never broken: a bar, or some beats of a bar too long for a line."""

    start: Fraction
    bar: int
    ends_bar: bool
    units: float
    extra_ss: float
    rests_at_end: bool


class Measure:
    """What a `Music` needs on paper at a given staff size."""

    def __init__(self, music: Music, meter: Meter, signature: int, line_mm: float) -> None:
        self._music, self._meter, self._signature, self._line_mm = music, meter, signature, line_mm

    @property
    def bar_length(self) -> Fraction:
        """The length of a bar."""
        return self._music.bar_length

    @property
    def bars(self) -> int:
        """How many bars."""
        return len(self._music.bars)

    @cached_property
    def note_mm(self) -> float:
        """The least way from one shortest note to the next."""
        frets = [note.fret for item in self._items() for note in item.notes]
        return _TWO_DIGIT_MM if any(fret > 9 for fret in frets) else _ONE_DIGIT_MM

    @cached_property
    def shortest(self) -> Fraction:
        """The shortest way from onset to onset; what spacing counts from."""
        return min(gap for bar in range(len(self._music.bars)) for _, gap in self._gaps(bar))

    def _items(self) -> Iterator[Item]:
        for bar in self._music.bars:
            for voice in bar:
                yield from voice

    def _gaps(self, bar: int) -> list[tuple[Fraction, Fraction]]:
        """Onsets of a bar (from 0) over all voices, each with the way to the next one."""
        end = (bar + 1) * self._music.bar_length
        onsets = sorted({item.onset for voice in self._music.bars[bar] for item in voice})
        return [(a, b - a) for a, b in zip(onsets, [*onsets[1:], end], strict=True)]

    def width_mm(self, piece: _Piece, staff_size: float) -> float:
        """The least width of a piece."""
        return piece.units * self.note_mm / SHORTEST_UNITS + piece.extra_ss * space_mm(staff_size)

    def lead_mm(self, staff_size: float, first: bool) -> float:
        """Clef, key signature and, at the very start, time signature."""
        spaces = 5.0 + abs(self._signature) * 1.0 + (3.2 if first else 0) + (1.5 if first and self._music.repeats else 0)
        return spaces * space_mm(staff_size)

    def pieces(self, staff_size: float) -> tuple[_Piece, ...]:
        """The bars; a bar too long for a line is cut where no note sounds on."""
        room = self._line_mm - self.lead_mm(staff_size, first=True)
        found: list[_Piece] = []
        for bar in range(len(self._music.bars)):
            whole = self._piece(bar, self._gaps(bar), ends_bar=True)
            width = self.width_mm(whole, staff_size)
            found += [whole] if width <= room else self._cut(bar, ceil(width / room))
        return tuple(found)

    def _cut(self, bar: int, parts: int) -> list[_Piece]:
        began = bar * self._music.bar_length
        edges = [began + start for start in beat_starts(self._meter)[1:] if self._clean(bar, began + start)]
        gaps = self._gaps(bar)
        total = self._piece(bar, gaps, ends_bar=True).units
        chosen: list[Fraction] = []
        for part in range(1, parts):
            def off(edge: Fraction, aim: float = total * part / parts) -> float:
                return abs(self._piece(bar, [g for g in gaps if g[0] < edge], False).units - aim)

            best = min(edges, key=off, default=None)
            if best is not None and best not in chosen:
                chosen.append(best)
        bounds = [began, *sorted(chosen), began + self._music.bar_length]
        return [
            self._piece(bar, [g for g in gaps if a <= g[0] < b], ends_bar=b == bounds[-1])
            for a, b in zip(bounds, bounds[1:], strict=False)
        ]

    def _clean(self, bar: int, edge: Fraction) -> bool:
        """Whether a system may end at *edge* inside a bar: nothing is written across it."""
        for voice in self._music.bars[bar]:
            open_bracket = False
            for item in voice:
                if item.onset < edge < item.onset + item.length or (item.onset == edge and open_bracket):
                    return False
                open_bracket = (open_bracket or item.opens is not None) and not item.closes
        return True

    def _piece(self, bar: int, gaps: list[tuple[Fraction, Fraction]], ends_bar: bool) -> _Piece:
        units = sum(SHORTEST_UNITS + log2(gap / self.shortest) for _, gap in gaps)
        starts = {onset for onset, _ in gaps}
        items = [i for voice in self._music.bars[bar] for i in voice if i.onset in starts]
        accidentals = sum(1 for item in items if any(self._altered(note.pitch.name) for note in item.notes))
        last = max(items, key=lambda item: item.onset)
        return _Piece(gaps[0][0], bar + 1, ends_bar, units, 1.5 + 0.5 * accidentals, not last.notes)

    def _altered(self, name: object) -> bool:
        return name not in signature_names(self._signature)

    def system_mm(self, bars: Iterable[int], staff_size: float) -> float:
        """The height of a system of these *bars* and the least gap behind it."""
        return self._system_ss(tuple(bars)) * space_mm(staff_size) + _SYSTEM_GAP_MM

    def _system_ss(self, bars: tuple[int, ...]) -> float:
        """Section label, chord names, staff, strokes, tablature, cues. The parts were measured on trial pages."""
        music = self._music
        items = [item for bar in bars for voice in music.bars[bar - 1] for item in voice]
        heights = [staff_height(note, music, item) for item in items for note in item.notes] or [0.0]
        brackets = any(item.opens for item in items)
        up, down = music.stems != "down", music.stems != "up"
        marked = any(note.accent or note.finger_printed for item in items for note in item.notes)
        top = max(heights) + (3.2 if up else 0.5)
        over = (max(5.2, top + 2.2) if marked else max(2.3, top + 0.3)) + (1.2 if brackets and up else 0)
        over += 2.6 if music.chords else 0
        over += 1.0 if any(bar in music.octave_up for bar in bars) else 0
        over += 2.8 if any(bar in dict(music.labels) for bar in bars) else 0
        under = max(2.0, -min(heights) + (3.2 if down else 0.5)) + (1.0 if brackets and down else 0)
        tab = 0.75 * (music.instrument.strings - 1)
        middle = max(9.5, under + (3.3 if music.strokes else 0.8) + tab + 0.6)
        return over + middle + tab + (3.2 if music.cues else 0.6)


def staff_height(note: object, music: Music, item: Item) -> float:
    """How many staff spaces *note* is printed above the middle line."""
    bar = int(item.onset / music.bar_length) + 1
    octave = 7 if bar in music.octave_up else 0
    return (note.pitch.step - octave - middle_line(music.instrument.clef)) / 2  # type: ignore[attr-defined]


# Sounding note on the middle line, as letters above C0: B4 in the treble clef, D3 in the bass clef; an octave lower
# where the clef carries an 8 below.
_MIDDLE_LINES = {"treble": 34, "treble_8": 27, "bass": 22, "bass_8": 15, "alto": 28, "tenor": 26}


def middle_line(clef: str) -> int:
    """The sounding staff place of the middle line under *clef*."""
    return _MIDDLE_LINES[clef]


def signature_names(signature: int) -> frozenset[object]:
    """The notes a signature of so many sharps (flats: negative) prints without accidentals."""
    from builder.theory.pitch import NoteName

    sharps, flats = "FCGDAEB", "BEADGCF"
    altered = sharps[:signature] if signature > 0 else flats[:-signature]
    sign = 1 if signature > 0 else -1
    return frozenset(NoteName("CDEFGAB".index(letter), sign if letter in altered else 0) for letter in "CDEFGAB")


def space_mm(staff_size: float) -> float:
    """A staff space in millimetres."""
    return staff_size / 4 * _PT_MM


# --- choosing ---------------------------------------------------------------------------------------------------------


def ladder(measure: Measure, room: Room, largest: float, line_mm: float) -> tuple[Rung, ...]:
    """The rungs to try, the first that should fit first; at most five, the last one with a side to spare."""
    first = _best(measure, room, largest, line_mm)
    sides = first.sides
    tighter = [
        _with_log(first, rows) for rows in (first.log_rows - 1, first.log_rows - 2) if rows >= _LEAST_LOG_ROWS
    ]
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
    counts = [n for n in range(least, len(pieces) + 1) if n == least or not _stretched(measure, pieces, size, n, line_mm)]
    even = [n for n in counts if len(pieces) % n == 0]
    return sorted(even, reverse=True) + sorted(set(counts) - set(even), reverse=True)


def _stretched(measure: Measure, pieces: tuple[_Piece, ...], size: float, count: int, line_mm: float) -> bool:
    return _note_mm(measure, _deal(pieces, count), size, line_mm) > _WIDEST_NOTE_MM


def _fewest_systems(measure: Measure, pieces: tuple[_Piece, ...], size: float, line_mm: float) -> int:
    for count in range(max(1, ceil(len(pieces) / _MOST_BARS)), len(pieces) + 1):
        if _note_mm(measure, _deal(pieces, count), size, line_mm) >= measure.note_mm:
            return count
    return len(pieces)


def _deal(pieces: tuple[_Piece, ...], count: int) -> list[tuple[_Piece, ...]]:
    """Deal pieces onto *count* systems, full systems first so that only the last one is short."""
    full = ceil(len(pieces) / count)
    rows = [pieces[k : k + full] for k in range(0, len(pieces), full)]
    return rows


def _note_mm(measure: Measure, rows: list[tuple[_Piece, ...]], size: float, line_mm: float) -> float:
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


def _turns(rows: list[tuple[_Piece, ...]], sides: int) -> tuple[Fraction, ...]:
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
    return _spare_mm(rung, measure, room) >= 0
