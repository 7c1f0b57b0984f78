"""The content stream of a page, walked operator by operator into ink.

Stage:    page critic
In, Out:  a page of a PDF; `Ink`
Units:    out: millimetres from the upper left corner, y downwards
Source:   ISO 32000-1:2008, 8.2 to 8.5 (paths, colours, forms) and 9.4 (text)
Not here: the words of the stream (`words`), what one operator draws (`drawn`); clipping,
          shadings, blend modes and inline images, which no page of a book needs

Speed matters more here than elsewhere: a page holds three thousand statements. So operands stay bytes until an operator
wants them, and text is placed by one matrix that already holds the page's.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from pypdf import PageObject
from pypdf.generic import DictionaryObject, StreamObject

from builder.critic.drawn import Matrix, Point, around, drawn_area, drawn_sign, drawn_text, product
from builder.critic.fonts import Font
from builder.critic.ink import POINT_MM, Area, Box, Glyphs, Ink, Line
from builder.critic.words import PIECE, bytes_of, grey_of, statements, wide_codes, without_dots

_JOINS_AFTER, _JOINS_BEFORE = 0.2, 0.3  # of the type size: a wider gap begins a new text; our own choice
_FARTHEST, _NEAREST = -1000 * _JOINS_BEFORE, 1000 * _JOINS_AFTER
_HIDDEN_MODES = (3, 7)  # ISO 32000-1:2008, table 106: text that leaves no ink
_DEEPEST_FORM = 8  # forms in forms; a form that shows itself must end somewhere

FontOf = Callable[[Any], Font]


def read_ink(page: PageObject, font_of: FontOf) -> Ink:
    """Return all ink of *page*, placed on what is cut out of the sheet.

    *font_of* turns a font object into a `Font` and may remember it.
    """
    box = page.trimbox
    left, top = float(box.left), float(box.top)
    walk = _Walk(font_of, (POINT_MM, 0, 0, -POINT_MM, -left * POINT_MM, top * POINT_MM))
    walk.run(_content(page), _dictionary(page.get("/Resources")))
    return Ink(
        float(box.width) * POINT_MM,
        float(box.height) * POINT_MM,
        tuple(drawn_text(*run) for run in walk.runs),
        tuple(walk.signs),
        tuple(walk.lines),
        tuple(walk.areas),
        tuple(walk.coloured),
        tuple(walk.unseen),
        tuple(walk.images),
        frozenset(walk.odd),
    )


def _content(page: PageObject) -> bytes:
    content: Any = page["/Contents"].get_object() if "/Contents" in page else ()
    parts = [content] if isinstance(content, StreamObject) else [part.get_object() for part in content]
    return without_dots(b"\n".join(part.get_data() for part in parts))


def _dictionary(value: Any) -> DictionaryObject:
    found = value.get_object() if value is not None else None
    return found if isinstance(found, DictionaryObject) else DictionaryObject()


class _Walk:
    """The state while a content stream is walked, and the ink met so far."""

    def __init__(self, font_of: FontOf, matrix: Matrix) -> None:
        self.runs: list[list[Any]] = []  # font, size, x of the first glyph, end, y, grey, upright, codes, starts
        self.signs: list[Glyphs] = []
        self.lines: list[Line] = []
        self.areas: list[Area] = []
        self.coloured: list[Box] = []
        self.unseen: list[tuple[float, float]] = []
        self.images: list[Box] = []
        self.odd: set[str] = set()
        self._colour_fill = self._colour_stroke = False
        self._font_of = font_of
        self._matrix = matrix
        self._saved: list[tuple[Any, ...]] = []
        self._fill = self._stroke = 0.0
        self._width = 1.0
        self._font: Font | None = None
        self._size = self._lead = self._char_gap = self._word_gap = self._rise = 0.0
        self._stretch = 1.0
        self._hidden = False
        self._line = self._place = matrix  # text matrices with the page's worked in
        self._path: list[list[Point]] = []
        self._curved: list[bool] = []
        self._resources = DictionaryObject()
        self._fonts: dict[bytes, Font] = {}
        self._depth = 0
        self._operators: dict[bytes, Callable[[list[bytes]], None]] = {
            name.encode(): getattr(self, method) for name, method in _OPERATORS.items()
        }

    def run(self, content: bytes, resources: DictionaryObject) -> None:
        """Walk one stream with its resources."""
        outer = self._resources, self._fonts, self._saved
        self._resources, self._fonts, self._saved = resources, {}, []
        operators = self._operators
        for operator, operands in statements(content, operators):
            act = operators.get(operator)
            if act is not None:
                act(operands)
        self._resources, self._fonts, self._saved = outer

    def _nothing(self, operands: list[bytes]) -> None:
        """Accept an operator that leaves no ink."""

    def _state(self) -> tuple[Any, ...]:
        paints = self._fill, self._stroke, self._colour_fill, self._colour_stroke, self._width
        return self._matrix, paints, self._font, self._size, self._hidden

    def _set(self, state: tuple[Any, ...]) -> None:
        self._matrix, paints, self._font, self._size, self._hidden = state
        self._fill, self._stroke, self._colour_fill, self._colour_stroke, self._width = paints

    def _save(self, operands: list[bytes]) -> None:
        self._saved.append(self._state())

    def _restore(self, operands: list[bytes]) -> None:
        if self._saved:
            self._set(self._saved.pop())

    def _concat(self, operands: list[bytes]) -> None:
        a, b, c, d, e, f = map(float, operands)
        self._matrix = product((a, b, c, d, e, f), self._matrix)

    def _line_width(self, operands: list[bytes]) -> None:
        self._width = float(operands[0])

    def _fill_colour(self, operands: list[bytes]) -> None:
        self._fill = grey_of(operands)
        self._colour_fill = self._coloured(operands)

    def _stroke_colour(self, operands: list[bytes]) -> None:
        self._stroke = grey_of(operands)
        self._colour_stroke = self._coloured(operands)

    def _coloured(self, operands: list[bytes]) -> bool:
        if len(operands) < 3:
            return False
        self.odd.add("colour")
        return True

    # --- paths ---

    def _point(self, x: bytes, y: bytes) -> Point:
        a, b, c, d, e, f = self._matrix
        h, v = float(x), float(y)
        return h * a + v * c + e, h * b + v * d + f

    def _move(self, operands: list[bytes]) -> None:
        self._path.append([self._point(*operands)])
        self._curved.append(False)

    def _to(self, operands: list[bytes]) -> None:
        self._path[-1].append(self._point(*operands))

    def _curve(self, operands: list[bytes]) -> None:
        points = [self._point(*operands[k : k + 2]) for k in range(0, len(operands), 2)]
        self._path[-1].extend(points)
        self._curved[-1] = True

    def _rectangle(self, operands: list[bytes]) -> None:
        x, y, width, height = map(float, operands)
        a, b, c, d, e, f = self._matrix
        corner = (x * a + y * c + e, x * b + y * d + f)
        opposite = ((x + width) * a + (y + height) * c + e, (x + width) * b + (y + height) * d + f)
        self._path.append([corner, opposite, corner])
        self._curved.append(False)

    def _end_path(self, operands: list[bytes]) -> None:
        self._path, self._curved = [], []

    def _stroke_path(self, operands: list[bytes]) -> None:
        width = self._width * abs(self._matrix[0] or self._matrix[1])
        for points, curved in zip(self._path, self._curved, strict=True):
            if len(points) == 2 and not curved:
                self.lines.append(Line(*points[0], *points[1], width, self._stroke))
            else:
                self.areas.append(drawn_area(points, curved, False, self._stroke, self._drawn()))
            if self._colour_stroke:
                self.coloured.append(around(points))
        self._path, self._curved = [], []

    def _drawn(self) -> tuple[int, int, int]:
        return len(self.runs), len(self.signs), len(self.lines)

    def _fill_path(self, operands: list[bytes]) -> None:
        for points, curved in zip(self._path, self._curved, strict=True):
            self.areas.append(drawn_area(points, curved, True, self._fill, self._drawn()))
            if self._colour_fill:
                self.coloured.append(around(points))
        self._path, self._curved = [], []

    def _form(self, operands: list[bytes]) -> None:
        form = _dictionary(self._resources.get("/XObject")).get(operands[0].decode("latin-1"))
        stream = form.get_object() if form is not None else None
        if not isinstance(stream, StreamObject) or stream.get("/Subtype") != "/Form":
            self.images.append(around([self._point(b"0", b"0"), self._point(b"1", b"1")]))
            return
        if self._depth >= _DEEPEST_FORM:
            return
        state = self._state()
        own = [float(number) for number in stream.get("/Matrix", (1, 0, 0, 1, 0, 0))]
        self._matrix = product((own[0], own[1], own[2], own[3], own[4], own[5]), self._matrix)
        self._depth += 1
        self.run(without_dots(stream.get_data()), _dictionary(stream.get("/Resources")))
        self._depth -= 1
        self._set(state)

    # --- text ---

    def _clip(self, operands: list[bytes]) -> None:
        self.odd.add("clipping")

    def _shade(self, operands: list[bytes]) -> None:
        self.odd.add("a shading")

    def _mark(self, operands: list[bytes]) -> None:
        if operands and operands[0] == b"/OC":
            self.odd.add("a layer")

    def _set_state(self, operands: list[bytes]) -> None:
        state = _dictionary(_dictionary(self._resources.get("/ExtGState")).get(operands[0].decode("latin-1")))
        faint = any(float(state.get(name, 1)) < 1 for name in ("/ca", "/CA"))
        if faint or state.get("/SMask", "/None") != "/None" or state.get("/BM", "/Normal") != "/Normal":
            self.odd.add("transparency")

    def _begin_text(self, operands: list[bytes]) -> None:
        self._line = self._place = self._matrix

    def _set_font(self, operands: list[bytes]) -> None:
        name = operands[0]
        if name not in self._fonts:
            fonts = _dictionary(self._resources.get("/Font"))
            self._fonts[name] = self._font_of(fonts.raw_get(name.decode("latin-1")))
        self._font, self._size = self._fonts[name], float(operands[1])

    def _set_place(self, operands: list[bytes]) -> None:
        a, b, c, d, e, f = map(float, operands)
        self._line = self._place = product((a, b, c, d, e, f), self._matrix)

    def _next(self, x: float, y: float) -> None:
        a, b, c, d, e, f = self._line
        self._line = self._place = (a, b, c, d, x * a + y * c + e, x * b + y * d + f)

    def _move_text(self, operands: list[bytes]) -> None:
        self._next(float(operands[0]), float(operands[1]))

    def _move_and_lead(self, operands: list[bytes]) -> None:
        self._lead = -float(operands[1])
        self._move_text(operands)

    def _next_line(self, operands: list[bytes]) -> None:
        self._next(0, -self._lead)

    def _set_lead(self, operands: list[bytes]) -> None:
        self._lead = float(operands[0])

    def _set_char_gap(self, operands: list[bytes]) -> None:
        self._char_gap = float(operands[0])

    def _set_word_gap(self, operands: list[bytes]) -> None:
        self._word_gap = float(operands[0])

    def _set_stretch(self, operands: list[bytes]) -> None:
        self._stretch = float(operands[0]) / 100

    def _set_rise(self, operands: list[bytes]) -> None:
        self._rise = float(operands[0])

    def _set_mode(self, operands: list[bytes]) -> None:
        self._hidden = int(float(operands[0])) in _HIDDEN_MODES

    def _show(self, operands: list[bytes]) -> None:
        self._draw(operands[-1] if operands else b"")

    def _next_and_show(self, operands: list[bytes]) -> None:
        self._next(0, -self._lead)
        self._draw(operands[-1] if operands else b"")

    def _space_and_show(self, operands: list[bytes]) -> None:
        self._word_gap, self._char_gap = float(operands[0]), float(operands[1])
        self._next_and_show(operands)

    def _draw(self, shown: bytes) -> None:
        font, size = self._font, self._size
        if font is None:
            return
        a, b, c, d, e, f = self._place
        scale = size / 1000 * self._stretch
        widths, unknown = font.widths, font.unknown_width
        spaced = self._char_gap or self._word_gap
        along = 0.0
        codes: list[int] = []
        starts: list[float] = []
        for plain, digits, number in PIECE.findall(shown):
            if number:
                step = -float(number)
                if codes and not _FARTHEST < step < _NEAREST:  # as from column to column
                    self._place = (a, b, c, d, e + along * a, f + along * b)
                    self._keep(font, codes, starts)
                    codes, starts = [], []
                along += step * scale
                continue
            text = bytes_of(plain, digits)
            for code in wide_codes(text) if font.wide else text:
                codes.append(code)
                starts.append(e + along * a)
                along += widths.get(code, unknown) * scale
                if spaced:
                    along += (self._char_gap + (self._word_gap if code == 32 and not font.wide else 0)) * self._stretch
        self._place = (a, b, c, d, e + along * a, f + along * b)
        if codes:
            self._keep(font, codes, starts)

    def _keep(self, font: Font, codes: list[int], starts: list[float]) -> None:
        """Add glyphs that end at the pen to the page, signs one by one, letters to the text they go on."""
        a, b, c, d, end, f = self._place
        size, y = self._size * abs(d or c), f + self._rise * d
        if self._hidden:
            self.unseen.append((starts[0], y))
            return
        if self._colour_fill:
            self.coloured.append(Box(starts[0], y - size, end, y))
        upright = a > 0 and d < 0 and abs(b) < 1e-6 and abs(c) < 1e-6
        if font.music:
            for code, start in zip(codes, starts, strict=True):
                self.signs.append(drawn_sign(font, size, start, y, self._fill, upright, code))
            return
        last = self.runs[-1] if self.runs else None
        if (
            last is not None
            and last[0] is font
            and abs(last[1] - size) < 1e-6
            and abs(last[4] - y) < 0.01
            and -_JOINS_BEFORE * size < starts[0] - last[3] < _JOINS_AFTER * size
            and last[5] == self._fill
        ):
            last[7] += codes
            last[8] += starts
            last[3] = end
        else:
            self.runs.append([font, size, starts[0], end, y, self._fill, upright, codes, starts])


_OPERATORS = {
    "q": "_save",
    "Q": "_restore",
    "cm": "_concat",
    "w": "_line_width",
    **dict.fromkeys(("g", "rg", "k", "sc", "scn"), "_fill_colour"),
    **dict.fromkeys(("G", "RG", "K", "SC", "SCN"), "_stroke_colour"),
    "m": "_move",
    "l": "_to",
    **dict.fromkeys(("c", "v", "y"), "_curve"),
    "re": "_rectangle",
    "n": "_end_path",
    **dict.fromkeys(("S", "s"), "_stroke_path"),
    **dict.fromkeys(("f", "F", "f*", "B", "B*", "b", "b*"), "_fill_path"),
    "Do": "_form",
    "BT": "_begin_text",
    "Tf": "_set_font",
    "Tm": "_set_place",
    "Td": "_move_text",
    "TD": "_move_and_lead",
    "T*": "_next_line",
    "TL": "_set_lead",
    "Tc": "_set_char_gap",
    "Tw": "_set_word_gap",
    "Tz": "_set_stretch",
    "Ts": "_set_rise",
    "Tr": "_set_mode",
    "Tj": "_show",
    "TJ": "_show",
    "'": "_next_and_show",
    '"': "_space_and_show",
    **dict.fromkeys(("W", "W*"), "_clip"),
    "sh": "_shade",
    "gs": "_set_state",
    "BDC": "_mark",
    **dict.fromkeys(
        (
            *("h", "J", "j", "M", "d", "ri", "i", "ET", "cs", "CS"),
            *("BMC", "EMC", "BX", "EX", "MP", "DP"),
        ),
        "_nothing",
    ),
}
