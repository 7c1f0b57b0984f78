"""A drawing of outlines in black, white and grey: what a logo is made of, whatever file it came from.

Stage:    1 read (values)
In, Out:  numbers; `Drawing`s
Units:    the drawing's own; y counts downwards from the upper left corner of its box
Source:   ITU-R BT.601: how bright red, green and blue are
Not here: reading files (`svg`, `engraving.pdf_drawing`), writing PostScript (`engraving.drawing_text`)
"""

from __future__ import annotations

from dataclasses import dataclass

Matrix = tuple[float, float, float, float, float, float]
IDENTITY: Matrix = (1, 0, 0, 1, 0, 0)


@dataclass(frozen=True, slots=True)
class Step:
    """A step of an outline: `m` to a point, `l` in a line, `c` in a curve of three, `h` back to where it began."""

    kind: str
    points: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Stroke:
    """How a line is drawn; *cap* and *join* count as in PostScript."""

    grey: float
    width: float
    cap: int = 0
    join: int = 0
    miter: float = 4.0
    dash: tuple[float, ...] = ()
    dash_from: float = 0.0


@dataclass(frozen=True, slots=True)
class Outline:
    """An outline, where it stands, and what it is filled with (0 is black, 1 white, None nothing) and drawn with."""

    steps: tuple[Step, ...]
    matrix: Matrix
    fill: float | None
    even_odd: bool = False
    stroke: Stroke | None = None


@dataclass(frozen=True, slots=True)
class Drawing:
    """Outlines, the later over the earlier, in the box that begins at *left* and *top*."""

    left: float
    top: float
    wide: float
    high: float
    outlines: tuple[Outline, ...]


def grey_of(red: float, green: float, blue: float) -> float:
    """How bright a colour of parts from 0 to 1 is.

    >>> grey_of(0, 0, 0), grey_of(1, 1, 1), grey_of(1, 0, 0)
    (0.0, 1.0, 0.299)
    """
    return round(min(1.0, max(0.0, 0.299 * red + 0.587 * green + 0.114 * blue)), 4)
