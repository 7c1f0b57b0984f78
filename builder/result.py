"""What a finished build knows: all that outputs and checks read.

Stage:    7 write (in)
Not here: how any of it is written (`outputs`)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from builder.compose import Composition
from builder.engraving.sheet import EngravedSheet
from builder.spec.plan import BookPlan
from builder.theory.score import Skipped, Study


@dataclass(frozen=True, slots=True)
class PrintedPage:
    """One side of the book: its PDF, what is laid over it, the label printed on it, and what it shows (`study:…`)."""

    sheet: str
    pdf: Path
    furniture: Path | None
    label: str


@dataclass(frozen=True, slots=True)
class BookResult:
    """A composed, engraved book. *studies* stand in the order of the book; *first_side* counts sides from 1."""

    book: BookPlan
    compositions: tuple[Composition, ...]
    studies: tuple[Study, ...]
    pages: tuple[PrintedPage, ...]
    first_side: Mapping[str, int]
    sheets: Mapping[str, EngravedSheet]
    sources: Mapping[str, str] = field(default_factory=dict)

    @property
    def skipped(self) -> tuple[Skipped, ...]:
        """Every place that can't be played, in order of exercise."""
        return tuple(skipped for composition in self.compositions for skipped in composition.skipped)
