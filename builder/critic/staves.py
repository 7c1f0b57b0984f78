"""Where staves and tablatures stand on a page, and how they make systems.

Stage:    page critic
In, Out:  `Ink`; `System`s from the top down
Units:    millimetres, y downwards
Not here: reading what stands on them (`music`)

A clef tells what a group of lines is: neck maps, tables and diagrams are lines too, but have none.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from builder.critic.ink import Glyphs, Ink, Line

_LEVEL = 0.02  # how far the ends of a level line may differ, and lines that begin or end together; a PDF rounds finer
_SHORTEST = 15.0  # a staff is longer; our own choice: leger lines and table rules of a column are shorter
_SAME_GAP = 0.04  # share by which gaps of one staff may differ
_OWN_SHARE = 0.2  # of the way to the next staff: names stand no farther over that one; our own choice
_HANGS_SHARE = 0.45  # of that way: notes and fingers hang less far under a staff alone
_CLEF_REACH = 8.0  # a clef stands at most this far from the left end of its lines
_NEAREST_TAB = 45.0  # staff and tablature of one system are closer than this

_UNDER_TAB = 0.75  # gaps: the base line of a figure on the last string, which in large print is half a gap under it


@dataclass(frozen=True, slots=True)
class Staff:
    """Lines with their clef; *ys* from the top down."""

    kind: Literal["staff", "tab"]
    clef: Glyphs
    x0: float
    x1: float
    ys: tuple[float, ...]

    @property
    def top(self) -> float:
        """The top line."""
        return self.ys[0]

    @property
    def bottom(self) -> float:
        """The bottom line."""
        return self.ys[-1]

    @property
    def gap(self) -> float:
        """From line to line."""
        return (self.bottom - self.top) / max(1, len(self.ys) - 1)

    def step(self, y: float) -> float:
        """Return how many steps *y* lies over the bottom line; lines are even, spaces odd."""
        return (self.bottom - y) / self.gap * 2


@dataclass(frozen=True, slots=True)
class System:
    """A staff, a tablature, or both; *above* and *below* bound what can belong to it."""

    staff: Staff | None
    tab: Staff | None
    above: float
    below: float

    @property
    def parts(self) -> tuple[Staff, ...]:
        """Its staves from the top down."""
        return tuple(part for part in (self.staff, self.tab) if part is not None)

    @property
    def x0(self) -> float:
        """Its left end."""
        return self.parts[0].x0

    @property
    def x1(self) -> float:
        """Its right end."""
        return self.parts[0].x1

    @property
    def top(self) -> float:
        """Its first line."""
        return self.parts[0].top

    @property
    def bottom(self) -> float:
        """Its last line."""
        return self.parts[-1].bottom


def find_systems(ink: Ink) -> tuple[System, ...]:
    """Return the systems of a page from the top down."""
    clefs = [sign for sign in ink.signs if sign.sign.startswith("clefs.")]
    if not clefs:
        return ()
    groups = _groups(ink.lines)
    staves: dict[tuple[float, ...], Staff] = {}
    for clef in clefs:
        kind: Literal["staff", "tab"] = "tab" if clef.sign.startswith("clefs.tab") else "staff"
        for x0, x1, ys in groups:
            if x0 - 1 <= clef.x <= x0 + _CLEF_REACH and ys[0] - 1 <= clef.y <= ys[-1] + 1:
                staves.setdefault(ys, Staff(kind, clef, x0, x1, ys))
                break
    return _systems(sorted(staves.values(), key=lambda staff: staff.top), ink)


def _groups(lines: tuple[Line, ...]) -> list[tuple[float, float, tuple[float, ...]]]:
    """Return level lines of one length that stand over each other at one gap, the largest groups first."""
    columns: dict[tuple[float, float], set[float]] = defaultdict(set)
    for line in lines:
        if abs(line.y0 - line.y1) < _LEVEL and abs(line.x1 - line.x0) > _SHORTEST:
            left, right = sorted((line.x0, line.x1))
            columns[round(left, 1), round(right, 1)].add(round(line.y0, 3))
    found = []
    for (left, right), ys in columns.items():
        group: list[float] = []
        for y in sorted(ys):
            if len(group) > 1 and abs((y - group[-1]) / (group[1] - group[0]) - 1) > _SAME_GAP:
                # Two lines make no group yet: the second may open the next one, as under the rule of a running head.
                opens = len(group) == 2 and y - group[1] < group[1] - group[0]
                found.append((left, right, tuple(group)))
                group = [group[1]] if opens else []
            group.append(y)
        found.append((left, right, tuple(group)))
    return sorted((group for group in found if len(group[2]) > 1), key=lambda group: -len(group[2]))


def _systems(staves: list[Staff], ink: Ink) -> tuple[System, ...]:
    height = ink.height
    heads = [sign.y for sign in ink.signs if sign.sign.startswith(("noteheads.", "fattened."))]
    pairs: list[tuple[Staff | None, Staff | None]] = []
    for staff in staves:
        over = pairs[-1][0] if pairs and pairs[-1][1] is None else None
        if staff.kind == "tab" and over is not None and 0 < staff.top - over.bottom < _NEAREST_TAB:
            pairs[-1] = (over, staff)
        else:
            pairs.append((staff, None) if staff.kind == "staff" else (None, staff))
    bare = [System(staff, tab, 0, height) for staff, tab in pairs]
    middles = [_border(upper, lower, heads) for upper, lower in pairwise(bare)]
    if not bare:
        return ()
    return tuple(
        System(system.staff, system.tab, above, below)
        for system, above, below in zip(bare, [0.0, *middles], [*middles, height], strict=True)
    )


def _border(upper: System, lower: System, heads: Sequence[float]) -> float:
    """Where one system's music ends: what is high in the next one may reach up to a tablature, never over it."""
    if upper.tab is not None and upper.staff is not None:
        return upper.tab.bottom + _UNDER_TAB * upper.tab.gap
    way = lower.top - upper.bottom
    hanging = [y for y in heads if upper.bottom < y < upper.bottom + _HANGS_SHARE * way]
    return max(upper.bottom + _OWN_SHARE * way, max(hanging, default=0.0) + upper.parts[0].gap)
