"""Logos as drawings: what is drawn comes through, and nothing else of the file does."""

from __future__ import annotations

import io
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader, PdfWriter
from pypdf.annotations import Link
from pypdf.generic import ArrayObject, DictionaryObject, NameObject, NumberObject, StreamObject, TextStringObject

from builder.engraving.drawing_text import drawing_text
from builder.engraving.engine import Engine, find_lilypond
from builder.engraving.logo_text import cover_logo
from builder.engraving.pdf_drawing import shown_on
from builder.errors import SpecError
from builder.fields import Unreadable
from builder.spec.drawing import Drawing
from builder.spec.logo import read_logo
from builder.spec.look import Look

BOAT = '<path d="M10 70h80l-20 25H30z" fill="navy"/><path d="M48 5v60H15Q40 40 48 5z" style="fill:#c00"/>'


def svg(inside: str, more: str = 'viewBox="0 0 100 100"', before: str = "") -> str:
    spaces = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
    return f"{before}<svg {spaces} {more}>\n{inside}\n</svg>"


def drawing(text: str, folder: Path) -> Drawing:
    (folder / "logo.svg").write_text(text)
    shown = read_logo("logo.svg", folder).shown
    assert isinstance(shown, Drawing)
    return shown


def test_shapes_become_outlines_in_grey_with_all_they_inherit(tmp_path: Path) -> None:
    made = drawing(
        svg(
            "<style>.line {fill: none; stroke: #fff}</style><title>Boat</title><defs><path d='M0 0'/></defs>"
            f'<g transform="translate(5 6) scale(2)" stroke-width="3">{BOAT}'
            '<rect class="line" x="1" y="2" width="30" height="4" rx="1"/></g>'
            '<circle cx="9" cy="9" r="4" display="none"/>'
        ),
        tmp_path,
    )
    hull, sail, frame = made.outlines
    assert (hull.fill, sail.fill, frame.fill) == (0.0572, 0.2392, None)
    assert hull.matrix == (2, 0, 0, 2, 5, 6)
    assert [step.kind for step in sail.steps] == ["m", "l", "l", "c", "h"]
    assert frame.stroke is not None
    assert (frame.stroke.grey, frame.stroke.width) == (1.0, 3.0)
    assert [step.kind for step in frame.steps].count("c") == 4


@pytest.mark.parametrize(
    ("inside", "named", "line"),
    [
        ("<script>alert(1)</script>", "script", 2),
        ("<g>\n<defs><script/></defs></g>", "script", 3),
        ('<image xlink:href="https://example.org/a.png" width="9" height="9"/>', "image", 2),
        ('\n<image href="file:///etc/hosts"/>', "image", 3),
        ('<use xlink:href="#a"/>', "use", 2),
        ('<g xlink:href="https://example.org">' + BOAT + "</g>", "href", 2),
        ('<path d="M0 0h9v9z" onclick="alert(1)"/>', "onclick", 2),
        ("<foreignObject/>", "foreignObject", 2),
        ("<text>School</text>", "text", 2),
        ("<style>@import url(https://example.org/a.css);</style>", "style sheet", 2),
        ("<style>path {fill: red}</style>", "path", 2),
        ('<path d="M0 0h9v9z" fill="url(#shade)"/>', "url(#shade)", 2),
        ('<path d="M0 0h9v9z" style="filter:url(https://example.org)"/>', "filter", 2),
        ('<path d="M0 0h9v9z" opacity="0.5"/>', "opacity", 2),
        ('<path d="M0 0h9v9z) quit"/>', "path", 2),
        ('<path d="M0 0h1e99z"/>', "million", 2),
        ('<rect width="1e400" height="5"/>', "million", 2),
        ('<path d="h9"/>', "path", 2),
        ('<g transform="matrix(1 2)"/>', "matrix", 2),
        ("<g transform='scale(1e5)'>" * 3, "transforms", 2),
        ("<g transform='skewX(90)'/>", "transforms", 2),
        ("<g>" * 80 + "</g>" * 80, "deep", 2),
        ("<path d='M0 0h1'/>" * 2500, "shapes", 2),
        (f"<path d='M0 0{'h1' * 26_000}'/>" * 2, "points", 2),
        ("<?php x ?>", "php", 2),
        ("<g>", "no sound XML", 3),
        ("", "nothing that is drawn", 3),
        (f"<polygon points='{'1' * 50_000}x'/>", "in place of numbers", 2),
        (f"<rect width='{'1' * 500_000}x' height='4'/>", "larger than a million", 2),
        (f"<rect width='5' height='4' stroke='red' stroke-width='{' ' * 500_000}1 x'/>", "in place of a number", 2),
        (f"<path d='M0 0A{'-1' * 300_000}'/>", "letters", 2),
        (f"<style>{'/*' * 300_000}</style>", "letters", 2),
        (f"<g transform='{'scale(1)' * 100_000}'/>", "too long", 2),
    ],
)
def test_what_is_more_than_shapes_is_refused_by_name_and_line(
    inside: str, named: str, line: int, tmp_path: Path
) -> None:
    with pytest.raises(Unreadable) as wrong:
        drawing(svg(inside), tmp_path)
    assert named in wrong.value.found
    assert f"(line {line} of the file)" in wrong.value.found
    assert wrong.value.found.startswith("'logo.svg', which holds")


