"""Where a finished page stands on its paper: moved away from the spine, with a tab of the thumb index at its edge.

Stage:    6 assemble (pure)
In, Out:  a book and the number of a side; millimetres
Units:    millimetres from the upper left corner of the trimmed page
Not here: the PDF (`outputs.book_pdf`), the margins as such (`spec.press`)

A page is engraved once, whichever side it falls on: all that depends on the side is done to the finished page.
"""

from __future__ import annotations

from dataclasses import dataclass

from builder.pages.page import paper_of
from builder.spec.plan import BookPlan
from builder.spec.press import TAB_MM

_SLOTS = 8  # as many as there are levels, so that a level's tab stands at one height in every book
_FIRST_SHARE, _SLOTS_SHARE, _TAB_SHARE = 0.12, 0.76, 0.62  # of the height; of a slot. Our own choice
_FIGURE_MM = 5.2  # from the trimmed edge to the figure: out of reach of the knife and of a printer's blank edge


@dataclass(frozen=True, slots=True)
class Tab:
    """A tab of the thumb index: its level, the edge it stands at, and how far down it begins and ends."""

    level: int
    left: bool
    top_mm: float
    bottom_mm: float

    @property
    def middle_mm(self) -> float:
        """How far down its figure stands."""
        return (self.top_mm + self.bottom_mm) / 2


def outer_left(book: BookPlan, side: int) -> bool:
    """Whether the spine is on the right: *side* counts from 1, and side 1 of a bound book is a right-hand page."""
    return book.press.sides == "two" and side % 2 == 0


def shift_mm(book: BookPlan, side: int) -> float:
    """How far to the right the page moves: away from the spine."""
    return -book.press.gutter_mm if outer_left(book, side) else book.press.gutter_mm


def tab_of(book: BookPlan, level: int, side: int) -> Tab:
    """The tab of a page that belongs to *level*, counted from 1."""
    height = paper_of(book).trim_height_mm
    slot = _SLOTS_SHARE * height / _SLOTS
    top = _FIRST_SHARE * height + slot * (level - 1)
    return Tab(level, outer_left(book, side), round(top, 2), round(top + _TAB_SHARE * slot, 2))


def figure_mm(book: BookPlan, tab: Tab, side: int) -> float:
    """Where the outer end of the tab's figure stands on the page as it was engraved, from its left edge."""
    paper = paper_of(book)
    edge = _FIGURE_MM if tab.left else paper.trim_width_mm - _FIGURE_MM
    return round((edge - shift_mm(book, side)) / paper.scale, 2)


def tab_box_mm(book: BookPlan, tab: Tab) -> tuple[float, float, float, float]:
    """The tab's left, upper, right and lower edge; it runs out into the bleed."""
    width, bleed = paper_of(book).trim_width_mm, book.press.bleed_mm
    sides = (-bleed, TAB_MM) if tab.left else (width - TAB_MM, width + bleed)
    return sides[0], tab.top_mm, sides[1], tab.bottom_mm
