"""An SVG file as a drawing of outlines; whatever else it may hold is refused, by name and line.

Stage:    1 read
In, Out:  the bytes of a file; a `Drawing`, or Unreadable
Source:   Scalable Vector Graphics 1.1 (W3C, 2011): 7 (transforms), 9 (shapes), 11 (painting); limits are our own
          choice: far more than a logo needs, far less than what would slow a build down
Not here: colours and lines (`svg_paint`), which file it is (`logo`)

Nothing is fetched and nothing is run: the reader knows shapes and groups of them, no more. A document that declares
entities is refused before any is expanded.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any
from xml.parsers import expat

from builder.fields import Unreadable
from builder.spec.drawing import IDENTITY, Drawing, Matrix, Outline, Step
from builder.spec.svg_paint import Inherited, class_rules, painted

_SVG = "http://www.w3.org/2000/svg"
_MOST_SHAPES, _MOST_STEPS, _DEEPEST = 2_000, 50_000, 60
_LONGEST_PATH, _LONGEST_VALUE = 100_000, 1_000  # in letters: longer ones take too long to take apart
_LARGEST, _SMALLEST = 1e6, 1e-3  # of numbers, in units of the drawing
_FLATTEST = 20  # times as wide as high or the other way round
_ASIDE = ("title", "desc", "metadata", "defs")  # not drawn by themselves
_PLAIN = "save it as plain SVG, with text turned into outlines and without effects"
_NUMBER = r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?"
_NUMBERS = re.compile(_NUMBER)
_LENGTH = re.compile(rf"({_NUMBER})(px|pt|pc|mm|cm|in)?")
_UNITS = {"": 1, "px": 1, "pt": 4 / 3, "pc": 16, "mm": 96 / 25.4, "cm": 96 / 2.54, "in": 96}
_TRANSFORM = re.compile(r"\s*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)\s*,?")
_PATH = re.compile(r"[\s,MmZzLlHhVvCcSsQqTtAa0-9eE+.-]*")


class _Wrong(Exception):
    """What the file holds and a drawing can't."""


def read_svg(raw: bytes) -> Drawing:
    """Return what *raw* draws; raise Unreadable, with the line, where it holds anything but plain shapes."""
    reader = _Reader()
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler, parser.EndElementHandler = reader.start, reader.end
    parser.CharacterDataHandler, parser.EntityDeclHandler = reader.text, _no_entities
    parser.ProcessingInstructionHandler = _no_instructions
    try:
        parser.Parse(raw, True)
        return reader.drawing()
    except _Wrong as wrong:
        line = parser.CurrentLineNumber
        raise Unreadable("an SVG of plain shapes", _PLAIN, f"{wrong} (line {line} of the file)") from None
    except (expat.ExpatError, ValueError, LookupError) as error:
        line = parser.CurrentLineNumber
        raise Unreadable("an SVG file", _PLAIN, f"what is no sound XML (line {line} of the file)") from error


def _no_entities(name: str, *more: Any) -> None:
    raise _Wrong(f"the entity '{name[:40]}'")


def _no_instructions(target: str, data: str) -> None:
    raise _Wrong(f"the instruction '{target[:40]}'")


