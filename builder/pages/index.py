"""The index of a book: every study by string, position, key and skill, in narrow columns, after the maps of the necks.

Stage:    6 assemble (pure)
In, Out:  the studies of a book in its order, page labels; an `IndexPage` dealt to columns and sides
Units:    millimetres; rows are as high as the page's pitch
Source:   columns of 50 to 60 mm are our own choice: an id of thirty letters and a page number fit one line
Not here: the words (shared/phrases), how rows are drawn (templates/back.ily)
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Literal

from builder.pages.back import instrument_words, neck_maps
from builder.pages.front import Labels
from builder.pages.note_names import tonality
from builder.pages.order import study_key
from builder.pages.page import NeckMap, Paper
from builder.pages.phrases import Phrases, capitalised
from builder.pages.sides import room_mm
from builder.theory.score import Note, Study

# From line to line; 8 point on less than 3.8 mm can't be followed from id to number (our own choice).
_PITCHES_MM = (4.2, 4.1, 4.0, 3.9, 3.8)
_LARGE_PITCH_MM, _LARGE_LETTER_MM, _LARGE_LABEL_MM = (7.3,), 3.0, 20.0  # the same at 16 points
_COLUMN_MM, _GAP_MM = 52.0, 6.0
_ID_LETTER_MM, _TITLE_LETTER_MM, _LABEL_MM = 1.42, 1.75, 10.0  # letters of 8 pt sans and bold, on the wide side
_HEAD_MM = 25.0  # title and lead on the first side
_MAP_MM = 17.0  # the name over a map, and the figures and air under it, beside its strings
_LARGE_HEAD_MM, _LARGE_MAP_MM = 36.0, 27.0  # the same in large print
_LEAST_ROWS = 12  # a shorter stump of columns under the maps is not begun (our own choice)

RowKind = Literal["axis", "heading", "more", "title", "id"]
# In rows; the same without the air above, at the head of a column.
_HEIGHTS: Mapping[RowKind, float] = {"axis": 2.75, "heading": 1.75, "more": 1.0, "title": 1.0, "id": 1.0}
_FIRST_HEIGHTS: Mapping[RowKind, float] = {**_HEIGHTS, "axis": 1.75, "heading": 1.0}


@dataclass(frozen=True, slots=True)
class IndexRow:
    """One line of a column, so many rows high; *label* and *target* only where it cites a study."""

    kind: RowKind
    text: str
    label: str = ""
    target: str = ""
    rows: float = 1.0


@dataclass(frozen=True, slots=True)
class IndexSide:
    """A side: maps of necks with their names, then columns side by side."""

    maps: tuple[tuple[str, NeckMap], ...]
    columns: tuple[tuple[IndexRow, ...], ...]


@dataclass(frozen=True, slots=True)
class IndexPage:
    """The whole index; *parts* tells the side, counted from 0, on which each way to look up begins."""

    title: str
    lead: str
    sides: tuple[IndexSide, ...]
    pitch_mm: float
    column_mm: float
    gap_mm: float
    parts: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class _Block:
    """Rows that stay together, and the heading to be repeated when a column begins with them."""

    rows: tuple[IndexRow, ...]
    under: str

    @property
    def height(self) -> float:
        """How many rows it is high."""
        return sum(row.rows for row in self.rows)


Columns = list[list[IndexRow]]


def index_page(
    studies: Sequence[Study], skills: Mapping[str, str], labels: Labels, paper: Paper, phrases: Phrases
) -> IndexPage:
    """The index of *studies*; *skills* are the printed words of every skill."""
    count = 1 if paper.large else max(1, int((paper.line_mm + _GAP_MM) / (_COLUMN_MM + _GAP_MM)))
    column_mm = round((paper.line_mm - (count - 1) * _GAP_MM) / count, 2)
    blocks = list(_blocks(studies, skills, labels, column_mm, paper.large, phrases))
    maps = _map_sides(neck_maps(studies, paper, phrases), paper)
    pitches = _LARGE_PITCH_MM if paper.large else _PITCHES_MM
    tries = [(pitch, _sides(blocks, maps, count, pitch, paper, phrases)) for pitch in pitches]
    fewest = min(len(sides) for _, sides in tries)
    pitch, sides = next(each for each in tries if len(each[1]) == fewest)
    return IndexPage(
        title=phrases("index.title"),
        lead=phrases("index.lead"),
        sides=sides,
        pitch_mm=pitch,
        column_mm=column_mm,
        gap_mm=_GAP_MM,
        parts=tuple(_parts(sides)),
    )


def _parts(sides: Sequence[IndexSide]) -> Iterator[tuple[str, int]]:
    for number, side in enumerate(sides):
        for column in side.columns:
            yield from ((row.text, number) for row in column if row.kind == "axis")


# --- what is cited where ----------------------------------------------------------------------------------------------


def start_position(study: Study) -> int:
    """The position of the hand at the first note."""
    return next(event.position for event in study.events if isinstance(event, Note))


@dataclass(frozen=True, slots=True)
class Axis:
    """One way to look studies up: its name, and its headings in order with the studies under each."""

    name: str
    groups: tuple[tuple[str, tuple[Study, ...]], ...]


def axes(studies: Sequence[Study], skills: Mapping[str, str], phrases: Phrases) -> tuple[Axis, ...]:
    """The ways to look up *studies*: by the string they start on, the position, the key, every skill they name."""
    instruments = list(dict.fromkeys(study.instrument.name for study in studies))

    def string_heading(study: Study) -> str:
        key = "neck.string" if len(instruments) == 1 else "index.string-of"
        return phrases(key, string=study.start.string, instrument=instrument_words(study.instrument, phrases))

    def string_order(study: Study) -> tuple[int, int]:
        return instruments.index(study.instrument.name), study.start.string

    strings = _grouped(sorted(studies, key=string_order), string_heading)
    positions = _grouped(
        sorted(studies, key=start_position),
        lambda study: phrases("index.position-name", position=start_position(study)),
    )
    by_key = sorted(studies, key=lambda study: tonality(study.key, phrases).casefold())
    keys = _grouped(by_key, lambda study: tonality(study.key, phrases))
    named = sorted(
        {skill for study in studies for skill in study.skills}, key=lambda skill: skills.get(skill, skill).casefold()
    )
    by_skill = tuple(
        (capitalised(skills.get(skill, skill)), tuple(study for study in studies if skill in study.skills))
        for skill in named
    )
    ways = (("string", strings), ("position", positions), ("key", keys), ("skill", by_skill))
    return tuple(Axis(phrases(f"index.{name}"), groups) for name, groups in ways if groups)


def _grouped(ordered: Iterable[Study], heading: Callable[[Study], str]) -> tuple[tuple[str, tuple[Study, ...]], ...]:
    return tuple((name, tuple(members)) for name, members in groupby(ordered, heading))


# --- rows -------------------------------------------------------------------------------------------------------------


def _blocks(
    studies: Sequence[Study], skills: Mapping[str, str], labels: Labels, column_mm: float, large: bool, phrases: Phrases
) -> Iterator[_Block]:
    """The rows of the whole index, cut where a column may end: never behind a heading or a title.

    In large print there is one column, wide enough for title and place on one line.
    """
    for axis in axes(studies, skills, phrases):
        before = [_row("axis", axis.name)]
        for heading, members in axis.groups:
            before += _folded("heading", heading, column_mm, phrases)
            for _, group in groupby(members, lambda study: study.exercise):
                same = list(group)
                before += [] if large else _folded("title", same[0].title, column_mm, phrases)
                for study in same:
                    cited = _titled(study, labels, column_mm, phrases) if large else _citation(study, labels, column_mm)
                    yield _Block((*before, *cited), heading)
                    before = []


def _folded(kind: RowKind, text: str, column_mm: float, phrases: Phrases) -> list[IndexRow]:
    """A text on as many rows as it needs; of a heading only the first has air above it."""
    lines = phrases.breaks.lines(text, max(12, int(column_mm / _TITLE_LETTER_MM)))
    first, *rest = lines or [text]
    return [_row(kind, first), *(_row("more" if kind == "heading" else kind, line) for line in rest)]


def _row(kind: RowKind, text: str) -> IndexRow:
    return IndexRow(kind, text, rows=_HEIGHTS[kind])


def _citation(study: Study, labels: Labels, column_mm: float) -> tuple[IndexRow, ...]:
    """The id with its page number; an id too long for the column is cut at its hyphens, never short."""
    most = int((column_mm - _LABEL_MM) / _ID_LETTER_MM)
    lines = [""]
    for piece in study.id.replace("-", "- ").split():
        if lines[-1] and len(lines[-1]) + len(piece) > most:
            lines.append("")
        lines[-1] += piece
    *first, last = lines
    cited = IndexRow("id", last, labels.get(study_key(study.id), ""), study.id)
    return (*(IndexRow("id", line) for line in first), cited)


def _titled(study: Study, labels: Labels, column_mm: float, phrases: Phrases) -> tuple[IndexRow, ...]:
    """The title and the place in the id with their page number, on as many lines as they need."""
    words = f"{study.title} {study.id.rpartition('-')[2]}"
    *first, last = phrases.breaks.lines(words, int((column_mm - _LARGE_LABEL_MM) / _LARGE_LETTER_MM))
    cited = IndexRow("id", last, labels.get(study_key(study.id), ""), study.id)
    return (*(IndexRow("id", line) for line in first), cited)


# --- columns and sides ------------------------------------------------------------------------------------------------


def _map_sides(
    maps: Sequence[tuple[str, NeckMap]], paper: Paper
) -> list[tuple[tuple[tuple[str, NeckMap], ...], float]]:
    """The maps dealt to sides, each with the height it leaves for columns."""
    sides: list[tuple[tuple[tuple[str, NeckMap], ...], float]] = [
        ((), room_mm(paper) - (_LARGE_HEAD_MM if paper.large else _HEAD_MM))
    ]
    for name, drawn in maps:
        height = (_LARGE_MAP_MM if paper.large else _MAP_MM) + drawn.gap_mm * (len(drawn.strings) - 1)
        if height > sides[-1][1] and sides[-1][0]:
            sides.append(((), room_mm(paper)))
        sides[-1] = ((*sides[-1][0], (name, drawn)), sides[-1][1] - height)
    return sides


def _sides(
    blocks: Sequence[_Block],
    maps: Sequence[tuple[tuple[tuple[str, NeckMap], ...], float]],
    count: int,
    pitch: float,
    paper: Paper,
    phrases: Phrases,
) -> tuple[IndexSide, ...]:
    """Columns under the last maps where there is room, then side after side; those of the last one equally long."""
    *full, (last_maps, left_mm) = maps
    found = [IndexSide(drawn, ()) for drawn, _ in full]
    first_rows = left_mm / pitch
    if first_rows < _LEAST_ROWS:
        found.append(IndexSide(last_maps, ()))
        last_maps, first_rows = (), room_mm(paper) / pitch
    rest, rows = list(blocks), first_rows
    while rest:
        columns, after = _dealt(rest, count, rows, phrases)
        if not after:
            columns = _even(rest, count, rows, phrases)
        found.append(IndexSide(last_maps, tuple(tuple(column) for column in columns)))
        rest, rows, last_maps = after, room_mm(paper) / pitch, ()
    return tuple(found)


def _dealt(blocks: Sequence[_Block], count: int, rows: float, phrases: Phrases) -> tuple[Columns, list[_Block]]:
    """Fill *count* columns of so many rows; what is left over comes second."""
    columns: Columns = []
    waiting = list(blocks)
    while waiting and len(columns) < count:
        column: list[IndexRow] = []
        left = rows
        while waiting and (waiting[0].height <= left or not column):
            block = waiting.pop(0)
            if not column:
                block = _at_head(block, phrases)
            column += block.rows
            left -= block.height
        columns.append(column)
    return columns, waiting


def _at_head(block: _Block, phrases: Phrases) -> _Block:
    """A block at the head of a column: no air above, and the heading it belongs to is said again."""
    first, *rest = block.rows
    if first.kind in ("axis", "heading"):
        return replace(block, rows=(replace(first, rows=_FIRST_HEIGHTS[first.kind]), *rest))
    again = IndexRow("heading", phrases("index.continued", name=block.under))
    return replace(block, rows=(again, *block.rows))


def _even(blocks: Sequence[_Block], count: int, rows: float, phrases: Phrases) -> Columns:
    """The last columns, as short as they can be."""
    best, _ = _dealt(blocks, count, rows, phrases)
    height = rows - 1
    while height > 0:
        columns, after = _dealt(blocks, count, height, phrases)
        if after:
            break
        best, height = columns, height - 1
    return best
