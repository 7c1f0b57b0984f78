"""What is wrong with a page whatever it says: ink at its edges, foreign fonts, small type, overlaps, blank paper.

Stage:    page critic
In, Out:  `Ink`; `Finding`s
Units:    millimetres from the upper left corner; type in points
Not here: the music on it (`study`), margins, boxes, labels and links of the file (`book`)
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from builder.critic.asked import Asked
from builder.critic.finding import Finding
from builder.critic.gist import named
from builder.critic.hiding import hiding_findings
from builder.critic.ink import POINT_MM, Box, Glyphs, Ink, Line
from builder.critic.spelling import spelling_findings
from builder.critic.staves import Staff, System

_WORD = re.compile(r"[^\W\d_]{2}")
_PRINTABLE_MM = 5.0  # our own choice: office printers leave up to 5 mm of each edge blank
_SMALLEST_PT = 6.9  # our own choice: 7 points and a hair, the smallest type of the pages' own rules
_SMALLEST_LARGE_PT = 16.0  # G003 of the UK Association for Accessible Formats, 2019; in music too
_SLANTED = ("Italic", "Oblique")
_SMALLEST_MUSIC_PT = 4.1  # the 8 of a clef on a staff of 12 points, the smallest that studies are set on
_TOUCH_MM = 0.25  # ink that shares less than this in width or height only touches
_PALEST, _WHITE = 0.6, 0.95  # our own choice, as shares of white
_FULL_SHARE = 0.5
_AIR_MM = 4.0  # blank paper within this distance of ink belongs to it
_ALIKE = 0.02  # share by which staves of a page may differ in size
_FURTHEST_TAB = 16.0  # staff spaces from staff to tablature; our own choice: the demo's widest is 10
_EDGE_MM = 0.3
_LONG_MM = 40.0  # longer than any slide
_LONG_GAPS = 34.0  # the same in staff spaces: on the staves of large print half a tuplet's bracket is 70 mm long
_WIDE_MM = 1.5  # wider than any rule
_PALEST_LINE = 0.5
_THINNEST_MM = 0.08  # a quarter of a point: what an office printer still draws whole; the demo's thinnest are 0.1
_ATTACHED = {"flags", "noteheads", "dots"}  # parts of one note: a flag grows out of its stem


def sheet_findings(page: int, ink: Ink, systems: Sequence[System], asked: Asked) -> Iterator[Finding]:
    """Return what is wrong with a page of any kind."""
    boxes = [(glyphs.box, glyphs) for glyphs in (*ink.texts, *ink.signs) if glyphs.box is not None]
    yield from _fonts(page, ink, asked.families)
    yield from _edges(page, ink, boxes, asked)
    yield from _on_staff(page, ink, systems)
    if asked.large_print:
        yield from _not_large(page, ink)
    else:
        yield from _small(page, ink, systems)
    yield from _pale(page, ink)
    yield from hiding_findings(page, ink, asked)
    yield from _overlaps(page, boxes)
    yield from spelling_findings(page, ink, asked)
    yield from _staves(page, systems)
    yield from _edges_of_systems(page, systems)
    yield from _staff_lines(page, ink, systems)
    yield from _struck(page, ink, systems)


def half_empty(page: int, ink: Ink) -> Iterator[Finding]:
    """Return a finding where less than half of a page's height carries anything."""
    boxes = [glyphs.box for glyphs in (*ink.texts, *ink.signs) if glyphs.box is not None]
    spans = [(box.y0, box.y1) for box in boxes] + [(area.box.y0, area.box.y1) for area in ink.areas]
    spans += [(min(line.y0, line.y1), max(line.y0, line.y1)) for line in ink.lines]
    filled, reached = 0.0, 0.0
    for low, high in sorted(spans):
        low, high = max(low - _AIR_MM, reached), min(high + _AIR_MM, ink.height)
        if high > low:
            filled, reached = filled + high - low, high
    if filled < _FULL_SHARE * ink.height:
        share = f"{filled / ink.height:.0%}"
        yield Finding(page, (ink.width / 2, reached), "half-empty", f"only {share} of the page's height is filled")


def _fonts(page: int, ink: Ink, families: tuple[str, ...]) -> Iterator[Finding]:
    seen = set()
    for glyphs in (*ink.texts, *ink.signs):
        font = glyphs.font
        if id(font) in seen:
            continue
        seen.add(id(font))
        if not font.family.startswith(families):
            yield Finding(page, (glyphs.x, glyphs.y), "font", f"{font.family} is not one of the book's fonts")
        if not font.embedded:
            yield Finding(page, (glyphs.x, glyphs.y), "font", f"{font.family} is not embedded in the file")


