"""Plants faults in finished books: edits the operators of a page's content stream and writes the file anew.

In, Out:  the PDF of a book; a PDF with one thing wrong
Units:    points of 1/72 inch, y upwards, as in the stream
Source:   ISO 32000-1:2008, 9.4.2 (placing text) and 9.4.3 (showing it)
Not here: how the critic reads: nothing of it is used, so that both can't be wrong in the same way
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

from pypdf import PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    ByteStringObject,
    ContentStream,
    DictionaryObject,
    FloatObject,
    NameObject,
    StreamObject,
    TextStringObject,
)

ROW = 4.0  # points: what stands nearer than this in height is one row

Change = Callable[["Stream"], None]


@dataclass(frozen=True, slots=True)
class Show:
    """One operator that shows text: its number in the stream, where its line begins, its font, what it shows."""

    index: int
    x: float
    y: float
    family: str
    size: float
    codes: bytes
    names: tuple[str, ...]

    @property
    def text(self) -> str:
        """What it shows, for fonts coded like Latin text."""
        return self.codes.decode("cp1252", "replace")


@dataclass(frozen=True, slots=True)
class Drawn:
    """A bar, a band or a disc: its box in units of the stream, what draws it, which operators do."""

    x0: float
    y0: float
    x1: float
    y1: float
    operator: bytes
    spans: tuple[tuple[int, int], ...]

    @property
    def width(self) -> float:
        """How wide it is."""
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        """How high it is."""
        return self.y1 - self.y0


class Stream:
    """The operators of one content stream, with what its fonts call their glyphs."""

    def __init__(self, holder: DictionaryObject, content: ContentStream) -> None:
        self.operations: list[tuple[list[Any], bytes]] = list(content.operations)
        fonts = holder["/Resources"]["/Font"].get_object()
        self._fonts = {name: fonts[name].get_object() for name in fonts}
        self._kinds: dict[tuple[float, ...], bytes] = {}

    def shows(self) -> list[Show]:
        """All operators that show text, without those that also begin a line, row by row from the top."""
        found = []
        name, size, x, y, lead = "", 0.0, 0.0, 0.0, 0.0
        for index, (operands, operator) in enumerate(self.operations):
            if operator == b"Tf":
                name, size = str(operands[0]), float(operands[1])
            elif operator == b"Tm":
                x, y = float(operands[4]), float(operands[5])
            elif operator == b"Td":
                x, y = x + float(operands[0]), y + float(operands[1])
            elif operator == b"TL":
                lead = float(operands[0])
            elif operator in (b"T*", b"'"):
                y -= lead
            elif operator in (b"Tj", b"TJ"):
                codes = b"".join(map(_bytes, operands[0] if operator == b"TJ" else operands))
                font = self._fonts[name]
                names = tuple(map(_names(font).get, codes))
                found.append(Show(index, x, y, _family(font), size, codes, names))
        return sorted(found, key=lambda show: (-round(show.y / ROW), show.x))

    def sign(self, name: str, which: int = -1) -> Show:
        """One of the signs *name* of the music font, the last one unless *which* says another."""
        return [show for show in self.shows() if show.names == (name,)][which]

    def words(self, pattern: str, family: str = "") -> list[Show]:
        """Texts that match *pattern* whole."""
        return [
            show
            for show in self.shows()
            if "Emmentaler" not in show.family and family in show.family and re.fullmatch(pattern, show.text)
        ]

    def frets(self) -> list[Show]:
        """The digits of the tablature: bold, on ground wiped white."""
        bold = [show for show in self.words(r"\d{1,2}", "Heros-Bold") if self._on_white(show.index)]
        size = Counter(show.size for show in bold).most_common(1)[0][0]
        return [show for show in bold if show.size == size]

    def _on_white(self, index: int) -> bool:
        before = self.operations[max(0, index - 9) : index]
        white = {b"g": [1.0], b"rg": [1.0, 1.0, 1.0]}
        return any(list(map(float, operands)) == white[operator] for operands, operator in before if operator in white)

    def write(self, show: Show, text: str) -> None:
        """Show *text* instead."""
        self.operations[show.index] = ([ByteStringObject(text.encode("cp1252"))], b"Tj")

    def rename(self, show: Show, name: str) -> None:
        """Show the sign *name* of the same font instead."""
        font = next(
            font for font in self._fonts.values() if _family(font) == show.family and name in _names(font).values()
        )
        code = next(code for code, other in _names(font).items() if other == name)
        self.operations[show.index] = ([ByteStringObject(bytes([code]))], b"Tj")

    def erase(self, show: Show) -> None:
        """Show nothing instead."""
        self.operations[show.index] = ([ByteStringObject(b"")], b"Tj")

    def move(self, show: Show, x: float, y: float) -> None:
        """Show it elsewhere, and all that follows where it was."""
        there = ([FloatObject(x), FloatObject(y)], b"Td")
        back = ([FloatObject(-x), FloatObject(-y)], b"Td")
        self.operations[show.index : show.index + 1] = [there, self.operations[show.index], back]

    def copy(self, show: Show, x: float, y: float) -> None:
        """Show it a second time elsewhere."""
        there = ([FloatObject(x), FloatObject(y)], b"Td")
        back = ([FloatObject(-x), FloatObject(-y)], b"Td")
        shown = self.operations[show.index]
        self.operations[show.index : show.index + 1] = [there, shown, back, shown]

    def resize(self, show: Show, size: float) -> None:
        """Set it in type of *size* points, and all that follows as it was."""
        last = max(k for k in range(show.index) if self.operations[k][1] == b"Tf")
        name = self.operations[last][0][0]
        small = ([name, FloatObject(size)], b"Tf")
        self.operations[show.index : show.index + 1] = [
            small,
            self.operations[show.index],
            ([name, FloatObject(show.size)], b"Tf"),
        ]

    def colour(self, show: Show, grey: float) -> None:
        """Show it in a shade of grey, and all that follows in black."""
        shades = [([FloatObject(shade)], b"g") for shade in (grey, 0.0)]
        self.operations[show.index : show.index + 1] = [shades[0], self.operations[show.index], shades[1]]

    def upright_lines(self) -> list[int]:
        """The numbers of the operators that begin upright lines of music: under the neck map, over the log."""
        bottom, top = (bound(self._heights()) for bound in (min, max))
        found = []
        for index in range(len(self.operations) - 2):
            (start, move), (end, to), (_, paint) = self.operations[index : index + 3]
            if (move, to, paint) == (b"m", b"l", b"S") and start[0] == end[0]:
                low, high = sorted((float(start[1]), float(end[1])))
                if bottom - 5 < low and high < top + 5:
                    found.append(index)
        return found

    def stems(self) -> list[Drawn]:
        """What is drawn as a thin upright bar, from the left; each is painted twice, its edge and its ground."""
        return [one for one in self.drawn() if one.operator == b"re" and 1 < one.width < 4 and 60 < one.height < 260]

    def beams(self) -> list[Drawn]:
        """What is drawn as a band with four corners, from the left."""
        return [one for one in self.drawn() if one.operator == b"m" and 80 < one.width < 2500 and 5 < one.height < 150]

    def discs(self, least: float, most: float) -> list[Drawn]:
        """Round things under the tempo steps that are so wide, in units of the stream, from the left."""
        top = self._under_map()
        return [one for one in self.drawn() if one.operator == b"c" and least < one.width < most and one.y0 < top]

    def curves(self) -> list[Drawn]:
        """Slurs and ties: filled shapes between two curves."""
        return [one for one in self.drawn() if one.operator == b"y" and one.y0 < self._under_map()]

    def slanted(self) -> list[int]:
        """The numbers of the operators that begin short strokes under the neck map, as steep as wide."""
        return [index for index in self.slants(10, 60) if self._rise(index) > 10]

    def _rise(self, index: int) -> float:
        return abs(float(self.operations[index][0][1]) - float(self.operations[index + 1][0][1]))

    def slants(self, least: float, most: float) -> list[int]:
        """The numbers of the operators that begin slanted strokes so wide under the neck map."""
        found = []
        for index in range(len(self.operations) - 2):
            (start, move), (end, to), (_, paint) = self.operations[index : index + 3]
            if (move, to, paint) == (b"m", b"l", b"S") and float(start[1]) < self._under_map():
                width, rise = (abs(float(one) - float(other)) for one, other in zip(start, end, strict=True))
                found += [index] if least < width < most and 3 < rise < 300 else []
        return found

    def _under_map(self) -> float:
        return max(show.y for show in self.words(r"\d{2,3}", "Heros-Bold") if show.size > 11) * 10 - 450

    def shift(self, drawn: Drawn, x: float, y: float) -> None:
        """Draw it elsewhere."""
        for start, end in drawn.spans:
            for index in range(start, end):
                operands, operator = self.operations[index]
                if operator in (b"m", b"l", b"c"):
                    moved = [FloatObject(float(one) + (y if k % 2 else x)) for k, one in enumerate(operands)]
                    self.operations[index] = (moved, operator)

    def drawn(self) -> list[Drawn]:
        """Bars, bands and discs, from the left, in units of the stream; what is painted over each other is one."""
        found: dict[tuple[float, ...], list[tuple[int, int]]] = {}
        index = 0
        while index < len(self.operations):
            path = self._path(index)
            if path is None:
                index += 1
                continue
            end, box, operator = path
            key = next((old for old in found if all(abs(a - b) < 0.1 for a, b in zip(old, box, strict=True))), box)
            found.setdefault(key, []).append((index, end))
            self._kinds[key] = operator
            index = end
        return [Drawn(*key, self._kinds[key], tuple(spans)) for key, spans in sorted(found.items())]

    def _path(self, index: int) -> tuple[int, tuple[float, float, float, float], bytes] | None:
        """Where the path that begins at an operator ends, its box, what draws it; None for other kinds."""
        operands, operator = self.operations[index]
        if operator == b"re":
            x, y, width, height = map(float, operands)
            return index + 2, (x, y, x + width, y + height), operator
        names = [name for _, name in self.operations[index : index + 8]]
        if names[:6] == [b"m", b"l", b"c", b"c", b"c", b"c"]:
            corners = [[float(one) for one in operands[-2:]] for operands, _ in self.operations[index : index + 6]]
            xs, ys = zip(*corners, strict=True)
            return index + (8 if names[6] == b"h" else 7), (min(xs), min(ys), max(xs), max(ys)), b"c"
        if names[:6] == [b"m", b"c", b"l", b"c", b"h", b"S"] or names[:5] == [b"m", b"c", b"l", b"c", b"f"]:
            corners = [
                [float(one) for one in operands[k : k + 2]]
                for operands, _ in self.operations[index : index + 4]
                for k in range(0, len(operands), 2)
            ]
            xs, ys = zip(*corners, strict=True)
            end = index + (6 if names[4] == b"h" else 5)
            return end, (min(xs), min(ys), max(xs), max(ys)), b"y"
        if names[:5] != [b"m", b"l", b"l", b"l", b"h"]:
            return None
        points = [[float(number) for number in operands] for operands, _ in self.operations[index : index + 4]]
        xs, ys = zip(*points, strict=True)
        return index + 6, (min(xs), min(ys), max(xs), max(ys)), operator

    def undraw(self, drawn: Drawn) -> None:
        """Leave it out."""
        for start, end in reversed(drawn.spans):
            del self.operations[start:end]

    def draw_again(self, drawn: Drawn, y: float) -> None:
        """Draw it a second time, higher by *y* units of the stream."""
        start, end = drawn.spans[-1]
        there = ([FloatObject(number) for number in (1, 0, 0, 1, 0, y)], b"cm")
        self.operations[end:end] = [([], b"q"), there, *self.operations[start:end], ([], b"Q")]

    def is_inside(self, index: int) -> bool:
        """Whether a line stands away from both ends of its system."""
        return 1500 < float(self.operations[index][0][0]) < 5000

    def _heights(self) -> list[float]:
        """The heights of all lines as long as a system that stand closer together than rows of a table."""
        heights = sorted(float(self.operations[index][0][1]) for index in self.level_lines())
        return [height for pair in pairwise(heights) if pair[1] - pair[0] < 80 for height in pair]

    def level_lines(self) -> list[int]:
        """The numbers of the operators that begin the longest level lines, staff by staff as they are drawn."""
        found = []
        for index in range(len(self.operations) - 2):
            (start, move), (end, to), (_, paint) = self.operations[index : index + 3]
            if (move, to, paint) == (b"m", b"l", b"S") and start[1] == end[1] and abs(end[0] - start[0]) > 4000:
                found.append(index)
        return found


def planted(pdf: Path, target: Path, page: int, change: Change, layer: str = "page") -> Path:
    """Write *pdf* to *target* with one page changed, counted from 1; *layer* may be its `furniture`."""
    writer = PdfWriter(clone_from=PdfReader(pdf))
    holder = writer.pages[page - 1]
    if layer == "page":
        content = ContentStream(_whole(holder), writer)
        stream = Stream(holder, content)
        change(stream)
        content.operations = stream.operations
        holder[NameObject("/Contents")] = writer._add_object(content)
    else:
        forms = holder["/Resources"]["/XObject"].get_object()
        form = forms["/Furniture"].get_object()
        content = ContentStream(form, writer)
        stream = Stream(form, content)
        change(stream)
        content.operations = stream.operations
        form.set_data(content.get_data())
    writer.write(target)
    return target


def rewritten(pdf: Path, target: Path, change: Callable[[PdfWriter], None]) -> Path:
    """Write *pdf* to *target* with the file changed as a whole."""
    writer = PdfWriter(clone_from=PdfReader(pdf))
    change(writer)
    writer.write(target)
    return target


def _whole(page: DictionaryObject) -> StreamObject:
    parts = page["/Contents"].get_object()
    parts = parts if isinstance(parts, ArrayObject) else [parts]
    whole = StreamObject()
    whole.set_data(b"\n".join(part.get_object().get_data() for part in parts))
    return whole


def _bytes(operand: Any) -> bytes:
    if isinstance(operand, TextStringObject):
        return operand.original_bytes
    return bytes(operand) if isinstance(operand, bytes) else b""


def _family(font: DictionaryObject) -> str:
    return str(font["/BaseFont"]).partition("+")[2]


def _names(font: DictionaryObject) -> dict[int, str]:
    encoding = font.get("/Encoding")
    encoding = encoding.get_object() if encoding is not None else None
    names: dict[int, str] = {}
    if isinstance(encoding, DictionaryObject):
        code = 0
        for entry in encoding.get("/Differences", ()):
            if isinstance(entry, NameObject):
                names[code] = str(entry)[1:]
                code += 1
            else:
                code = int(entry)
    return names
