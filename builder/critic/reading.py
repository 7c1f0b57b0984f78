"""A whole book read back: every page, then every study, then the file.

Stage:    page critic
In, Out:  the PDF of a book and the JSON document of its studies; `Finding`s in the order of the pages
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from pypdf import PdfReader
from pypdf.generic import DictionaryObject, IndirectObject

from builder.critic.book import Book, book_findings
from builder.critic.content import read_ink
from builder.critic.expected import expected
from builder.critic.finding import Finding
from builder.critic.fonts import Font
from builder.critic.ink import Ink
from builder.critic.music import read_music
from builder.critic.places import StudyPage
from builder.critic.sheet import USUAL_FAMILIES, Block, half_empty, sheet_findings
from builder.critic.staves import System, find_systems
from builder.critic.study import study_findings


def read_book(
    pdf: Path, document: Mapping[str, Any], families: Iterable[str] = USUAL_FAMILIES, german: bool = False
) -> tuple[Finding, ...]:
    """Return what is wrong with the book in *pdf*, whose studies *document* describes; empty when all is well.

    *families* are what names of fonts that may appear begin with; where chords are called *german*, H stands for B.
    """
    with PdfReader(pdf) as reader:
        fonts = _Fonts()
        inks = tuple(read_ink(page, fonts.font) for page in reader.pages)
        full = tuple(study for study in document["studies"] if study["pages"])
        small = tuple(study for study in document["studies"] if not study["pages"])
        book = Book(reader, inks, tuple(reader.page_labels), full, small)
        return tuple(sorted(_findings(book, tuple(families), german)))


def _findings(book: Book, families: tuple[str, ...], german: bool) -> Iterator[Finding]:
    systems = [find_systems(ink) for ink in book.inks]
    blocks = _blocks(systems)
    for number, ink in enumerate(book.inks, 1):
        yield from sheet_findings(number, ink, systems[number - 1], blocks.get(number % 2), families)
    for study in book.studies:
        last = min(int(study["page"]) + int(study["pages"]), len(book.inks) + 1)
        pages = [_page(number, book.inks[number - 1], systems) for number in range(int(study["page"]), last)]
        for page in pages:
            yield from half_empty(page.number, page.ink)
        if pages:
            yield from study_findings(expected(study, german), pages)
    yield from book_findings(book)


def _page(number: int, ink: Ink, systems: list[tuple[System, ...]]) -> StudyPage:
    return StudyPage(number, ink, tuple(read_music(system, ink) for system in systems[number - 1]))


def _blocks(systems: list[tuple[System, ...]]) -> dict[int, Block]:
    """The block of text and music on odd and on even pages: as wide as the systems there, which fill it."""
    blocks = {}
    for side in (0, 1):
        here = [system for number, page in enumerate(systems, 1) if number % 2 == side for system in page]
        if here:
            blocks[side] = Block(min(system.x0 for system in here), max(system.x1 for system in here))
    return blocks


class _Fonts:
    """The fonts of a file by their object's number: pages share them."""

    def __init__(self) -> None:
        self._known: dict[int, Font] = {}

    def font(self, raw: Any) -> Font:
        """Return the font of a font object or of a reference to one."""
        font = raw.get_object()
        if not isinstance(font, DictionaryObject):
            raise ValueError("the file names a font that it does not hold")
        if not isinstance(raw, IndirectObject):
            return Font(font)
        if raw.idnum not in self._known:
            self._known[raw.idnum] = Font(font)
        return self._known[raw.idnum]