@dataclass
class _Reader:
    """What was met so far; *aside* counts the elements around this one that are not drawn."""

    box: tuple[float, float, float, float] | None = None
    outlines: list[Outline] = field(default_factory=list)
    steps: int = 0
    aside: int = 0
    style: list[str] | None = None
    rules: dict[str, dict[str, str]] = field(default_factory=dict)
    around: list[tuple[Matrix, Inherited]] = field(default_factory=lambda: [(IDENTITY, Inherited())])

    def start(self, tag: str, attributes: Mapping[str, str]) -> None:
        space, _, name = tag.rpartition(" ")
        if len(self.around) > _DEEPEST:
            raise _Wrong("elements inside each other more than 60 deep")
        if name == "script":
            raise _Wrong("the element 'script'")
        matrix, inherited = self.around[-1]
        if self.aside or (space != _SVG and self.box) or (name in _ASIDE and self.box):
            self.aside += 1
            self.style = [] if name == "style" and space == _SVG else self.style
        elif name == "style" and self.box:
            self.aside, self.style = 1, []
        elif not self.box:
            self._begin(space, name, attributes)
            matrix, inherited = self._met(attributes, matrix, inherited)
        elif name == "g" or name in _SHAPES:
            matrix, inherited = self._met(attributes, matrix, inherited)
            if name != "g":
                self._draw(name, attributes, matrix, inherited)
        else:
            raise _Wrong(f"the element '{name[:40]}'")
        self.around.append((matrix, inherited))

    def end(self, tag: str) -> None:
        self.around.pop()
        self.aside = max(0, self.aside - 1)
        if self.style is not None and tag.endswith(" style"):
            self.rules |= _readable(class_rules, "".join(self.style))
            self.style = None

    def text(self, text: str) -> None:
        if self.style is not None:
            self.style.append(text)

    def drawing(self) -> Drawing:
        if not self.box or not self.outlines:
            raise _Wrong("nothing that is drawn")
        return Drawing(*self.box, tuple(self.outlines))

    def _begin(self, space: str, name: str, attributes: Mapping[str, str]) -> None:
        if name != "svg" or space != _SVG:
            raise _Wrong(f"the element '{name[:40]}' in place of 'svg'")
        if "viewBox" in attributes:
            box = _numbers(attributes["viewBox"])
        else:
            box = [0, 0, *(_length(attributes.get(side, "")) for side in ("width", "height"))]
        if len(box) != 4 or not all(_SMALLEST <= side <= _LARGEST for side in box[2:]):
            raise _Wrong("no width and height that can be printed ('viewBox')")
        if max(box[2:]) > _FLATTEST * min(box[2:]):
            raise _Wrong(f"a drawing more than {_FLATTEST} times as long in one direction as in the other")
        self.box = (box[0], box[1], box[2], box[3])

    def _met(self, attributes: Mapping[str, str], matrix: Matrix, inherited: Inherited) -> tuple[Matrix, Inherited]:
        """Where and how the shapes of an element are drawn; raise _Wrong at an attribute that asks for more."""
        for name in attributes:
            local = name.rpartition(" ")[2].lower()
            if local == "href" or local.startswith("on"):
                raise _Wrong(f"the attribute '{local[:40]}'")
        own = _transform(attributes.get("transform", ""))
        here = _times(own, matrix)
        if not all(abs(number) <= _LARGEST for number in here):
            raise _Wrong("transforms that lead more than a million away")
        return here, _readable(inherited.with_own, attributes, self.rules)

    def _draw(self, name: str, attributes: Mapping[str, str], matrix: Matrix, inherited: Inherited) -> None:
        fill, stroke = _readable(painted, inherited)
        path = _SHAPES[name](attributes)
        if (fill is None and stroke is None) or not path.strip() or abs(_determinant(matrix)) < 1e-12:
            return
        steps = _steps(path)
        self.steps += len(steps)
        if len(self.outlines) >= _MOST_SHAPES or self.steps > _MOST_STEPS:
            raise _Wrong(f"more than {_MOST_SHAPES} shapes or {_MOST_STEPS} points")
        self.outlines.append(Outline(steps, matrix, fill, inherited.even_odd, stroke))


def _readable(read: Any, *values: Any) -> Any:
    """What *read* makes of *values*; what it can't do is told as the file's fault."""
    try:
        return read(*values)
    except Unreadable as wrong:
        raise _Wrong(wrong.found) from None


def _numbers(text: str) -> list[float]:
    if len(text) > _LONGEST_PATH or _NUMBERS.sub(" ", text).replace(",", " ").strip():
        raise _Wrong(f"'{text[:40]}' in place of numbers")
    found = [float(number) for number in _NUMBERS.findall(text)]
    if not all(abs(number) <= _LARGEST for number in found):
        raise _Wrong("a number larger than a million")
    return found


def _length(text: str) -> float:
    found = _LENGTH.fullmatch(text[:_LONGEST_VALUE].strip())
    if not found:
        raise _Wrong(f"'{text[:40]}' in place of a length")
    return _numbers(found[1])[0] * _UNITS[found[2] or ""]


def _transform(text: str) -> Matrix:
    matrix, at = IDENTITY, 0
    text = text.rstrip()
    if len(text) > _LONGEST_VALUE:
        raise _Wrong("a transform that is too long")
    while at < len(text):
        found = _TRANSFORM.match(text, at)
        if not found:
            raise _Wrong(f"the transform '{text[:40]}'")
        matrix, at = _times(_one_transform(found[1], _numbers(found[2])), matrix), found.end()
    return matrix


def _one_transform(kind: str, n: list[float]) -> Matrix:
    match kind, len(n):
        case "matrix", 6:
            return (n[0], n[1], n[2], n[3], n[4], n[5])
        case "translate", 1 | 2:
            return (1, 0, 0, 1, n[0], n[1] if len(n) > 1 else 0)
        case "scale", 1 | 2:
            return (n[0], 0, 0, n[-1], 0, 0)
        case "rotate", 1 | 3:
            x, y = n[1:] or (0.0, 0.0)
            c, s = math.cos(math.radians(n[0])), math.sin(math.radians(n[0]))
            return (c, s, -s, c, x - c * x + s * y, y - s * x - c * y)
        case "skewX", 1:
            return (1, 0, math.tan(math.radians(n[0])), 1, 0, 0)
        case "skewY", 1:
            return (1, math.tan(math.radians(n[0])), 0, 1, 0, 0)
    raise _Wrong(f"the transform '{kind}' with {len(n)} numbers")


