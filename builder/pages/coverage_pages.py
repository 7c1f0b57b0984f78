"""The pages that show what a book covers: its curve of difficulty, its holes, its necks.

Stage:    6 assemble (pure)
In, Out:  a `Coverage` and the instruments; values for the templates, side by side of paper
Units:    counts are notes; lengths in `_mm`; greys 0 black … 1 white
Source:   five shades and their greys are our own choice: each of the four darker ones holds a quarter of the places
          played, and black figures stay legible on the darkest of them after copying; the figures say the same
Not here: counting (`curriculum.coverage`); the tables of skills (`count_tables`)
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import quantiles

from builder.curriculum.coverage import Coverage, Hole, InstrumentCoverage, Point
from builder.pages.count_tables import LARGE_ROW_MM, column_name, heading, lead_mm, short
from builder.pages.page import Paper
from builder.pages.phrases import Phrases
from builder.pages.sides import dealt, even_pieces, room_mm
from builder.pages.study_page import open_names
from builder.theory.fretboard import Instrument

_GREYS = (1.0, 0.92, 0.84, 0.74, 0.62)
_NECK_TITLE_MM, _NECK_FOOT_MM, _NECK_STRING_MM = 22.0, 12.0, 6.2
_NECK_NAMES_MM, _NECK_CELL_MM, _LARGE_NECK_CELL_MM = 6.0, 9.0, 11.0
_CURVE_MM = 78.0
_MOST_SENTENCES = 8
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
        place=phrases(f"coverage.hole-place.{cell.axis}", name=column_name(cell.axis, cell.column, phrases)),
        instrument=heading("instrument", hole.instrument, phrases),
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
        phrases("coverage.neck.title"), phrases("coverage.neck.lead"), dealt(blocks, room_mm(paper), lead_mm(paper))
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
            "coverage.neck.heading", instrument=heading("instrument", each.instrument, phrases), notes=sum(times)
        ),
        strings=open_names(instrument, phrases),
        first=frets[0],
        frets=len(frets),
        cell_mm=round(min(widest, (paper.line_mm - _NECK_NAMES_MM) / len(frets)), 2),
        string_mm=LARGE_ROW_MM if paper.large else _NECK_STRING_MM,
        cells=tuple(
            NeckCell(place.string, place.fret, _GREYS[_shade(place.times, bounds)], short(place.times))
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
