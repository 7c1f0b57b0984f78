"""The values a music page is made of: what is printed, where systems break, how large.

Stage:    4 lay out (out)
Units:    lengths end in `_mm`; staff size in LilyPond points; onsets in whole notes from the start of the study
Not here: choosing any of it (`study_page`, `layout`), the text LilyPond reads (`engraving.lilypond_source`)
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from builder.pages.hand import Barre, Diagram, Shift
from builder.pages.notation import Value, WrittenBar
from builder.pages.one_staff import Circled
from builder.spec.plan import BookPlan, Notation
from builder.spec.press import MARGINS_MM
from builder.theory.fretboard import Instrument
from builder.theory.pitch import NoteName
from builder.theory.score import Technique

# The least size of large print: UK Association for Accessible Formats, *Creating clear print and large print
# documents*, G003, 2019.
LARGE_PT = 16.0
_NARROW_MM = 150.0  # our own choice: between A4 (174) and A5 (135 as engraved)
_A4_LINE_MM = 174.0
_CAUTION_LETTER_MM, _CAUTION_SHRINKS = 1.27, 0.9  # a letter at 8.5 points, measured; see parts/foot.ly


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet of paper and the space its furniture leaves; *name* is LilyPond's.

    *type_pt* is the smallest type on it: words of several sizes are set on it from there up. Pages are engraved in
    these measures and printed at *scale*.
    """

    name: str
    width_mm: float
    height_mm: float
    side_mm: float = 18
    top_mm: float = 12
    foot_mm: float = 14
    type_pt: float = 7.5
    scale: float = 1.0

    @property
    def large(self) -> bool:
        """Whether every word on it is large."""
        return self.type_pt >= LARGE_PT

    @property
    def least_pt(self) -> float:
        """The least size of large print in LilyPond's points, 72.27 to the inch, before the page is made smaller."""
        return round(LARGE_PT * 72.27 / 72 / self.scale + 0.005, 2)

    @property
    def trim_width_mm(self) -> float:
        """The width of the finished page."""
        return round(self.width_mm * self.scale, 1)

    @property
    def trim_height_mm(self) -> float:
        """The height of the finished page."""
        return round(self.height_mm * self.scale, 1)

    @property
    def line_mm(self) -> float:
        """How wide text and music may be."""
        return round(self.width_mm - 2 * self.side_mm, 1)

    @property
    def narrow(self) -> bool:
        """Whether a line is too short for what stands side by side on A4: tables then say less, or over more lines."""
        return self.line_mm < _NARROW_MM

    def across(self, width_mm: float) -> float:
        """A width as on A4, on narrower paper smaller in proportion."""
        return round(width_mm * min(1.0, self.line_mm / _A4_LINE_MM), 2)

    @property
    def map_cell_mm(self) -> float:
        """How wide the neck map of a study is with the gap beside it."""
        return self.across(84)

    def caution_lines(self, caution: tuple[str, str]) -> int:
        """How many lines the caution takes in a foot, where one line may shrink a little."""
        return 1 if len(" ".join(caution)) * _CAUTION_LETTER_MM <= self.line_mm / _CAUTION_SHRINKS else 2

    @property
    def text_mm(self) -> float:
        """How wide text to read is: 12.4 mm for each of its 11 points, lines of some 68 letters.

        Source: 60 to 75 letters a line, R. Bringhurst, The Elements of Typographic Style, 2.1.2. Where that leaves less
        than 14 mm beside it (our own choice), the text takes the whole line: a narrower margin looks like a mistake.
        """
        if self.large:
            return self.line_mm  # letters of 16 points: some 55 in the whole line
        wanted = 11 * 12.4
        return round(wanted, 1) if self.line_mm - wanted >= 14 else self.line_mm

    @property
    def indent_mm(self) -> float:
        """How far text to read stands to the right of its headings."""
        return round(self.line_mm - self.text_mm, 1)


# A5 is engraved on a larger page of its shape and printed smaller: the smallest type, 7.5 points, becomes 6.9. Our own
# choice; a page held in the hand is read from nearer by than one on a stand.
_A5_SCALE = 0.92
# ISO 216 for A4 and A5; US Letter is 8.5 x 11 inches.
PAPERS = {
    "a4": Paper("a4", 210, 297, MARGINS_MM["a4"]),
    "a5": Paper(
        "a5",
        round(148 / _A5_SCALE, 2),
        round(210 / _A5_SCALE, 2),
        round(MARGINS_MM["a5"] / _A5_SCALE, 2),
        scale=_A5_SCALE,
    ),
    "letter": Paper("letter", 215.9, 279.4, MARGINS_MM["letter"]),
}


def paper_of(book: BookPlan) -> Paper:
    """The paper *book* is printed on."""
    paper = PAPERS[book.paper]
    return replace(paper, type_pt=LARGE_PT, foot_mm=paper.foot_mm + 4) if book.large_print else paper


@dataclass(frozen=True, slots=True)
class Dot:
    """A note on the neck map."""

    string: int
    fret: int
    name: str
    kind: Literal["start", "used", "ring", "plain"]