BOMB = "<!DOCTYPE svg [<!ENTITY a 'boat'>" + "".join(
    f"<!ENTITY {b} '{f'&{a};' * 20}'>" for a, b in zip("abcdefgh", "bcdefghi", strict=True)
)


@pytest.mark.parametrize(
    ("text", "named"),
    [
        (svg("<title>&i;</title>", before=BOMB + "]>"), "entity"),
        (svg("<title>&x;</title>", before='<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/hosts">]>'), "entity"),
        (svg("<title>&x;</title>", before='<!DOCTYPE svg [<!ENTITY % x SYSTEM "http://example.org">]>'), "entity"),
        (svg(BOAT, 'viewBox="0 0 1e6 1e9"'), "larger than a million"),
        (svg(BOAT, 'viewBox="0 0 1000000 1"'), "20 times as long"),
        (svg(BOAT, 'width="0" height="5"'), "no width"),
        (svg(BOAT, 'viewBox="a b c d"'), "in place of numbers"),
        (svg(BOAT, 'viewBox="0 0 9 9" onload="alert(1)"'), "onload"),
        ("<html><body/></html>", "html"),
    ],
)
def test_a_hostile_head_is_refused(text: str, named: str, tmp_path: Path) -> None:
    with pytest.raises(Unreadable) as wrong:
        drawing(text, tmp_path)
    assert named in wrong.value.found


def test_what_editors_add_is_passed_over_and_a_document_type_is_not_fetched(tmp_path: Path) -> None:
    kind = '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'
    editor = '<e:view xmlns:e="urn:editor" e:href="x"><e:grid/></e:view><metadata><x/></metadata>'
    made = drawing(svg(editor + BOAT, 'width="10mm" height="20mm"', before='<?xml version="1.0"?>' + kind), tmp_path)
    assert len(made.outlines) == 2
    assert made.wide / made.high == pytest.approx(0.5)


def test_a_file_s_own_words_never_reach_the_page(tmp_path: Path) -> None:
    text = drawing_text(drawing(svg(BOAT + '<rect id="showpage quit" width="5" height="5"/>'), tmp_path))
    known = "translate scale rectclip gsave grestore concat newpath moveto lineto curveto closepath setgray fill eofill"
    words = {word for word in text.replace("[", " ").replace("]", " ").split() if not word[-1].isdigit()}
    assert words <= {*known.split()}


@pytest.mark.parametrize("name", ["logo.svg", "logo.png"])
def test_other_content_than_any_we_know_is_refused(name: str, tmp_path: Path) -> None:
    (tmp_path / name).write_text("%!PS-Adobe-3.0\nshowpage")
    with pytest.raises(Unreadable) as wrong:
        read_logo(name, tmp_path)
    assert "SVG or PDF" in wrong.value.expected


# --- PDF --------------------------------------------------------------------------------------------------------------


