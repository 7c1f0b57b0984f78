"""What goes into the engraver and what comes out.

Stage:    5 engrave (in, out)
Not here: the LilyPond text of a page (`lilypond_source`), running LilyPond (`lilypond_run`)
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import overload

from builder.errors import Location


@dataclass(frozen=True, slots=True)
class Body:
    """One attempt at a sheet: a `\\bookpart { … }` without version or style; the *sides* it must fill, None = any,
    *likely* then says how many are to be expected.

    *whole*: the sides stay together in one PDF, for what is laid over the pages of a book and changes as a whole.
    """

    text: str
    sides: int | None
    whole: bool = False
    likely: int = 1


@dataclass(frozen=True, slots=True)
class Sheet:
    """A page or run of pages to engrave: the ladder of attempts, best first; the first that fits is taken.

    *key* names it in the book (`study:ferry-steps-s3f7`, `front:contents`); *where* is what a complaint points to.
    """

    key: str
    where: Location
    bodies: Sequence[Body]


def flowing(sheet: Sheet) -> Sheet:
    """The *sheet* on as many sides as its words need: large print breaks where a side is full, not where one was."""
    return replace(sheet, bodies=[_flowing(body) for body in sheet.bodies[:1]])


def _flowing(body: Body) -> Body:
    text = re.sub(r"^ *\\pageBreak$", "", re.sub(r"\bpage-count = \d+", "", body.text), flags=re.MULTILINE)
    # Left to itself LilyPond makes sides about equally full, that is, all of them half empty.
    text = text.replace("\\paper {", "\\paper { page-breaking = #filled-breaking", 1)
    return replace(body, text=text, sides=None, likely=body.sides or body.likely)


class Ladder(Sequence[Body]):
    """Attempts that are written out when they are asked for: most sheets fit at the first one."""

    def __init__(self, rungs: Sequence[Callable[[], Body]]) -> None:
        self._rungs = rungs
        self._written: dict[int, Body] = {}

    def __len__(self) -> int:
        return len(self._rungs)

    @overload
    def __getitem__(self, index: int) -> Body: ...

    @overload
    def __getitem__(self, index: slice) -> Sequence[Body]: ...

    def __getitem__(self, index: int | slice) -> Body | Sequence[Body]:
        if isinstance(index, slice):
            return [self[number] for number in range(*index.indices(len(self)))]
        number = range(len(self))[index]
        if number not in self._written:
            self._written[number] = self._rungs[number]()
        return self._written[number]


@dataclass(frozen=True, slots=True)
class EngravedSheet:
    """A sheet on paper: one single-page PDF a side (or one of all sides), and which attempt (from 0) it was."""

    key: str
    pdfs: tuple[Path, ...]
    rung: int

    @property
    def sides(self) -> int:
        """How many sides it fills."""
        return len(self.pdfs)
