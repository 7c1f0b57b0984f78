"""A book's own fonts in the file: packed, shared by the pages that carry the same, and searchable.

Stage:    7 write
In, Out:  font objects of single-page PDFs, the files of the book's own fonts; font objects of one book
Source:   ISO 32000-1:2008, 9.7.4 (CIDFonts), 9.10.3 (ToUnicode); Adobe Technical Note 5176, 18 (CID-keyed charsets)
Not here: the fonts that travel with LilyPond, which are joined (`book_fonts`)
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from fontTools.cffLib import CFFFontSet  # type: ignore[import-untyped]
from fontTools.cffLib.transforms import desubroutinize  # type: ignore[import-untyped]
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from pypdf import PdfWriter
from pypdf.generic import ArrayObject, DictionaryObject, NameObject, NumberObject, PdfObject, StreamObject

from builder.engraving import plain_name
from builder.outputs.pdf_objects import compressed, copied, dictionary, typed

_PROGRAMS = ("/FontFile", "/FontFile2", "/FontFile3")
_MOST_ENTRIES = 100  # of one block of a ToUnicode map (Adobe Technical Note 5411, 1.4.1)


@dataclass(slots=True)
class OwnFontCarrier:
    """Brings font objects into a book as they are; *files* are the book's font files by PostScript name."""

    writer: PdfWriter
    files: Mapping[str, Path] = field(default_factory=dict)
    _known: dict[bytes, PdfObject] = field(default_factory=dict)

    def font(self, font: DictionaryObject) -> PdfObject:
        """Return the book's font object that stands for a page's *font*."""
        key = _digest(font)
        if key not in self._known:
            carried = copied(font, self.writer)
            for descriptor in _descriptors(dictionary(carried)):
                for name in _PROGRAMS:
                    if name in descriptor:
                        self._pack(dictionary(carried), descriptor, name)
            self._known[key] = carried
        return self._known[key]

    def _pack(self, font: DictionaryObject, descriptor: DictionaryObject, name: str) -> None:
        """Compress a font program; engraved pages carry theirs unpacked."""
        program = typed(descriptor[name], StreamObject)
        data = program.get_data()
        if program.get("/Subtype") == "/CIDFontType0C":
            data, cids = _lean(data)
            self._make_searchable(font, cids)
        packed = compressed(data)
        for entry in ("/Subtype", "/Length2", "/Length3"):
            if entry in program:
                packed[NameObject(entry)] = program[entry]
        if "/Length1" in program:
            packed[NameObject("/Length1")] = NumberObject(len(data))
        descriptor[NameObject(name)] = self.writer._add_object(packed)

    def _make_searchable(self, font: DictionaryObject, cids: Collection[int]) -> None:
        """Say which characters the codes of a CID-keyed font stand for; Ghostscript leaves that out."""
        file = self.files.get(plain_name(str(font.get("/BaseFont", ""))))
        if "/ToUnicode" not in font and file is not None:
            characters = {cid: code for cid, code in _characters(file).items() if cid in cids}
            if characters:
                font[NameObject("/ToUnicode")] = self.writer._add_object(_map(characters))


def _lean(data: bytes) -> tuple[bytes, tuple[int, ...]]:
    """A CID-keyed program without the subroutines of glyphs it has no more, and the CIDs it has.

    Ghostscript takes glyphs out and leaves all subroutines in: a megabyte for a line of Japanese.
    """
    cff = CFFFontSet()
    cff.decompile(io.BytesIO(data), None)
    desubroutinize(cff)
    for part in cff[0].FDArray:
        for unused in ("UnderlinePosition", "UnderlineThickness"):
            part.rawDict.pop(unused, None)
        # Ghostscript scales the font as a whole, by the default that is left out on writing: its parts add nothing.
        part.rawDict.pop("FontMatrix", None)
    lean = io.BytesIO()
    cff.compile(lean, TTFont(recalcBBoxes=False))
    return lean.getvalue(), tuple(int(name[3:]) for name in cff[0].charset if name[:3] == "cid" and name[3:].isdigit())


def _digest(font: DictionaryObject) -> bytes:
    """What tells font objects of different pages apart: their programs and their codes."""
    digest = hashlib.sha256()
    for descriptor in _descriptors(font):
        for name in _PROGRAMS:
            if name in descriptor:
                digest.update(typed(descriptor[name], StreamObject).get_data())
    for key in ("/Subtype", "/BaseFont", "/Encoding", "/FirstChar", "/Widths"):
        value = font.get(key)
        digest.update(repr(value.get_object() if value is not None else None).encode())
    return digest.digest()


def _descriptors(font: DictionaryObject) -> Iterator[DictionaryObject]:
    inner = typed(font["/DescendantFonts"], ArrayObject) if "/DescendantFonts" in font else [font]
    for each in inner:
        if "/FontDescriptor" in (one := dictionary(each)):
            yield dictionary(one["/FontDescriptor"])


@cache
def _characters(file: Path) -> dict[int, int]:
    """The character of each CID of a CID-keyed font; empty for a font of another kind."""
    with TTFont(file, fontNumber=0, lazy=True) as font:
        if "CFF " not in font or not hasattr(font["CFF "].cff[0], "ROS"):
            return {}
        named: dict[str, int] = {}
        for code, name in sorted(font.getBestCmap().items()):
            named.setdefault(name, code)
        for name, other in _substitutes(font):
            if name in named:
                named.setdefault(other, named[name])
        return {int(name[3:]): code for name, code in named.items() if name[:3] == "cid" and name[3:].isdigit()}


def _substitutes(font: TTFont) -> Iterator[tuple[str, str]]:
    """Glyphs that stand for others one to one, as digits of a language do (OpenType 1.9.1, GSUB, lookup type 1)."""
    lookups = font["GSUB"].table.LookupList.Lookup if "GSUB" in font else ()
    for lookup in lookups:
        for table in lookup.SubTable:
            inner = getattr(table, "ExtSubTable", table)
            if inner.LookupType == 1:
                yield from inner.mapping.items()


def _map(characters: Mapping[int, int]) -> StreamObject:
    """A ToUnicode map of two-byte codes."""
    lines = [f"<{cid:04X}> <{chr(code).encode('utf-16-be').hex().upper()}>" for cid, code in sorted(characters.items())]
    blocks = [lines[start : start + _MOST_ENTRIES] for start in range(0, len(lines), _MOST_ENTRIES)]
    body = "\n".join(f"{len(block)} beginbfchar\n" + "\n".join(block) + "\nendbfchar" for block in blocks)
    text = (
        "/CIDInit /ProcSet findresource begin 12 dict begin begincmap /CMapType 2 def\n"
        "1 begincodespacerange <0000> <FFFF> endcodespacerange\n"
        f"{body}\nendcmap CMapName currentdict /CMap defineresource pop end end\n"
    )
    return compressed(text.encode("ascii"))
