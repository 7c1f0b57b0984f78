"""What a PDF's page shows, as a drawing where it is made of plain outlines, else as dots.

Stage:    5 engrave (in)
In, Out:  a PDF of one page that holds nothing but what is drawn; a `Drawing`, or the bytes of a grey PNG
Source:   ISO 32000-1, annex A (operators); 700 dots across are 300 to an inch on the widest logo (our own choice)
Not here: what of a PDF may be drawn (`spec.pdf_page`)

Ghostscript, which may open no other file, writes the page anew in grey, its text as outlines. Of that only the few
operators are read that draw plain outlines; a page that needs more, as shades or pictures do, becomes dots.
"""

from __future__ import annotations

import io
import subprocess
import tempfile
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

from builder.engraving.engine import find_lilypond
from builder.errors import MachineError
from builder.spec.drawing import Drawing, Matrix, Outline, Step, Stroke

_LIMIT_S, _MOST_OUTLINES, _MOST_BYTES, _DOTS = 30, 4_000, 2_000_000, 700
_SAFE = ("-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-dNOPROMPT", "-dPDFSTOPONERROR")
_AS_GREY = (
    "-sColorConversionStrategy=Gray",
    "-dProcessColorModel=/DeviceGray",
    "-dCompatibilityLevel=1.4",
    "-dUseFastColor=true",
)
_OUTLINES = ("-sDEVICE=pdfwrite", "-dNoOutputFonts", "-dAutoRotatePages=/None", *_AS_GREY)
_SMOOTH = ("-sDEVICE=pnggray", "-dTextAlphaBits=4", "-dGraphicsAlphaBits=4")


class Undrawable(Exception):
    """Ghostscript can't draw the page, or not in time."""


class _NotPlain(Exception):
    """The page asks for more than outlines."""


@lru_cache(maxsize=4)
def shown_on(page: bytes, ratio: float) -> Drawing | bytes:
    """What *page*, *ratio* times as wide as high, shows; raise Undrawable where that can't be told."""
    written = _ghostscript(page, _OUTLINES)
    try:
        return _drawing(written)
    except _NotPlain:
        return _ghostscript(page, (*_SMOOTH, _dots(ratio), "-dPDFFitPage", "-dUseFastColor=true"))


@lru_cache(maxsize=4)
def dots_of(text: str, ratio: float) -> bytes:
    """What PostScript *text* of ours draws in the unit square, *ratio* times as wide as high, as a grey PNG."""
    page = f"%!PS\n{_DOTS} {_high(ratio)} scale\n{text}\nshowpage\n"
    return _ghostscript(page.encode(), (*_SMOOTH, _dots(ratio), "-r72"))


def _high(ratio: float) -> int:
    return max(1, round(_DOTS / ratio))


def _dots(ratio: float) -> str:
    return f"-g{_DOTS}x{_high(ratio)}"


def _ghostscript(page: bytes, how: Sequence[str]) -> bytes:
    with tempfile.TemporaryDirectory(prefix="etudebook-logo-") as name:
        (Path(name) / "in").write_bytes(page)
        command = [str(find_lilypond().ghostscript), *_SAFE, *how, "-sOutputFile=out", "in"]
        try:
            done = subprocess.run(command, cwd=name, capture_output=True, stdin=subprocess.DEVNULL, timeout=_LIMIT_S)
            if done.returncode == 0:
                return (Path(name) / "out").read_bytes()
        except subprocess.TimeoutExpired as error:
            raise Undrawable from error
        except OSError as error:
            raise MachineError("Ghostscript can't be run on the logo", "is there room for temporary files?") from error
    raise Undrawable


