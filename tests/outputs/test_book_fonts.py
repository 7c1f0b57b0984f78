"""Fonts of many pages become one each, and no page looks different for it."""

from __future__ import annotations

import io

import pytest
from fontTools.cffLib import CFFFontSet, SubrsIndex
from fontTools.fontBuilder import FontBuilder
from fontTools.misc.psCharStrings import T2CharString
from fontTools.pens.recordingPen import RecordingPen
from fontTools.pens.t2CharStringPen import T2CharStringPen
from fontTools.ttLib import TTFont
from pypdf import PdfWriter
from pypdf.generic import (
    ArrayObject,
    DictionaryObject,
    FloatObject,
    NameObject,
    NumberObject,
    StreamObject,
    TextStringObject,
)

from builder.outputs.book_fonts import FontJoiner
from builder.outputs.own_fonts import OwnFontCarrier

WIDTHS = {"A": 600, "B": 650, "noteheads.s2": 325, "clefs.G": 700}


def program(glyphs, weight=80):
    """A font program with these glyphs, each a box as wide as its name says."""
    builder = FontBuilder(1000, isTTF=False)
    builder.setupGlyphOrder([".notdef", *glyphs])
    strings = {}
    for name in (".notdef", *glyphs):
        width = WIDTHS.get(name, 500)
        pen = T2CharStringPen(width, None)
        pen.moveTo((0, 0))
        pen.lineTo((0, 500))
        pen.lineTo((width, 500))
        pen.closePath()
        strings[name] = pen.getCharString()
    builder.setupCFF("Harbour", {}, strings, {"StdVW": weight})
    out = io.BytesIO()
    builder.font["CFF "].cff.compile(out, TTFont(recalcBBoxes=False))
    return out.getvalue()


def with_subroutines(data):
    """The font program *data* with every box moved into a subroutine of the font that calls one of the font set."""
    cff = CFFFontSet()
    cff.decompile(io.BytesIO(data), None)
    top = cff[0]
    top.Private.Subrs = SubrsIndex()
    for number, glyph in enumerate(top.CharStrings.values()):
        glyph.decompile()
        lines = next(at for at, token in enumerate(glyph.program) if isinstance(token, str)) + 1
        called = T2CharString(program=[*glyph.program[lines:-1], "return"])
        calling = T2CharString(program=[*glyph.program[:lines], number - 107, "callgsubr", "return"])
        glyph.program = [number - 107, "callsubr", "endchar"]
        for part, table in ((called, cff.GlobalSubrs), (calling, top.Private.Subrs)):
            part.private, part.globalSubrs = top.Private, cff.GlobalSubrs
            table.append(part)
    out = io.BytesIO()
    cff.compile(out, TTFont(recalcBBoxes=False))
    return out.getvalue()


def page_font(codes, tag="ABCDEF", name="Harbour", base="/WinAnsiEncoding", weight=80, shared=False):
    """A font object as Ghostscript writes it for a page that shows *codes* (code to glyph)."""
    data = StreamObject()
    plain = program(sorted(codes.values()), weight)
    data.set_data(with_subroutines(plain) if shared else plain)
    data[NameObject("/Subtype")] = NameObject("/Type1C")
    first, last = min(codes), max(codes)
    differences = ArrayObject()
    for code, glyph in sorted(codes.items()):
        differences.extend([NumberObject(code), NameObject(f"/{glyph}")])
    encoding = {"/Type": NameObject("/Encoding"), "/BaseEncoding": NameObject(base), "/Differences": differences}
    descriptor = {
        "/Type": NameObject("/FontDescriptor"),
        "/FontName": NameObject(f"/{tag}+{name}"),
        "/FontBBox": ArrayObject(
            NumberObject(side) for side in (0, 0, max(WIDTHS[glyph] for glyph in codes.values()), 500)
        ),
        "/Flags": NumberObject(4),
        "/Ascent": NumberObject(500),
        "/CharSet": TextStringObject("".join(f"/{glyph}" for glyph in sorted(codes.values()))),
        "/FontFile3": data,
    }
    font = {
        "/Type": NameObject("/Font"),
        "/Subtype": NameObject("/Type1"),
        "/BaseFont": NameObject(f"/{tag}+{name}"),
        "/FirstChar": NumberObject(first),
        "/LastChar": NumberObject(last),
        "/Widths": ArrayObject(
            FloatObject(WIDTHS[codes[code]] if code in codes else 0) for code in range(first, last + 1)
        ),
        "/Encoding": DictionaryObject({NameObject(key): value for key, value in encoding.items()}),
        "/FontDescriptor": DictionaryObject({NameObject(key): value for key, value in descriptor.items()}),
    }
    return DictionaryObject({NameObject(key): value for key, value in font.items()})


