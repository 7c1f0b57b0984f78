"""The book as one PDF: pages, the furniture laid over them, outline, page labels, links and metadata.

Stage:    7 write
In, Out:  single-page PDFs and what a reader sees of the whole; one file, written whole or not at all
Units:    rectangles are in points of 1/72 inch from the lower left corner; pages count from 0
Source:   ISO 32000-1:2008 (12.3.3 outline, 12.4.2 page labels, 12.5.6.5 links, 14.3 metadata)
Not here: engraving the pages (`engraving`), which entries and targets there are (`pages`)

The same pages and facts give the same bytes: no time is written, the file's identifier is drawn from its content, and
fonts are taken by name, because Ghostscript lists a page's fonts in an order that changes with the pages cut before it.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal
from xml.sax.saxutils import escape

from pypdf import PageObject, PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    BooleanObject,
    ByteStringObject,
    DictionaryObject,
    FloatObject,
    IndirectObject,
    NameObject,
    NumberObject,
    PdfObject,
    StreamObject,
    TextStringObject,
)

from builder.outputs.book_fonts import FontJoiner
from builder.outputs.files import write_whole
from builder.outputs.imposition import impose
from builder.outputs.own_fonts import OwnFontCarrier
from builder.outputs.pdf_objects import compressed, copied, dictionary, typed
from builder.outputs.placing import Placing, as_engraved

Rect = tuple[float, float, float, float]
Numbering = Literal["roman", "decimal"]

MARK = "mark:"  # a body links to the page registered under NAME by `\with-url #"mark:NAME"`

_NOTHING_MORE = len(b"q\n" + b"\nQ\n")
_PRODUCER = "etudebook"
_IDENTIFIER_BYTES = 16  # as many as the standard's own example has


@dataclass(frozen=True, slots=True)
class BookPage:
    """One side: its content, what is laid over it (running head, page number), and how its number is written.

    *furniture_page* counts from 0 in the PDF that holds the furniture; *placing* is where both stand on the finished
    page, None for the page as it was engraved.
    """

    pdf: Path
    furniture: Path | None = None
    furniture_page: int = 0
    numbering: Numbering = "decimal"
    placing: Placing | None = None


@dataclass(frozen=True, slots=True)
class OutlineEntry:
    """A line of the outline; *level* counts from 1, and an entry's children follow it one level deeper."""

    level: int
    title: str
    page: int


@dataclass(frozen=True, slots=True)
class Link:
    """An area of *page* that leads to the page *target*."""

    page: int
    rect: Rect
    target: int


@dataclass(frozen=True, slots=True)
class BookInfo:
    """What is true of the book as a whole; *targets* are the pages that marks (`mark:NAME`) lead to, by name.

    *elsewhere* is the file of the same folder that marks without a target lead to; empty where there is none. *fonts*
    are the book's own font files by PostScript name.
    """

    title: str
    author: str
    subject: str
    language: str
    keywords: tuple[str, ...] = ()
    outline: tuple[OutlineEntry, ...] = ()
    links: tuple[Link, ...] = ()
    targets: Mapping[str, int] = field(default_factory=dict)
    elsewhere: str = ""
    fonts: Mapping[str, Path] = field(default_factory=dict)


def write_book(path: Path, pages: Sequence[BookPage], info: BookInfo) -> None:
    """Write the book to *path*; the earlier file stays untouched unless the new one is complete.

    Raises ValueError for a mark that leads nowhere, MachineError when the file can't be written.
    """
    write_whole(path, book_bytes(pages, info))


def book_bytes(pages: Sequence[BookPage], info: BookInfo) -> bytes:
    """Return the file of the book; raises ValueError for a mark that leads nowhere."""
    return _identified(_book(pages, info))


def booklet_bytes(book: bytes, info: BookInfo, creep_mm: float) -> bytes:
    """Return the pages of *book* two by two on sheets to fold, as a file."""
    writer = impose(book, creep_mm * 72 / 25.4)
    _document(writer, info)
    writer.compress_identical_objects(remove_duplicates=True, remove_unreferenced=True)
    return _identified(writer)


