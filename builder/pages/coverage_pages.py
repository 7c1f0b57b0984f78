"""The pages that show what a book covers: its curve of difficulty, its holes, its necks and tables of counts.

Stage:    6 assemble (pure)
In, Out:  a `Coverage` and the instruments; values for the templates, side by side of paper
Units:    counts are notes; lengths in `_mm`; greys 0 black … 1 white
Source:   five shades and their greys are our own choice: each of the four darker ones holds a quarter of the places
          played, and black figures stay legible on the darkest of them after copying; the figures say the same
Not here: counting (`curriculum.coverage`)
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import quantiles

from builder.curriculum.coverage import Axis, Cell, Coverage, Hole, InstrumentCoverage, Point, Table
from builder.pages.note_names import tonality
from builder.pages.page import Paper
from builder.pages.phrases import Phrases, capitalised
from builder.pages.sides import dealt, even_pieces, room_mm
from builder.pages.study_page import open_names
from builder.theory.fretboard import Instrument
from builder.theory.harmony import parse_key

_GREYS = (1.0, 0.92, 0.84, 0.74, 0.62)
_NAME_MM, _CELL_MM = 36.0, 8.5  # a table: its first column, the widest cell
_HEAD_MM, _HEAD_AIR_MM, _HEAD_LETTER_MM = (10.0, 32.0), 3.0, 1.55  # upright heads: least and most; letters at 8 points
_LEAST_CELL_MM = 6.8  # four figures at 7.6 points
# The same in large print: letters of 16 points are 3.1 mm wide on average, their lines 7 mm high; as measured.
_LARGE_NAME_MM, _LARGE_CELL_MM, _LARGE_LETTER_MM, _LARGE_ROW_MM = (40.0, 90.0), 11.5, 3.2, 8.0
_LARGE_HEAD_MM, _LARGE_NECK_CELL_MM = (16.0, 70.0), 11.0
_ROW_MM = (6.0, 5.6, 5.2, 4.8, 4.4, 4.1)
_TABLE_TITLE_MM, _NECK_TITLE_MM, _NECK_FOOT_MM, _NECK_STRING_MM = 14.0, 22.0, 12.0, 6.2
_NECK_NAMES_MM, _NECK_CELL_MM = 6.0, 9.0
_LEAD_MM, _LARGE_LEAD_MM = 34.0, 66.0  # title and lead of the first side; in large print both take more lines
_CURVE_MM = 78.0
_MOST_SENTENCES = 8
_AXES: tuple[Axis, ...] = ("string", "zone", "meter", "key")  # the short ones first: they fit side by side
_WIDE_HOLE = 24  # notes: what a short study holds (our own choice), so that one more study would fill it
_LEVEL_TOP, _SCORE_STEP = 100.0, 10.0


@dataclass(frozen=True, slots=True)
class CurvePage:
    """The curve of difficulty with its jumps, then the worst of both in words.

    *levels* are (place on the curve, level) where a level begins; *jumps* (place, number of the sentence).
    """

    title: str
    lead: str
    axis: str
    height_mm: float
    top: float
    scores: tuple[float, ...]
    levels: tuple[tuple[int, int], ...]
    jumps: tuple[tuple[int, int], ...]
    jumps_title: str
    jump_sentences: tuple[tuple[str, str], ...]
    holes_title: str
    hole_sentences: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class NeckCell:
    """A place of the neck: how grey, and how often it is played."""

    string: int
    fret: int
    grey: float
    count: str


@dataclass(frozen=True, slots=True)
class NeckCounts:
    """A neck, or so many frets of it from the *first*, as a table of counts; *shades* are (grey, its counts)."""

    heading: str
    strings: tuple[str, ...]
    first: int
    frets: int
    cell_mm: float
    string_mm: float
    cells: tuple[NeckCell, ...]
    shades: tuple[tuple[float, str], ...]

    @property
    def height_mm(self) -> float:
        """Its height with heading and key."""
        return _NECK_TITLE_MM + _NECK_FOOT_MM + self.string_mm * len(self.strings)


@dataclass(frozen=True, slots=True)
class NeckCountsPage:
    """Every instrument's neck."""

    title: str
    lead: str
    sides: tuple[tuple[NeckCounts, ...], ...]


