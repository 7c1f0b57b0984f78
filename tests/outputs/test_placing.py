"""Boxes and places of printed pages: read back from a finished PDF."""

from __future__ import annotations

import re

import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import ArrayObject, DictionaryObject, FloatObject, NameObject, StreamObject, TextStringObject

from builder.outputs.book_pdf import BookInfo, BookPage, write_book
from builder.outputs.placing import Tab, Trim, placed

FACTS = BookInfo("Loose Hands", "", "", "en", targets={"here": 0})
MM = 72 / 25.4


@pytest.fixture
def page(tmp_path):
    """A page with a dot 20 mm from its left and upper edge, and a link around it."""
    writer = PdfWriter()
    made = writer.add_blank_page(150 * MM, 200 * MM)
    content = StreamObject()
    content.set_data(f"2 0 0 2 0 0 cm 0.3 g {10 * MM:.4f} {90 * MM:.4f} 1 1 re f".encode())
    made[NameObject("/Contents")] = writer._add_object(content)
    action = {NameObject("/S"): NameObject("/URI"), NameObject("/URI"): TextStringObject("mark:here")}
    rect = ArrayObject(FloatObject(side * MM) for side in (10, 170, 30, 190))
    link = {NameObject("/Subtype"): NameObject("/Link"), NameObject("/Rect"): rect}
    link[NameObject("/A")] = DictionaryObject(action)
    made[NameObject("/Annots")] = ArrayObject([writer._add_object(DictionaryObject(link))])
    path = tmp_path / "page.pdf"
    writer.write(path)
    return path


def written(tmp_path, *pages):
    write_book(tmp_path / "book.pdf", pages, FACTS)
    return PdfReader(tmp_path / "book.pdf").pages


def in_mm(box):
    return [round(float(side) / MM, 1) for side in box]


def test_boxes_say_what_is_cut_off(tmp_path, page):
    (made,) = written(tmp_path, BookPage(page, placing=placed(Trim(150, 200, 3, 1), 0, None)))
    assert in_mm(made.mediabox) == in_mm(made.bleedbox) == [0, 0, 156, 206]
    assert in_mm(made.trimbox) == [3, 3, 153, 203]


def test_without_bleed_all_boxes_are_the_page(tmp_path, page):
    (made,) = written(tmp_path, BookPage(page, placing=placed(Trim(150, 200, 0, 1), 0, None)))
    assert in_mm(made.mediabox) == in_mm(made.bleedbox) == in_mm(made.trimbox) == [0, 0, 150, 200]
    assert b"cm" not in made.get_contents().get_data().split(b"2 0 0 2")[0]


@pytest.mark.parametrize(("shift", "scale", "left", "top"), [(4, 1, 24, 20), (-4, 1, 16, 20), (2, 0.5, 12, 10)])
def test_ink_and_link_move_together(tmp_path, page, shift, scale, left, top):
    trim = Trim(150 * scale, 200 * scale, 3, scale)
    (made,) = written(tmp_path, BookPage(page, placing=placed(trim, shift, None)))
    data = made.get_contents().get_data()
    a, b, c, d, x, y = map(float, re.search(rb"q ([-0-9. ]+) cm", data)[1].split())
    assert (a, b, c, d) == (scale, 0, 0, scale)
    assert [round((scale * 20 * MM + x) / MM, 1), round((scale * 180 * MM + y) / MM, 1)] == [
        left + 3,
        round(200 * scale - top + 3, 1),
    ]
    (link,) = made["/Annots"]
    rect = in_mm(link.get_object()["/Rect"])
    centre = [(rect[0] + rect[2]) / 2, (rect[1] + rect[3]) / 2]
    assert centre == pytest.approx([left + 3, 200 * scale - top + 3], abs=0.1)


@pytest.mark.parametrize("filled", [True, False])
def test_a_tab_is_drawn_in_one_ink_before_the_page(tmp_path, page, filled):
    tab = Tab(-3, 40, 8.5, 55, filled)
    (made,) = written(tmp_path, BookPage(page, placing=placed(Trim(150, 200, 3, 1), 0, tab)))
    data = made.get_contents().get_data()
    drawn = re.match(rb"q (.*?)([-0-9.]+) ([-0-9.]+) ([-0-9.]+) ([-0-9.]+) re (.) Q", data)
    assert (drawn[1].split()[:2], drawn[6]) == (([b"0", b"g"], b"f") if filled else ([b"0", b"G"], b"S"))
    left, low, width, height = (float(number) / MM for number in drawn.groups()[1:5])
    assert (left, low, width, height) == pytest.approx((0, 206 - 3 - 55, 11.5, 15), abs=0.05)
