"""A whole book read back: every page, then every study, then the file.

Stage:    page critic
In, Out:  the PDF of a book and the JSON document of its studies; `Finding`s in the order of the pages

A study with its pages is one piece of work, any other page another; pieces are read side by side by processes, those
found good before not at all. What is left for the end needs only the gist of each page.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from pypdf import PdfReader
from pypdf.errors import PyPdfError
from pypdf.generic import DictionaryObject, IndirectObject

from builder.critic.asked import Asked
from builder.critic.book import Book, book_findings
from builder.critic.content import read_ink
from builder.critic.expected import expected
from builder.critic.finding import WHOLE_PAGE, Finding
from builder.critic.fonts import Font
from builder.critic.gist import Gist, gist
from builder.critic.memory import Memory, Recall
from builder.critic.music import read_music
from builder.critic.places import StudyPage
from builder.critic.sheet import half_empty, sheet_findings
from builder.critic.staves import find_systems
from builder.critic.study import study_findings

_CHUNKS = 6  # our own choice: small enough that processes end together, each opens the file once all the same


@dataclass(frozen=True, slots=True)
class _Piece:
    """Pages that are read together, by their numbers from 1; the *study* that stands on them."""

    pages: tuple[int, ...]
    study: Mapping[str, Any] | None


@dataclass(frozen=True, slots=True)
class _Read:
    """What is wrong with pages, and the pages in short."""

    findings: tuple[Finding, ...]
    gists: tuple[Gist, ...]


@dataclass(frozen=True, slots=True)
class _File:
    """A file and what is asked of its pages."""

    data: bytes
    asked: Asked


def read_book(
    pdf: Path | bytes,
    document: Mapping[str, Any],
    asked: Asked | None = None,
    executor: Executor | None = None,
    memory: Memory | None = None,
) -> tuple[Finding, ...]:
    """Return what is wrong with the book *pdf*, whose studies *document* describes; empty when all is well.

    Pages are read by the processes of *executor*, where there is one; *memory* knows pages found good before.
    """
    asked = asked or Asked()
    data = pdf if isinstance(pdf, bytes) else pdf.read_bytes()
    with PdfReader(io.BytesIO(data)) as reader:
        pieces = _pieces(document, len(reader.pages))
        recall = Recall(memory, asked) if memory is not None else None
        read = _read_all(_File(data, asked), reader, pieces, executor, recall)
        gists = {
            number: one for piece, found in zip(pieces, read, strict=True) for number, one in _numbered(piece, found)
        }
        pages = tuple(gists[number] for number in range(1, len(reader.pages) + 1))
        full = tuple(study for study in document["studies"] if study["pages"])
        small = tuple(study for study in document["studies"] if not study["pages"])
        book = Book(reader, pages, tuple(reader.page_labels), full, small)
        of_pages = [one for found in read for one in found.findings]
        return tuple(sorted([*of_pages, *book_findings(book, asked)]))


def _pieces(document: Mapping[str, Any], count: int) -> list[_Piece]:
    """Every page of the file once, and each study; pages claimed twice are told of by the checks of the file."""
    found: list[_Piece] = []
    taken: set[int] = set()
    for study in document["studies"]:
        first = int(study["page"])
        pages = tuple(range(first, min(first + int(study["pages"]), count + 1)))
        if pages:
            found.append(_Piece(pages, study))
            taken.update(pages)
    return [*found, *(_Piece((number,), None) for number in range(1, count + 1) if number not in taken)]


def _numbered(piece: _Piece, read: _Read) -> Iterator[tuple[int, Gist]]:
    return zip(piece.pages, read.gists, strict=True)


def _read_all(
    file: _File, reader: PdfReader, pieces: Sequence[_Piece], executor: Executor | None, recall: Recall | None
) -> list[_Read]:
    """Read all pieces; what is remembered as good is not read again, what is found good is remembered."""
    if recall is None:
        return _read_new(file, pieces, executor)
    keys = [recall.key([reader.pages[number - 1] for number in piece.pages], piece.study) for piece in pieces]
    read: dict[int, _Read] = {}
    for index, piece in enumerate(pieces):
        known = recall.gists(keys[index], len(piece.pages))
        if known is not None:
            read[index] = _Read((), known)
    left = [index for index in range(len(pieces)) if index not in read]
    for index, found in zip(left, _read_new(file, [pieces[index] for index in left], executor), strict=True):
        read[index] = found
        if not found.findings:
            recall.keep(keys[index], found.gists)
    return [read[index] for index in range(len(pieces))]


def _read_new(file: _File, pieces: Sequence[_Piece], executor: Executor | None) -> list[_Read]:
    if executor is None:
        return _read_pieces(file, pieces)
    # Every so many, and not one after the other: studies of one exercise, alike and side by side, take equally long.
    chunks = [pieces[start::_CHUNKS] for start in range(min(_CHUNKS, len(pieces)))]
    done = executor.map(_read_pieces, [file] * len(chunks), chunks)
    read: list[_Read | None] = [None] * len(pieces)
    for start, found in enumerate(done):
        read[start::_CHUNKS] = found
    return [one for one in read if one is not None]


def _read_pieces(file: _File, pieces: Sequence[_Piece]) -> list[_Read]:
    desk = _desk(file)
    return [desk.read(piece) for piece in pieces]


@lru_cache(maxsize=1)
def _desk(file: _File) -> _Desk:
    """The file opened; a process reads several pieces of one."""
    return _Desk(PdfReader(io.BytesIO(file.data)), file.asked)


class _Desk:
    """An open file, its fonts by their object's number (pages share them), and what is asked of its pages."""

    def __init__(self, reader: PdfReader, asked: Asked) -> None:
        self._reader = reader
        self._asked = asked
        self._fonts: dict[int, Font] = {}

    def read(self, piece: _Piece) -> _Read:
        """Read pages, and the study on them; a page that can't be read is one more fault of the book."""
        try:
            return self._read(piece)
        except (ValueError, TypeError, LookupError, ArithmeticError, AttributeError, PyPdfError) as error:
            said = f"{type(error).__name__}: {error}"
            faults = tuple(Finding(number, WHOLE_PAGE, "unreadable", said) for number in piece.pages)
            return _Read(faults, tuple(Gist(0.0, 0.0, (), None, ()) for _ in piece.pages))

    def _read(self, piece: _Piece) -> _Read:
        findings: list[Finding] = []
        gists = []
        pages = []
        for number in piece.pages:
            ink = read_ink(self._reader.pages[number - 1], self._font)
            systems = find_systems(ink)
            gists.append(gist(ink, systems))
            findings += sheet_findings(number, ink, systems, self._asked)
            if piece.study is not None:
                findings += half_empty(number, ink)
                pages.append(StudyPage(number, ink, tuple(read_music(system, ink) for system in systems)))
        if piece.study is not None:
            findings += study_findings(expected(piece.study, self._asked.german), pages, self._asked)
        return _Read(tuple(findings), tuple(gists))

    def _font(self, raw: Any) -> Font:
        """Return the font of a font object or of a reference to one."""
        font = raw.get_object()
        if not isinstance(font, DictionaryObject):
            raise ValueError("the file names a font that it does not hold")
        if not isinstance(raw, IndirectObject):
            return Font(font)
        if raw.idnum not in self._fonts:
            self._fonts[raw.idnum] = Font(font)
        return self._fonts[raw.idnum]
