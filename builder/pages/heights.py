"""How high systems of written music are.

Stage:    4 lay out (pure)
In, Out:  a `Music`, bars of it, a staff size; millimetres
Units:    millimetres; staff spaces (ss), a quarter of the staff's height, where a name ends in `_ss`
Source:   our own measurements of trial pages: heights were fitted to 245 pairs of neighbouring systems of the
          demonstration book, set as tightly as LilyPond sets them: four in five agree within 3 mm; on average ours are
          1.3 mm too large, at worst 7 mm too large and 5 mm too small, as marks and words of two systems may or may
          not meet; systems with signs of technique, diagrams or two voices were set against 76 engraved ones: ours are
          5 mm above the ink on average, 13 mm at most and 2 mm below it at worst. They lean to the large side because
          LilyPond, to count pages, piles up whole boxes where signs of two voices in fact stand side by side
Not here: widths of bars (`measure`)
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from builder.pages.page import Music
from builder.pages.staff import middle_line, space_mm

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
_UNDER_MM = 8.0  # words under the last staff, and the least air there
_PLAIN_MM, _SLURS_MM = 3.0, 2.5  # what accents and fingers take as a rule; slurs on top of them
_SLUR_LANE_SS, _BEND_SS = 1.6, 1.5  # what slurs lift the lane over the tablature by; what an arrow rises over that


@dataclass(frozen=True, slots=True)
class TypeSize:
    """What depends on the size of words and figures: a gap of the tablature in staff spaces, a letter of a cue in bold
    sans, on the wide side, and style.ily's limit for all of it, how much diagrams and ways from note to note grow,
    what the lanes around the staves take more, what they take less over two voices: the upper one rests where chord
    names stand, and the thumb's letters stand beside the others."""

    tab_ss: float
    cue_letter_mm: float
    cue_most_mm: float
    diagram: float
    note_way: float
    lanes_mm: float
    voices_mm: float


USUAL_TYPE = TypeSize(1.5, 1.95, 46.0, 1.0, 1.0, 0.0, 3.5)
LARGE_TYPE = TypeSize(1.9, 3.15, 60.0, 2.15, 1.4, 9.0, 20.0)


@dataclass(frozen=True, slots=True)
class _Look:
    """What makes a bar tall: its highest and lowest note in staff spaces above the middle line, marks, arcs."""

    top: float
    bottom: float
    marked: bool
    brackets: bool
    slurs: bool
    bends: bool


def labelled_bars(music: Music) -> frozenset[int]:
    """The bars under a section label, counted from 1."""
    return frozenset(bar for bar, _ in music.labels)


class Heights:
    """How high systems of a `Music` are, whose words and figures have the size *type_size*."""

    def __init__(self, music: Music, type_size: TypeSize) -> None:
        self._music, self._type = music, type_size
        self._heights: dict[tuple[int, ...], tuple[float, float]] = {}

    @cached_property
    def _labelled(self) -> frozenset[int]:
        """The bars under a section label."""
        return labelled_bars(self._music)

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

    def under_mm(self, staff_size: float) -> float:
        """From the middle of the last staff to below the words, stems and letters under it, and the least air there."""
        music = self._music
        half = _HALF_STAFF_SS if music.notation == "staff" else self._type.tab_ss * (music.instrument.strings - 1) / 2
        stems = _TAB_STEM_SS if music.notation == "tab" and music.stems != "up" else 0.0
        return (half + stems) * space_mm(staff_size) + _UNDER_MM + (_BELOW_MM if music.lane_below else 0.0)

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
        rise = 0.0 if music.notation == "tab" else rise
        around = _LANES_MM[bool(music.chords)] + min(rise * _RISE_MM[bool(music.chords)], _MOST_RISE_MM)
        # Without a lane of chord names, fingers and accents over beams are what the system above must clear.
        marked = any(look.marked for look in looks)
        around += _MARKS_MM if up and not music.chords and marked else 0.0
        around += (0.0 if marked else -_PLAIN_MM) + (_SLURS_MM if slurs else 0.0)
        around += _LABEL_MM if any(bar in self._labelled for bar in bars) else 0.0
        around += _OCTAVE_MM if any(bar in music.octave_up for bar in bars) else 0.0
        around -= 0.0 if music.cues else _CUES_MM
        around += _BELOW_MM if music.lane_below else 0.0
        around -= self._type.voices_mm if up and down and music.chords else 0.0
        around += _HAND_MM if any(bar in self._handed for bar in bars) else 0.0
        around += max((self._diagram_mm.get(bar, 0.0) for bar in bars), default=0.0)
        around += self._type.lanes_mm
        return high, around - (_ALONE_MM if music.notation != "both" else 0.0)

    @cached_property
    def _handed(self) -> frozenset[int]:
        """The bars with a barre or a shift over them."""
        length, spans = self._music.bar_length, [(barre.onset, barre.last) for barre in self._music.barres]
        spans += [(shift.onset, shift.onset) for shift in self._music.shifts]
        return frozenset(bar for a, b in spans for bar in range(int(a / length) + 1, int(b / length) + 2))

    @cached_property
    def _diagram_mm(self) -> dict[int, float]:
        """How high the diagrams over each bar are."""
        heights: dict[int, float] = {}
        for chord in self._music.chords:
            if chord.diagram:
                bar = int(chord.onset / self._music.bar_length) + 1
                heights[bar] = max(heights.get(bar, 0.0), chord.diagram.height_mm * self._type.diagram)
        return heights

    @cached_property
    def _looks(self) -> tuple[_Look, ...]:
        """What is tall in every bar."""
        return tuple(self._look(bar) for bar in range(1, len(self._music.bars) + 1))

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