def _drawing(written: bytes) -> Drawing:
    from pypdf import PdfReader
    from pypdf.generic import ContentStream

    if len(written) > _MOST_BYTES:
        raise _NotPlain
    reader = PdfReader(io.BytesIO(written))
    page, box = reader.pages[0], reader.pages[0].mediabox
    if page.get("/Rotate", 0):
        raise _NotPlain
    pen = _Pen((1, 0, 0, -1, -float(box.left), float(box.top)))
    contents = page.get_contents()
    for operands, operator in ContentStream(contents, reader).operations if contents is not None else ():
        pen.do(operator.decode("latin-1"), operands)
    if not pen.outlines:
        raise _NotPlain
    return Drawing(0, 0, float(box.width), float(box.height), tuple(pen.outlines))


class _Pen:
    """The state of a page's graphics while its operators are read."""

    def __init__(self, matrix: Matrix) -> None:
        self.outlines: list[Outline] = []
        self._steps: list[Step] = []
        self._now: dict[str, Any] = {
            **{"matrix": matrix, "fill": 0.0, "grey": 0.0, "width": 1.0, "cap": 0, "join": 0, "miter": 10.0},
            **{"dash": (), "dash_from": 0.0},
        }
        self._kept: list[dict[str, Any]] = []

    def do(self, operator: str, operands: Sequence[Any]) -> None:
        """Read one operator; raise _NotPlain at one that draws anything but a plain outline."""
        if operator in _PAINTS:
            self._paint(*_PAINTS[operator])
        elif operator in _STATE:
            self._now[_STATE[operator]] = float(operands[0]) if operator not in "Jj" else int(operands[0])
        elif operator in "mlcvyh":
            self._step(operator, tuple(zip(*[iter(map(float, operands))] * 2, strict=True)))
        elif operator == "re":
            self._steps += _rectangle(*map(float, operands))
        elif operator == "d":
            self._now |= {"dash": tuple(map(float, operands[0])), "dash_from": float(operands[1])}
        elif operator == "q":
            self._kept.append(dict(self._now))
        elif operator == "Q":
            self._now = self._kept.pop()
        elif operator == "cm":
            self._now["matrix"] = _times(operands, self._now["matrix"])
        elif operator not in _NOTHING:
            raise _NotPlain

    def _step(self, operator: str, points: tuple[tuple[float, float], ...]) -> None:
        """A curve that names two points begins (`v`) or ends (`y`) without a bend of its own."""
        if operator == "v":
            points = (self._steps[-1].points[-1], *points)
        elif operator == "y":
            points = (*points, points[-1])
        self._steps.append(Step("c" if operator in "vy" else operator, points))

    def _paint(self, filled: bool, drawn: bool, even_odd: bool, closed: bool) -> None:
        now, steps = self._now, [*self._steps, *([Step("h")] if closed else [])]
        self._steps = []
        stroke = None
        if drawn:
            names = ("grey", "width", "cap", "join", "miter", "dash", "dash_from")
            stroke = Stroke(*(now[name] for name in names))
        if steps:
            self.outlines.append(
                Outline(tuple(steps), now["matrix"], now["fill"] if filled else None, even_odd, stroke)
            )
        if len(self.outlines) > _MOST_OUTLINES:
            raise _NotPlain


# Filled, drawn, leaving out what is enclosed twice, closed first.
_PAINTS = {
    "f": (True, False, False, False), "F": (True, False, False, False), "f*": (True, False, True, False),
    "S": (False, True, False, False), "s": (False, True, False, True),
    "B": (True, True, False, False), "B*": (True, True, True, False),
    "b": (True, True, False, True), "b*": (True, True, True, True),
}  # fmt: skip
_STATE = {"g": "fill", "G": "grey", "w": "width", "J": "cap", "j": "join", "M": "miter"}
_NOTHING = ("i", "ri", "BMC", "EMC", "MP")  # what changes nothing that is seen


def _rectangle(x: float, y: float, wide: float, high: float) -> list[Step]:
    corners = ((x + wide, y), (x + wide, y + high), (x, y + high))
    return [Step("m", ((x, y),)), *(Step("l", (corner,)) for corner in corners), Step("h")]


def _times(operands: Sequence[Any], outer: Matrix) -> Matrix:
    a, b, c, d, e, f = map(float, operands)
    p, q, r, s, t, u = outer
    return (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)
