"""The pages after the studies: where every study starts, and a practice log for the term.

Stage:    6 assemble (pure)
In, Out:  the studies of a book; values for the book templates
Not here: the log on each study's own page (`study_page`)
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from builder.pages.front import Entry, Group, Labels, Listing, on_sides
from builder.pages.large_print import LARGE_STRING_GAP_MM
from builder.pages.note_names import written
from builder.pages.order import study_key
from builder.pages.page import Dot, NeckMap, Paper
from builder.pages.phrases import Phrases, capitalised
from builder.pages.study_page import open_names, start_line
from builder.theory.fretboard import Instrument
from builder.theory.score import Study

_GAP_MM, _TITLE_MM = 6.0, 28.0  # between strings; title and lead
_OCTAVE = 12
_LARGE_HEAD = 3  # letters of a day that fit a column in large print
LOG_WEEKS = 12  # a school term (our own choice)


@dataclass(frozen=True, slots=True)
class NeckPage:
    """The whole neck of every instrument with the places where studies start, and the studies by place."""

    title: str
    lead: str
    listing: Listing


@dataclass(frozen=True, slots=True)
class LogPage:
    """A table of weeks and days."""

    title: str
    lead: str
    name: str
    study: str
    heads: tuple[str, ...]
    widths_mm: tuple[float, ...]
    row_mm: float
    weeks: int


def neck_page(studies: Sequence[Study], paper: Paper, labels: Labels, phrases: Phrases) -> NeckPage:
    """Every instrument of the book in order of first use: its neck, then its studies string by string."""
    instruments = list(dict.fromkeys(study.instrument for study in studies))
    groups = [
        group
        for instrument in instruments
        for group in _groups(instrument, [s for s in studies if s.instrument == instrument], paper, labels, phrases)
    ]
    lead = "neck.lead" if len(instruments) == 1 else "neck.lead-many"
    return NeckPage(phrases("neck.title"), phrases(lead), on_sides(groups, paper, _TITLE_MM))


def _groups(
    instrument: Instrument, studies: list[Study], paper: Paper, labels: Labels, phrases: Phrases
) -> Iterator[Group]:
    """The map of an instrument under its name, then a group for every string that studies start on."""
    yield Group("", instrument_words(instrument, phrases), (), neck_map=starts_map(studies, paper, _GAP_MM, phrases))
    ordered = sorted(studies, key=lambda study: (study.start.string, study.start.fret, study.id))
    for string in range(1, instrument.strings + 1):
        members = [study for study in ordered if study.start.string == string]
        if members:
            entries = tuple(_entry(study, labels, phrases) for study in members)
            yield Group("", phrases("neck.string", string=string), entries, minor=True)


def instrument_words(instrument: Instrument, phrases: Phrases) -> str:
    """The name of an instrument as a heading."""
    return capitalised(phrases.named("instrument", instrument.name))


def neck_maps(studies: Sequence[Study], paper: Paper, phrases: Phrases) -> tuple[tuple[str, NeckMap], ...]:
    """The neck of every instrument in order of first use, under its name, with the places where studies start."""
    instruments = dict.fromkeys(study.instrument for study in studies)
    members = [[study for study in studies if study.instrument == instrument] for instrument in instruments]
    return tuple(
        (instrument_words(same[0].instrument, phrases), drawn)
        for same in members
        for drawn in _stretches(starts_map(same, paper, _GAP_MM, phrases), paper, phrases)
    )


def _stretches(neck: NeckMap, paper: Paper, phrases: Phrases) -> Iterator[NeckMap]:
    """The whole neck; in large print, or where syllables are wider than narrow frets, a map below the octave and one
    above it, if anything starts there."""
    wide = paper.large or (paper.narrow and phrases.naming == "solfege")
    if not wide or neck.last <= _OCTAVE + 1:
        yield neck
        return
    for first, last in ((0, _OCTAVE), (_OCTAVE, neck.last)):
        dots = tuple(dot for dot in neck.dots if first < dot.fret <= last or first == dot.fret == 0)
        if dots:
            yield replace(
                neck,
                first=first,
                last=last,
                dots=dots,
                used_frets=tuple(fret for fret in neck.used_frets if first < fret <= last),
                bold_strings=tuple(sorted({dot.string for dot in dots})),
            )


def starts_map(studies: Sequence[Study], paper: Paper, gap_mm: float, phrases: Phrases) -> NeckMap:
    """The whole neck of the instrument that *studies* share, with a ring where each of them starts."""
    instrument = studies[0].instrument
    gap_mm = LARGE_STRING_GAP_MM if paper.large else gap_mm
    starts = {(study.start.string, study.start.fret): written(study.start_pitch.name, phrases) for study in studies}
    return NeckMap(
        strings=open_names(instrument, phrases),
        first=0,
        last=instrument.last_fret,
        band=None,
        used_frets=tuple(sorted({fret for _, fret in starts if fret})),
        bold_strings=tuple(sorted({string for string, _ in starts})),
        dots=tuple(Dot(string, fret, name, "ring") for (string, fret), name in sorted(starts.items())),
        width_mm=round(paper.line_mm - 14, 1),
        gap_mm=gap_mm,
    )


def _entry(study: Study, labels: Labels, phrases: Phrases) -> Entry:
    place = start_line(study, phrases, "fret-only")
    return Entry(study.title, place, labels.get(study_key(study.id), ""), study.id, False)


def log_page(paper: Paper, phrases: Phrases) -> LogPage:
    """The log for the term: a row a week, a cell a day."""
    days = phrases.lines("term-log.days")
    week_mm = 20.0 if paper.large else 12.0
    heads = (phrases("term-log.week"), *days)
    free = paper.height_mm - (
        140.0 if paper.large else 93.0
    )  # title, lead, name line, head row, foot; measured on trial pages
    return LogPage(
        title=phrases("term-log.title"),
        lead=phrases("term-log.lead"),
        name=phrases("term-log.name"),
        study=phrases("term-log.studies"),
        heads=(heads[0], *(day[:_LARGE_HEAD] for day in days)) if paper.large else heads,
        widths_mm=(week_mm, *(round((paper.line_mm - week_mm) / len(days), 2) for _ in days)),
        row_mm=round(free / LOG_WEEKS, 2),
        weeks=LOG_WEEKS,
    )
