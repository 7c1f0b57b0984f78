"""A page of the book as SVG: its lines, its areas and the outlines of its letters, so that no font is needed to see it.

Stage:    7 write
In, Out:  the PDF of one page as Ghostscript writes it; a `PageDrawing`, cropped to its ink, and its SVG text
Units:    points of 1/72 inch; in a `PageDrawing` y grows upwards as in PDF, in SVG downwards
Source:   ISO 32000-1:2008 (8.2 graphics operators, 8.4 state, 9.4 text); SVG 1.1 (W3C, 2011)
Not here: reading fonts (`glyph_outlines`), pictures in pixels (`pictures`)

Only what our pages hold is drawn; any other operator is an error rather than a picture that lacks something.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from pypdf import PdfReader
from pypdf.generic import ContentStream, DictionaryObject

from builder.outputs.glyph_outlines import EM, Box, Outline, OutlineFont, short
from builder.outputs.pdf_objects import dictionary

Matrix = tuple[float, float, float, float, float, float]
Point = tuple[float, float]

_UNIT: Matrix = (1, 0, 0, 1, 0, 0)
_HAIRLINE = 0.2  # what PDF draws for a line of no width, on a screen
_CAPS, _JOINS = ("butt", "round", "square"), ("miter", "round", "bevel")


def _times(inner: Matrix, outer: Matrix) -> Matrix:
    """First *inner*, then *outer*."""
    a, b, c, d, e, f = inner
    p, q, r, s, t, u = outer
    return a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u


def _at(matrix: Matrix, point: Point) -> Point:
    a, b, c, d, e, f = matrix
    return a * point[0] + c * point[1] + e, b * point[0] + d * point[1] + f


@dataclass(frozen=True, slots=True)
class _State:
    """What `q` keeps and `Q` brings back."""

    matrix: Matrix = _UNIT
    fill: str = "#000"
    line: str = "#000"
    width: float = 1
    cap: int = 0
    join: int = 0
    dash: tuple[float, ...] = ()
    font: str = ""
    size: float = 1
    leading: float = 0


@dataclass(frozen=True, slots=True)
class PageDrawing:
    """The elements of a page and the box of its ink."""

    elements: tuple[str, ...]
    glyphs: tuple[str, ...]
    ink: Box

    def svg(self, title: str, margin: float) -> str:
        """Return the picture, cropped to *margin* points around its ink; *title* is what a screen reader says."""
        left, low, right, high = self.ink
        left, low, right, high = left - margin, low - margin, right + margin, high + margin
        width, height = short(right - left), short(high - low)
        said = title.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
        glyphs = "".join(f'<path id="g{k}" d="{path}"/>' for k, path in enumerate(self.glyphs))
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}pt" height="{height}pt" '
            f'viewBox="0 0 {width} {height}" role="img"><title>{said}</title><defs>{glyphs}</defs>'
            f'<g transform="matrix(1 0 0 -1 {short(-left)} {short(high)})">\n'
            + "\n".join(self.elements)
            + "\n</g></svg>\n"
        )


def draw_page(pdf: Path) -> PageDrawing:
    """Read the only page of *pdf*; raise ValueError for an operator our pages do not use."""
    with PdfReader(pdf) as reader:
        (page,) = reader.pages
        fonts = dictionary(dictionary(page["/Resources"]).get("/Font", DictionaryObject()))
        pencil = _Pencil({name: OutlineFont.of(dictionary(fonts[name])) for name in fonts})
        for operands, operator in ContentStream(page.get_contents(), reader).operations:
            pencil.obey(operator.decode("latin-1"), operands)
    return PageDrawing(tuple(pencil.elements), tuple(pencil.glyphs), pencil.ink)


@dataclass(slots=True)
class _Pencil:
    """Follows the operators of one page."""

    fonts: dict[str, OutlineFont]
    elements: list[str] = field(default_factory=list)
    glyphs: dict[str, int] = field(default_factory=dict)
    ink: Box = (1e9, 1e9, -1e9, -1e9)
    _state: _State = field(default_factory=_State)
    _kept: list[_State] = field(default_factory=list)
    _path: list[str] = field(default_factory=list)
    _points: list[Point] = field(default_factory=list)
    _text: Matrix = _UNIT
    _line: Matrix = _UNIT

    def obey(self, operator: str, operands: Sequence[Any]) -> None:
        """Carry out one operator."""
        if operator in _DRAWING:
            _DRAWING[operator](self, *operands)
        elif operator in _SETTING:
            self._state = replace(self._state, **_SETTING[operator](operands))
        else:
            raise ValueError(f"a page uses the PDF operator {operator!r}, which is not drawn")

    # --- state and paths

    def keep(self) -> None:
        self._kept.append(self._state)

    def restore(self) -> None:
        self._state = self._kept.pop()

    def change(self, *matrix: float) -> None:
        a, b, c, d, e, f = map(float, matrix)
        self._state = replace(self._state, matrix=_times((a, b, c, d, e, f), self._state.matrix))

    def segment(self, letter: str, *numbers: float) -> None:
        points = [_at(self._state.matrix, (float(x), float(y))) for x, y in _pairs(numbers)]
        self._points += points
        self._path.append(letter + " ".join(f"{short(x)} {short(y)}" for x, y in points))

    def rectangle(self, x: float, y: float, width: float, height: float) -> None:
        x, y, width, height = map(float, (x, y, width, height))
        self.segment("M", x, y)
        for corner in ((x + width, y), (x + width, y + height), (x, y + height)):
            self.segment("L", *corner)
        self.close()

    def close(self) -> None:
        self._path.append("Z")

    def fill(self) -> None:
        self.elements.append(f'<path d="{"".join(self._path)}"{_fill(self._state.fill)}/>')
        self._spread(self._points, 0)
        self.forget()

    def stroke(self) -> None:
        state = self._state
        a, b, c, d, _, _ = state.matrix
        scale = abs(a * d - b * c) ** 0.5
        width = state.width * scale or _HAIRLINE
        dash = f' stroke-dasharray="{" ".join(short(one * scale) for one in state.dash)}"' if state.dash else ""
        ends = f' stroke-linecap="{_CAPS[state.cap]}"' if state.cap else ""
        joins = f' stroke-linejoin="{_JOINS[state.join]}"' if state.join else ""
        self.elements.append(
            f'<path d="{"".join(self._path)}" fill="none" stroke="{state.line}" stroke-width="{width:.3g}"'
            f"{ends}{joins}{dash}/>"
        )
        if len(self._points) == 2 and not state.cap:
            self._spread(_sides(self._points[0], self._points[1], width / 2), 0)
        else:
            self._spread(self._points, width / 2)
        self.forget()

    def forget(self) -> None:
        self._path, self._points = [], []

    def _spread(self, points: Sequence[Point], around: float) -> None:
        """Widen the ink to *points*; a Bézier curve stays within its control points."""
        if not points:
            return
        xs, ys = [point[0] for point in points], [point[1] for point in points]
        left, low, right, high = self.ink
        self.ink = (
            min(left, min(xs) - around),
            min(low, min(ys) - around),
            max(right, max(xs) + around),
            max(high, max(ys) + around),
        )

    # --- text

    def begin_text(self) -> None:
        self._text = self._line = _UNIT

    def place_text(self, *matrix: float) -> None:
        a, b, c, d, e, f = map(float, matrix)
        self._text = self._line = (a, b, c, d, e, f)

    def move_text(self, x: float, y: float) -> None:
        self._text = self._line = _times((1, 0, 0, 1, float(x), float(y)), self._line)

    def next_line(self) -> None:
        self.move_text(0, -self._state.leading)

    def show_line(self, text: Any) -> None:
        self.next_line()
        self.show(text)

    def show_spaced(self, parts: Sequence[Any]) -> None:
        for part in parts:
            if isinstance(part, (int, float)):
                self._advance(-float(part) / EM)
            else:
                self.show(part)

    def show(self, text: Any) -> None:
        font, size = self.fonts[self._state.font], self._state.size
        for code in _codes(text):
            glyph = font.glyphs.get(code)
            if glyph and glyph.path:
                scaled: Matrix = (size / EM, 0, 0, size / EM, 0, 0)
                self._glyph(glyph, _times(_times(scaled, self._text), self._state.matrix))
            self._advance(font.widths.get(code, 0))

    def _advance(self, widths: float) -> None:
        self._text = _times((1, 0, 0, 1, widths * self._state.size, 0), self._text)

    def _glyph(self, glyph: Outline, matrix: Matrix) -> None:
        number = self.glyphs.setdefault(glyph.path, len(self.glyphs))
        a, b, c, d, e, f = matrix
        place = f"{a:.5g} {b:.5g} {c:.5g} {d:.5g} {short(e)} {short(f)}"
        self.elements.append(f'<use href="#g{number}" transform="matrix({place})"{_fill(self._state.fill)}/>')
        if glyph.box:
            left, low, right, high = glyph.box
            corners = ((left, low), (right, low), (left, high), (right, high))
            self._spread([_at(matrix, corner) for corner in corners], 0)


def _sides(first: Point, last: Point, half: float) -> list[Point]:
    """The corners of a line that ends where it ends: a thick line may be a whole area."""
    along, up = last[0] - first[0], last[1] - first[1]
    length = (along**2 + up**2) ** 0.5 or 1.0
    across, over = -up / length * half, along / length * half
    return [(x + sign * across, y + sign * over) for x, y in (first, last) for sign in (-1, 1)]


def _pairs(numbers: Sequence[float]) -> Iterator[tuple[float, float]]:
    return zip(numbers[::2], numbers[1::2], strict=True)


def _codes(text: Any) -> bytes:
    """The character codes of a string, which pypdf may have read as text already."""
    return text if isinstance(text, bytes) else bytes(text.original_bytes)


def _fill(colour: str) -> str:
    return "" if colour == "#000" else f' fill="{colour}"'


def _grey(operands: Sequence[Any]) -> str:
    return _colour((*operands, *operands, *operands))


def _colour(operands: Sequence[Any]) -> str:
    return "#" + "".join(f"{round(float(part) * 255):02x}" for part in operands) if any(operands) else "#000"


_DRAWING: dict[str, Callable[..., None]] = {
    "q": _Pencil.keep,
    "Q": _Pencil.restore,
    "cm": _Pencil.change,
    "m": lambda pencil, *numbers: pencil.segment("M", *numbers),
    "l": lambda pencil, *numbers: pencil.segment("L", *numbers),
    "c": lambda pencil, *numbers: pencil.segment("C", *numbers),
    "re": _Pencil.rectangle,
    "h": _Pencil.close,
    "f": _Pencil.fill,
    "S": _Pencil.stroke,
    "n": _Pencil.forget,
    "BT": _Pencil.begin_text,
    "ET": _Pencil.begin_text,
    "Tm": _Pencil.place_text,
    "Td": _Pencil.move_text,
    "T*": _Pencil.next_line,
    "Tj": _Pencil.show,
    "TJ": _Pencil.show_spaced,
    "'": _Pencil.show_line,
}
_SETTING: dict[str, Callable[[Sequence[Any]], dict[str, Any]]] = {
    "g": lambda operands: {"fill": _grey(operands)},
    "G": lambda operands: {"line": _grey(operands)},
    "rg": lambda operands: {"fill": _colour(operands)},
    "RG": lambda operands: {"line": _colour(operands)},
    "w": lambda operands: {"width": float(operands[0])},
    "J": lambda operands: {"cap": int(operands[0])},
    "j": lambda operands: {"join": int(operands[0])},
    "d": lambda operands: {"dash": tuple(float(one) for one in operands[0])},
    "Tf": lambda operands: {"font": str(operands[0]), "size": float(operands[1])},
    "TL": lambda operands: {"leading": float(operands[0])},
}