def pdf(content: bytes, size: tuple[float, float] = (200, 100)) -> PdfWriter:
    writer = PdfWriter()
    page = writer.add_blank_page(*size)
    stream = StreamObject()
    stream.set_data(content)
    page[NameObject("/Contents")] = writer._add_object(stream)
    return writer


SQUARE = b"1 0 0 rg 10 10 80 60 re f 4 w 100 20 m 120 90 160 90 180 20 c S"


def written(writer: PdfWriter, folder: Path) -> Path:
    writer.write(folder / "logo.pdf")
    return folder / "logo.pdf"


def test_of_a_pdf_nothing_but_what_its_first_page_draws_is_kept(tmp_path: Path) -> None:
    writer = pdf(SQUARE)
    writer.add_attachment("a.txt", b"secret-file")
    writer.add_metadata({"/Title": "secret-title"})
    writer.add_annotation(0, Link(rect=(0, 0, 9, 9), url="https://secret-link.example"))
    run = {NameObject("/S"): NameObject("/JavaScript"), NameObject("/JS"): TextStringObject("secret-script")}
    writer.root_object[NameObject("/OpenAction")] = DictionaryObject(run)
    writer.pages[0][NameObject("/AA")] = DictionaryObject({NameObject("/O"): DictionaryObject(run)})
    writer.add_blank_page(500, 500)
    logo = read_logo(written(writer, tmp_path).name, tmp_path)
    assert b"secret" in (tmp_path / "logo.pdf").read_bytes()
    assert isinstance(logo.shown, bytes)
    for word in (b"secret", b"JavaScript", b"OpenAction", b"Annot", b"EmbeddedFile", b"/AA", b"/URI"):
        assert word not in logo.shown
    assert len(PdfReader(io.BytesIO(logo.shown)).pages) == 1
    assert logo.ratio == 2


def image_of(writer: PdfWriter, wide: int, **more: object) -> None:
    image = StreamObject()
    image.set_data(b"\0" * 16)
    for name, value in {"Subtype": NameObject("/Image"), "Width": NumberObject(wide), **more}.items():
        image[NameObject("/" + name)] = value  # type: ignore[index]
    image[NameObject("/Height")] = NumberObject(wide)
    forms = DictionaryObject({NameObject("/X"): writer._add_object(image)})
    writer.pages[0][NameObject("/Resources")] = DictionaryObject({NameObject("/XObject"): forms})


def loop(writer: PdfWriter) -> None:
    form = StreamObject()
    form.set_data(b"/X Do")
    place = writer._add_object(form)
    forms = DictionaryObject({NameObject("/XObject"): DictionaryObject({NameObject("/X"): place})})
    form[NameObject("/Resources")] = forms
    writer.pages[0][NameObject("/Resources")] = forms


def unembedded(writer: PdfWriter) -> None:
    font = {"/Type": "/Font", "/Subtype": "/Type1", "/BaseFont": "/Helvetica"}
    named = DictionaryObject({NameObject(key): NameObject(value) for key, value in font.items()})
    fonts = DictionaryObject({NameObject("/F"): named})
    writer.pages[0][NameObject("/Resources")] = DictionaryObject({NameObject("/Font"): fonts})


def many(writer: PdfWriter) -> None:
    for _ in range(3100):
        writer._add_object(ArrayObject())


@pytest.mark.parametrize(
    ("spoil", "named"),
    [
        (lambda writer: writer.encrypt("x"), "password"),
        (lambda writer: image_of(writer, 100_000), "million dots"),
        (lambda writer: image_of(writer, 4, F=TextStringObject("/etc/hosts")), "another file"),
        (loop, "holds itself"),
        (unembedded, "Helvetica"),
        (many, "objects"),
        (lambda writer: writer.pages[0].mediabox.__init__((0, 0, 99_999, 99_999)), "points wide"),
        (lambda writer: writer.pages[0].mediabox.__init__((0, 0, 4_000, 5)), "20 times"),
    ],
)
def test_a_hostile_pdf_is_refused(spoil: object, named: str, tmp_path: Path) -> None:
    writer = pdf(SQUARE)
    spoil(writer)  # type: ignore[operator]
    with pytest.raises(Unreadable) as wrong:
        read_logo(written(writer, tmp_path).name, tmp_path)
    assert named in wrong.value.found


