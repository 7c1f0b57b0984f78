"""What stands on a page, free of the way it was drawn: texts, signs of the music font, lines and areas.

Stage:    page critic (values)
Units:    millimetres from the upper left corner of the page, y downwards; sizes of type in millimetres
Not here: reading them out of a PDF (`content`), what they mean (`staves`, `music`)
"""

from __future__ import annotations

from dataclasses import dataclass

from builder.critic.fonts import Font

POINT_MM = 25.4 / 72  # ISO 32000-1:2008, 8.3.2.3: default user space counts in 1/72 inch


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle, upright on the page."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        """Its width."""
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        """Its height."""
        return self.y1 - self.y0

    @property
    def middle(self) -> float:
        """The middle between its sides."""
        return (self.x0 + self.x1) / 2

    def common(self, other: Box) -> Box | None:
        """Return what it shares with *other*, None where they only touch or lie apart."""
        # Asked a hundred thousand times a book, and nearly always of boxes that lie apart.
        if self.x0 >= other.x1 or other.x0 >= self.x1 or self.y0 >= other.y1 or other.y0 >= self.y1:
            return None
        x0, y0 = max(self.x0, other.x0), max(self.y0, other.y0)
        x1, y1 = min(self.x1, other.x1), min(self.y1, other.y1)
        return Box(x0, y0, x1, y1) if x0 < x1 and y0 < y1 else None


@dataclass(frozen=True, slots=True)
class Glyphs:
    """A text, or a single sign of the music font: where it begins and ends on which baseline, and what is read.

    *text* is what a reader sees, nothing for a sign of music; *sign* is what the font calls a sign, empty for text.
    *box* is the ink's rectangle, None where all is blank. *upright* is false for what is turned or mirrored: its box is
    not known.
    """

    font: Font
    size: float
    x: float
    end: float
    y: float
    grey: float
    upright: bool
    text: str
    sign: str
    box: Box | None

    @property
    def ink_box(self) -> Box:
        """Its ink's rectangle; a point on the baseline where all is blank."""
        return self.box or Box(self.x, self.y, self.end, self.y)


@dataclass(frozen=True, slots=True)
class Line:
    """A straight stroke from one point to another; *width* is its thickness."""

    x0: float
    y0: float
    x1: float
    y1: float
    width: float
    grey: float

    @property
    def around(self) -> Box:
        """The rectangle around it with round ends: a short thick one is drawn as a long disc."""
        half = self.width / 2
        x0, x1 = sorted((self.x0, self.x1))
        y0, y1 = sorted((self.y0, self.y1))
        return Box(x0 - half, y0 - half, x1 + half, y1 + half)


@dataclass(frozen=True, slots=True)
class Area:
    """Any other drawn thing, as the rectangle around it; *curved* where its edge bends.

    *over* counts the texts, signs and lines that were drawn before it, and may lie under it; *full* says that it covers
    its rectangle, or nearly, as a box or a disc does and a slur or a slanted beam does not.
    """

    box: Box
    curved: bool
    filled: bool
    grey: float
    over: tuple[int, int, int] = (0, 0, 0)
    full: bool = True


@dataclass(frozen=True, slots=True)
class Ink:
    """All that a page shows, in the order in which it is drawn.

    *coloured* are the rectangles around what is not drawn in a shade of black, *unseen* the places of texts that leave
    no ink, *images* the rectangles of pictures made of dots; *odd* names what else a page of a book has no need of:
    clipping, transparency, shadings, layers, colours that are asked for.
    """

    width: float
    height: float
    texts: tuple[Glyphs, ...]
    signs: tuple[Glyphs, ...]
    lines: tuple[Line, ...]
    areas: tuple[Area, ...]
    coloured: tuple[Box, ...] = ()
    unseen: tuple[tuple[float, float], ...] = ()
    images: tuple[Box, ...] = ()
    odd: frozenset[str] = frozenset()
