"""What written music needs on paper: the widths of its bars and, from `heights`, the heights of its systems.

Stage:    4 lay out (pure)
In, Out:  a `Music` and a staff size; millimetres
Units:    millimetres; staff spaces (ss), a quarter of the staff's height, where a name ends in `_ss`
Source:   our own measurements of trial pages: two-digit frets run together below about 5 mm from note to note
Not here: what makes a system high (`heights`), choosing among ways to break the music (`layout`)
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import accumulate, pairwise
from math import ceil, log2

from builder.pages.heights import LARGE_TYPE, USUAL_TYPE, Heights, labelled_bars
from builder.pages.notation import Item, beat_starts
from builder.pages.page import Music
from builder.pages.staff import signature_names, space_mm
from builder.theory.pitch import NoteName
from builder.theory.rhythm import Meter

_ONE_DIGIT_MM, _TWO_DIGIT_MM = 5.0, 6.0  # least way from fret number to fret number
_HEAD_WAY_MM = 4.2  # least way from note head to note head where no tablature stands below: a head, an accidental
# Space of the shortest note in units, and of twice its length one unit more: keeps rests narrow and bursts wide.
SHORTEST_UNITS = 4.0
_DIAGRAM_GAP_MM = 2.0  # between neighbours
_WORDS_GAP_MM = 3.0  # between the words of two cues: nearer, they read as one (our own choice)


Gap = tuple[Fraction, Fraction]  # an onset and the way to the next one


@dataclass(frozen=True, slots=True)
class ClosingCue:
    """Words under the last rest of a piece: their width, the units from the rest, and from the landing, to the end."""

    words_mm: float
    rest_units: float
    landing_units: float


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of music that is never broken: a bar, or some beats of a bar too long for a line.

    *words* are the cues under it: the units from its beginning, and how wide each is in millimetres.
    """

    start: Fraction
    bar: int
    ends_bar: bool
    units: float
    extra_ss: float
    rests_at_end: bool
    silent: bool
    labelled: bool
    cue: ClosingCue | None
    words: tuple[tuple[float, float], ...]