@dataclass(frozen=True, slots=True)
class NeckMap:
    """A stretch of the neck from fret wire *first* to *last*; *band* is the shaded working area, None for none.

    Names of notes are as printed, their signs ♯ and ♭.
    """

    strings: tuple[str, ...]
    first: int
    last: int
    band: tuple[int, int] | None
    used_frets: tuple[int, ...]
    bold_strings: tuple[int, ...]
    dots: tuple[Dot, ...]
    width_mm: float
    gap_mm: float

    @property
    def open_notes(self) -> bool:
        """Whether a dot stands on an open string, left of the nut."""
        return any(dot.fret == 0 for dot in self.dots)


@dataclass(frozen=True, slots=True)
class TempoStep:
    """One metronome mark with the notes a second and the level it makes."""

    bpm: int
    rate: str
    level: int


@dataclass(frozen=True, slots=True)
class ChordName:
    """A chord symbol in parts that can be drawn: letters, and `#` or `b` as signs of the music font.

    *diagram* is the grid over it, None where the shape was shown before or none is given.
    """

    onset: Fraction
    parts: tuple[str, ...]
    diagram: Diagram | None = None


@dataclass(frozen=True, slots=True)
class Cue:
    """The printed words of a checkpoint and where its rest begins."""

    onset: Fraction
    words: str


@dataclass(frozen=True, slots=True)
class Music:
    """The notes of a study as written, and how they are drawn on every rung.

    *stems* is one direction for a single voice, None for two; *octave_up* holds the bars printed an octave
    lower under an 8va line; *lane_above*, *lane_below* say whether anything stands in the lanes of the plucking hand
    over and under the tablature; *notation* leaves one of the two staves out; *large*: words and figures are those of
    large print; *circled* are the onsets and strings of notes that name their string; *letters* are those of slurs;
    *told_bars* the bars whose letters of the plucking hand differ from those of the bar before; *whole* is false for
    bars quoted from the midst of a study.
    """

    instrument: Instrument
    meter: str
    signature: NoteName
    bars: tuple[WrittenBar, ...]
    bar_length: Fraction
    stems: Literal["up", "down"] | None
    octave_up: frozenset[int]
    lane_above: bool
    lane_below: bool
    notation: Notation
    large: bool
    circled: Circled
    letters: tuple[tuple[Technique, str], ...]
    told_bars: frozenset[int]
    chords: tuple[ChordName, ...]
    cues: tuple[Cue, ...]
    labels: tuple[tuple[int, str], ...]
    repeats: bool
    barres: tuple[Barre, ...]
    shifts: tuple[Shift, ...]
    whole: bool = True


@dataclass(frozen=True, slots=True)
class TrackCode:
    """The square code that leads to a study's tracks, and the lines beside it.

    *rows* stand from the top, `1` for a dark module; *side_mm* is without the quiet zone, *quiet_mm* its width.
    """

    rows: tuple[str, ...]
    side_mm: float
    quiet_mm: float
    caption: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Rung:
    """One way to fit a study on paper.

    *system_starts* are the onsets at which systems begin, the first one included; *turns* the ones among them that
    begin a new side. *increment* is LilyPond's spacing step in staff spaces; *reach_mm* the way from tablature to
    staff of the next system that suits the page; *ragged* leaves a short last system
    unstretched; *head_alone*: the music begins on the side after title, map, tempo and log; *cues_kept*
    tells of each system whether its last cue has room to begin under its rest; *notes_side* is the side, counted
    from 0, with the practice notes, None for none. *foot_mm* is the way from the middle of the last staff to the bottom
    on the side with the lowest foot: log, notes, caution; *pads_mm* the air over the higher feet of the other sides.
    """

    staff_size: float
    system_starts: tuple[Fraction, ...]
    turns: tuple[Fraction, ...]
    increment: float
    ragged: bool
    head_alone: bool
    cues_kept: tuple[bool, ...]
    reach_mm: float
    log_rows: int
    log_row_mm: float
    notes_side: int | None
    foot_mm: float
    pads_mm: tuple[float, ...]

    @property
    def sides(self) -> int:
        """How many sides of paper it fills."""
        return len(self.turns) + 1 + self.head_alone


@dataclass(frozen=True, slots=True)
class StudyPage:
    """Everything printed for one study on one rung of its ladder.

    *signs* are lines of (kind, meaning); they stand beside the instruction, or below it where *signs_below*. *title_mm*
    and *aim_mm* are the widths that the *code* leaves; None = none is printed.
    """

    study: str
    paper: Paper
    title: str
    title_mm: float
    aim: str
    aim_mm: float
    code: TrackCode | None
    instruction: str
    start_line: str
    facts: str
    neck_map: NeckMap
    wide_map: bool
    tempo_below: bool
    beat: Value
    tempo: tuple[TempoStep, ...]
    signs: tuple[tuple[tuple[str, str], ...], ...]
    signs_below: bool
    music: Music
    shortest: Fraction
    warnings: tuple[str, ...]
    notes_title: str
    notes: tuple[str, ...]
    log_title: str
    log_heads: tuple[tuple[str, float], ...]
    caution: tuple[str, str]
    caution_lines: int
    tempo_heads: tuple[str, str, str]
    continued: str
    rung: Rung