@dataclass(frozen=True, slots=True)
class CountTable:
    """Counts by skill and columns; `hole` and `small-hole` stand for rings, a dash for none where none was expected."""

    heading: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    head_mm: float
    cell_mm: float
    row_mm: float

    @property
    def height_mm(self) -> float:
        """Its height with heading and heads."""
        return _TABLE_TITLE_MM + self.head_mm + self.row_mm * len(self.rows)


@dataclass(frozen=True, slots=True)
class CountTablesPage:
    """All tables."""

    title: str
    lead: str
    name_mm: float
    sides: tuple[tuple[CountTable, ...], ...]


# --- the curve --------------------------------------------------------------------------------------------------------


def curve_page(coverage: Coverage, titles: Mapping[str, str], phrases: Phrases) -> CurvePage:
    """The curve over the book, its steepest jumps numbered, and the worst holes in words."""
    places = {point.study: place for place, point in enumerate(coverage.curve)}
    jumps = coverage.jumps[:_MOST_SENTENCES]
    top = max((point.score for point in coverage.curve), default=0.0)
    return CurvePage(
        title=phrases("coverage.title"),
        lead=phrases("coverage.lead", studies=len(coverage.curve)),
        axis=phrases("coverage.axis"),
        height_mm=_CURVE_MM,
        top=min(_LEVEL_TOP, _SCORE_STEP * (int(top / _SCORE_STEP) + 1)),
        scores=tuple(round(point.score, 2) for point in coverage.curve),
        levels=tuple(_level_starts(coverage)),
        jumps=tuple((places[jump.after.study], number) for number, jump in enumerate(jumps, start=1)),
        jumps_title=phrases("coverage.jumps") if jumps else phrases("coverage.no-jumps"),
        jump_sentences=tuple(
            (
                str(number),
                phrases(
                    "coverage.jump",
                    before=_cited(jump.before, titles),
                    after=_cited(jump.after, titles),
                    low=phrases.number(f"{jump.before.score:.1f}"),
                    high=phrases.number(f"{jump.after.score:.1f}"),
                ),
            )
            for number, jump in enumerate(jumps, start=1)
        ),
        holes_title=phrases("coverage.holes") if coverage.holes else phrases("coverage.no-holes"),
        hole_sentences=tuple(
            (str(number), _missing(hole, phrases))
            for number, hole in enumerate(coverage.holes[:_MOST_SENTENCES], start=1)
        ),
    )


def _cited(point: Point, titles: Mapping[str, str]) -> str:
    return f"{titles[point.study]} ({point.study})" if point.study in titles else point.study


def _missing(hole: Hole, phrases: Phrases) -> str:
    """A hole in words."""
    cell = hole.cell
    return phrases(
        "coverage.hole",
        skill=phrases.named("skill-name", cell.skill),
        place=phrases(f"coverage.hole-place.{cell.axis}", name=_column_name(cell.axis, cell.column, phrases)),
        instrument=_heading("instrument", hole.instrument, phrases),
        expected=f"{cell.expected:.0f}",
    )


def _level_starts(coverage: Coverage) -> Iterator[tuple[int, int]]:
    """Where the curve first reaches a level: the book is in the order of exercises, so single studies may fall back."""
    reached = 0
    for place, point in enumerate(coverage.curve):
        if point.level > reached:
            reached = point.level
            yield place, reached


# --- necks ------------------------------------------------------------------------------------------------------------


def neck_counts_page(
    coverage: Coverage, instruments: Mapping[str, Instrument], paper: Paper, phrases: Phrases
) -> NeckCountsPage:
    """Every instrument's neck with how often each place is played, most played first."""
    necks = [
        neck for each in coverage.instruments for neck in _necks(each, instruments[each.instrument], paper, phrases)
    ]
    blocks = [(neck, neck.height_mm) for neck in necks]
    return NeckCountsPage(
        phrases("coverage.neck.title"), phrases("coverage.neck.lead"), dealt(blocks, room_mm(paper), _lead_mm(paper))
    )


