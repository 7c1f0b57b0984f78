"""The order in which the notes of a set or a line are played.

Stage:    theory (pure)
In, Out:  a `Contour` and the number of notes in a set or line; indices of notes
Units:    the spec counts notes from 1 = lowest, indices here count from 0
Not here: which notes a set holds (`materials`), when they sound (`rhythm`)
"""

from __future__ import annotations

from dataclasses import dataclass

from builder.errors import NoSolution


@dataclass(frozen=True, slots=True)
class Pass:
    """One way through the material: *order* counts from 1 = lowest note, None = the material's own order;
    *land* is the landing note, None = no landing; *strings*, where given, names the string of each note of *order*."""

    order: tuple[int, ...] | None
    times: int = 1
    land: int | None = None
    strings: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Contour:
    """The passes in turn; over a line the window moves *by* notes, and *turn* mirrors the walk."""

    passes: tuple[Pass, ...]
    by: int = 1
    turn: bool = False


@dataclass(frozen=True, slots=True)
class Run:
    """Notes played in one go: *notes* index the set, *landing* is the last, longer note or None.

    *steps* tell which number of the order each note came from, from 0; *landing_step* the first that is the landing's.
    *back* tells of each note, the landing last, whether its window came mirrored on the way down.
    """

    notes: tuple[int, ...]
    landing: int | None
    steps: tuple[int, ...]
    landing_step: int | None = None
    back: tuple[bool, ...] = ()


def runs(
    size: int, order: tuple[int, ...], step: Pass, contour: Contour, line: bool, burst: int | None
) -> tuple[Run, ...]:
    """Return what is played of a set or line of *size* notes, cut into bursts of *burst* notes where that is asked.

    *order* counts from 1. A burst cut from a line lands on note `land` of the window it has reached, so that the next
    burst takes up where the last one came down. Raises NoSolution when *order* or the landing note leave the set.

    >>> runs(3, (1, 2, 3, 2), Pass((1, 2, 3, 2), times=2, land=1), Contour(()), False, None)
    (Run(notes=(0, 1, 2, 1, 0, 1, 2, 1), landing=0, steps=(0, 1, 2, 3, 0, 1, 2, 3), landing_step=0, \
back=(False, False, False, False, False, False, False, False, False)),)
    >>> [run.notes for run in runs(5, (1, 2, 3), Pass((1, 2, 3)), Contour(()), True, 3)]
    [(0, 1, 2), (1, 2, 3), (2, 3, 4)]
    """
    width = max(order)
    if max(width, step.land or 0) > size:
        raise NoSolution(f"the contour asks for note {max(width, step.land or 0)} of a set of {size}", ("contour",))
    windows = _walk(size, order, contour) if line else (_Window(0, False),)
    notes = [
        (window.note(number, width), window, k)
        for window in windows
        for _ in range(step.times)
        for k, number in enumerate(order)
    ]
    landing_step = order.index(step.land) if step.land in order else None
    length = burst or len(notes)
    cut: list[Run] = []
    for first in range(0, len(notes), length):
        piece = tuple(note for note, _, _ in notes[first : first + length])
        steps = tuple(k for _, _, k in notes[first : first + length])
        reached = notes[min(first + length, len(notes) - 1)][1]
        landing = None if step.land is None else min(max(reached.note(step.land, width), 0), size - 1)
        if cut and len(piece) == 1 and piece[0] == cut[-1].landing:
            break  # the last landing has already brought this note
        back = tuple(window.mirrored for _, window, _ in notes[first : first + length])
        cut.append(Run(piece, landing, steps, landing_step, back if landing is None else (*back, reached.mirrored)))
    return tuple(cut)


@dataclass(frozen=True, slots=True)
class _Window:
    """A stretch of a line from *bottom* on; *mirrored* on the way down."""

    bottom: int
    mirrored: bool

    def note(self, number: int, width: int) -> int:
        """Which note of the line is *number*, counted from 1."""
        return self.bottom + (width - number if self.mirrored else number - 1)


def _walk(size: int, order: tuple[int, ...], contour: Contour) -> tuple[_Window, ...]:
    """Windows over a line: up until the top reaches the last note, mirrored on the way back."""
    width = max(order)
    bottoms = list(range(0, size - width + 1, contour.by))
    if bottoms[-1] + width < size:
        bottoms.append(size - width)
    up = [_Window(bottom, False) for bottom in bottoms]
    down = [_Window(bottom, True) for bottom in reversed(bottoms[:-1])]
    return tuple(up + down if contour.turn else up)