def _book(pages: Sequence[BookPage], info: BookInfo) -> PdfWriter:
    writer = PdfWriter()
    assembly = _Assembly(writer, FontJoiner(writer, OwnFontCarrier(writer, info.fonts)))
    for page in pages:
        assembly.add(page)
    assembly.fonts.finish()
    _link(writer, info)
    _outline(writer, info.outline)
    _page_labels(writer, pages)
    _document(writer, info)
    writer.compress_identical_objects(remove_duplicates=True, remove_unreferenced=True)
    return writer


def _identified(writer: PdfWriter) -> bytes:
    """Return the file, its identifier (ISO 32000-1:2008, 14.4) drawn from all that stands before the trailer."""
    blank = ByteStringObject(bytes(_IDENTIFIER_BYTES))
    writer._ID = ArrayObject([blank, blank])
    content = io.BytesIO()
    writer.write(content)
    before, trailer, after = content.getvalue().rpartition(b"trailer")
    digest = hashlib.sha256(before).digest()[:_IDENTIFIER_BYTES]
    return before + trailer + after.replace(bytes(_IDENTIFIER_BYTES).hex().encode(), digest.hex().encode())


def find_marks(pdf: Path) -> dict[str, Rect]:
    """Return where the marks (`mark:NAME`) of a page are, by name; of a name met twice the last."""
    with PdfReader(pdf) as reader:
        return {
            name: rect for page in reader.pages for annotation in _annotations(page) for name, rect in _mark(annotation)
        }


@dataclass(slots=True)
class _Assembly:
    """Brings pages into the writer, their fonts joined."""

    writer: PdfWriter
    fonts: FontJoiner
    _furniture: dict[Path, PdfReader] = field(default_factory=dict)
    _joined: dict[tuple[int, int], PdfObject] = field(default_factory=dict)

    def add(self, page: BookPage) -> None:
        """Append one side with its furniture."""
        source = PdfReader(page.pdf).pages[0]
        placing = page.placing or as_engraved(float(source.mediabox.width), float(source.mediabox.height))
        target = self.writer.add_blank_page(*placing.media)
        placing.draw_boxes(target)
        target[NameObject("/Resources")] = self._resources(source)
        contents = [*self._contents(source)]
        if page.furniture is not None:
            # Set aside in a form with resources of its own: the names of its fonts can't clash with the page's.
            resources = dictionary(target["/Resources"])
            resources[NameObject("/XObject")] = forms = DictionaryObject(resources.get("/XObject", DictionaryObject()))
            forms[NameObject("/Furniture")] = self._form(self._furniture_page(page.furniture, page.furniture_page))
        laid_over = b" q" + placing.moved + b" /Furniture Do Q" if page.furniture is not None else b""
        before, behind = placing.tab + b"q" + placing.moved + b"\n", b"\nQ" + laid_over + b"\n"
        if len(before + behind) > _NOTHING_MORE:
            contents = [self._stream(before), *contents, self._stream(behind)]
        target[NameObject("/Contents")] = contents[0] if len(contents) == 1 else ArrayObject(contents)
        annotations = [placing.moved_link(copied(annotation, self.writer)) for annotation in _annotations(source)]
        if annotations:
            target[NameObject("/Annots")] = ArrayObject(annotations)
        self.writer.reset_translation()  # it holds on to every reader: 1,000 pages would stay in memory whole

    def _furniture_page(self, path: Path, number: int) -> PageObject:
        """A page of a PDF that is kept open: all furniture is in one, and its fonts are joined once."""
        if path not in self._furniture:
            self._furniture[path] = PdfReader(path)
        return self._furniture[path].pages[number]

    def _font(self, fonts: DictionaryObject, name: str) -> PdfObject:
        """The joined font for *name*; the furniture's, which many pages share, is looked up once."""
        raw = fonts.raw_get(name)
        if not isinstance(raw, IndirectObject) or raw.pdf not in self._furniture.values():
            return self.fonts.font(dictionary(fonts[name]))
        key = (id(raw.pdf), raw.idnum)
        if key not in self._joined:
            self._joined[key] = self.fonts.font(dictionary(fonts[name]))
        return self._joined[key]

    def _resources(self, source: PageObject) -> DictionaryObject:
        resources = dictionary(source["/Resources"]) if "/Resources" in source else DictionaryObject()
        fonts = dictionary(resources["/Font"]) if "/Font" in resources else DictionaryObject()
        own = DictionaryObject(
            {key: value.clone(self.writer) for key, value in resources.items() if key not in ("/Font", "/ProcSet")}
        )
        if fonts:
            joined = {NameObject(name): self._font(fonts, name) for name in sorted(fonts)}
            own[NameObject("/Font")] = DictionaryObject(joined)
        return own

    def _contents(self, source: PageObject) -> Iterator[PdfObject]:
        contents = source["/Contents"].get_object() if "/Contents" in source else None
        for part in contents if isinstance(contents, ArrayObject) else [contents] if contents is not None else []:
            yield copied(part, self.writer)

    def _form(self, source: PageObject) -> IndirectObject:
        contents = source.get_contents()
        form = compressed(contents.get_data() if contents is not None else b"")
        form[NameObject("/Type")] = NameObject("/XObject")
        form[NameObject("/Subtype")] = NameObject("/Form")
        form[NameObject("/BBox")] = ArrayObject(FloatObject(side) for side in source.mediabox)
        form[NameObject("/Resources")] = self._resources(source)
        return self.writer._add_object(form)

    def _stream(self, data: bytes) -> IndirectObject:
        stream = StreamObject()
        stream.set_data(data)
        return self.writer._add_object(stream)