class Measure:
    """What a `Music` needs on paper at a given staff size."""

    def __init__(self, music: Music, meter: Meter, signature: int, line_mm: float) -> None:
        self._type = LARGE_TYPE if music.large else USUAL_TYPE
        self._music, self._meter, self._signature, self._line_mm = music, meter, signature, line_mm
        self._pieces: dict[float, tuple[Piece, ...]] = {}
        self._heights = Heights(music, self._type)

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
        digits = _TWO_DIGIT_MM if any(fret > 9 for fret in frets) else _ONE_DIGIT_MM
        digits = (_HEAD_WAY_MM if self._music.notation == "staff" else digits) * self._type.note_way
        return max([digits, *self._diagram_ways_mm()])

    def _diagram_ways_mm(self) -> Iterator[float]:
        """The way from note to note at which each diagram ends before the next one begins."""
        drawn = [(chord.onset, chord.diagram) for chord in self._music.chords if chord.diagram]
        for (onset, diagram), (after, neighbour) in pairwise(drawn):
            units = sum(self._units(gap) for gaps in self._gaps for at, gap in gaps if onset <= at < after)
            wide_mm = (diagram.right_mm + neighbour.left_mm) * self._type.diagram + _DIAGRAM_GAP_MM
            yield wide_mm * SHORTEST_UNITS / units

    def _units(self, gap: Fraction) -> float:
        """The room of a note that lasts until *gap* later."""
        return SHORTEST_UNITS + log2(float(gap / self.shortest))

    @cached_property
    def shortest(self) -> Fraction:
        """The shortest way from onset to onset; what spacing counts from."""
        return min(gap for gaps in self._gaps for _, gap in gaps)

    @cached_property
    def _wholes(self) -> tuple[Piece, ...]:
        """Every bar in one piece."""
        return tuple(self._piece(bar, gaps, ends_bar=True) for bar, gaps in enumerate(self._gaps))

    def _items(self) -> Iterator[Item]:
        for bar in self._music.bars:
            for voice in bar:
                yield from voice

    @cached_property
    def _gaps(self) -> tuple[tuple[Gap, ...], ...]:
        """For every bar the onsets over all its voices, each with the way to the next one."""
        return tuple(self._gaps_of(bar) for bar in range(len(self._music.bars)))

    def _gaps_of(self, bar: int) -> tuple[Gap, ...]:
        end = (bar + 1) * self._music.bar_length
        onsets = sorted({item.onset for voice in self._music.bars[bar] for item in voice})
        return tuple((a, b - a) for a, b in zip(onsets, [*onsets[1:], end], strict=True))

    @cached_property
    def _cue_at(self) -> dict[Fraction, float]:
        """The width of the words at each onset."""
        longest, letter = self._type.cue_most_mm, self._type.cue_letter_mm
        return {cue.onset: min(longest, len(cue.words) * letter) for cue in self._music.cues}

    def ways_mm(
        self, units: float, extra_ss: float, last: Piece, staff_size: float, first: bool
    ) -> tuple[float, float, float]:
        """The ways from one shortest note to the next in a system of so many units that ends with *last*.

        The first where no cue takes room; the second where words under the last rest begin under it, so that the
        notes may have to move closer; the third where they end with the line and begin under the landing at the
        earliest, 0 where they can't.
        """
        free = self._line_mm - self.lead_mm(staff_size, first) - extra_ss * space_mm(staff_size)
        way, cue = free / units, last.cue
        plain = way * SHORTEST_UNITS
        if cue is None:
            return plain, plain, 0.0
        kept = min(way, (free - cue.words_mm) / (units - cue.rest_units)) if units > cue.rest_units else way
        return plain, kept * SHORTEST_UNITS, plain if cue.words_mm <= cue.landing_units * way else 0.0

    def words_way_mm(self, pieces: Sequence[Piece], kept: bool) -> float:
        """The way from note to note at which no cue of these *pieces* runs into the next one.

        *kept*: the last one begins under its rest; else it ends with the line.
        """
        starts = accumulate((piece.units for piece in pieces), initial=0.0)
        cues = [(start + at, wide) for start, piece in zip(starts, pieces, strict=False) for at, wide in piece.words]
        total = sum(piece.units for piece in pieces)
        ways = [0.0]
        for (at, wide), (after, next_wide) in pairwise(cues):
            moved = not kept and (after, next_wide) == cues[-1]
            units, needed_mm = (total - at, wide + next_wide) if moved else (after - at, wide)
            ways.append((needed_mm + _WORDS_GAP_MM) / units)
        return max(ways) * SHORTEST_UNITS

    def width_mm(self, piece: Piece, staff_size: float) -> float:
        """The least width of a piece."""
        return piece.units * self.note_mm / SHORTEST_UNITS + piece.extra_ss * space_mm(staff_size)

    def lead_mm(self, staff_size: float, first: bool) -> float:
        """Clef, key signature and, at the very start, time signature."""
        signs = 0 if self._music.notation == "tab" else abs(self._signature)
        spaces = 5.0 + signs * 1.0 + (3.2 if first else 0) + (1.5 if first and self._music.repeats else 0)
        return spaces * space_mm(staff_size)

    def pieces(self, staff_size: float) -> tuple[Piece, ...]:
        """The bars; a bar too long for a line is cut where no note sounds on."""
        if staff_size not in self._pieces:
            self._pieces[staff_size] = self._pieces_at(staff_size)
        return self._pieces[staff_size]

    def _pieces_at(self, staff_size: float) -> tuple[Piece, ...]:
        room = self._line_mm - self.lead_mm(staff_size, first=True)
        found: list[Piece] = []
        for bar, whole in enumerate(self._wholes):
            width = self.width_mm(whole, staff_size)
            found += [whole] if width <= room else self._cut_to_fit(bar, ceil(width / room), room, staff_size)
        return tuple(found)

    def _cut_to_fit(self, bar: int, parts: int, room: float, staff_size: float) -> list[Piece]:
        """Cut into so many parts, or more where beats of unequal length leave one too long."""
        most = len(beat_starts(self._meter))
        cuts = (self._cut(bar, count) for count in range(parts, max(parts, most) + 1))
        last: list[Piece] = []
        for last in cuts:
            if all(self.width_mm(piece, staff_size) <= room for piece in last):
                break
        return last

    def _cut(self, bar: int, parts: int) -> list[Piece]:
        began = bar * self._music.bar_length
        edges = [began + start for start in beat_starts(self._meter)[1:] if self._clean(bar, began + start)]
        gaps, total = self._gaps[bar], self._wholes[bar].units
        chosen: list[Fraction] = []
        for part in range(1, parts):

            def off(edge: Fraction, aim: float = total * part / parts) -> float:
                return abs(self._piece(bar, tuple(g for g in gaps if g[0] < edge), False).units - aim)

            best = min(edges, key=off, default=None)
            if best is not None and best not in chosen:
                chosen.append(best)
        bounds = [began, *sorted(chosen), began + self._music.bar_length]
        return [
            self._piece(bar, tuple(g for g in gaps if a <= g[0] < b), ends_bar=b == bounds[-1])
            for a, b in pairwise(bounds)
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

    def _piece(self, bar: int, gaps: tuple[Gap, ...], ends_bar: bool) -> Piece:
        units = [self._units(gap) for _, gap in gaps]
        starts = {onset for onset, _ in gaps}
        items = [i for voice in self._music.bars[bar] for i in voice if i.onset in starts]
        accidentals = sum(1 for item in items if any(self._altered(note.pitch.name) for note in item.notes))
        fingered = sum(1 for i in items if len(i.notes) > 1 and i.fresh and any(n.finger_printed for n in i.notes))
        last = max(items, key=lambda item: item.onset)
        return Piece(
            start=gaps[0][0],
            bar=bar + 1,
            ends_bar=ends_bar,
            units=sum(units),
            extra_ss=1.5 + 0.5 * accidentals + 0.8 * fingered,
            rests_at_end=not last.notes,
            silent=not any(item.notes for item in items),
            labelled=bar + 1 in self._labelled,
            cue=None if last.notes else self._closing_cue(gaps, units, items),
            words=tuple(
                (sum(units[:at]), self._cue_at[onset]) for at, (onset, _) in enumerate(gaps) if onset in self._cue_at
            ),
        )

    def _closing_cue(self, gaps: tuple[Gap, ...], units: list[float], items: list[Item]) -> ClosingCue | None:
        """The last cue of a stretch of music that ends with a rest."""
        places = [k for k, (onset, _) in enumerate(gaps) if onset in self._cue_at]
        if not places:
            return None
        struck = [k for k, (onset, _) in enumerate(gaps) if any(i.onset == onset and i.notes for i in items)]
        landing = max((k for k in struck if k < places[-1]), default=0)
        return ClosingCue(self._cue_at[gaps[places[-1]][0]], sum(units[places[-1] :]), sum(units[landing:]))

    def _altered(self, name: NoteName) -> bool:
        return name not in signature_names(self._signature)

    @cached_property
    def _labelled(self) -> frozenset[int]:
        """The bars under a section label."""
        return labelled_bars(self._music)

    def system_mm(self, bars: Iterable[int], staff_size: float) -> float:
        """The height of a system of these *bars*, least air around it included."""
        return self._heights.system_mm(bars, staff_size)

    def reach_mm(self, bars: Iterable[int], staff_size: float) -> float:
        """From the middle of the staff above to the middle of the first one of a system of these *bars*, at least."""
        return self._heights.reach_mm(bars, staff_size)

    def under_mm(self, staff_size: float) -> float:
        """From the middle of the last staff to the foot, at least."""
        return self._heights.under_mm(staff_size)
