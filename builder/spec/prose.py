"""Pages to read, as values: headings, paragraphs, lists, tables, pictures, examples of music.

Stage:    1 read (out)
In, Out:  what `markdown` has read; what `engraving.lilypond_prose` sets
Not here: Markdown itself, how any of it looks
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from builder.errors import Location

Align = Literal["left", "center", "right"]


@dataclass(frozen=True, slots=True)
class Span:
    """Letters set alike; *code* is text to type, *address* where on the web it leads."""

    text: str
    bold: bool = False
    italic: bool = False
    code: bool = False
    address: str = ""


Run = tuple[Span, ...]
"""A stretch of text."""


def plain(run: Run) -> str:
    """The letters of *run* alone.

    >>> plain((Span("Ferry "), Span("Steps", bold=True)))
    'Ferry Steps'
    """
    return "".join(span.text for span in run)


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading below the title of the page; *level* is 2 or 3."""

    level: int
    run: Run


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph; more than one of *lines* where it was broken on purpose."""

    lines: tuple[Run, ...]


@dataclass(frozen=True, slots=True)
class ItemList:
    """A list; *first* is the number of its first item, None for dots."""

    first: int | None
    items: tuple[tuple[Block, ...], ...]


@dataclass(frozen=True, slots=True)
class Quotation:
    """What somebody else has said."""

    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A table; every row is as long as the head."""

    head: tuple[Run, ...]
    rows: tuple[tuple[Run, ...], ...]
    aligns: tuple[Align, ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture in the book's folder, what it shows, its size in dots, and a digest of its bytes."""

    path: str
    caption: str
    wide_px: int
    high_px: int
    digest: str


@dataclass(frozen=True, slots=True)
class Example:
    """Bars of a study, counted from 1, both included; *where* it was asked for."""

    study: str
    first: int
    last: int
    where: Location


@dataclass(frozen=True, slots=True)
class Break:
    """A line between two thoughts."""


Block = Heading | Paragraph | ItemList | Quotation | Table | Picture | Example | Break


@dataclass(frozen=True, slots=True)
class ProseText:
    """A page to read, from one file; *name* is the file's stem."""

    name: str
    title: str
    blocks: tuple[Block, ...]
    where: Location

    @property
    def examples(self) -> tuple[Example, ...]:
        """The examples in order; they stand between paragraphs, never inside a list."""
        return tuple(block for block in self.blocks if isinstance(block, Example))

    @property
    def pictures(self) -> tuple[Picture, ...]:
        """The pictures in order."""
        return tuple(block for block in self.blocks if isinstance(block, Picture))
