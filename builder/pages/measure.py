"""What written music needs on paper: widths of bars, heights of systems.

Stage:    4 lay out (pure)
In, Out:  a `Music` and a staff size; millimetres
Units:    millimetres; staff spaces (ss), a quarter of the staff's height, where a name ends in `_ss`
Source:   our own measurements of trial pages: two-digit frets run together below about 5 mm from note to note;
          heights were fitted to 245 pairs of neighbouring systems of the demonstration book, set as tightly as LilyPond
          sets them: four in five agree within 3 mm; on average ours are 1.3 mm too large, at worst 7 mm too large and
          5 mm too small, as marks and words of two systems may or may not meet; systems with signs of technique,
          diagrams or two voices were set against 76 engraved ones: ours are 5 mm above the ink on average, 13 mm at
          most and 2 mm below it at worst. They lean to the large side because LilyPond, to count pages, piles up whole
          boxes where signs of two voices in fact stand side by side
Not here: choosing among ways to break the music (`layout`)
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property
from itertools import pairwise
from math import ceil, log2

from builder.pages.notation import Item, beat_starts
from builder.pages.page import Music
from builder.theory.pitch import NoteName
from builder.theory.rhythm import Meter

_PT_MM = 25.4 / 72.27  # LilyPond's point
_ONE_DIGIT_MM, _TWO_DIGIT_MM = 5.0, 6.0  # least way from fret number to fret number
_HEAD_WAY_MM = 4.2  # least way from note head to note head where no tablature stands below: a head, an accidental
# Space of the shortest note in units, and of twice its length one unit more: keeps rests narrow and bursts wide.
SHORTEST_UNITS = 4.0
# In staff spaces: from the staff's top line to the middle of the tablature at least; strokes; a
# tuplet's bracket.
_STAVES_SS, _STROKES_SS, _BRACKET_SS, _HALF_STAFF_SS = 12.9, 1.5, 1.0, 2.0
_STEM_UNDER_SS, _HEAD_UNDER_SS, _STEM_OVER_SS, _CALM_SS = 8.8, 6.0, 3.0, 2.0
_LEDGER_SS, _FEW_LEDGERS_SS = 0.7, -4.5  # ledger lines and their accidentals push strokes further down
# From the tablature of one system to the staff of the next, without and with chord names; more for every staff space
# that notes rise above a calm line.
_LANES_MM, _RISE_MM, _MOST_RISE_MM = (8.8, 15.6), (1.4, 1.5), 6.0
_LABEL_MM, _OCTAVE_MM, _CUES_MM, _MARKS_MM = 3.6, 2.5, 3.5, 1.4
# One staff alone: its height; stems, a head; the fingers, strings and strokes that stand over it; stems of a tablature.
_STAFF_SS, _STEM_SS, _HEAD_SS, _PILE_SS, _HAND_SS, _TAB_STEM_SS = 4.0, 3.6, 0.8, 5.5, 3.5, 4.2
_ALONE_MM = 3.0  # fingers and accents over both staves that the lane over one counts already
_HAND_MM, _BELOW_MM = 6.0, 6.2  # a lane of barres and shifts; a lane of letters under the tablature
_PLAIN_MM, _SLURS_MM = 3.0, 2.5  # what accents and fingers take as a rule; slurs on top of them
_VOICES_MM = 3.5  # over a lower voice the upper one rests, where chord names stand
_SLUR_LANE_SS, _BEND_SS = 1.6, 1.5  # what slurs lift the lane over the tablature by; what an arrow rises over that
_DIAGRAM_GAP_MM = 2.0  # between neighbours


@dataclass(frozen=True, slots=True)
class _Type:
    """What depends on the size of words and figures: a gap of the tablature in staff spaces, a letter of a cue in bold
    sans, on the wide side, and style.ily's limit for all of it, how much diagrams and ways from note to note grow,
    what the lanes around the staves take more."""

    tab_ss: float
    cue_letter_mm: float
    cue_most_mm: float
    diagram: float
    note_way: float
    lanes_mm: float


_USUAL_TYPE = _Type(1.5, 1.95, 46.0, 1.0, 1.0, 0.0)
_LARGE_TYPE = _Type(1.9, 3.15, 60.0, 2.15, 1.4, 9.0)

Gap = tuple[Fraction, Fraction]  # an onset and the way to the next one


@dataclass(frozen=True, slots=True)
class ClosingCue:
    """Words under the last rest of a piece: their width, the units from the rest, and from the landing, to the end."""

    words_mm: float
    rest_units: float
    landing_units: float


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of music that is never broken: a bar, or some beats of a bar too long for a line."""

    start: Fraction
    bar: int
    ends_bar: bool
    units: float
    extra_ss: float
    rests_at_end: bool
    silent: bool
    labelled: bool
    cue: ClosingCue | None


