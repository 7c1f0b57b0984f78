"""Booklets: proved by arithmetic, and by folding the sheets of a finished PDF."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader, PdfWriter
from pypdf.generic import DictionaryObject, NameObject, StreamObject

from builder.critic.content import read_ink
from builder.critic.fonts import Font
from builder.outputs.book_pdf import BookInfo, BookPage, book_bytes, booklet_bytes
from builder.outputs.files import write_whole
from builder.outputs.imposition import SheetSide, sheet_sides
from builder.outputs.placing import Trim, placed

FACTS = BookInfo("Loose Hands", "", "", "en")
MM = 72 / 25.4


def folded(sides):
    """The pages as they are read once the sheets are laid on each other, the first outermost, and folded."""
    before = [number for side in zip(sides[::2], sides[1::2], strict=True) for number in (side[0][1], side[1][0])]
    behind = [number for side in zip(sides[::2], sides[1::2], strict=True) for number in (side[0][0], side[1][1])]
    return before + behind[::-1]


@given(st.integers(1, 400))
def test_folded_sheets_read_in_order_and_blanks_come_last(pages):
    sides = sheet_sides(pages)
    assert len(sides) % 2 == 0
    read = folded([(side.left, side.right) for side in sides])
    assert read[:pages] == list(range(pages))
    assert read[pages:] == [None] * (-pages % 4)


@given(st.integers(1, 100))
def test_pages_side_by_side_add_up_to_the_same_number(sheets):
    pages = 4 * sheets
    assert {side.left + side.right for side in sheet_sides(pages)} == {pages - 1}
    assert [side.depth for side in sheet_sides(pages)] == [depth for depth in range(sheets) for _ in range(2)]


def test_a_single_sheet():
    assert sheet_sides(4) == (SheetSide(3, 0, 0), SheetSide(1, 2, 0))


def numbered(folder, number):
    """A page of A6 that shows its number."""
    writer = PdfWriter()
    page = writer.add_blank_page(105 * MM, 148 * MM)
    face = {"/Type": "/Font", "/Subtype": "/Type1", "/BaseFont": "/Helvetica"}
    font = DictionaryObject({NameObject(key): NameObject(value) for key, value in face.items()})
    fonts = DictionaryObject({NameObject("/F1"): writer._add_object(font)})
    page[NameObject("/Resources")] = DictionaryObject({NameObject("/Font"): fonts})
    content = StreamObject()
    content.set_data(f"BT /F1 12 Tf {50 * MM:.2f} {70 * MM:.2f} Td ({number}) Tj ET".encode())
    page[NameObject("/Contents")] = writer._add_object(content)
    path = folder / f"{number}.pdf"
    writer.write(path)
    return path


def words(page):
    """Every text of a page with the place where it begins, in mm from the upper left corner of the trimmed sheet."""
    return [(int(text.text), text.x, text.y) for text in read_ink(page, Font).texts]


@pytest.mark.parametrize("pages", [1, 4, 7, 10, 24])
@pytest.mark.parametrize(("bleed", "creep"), [(0, 0), (3, 0), (3, 0.2)])
def test_a_finished_booklet_folds_into_pages_in_order(tmp_path, pages, bleed, creep):
    trim = Trim(105, 148, bleed, 1)
    made = [BookPage(numbered(tmp_path, number), placing=placed(trim, 0, None)) for number in range(pages)]
    write_whole(tmp_path / "booklet.pdf", booklet_bytes(book_bytes(made, FACTS), FACTS, creep))
    reader = PdfReader(tmp_path / "booklet.pdf")
    sides = []
    for place, sheet in enumerate(reader.pages):
        assert [round(float(edge) / MM, 1) for edge in sheet.mediabox] == [0, 0, 210 + 2 * bleed, 148 + 2 * bleed]
        assert [round(float(edge) / MM, 1) for edge in sheet.trimbox] == [bleed, bleed, 210 + bleed, 148 + bleed]
        halves = [None, None]
        for number, x, y in words(sheet):
            half = x > 105
            halves[half] = number
            shift = creep * (place // 2)
            assert x == pytest.approx(155 - shift if half else 50 + shift, abs=0.05)
            assert y == pytest.approx(148 - 70, abs=0.05)
        sides.append(tuple(halves))
    read = folded(sides)
    assert read[:pages] == list(range(pages))
    assert set(read[pages:]) <= {None}


def test_the_same_booklet_has_the_same_bytes_and_its_pages_share_their_fonts(tmp_path):
    trim = Trim(105, 148, 0, 1)
    made = [BookPage(numbered(tmp_path, number), placing=placed(trim, 0, None)) for number in range(8)]
    for name in ("one", "two"):
        write_whole(tmp_path / f"{name}.pdf", booklet_bytes(book_bytes(made, FACTS), FACTS, 0.1))
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()
    fonts = set()
    for sheet in PdfReader(tmp_path / "one.pdf").pages:
        for form in sheet["/Resources"]["/XObject"].values():
            fonts.add(form.get_object()["/Resources"]["/Font"].raw_get("/F1").idnum)
    assert len(fonts) == 1