def _edges(page: int, ink: Ink, boxes: Sequence[tuple[Box, Glyphs]], asked: Asked) -> Iterator[Finding]:
    for box, glyphs in boxes:
        if box.x0 < 0 or box.y0 < 0 or box.x1 > ink.width or box.y1 > ink.height:
            yield Finding(page, _inside(box, ink), "cut", f"{named(glyphs)} is cut by the edge of the page")
        elif (
            min(box.x0, box.y0) < _PRINTABLE_MM
            or box.x1 > ink.width - _PRINTABLE_MM
            or box.y1 > ink.height - _PRINTABLE_MM
        ):
            message = f"{named(glyphs)} stands within {_PRINTABLE_MM:.0f} mm of the edge"
            yield Finding(page, (box.x0, box.y0), "margin", message)
    for line in ink.lines:
        box = Box(min(line.x0, line.x1), min(line.y0, line.y1), max(line.x0, line.x1), max(line.y0, line.y1))
        if box.x0 < 0 or box.y0 < 0 or box.x1 > ink.width or box.y1 > ink.height:
            yield Finding(page, _inside(box, ink), "cut", "a line is cut by the edge of the page")
    for area in ink.areas:
        box = area.box
        tab = asked.thumb_index and not area.curved
        if not tab and (box.x0 < 0 or box.y0 < 0 or box.x1 > ink.width or box.y1 > ink.height):
            yield Finding(page, _inside(box, ink), "cut", "something drawn is cut by the edge of the page")


def _inside(box: Box, ink: Ink) -> tuple[float, float]:
    return min(max(box.x0, 0.0), ink.width), min(max(box.y0, 0.0), ink.height)


def _small(page: int, ink: Ink, systems: Sequence[System]) -> Iterator[Finding]:
    # Sizes are compared with the air of a rounded matrix: 6.9 may read 6.8999.
    for glyphs in ink.texts:
        size = glyphs.size / POINT_MM + 0.05
        if size >= _SMALLEST_PT or not glyphs.text.strip():
            continue
        if size >= _SMALLEST_MUSIC_PT and any(_of_music(glyphs, system) for system in systems):
            continue
        message = f"{named(glyphs)} is set in {glyphs.size / POINT_MM:.1f} points"
        yield Finding(page, (glyphs.x, glyphs.y), "small-text", message)


def _on_staff(page: int, ink: Ink, systems: Sequence[System]) -> Iterator[Finding]:
    """Words stand over and under staves, never on their lines."""
    staves = [system.parts for system in systems]
    for glyphs in ink.texts:
        box = glyphs.box
        if box is None or not _WORD.search(glyphs.text) or not glyphs.upright:
            continue
        for parts in staves:
            for part in parts:
                if part.x0 < box.middle < part.x1 and any(box.y0 + _TOUCH_MM < y < box.y1 - _TOUCH_MM for y in part.ys):
                    yield Finding(page, (box.x0, box.y0), "overlap", f"{named(glyphs)} stands on a staff")
                    break


def _struck(page: int, ink: Ink, systems: Sequence[System]) -> Iterator[Finding]:
    """No long line goes through words, and none but its own lines through a system."""
    words = [
        (one.box, one, number)
        for number, one in enumerate(ink.texts)
        if one.box is not None and one.upright and _WORD.search(one.text)
    ]
    staves = [y for system in systems for part in system.parts for y in part.ys]
    for number, line in enumerate(ink.lines):
        left, right = sorted((line.x0, line.x1))
        top, bottom = sorted((line.y0, line.y1))
        if max(right - left, bottom - top) < _LONG_MM or line.width > _WIDE_MM:
            continue  # so wide is a shade
        crosses = any(
            system.top < bottom and top < system.bottom and right - left > _LONG_GAPS * system.parts[0].gap
            for system in systems
        )
        if right - left > _LONG_MM and crosses and not any(abs(y - top) + abs(y - bottom) < 0.1 for y in staves):
            yield Finding(page, (left, top), "line", "a line goes through a system")
        if right - left > 0.05 < bottom - top:
            continue
        for box, one, text in words:
            room = box.height / 4  # rules of a table may touch what hangs under a line of words
            through = left < box.x1 and right > box.x0 and top < box.y1 - room and bottom > box.y0 + room
            if through and number >= _covered_before(text, box, ink):
                yield Finding(page, (box.x0, box.y0), "overlap", f"a line goes through {named(one)}")


def _covered_before(number: int, box: Box, ink: Ink) -> int:
    """How many lines were drawn before the disc on which the text *number* stands; 0 where it stands on none.

    A long disc is drawn as a short line as thick as a disc is high, with round ends.
    """
    within = Box(box.x0 + box.width / 6, box.y0 + box.height / 6, box.x1 - box.width / 6, box.y1 - box.height / 6)
    covered = [
        area.over[2]
        for area in ink.areas
        if area.filled and area.full and area.over[0] <= number and area.box.common(within) == within
    ]
    for place, line in enumerate(ink.lines):
        if line.width > box.height and line.around.common(within) == within:
            covered.append(place)
    return max(covered, default=0)