class Measure:
    """What a `Music` needs on paper at a given staff size."""

    def __init__(self, music: Music, meter: Meter, signature: int, line_mm: float) -> None:
        self._type = _LARGE_TYPE if music.large else _USUAL_TYPE
        self._music, self._meter, self._signature, self._line_mm = music, meter, signature, line_mm
        self._pieces: dict[float, tuple[Piece, ...]] = {}
        self._heights: dict[tuple[int, ...], tuple[float, float]] = {}

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
        return frozenset(bar for bar, _ in self._music.labels)

    def system_mm(self, bars: Iterable[int], staff_size: float) -> float:
        """The height of a system of these *bars*, least air around it included."""
        spaces, around_mm = self._height_of(tuple(bars))
        return spaces * space_mm(staff_size) + around_mm

    def reach_mm(self, bars: Iterable[int], staff_size: float) -> float:
        """From the middle of the staff above to the middle of the first one of a system of these *bars*, at least."""
        spaces, around_mm = self._height_of(tuple(bars))
        half_tab = self._type.tab_ss * (self._music.instrument.strings - 1) / 2
        if self._music.notation != "both":
            return around_mm + spaces * space_mm(staff_size)
        return around_mm + (half_tab + _HALF_STAFF_SS) * space_mm(staff_size)

    def _height_of(self, bars: tuple[int, ...]) -> tuple[float, float]:
        if bars not in self._heights:
            self._heights[bars] = self._height(bars)
        return self._heights[bars]

    def _height(self, bars: tuple[int, ...]) -> tuple[float, float]:
        """Staff spaces from the staff's top line to the tablature's last, and millimetres around them.

        Chord names, cues and labels are set in points, whatever the staff size. All numbers were fitted to trial
        pages: see the docstring of the module.
        """
        music = self._music
        looks = [self._looks[bar - 1] for bar in bars]
        up, down = music.stems != "down", music.stems != "up"
        bracket = _BRACKET_SS if any(look.brackets for look in looks) else 0.0
        lowest, highest = min(look.bottom for look in looks), max(look.top for look in looks)
        tab = self._type.tab_ss * (music.instrument.strings - 1)
        under = (_STEM_UNDER_SS if down else _HEAD_UNDER_SS) - lowest + (bracket if down else 0.0)
        under += _LEDGER_SS * max(0.0, _FEW_LEDGERS_SS - lowest)
        slurs, bends = any(look.slurs for look in looks), any(look.bends for look in looks)
        under += (_SLUR_LANE_SS if slurs else 0.0) + (_BEND_SS if bends else 0.0)
        between = max(_STAVES_SS - tab / 2, under - (0.0 if music.lane_above else _STROKES_SS))
        high = between + tab
        if music.notation == "staff":
            high = max(_STAFF_SS, _HALF_STAFF_SS - lowest + (_STEM_SS + bracket if down else _HEAD_SS))
            high += _PILE_SS + (_SLUR_LANE_SS if slurs else 0.0)
        elif music.notation == "tab":
            high = tab + _TAB_STEM_SS * (up + down) + bracket + _HAND_SS + (_BEND_SS if bends else 0.0)
        rise = max(0.0, highest + (_STEM_OVER_SS + bracket if up else 0.0) - _CALM_SS)
        around = _LANES_MM[bool(music.chords)] + min(rise * _RISE_MM[bool(music.chords)], _MOST_RISE_MM)
        # Without a lane of chord names, fingers and accents over beams are what the system above must clear.
        marked = any(look.marked for look in looks)
        around += _MARKS_MM if up and not music.chords and marked else 0.0
        around += (0.0 if marked else -_PLAIN_MM) + (_SLURS_MM if slurs else 0.0)
        around += _LABEL_MM if any(bar in self._labelled for bar in bars) else 0.0
        around += _OCTAVE_MM if any(bar in music.octave_up for bar in bars) else 0.0
        around -= 0.0 if music.cues else _CUES_MM
        around += _BELOW_MM if music.lane_below else 0.0
        around -= _VOICES_MM if up and down and music.chords else 0.0
        around += _HAND_MM if any(bar in self._handed for bar in bars) else 0.0
        around += max((self._diagram_mm.get(bar, 0.0) for bar in bars), default=0.0)
        around += self._type.lanes_mm
        return high, around - (_ALONE_MM if music.notation != "both" else 0.0)

    @cached_property
    def _handed(self) -> frozenset[int]:
        """The bars with a barre or a shift over them."""
        length, spans = self.bar_length, [(barre.onset, barre.last) for barre in self._music.barres]
        spans += [(shift.onset, shift.onset) for shift in self._music.shifts]
        return frozenset(bar for a, b in spans for bar in range(int(a / length) + 1, int(b / length) + 2))

    @cached_property
    def _diagram_mm(self) -> dict[int, float]:
        """How high the diagrams over each bar are."""
        heights: dict[int, float] = {}
        for chord in self._music.chords:
            if chord.diagram:
                bar = int(chord.onset / self.bar_length) + 1
                heights[bar] = max(heights.get(bar, 0.0), chord.diagram.height_mm * self._type.diagram)
        return heights

    @cached_property
    def _looks(self) -> tuple[_Look, ...]:
        """What is tall in every bar."""
        return tuple(self._look(bar) for bar in range(1, self.bars + 1))

    def _look(self, bar: int) -> _Look:
        items = [item for voice in self._music.bars[bar - 1] for item in voice]
        notes = [note for item in items for note in item.notes]
        middle = middle_line(self._music.instrument.clef) + (7 if bar in self._music.octave_up else 0)
        heights = [(note.pitch.step - middle) / 2 for note in notes] or [0.0]
        marked = any(note.accent or note.finger_printed for note in notes)
        return _Look(
            top=max(heights),
            bottom=min(heights),
            marked=marked,
            brackets=any(item.opens for item in items),
            slurs=any(item.join.staff for item in items),
            bends=any(note.technique == "bend" for note in notes),
        )


