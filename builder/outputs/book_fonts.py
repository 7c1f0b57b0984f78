"""The fonts of a book: one font program and one font object out of the subsets its pages carry.

Stage:    7 write
In, Out:  the font objects of single-page PDFs; font objects of one book, each font embedded once
Units:    glyph widths and boxes are in thousandths of the type size
Source:   Adobe Technical Note 5176, The Compact Font Format Specification, 2003; ISO 32000-1:2008, 9.6, 9.8 and 9.10
Not here: which fonts may appear (`engraving.fonts`), the rest of the book (`book_pdf`)

A page is engraved with its own font subsets, so its bytes depend on nothing but itself. A book of such pages would
hold every font once a page: `FontJoiner` adds up the glyphs instead.
"""

from __future__ import annotations

import hashlib
import io
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from fontTools.cffLib import CFFFontSet, CharStrings, TopDict  # type: ignore[import-untyped]
from fontTools.misc.psCharStrings import T2CharString, calcSubrBias  # type: ignore[import-untyped]
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from pypdf import PdfWriter
from pypdf.generic import (
    ArrayObject,
    DictionaryObject,
    FloatObject,
    IndirectObject,
    NameObject,
    NumberObject,
    PdfObject,
    StreamObject,
    TextStringObject,
)

from builder.engraving import plain_name
from builder.outputs.own_fonts import OwnFontCarrier
from builder.outputs.pdf_objects import compressed, dictionary, typed

_TO_UNICODE_CHAR = re.compile(r"^<([0-9A-Fa-f]{2})>\s*<([0-9A-Fa-f]+)>\s*$", re.MULTILINE)
_TO_UNICODE_RANGE = re.compile(r"^<([0-9A-Fa-f]{2})>\s*<([0-9A-Fa-f]{2})>\s*<([0-9A-Fa-f]{4})>\s*$", re.MULTILINE)
_SYMBOLIC, _NONSYMBOLIC = 4, 32  # ISO 32000-1:2008, table 123


@dataclass(slots=True)
class _Measures:
    """The measures of a whole font; Ghostscript measures only the glyphs of a page."""

    box: list[int] = field(default_factory=list)
    symbolic: bool = False
    slope: int = 0
    depth: int = 0
    highest: dict[str, int] = field(default_factory=dict)

    def add(self, descriptor: DictionaryObject) -> None:
        """Widen the measures to hold a subset's."""
        box = [int(side) for side in typed(descriptor["/FontBBox"], ArrayObject)]
        low = map(min, box[:2], self.box[:2] or box[:2])
        high = map(max, box[2:], self.box[2:] or box[2:])
        self.box = [*low, *high]
        self.symbolic |= bool(int(descriptor.get("/Flags", _SYMBOLIC)) & _SYMBOLIC)
        self.slope = int(descriptor.get("/ItalicAngle", 0))
        self.depth = min(self.depth, int(descriptor.get("/Descent", 0)))
        for key in ("/Ascent", "/CapHeight", "/XHeight", "/StemV"):
            self.highest[key] = max(self.highest.get(key, 0), int(descriptor.get(key, 0)))

    def entries(self) -> dict[NameObject, PdfObject]:
        """Return them as the entries of a font descriptor."""
        numbers = {
            "/Flags": _SYMBOLIC if self.symbolic else _NONSYMBOLIC,
            "/ItalicAngle": self.slope,
            "/Descent": self.depth,
            **self.highest,
        }
        return {
            NameObject("/FontBBox"): ArrayObject(NumberObject(side) for side in self.box),
            **{NameObject(key): NumberObject(number) for key, number in numbers.items()},
        }


@dataclass(slots=True)
class _Program:
    """The glyphs of one font met so far, free of subroutines so that they can live in any font program."""

    name: str
    charsets: set[str] = field(default_factory=set)
    glyphs: dict[str, T2CharString] = field(default_factory=dict)
    first: CFFFontSet | None = None
    measures: _Measures = field(default_factory=_Measures)

    def add(self, descriptor: DictionaryObject) -> None:
        """Take in the glyphs of one subset; a subset without new glyphs is not even unpacked."""
        names = _charset(descriptor)
        self.measures.add(descriptor)
        if names is not None and names <= self.charsets:
            return
        cff = _unpack(descriptor, known=self.glyphs)
        top = cff[0]
        self.first = self.first or cff
        if top.Private.rawDict != self.first[0].Private.rawDict:
            raise ValueError(f"two different fonts call themselves {self.name}")
        self.charsets.update(glyph for glyph in top.charset if glyph != ".notdef")
        self.glyphs.update((glyph, top.CharStrings[glyph]) for glyph in list(top.CharStrings.keys()))

    def tagged_name(self) -> str:
        """Return the joined subset's PDF name; its tag (ISO 32000-1:2008, 9.6.4) is drawn from its glyphs."""
        digest = hashlib.sha256("/".join(sorted(self.charsets)).encode()).digest()
        tag = "".join(chr(ord("A") + byte % 26) for byte in digest[:6])
        return f"/{tag}+{self.name}"

    def compiled(self) -> bytes:
        """Return the font program with every glyph met, the same bytes whatever the order of the pages."""
        assert self.first is not None  # a slot is made only together with its first subset
        top = self.first[0]
        order = [".notdef", *sorted(self.charsets)]
        for glyph in self.glyphs.values():
            glyph.private = top.Private
        _replace_glyphs(top, order, self.glyphs)
        top.FontBBox = self.measures.box
        out = io.BytesIO()
        self.first.compile(out, TTFont(recalcBBoxes=False))
        return out.getvalue()


