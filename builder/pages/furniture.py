"""What is laid over finished pages: running heads, feet and page numbers.

Stage:    6 assemble (pure)
In, Out:  a book and what a side shows; `Furnishing`s, one for each side
Not here: any of it inside a content page, which must not change when its number does
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from builder.pages.page import paper_of
from builder.pages.phrases import Phrases
from builder.pages.press import figure_mm, outer_left, tab_of
from builder.spec.plan import BookPlan
from builder.theory.score import Study

_LABEL_MM, _LETTER_MM = 16.0, 1.37  # room for a page number; a letter of the foot at 7.5 pt


@dataclass(frozen=True, slots=True)
class Furnishing:
    """The furniture of one side; empty texts print nothing.

    *outer_left*: the outer edge is the left one (even sides of a book printed on both sides). *head* stands at the
    inner edge, *level* large at the outer one; *label* is the page number. *tab* is the figure of the thumb index,
    *tab_x_mm* and *tab_y_mm* its place from the upper left corner of the page as engraved, *tab_filled* whether it
    stands on black.
    """

    outer_left: bool
    head: str
    level: str
    foot: str
    label: str
    tab: str = ""
    tab_x_mm: float = 0.0
    tab_y_mm: float = 0.0
    tab_filled: bool = False

    @property
    def bare(self) -> bool:
        """Whether nothing at all is printed, as on a cover."""
        return not (self.head or self.level or self.foot or self.label)


def study_furnishing(study: Study, level: int, book: BookPlan, phrases: Phrases, side: int, label: str) -> Furnishing:
    """The furniture of a side of *study*, which stands among *level*; *side* counts from 1 through the book."""
    # A narrow foot has no room for everything, and the author stands on the cover; one in large print holds few words,
    # and the imprint says under which licence.
    author = "" if book.large_print or (book.look.foot and paper_of(book).narrow) else book.author
    licence = "" if book.large_print else book.licence
    parts = (study.id, book.student, book.edition, author, licence, book.look.foot)
    foot = "  ·  ".join(part for part in parts if part)
    if author and len(foot) > (paper_of(book).line_mm - _LABEL_MM) / _LETTER_MM:
        foot = "  ·  ".join(part for part in parts if part and part != author)
    made = Furnishing(
        outer_left(book, side), book.look.head or book.school, phrases("level.name", level=level), foot, label
    )
    return with_tab(made, book, level, side)


def plain_furnishing(book: BookPlan, title: str, side: int, label: str) -> Furnishing:
    """The furniture of a page without a study; *title* stands where a study's level would."""
    foot = "  ·  ".join(part for part in (book.title, book.student, book.edition, book.look.foot) if part)
    return Furnishing(outer_left(book, side), book.look.head or book.school, title, foot, label)


def bare_furnishing() -> Furnishing:
    """No furniture: the cover."""
    return Furnishing(False, "", "", "", "")


def with_tab(made: Furnishing, book: BookPlan, level: int, side: int) -> Furnishing:
    """The same with the figure of the thumb index for a page of *level*, where the book has one."""
    if not book.press.thumb_index:
        return made
    tab = tab_of(book, level, side)
    return replace(
        made,
        tab=str(level),
        tab_x_mm=figure_mm(book, tab, side),
        tab_y_mm=round(tab.middle_mm / paper_of(book).scale, 2),
        tab_filled=not book.low_ink,
    )
