"""The last pages: who made the book and how it is cited, and paper to write on.

Stage:    6 assemble (pure)
In, Out:  a book, the instruments of its studies; values for the templates
Units:    millimetres
Source:   seven systems a side of A4 leave room over the staff for letters and bows: our own choice, looked at in print
Not here: the words (shared/phrases)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from builder.pages.back import instrument_words
from builder.pages.page import Paper, paper_of
from builder.pages.phrases import Phrases
from builder.pages.sides import room_mm
from builder.spec.plan import BookPlan, Notation
from builder.theory.fretboard import Instrument
from builder.theory.score import Study

_STAFF_MM, _TAB_GAP_MM, _BETWEEN_MM, _AIR_MM = 7.0, 2.6, 9.0, 7.0  # staff; way between strings; staff to tab; over it
_ALONE_MM = 5.0  # over a staff or a tablature alone, for stems and fingers
_TITLE_MM = 20.0  # title, and air over the foot
_STAFF_PT, _LARGE_STAFF_PT = 18, 26
_LARGE_TAB = 1.27  # how much further apart the strings of large print are, beside the size of its staff


@dataclass(frozen=True, slots=True)
class ImprintPage:
    """Facts as (name, value), then paragraphs."""

    title: str
    facts: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]


def imprint_page(book: BookPlan, version: str, example: str, phrases: Phrases) -> ImprintPage:
    """What *book* is, who made it, with which *version* of etudebook; *example* is a study to cite."""
    given = (
        ("book", "  ·  ".join(part for part in (book.title, book.subtitle) if part)),
        ("student", book.student),
        ("school", book.school),
        ("author", book.author),
        ("edition", book.edition),
        ("licence", book.licence),
        ("made", phrases("imprint.made-with", version=version)),
        # Without levels no alternates are drawn, and the seed has changed nothing in this book.
        ("seed", book.seed if book.levels else ""),
    )
    cautions = (f"{phrases('caution.strong')} {phrases('caution.rest')}", *phrases.lines("imprint.notes"))
    return ImprintPage(
        title=phrases("imprint.title"),
        facts=tuple((phrases(f"imprint.{name}"), text) for name, text in given if text),
        notes=(phrases("imprint.cite", study=example), *cautions),
    )


@dataclass(frozen=True, slots=True)
class BlankPaper:
    """Empty systems for one instrument, in the *notation* of the book, on so many sides."""

    title: str
    instrument: Instrument
    notation: Notation
    systems: int
    staff_size: int
    sides: int


def blank_papers(studies: Sequence[Study], sides: int, book: BookPlan, phrases: Phrases) -> tuple[BlankPaper, ...]:
    """Paper for every instrument of *studies* that needs another: by strings, by clef, in order of first use."""
    paper, notation = paper_of(book), book.notation
    kinds: dict[tuple[int, str], Instrument] = {}
    for study in studies:
        strings, clef = study.instrument.strings, study.instrument.clef
        kinds.setdefault((0 if notation == "staff" else strings, "" if notation == "tab" else clef), study.instrument)
    return tuple(
        BlankPaper(
            phrases("blank.title-of", instrument=instrument_words(one, phrases))
            if len(kinds) > 1
            else phrases("blank.title"),
            one,
            notation,
            _systems(one, notation, paper),
            _LARGE_STAFF_PT if paper.large else _STAFF_PT,
            sides,
        )
        for one in kinds.values()
    )


def _systems(instrument: Instrument, notation: Notation, paper: Paper) -> int:
    """How many systems fill a side."""
    tab_mm = 0.0 if notation == "staff" else _TAB_GAP_MM * (instrument.strings - 1)
    height = tab_mm + _AIR_MM + (0.0 if notation == "tab" else _STAFF_MM)
    height += _BETWEEN_MM if notation == "both" else _ALONE_MM
    if paper.large:
        height = (height + (_LARGE_TAB - 1) * tab_mm) * _LARGE_STAFF_PT / _STAFF_PT
    return max(1, int((room_mm(paper) - _TITLE_MM) / height))
