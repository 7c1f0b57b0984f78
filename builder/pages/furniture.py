"""What is laid over finished pages: running heads, feet and page numbers.

Stage:    6 assemble (pure)
In, Out:  a book and what a side shows; `Furnishing`s, one for each side
Not here: any of it inside a content page, which must not change when its number does
"""

from __future__ import annotations

from dataclasses import dataclass

from builder.pages.phrases import Phrases
from builder.spec.plan import BookPlan
from builder.theory.score import Study


@dataclass(frozen=True, slots=True)
class Furnishing:
    """The furniture of one side; empty texts print nothing.

    *outer_left*: the outer edge is the left one (even sides of a book printed on both sides). *head* stands at the
    inner edge, *level* large at the outer one; *label* is the page number.
    """

    outer_left: bool
    head: str
    level: str
    foot: str
    label: str

    @property
    def bare(self) -> bool:
        """Whether nothing at all is printed, as on a cover."""
        return not (self.head or self.level or self.foot or self.label)


def study_furnishing(study: Study, level: int, book: BookPlan, phrases: Phrases, side: int, label: str) -> Furnishing:
    """The furniture of a side of *study*, which stands among *level*; *side* counts from 1 through the book."""
    foot = "  ·  ".join(part for part in (study.id, book.student, book.edition, book.author, book.licence) if part)
    return Furnishing(_outer_left(book, side), book.school, phrases("level.name", level=level), foot, label)


def plain_furnishing(book: BookPlan, title: str, side: int, label: str) -> Furnishing:
    """The furniture of a page without a study; *title* stands where a study's level would."""
    foot = "  ·  ".join(part for part in (book.title, book.student, book.edition) if part)
    return Furnishing(_outer_left(book, side), book.school, title, foot, label)


def bare_furnishing() -> Furnishing:
    """No furniture: the cover."""
    return Furnishing(False, "", "", "", "")


def _outer_left(book: BookPlan, side: int) -> bool:
    """Whether the spine is on the right: side 1 of a bound book is a right-hand page."""
    return book.sides == "two" and side % 2 == 0
