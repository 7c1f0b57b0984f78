"""A booklet: the pages of a finished book two by two on sheets that are folded together and stitched through the fold.

Stage:    7 write
In, Out:  a book's PDF; a PDF of sheets, front and back in turn
Units:    pages and sheets count from 0; lengths in points of 1/72 inch
Source:   saddle stitching: of n pages (a multiple of 4) the outermost sheet carries the last and the first outside, the
          second and the last but one inside, and so on inwards; ISO 32000-1:2008, 8.10 (forms), 14.11.2 (page boxes)
Not here: the pages and their order (`book_pdf`)
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

from pypdf import PageObject, PdfReader, PdfWriter
from pypdf.generic import ArrayObject, DictionaryObject, FloatObject, IndirectObject, NameObject

from builder.outputs.pdf_objects import compressed, dictionary

PAGES_A_SHEET = 4


@dataclass(frozen=True, slots=True)
class SheetSide:
    """One side of a sheet: the pages on its left and right half (None = blank), and how far inside the sheet lies."""

    left: int | None
    right: int | None
    depth: int


def sheet_sides(pages: int) -> tuple[SheetSide, ...]:
    """Return the sides of all sheets, the outermost sheet first, front before back; blank pages come last.

    >>> [(side.left, side.right) for side in sheet_sides(6)]
    [(None, 0), (1, None), (5, 2), (3, 4)]
    """
    padded = -(-pages // PAGES_A_SHEET) * PAGES_A_SHEET

    def page(number: int) -> int | None:
        return number if number < pages else None

    sides = []
    for sheet in range(padded // PAGES_A_SHEET):
        first, last = 2 * sheet, padded - 1 - 2 * sheet
        sides.append(SheetSide(page(last), page(first), sheet))
        sides.append(SheetSide(page(first + 1), page(last - 1), sheet))
    return tuple(sides)


def impose(book: bytes, creep: float) -> PdfWriter:
    """Return the sheets of *book*; each sheet's pages stand *creep* nearer to the fold than those of the one around it.

    What bleeds over the fold is cut off, as there the next page begins.
    """
    reader, writer = PdfReader(io.BytesIO(book)), PdfWriter()
    forms = _forms(writer, reader.pages)
    first = reader.pages[0]
    width, height = float(first.trimbox.width), float(first.trimbox.height)
    bleed = float(first.trimbox.left) - float(first.mediabox.left)
    for side in sheet_sides(len(forms)):
        page = writer.add_blank_page(round(2 * (width + bleed), 2), round(height + 2 * bleed, 2))
        trim = (bleed, bleed, bleed + 2 * width, bleed + height)
        page[NameObject("/BleedBox")] = ArrayObject(FloatObject(edge) for edge in page.mediabox)
        page[NameObject("/TrimBox")] = ArrayObject(FloatObject(round(edge, 2)) for edge in trim)
        _fill(writer, page, forms, side, _Halves(width, height, bleed, creep * side.depth))
    return writer


@dataclass(frozen=True, slots=True)
class _Halves:
    """The two halves of a sheet: the trimmed page, what bleeds around it, the shift towards the fold."""

    width: float
    height: float
    bleed: float
    shift: float

    def left(self, name: str) -> str:
        """The operators that show a form on the left half, cut off at the fold."""
        return self._shown(name, 0.0, self.shift)

    def right(self, name: str) -> str:
        """The same on the right half."""
        return self._shown(name, self.bleed + self.width, self.width - self.shift)

    def _shown(self, name: str, edge: float, x: float) -> str:
        clip = f"{edge:g} 0 {self.width + self.bleed:g} {self.height + 2 * self.bleed:g} re W n"
        return f"q {clip} 1 0 0 1 {round(x, 2):g} 0 cm {name} Do Q\n"


def _fill(
    writer: PdfWriter, page: PageObject, forms: Sequence[IndirectObject], side: SheetSide, halves: _Halves
) -> None:
    """Put the two pages of *side* on *page*."""
    objects, shown = DictionaryObject(), ""
    for name, number, half in (("/L", side.left, halves.left), ("/R", side.right, halves.right)):
        if number is not None:
            objects[NameObject(name)] = forms[number]
            shown += half(name)
    page[NameObject("/Resources")] = DictionaryObject({NameObject("/XObject"): objects})
    page[NameObject("/Contents")] = writer._add_object(compressed(shown.encode()))


def _forms(writer: PdfWriter, pages: Sequence[PageObject]) -> list[IndirectObject]:
    """Every page as a form of *writer*; what pages share, such as fonts, they go on sharing."""
    forms = []
    for page in pages:
        content = page.get_contents()
        form = compressed(content.get_data() if content is not None else b"")
        form[NameObject("/Type")] = NameObject("/XObject")
        form[NameObject("/Subtype")] = NameObject("/Form")
        form[NameObject("/BBox")] = ArrayObject(FloatObject(edge) for edge in page.mediabox)
        resources = dictionary(page["/Resources"]) if "/Resources" in page else DictionaryObject()
        form[NameObject("/Resources")] = resources.clone(writer)
        forms.append(writer._add_object(form))
    return forms
