"""The fonts of a finished book: what each code means, how wide it is, how far its ink reaches.

Stage:    page critic
In, Out:  font objects of a PDF; `Font`
Units:    thousandths of the type size, y upwards
Source:   ISO 32000-1:2008, 9.6 to 9.10; Adobe Technical Note 5176, The Compact Font Format Specification, 2003;
          the Adobe Glyph List as fontTools carries it
Not here: which fonts a book may use (`sheet`)
"""

from __future__ import annotations

import io
import re
from typing import Any

from fontTools import agl  # type: ignore[import-untyped]
from fontTools.cffLib import CFFFontSet  # type: ignore[import-untyped]
from fontTools.encodings.MacRoman import MacRoman  # type: ignore[import-untyped]
from fontTools.encodings.StandardEncoding import StandardEncoding  # type: ignore[import-untyped]
from pypdf.generic import ArrayObject, DictionaryObject, NameObject, StreamObject

GlyphBox = tuple[float, float, float, float]
# A glyph's name, what a reader sees in it (nothing for a sign of music), how far it moves the pen, its ink or None.
Glyph = tuple[str, str, float, GlyphBox | None]

_TAG = re.compile(r"^/?(?:[A-Z]{6}\+)?")  # ISO 32000-1:2008, 9.6.4: the tag of a subset
_UNKNOWN = ".notdef"
_CHAR = re.compile(r"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>")
_BLOCK = re.compile(r"beginbf(char|range)(.*?)endbf", re.DOTALL)
_RANGE = re.compile(r"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>\s*(<[0-9A-Fa-f]+>|\[[^\]]*\])")
_UNNAMED_HEIGHT = (-200.0, 800.0)  # our own choice: a usual letter's depth and height, where a font can't be measured


class Font:
    """One font object of the book.

    >>> Font(DictionaryObject({NameObject("/BaseFont"): NameObject("/ABCDEF+Quay-Bold")})).family
    'Quay-Bold'
    """

    __slots__ = (
        "_glyphs",
        "_names",
        "_program",
        "_unicode",
        "embedded",
        "family",
        "music",
        "unknown_width",
        "wide",
        "widths",
    )

    def __init__(self, font: DictionaryObject) -> None:
        self.wide = font.get("/Subtype") == "/Type0"  # its codes take two bytes
        inner = _object(font["/DescendantFonts"])[0].get_object() if self.wide else font
        self.family = _TAG.sub("", str(font.get("/BaseFont", "/unnamed")))
        self._program = _program(inner)
        self.embedded = self._program is not None or font.get("/Subtype") == "/Type3"
        # A TrueType font without an encoding goes by codes of its own (9.6.6.4); only ToUnicode tells what they mean.
        unnamed = self.wide or (font.get("/Subtype") == "/TrueType" and "/Encoding" not in font)
        self._names = {} if unnamed else _names(font, self._program)
        self.music = any(name.startswith(("noteheads.", "clefs.", "rests.")) for name in _all_names(self._program))
        self.music |= self.family.startswith("Emmentaler")
        self.widths = _wide_widths(inner) if self.wide else _widths(font)
        self.unknown_width = float(inner.get("/DW", 1000)) if self.wide else 0.0
        self._unicode = _unicode(font)
        self._glyphs: dict[int, Glyph] = {}

    def glyph(self, code: int) -> Glyph:
        """Return what *code* stands for."""
        found = self._glyphs.get(code)
        if found is None:
            text = self._read(code)
            width = self.widths.get(code, self.unknown_width)
            found = self._glyphs[code] = (
                self._names.get(code, _UNKNOWN),
                text,
                width,
                self._measured(code, text, width),
            )
        return found

    def _read(self, code: int) -> str:
        # The glyph that is printed decides, and not the text that is only there for searching.
        name = self._names.get(code)
        if name is None:
            return self._unicode.get(code, "")
        if self.music:
            return ""
        text: str = agl.toUnicode(name)
        return text or self._unicode.get(code, "")

    def _measured(self, code: int, text: str, width: float) -> GlyphBox | None:
        name = self._names.get(code, "")
        if self._program is None or name not in self._program[0].CharStrings:
            return (0.0, _UNNAMED_HEIGHT[0], width, _UNNAMED_HEIGHT[1]) if text.strip() else None
        strings = self._program[0].CharStrings
        found = strings[name].calcBounds(strings)
        return (float(found[0]), float(found[1]), float(found[2]), float(found[3])) if found else None


