"""The lines of a neck map: strings, frets, the nut, inlays, the band, the names and numbers beside them.

Stage:    page critic
In, Out:  `Ink`; a `Neck`, and what is wrong with its lines as `Finding`s
Units:    millimetres from the upper left corner
Source:   frets come nearer to each other by one share from fret to fret, as on the instrument; which frets have inlays
          and numbers: the book's own page of signs
Not here: the discs on it (`necks`)
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from builder.critic.asked import Asked
from builder.critic.expected import Expected
from builder.critic.finding import Finding
from builder.critic.ink import Box, Glyphs, Ink, Line
from builder.critic.places import StudyPage

_LEVEL = 0.1  # lines that begin together
_FEWEST = 3
_INLAYS = frozenset({3, 5, 7, 9, 12, 15, 17, 19, 21, 24})
_LETTERS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_SIGNS = {"accidentals.sharp": 1, "accidentals.flat": -1}
# Our own choice, with room on both sides of what the pages of the demo measure.
_UNEVEN = 0.06  # share by which the ways between frets, or between strings, differ from one to the next (measured 0.03)
_THICK = 2.5  # times as thick as a fret is the nut (measured 5)
_INLAY_MM = (1.35, 1.65)  # across
_OFF_MM = 0.25
_BESIDE_MM = 22.0  # names of strings stand this near to the nut
_ROW = 0.35  # of the way from string to string
_DROP = 2.2  # of that way from the last string to the numbers


@dataclass(frozen=True, slots=True)
class Neck:
    """The strings of a map from the top down, its frets from the left, and from where to where its strings run."""

    ys: tuple[float, ...]
    frets: tuple[float, ...]
    ends: tuple[float, float]

    @property
    def gap(self) -> float:
        """From string to string."""
        return (self.ys[-1] - self.ys[0]) / (len(self.ys) - 1)

    def string(self, y: float) -> tuple[int, float]:
        """The string nearest to *y*, and how far off it is as a share of the gap."""
        place = (y - self.ys[0]) / self.gap
        return round(place) + 1, abs(place - round(place))

    def space(self, x: float, turned: bool) -> int:
        """How many frets lie between *x* and the nut's end of the map."""
        return sum((fret > x) if turned else (fret < x) for fret in self.frets)


def find_neck(ink: Ink, strings: int, staves: Sequence[float]) -> Neck | None:
    """The widest set of as many lines as there are strings, crossed by frets; none of the *staves*, by their tops."""
    level: dict[tuple[float, float], set[float]] = defaultdict(set)
    upright: dict[tuple[float, float], set[float]] = defaultdict(set)
    for line in ink.lines:
        if abs(line.y0 - line.y1) < 0.02 and line.width < 1:
            level[_ends(line.x0, line.x1)].add(round(line.y0, 2))
        elif abs(line.x0 - line.x1) < 0.02:
            upright[_ends(line.y0, line.y1)].add(round(line.x0, 2))
    best: Neck | None = None
    for (left, right), heights in level.items():
        ys = tuple(sorted(heights))
        if len(ys) != strings or strings < 2 or any(abs(top - ys[0]) < _LEVEL for top in staves):
            continue
        xs = {
            x
            for (top, bottom), places in upright.items()
            if abs(top - ys[0]) < _LEVEL and abs(bottom - ys[-1]) < _LEVEL
            for x in places
            if left - 0.2 < x < right + 0.2
        }
        wide = best is None or right - left > best.ends[1] - best.ends[0]
        if len(xs) >= _FEWEST and right - left > 2 * (ys[-1] - ys[0]) / len(ys) and wide:
            best = Neck(ys, tuple(sorted(xs)), (left, right))
    return best


def _ends(one: float, other: float) -> tuple[float, float]:
    return round(min(one, other), 1), round(max(one, other), 1)


def line_findings(wanted: Expected, first: StudyPage, neck: Neck, frets: int | None, asked: Asked) -> Iterator[Finding]:
    """Return what is wrong with the lines of a map; *frets* lie between the nut and its first line."""
    here = neck.ends[0], neck.ys[0]

    def fault(message: str) -> Finding:
        return Finding(first.number, here, "neck", message)

    if _uneven([after - before for before, after in pairwise(neck.ys)]):
        yield fault("the strings of the map do not lie equally far apart")
    whole = abs(neck.frets[0] - neck.ends[0]) < 0.2 and abs(neck.frets[-1] - neck.ends[1]) < 0.2
    if not whole or _uneven([after - before for before, after in pairwise(neck.frets)]):
        yield fault("a fret of the map is missing, or out of its place")
    if frets is None:
        return
    shown = range(frets + 1, frets + len(neck.frets))
    spaces = dict(zip(shown, _spaces(neck, asked.left_handed), strict=True))
    if not _nut_is_right(neck, first.ink.lines, frets, asked.left_handed):
        yield fault("the nut of the map is missing, or no nut belongs there")
    used = {fret for _, places in wanted.fretted for _, fret in places if fret}
    for fret in sorted((used | _INLAYS) & {*shown}):
        if not _numbered(neck, spaces[fret], fret, first.ink.texts):
            yield fault(f"the number {fret} does not stand under its fret of the map")
    if not _inlays_are_right(neck, spaces, first.ink, asked.low_ink):
        yield fault("the inlays of the map are not those of its frets")
    if used and not asked.low_ink and not _band_is_right(neck, spaces, used & {*shown}, first.ink):
        yield fault("the band of the map does not lie under the frets of the study")
    yield from _string_names(wanted, first, neck, asked)


