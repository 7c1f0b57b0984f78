"""What a finished build knows: all that outputs and checks read.

Stage:    7 write (in)
Not here: how any of it is written (`outputs`)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from builder.spec.plan import BookPlan
from builder.theory.score import Skipped, Study


@dataclass(frozen=True, slots=True)
class PrintedSide:
    """One side of the book: its sheet and PDF, the PDF laid over it and which of its pages, how it is numbered.

    *shift_mm* is how far to the right it is moved, *tab_mm* the box of its tab in the thumb index, if it has one.
    """

    sheet: str
    pdf: Path
    furniture: Path | None
    furniture_page: int
    numbering: Literal["roman", "decimal"]
    shift_mm: float = 0.0
    tab_mm: tuple[float, float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class Heading:
    """A line of the outline: *level* counts from 1, *side* from 0."""

    level: int
    title: str
    side: int


@dataclass(frozen=True, slots=True)
class BookResult:
    """A composed, engraved book.

    *studies* stand in the order of the book; *first_side* (counted from 1) goes by study id, *labels* (the numbers
    printed) by sheet; *marks* are the sides (from 0) that links lead to, by name; *sources* the LilyPond files by study
    id; *document* is the JSON.
    """

    book: BookPlan
    studies: tuple[Study, ...]
    skipped: tuple[Skipped, ...]
    pages: tuple[PrintedSide, ...]
    first_side: Mapping[str, int]
    labels: Mapping[str, str]
    headings: tuple[Heading, ...]
    marks: Mapping[str, int]
    sources: Mapping[str, str]
    document: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Companion:
    """A small book beside *book*, whose pages it cites; *kind* names its file, *marks* are as in the book's result."""

    kind: Literal["syllabus", "teacher"]
    title: str
    book: BookPlan
    pages: tuple[PrintedSide, ...]
    headings: tuple[Heading, ...]
    marks: Mapping[str, int]
