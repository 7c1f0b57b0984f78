"""Blocks of known height dealt to sides of paper, for pages that are tables or drawings.

Stage:    6 assemble (pure)
In, Out:  heights in millimetres; which blocks share a side
Not here: entries of the contents and their like, which break between lines (`front.on_sides`)
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from builder.pages.page import Paper

T = TypeVar("T")

# Beside the paper's own margins: the head of a text page (templates/book/measured_page.ly), the least distances under
# it and over the foot (templates/style.ily), and a little air.
_HEAD_MM = 15.0


def room_mm(paper: Paper) -> float:
    """How high the blocks of one side may be together."""
    return paper.height_mm - paper.top_mm - paper.foot_mm - _HEAD_MM


def pieces(values: Sequence[T], size: int) -> tuple[tuple[T, ...], ...]:
    """Cut *values* into pieces of *size*, the last one shorter.

    >>> pieces("abcde", 2)
    (('a', 'b'), ('c', 'd'), ('e',))
    """
    return tuple(tuple(values[start : start + size]) for start in range(0, len(values), size))


def even_pieces(values: Sequence[T], most: int) -> tuple[tuple[T, ...], ...]:
    """Cut *values* into as few pieces as *most* allows, all about as long.

    >>> [len(piece) for piece in even_pieces(range(7), 5)]
    [4, 3]
    """
    count = max(1, -(-len(values) // most))
    return pieces(values, max(1, -(-len(values) // count)))


def dealt(
    blocks: Sequence[tuple[T, float]], room: float, first_mm: float = 0.0, most: int | None = None
) -> tuple[tuple[T, ...], ...]:
    """Deal *blocks*, each with its height, in order on sides of *room*; at most *most* on one.

    The first side has given *first_mm* away. A block higher than a side gets one of its own.

    >>> dealt([("a", 4), ("b", 4), ("c", 4)], 10), dealt([("a", 1), ("b", 1)], 10, most=1)
    ((('a', 'b'), ('c',)), (('a',), ('b',)))
    """
    sides: list[list[T]] = []
    left = room - first_mm
    for block, height in blocks:
        full = most is not None and sides and len(sides[-1]) >= most
        if not sides:
            sides.append([])
        elif height > left or full:
            sides.append([])
            left = room
        sides[-1].append(block)
        left -= height
    return tuple(tuple(side) for side in sides)
