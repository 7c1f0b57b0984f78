"""What the page critic has found: a page, a place on it, a kind, and the words for a reader.

Stage:    page critic (values)
Units:    pages count from 1 as sheets' sides; places in millimetres from the upper left corner
"""

from __future__ import annotations

from dataclasses import dataclass

Place = tuple[float, float]

WHOLE_PAGE: Place = (0.0, 0.0)


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """One fault of the finished book; *page* is 0 for the book as a whole.

    >>> print(Finding(12, (52.1, 104.0), "fret", "reads 7, the study has 9"))
    page 12, 52 mm from the left, 104 mm from the top: fret: reads 7, the study has 9
    """

    page: int
    where_mm: Place
    kind: str
    message: str

    def __str__(self) -> str:
        x, y = self.where_mm
        place = f", {x:.0f} mm from the left, {y:.0f} mm from the top" if self.where_mm != WHOLE_PAGE else ""
        return f"{f'page {self.page}' if self.page else 'book'}{place}: {self.kind}: {self.message}"