def _annotations(page: PageObject) -> list[DictionaryObject]:
    return [dictionary(one) for one in typed(page["/Annots"], ArrayObject)] if "/Annots" in page else []


def _mark(annotation: DictionaryObject) -> Iterator[tuple[str, Rect]]:
    """Yield the name and place of an annotation that is a mark."""
    action = dictionary(annotation["/A"]) if "/A" in annotation else DictionaryObject()
    address = str(action.get("/URI", ""))
    if address.startswith(MARK):
        left, low, right, high = (float(side) for side in typed(annotation["/Rect"], ArrayObject))
        yield address.removeprefix(MARK), (left, low, right, high)


def _link(writer: PdfWriter, info: BookInfo) -> None:
    """Turn marks into links inside the book, add the links asked for, and give every target its name."""
    for page in writer.pages:
        for annotation in _annotations(page):
            for name, _ in _mark(annotation):
                if name in info.targets:
                    del annotation["/A"]
                    annotation[NameObject("/Dest")] = _destination(writer, info.targets[name])
                elif info.elsewhere:
                    annotation[NameObject("/A")] = _into_file(info.elsewhere, name)
                else:
                    raise ValueError(f"a page links to {name!r}, and no page is registered under it")
    for link in info.links:
        page = writer.pages[link.page]
        annotations = page.setdefault(NameObject("/Annots"), ArrayObject())
        annotations.append(writer._add_object(_link_annotation(link.rect, _destination(writer, link.target))))
    for name in sorted(info.targets):
        writer.add_named_destination_array(TextStringObject(name), _destination(writer, info.targets[name]))


def _destination(writer: PdfWriter, page: int) -> ArrayObject:
    return ArrayObject([writer.pages[page].indirect_reference, NameObject("/Fit")])


def _into_file(file: str, name: str) -> DictionaryObject:
    """The action that opens another file at a named destination (ISO 32000-1:2008, 12.6.4.3)."""
    return DictionaryObject(
        {
            NameObject("/S"): NameObject("/GoToR"),
            NameObject("/F"): TextStringObject(file),
            NameObject("/D"): TextStringObject(name),
        }
    )


