"""What of a page the checks of the whole file need: its words, and how far its music and its other ink reach.

Stage:    page critic (values)
In, Out:  `Ink` and its systems; a `Gist`, and the same as plain data, so that a page found good need not be read again
Units:    millimetres from the upper left corner
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from builder.critic.ink import Box, Glyphs, Ink
from builder.critic.staves import System

_FARTHEST = 8  # a page without music tells of as many things on either side: more would say the same again

_HEAD, _RULE = 0.1, 0.6  # the rule of a running head: so high on the page, and wider than this share of it
_AT_EDGE_MM = 0.25  # a tab of the thumb index ends this near to the edge of the page


@dataclass(frozen=True, slots=True)
class Words:
    """A text: where it begins and ends on which baseline, its size."""

    size: float
    x: float
    end: float
    y: float
    text: str


@dataclass(frozen=True, slots=True)
class Outer:
    """Ink that stands farther out than the page's own music: its left and right end, its top, what to call it."""

    x0: float
    x1: float
    y0: float
    name: str


@dataclass(frozen=True, slots=True)
class Gist:
    """A page in short.

    *span* is where its systems begin and end, *rule* where the rule of its running head does and how high it stands;
    None where there are none.
    """

    width: float
    height: float
    texts: tuple[Words, ...]
    span: tuple[float, float] | None
    outer: tuple[Outer, ...]
    rule: tuple[float, float, float] | None = None


def gist(ink: Ink, systems: Sequence[System]) -> Gist:
    """Return the page in short."""
    # Rounded here and not where it is kept, so that a page remembered is judged as the page read was.
    texts = tuple(
        Words(round(text.size, 3), round(text.x, 2), round(text.end, 2), round(text.y, 2), text.text)
        for text in ink.texts
    )
    span = (min(one.x0 for one in systems), max(one.x1 for one in systems)) if systems else None
    return Gist(ink.width, ink.height, texts, span, tuple(_outer(ink, systems, span)), head_rule(ink))


def head_rule(ink: Ink) -> tuple[float, float, float] | None:
    """Return where the rule of the running head begins and ends, and its height."""
    rules = [
        (line.y0, min(line.x0, line.x1), max(line.x0, line.x1))
        for line in ink.lines
        if line.y0 == line.y1 < _HEAD * ink.height and abs(line.x1 - line.x0) > _RULE * ink.width
    ]
    if not rules:
        return None
    y, left, right = min(rules)  # a table may begin right under it
    return round(left, 2), round(right, 2), round(y, 2)


def _outer(ink: Ink, systems: Sequence[System], span: tuple[float, float] | None) -> Iterator[Outer]:
    boxes = [(_width_of(glyphs, glyphs.box), glyphs) for glyphs in (*ink.texts, *ink.signs) if glyphs.box is not None]
    if span is None:
        boxes.sort(key=lambda pair: pair[0].x0)
        left, rest = boxes[:_FARTHEST], boxes[_FARTHEST:]
        boxes = left + sorted(rest, key=lambda pair: -pair[0].x1)[:_FARTHEST]
    for box, glyphs in boxes:
        if span is not None and span[0] <= box.x0 and box.x1 <= span[1]:
            continue
        if span is not None and glyphs.text.isdigit() and box.x1 <= span[0] + 4 and _near_top(box, systems):
            continue  # the number of a bar hangs into the margin
        if glyphs.text.isdigit() and _on_tab(box, ink):
            continue
        yield Outer(round(box.x0, 2), round(box.x1, 2), round(box.y0, 2), named(glyphs))


def _width_of(glyphs: Glyphs, box: Box) -> Box:
    """The *box* of *glyphs*; of what is turned only the place where it begins is known."""
    return box if glyphs.upright else replace(box, x0=glyphs.x, x1=glyphs.x)


def _on_tab(box: Box, ink: Ink) -> bool:
    """Whether a figure stands on a tab of the thumb index: an area that runs out to the edge of the page."""
    return any(
        (area.box.x0 <= _AT_EDGE_MM or area.box.x1 >= ink.width - _AT_EDGE_MM)
        and area.box.x0 < box.x0
        and box.x1 < area.box.x1
        and area.box.y0 < box.y0
        and box.y1 < area.box.y1
        for area in ink.areas
    )


def _near_top(box: Box, systems: Sequence[System]) -> bool:
    return any(system.top - 8 < box.y1 < system.top + 1 for system in systems)


def named(glyphs: Glyphs) -> str:
    """What to call a text or a sign in a finding."""
    text = " ".join(glyphs.text.split())
    return f"'{text if len(text) <= 24 else text[:23] + '…'}'" if text else f"the sign {glyphs.sign}"


def to_plain(page: Gist) -> list[Any]:
    """The gist as data for a file."""
    texts = [(text.size, text.x, text.end, text.y, text.text) for text in page.texts]
    outer = [(one.x0, one.x1, one.y0, one.name) for one in page.outer]
    return [page.width, page.height, texts, page.span, outer, page.rule]


def from_plain(plain: Sequence[Any]) -> Gist:
    """Read it back; TypeError or ValueError where it is none."""
    width, height, texts, span, outer, rule = plain
    head = (rule[0], rule[1], rule[2]) if rule else None
    reach = (span[0], span[1]) if span else None
    return Gist(width, height, tuple(Words(*one) for one in texts), reach, tuple(Outer(*one) for one in outer), head)