@dataclass(slots=True)
class _Slot:
    """One font object of the book: codes of all pages that agree on what each code means."""

    program: _Program
    base: str
    reference: IndirectObject
    names: dict[int, str] = field(default_factory=dict)  # "" = what the base encoding says
    widths: dict[int, float] = field(default_factory=dict)
    unicode: dict[int, str] = field(default_factory=dict)

    def takes(self, names: Mapping[int, str]) -> bool:
        """Say whether *names* contradict no code of this slot."""
        return all(self.names.get(code, name) == name for code, name in names.items())


@dataclass(slots=True)
class FontJoiner:
    """Collects the fonts of pages for one writer; `finish` writes each font program once.

    Fonts of a kind the engraver does not make of its own fonts are carried over as they are.
    """

    writer: PdfWriter
    own: OwnFontCarrier
    _programs: dict[str, _Program] = field(default_factory=dict)
    _slots: dict[tuple[str, str], list[_Slot]] = field(default_factory=dict)

    def font(self, font: DictionaryObject) -> PdfObject:
        """Return the book's font object that stands for a page's *font*."""
        base = _base_encoding(font)
        if base is None:
            return self.own.font(font)
        descriptor = dictionary(font["/FontDescriptor"])
        name = plain_name(str(font["/BaseFont"]))
        program = self._programs.setdefault(name, _Program(name))
        program.add(descriptor)
        widths = _widths(font)
        differences = _differences(font)
        names = {code: differences.get(code, "") for code in {*widths, *differences}}
        slot = self._slot((name, base), program, names)
        slot.names.update(names)
        slot.widths.update(widths)
        slot.unicode.update(_to_unicode(font))
        return slot.reference

    def finish(self) -> None:
        """Write the font programs and fill the font objects handed out."""
        descriptors = {
            name: self.writer._add_object(self._descriptor(program)) for name, program in self._programs.items()
        }
        for (name, _base), slots in self._slots.items():
            for slot in slots:
                self._fill(slot, descriptors[name])

    def _slot(self, key: tuple[str, str], program: _Program, names: Mapping[int, str]) -> _Slot:
        slots = self._slots.setdefault(key, [])
        for slot in slots:
            if slot.takes(names):
                return slot
        slots.append(_Slot(program, key[1], self.writer._add_object(DictionaryObject())))
        return slots[-1]

    def _descriptor(self, program: _Program) -> DictionaryObject:
        data = compressed(program.compiled())
        data[NameObject("/Subtype")] = NameObject("/Type1C")
        return DictionaryObject(
            {
                NameObject("/Type"): NameObject("/FontDescriptor"),
                NameObject("/FontName"): NameObject(program.tagged_name()),
                NameObject("/FontFile3"): self.writer._add_object(data),
                **program.measures.entries(),
                NameObject("/CharSet"): TextStringObject("".join(f"/{name}" for name in sorted(program.charsets))),
            }
        )

    def _fill(self, slot: _Slot, descriptor: IndirectObject) -> None:
        font = dictionary(slot.reference)
        first, last = min(slot.names), max(slot.names)
        font.update(
            {
                NameObject("/Type"): NameObject("/Font"),
                NameObject("/Subtype"): NameObject("/Type1"),
                NameObject("/BaseFont"): NameObject(slot.program.tagged_name()),
                NameObject("/FontDescriptor"): descriptor,
                NameObject("/FirstChar"): NumberObject(first),
                NameObject("/LastChar"): NumberObject(last),
                NameObject("/Widths"): ArrayObject(
                    _number(slot.widths.get(code, 0)) for code in range(first, last + 1)
                ),
                NameObject("/Encoding"): _encoding(slot),
            }
        )
        if slot.unicode:
            font[NameObject("/ToUnicode")] = self.writer._add_object(_to_unicode_map(slot.unicode))


def _base_encoding(font: DictionaryObject) -> str | None:
    """Return the base encoding of a font we can join, None for any other font."""
    descriptor = font.get("/FontDescriptor")
    if font.get("/Subtype") != "/Type1" or descriptor is None or "/FontFile3" not in dictionary(descriptor):
        return None
    if dictionary(dictionary(descriptor)["/FontFile3"]).get("/Subtype") != "/Type1C" or "/Widths" not in font:
        return None
    encoding = font["/Encoding"].get_object() if "/Encoding" in font else None
    if isinstance(encoding, NameObject):
        return str(encoding)
    base = encoding.get("/BaseEncoding") if isinstance(encoding, DictionaryObject) else None
    return str(base) if base is not None else None