def _necks(each: InstrumentCoverage, instrument: Instrument, paper: Paper, phrases: Phrases) -> Iterator[NeckCounts]:
    """The neck; in large print as many stretches of it as its frets need."""
    every = range(instrument.last_fret + 1)
    most = int((paper.line_mm - _NECK_NAMES_MM) / _LARGE_NECK_CELL_MM) if paper.large else len(every)
    for frets in even_pieces(every, most):
        yield _neck(each, instrument, frets, paper, phrases)


def _neck(
    each: InstrumentCoverage, instrument: Instrument, frets: Sequence[int], paper: Paper, phrases: Phrases
) -> NeckCounts:
    times = [place.times for place in each.places]
    bounds = _bounds(times)
    widest = _LARGE_NECK_CELL_MM if paper.large else _NECK_CELL_MM
    return NeckCounts(
        heading=phrases(
            "coverage.neck.heading", instrument=_heading("instrument", each.instrument, phrases), notes=sum(times)
        ),
        strings=open_names(instrument, phrases),
        first=frets[0],
        frets=len(frets),
        cell_mm=round(min(widest, (paper.line_mm - _NECK_NAMES_MM) / len(frets)), 2),
        string_mm=_LARGE_ROW_MM if paper.large else _NECK_STRING_MM,
        cells=tuple(
            NeckCell(place.string, place.fret, _GREYS[_shade(place.times, bounds)], _short(place.times))
            for place in each.places
            if place.fret in frets
        ),
        shades=tuple(_key(bounds)),
    )


def _bounds(times: Sequence[int]) -> tuple[int, ...]:
    """The highest count of each shade but white: quarters of the places played, fewer where counts are equal."""
    played = sorted(count for count in times if count)
    if len(played) < 2:
        return tuple(played)
    cuts = [int(cut) for cut in quantiles(played, n=len(_GREYS) - 1, method="inclusive")]
    return tuple(sorted({*cuts, played[-1]}))


def _shade(count: int, bounds: Sequence[int]) -> int:
    return next(number for number, bound in enumerate((0, *bounds)) if count <= bound)


def _key(bounds: Sequence[int]) -> Iterator[tuple[float, str]]:
    """What each shade stands for."""
    yield _GREYS[0], "0"
    low = 1
    for grey, bound in zip(_GREYS[1:], bounds, strict=False):
        yield grey, f"{low}–{bound}" if low < bound else str(bound)
        low = bound + 1


def _short(count: int) -> str:
    """A count in at most four figures."""
    return str(count) if count < 10_000 else f"{count // 1000}k"


def _heading(kind: str, word: str, phrases: Phrases) -> str:
    """A word of a spec as a heading: `Nylon guitar`, `Alternate picking`."""
    return capitalised(phrases.named(kind, word))


def _column_name(axis: Axis, name: str, phrases: Phrases) -> str:
    """What a column is called; keys as the language has them."""
    return tonality(parse_key(name), phrases) if axis == "key" else name


# --- tables -----------------------------------------------------------------------------------------------------------


def count_tables_page(coverage: Coverage, paper: Paper, phrases: Phrases) -> CountTablesPage:
    """The tables of each instrument, axes side by side as far as they fit; skills by the words of a spec."""
    holes = {(hole.instrument, hole.cell.skill, hole.cell.axis, hole.cell.column) for hole in coverage.holes}
    name_mm = _name_mm(coverage, paper, phrases)
    most = int((paper.line_mm - name_mm) / (_LARGE_CELL_MM if paper.large else _LEAST_CELL_MM))
    tables = [
        table
        for each in coverage.instruments
        for columns in _grouped(each, most)
        for table in _tables(each.instrument, columns, holes, name_mm, paper, phrases)
    ]
    return CountTablesPage(
        title=phrases("coverage.tables.title"),
        lead=phrases("coverage.tables.lead", notes=_WIDE_HOLE),
        name_mm=name_mm,
        sides=dealt([(table, table.height_mm) for table in tables], room_mm(paper), _lead_mm(paper)),
    )