def _link_annotation(rect: Rect, destination: ArrayObject) -> DictionaryObject:
    return DictionaryObject(
        {
            NameObject("/Type"): NameObject("/Annot"),
            NameObject("/Subtype"): NameObject("/Link"),
            NameObject("/Rect"): ArrayObject(FloatObject(side) for side in rect),
            NameObject("/Border"): ArrayObject([NumberObject(0)] * 3),
            NameObject("/Dest"): destination,
        }
    )


def _outline(writer: PdfWriter, entries: Sequence[OutlineEntry]) -> None:
    """Write the outline, folded to its first level."""
    parents: list[IndirectObject] = []
    for entry in entries:
        if not 1 <= entry.level <= len(parents) + 1:
            raise ValueError(f"the outline jumps to level {entry.level} at {entry.title!r}")
        del parents[entry.level - 1 :]
        parent = parents[-1] if parents else None
        item = writer.add_outline_item(title=entry.title, page_number=entry.page, parent=parent, is_open=False)
        parents.append(item)
    if entries:
        writer.page_mode = "/UseOutlines"


def _page_labels(writer: PdfWriter, pages: Sequence[BookPage]) -> None:
    """Number each stretch of pages of one numbering from 1."""
    styles = {"roman": "/r", "decimal": "/D"}
    numbers = ArrayObject()
    for index, page in enumerate(pages):
        if index == 0 or page.numbering != pages[index - 1].numbering:
            label = DictionaryObject({NameObject("/S"): NameObject(styles[page.numbering])})
            numbers.extend([NumberObject(index), label])
    writer.root_object[NameObject("/PageLabels")] = DictionaryObject({NameObject("/Nums"): numbers})


def _document(writer: PdfWriter, info: BookInfo) -> None:
    """Say what the document is: in its information dictionary, its XMP packet, its language and its window title."""
    facts = {
        "/Title": info.title,
        "/Author": info.author,
        "/Subject": info.subject,
        "/Keywords": ", ".join(info.keywords),
    }
    writer.metadata = None
    writer.add_metadata({**{key: value for key, value in facts.items() if value}, "/Producer": _PRODUCER})
    packet = StreamObject()
    packet.set_data(_xmp(info).encode("utf-8"))
    packet[NameObject("/Type")] = NameObject("/Metadata")
    packet[NameObject("/Subtype")] = NameObject("/XML")
    root = writer.root_object
    root[NameObject("/Metadata")] = writer._add_object(packet)
    root[NameObject("/Lang")] = TextStringObject(info.language)
    root[NameObject("/ViewerPreferences")] = DictionaryObject({NameObject("/DisplayDocTitle"): BooleanObject(True)})
    writer.pdf_header = "%PDF-1.7"


def _xmp(info: BookInfo) -> str:
    def alternatives(tag: str, text: str) -> str:
        return f'<dc:{tag}><rdf:Alt><rdf:li xml:lang="x-default">{escape(text)}</rdf:li></rdf:Alt></dc:{tag}>'

    words = "".join(f"<rdf:li>{escape(word)}</rdf:li>" for word in info.keywords)
    parts = [
        "<dc:format>application/pdf</dc:format>",
        alternatives("title", info.title),
        f"<dc:creator><rdf:Seq><rdf:li>{escape(info.author)}</rdf:li></rdf:Seq></dc:creator>" if info.author else "",
        alternatives("description", info.subject) if info.subject else "",
        f"<dc:language><rdf:Bag><rdf:li>{escape(info.language)}</rdf:li></rdf:Bag></dc:language>",
        f"<dc:subject><rdf:Bag>{words}</rdf:Bag></dc:subject>" if words else "",
        f"<pdf:Producer>{_PRODUCER}</pdf:Producer>",
        f"<pdf:Keywords>{escape(', '.join(info.keywords))}</pdf:Keywords>" if words else "",
    ]
    return (
        '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>\n'
        '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" '
        f'xmlns:pdf="http://ns.adobe.com/pdf/1.3/">{"".join(parts)}</rdf:Description>'
        '</rdf:RDF></x:xmpmeta>\n<?xpacket end="w"?>'
    )