def _charset(descriptor: DictionaryObject) -> set[str] | None:
    """Return the glyphs a subset says it holds; PDF 2.0 writers may leave that out."""
    charset = descriptor.get("/CharSet")
    return set(str(charset.get_object()).split("/")[1:]) if charset is not None else None


def _unpack(descriptor: DictionaryObject, known: Collection[str]) -> CFFFontSet:
    """Return a subset's font program, with only its glyphs that are not *known*, free of subroutines."""
    cff = CFFFontSet()
    cff.decompile(io.BytesIO(typed(descriptor["/FontFile3"], StreamObject).get_data()), None)
    top = cff[0]
    strings = top.CharStrings
    strings.charStrings = {name: index for name, index in strings.charStrings.items() if name not in known}
    tables = {"callgsubr": cff.GlobalSubrs, "callsubr": getattr(top.Private, "Subrs", ())}
    for glyph in strings.values():
        glyph.decompile()
        whole: list[Any] = []
        _expand(glyph.program, tables, whole)
        glyph.program = whole
    cff.GlobalSubrs.clear()
    top.Private.rawDict.pop("Subrs", None)
    vars(top.Private).pop("Subrs", None)
    return cff


def _expand(program: Sequence[Any], tables: Mapping[str, Sequence[T2CharString]], whole: list[Any]) -> None:
    """Append *program* to *whole*, calls of subroutines replaced by what they call (Adobe Technical Note 5177, 4.7).

    fontTools can do it too, in two more passes over every glyph: a sixth of the time that writing a book takes.
    """
    for token in program:
        if token in tables:
            table = tables[token]
            _expand(table[whole.pop() + calcSubrBias(table)].program, tables, whole)
        elif token != "return":
            whole.append(token)


def _replace_glyphs(top: TopDict, order: list[str], glyphs: Mapping[str, T2CharString]) -> None:
    strings: CharStrings = top.CharStrings
    top.charset = order
    strings.charStrings = {name: index for index, name in enumerate(order)}
    strings.charStringsAreIndexed = 1
    strings.charStringsIndex.items = [glyphs[name] for name in order]
    strings.charStringsIndex.offsets = []
    # The PDF says what every code means; the built-in encoding of the first subset would only make books differ.
    top.Encoding = "StandardEncoding"


def _widths(font: DictionaryObject) -> dict[int, float]:
    """Return the width of every code in use; an unused code has none."""
    first = int(typed(font["/FirstChar"], NumberObject))
    widths = typed(font["/Widths"], ArrayObject)
    return {first + index: float(width) for index, width in enumerate(widths) if float(width)}


def _differences(font: DictionaryObject) -> dict[int, str]:
    encoding = font["/Encoding"].get_object()
    found: dict[int, str] = {}
    if not isinstance(encoding, DictionaryObject):
        return found
    code = 0
    for entry in encoding.get("/Differences", ArrayObject()).get_object():
        if isinstance(entry, NameObject):
            found[code] = str(entry)
            code += 1
        else:
            code = int(entry)
    return found


def _encoding(slot: _Slot) -> PdfObject:
    named = {code: name for code, name in slot.names.items() if name}
    if not named:
        return NameObject(slot.base)
    differences = ArrayObject()
    for code in sorted(named):
        if code - 1 not in named:
            differences.append(NumberObject(code))
        differences.append(NameObject(named[code]))
    return DictionaryObject(
        {
            NameObject("/Type"): NameObject("/Encoding"),
            NameObject("/BaseEncoding"): NameObject(slot.base),
            NameObject("/Differences"): differences,
        }
    )


def _to_unicode(font: DictionaryObject) -> dict[int, str]:
    """Return what the codes of *font* mean as hexadecimal UTF-16, where the page says so."""
    if "/ToUnicode" not in font:
        return {}
    text = typed(font["/ToUnicode"], StreamObject).get_data().decode("latin-1")
    found: dict[int, str] = {}
    for low, high, first in _TO_UNICODE_RANGE.findall(text):
        for step, code in enumerate(range(int(low, 16), int(high, 16) + 1)):
            found[code] = f"{int(first, 16) + step:04x}"
    found.update((int(code, 16), meaning.lower()) for code, meaning in _TO_UNICODE_CHAR.findall(text))
    return found


def _to_unicode_map(meanings: Mapping[int, str]) -> StreamObject:
    """Return a ToUnicode map (ISO 32000-1:2008, 9.10.3); at most a hundred lines a block, as CMaps demand."""
    lines = [f"<{code:02x}> <{meanings[code]}>" for code in sorted(meanings)]
    blocks = [lines[start : start + 100] for start in range(0, len(lines), 100)]
    body = "\n".join(f"{len(block)} beginbfchar\n" + "\n".join(block) + "\nendbfchar" for block in blocks)
    text = (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
        "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
        f"1 begincodespacerange\n<00> <ff>\nendcodespacerange\n{body}\n"
        "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n"
    )
    return compressed(text.encode("ascii"))


def _number(value: float) -> PdfObject:
    return NumberObject(int(value)) if float(value).is_integer() else FloatObject(value)
