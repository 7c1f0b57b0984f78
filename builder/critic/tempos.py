"""The tempo steps over a study against its document: marks, notes a second, levels, the circles to fill.

Stage:    page critic
In, Out:  `Expected` and the first page of its study; `Finding`s
Units:    millimetres from the upper left corner
Source:   three circles a step, one for each day on which it went well: the book's own page of signs
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence

from builder.critic.asked import Asked
from builder.critic.expected import Expected
from builder.critic.finding import WHOLE_PAGE, Finding
from builder.critic.ink import Box, Glyphs
from builder.critic.places import StudyPage

# Our own choice.
_ROWS = 7.0  # sizes of its type: what belongs to a mark stands this near under it
_SPEED = re.compile(r"\d{1,2}\.\d")
_ROUNDED = 0.051  # of a note a second
_CIRCLES = 3
_NARROW, _WIDE = 0.3, 0.9  # sizes of a mark's type: so wide are circles (measured 0.46)
_ROUND_MM = 0.1
_OFF = 0.12  # sizes of a mark's type: circles stand this near to their places (measured 0.03)
_HEAD = 0.5  # sizes of a mark's type from the base line of a row's figures to that of its name
_DARK = 0.5


def tempo_findings(wanted: Expected, page: StudyPage, asked: Asked) -> Iterator[Finding]:
    """Every tempo step is printed with its level under it, and with circles; a name stands before each row."""
    texts = [(text, text.text.strip()) for text in page.ink.texts]
    found: list[Glyphs] = []
    for tempo, level in wanted.tempos:
        marks = [text for text, words in texts if words == str(tempo)]
        if not marks:
            yield Finding(page.number, WHOLE_PAGE, "tempo", f"the mark {tempo} is not printed")
            continue
        row = [mark for mark in marks if any(_under(mark, text) for text, words in texts if words == str(level))]
        if not row:
            place = marks[0].x, marks[0].y
            yield Finding(page.number, place, "level", f"level {level} does not stand under the mark {tempo}")
        else:
            # The largest figure is the mark; a level may read like another step's tempo.
            found.append(max(row, key=lambda mark: mark.size))
            yield from _speed(wanted, tempo, row[0], page)
    if len(found) == len(wanted.tempos) > 0:
        yield from _circles(found, page)
        yield from _heads(found, page, asked)


def _under(mark: Glyphs, text: Glyphs) -> bool:
    beside = abs((mark.x + mark.end) - (text.x + text.end)) / 2
    return beside < mark.size / 2 and 0 < text.y - mark.y < _ROWS * mark.size


def _speed(wanted: Expected, tempo: int, mark: Glyphs, page: StudyPage) -> Iterator[Finding]:
    """How many notes a second a tempo asks for stands under it, with a point or a comma."""
    if wanted.notes_per_second is None:
        return
    speed = wanted.notes_per_second * tempo / wanted.tempos[0][0]
    under = [text.text.strip().replace(",", ".") for text in page.ink.texts if _under(mark, text)]
    read = [words for words in under if _SPEED.fullmatch(words)]
    near = _ROUNDED * (1 + tempo / wanted.tempos[0][0])  # the document is rounded, too
    if not any(abs(float(words) - speed) < near for words in read):
        said = f"{read[0] if read else 'no number of'} notes a second under the mark {tempo}, not {speed:.1f}"
        yield Finding(page.number, (mark.x, mark.y), "tempo", said)


def _circles(marks: Sequence[Glyphs], page: StudyPage) -> Iterator[Finding]:
    """Three rings in a row under each mark, the second one under its middle, the others as far to its sides."""
    size = marks[0].size
    left, top = min(mark.x for mark in marks) - size, marks[0].y
    rings = [
        area.box
        for area in page.ink.areas
        if area.curved
        and not area.filled
        and area.grey < _DARK
        and left < area.box.middle
        and top < area.box.y0 < top + _ROWS * size
        and _NARROW * size < area.box.width < _WIDE * size
        and abs(area.box.width - area.box.height) < _ROUND_MM
    ]
    # Open strings of chord diagrams are rings, too; no diagram is as high as the row.
    heights = Counter(round(ring.y0, 1) for ring in rings).most_common(1)
    level = heights[0][0] if heights else top
    row = [ring for ring in rings if abs(ring.y0 - level) < _ROUND_MM]
    for mark in marks:
        middle = (mark.x + mark.end) / 2
        own = sorted(
            (ring for ring in row if min(marks, key=lambda other: _aside(other, ring)) is mark),
            key=lambda ring: ring.middle,
        )
        if len(own) != _CIRCLES:
            message = f"{len(own)} circles under the mark {mark.text.strip()}, not {_CIRCLES}"
            yield Finding(page.number, (middle, top), "circles", message)
        elif not _in_a_row(own, middle, _OFF * size):
            message = f"the circles under the mark {mark.text.strip()} do not stand in a row under it"
            yield Finding(page.number, (own[0].x0, own[0].y0), "circles", message)


def _aside(mark: Glyphs, ring: Box) -> float:
    return abs((mark.x + mark.end) / 2 - ring.middle)


def _in_a_row(rings: Sequence[Box], middle: float, near: float) -> bool:
    first, second, third = (ring.middle for ring in rings)
    return abs(second - middle) < near and abs(second - first - (third - second)) < near


def _heads(marks: Sequence[Glyphs], page: StudyPage, asked: Asked) -> Iterator[Finding]:
    """The names of the rows stand before their first figures, from the top down in their own order."""
    left = min(mark.x for mark in marks)
    column = sorted(
        (text for text in page.ink.texts if text.end < left and 0 < text.y - marks[0].y < _ROWS * marks[0].size),
        key=lambda text: text.y,
    )
    reached = marks[0].y
    for head in asked.tempo_heads:
        own = next((text for text in column if text.text.strip() == head and text.y > reached), None)
        if own is None:
            yield Finding(page.number, (left, reached), "tempo", f"'{head}' does not stand before its row")
            continue
        reached = own.y
        first = [text for text in page.ink.texts if _under(marks[0], text) and abs(text.y - own.y) < _HEAD * own.size]
        if head != asked.tempo_heads[-1] and not first:
            yield Finding(page.number, (own.x, own.y), "tempo", f"'{head}' stands before no row")
