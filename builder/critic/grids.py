"""Chord diagrams over a system, read back as strings, frets and fingers.

Stage:    page critic
In, Out:  a `System` and the page's `Ink`; `Grid`s from the left
Units:    millimetres from the upper left corner
Not here: which diagrams a study has (`diagrams`)

A grid is a set of upright lines, the strings, between level lines, the frets. What stands on a string between two frets
is a finger; what stands over the first fret says that a string is open or not played.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from builder.critic.ink import Area, Box, Glyphs, Ink, Line
from builder.critic.staves import System

# Shares of the way from string to string; our own choice, with room on both sides of what the demo measures.
_SMALLEST, _LARGEST = 0.6, 1.3  # a finger's disc is as wide (measured 0.8 to 1)
_OPEN = 0.8  # the ring of an open string is narrower (measured 0.55)
_ON = 0.2  # a disc stands this near to its string and to the middle of its fret (measured 0.01)
_OVER = 1.4  # open and unplayed strings stand this near over the grid (measured 0.95)
_LABEL = 3.0  # the number of the first fret stands this near
_FLAT = 0.5  # a barre is less high
_INSIDE = 0.2  # and its round ends are drawn with a pen this wide
_LEVEL = 0.02
_DARK = 0.5
_FEWEST = 3  # strings of an instrument that has chords


@dataclass(frozen=True, slots=True)
class Dot:
    """A finger on a string, *row* counted from 1; *finger* is empty where none is named; *ring*: not a black disc."""

    string: int
    row: int
    finger: str
    ring: bool
    square: bool = False


@dataclass(frozen=True, slots=True)
class Grid:
    """A diagram; strings count from the right, barres are (low string, high string, row), *strays* fit nowhere."""

    x: float
    y: float
    strings: int
    rows: int
    first: int
    dots: frozenset[Dot]
    barres: frozenset[tuple[int, int, int]]
    open: frozenset[int]
    muted: frozenset[int]
    strays: int


@dataclass(frozen=True, slots=True)
class _Frame:
    """The lines of a grid."""

    xs: tuple[float, ...]
    top: float
    bottom: float
    row: float

    @property
    def gap(self) -> float:
        return (self.xs[-1] - self.xs[0]) / (len(self.xs) - 1)

    @property
    def rows(self) -> int:
        return round((self.bottom - self.top) / self.row)

    def string(self, x: float) -> tuple[int, float]:
        """The string nearest to *x*, counted from the right, and how far off it is as a share of the gap."""
        place = (self.xs[-1] - x) / self.gap
        return round(place) + 1, abs(place - round(place))

    def fret(self, y: float) -> tuple[int, float]:
        """The row in which *y* lies, and how far off its middle it is."""
        place = (y - self.top) / self.row + 0.5
        return round(place), abs(place - round(place))


def read_grids(system: System, ink: Ink) -> tuple[Grid, ...]:
    """Return the diagrams over a system."""
    lines = [line for line in ink.lines if system.above < max(line.y0, line.y1) < system.top]
    return tuple(_grid(frame, ink) for frame in sorted(_frames(lines), key=lambda frame: frame.xs[0]))


def _frames(lines: Sequence[Line]) -> list[_Frame]:
    upright: dict[tuple[float, float], list[float]] = defaultdict(list)
    for line in lines:
        if abs(line.x0 - line.x1) < _LEVEL and abs(line.y0 - line.y1) > 1:
            low, high = sorted((line.y0, line.y1))
            upright[round(low, 1), round(high, 1)].append(line.x0)
    found = []
    for (top, bottom), xs in upright.items():
        for strings in _runs(sorted(xs), bottom - top):
            levels = sorted(
                line.y0
                for line in lines
                if abs(line.y0 - line.y1) < _LEVEL
                and top - 0.15 < line.y0 < bottom + 0.15
                and abs(min(line.x0, line.x1) - strings[0]) < 0.15
                and abs(max(line.x0, line.x1) - strings[-1]) < 0.15
            )
            # A barre may be a line, too: halfway between two frets.
            row = max((after - before for before, after in pairwise(levels)), default=0.0)
            if row > 0 and bottom - top > 1.5 * row:
                found.append(_Frame(strings, top, bottom, row))
    return found


def _runs(xs: Sequence[float], height: float) -> list[tuple[float, ...]]:
    """Upright lines side by side, all the same way apart: several grids may stand in a row."""
    runs: list[list[float]] = []
    for x in xs:
        run = runs[-1] if runs else []
        if len(run) > 1:
            near = abs(x - run[-1] - (run[1] - run[0])) < 0.1
        else:
            near = bool(run) and 0.3 < x - run[-1] < height / 2
        if near:
            run.append(x)
        else:
            runs.append([x])
    return [tuple(run) for run in runs if len(run) >= _FEWEST]


def _grid(frame: _Frame, ink: Ink) -> Grid:
    gap = frame.gap
    around = Box(
        frame.xs[0] - _LABEL * gap, frame.top - _OVER * gap, frame.xs[-1] + gap, frame.bottom + _LARGEST * gap / 2
    )
    areas = [area for area in ink.areas if area.box.common(around)]
    texts = [text for text in ink.texts if text.box is not None and text.box.common(around)]
    discs = _discs(areas, gap)
    dots, strays = _dots(frame, discs, texts)
    opens, off = _marks(frame, [(one.middle, _height(one)) for one in discs if _height(one) < frame.top])
    muted, others = _marks(frame, _crosses(frame, ink))
    return Grid(
        frame.xs[0],
        frame.top,
        len(frame.xs),
        frame.rows,
        _first(frame, texts),
        frozenset(dots),
        frozenset(_barres(frame, areas, ink)),
        opens,
        muted,
        strays + off + others,
    )


def _height(box: Box) -> float:
    return (box.y0 + box.y1) / 2


def _discs(areas: Sequence[Area], gap: float) -> dict[Box, tuple[bool, bool]]:
    """Round and square things as high as they are wide: whether one is black, and whether it is square."""
    found: dict[tuple[float, float], tuple[Box, bool, bool]] = {}
    for area in areas:
        box = area.box
        if not 0.3 * gap < box.width < _LARGEST * gap or abs(box.width - box.height) > 0.1 * gap:
            continue
        if not (area.curved or not area.filled):
            continue
        place = round(box.middle, 1), round(_height(box), 1)
        known = found.get(place, (box, False, False))
        black = known[1] or (area.filled and area.grey < _DARK)
        wide = known[0] if known[0].width >= box.width else box
        found[place] = wide, black, known[2] or not area.curved
    return {box: (black, square) for box, black, square in found.values()}


def _dots(frame: _Frame, discs: dict[Box, tuple[bool, bool]], texts: Sequence[Glyphs]) -> tuple[list[Dot], int]:
    found = []
    strays = 0
    for box, (black, square) in discs.items():
        y = _height(box)
        if y < frame.top or box.width < _SMALLEST * frame.gap or box.middle < frame.xs[0] - frame.gap:
            continue
        (string, aside), (row, off) = frame.string(box.middle), frame.fret(y)
        strays += aside > _ON or off > _ON or not (1 <= string <= len(frame.xs) and 1 <= row <= frame.rows)
        named = [text.text.strip() for text in texts if _centred(text, box, frame.gap)]
        found.append(Dot(string, row, "".join(named), not black, square))
    return found, strays


def _centred(text: Glyphs, box: Box, gap: float) -> bool:
    own = text.ink_box
    return abs(own.middle - box.middle) < _ON * gap and abs(_height(own) - _height(box)) < _ON * gap


def _marks(frame: _Frame, places: Sequence[tuple[float, float]]) -> tuple[frozenset[int], int]:
    """The strings under places over the grid, and how many of these stand over none."""
    found, strays = set(), 0
    for x, y in places:
        string, off = frame.string(x)
        if not 0 < frame.top - y < _OVER * frame.gap or not 1 <= string <= len(frame.xs):
            continue
        strays += off > _ON or string in found
        found.add(string)
    return frozenset(found), strays


def _crosses(frame: _Frame, ink: Ink) -> list[tuple[float, float]]:
    """Where two slanted strokes cross."""
    slanted = [
        ((line.x0 + line.x1) / 2, (line.y0 + line.y1) / 2, (line.x1 - line.x0) * (line.y1 - line.y0) > 0)
        for line in ink.lines
        if abs(line.x0 - line.x1) > _LEVEL < abs(line.y0 - line.y1)
        and frame.top - _OVER * frame.gap < line.y0 < frame.top
        and frame.xs[0] - frame.gap < line.x0 < frame.xs[-1] + frame.gap
    ]
    return [
        (x, y)
        for x, y, falls in slanted
        if falls and any(abs(x - h) < 0.1 and abs(y - v) < 0.1 for h, v, down in slanted if not down)
    ]


def _barres(frame: _Frame, areas: Sequence[Area], ink: Ink) -> list[tuple[int, int, int]]:
    bands = [area.box for area in areas if area.filled and area.grey < _DARK]
    bands += [Box(min(line.x0, line.x1), line.y0, max(line.x0, line.x1), line.y0) for line in ink.lines if _level(line)]
    found = []
    for box in bands:
        row, off = frame.fret(_height(box))
        if box.height > _FLAT * frame.row or box.width < _INSIDE * frame.gap or off > _ON:
            continue
        low = round((box.x0 - frame.xs[0]) / frame.gap - _INSIDE / 2)
        high = round((box.x1 - frame.xs[0]) / frame.gap + _INSIDE / 2)
        if 0 <= low < high < len(frame.xs) and 1 <= row <= frame.rows:
            found.append((len(frame.xs) - low, len(frame.xs) - high, row))
    return found


def _level(line: Line) -> bool:
    return abs(line.y0 - line.y1) < _LEVEL


def _first(frame: _Frame, texts: Sequence[Glyphs]) -> int:
    """The fret of the first row: the number beside it, 1 where none stands."""
    for text in texts:
        box = text.ink_box
        beside = 0 < frame.xs[0] - box.x1 < _LABEL * frame.gap
        if beside and text.text.strip().isdigit() and frame.fret(_height(box))[0] == 1:
            return int(text.text)
    return 1
