"""The letters of a page's fonts as outlines.

Stage:    7 write
In, Out:  the font object of a page; its glyphs by character code
Units:    thousandths of the type size
Source:   ISO 32000-1:2008, 9.2.4 (glyph space), 9.6.6 (encodings); Adobe Glyph List
Not here: where they stand (`page_svg`), joining fonts (`book_fonts`)
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import Any

from fontTools.agl import UV2AGL  # type: ignore[import-untyped]
from fontTools.cffLib import CFFFontSet  # type: ignore[import-untyped]
from fontTools.encodings.StandardEncoding import StandardEncoding  # type: ignore[import-untyped]
from fontTools.pens.boundsPen import BoundsPen  # type: ignore[import-untyped]
from fontTools.pens.svgPathPen import SVGPathPen  # type: ignore[import-untyped]
from pypdf.generic import ArrayObject, DictionaryObject, NameObject, NumberObject, PdfObject, StreamObject

from builder.outputs.pdf_objects import dictionary, typed

Box = tuple[float, float, float, float]

EM = 1000


@dataclass(frozen=True, slots=True)
class Outline:
    """A letter's outline in units of its font, and the box it fills."""

    path: str
    box: Box | None


@dataclass(frozen=True, slots=True)
class OutlineFont:
    """The glyphs of a font by character code, and how far each moves on, in parts of the type size."""

    glyphs: dict[int, Outline]
    widths: dict[int, float]

    @classmethod
    def of(cls, font: DictionaryObject) -> OutlineFont:
        """Read a Type 1 font that carries its program."""
        program = CFFFontSet()
        descriptor = dictionary(font["/FontDescriptor"])
        program.decompile(io.BytesIO(typed(descriptor["/FontFile3"], StreamObject).get_data()), None)
        strings = program[0].CharStrings
        first = int(typed(font["/FirstChar"], NumberObject))
        widths = {first + k: float(width) / EM for k, width in enumerate(typed(font["/Widths"], ArrayObject))}
        names = _names(font)
        drawn = {code: _drawn(strings, names[code]) for code in widths if names.get(code) in strings}
        return cls(drawn, widths)


def _names(font: DictionaryObject) -> dict[int, str]:
    """The glyph name of each code: the base encoding's, where a difference does not say otherwise."""
    encoding: PdfObject | None = font["/Encoding"].get_object() if "/Encoding" in font else None
    base = encoding.get("/BaseEncoding") if isinstance(encoding, DictionaryObject) else encoding
    names = dict(enumerate(StandardEncoding))
    if base == "/WinAnsiEncoding":
        letters = {code: bytes([code]).decode("cp1252", "ignore") for code in range(32, 256)}
        names = {code: UV2AGL.get(ord(letter), "") for code, letter in letters.items() if letter}
    if isinstance(encoding, DictionaryObject):
        code = 0
        for entry in typed(encoding.get("/Differences", ArrayObject()), ArrayObject):
            if isinstance(entry, NameObject):
                names[code] = str(entry).removeprefix("/")
                code += 1
            else:
                code = int(entry)
    return names


def _drawn(strings: Any, name: str) -> Outline:
    pen, bounds = SVGPathPen(None, ntos=short), BoundsPen(None)
    strings[name].draw(pen)
    strings[name].draw(bounds)
    return Outline(pen.getCommands(), bounds.bounds)


def short(value: float) -> str:
    """At most two decimals: a hundredth of a point is less than a printer's dot."""
    return "0" if abs(value) < 0.005 else f"{value:.2f}".rstrip("0").rstrip(".")
