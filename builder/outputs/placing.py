"""A finished page on its paper: its boxes, and how what was engraved is moved and scaled onto it.

Stage:    7 write
In, Out:  millimetres of the printed page; PDF boxes, operators and rectangles in points of 1/72 inch
Source:   ISO 32000-1:2008, 14.11.2 (page boxes), 8.3.4 (transformations), 8.6.4.2 (a grey is one ink)
Not here: how far a page is moved and where its tab stands (`pages.press`)
"""

from __future__ import annotations

from dataclasses import dataclass

from pypdf import PageObject
from pypdf.generic import ArrayObject, DictionaryObject, FloatObject, NameObject, PdfObject

from builder.outputs.pdf_objects import typed

_POINT_MM = 25.4 / 72
_HAIR_PT = 0.5  # the outline of a tab where no area is filled; our own choice: as thin as a staff line


@dataclass(frozen=True, slots=True)
class Tab:
    """A tab of the thumb index from its upper left to its lower right corner, from the trimmed corner, in mm."""

    left_mm: float
    top_mm: float
    right_mm: float
    bottom_mm: float
    filled: bool


@dataclass(frozen=True, slots=True)
class Trim:
    """The page as it is cut: its size, what is cut off around it, and the scale at which pages are printed."""

    width_mm: float
    height_mm: float
    bleed_mm: float
    scale: float


@dataclass(frozen=True, slots=True)
class Placing:
    """Where a page stands on its paper, in points: sheet, trimmed page, scale, shift, the operators of its tab."""

    media: tuple[float, float]
    trim: tuple[float, float, float, float]
    scale: float
    shift: tuple[float, float]
    tab: bytes

    @property
    def moved(self) -> bytes:
        """The operator that moves and scales what was engraved; empty where it stays as it is."""
        if (self.scale, self.shift) == (1, (0, 0)):
            return b""
        return f" {self.scale:g} 0 0 {self.scale:g} {self.shift[0]:g} {self.shift[1]:g} cm".encode()

    def draw_boxes(self, page: PageObject) -> None:
        """Give *page* its boxes: the sheet is what bleeds, the page is what is cut out of it."""
        page[NameObject("/BleedBox")] = ArrayObject(FloatObject(side) for side in (0, 0, *self.media))
        page[NameObject("/TrimBox")] = ArrayObject(FloatObject(side) for side in self.trim)

    def moved_link(self, link: PdfObject) -> PdfObject:
        """Move the area of *link* along with the page."""
        if not self.moved:
            return link
        annotation = typed(link, DictionaryObject)
        sides = [float(side) for side in typed(annotation["/Rect"], ArrayObject)]
        moved = (round(self.scale * side + self.shift[index % 2], 2) for index, side in enumerate(sides))
        annotation[NameObject("/Rect")] = ArrayObject(FloatObject(side) for side in moved)
        return link


def as_engraved(width: float, height: float) -> Placing:
    """A page that is printed as it was engraved, on paper of its own size."""
    return Placing((width, height), (0, 0, width, height), 1, (0, 0), b"")


def placed(trim: Trim, shift_mm: float, tab: Tab | None) -> Placing:
    """A page on the paper of *trim*, moved *shift_mm* to the right."""
    bleed, width, height = _points(trim.bleed_mm), _points(trim.width_mm), _points(trim.height_mm)
    return Placing(
        media=(round(width + 2 * bleed, 2), round(height + 2 * bleed, 2)),
        trim=(bleed, bleed, round(bleed + width, 2), round(bleed + height, 2)),
        scale=trim.scale,
        shift=(round(bleed + _points(shift_mm), 2), bleed),
        tab=_drawn(tab, trim) if tab else b"",
    )


def _drawn(tab: Tab, trim: Trim) -> bytes:
    """The operators that draw a tab; the state of the page stays as it was."""
    left, low = _points(trim.bleed_mm + tab.left_mm), _points(trim.bleed_mm + trim.height_mm - tab.bottom_mm)
    width, height = _points(tab.right_mm - tab.left_mm), _points(tab.bottom_mm - tab.top_mm)
    colour, paint = ("0 g", "f") if tab.filled else (f"0 G {_HAIR_PT:g} w", "S")
    return f"q {colour} {left:g} {low:g} {width:g} {height:g} re {paint} Q\n".encode()


def _points(length_mm: float) -> float:
    return round(length_mm / _POINT_MM, 2)
