"""What operators draw: places worked out by matrices, areas, glyphs with their boxes.

Stage:    page critic
In, Out:  numbers of a content stream, fonts; the values of `ink`
Units:    out: millimetres from the upper left corner, y downwards
Source:   ISO 32000-1:2008, 8.3.4 (matrices)
Not here: the words of the stream (`words`), the state they are drawn in (`content`)
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.critic.fonts import Font
from builder.critic.ink import Area, Box, Glyphs

Matrix = tuple[float, float, float, float, float, float]
Point = tuple[float, float]

_FULL = 0.7  # share of its rectangle: of a disc 0.79


def product(inner: Matrix, outer: Matrix) -> Matrix:
    """Return the matrix that applies *inner* and then *outer*."""
    a, b, c, d, e, f = inner
    p, q, r, s, t, u = outer
    return (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)


def around(points: Sequence[Point]) -> Box:
    """Return the rectangle around points."""
    xs, ys = [point[0] for point in points], [point[1] for point in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


def drawn_area(points: Sequence[Point], curved: bool, filled: bool, grey: float, over: tuple[int, int, int]) -> Area:
    """Return what a path through *points* draws *over* so many texts, signs and lines."""
    box = around(points)
    full = filled and (len(points) == 3 or _surface(points) > _FULL * box.width * box.height)
    return Area(box, curved, filled, grey, over, full)


def _surface(points: Sequence[Point]) -> float:
    """The surface within a path; for a curved one that of its control points, which is a little more."""
    last = points[-1]
    twice = 0.0
    for point in points:
        twice += last[0] * point[1] - point[0] * last[1]
        last = point
    return abs(twice) / 2


def drawn_sign(font: Font, size: float, x: float, y: float, grey: float, upright: bool, code: int) -> Glyphs:
    """Return a sign of the music font that begins at a place."""
    name, text, width, ink = font.glyph(code)
    scale = size / 1000
    box = Box(x + ink[0] * scale, y - ink[3] * scale, x + ink[2] * scale, y - ink[1] * scale) if ink else None
    return Glyphs(font, size, x, x + width * scale, y, grey, upright, text, name, box)


def drawn_text(
    font: Font,
    size: float,
    x: float,
    end: float,
    y: float,
    grey: float,
    upright: bool,
    codes: Sequence[int],
    starts: Sequence[float],
) -> Glyphs:
    """Return a text of glyphs that each begin at a place of their own."""
    glyphs = [font.glyph(code) for code in codes]
    inks = [(start, glyph[3]) for start, glyph in zip(starts, glyphs, strict=True) if glyph[3] is not None]
    box = None
    if inks:
        scale = size / 1000
        (first, low), (last, high) = inks[0], inks[-1]
        box = Box(
            first + low[0] * scale,
            y - max(ink[3] for _, ink in inks) * scale,
            last + high[2] * scale,
            y - min(ink[1] for _, ink in inks) * scale,
        )
    return Glyphs(font, size, x, end, y, grey, upright, "".join(glyph[1] for glyph in glyphs), "", box)