def _not_large(page: int, ink: Ink) -> Iterator[Finding]:
    """Large print has no small and no slanted letters, wherever they stand."""
    for glyphs in ink.texts:
        if not glyphs.text.strip():
            continue
        if glyphs.size / POINT_MM + 0.05 < _SMALLEST_LARGE_PT:
            size = f"{glyphs.size / POINT_MM:.1f} points, large print has {_SMALLEST_LARGE_PT:.0f}"
            message = f"{named(glyphs)} is set in {size}"
            yield Finding(page, (glyphs.x, glyphs.y), "small-text", message)
        if glyphs.font.family.endswith(_SLANTED):
            yield Finding(page, (glyphs.x, glyphs.y), "italic", f"{named(glyphs)} is set in italics")


def _pale(page: int, ink: Ink) -> Iterator[Finding]:
    """White stands on black; what is lighter than a middle grey and not white is lost on a photocopy."""
    for glyphs in (*ink.texts, *ink.signs):
        if _PALEST < glyphs.grey < _WHITE:
            yield Finding(page, (glyphs.x, glyphs.y), "pale", f"{named(glyphs)} is printed in a pale grey")


def _of_music(glyphs: Glyphs, system: System) -> bool:
    room = 6 * system.parts[0].gap
    return system.top - room < glyphs.y < system.bottom + room and system.x0 - 10 < glyphs.x < system.x1


def _overlaps(page: int, boxes: Sequence[tuple[Box, Glyphs]]) -> Iterator[Finding]:
    ordered = sorted(boxes, key=lambda pair: pair[0].x0)
    for index, (box, glyphs) in enumerate(ordered):
        x1, y0, y1 = box.x1 - _TOUCH_MM, box.y0 + _TOUCH_MM, box.y1 - _TOUCH_MM
        for k in range(index + 1, len(ordered)):
            other, mark = ordered[k]
            if other.x0 >= x1:
                break
            if other.y0 >= y1 or other.y1 <= y0 or other.x1 - box.x0 <= _TOUCH_MM or _belong(glyphs, mark):
                continue
            message = f"{named(glyphs)} and {named(mark)} overlap"
            yield Finding(page, (other.x0, max(box.y0, other.y0)), "overlap", message)


def _belong(one: Glyphs, other: Glyphs) -> bool:
    """Whether two glyphs may lie on each other: parts of one note, and what is turned, whose box is unknown."""
    if not (one.upright and other.upright):
        return True
    if not (one.font.music and other.font.music):
        return False
    kinds = {one.sign.partition(".")[0], other.sign.partition(".")[0]}
    return kinds <= _ATTACHED


def _staves(page: int, systems: Sequence[System]) -> Iterator[Finding]:
    for kind in ("staff", "tab"):
        parts = [part for system in systems for part in system.parts if part.kind == kind]
        if not parts:
            continue
        usual = sorted(part.gap for part in parts)[len(parts) // 2]
        for part in parts:
            if abs(part.gap / usual - 1) > _ALIKE:
                message = f"lines {part.gap:.2f} mm apart among systems with {usual:.2f} mm"
                yield Finding(page, (part.x0, part.top), "system-height", message)
    for system in systems:
        if system.staff and system.tab and system.tab.top - system.staff.bottom > _FURTHEST_TAB * system.staff.gap:
            message = f"the tablature stands {system.tab.top - system.staff.bottom:.0f} mm under its staff"
            yield Finding(page, (system.x0, system.tab.top), "system-height", message)


def _edges_of_systems(page: int, systems: Sequence[System]) -> Iterator[Finding]:
    """All systems of a page begin at one edge, and all staves of one system begin and end with it."""
    for system in systems:
        for part in system.parts:
            if abs(part.x0 - systems[0].x0) > _EDGE_MM or abs(part.x1 - system.x1) > _EDGE_MM:
                yield Finding(page, (part.x0, part.top), "system", "a staff does not begin or end where the others do")


def _staff_lines(page: int, ink: Ink, systems: Sequence[System]) -> Iterator[Finding]:
    """Lines of staves are dark, not hair-thin, and equally thick."""
    for system in systems:
        for part in system.parts:
            own = [
                line
                for line in ink.lines
                if line.y0 == line.y1 and part.top - 0.1 < line.y0 < part.bottom + 0.1 and _spans(line, part)
            ]
            usual = sorted(line.width for line in own)[len(own) // 2] if own else 0.0
            if any(line.grey > _PALEST_LINE for line in own):
                yield Finding(page, (part.x0, part.top), "pale", "the lines of a staff are printed in a pale grey")
            if any(line.width < _THINNEST_MM or abs(line.width - usual) > 0.3 * usual for line in own):
                yield Finding(page, (part.x0, part.top), "lines", "the lines of a staff are too thin, or differ")


def _spans(line: Line, part: Staff) -> bool:
    return min(line.x0, line.x1) < part.x0 + 0.2 and max(line.x0, line.x1) > part.x1 - 0.2