def _lead_mm(paper: Paper) -> float:
    return _LARGE_LEAD_MM if paper.large else _LEAD_MM


def _name_mm(coverage: Coverage, paper: Paper, phrases: Phrases) -> float:
    """How wide the names of skills may be; in large print as wide as the longest is."""
    if not paper.large:
        return _NAME_MM
    names = {skill for each in coverage.instruments for table in each.tables for skill in table.skills}
    letters = max((len(_heading("skill-name", skill, phrases)) for skill in names), default=0)
    return _within(_LARGE_NAME_MM, letters * _LARGE_LETTER_MM + 2)


def _within(bounds: tuple[float, float], wanted_mm: float) -> float:
    return round(min(bounds[1], max(bounds[0], wanted_mm)), 1)


def _grouped(each: InstrumentCoverage, most: int) -> Iterator[tuple[_Column, ...]]:
    """The columns of an instrument in groups of at most *most*; an axis is cut only where it has more by itself."""
    by_axis = {table.axis: table for table in each.tables}
    group: tuple[_Column, ...] = ()
    for axis in _AXES:
        table = by_axis[axis]
        columns = tuple(_Column(table, number) for number in range(len(table.columns)))
        if group and len(group) + len(columns) > most:
            yield group
            group = ()
        *whole, rest = even_pieces(columns, most) or ((),)
        yield from whole
        group += rest
    yield group


def _tables(
    instrument: str,
    columns: Sequence[_Column],
    holes: set[tuple[str, str, Axis, str]],
    name_mm: float,
    paper: Paper,
    phrases: Phrases,
) -> Iterator[CountTable]:
    """The table of *columns*; several where it has more rows than a side."""
    names = columns[0].table.skills
    heads = tuple(
        phrases(f"coverage.column.{column.table.axis}", name=_column_name(column.table.axis, column.name, phrases))
        for column in columns
    )
    bounds, letter_mm = (_LARGE_HEAD_MM, _LARGE_LETTER_MM) if paper.large else (_HEAD_MM, _HEAD_LETTER_MM)
    head_mm = _within(bounds, _HEAD_AIR_MM + letter_mm * max(map(len, heads)))
    pitches = (_LARGE_ROW_MM,) if paper.large else _ROW_MM
    widest = _LARGE_CELL_MM if paper.large else _CELL_MM
    room = room_mm(paper) - _lead_mm(paper) - _TABLE_TITLE_MM - head_mm
    axes = [phrases(f"coverage.axes.{axis}") for axis in dict.fromkeys(column.table.axis for column in columns)]
    for rows in even_pieces(tuple(enumerate(names)), int(room / pitches[-1])):
        yield CountTable(
            heading=phrases(
                "coverage.tables.heading", instrument=_heading("instrument", instrument, phrases), axes=", ".join(axes)
            ),
            heads=heads,
            rows=tuple(
                (
                    _heading("skill-name", skill, phrases),
                    *(_cell(column.cell(row), instrument, holes) for column in columns),
                )
                for row, skill in rows
            ),
            head_mm=head_mm,
            cell_mm=round(min(widest, (paper.line_mm - name_mm) / len(columns)), 2),
            row_mm=next(row_mm for row_mm in pitches if row_mm * len(rows) <= room),
        )


@dataclass(frozen=True, slots=True)
class _Column:
    """A column of one of the tables that are printed side by side."""

    table: Table
    number: int

    @property
    def name(self) -> str:
        return self.table.columns[self.number]

    def cell(self, row: int) -> Cell:
        return self.table.cells[row * len(self.table.columns) + self.number]


def _cell(cell: Cell, instrument: str, holes: set[tuple[str, str, Axis, str]]) -> str:
    """A count, a dash for none, or which ring marks a hole."""
    if cell.notes:
        return _short(cell.notes)
    if (instrument, cell.skill, cell.axis, cell.column) not in holes:
        return "–"
    return "hole" if round(cell.expected) >= _WIDE_HOLE else "small-hole"