@dataclass(frozen=True, slots=True)
class _Look:
    """What makes a bar tall: its highest and lowest note in staff spaces above the middle line, marks, arcs."""

    top: float
    bottom: float
    marked: bool
    brackets: bool
    slurs: bool
    bends: bool


# Sounding note on the middle line, as letters above C0: B4 in the treble clef, D3 in the bass clef; an octave lower
# where the clef carries an 8 below.
_MIDDLE_LINES = {"treble": 34, "treble_8": 27, "bass": 22, "bass_8": 15, "alto": 28, "tenor": 26}


def middle_line(clef: str) -> int:
    """The sounding staff place of the middle line under *clef*."""
    return _MIDDLE_LINES[clef]


@cache
def signature_names(signature: int) -> frozenset[NoteName]:
    """The notes a signature of so many sharps (flats: negative) prints without accidentals."""
    sharps, flats = "FCGDAEB", "BEADGCF"
    altered = sharps[:signature] if signature > 0 else flats[:-signature]
    sign = 1 if signature > 0 else -1
    return frozenset(NoteName("CDEFGAB".index(letter), sign if letter in altered else 0) for letter in "CDEFGAB")


def space_mm(staff_size: float) -> float:
    """A staff space in millimetres."""
    return staff_size / 4 * _PT_MM