def _uneven(ways: Sequence[float]) -> bool:
    return any(abs(after / before - 1) > _UNEVEN for before, after in pairwise(ways))


def _spaces(neck: Neck, turned: bool) -> list[tuple[float, float]]:
    """From where to where each fret goes, from the nut's end of the map on."""
    found = list(pairwise(neck.frets))
    return found[::-1] if turned else found


def _nut_is_right(neck: Neck, lines: Sequence[Line], frets: int, turned: bool) -> bool:
    """A thick line at the nut where the map begins there, and no other."""
    across = {
        round(line.x0, 1): line.width
        for line in lines
        if abs(line.x0 - line.x1) < 0.02 and abs(min(line.y0, line.y1) - neck.ys[0]) < _LEVEL
    }
    widths = [across.get(round(x, 1), 0.0) for x in neck.frets]
    usual = sorted(widths)[len(widths) // 2]
    thick = {number for number, width in enumerate(widths) if width > _THICK * usual}
    nut = len(widths) - 1 if turned else 0
    return thick == ({nut} if frets == 0 else set())


def _numbered(neck: Neck, space: tuple[float, float], fret: int, texts: Sequence[Glyphs]) -> bool:
    middle = sum(space) / 2
    return any(
        text.text.strip() == str(fret)
        and abs(text.ink_box.middle - middle) < 2 * _OFF_MM
        and 0 < text.y - neck.ys[-1] < _DROP * neck.gap
        for text in texts
    )


def _inlays_are_right(neck: Neck, spaces: dict[int, tuple[float, float]], ink: Ink, rings: bool) -> bool:
    """One dot in the middle of the fret, two at the octave, and none elsewhere."""
    low, high = _INLAY_MM
    met = {
        (round(box.middle / _OFF_MM), round((box.y0 + box.y1) / 2 / _OFF_MM)): box
        for box in (area.box for area in ink.areas if area.curved and (rings or area.filled))
        if low < box.width < high
        and abs(box.width - box.height) < _LEVEL
        and neck.ys[0] < box.y0 < neck.ys[-1]
        and neck.ends[0] < box.middle < neck.ends[1]
    }
    read = [(box.middle, (box.y0 + box.y1) / 2) for box in met.values()]
    height = neck.ys[-1] - neck.ys[0]
    meant = [
        (sum(space) / 2, neck.ys[0] + share * height)
        for fret, space in spaces.items()
        if fret in _INLAYS
        for share in ((0.5,) if fret % 12 else (0.3, 0.7))
    ]
    near = [any(abs(x - h) < _OFF_MM and abs(y - v) < _OFF_MM for h, v in read) for x, y in meant]
    return all(near) and len(read) == len(meant)


def _band_is_right(neck: Neck, spaces: dict[int, tuple[float, float]], used: set[int], ink: Ink) -> bool:
    if not used:
        return True
    edges = [x for fret in (min(used), max(used)) for x in spaces[fret]]
    left, right = min(edges), max(edges)
    grounds = [area.box for area in ink.areas if area.filled and not area.curved]
    grounds += [_thick(line) for line in ink.lines if line.width > neck.gap]
    return any(
        abs(box.x0 - left) < _OFF_MM and abs(box.x1 - right) < _OFF_MM and box.y0 < neck.ys[0] and box.y1 > neck.ys[-1]
        for box in grounds
    )


def _thick(line: Line) -> Box:
    """What a thick line with square ends covers."""
    half = line.width / 2
    around = line.around
    if abs(line.y0 - line.y1) < _LEVEL:
        return Box(around.x0 + half, around.y0, around.x1 - half, around.y1)
    return Box(around.x0, around.y0 + half, around.x1, around.y1 - half)


def _string_names(wanted: Expected, first: StudyPage, neck: Neck, asked: Asked) -> Iterator[Finding]:
    """A name stands before each string, beyond the discs of open ones."""
    nut = neck.ends[1] if asked.left_handed else neck.ends[0]
    way = 1 if asked.left_handed else -1
    rounds = [area.box for area in first.ink.areas if area.curved and area.box.width > neck.gap / 2]
    for string, y in enumerate(neck.ys, 1):
        near = [
            text
            for text in first.ink.texts
            if text.box is not None
            and 0 < way * (text.box.middle - nut) < _BESIDE_MM
            and abs((text.box.y0 + text.box.y1) / 2 - y) < _ROW * neck.gap
            and not any(box.common(text.box) for box in rounds)
        ]
        if not near:
            yield Finding(first.number, (nut, y), "neck", f"no name stands before string {string} of the map")
            continue
        name = near[0].text.strip()
        if len(near) != 1 or name not in _LETTERS or asked.german:
            continue  # other customs have other names
        signs = sum(
            _SIGNS[sign.sign]
            for sign in first.ink.signs
            if sign.sign in _SIGNS and 0 < sign.x - near[0].x < neck.gap and abs(sign.y - y) < neck.gap / 2
        )
        if string <= len(wanted.opens) and (_LETTERS[name] + signs - wanted.opens[string - 1]) % 12:
            yield Finding(first.number, (near[0].x, y), "neck", f"{name} stands before string {string} of the map")
