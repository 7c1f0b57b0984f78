"""What goes into the engraver and what comes out.

Stage:    5 engrave (in, out)
Not here: the LilyPond text of a page (`lilypond_source`), running LilyPond (`lilypond_run`)
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from builder.errors import Location


@dataclass(frozen=True, slots=True)
class Body:
    """One attempt at a sheet: a `\\bookpart { … }` without version or style; the *sides* it must fill, None = any."""

    text: str
    sides: int | None


@dataclass(frozen=True, slots=True)
class Sheet:
    """A page or run of pages to engrave: the ladder of attempts, best first; the first that fits is taken.

    *key* names it in the book (`study:ferry-steps-s3f7`, `front:contents`); *where* is what a complaint points to.
    """

    key: str
    where: Location
    bodies: tuple[Body, ...]


@dataclass(frozen=True, slots=True)
class EngravedSheet:
    """A sheet on paper: one single-page PDF a side, and which attempt (from 0) it was."""

    key: str
    pdfs: tuple[Path, ...]
    rung: int

    @property
    def sides(self) -> int:
        """How many sides it fills."""
        return len(self.pdfs)
