"""The tables that show how often each skill is practised: by strings, positions, keys and meters.

Stage:    6 assemble (pure)
In, Out:  a `Coverage`; tables for the templates, side by side of paper
Units:    counts are notes; lengths in `_mm`
Not here: counting (`curriculum.coverage`); the curve and the necks (`coverage_pages`)
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from builder.curriculum.coverage import Axis, Cell, Coverage, InstrumentCoverage, Table
from builder.pages.note_names import tonality
from builder.pages.page import Paper
from builder.pages.phrases import Phrases, capitalised
from builder.pages.sides import dealt, even_pieces, room_mm
from builder.theory.harmony import parse_key

_NAME_MM, _CELL_MM = 36.0, 8.5  # a table: its first column, the widest cell
_HEAD_MM, _HEAD_AIR_MM, _HEAD_LETTER_MM = (10.0, 32.0), 3.0, 1.55  # upright heads: least and most; letters at 8 points
_LEAST_CELL_MM = 6.8  # four figures at 7.6 points
_ROW_MM = (6.0, 5.6, 5.2, 4.8, 4.4, 4.1)
_TABLE_TITLE_MM = 14.0
# The same in large print: letters are 2.8 mm wide on average, figures 3.15, lines 7 mm high; as measured.
_LARGE_NAME_MM, _LARGE_LETTER_MM, _LARGE_FIGURE_MM, LARGE_ROW_MM = (40.0, 90.0), 2.8, 3.15, 8.0
_LARGE_HEAD_MM, _LARGE_CELLS_MM, _CELL_AIR_MM = (16.0, 70.0), (8.0, 14.0), 0.9
_LEAST_ROWS = 4  # our own choice: fewer rows on a side look like a mistake
_LEAD_MM, _LARGE_LEAD_MM = 34.0, 66.0  # title and lead of the first side; in large print both take more lines
_AXES: tuple[Axis, ...] = ("string", "zone", "meter", "key")  # the short ones first: they fit side by side
_WIDE_HOLE = 24  # notes: what a short study holds (our own choice), so that one more study would fill it


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


def count_tables_page(coverage: Coverage, paper: Paper, phrases: Phrases) -> CountTablesPage:
    """The tables of each instrument, axes side by side as far as they fit; skills by the words of a spec."""
    holes = {(hole.instrument, hole.cell.skill, hole.cell.axis, hole.cell.column) for hole in coverage.holes}
    name_mm = _name_mm(coverage, paper, phrases)
    wholes = [
        _whole(each.instrument, columns, holes, name_mm, paper, phrases)
        for each in coverage.instruments
        for columns in _grouped(each, int((paper.line_mm - name_mm) / _least_cell_mm(each, paper)))
    ]
    tables = _flowing(wholes, paper) if paper.large else (piece for whole in wholes for piece in _even(whole, paper))
    return CountTablesPage(
        title=phrases("coverage.tables.title"),
        lead=phrases("coverage.tables.lead", notes=_WIDE_HOLE),
        name_mm=name_mm,
        sides=dealt([(table, table.height_mm) for table in tables], room_mm(paper), lead_mm(paper)),
    )


def lead_mm(paper: Paper) -> float:
    """How high title and lead of a first side are."""
    return _LARGE_LEAD_MM if paper.large else _LEAD_MM


def _name_mm(coverage: Coverage, paper: Paper, phrases: Phrases) -> float:
    """How wide the names of skills may be; in large print as wide as the longest is."""
    if not paper.large:
        return _NAME_MM
    names = {skill for each in coverage.instruments for table in each.tables for skill in table.skills}
    letters = max((len(heading("skill-name", skill, phrases)) for skill in names), default=0)
    return _within(_LARGE_NAME_MM, letters * _LARGE_LETTER_MM + 2)


def _least_cell_mm(each: InstrumentCoverage, paper: Paper) -> float:
    """How wide a column is at least; in large print as wide as the longest of its figures."""
    if not paper.large:
        return _LEAST_CELL_MM
    figures = max((len(short(cell.notes)) for table in each.tables for cell in table.cells), default=1)
    return _within(_LARGE_CELLS_MM, figures * _LARGE_FIGURE_MM + _CELL_AIR_MM)


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


def _whole(
    instrument: str,
    columns: Sequence[_Column],
    holes: set[tuple[str, str, Axis, str]],
    name_mm: float,
    paper: Paper,
    phrases: Phrases,
) -> CountTable:
    """The table of *columns* with all its rows."""
    heads = tuple(
        phrases(f"coverage.column.{column.table.axis}", name=column_name(column.table.axis, column.name, phrases))
        for column in columns
    )
    rows = tuple(
        (heading("skill-name", skill, phrases), *(_cell(column.cell(row), instrument, holes) for column in columns))
        for row, skill in enumerate(columns[0].table.skills)
    )
    bounds, letter_mm = (_LARGE_HEAD_MM, _LARGE_LETTER_MM) if paper.large else (_HEAD_MM, _HEAD_LETTER_MM)
    widest = _LARGE_CELLS_MM[1] if paper.large else _CELL_MM
    axes = [phrases(f"coverage.axes.{axis}") for axis in dict.fromkeys(column.table.axis for column in columns)]
    return CountTable(
        heading=phrases(
            "coverage.tables.heading", instrument=heading("instrument", instrument, phrases), axes=", ".join(axes)
        ),
        heads=heads,
        rows=rows,
        head_mm=_within(bounds, _HEAD_AIR_MM + letter_mm * max(map(len, heads))),
        cell_mm=round(min(widest, (paper.line_mm - name_mm) / len(columns)), 2),
        row_mm=LARGE_ROW_MM if paper.large else _ROW_MM[0],
    )


def _even(whole: CountTable, paper: Paper) -> Iterator[CountTable]:
    """The table with rows as high as a side allows; several alike where it has more rows than a side."""
    room = room_mm(paper) - lead_mm(paper) - _TABLE_TITLE_MM - whole.head_mm
    for rows in even_pieces(whole.rows, int(room / _ROW_MM[-1])):
        yield replace(whole, rows=rows, row_mm=next(row_mm for row_mm in _ROW_MM if row_mm * len(rows) <= room))


def _flowing(wholes: Sequence[CountTable], paper: Paper) -> Iterator[CountTable]:
    """The tables cut where a side is full: rows of this height would leave half of every other side empty."""
    left = room_mm(paper) - lead_mm(paper)
    for whole in wholes:
        rows = whole.rows
        while rows:
            fits = int((left - _TABLE_TITLE_MM - whole.head_mm) / whole.row_mm)
            # As many as fit, but neither too few of them nor too few of the rest.
            kept = min(fits, len(rows) - _LEAST_ROWS) if fits < len(rows) else len(rows)
            if kept < min(_LEAST_ROWS, len(rows)):
                left = room_mm(paper)
                continue
            piece = replace(whole, rows=rows[:kept])
            yield piece
            left, rows = left - piece.height_mm, rows[kept:]


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
        return short(cell.notes)
    if (instrument, cell.skill, cell.axis, cell.column) not in holes:
        return "–"
    return "hole" if round(cell.expected) >= _WIDE_HOLE else "small-hole"


def short(count: int) -> str:
    """A count in at most four figures."""
    return str(count) if count < 10_000 else f"{count // 1000}k"


def heading(kind: str, word: str, phrases: Phrases) -> str:
    """A word of a spec as a heading: `Nylon guitar`, `Alternate picking`."""
    return capitalised(phrases.named(kind, word))


def column_name(axis: Axis, name: str, phrases: Phrases) -> str:
    """What a column is called; keys as the language has them."""
    return tonality(parse_key(name), phrases) if axis == "key" else name
