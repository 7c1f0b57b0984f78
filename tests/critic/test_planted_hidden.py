"""What is covered, unseen, doubled, stray or foreign on a page is found, and so is a page out of its place."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfWriter
from pypdf.generic import (
    ArrayObject,
    DictionaryObject,
    FloatObject,
    NameObject,
    NumberObject,
    RectangleObject,
    StreamObject,
)

from builder.critic import Asked, read_book
from builder.critic.finding import Finding
from tests.critic.conftest import Finished
from tests.critic.planting import Change, Stream, planted, rewritten

pytestmark = pytest.mark.engraves

LANDING = "first-landing"


def drawn(stream: Stream, *operations: tuple[list[float], str]) -> None:
    """Draw something more, over all that is there."""
    plain = [([FloatObject(number) for number in operands], name.encode()) for operands, name in operations]
    stream.operations += [([], b"q"), *plain, ([], b"Q")]


def set_first(stream: Stream, *operations: tuple[list[float], str]) -> None:
    """Begin the page with something."""
    plain = [([FloatObject(number) for number in operands], name.encode()) for operands, name in operations]
    stream.operations[:0] = plain


def white_over_a_note(stream: Stream) -> None:
    head = stream.sign("noteheads.s2", 5)
    drawn(stream, ([1], "g"), ([head.x - 1, head.y - 4, 9, 9], "re"), ([], "f"))


def black_over_a_note(stream: Stream) -> None:
    head = stream.sign("noteheads.s2", 5)
    drawn(stream, ([0], "g"), ([head.x - 1, head.y - 4, 9, 9], "re"), ([], "f"))


def white_over_words(stream: Stream) -> None:
    title = stream.words("First Landing")[0]
    drawn(stream, ([1], "g"), ([title.x - 1, title.y - 4, 90, 29], "re"), ([], "f"))


def white_over_a_staff(stream: Stream) -> None:
    head = stream.sign("noteheads.s2", 5)
    drawn(stream, ([1], "g"), ([head.x - 30, head.y - 12, 20, 24], "re"), ([], "f"))


def shade_over_words(stream: Stream) -> None:
    title = stream.words("First Landing")[0]
    drawn(stream, ([0.8], "g"), ([0, title.y - 4, 595, 29], "re"), ([], "f"))


def white_words(stream: Stream) -> None:
    stream.colour(stream.words("Practice log")[0], 1.0)


def unseen_words(stream: Stream) -> None:
    show = stream.words("Practice log")[0]
    again = stream.operations[show.index]
    hidden = [([NumberObject(3)], b"Tr"), again, ([NumberObject(0)], b"Tr")]
    stream.operations[show.index : show.index + 1] = [again, *hidden]


def cut_page(stream: Stream) -> None:
    set_first(stream, ([0, 0, 595, 500], "re"), ([], "W"), ([], "n"))


def words_twice(stream: Stream) -> None:
    stream.copy(stream.words("Practice log")[0], 0, 0)


def stroke_twice(stream: Stream) -> None:
    stream.copy(stream.sign("scripts.downbow"), 0, 0)


def head_twice(stream: Stream) -> None:
    stream.copy(stream.sign("noteheads.s2"), 0, 0)


def second_clef(stream: Stream) -> None:
    stream.copy(stream.sign("clefs.G"), 60, 0)


def accidental_between_lines(stream: Stream) -> None:
    stream.move(stream.sign("accidentals.sharp"), 0, 2.24)


def one_accidental_more(stream: Stream) -> None:
    stream.copy(stream.sign("accidentals.sharp"), 25, 0)


def half_a_barline(stream: Stream) -> None:
    index = next(index for index in stream.upright_lines() if stream.is_inside(index))
    del stream.operations[index : index + 3]


def barline_through_a_bar(stream: Stream) -> None:
    """All strokes of a barline a second time, further left, between the notes of its bar."""
    upright = [index for index in stream.upright_lines() if stream.is_inside(index)]
    x = max(float(stream.operations[index][0][0]) for index in upright)
    for index in reversed([one for one in upright if float(stream.operations[one][0][0]) == x]):
        strokes = [
            ([FloatObject(x - 1000), operands[1]], name) if operands else (operands, name)
            for operands, name in stream.operations[index : index + 3]
        ]
        stream.operations[index:index] = strokes


def rule_through_the_music(stream: Stream) -> None:
    clef = stream.sign("clefs.G")
    drawn(stream, ([60, clef.y - 1.3], "m"), ([500, clef.y - 1.3], "l"), ([], "S"))


def rule_through_words(stream: Stream) -> None:
    title = stream.words("First Landing")[0]
    drawn(stream, ([60, title.y + 6], "m"), ([500, title.y + 6], "l"), ([], "S"))


def pale_staves(stream: Stream) -> None:
    for index in reversed(stream.level_lines()):
        stream.operations[index:index] = [([FloatObject(0.85)], b"G")]


def hair_thin_staves(stream: Stream) -> None:
    for index in reversed(stream.level_lines()):
        stream.operations[index:index] = [([FloatObject(0.1)], b"w")]


def page_moved_sideways(stream: Stream) -> None:
    set_first(stream, ([1, 0, 0, 1, 14, 0], "cm"))


def page_made_smaller(stream: Stream) -> None:
    set_first(stream, ([0.95, 0, 0, 0.95, 14, 20], "cm"))


def page_on_the_slant(stream: Stream) -> None:
    set_first(stream, ([0.9998, 0.02, -0.02, 0.9998, 0, 0], "cm"))


def page_mirrored(stream: Stream) -> None:
    set_first(stream, ([-1, 0, 0, 1, 595.28, 0], "cm"))


PAGE: list[tuple[Change, str]] = [
    (white_over_a_note, "covered"),
    (black_over_a_note, "covered"),
    (white_over_words, "covered"),
    (white_over_a_staff, "covered"),
    (shade_over_words, "covered"),
    (white_words, "hidden"),
    (unseen_words, "hidden"),
    (cut_page, "hidden"),
    (words_twice, "doubled"),
    (stroke_twice, "doubled"),
    (head_twice, "pitch"),
    (second_clef, "stray"),
    (accidental_between_lines, "stray"),
    (one_accidental_more, "stray"),
    (half_a_barline, "barline"),
    (barline_through_a_bar, "barline"),
    (rule_through_the_music, "line"),
    (rule_through_words, "overlap"),
    (pale_staves, "pale"),
    (hair_thin_staves, "lines"),
    (page_moved_sideways, "margin"),
    (page_made_smaller, "margin"),
    (page_on_the_slant, "system"),
    (page_mirrored, "system"),
]


def on_page(book: Finished, pdf: Path) -> set[str]:
    page = book.page(LANDING)
    return {one.kind for one in read_book(pdf, book.document) if one.page in (0, page)}


@pytest.mark.parametrize(("change", "kind"), PAGE, ids=lambda value: getattr(value, "__name__", value))
def test_a_page_that_hides_something_is_found(small: Finished, tmp_path: Path, change: Change, kind: str):
    assert kind in on_page(small, planted(small.pdf, tmp_path / "planted.pdf", small.page(LANDING), change))


# --- the objects of a page -------------------------------------------------------------------------------------------

Page = DictionaryObject


def more(writer: PdfWriter, page: Page, content: bytes, first: bool = False) -> None:
    """Draw more on a page, after all that is there or before it."""
    stream = StreamObject()
    stream.set_data(content)
    old = page["/Contents"].get_object()
    parts = list(old) if isinstance(old, ArrayObject) else [page.raw_get("/Contents")]
    new = writer._add_object(stream)
    page[NameObject("/Contents")] = ArrayObject([new, *parts] if first else [*parts, new])


def picture(writer: PdfWriter, page: Page) -> None:
    dots = StreamObject()
    dots.set_data(b"\x80" * 100)
    plain = {"Type": "XObject", "Subtype": "Image", "ColorSpace": "DeviceGray"}
    dots.update({NameObject(f"/{key}"): NameObject(f"/{value}") for key, value in plain.items()})
    dots.update({NameObject(f"/{key}"): NumberObject(10) for key in ("Width", "Height")})
    dots[NameObject("/BitsPerComponent")] = NumberObject(8)
    page["/Resources"]["/XObject"][NameObject("/Picture")] = writer._add_object(dots)  # type: ignore[index]
    more(writer, page, b"q 100 0 0 100 300 60 cm /Picture Do Q")


def picture_in_the_stream(writer: PdfWriter, page: Page) -> None:
    more(writer, page, b"q 50 0 0 50 300 60 cm BI /W 4 /H 4 /CS /G /BPC 8 ID ((((<<<<[[[[]]]] EI Q")


def veil(writer: PdfWriter, page: Page) -> None:
    state = DictionaryObject({NameObject("/ca"): FloatObject(0.3)})
    page["/Resources"][NameObject("/ExtGState")] = DictionaryObject({NameObject("/Faint"): state})  # type: ignore[index]
    more(writer, page, b"/Faint gs", first=True)


def layer(writer: PdfWriter, page: Page) -> None:
    more(writer, page, b"/OC /Layer BDC", first=True)


def nonsense(writer: PdfWriter, page: Page) -> None:
    stream = StreamObject()
    stream.set_data(b"q 1 0 0 cm BT /Nope 3 Tf (x Tj ET ] re l")
    page[NameObject("/Contents")] = writer._add_object(stream)


def other_sheet(writer: PdfWriter, page: Page) -> None:
    page[NameObject("/MediaBox")] = RectangleObject((0, 0, 612, 900))


def no_trim(writer: PdfWriter, page: Page) -> None:
    del page["/TrimBox"]


def crop(writer: PdfWriter, page: Page) -> None:
    page[NameObject("/CropBox")] = RectangleObject((50, 50, 500, 800))


def other_unit(writer: PdfWriter, page: Page) -> None:
    page[NameObject("/UserUnit")] = FloatObject(1.1)


OBJECTS: list[tuple[Callable[[PdfWriter, Page], None], str]] = [
    (picture, "image"),
    (picture_in_the_stream, "image"),
    (veil, "hidden"),
    (layer, "hidden"),
    (nonsense, "unreadable"),
    (other_sheet, "box"),
    (no_trim, "box"),
    (crop, "box"),
    (other_unit, "page-size"),
]


@pytest.mark.parametrize(("change", "kind"), OBJECTS, ids=lambda value: getattr(value, "__name__", value))
def test_a_page_with_foreign_objects_is_found(
    small: Finished, tmp_path: Path, change: Callable[[PdfWriter, Page], None], kind: str
):
    def plant(writer: PdfWriter) -> None:
        change(writer, writer.pages[small.page(LANDING) - 1])

    assert kind in on_page(small, rewritten(small.pdf, tmp_path / "planted.pdf", plant))


# --- a logo ----------------------------------------------------------------------------------------------------------


def inks(small: Finished, tmp_path: Path, content: bytes, logo_mm: tuple[float, float]) -> list[Finding]:
    def plant(writer: PdfWriter) -> None:
        more(writer, writer.pages[small.page(LANDING) - 1], content)

    pdf = rewritten(small.pdf, tmp_path / "planted.pdf", plant)
    return [one for one in read_book(pdf, small.document, Asked(logo_mm=logo_mm)) if one.kind == "ink"]


def test_only_a_logo_may_be_in_colour_and_no_larger_than_it_is(small: Finished, tmp_path: Path):
    red = b"q 0.8 0 0 rg 300 20 28 28 re f Q"  # 10 mm wide and high
    assert inks(small, tmp_path, red, (0, 0))
    assert inks(small, tmp_path, red, (12, 12)) == []
    assert inks(small, tmp_path, red, (12, 8))
    assert inks(small, tmp_path, red + b" q 0.8 0 0 rg 100 20 28 28 re f Q", (12, 12))