def _object(value: Any) -> Any:
    return value.get_object() if value is not None else None


def _program(font: DictionaryObject) -> Any:
    """Return an embedded font program of the Compact Font Format; an empty list for one of another kind."""
    descriptor = _object(font.get("/FontDescriptor"))
    if descriptor is None:
        return None
    stream = _object(descriptor.get("/FontFile3"))
    if not isinstance(stream, StreamObject) or stream.get("/Subtype") != "/Type1C":
        return [_NoProgram] if {"/FontFile", "/FontFile2", "/FontFile3"} & set(descriptor) else None
    cff = CFFFontSet()
    cff.decompile(io.BytesIO(stream.get_data()), None)
    return cff


class _NoProgram:
    """Stands for an embedded program that is not read: it names and measures no glyph."""

    CharStrings: tuple[str, ...] = ()
    charset: tuple[str, ...] = ()


def _all_names(program: Any) -> Any:
    return program[0].charset if program is not None else ()


def _names(font: DictionaryObject, program: Any) -> dict[int, str]:
    """Return the glyph name of every code: the base encoding, then what differs from it."""
    encoding = _object(font.get("/Encoding"))
    own = encoding if isinstance(encoding, DictionaryObject) else DictionaryObject()
    base = encoding if isinstance(encoding, NameObject) else own.get("/BaseEncoding")
    names = _base_names(None if base is None else str(base), program)
    code = 0
    for entry in _object(own.get("/Differences")) or ():
        if isinstance(entry, NameObject):
            names[code] = str(entry)[1:]
            code += 1
        else:
            code = int(entry)
    return names


def _base_names(base: str | None, program: Any) -> dict[int, str]:
    if base == "/WinAnsiEncoding":
        letters = ((code, bytes([code]).decode("cp1252", "ignore")) for code in range(32, 256))
        return {code: agl.UV2AGL[ord(letter)] for code, letter in letters if letter and ord(letter) in agl.UV2AGL}
    if base == "/MacRomanEncoding":
        return dict(enumerate(MacRoman))
    own = getattr(program[0], "Encoding", None) if program is not None and base is None else None
    return dict(enumerate(own if isinstance(own, list) else StandardEncoding))


def _widths(font: DictionaryObject) -> dict[int, float]:
    first = int(font.get("/FirstChar", 0))
    return {first + index: float(width) for index, width in enumerate(_object(font.get("/Widths")) or ())}


def _wide_widths(font: DictionaryObject) -> dict[int, float]:
    """Return the widths of a font with two-byte codes (ISO 32000-1:2008, 9.7.4.3)."""
    found: dict[int, float] = {}
    entries = list(_object(font.get("/W")) or ())
    while len(entries) > 1:
        first, second = int(entries.pop(0)), _object(entries.pop(0))
        if isinstance(second, ArrayObject):
            found.update((first + index, float(width)) for index, width in enumerate(second))
        elif entries:
            width = float(entries.pop(0))
            found.update((code, width) for code in range(first, int(second) + 1))
    return found


def _unicode(font: DictionaryObject) -> dict[int, str]:
    """Return what the codes mean by the font's ToUnicode map (ISO 32000-1:2008, 9.10.3)."""
    stream = _object(font.get("/ToUnicode"))
    if not isinstance(stream, StreamObject):
        return {}
    found: dict[int, str] = {}
    for kind, block in _BLOCK.findall(stream.get_data().decode("latin-1")):
        if kind == "char":
            found.update((int(code, 16), _utf16(text)) for code, text in _CHAR.findall(block))
            continue
        for low, high, first in _RANGE.findall(block):
            codes = range(int(low, 16), int(high, 16) + 1)
            texts = re.findall(r"<([0-9A-Fa-f]+)>", first)
            if first.startswith("["):
                found.update((code, _utf16(text)) for code, text in zip(codes, texts, strict=False))
            else:
                found.update((code, chr(int(texts[0], 16) + step)) for step, code in enumerate(codes))
    return found


def _utf16(digits: str) -> str:
    return bytes.fromhex(digits).decode("utf-16-be", "replace")