def _times(own: Matrix, outer: Matrix) -> Matrix:
    """*own* first, then *outer*."""
    a, b, c, d, e, f = own
    p, q, r, s, t, u = outer
    return (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)


def _determinant(matrix: Matrix) -> float:
    return matrix[0] * matrix[3] - matrix[1] * matrix[2]


def _steps(path: str) -> tuple[Step, ...]:
    from fontTools.pens.recordingPen import RecordingPen  # type: ignore[import-untyped]
    from fontTools.svgLib.path import parse_path  # type: ignore[import-untyped]

    if len(path) > _LONGEST_PATH:
        raise _Wrong(f"a path of more than {_LONGEST_PATH} letters")
    if not _PATH.fullmatch(path):
        raise _Wrong(f"the path '{path.strip()[:40]}'")
    pen = RecordingPen()
    try:
        parse_path(re.sub(r"\s+", " ", path), pen)
        made = tuple(_as_steps(pen.value))
    except (ValueError, ArithmeticError, TypeError, AssertionError):
        raise _Wrong(f"the path '{path.strip()[:40]}'") from None
    if any(not abs(number) <= _LARGEST for step in made for point in step.points for number in point):
        raise _Wrong("a number larger than a million")
    return made


def _as_steps(recorded: list[tuple[str, Any]]) -> Iterator[Step]:
    kinds = {"moveTo": "m", "lineTo": "l", "curveTo": "c", "closePath": "h"}
    x, y = 0.0, 0.0
    for name, points in recorded:
        if name == "qCurveTo":  # a curve with one point in the middle is one with two, each two thirds of the way there
            (mid_x, mid_y), (to_x, to_y) = points
            points = (
                (x + (mid_x - x) * 2 / 3, y + (mid_y - y) * 2 / 3),
                (to_x + (mid_x - to_x) * 2 / 3, to_y + (mid_y - to_y) * 2 / 3),
                (to_x, to_y),
            )
        if name != "endPath":
            yield Step(kinds.get(name, "c"), tuple(points))
        x, y = points[-1] if points else (x, y)


# --- shapes as paths --------------------------------------------------------------------------------------------------


def _of(attributes: Mapping[str, str], *names: str) -> list[float]:
    return [_length(attributes.get(name, "0")) for name in names]


def _rect(attributes: Mapping[str, str]) -> str:
    x, y, w, h = _of(attributes, "x", "y", "width", "height")
    rx, ry = (attributes.get(name, "auto") for name in ("rx", "ry"))
    both = (rx if rx != "auto" else ry, ry if ry != "auto" else rx)
    a, b = (0.0 if text == "auto" else _length(text) for text in both)
    a, b = min(a, w / 2), min(b, h / 2)
    if w <= 0 or h <= 0:
        return ""
    if a <= 0 or b <= 0:
        return f"M{x} {y}h{w}v{h}h{-w}z"
    corner = f"a{a} {b} 0 0 1 "
    return (
        f"M{x + a} {y}h{w - 2 * a}{corner}{a} {b}v{h - 2 * b}{corner}{-a} {b}"
        f"h{2 * a - w}{corner}{-a} {-b}v{2 * b - h}{corner}{a} {-b}z"
    )


def _round(x: float, y: float, a: float, b: float) -> str:
    half = f"a{a} {b} 0 1 1 "
    return f"M{x - a} {y}{half}{2 * a} 0{half}{-2 * a} 0z" if a > 0 and b > 0 else ""


def _circle(attributes: Mapping[str, str]) -> str:
    x, y, r = _of(attributes, "cx", "cy", "r")
    return _round(x, y, r, r)


def _ellipse(attributes: Mapping[str, str]) -> str:
    x, y, a, b = _of(attributes, "cx", "cy", "rx", "ry")
    return _round(x, y, a, b)


def _line(attributes: Mapping[str, str]) -> str:
    x, y, to_x, to_y = _of(attributes, "x1", "y1", "x2", "y2")
    return f"M{x} {y}L{to_x} {to_y}"


def _polyline(attributes: Mapping[str, str]) -> str:
    points = _numbers(attributes.get("points", ""))
    if len(points) % 2:
        raise _Wrong("an odd number of numbers in 'points'")
    return f"M{' '.join(map(str, points))}" if points else ""


def _polygon(attributes: Mapping[str, str]) -> str:
    return line + "z" if (line := _polyline(attributes)) else ""


def _path(attributes: Mapping[str, str]) -> str:
    return attributes.get("d", "")


_SHAPES = {
    "rect": _rect,
    "circle": _circle,
    "ellipse": _ellipse,
    "line": _line,
    "polyline": _polyline,
    "polygon": _polygon,
    "path": _path,
}
