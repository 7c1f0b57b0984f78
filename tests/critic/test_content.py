"""Content streams of a few words, read as ink: places in millimetres from the upper left corner."""

from __future__ import annotations

import pytest
from pypdf import PdfWriter
from pypdf.generic import (
    ArrayObject,
    DecodedStreamObject,
    DictionaryObject,
    FloatObject,
    NameObject,
    NumberObject,
)

from builder.critic.content import read_ink
from builder.critic.fonts import Font
from builder.critic.ink import Ink

INCH = 25.4


def font(differences: ArrayObject | None = None, name: str = "/ABCDEF+Quay-Bold") -> DictionaryObject:
    """A font all of whose letters are half as wide as the type is high."""
    encoding = DictionaryObject({NameObject("/BaseEncoding"): NameObject("/WinAnsiEncoding")})
    if differences is not None:
        encoding[NameObject("/Differences")] = differences
    return DictionaryObject(
        {
            NameObject("/Subtype"): NameObject("/Type1"),
            NameObject("/BaseFont"): NameObject(name),
            NameObject("/FirstChar"): NumberObject(0),
            NameObject("/Widths"): ArrayObject([NumberObject(500)] * 256),
            NameObject("/Encoding"): encoding,
        }
    )


def ink_of(content: str, form: str = "", differences: ArrayObject | None = None) -> Ink:
    """The ink of a page of 10 by 10 inches."""
    page = PdfWriter().add_blank_page(720, 720)
    fonts = DictionaryObject({NameObject("/F"): font(differences)})
    resources = DictionaryObject({NameObject("/Font"): fonts})
    page[NameObject("/Resources")] = resources
    if form:
        stream = DecodedStreamObject()
        stream.set_data(form.encode("latin-1"))
        stream[NameObject("/Subtype")] = NameObject("/Form")
        stream[NameObject("/Matrix")] = ArrayObject(FloatObject(side) for side in (1, 0, 0, 1, 72, 0))
        stream[NameObject("/Resources")] = resources
        resources[NameObject("/XObject")] = DictionaryObject({NameObject("/Laid"): stream})
    body = DecodedStreamObject()
    body.set_data(content.encode("latin-1"))
    page[NameObject("/Contents")] = body
    return read_ink(page, Font)


def test_text_stands_where_its_matrices_put_it():
    (text,) = ink_of("q 0.1 0 0 0.1 0 0 cm q 10 0 0 10 0 0 cm BT /F 72 Tf 1 0 0 1 72 648 Tm (ab)Tj ET Q Q").texts
    assert (text.text, text.font.family) == ("ab", "Quay-Bold")
    assert (text.x, text.y, text.end, text.size) == pytest.approx((INCH, INCH, 2 * INCH, INCH))


def test_lines_of_text_move_from_the_last_line_begun():
    shown = ink_of("BT /F 10 Tf 72 648 Td (a)Tj 0 -72 Td (b)Tj 36 TL (c)' T* (d)Tj ET").texts
    assert [text.text for text in shown] == ["a", "b", "c", "d"]
    assert [text.y for text in shown] == pytest.approx([INCH, 2 * INCH, 2.5 * INCH, 3 * INCH])
    assert {round(text.x, 6) for text in shown} == {INCH}


def test_letters_close_together_are_one_text_and_leaps_part_it():
    assert [text.text for text in ink_of("BT /F 10 Tf 72 72 Td [(a)50(b)-900(c)]TJ ET").texts] == ["ab", "c"]
    assert [text.text for text in ink_of("BT /F 10 Tf 72 72 Td (1)Tj (0)Tj ET").texts] == ["10"]
    assert [text.text for text in ink_of("BT /F 10 Tf 72 72 Td [(i)4000(i)]TJ ET").texts] == ["i", "i"]


def test_escapes_and_brackets_in_strings_are_letters():
    (text,) = ink_of(r"BT /F 10 Tf 72 72 Td (\101\(b\)(c)\\)Tj <4142>Tj ET").texts
    assert text.text == "A(b)(c)\\AB"


def test_the_glyph_that_is_printed_decides_what_is_read():
    swapped = ArrayObject([NumberObject(ord("7")), NameObject("/nine")])
    (text,) = ink_of("BT /F 10 Tf 72 72 Td (7)Tj ET", differences=swapped).texts
    assert text.text == "9"


def test_strokes_of_two_points_are_lines_and_all_else_is_an_area():
    ink = ink_of("2 w 0.5 G 0 720 m 72 720 l S 0 0 72 36 re f 0 0 m 10 10 20 10 30 0 c f")
    (line,) = ink.lines
    assert (line.x0, line.y0, line.x1, line.y1) == pytest.approx((0, 0, INCH, 0))
    assert (line.width, line.grey) == pytest.approx((2 * INCH / 72, 0.5))
    assert [(area.curved, area.filled) for area in ink.areas] == [(False, True), (True, True)]
    assert ink.areas[0].box.height == pytest.approx(INCH / 2)


def test_saved_state_comes_back():
    first, second = ink_of("q 0.9 g 2 0 0 2 0 0 cm BT /F 9 Tf (a)Tj ET Q BT /F 9 Tf 72 0 Td (b)Tj ET").texts
    assert (first.grey, second.grey) == (0.9, 0.0)
    assert first.size == pytest.approx(2 * second.size)


def test_a_form_is_read_in_its_place_and_leaves_the_page_as_it_was():
    ink = ink_of("/Laid Do BT /F 9 Tf 0 0 Td (b)Tj ET", form="3 0 0 3 0 0 cm BT /F 9 Tf 0 0 Td (a)Tj ET")
    assert [(text.text, text.x) for text in ink.texts] == [("a", pytest.approx(INCH)), ("b", 0)]
    assert ink.texts[0].size == pytest.approx(3 * ink.texts[1].size)


def test_a_form_that_shows_itself_ends():
    assert len(ink_of("/Laid Do", form="BT /F 9 Tf (a)Tj ET /Laid Do").texts) < 20


def test_a_page_without_content_is_blank():
    page = PdfWriter().add_blank_page(720, 720)
    ink = read_ink(page, Font)
    assert (ink.texts, ink.lines, ink.areas) == ((), (), ())