@pytest.mark.parametrize("keep", [9, 40, 200, 400])
def test_a_damaged_pdf_is_refused(keep: int, tmp_path: Path) -> None:
    path = written(pdf(SQUARE), tmp_path)
    path.write_bytes(path.read_bytes()[:keep])
    with pytest.raises(Unreadable):
        read_logo("logo.pdf", tmp_path)


@pytest.mark.engraves
def test_plain_outlines_of_a_pdf_stay_outlines_and_stand_where_they_stood(tmp_path: Path) -> None:
    logo = read_logo(written(pdf(SQUARE), tmp_path).name, tmp_path)
    text = getattr(cover_logo(Look(logo)), "text", "")
    assert "curveto" in text
    assert "image" not in text
    dots = raster(text, 200, 100, tmp_path)
    assert 60 < dots.getpixel((50, 60)) < 90  # red, as grey
    assert dots.getpixel((5, 5)) == 255
    assert dots.getpixel((140, 28)) < 60  # the top of the curve, from above


@pytest.mark.engraves
def test_what_is_no_plain_outline_becomes_grey_dots(tmp_path: Path) -> None:
    writer = pdf(b"q 100 0 0 100 0 0 cm /X Do Q")
    image_of(writer, 4, ColorSpace=NameObject("/DeviceGray"), BitsPerComponent=NumberObject(8))
    logo = read_logo(written(writer, tmp_path).name, tmp_path)
    assert isinstance(logo.shown, bytes)
    shown = shown_on(logo.shown, logo.ratio)
    assert isinstance(shown, bytes)
    with Image.open(io.BytesIO(shown)) as opened:
        assert (opened.mode, opened.size) == ("L", (700, 350))
        assert (opened.getpixel((100, 100)), opened.getpixel((600, 100))) == (0, 255)


@pytest.mark.engraves
def test_a_drawing_is_printed_the_right_way_up(tmp_path: Path) -> None:
    text = drawing_text(drawing(svg('<rect x="0" y="0" width="50" height="25"/>'), tmp_path))
    dots = raster(text, 100, 100, tmp_path)
    assert [dots.getpixel(at) for at in ((25, 12), (75, 12), (25, 50))] == [0, 255, 255]


def test_a_page_that_can_t_be_drawn_is_a_problem_of_its_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    failing = Engine(Path("lilypond"), Path(sys.executable), "2.25", "fonts")  # it knows none of Ghostscript's options
    monkeypatch.setattr("builder.engraving.pdf_drawing.find_lilypond", lambda: failing)
    logo = read_logo(written(pdf(b"0 0 7 7 re f"), tmp_path).name, tmp_path)
    with pytest.raises(SpecError) as wrong:
        cover_logo(Look(logo))
    assert str(tmp_path / "logo.pdf") in str(wrong.value.problems[0])


@pytest.mark.engraves
def test_a_drawing_of_very_many_points_is_printed_as_dots(tmp_path: Path) -> None:
    (tmp_path / "logo.svg").write_text(svg(f'<path d="M0 0{"h9v9h-9v-9" * 2_000}z"/>'))
    text = getattr(cover_logo(Look(read_logo("logo.svg", tmp_path))), "text", "")
    assert "/ImageType 1" in text
    assert len(text) < 30_000


def raster(text: str, wide: int, high: int, folder: Path) -> Image.Image:
    """What PostScript *text* draws in the unit square, as dots."""
    (folder / "in.ps").write_text(f"{wide} {high} scale\n{text}\nshowpage\n")
    command = [str(find_lilypond().ghostscript), "-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-sDEVICE=pnggray"]
    subprocess.run([*command, f"-g{wide}x{high}", "-r72", "-sOutputFile=out.png", "in.ps"], cwd=folder, check=True)
    shutil.copy(folder / "out.png", folder / "dots.png")
    with Image.open(folder / "dots.png") as opened:
        return opened.copy()