def join(*fonts):
    writer = PdfWriter()
    joiner = FontJoiner(writer, OwnFontCarrier(writer))
    references = [joiner.font(font) for font in fonts]
    joiner.finish()
    return references


def unpacked(font):
    cff = CFFFontSet()
    cff.decompile(io.BytesIO(font["/FontDescriptor"]["/FontFile3"].get_data()), None)
    return cff


def glyphs(font):
    return unpacked(font)[0].charset


def drawn(font):
    """What each glyph draws."""
    strings, found = unpacked(font)[0].CharStrings, {}
    for name in strings.keys():  # noqa: SIM118  (fontTools gives it no __iter__)
        pen = RecordingPen()
        strings[name].draw(pen)
        found[name] = pen.value
    return found


def test_subsets_that_agree_become_one_font_object():
    one, two = join(page_font({65: "A"}, "AAAAAA"), page_font({65: "A", 66: "B"}, "BBBBBB"))
    assert one == two
    font = one.get_object()
    assert glyphs(font) == [".notdef", "A", "B"]
    assert font["/FontDescriptor"]["/CharSet"] == "/A/B"
    assert (font["/FirstChar"], font["/LastChar"], list(font["/Widths"])) == (65, 66, [600, 650])
    assert font["/BaseFont"] == font["/FontDescriptor"]["/FontName"]
    assert font["/BaseFont"].endswith("+Harbour")


def test_a_code_that_means_two_things_needs_two_objects_and_one_program():
    one, two, again = join(page_font({1: "clefs.G"}), page_font({1: "noteheads.s2"}), page_font({1: "clefs.G", 2: "A"}))
    assert one == again
    assert one != two
    first, second = one.get_object(), two.get_object()
    assert first["/Encoding"]["/Differences"] == [1, "/clefs.G", "/A"]
    assert second["/Encoding"]["/Differences"] == [1, "/noteheads.s2"]
    assert first.raw_get("/FontDescriptor") == second.raw_get("/FontDescriptor")


def test_the_order_of_pages_changes_no_byte_of_the_program():
    fonts = [page_font({65: "A"}), page_font({66: "B"}), page_font({1: "clefs.G"})]
    forth, back = join(*fonts)[0].get_object(), join(*reversed(fonts))[0].get_object()
    assert forth["/BaseFont"] == back["/BaseFont"]
    assert forth["/FontDescriptor"]["/FontFile3"].get_data() == back["/FontDescriptor"]["/FontFile3"].get_data()


def test_glyphs_draw_the_same_without_their_subroutines():
    shared = page_font({65: "A", 66: "B"}, shared=True)
    assert len(unpacked(shared).GlobalSubrs) == len(unpacked(shared)[0].Private.Subrs) == 3
    joined = join(shared, page_font({1: "clefs.G"}))[0].get_object()
    assert drawn(joined) == drawn(page_font({65: "A", 66: "B", 1: "clefs.G"}))
    assert len(unpacked(joined).GlobalSubrs) == 0
    assert not hasattr(unpacked(joined)[0].Private, "Subrs")


def test_measures_hold_all_glyphs():
    font = join(page_font({65: "A"}), page_font({1: "clefs.G"}))[0].get_object()
    assert list(font["/FontDescriptor"]["/FontBBox"]) == [0, 0, 700, 500]


def test_what_codes_mean_as_text_is_kept():
    stream = StreamObject()
    stream.set_data(
        b"2 beginbfchar\n<41> <0041>\n<43> <00660066>\nendbfchar\n1 beginbfrange\n<61><63><0061>\nendbfrange"
    )
    font = page_font({65: "A", 67: "B"})
    font[NameObject("/ToUnicode")] = stream
    text = join(font)[0].get_object()["/ToUnicode"].get_data().decode()
    assert "<41> <0041>\n<43> <00660066>\n<61> <0061>\n<62> <0062>\n<63> <0063>" in text


def test_two_designs_of_one_name_are_refused():
    with pytest.raises(ValueError, match="two different fonts call themselves Harbour"):
        join(page_font({65: "A"}), page_font({66: "B"}, weight=120))


def test_a_font_of_another_kind_is_copied():
    other = DictionaryObject({NameObject("/Type"): NameObject("/Font"), NameObject("/Subtype"): NameObject("/Type3")})
    (copy,) = join(other)
    assert copy.get_object()["/Subtype"] == "/Type3"
