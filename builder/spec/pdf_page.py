"""The first page of a PDF, and of that only what is drawn.

Stage:    1 read
In, Out:  the bytes of a file; a PDF of one page without actions, scripts, annotations, attachments, or Unreadable
Units:    points
Source:   ISO 32000-1: 7.7.3.3 (pages), 7.8.3 (resources), 7.3.8.2 (streams in other files), 9.9 (embedded fonts),
          8.8.2 (PostScript); limits are our own choice: far more than a logo takes
Not here: drawing the page (`engraving.pdf_drawing`)
"""

from __future__ import annotations

import io
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from builder.fields import Unreadable

if TYPE_CHECKING:  # takes long to import, and few books hold a PDF
    from pypdf import PageObject, PdfWriter
    from pypdf.generic import IndirectObject

_MOST_OBJECTS, _DEEPEST, _MOST_DOTS, _MOST_BYTES = 3_000, 30, 40_000_000, 5_000_000
_SHORTEST_PT, _LONGEST_PT, _FLATTEST = 4.0, 5_000.0, 20
# What a page needs to be drawn; the rest of its resources, and all else of the page, stays behind.
_RESOURCES = ("/Font", "/XObject", "/ExtGState", "/ColorSpace", "/Pattern", "/Shading")
_LEFT_BEHIND = (
    *("/A", "/AA", "/OpenAction", "/JS", "/JavaScript", "/Annots", "/EF", "/AF", "/Names", "/OPI", "/Ref"),
    *("/Parent", "/StructParent", "/StructParents", "/Metadata", "/PieceInfo", "/OC", "/LastModified"),
)
_FONT_FILES = ("/FontFile", "/FontFile2", "/FontFile3")
_PLAIN = "save the logo alone as a PDF, without a password, with its fonts embedded or as outlines"


@dataclass(frozen=True, slots=True)
class PdfPage:
    """A PDF of one page, and its size."""

    content: bytes
    wide: float
    high: float


def read_pdf_page(raw: bytes) -> PdfPage:
    """Return the first page of *raw* with nothing but what is drawn; raise Unreadable where it can't be printed."""
    from pypdf import PdfReader

    try:
        reader = PdfReader(io.BytesIO(raw))
        if reader.is_encrypted:
            raise _unfit("a password")
        if len(reader.xref_objStm) + sum(map(len, reader.xref.values())) > _MOST_OBJECTS:
            raise _unfit(f"more than {_MOST_OBJECTS} objects")
        return _only_drawn(reader.pages[0])
    except Unreadable:
        raise
    except (Exception, RecursionError) as error:  # the reader raises whatever it meets in a damaged file
        raise _unfit("a damaged page or none") from error


def _only_drawn(page: PageObject) -> PdfPage:
    from pypdf import PdfWriter
    from pypdf.generic import DictionaryObject, NameObject, StreamObject

    turned = int(page.get("/Rotate", 0)) % 360
    wide, high = float(page.cropbox.width), float(page.cropbox.height)
    if not all(_SHORTEST_PT <= side <= _LONGEST_PT for side in (wide, high)):
        raise _unfit(f"a page that is not {_SHORTEST_PT:g} to {_LONGEST_PT:g} points wide and high")
    if max(wide, high) > _FLATTEST * min(wide, high):
        raise _unfit(f"a page more than {_FLATTEST} times as long in one direction as in the other")
    writer = PdfWriter()
    made = writer.add_blank_page(wide, high)
    made.mediabox = page.cropbox
    made.rotate(turned)
    copies = _Copies(writer)
    contents = page.get_contents()
    stream = StreamObject()
    drawn = contents.get_data() if contents is not None else b""
    if len(drawn) > _MOST_BYTES:
        raise _unfit("a page that takes too long to draw")
    stream.set_data(drawn)
    made[NameObject("/Contents")] = writer._add_object(stream)
    resources, inherited = DictionaryObject(), page.get("/Resources")
    for kind in _RESOURCES:
        if inherited is not None and kind in inherited.get_object():
            resources[NameObject(kind)] = copies.of(inherited.get_object().raw_get(kind))
    made[NameObject("/Resources")] = resources
    content = io.BytesIO()
    writer.write(content)
    return PdfPage(content.getvalue(), *((high, wide) if turned % 180 else (wide, high)))


@dataclass
class _Copies:
    """Objects of another file, copied into *writer* as far as they are drawn."""

    writer: PdfWriter
    known: dict[int, IndirectObject] = field(default_factory=dict)
    begun: set[int] = field(default_factory=set)
    count: int = 0

    def of(self, value: Any, depth: int = 0) -> Any:
        """The copy of *value* and of all it refers to."""
        from pypdf.generic import IndirectObject

        self.count += 1
        if self.count > _MOST_OBJECTS * 20 or depth > _DEEPEST:
            raise _unfit("too many things inside each other")
        if not isinstance(value, IndirectObject):
            return self._direct(value, depth)
        if value.idnum in self.begun:
            raise _unfit("something that holds itself")
        if value.idnum not in self.known:
            self.begun.add(value.idnum)
            self.known[value.idnum] = self.writer._add_object(self._direct(value.get_object(), depth))
            self.begun.remove(value.idnum)
        return self.known[value.idnum]

    def _direct(self, value: Any, depth: int) -> Any:
        from pypdf.generic import ArrayObject, DictionaryObject, EncodedStreamObject, StreamObject

        if isinstance(value, ArrayObject):
            return ArrayObject(self.of(item, depth + 1) for item in value)
        if not isinstance(value, DictionaryObject):
            return value
        _check(value)
        made = DictionaryObject()
        if isinstance(value, StreamObject):
            made = EncodedStreamObject()
            made._data = value._data
        for name in value:
            if name not in _LEFT_BEHIND:
                made[name] = self.of(value.raw_get(name), depth + 1)
        return made


def _check(value: Any) -> None:
    """Raise Unreadable for what reaches outside the file, is a program, or is too large."""
    from pypdf.generic import StreamObject

    kind = value.get("/Subtype")
    if isinstance(value, StreamObject) and ("/F" in value or "/FFilter" in value):
        raise _unfit("a part that lies in another file")
    if kind == "/PS" or "/PS" in value:
        raise _unfit("a PostScript program")
    if kind == "/Image" and int(value.get("/Width", 0)) * int(value.get("/Height", 0)) > _MOST_DOTS:
        raise _unfit(f"a picture of more than {_MOST_DOTS // 1_000_000} million dots")
    if kind in ("/Type1", "/TrueType", "/MMType1", "/CIDFontType0", "/CIDFontType2"):
        described = value.get("/FontDescriptor")
        if described is None or not any(name in described.get_object() for name in _FONT_FILES):
            raise _unfit(f"the font {str(value.get('/BaseFont', ''))[1:41]}, which is not embedded")


def _unfit(found: str) -> Unreadable:
    return Unreadable("a PDF whose first page is only drawn", _PLAIN, found)
