"""What is drawn for heads and digits: ledger lines, stems and beams painted whole, the white ground of digits.

Stage:    page critic
In, Out:  places of notes by the tablature, the `Reading`s of a study's systems and the ink around them; `Finding`s
Units:    millimetres from the upper left corner; staff spaces
Source:   E. Gould, *Behind Bars*, 2011, "Ledger lines": a line at every step of two between a head and its staff
Not here: how long the notes are by their stems and beams (`values`, `durations`)

A stem, a beam and a slur are painted twice, their edge with a pen and their ground: what is painted once is only a part
of one, or stands where no note needs it.
"""

from __future__ import annotations

from collections.abc import Iterator

from builder.critic.finding import Finding
from builder.critic.ink import Area, Box, Line
from builder.critic.notes import Digits, Reading
from builder.critic.places import Heads, StudyPage, Systems, of_reading, space
from builder.critic.staves import Staff

# Staff spaces; our own choice, with room on both sides of what the pages of the demo measure.
_LEVEL = 0.12  # a ledger line stands this near to its height (measured 0.01)
_SHORT, _LONG = 1.3, 4.5  # ledger lines are so long (measured 1.7), those of seconds longer
_THIN, _THICK = 0.1, 0.35  # and so thick (measured 0.21)
_HIGHEST = 8.0  # heads stand no farther from their staff
_STEM = 0.3  # a stem is thinner
_TALL = 1.2  # and taller
_WIDE, _BAND = 0.6, 0.3  # a beam is wider, and so high at least
_ARROW = 1.6  # the head of an arrow has no edge and is narrower
_CURVE = 1.3  # a slur is wider
_ANGLE = 1.4  # gaps of the tablature from a digit to its brackets
_TWIN_MM = 0.06
_WHITE = 0.95


def penwork_findings(under: Heads, systems: Systems) -> Iterator[Finding]:
    """Return what is missing of that which is drawn at notes, and what is drawn at none."""
    for page, reading in systems:
        if reading.system.staff is not None:
            yield from _ledgers(page, reading, reading.system.staff)
        yield from _grounds(page, reading)
        yield from _brackets(page, reading, of_reading(reading, under))
    for page in {id(page): page for page, _ in systems}.values():
        yield from _painted(page)


def _ledgers(page: StudyPage, reading: Reading, staff: Staff) -> Iterator[Finding]:
    gap = staff.gap
    lines = [
        line
        for line in page.ink.lines
        if abs(line.y0 - line.y1) < 0.02
        and 0.8 * _SHORT * gap < abs(line.x1 - line.x0) < _LONG * gap
        and not staff.top - 0.5 * gap < line.y0 < staff.bottom + 0.5 * gap
        and staff.top - _HIGHEST * gap < line.y0 < staff.bottom + _HIGHEST * gap
    ]
    heads = [head for chord in reading.chords for head in chord.heads if not -1 <= head.step <= 9]
    used: set[Line] = set()
    for head in heads:
        steps = range(10, head.step + 1, 2) if head.step > 0 else range(-2, head.step - 1, -2)
        for step in steps:
            y = staff.bottom - step * gap / 2
            own = [line for line in lines if abs(line.y0 - y) < _LEVEL * gap and _under(line, head.box)]
            used.update(own)
            if not own:
                yield Finding(page.number, (head.box.x0, y), "ledger", f"{head.pitch} lacks a ledger line")
    for line in lines:
        away = min(abs(line.y0 - staff.top), abs(line.y0 - staff.bottom)) / gap
        alike = abs(away - round(away)) < _LEVEL and _THIN * gap < line.width < _THICK * gap
        if line not in used and alike and abs(line.x1 - line.x0) > _SHORT * gap and not _bends_off(line, page):
            yield Finding(page.number, (min(line.x0, line.x1), line.y0), "ledger", "a ledger line at no note")


def _under(line: Line, head: Box) -> bool:
    return min(line.x0, line.x1) < head.middle < max(line.x0, line.x1)


def _bends_off(line: Line, page: StudyPage) -> bool:
    """Whether it is half of a tuplet's bracket, which has a short upright end."""
    return any(
        abs(other.x0 - other.x1) < 0.02
        and min(abs(other.x0 - line.x0), abs(other.x0 - line.x1)) < 0.1
        and min(abs(other.y0 - line.y0), abs(other.y1 - line.y0)) < 0.1
        for other in page.ink.lines
    )


def _grounds(page: StudyPage, reading: Reading) -> Iterator[Finding]:
    """The line of its string does not go through a digit: white ground lies between the two."""
    tab = reading.system.tab
    if tab is None:
        return
    white = [area.box for area in page.ink.areas if area.filled and area.grey > _WHITE]
    white += [line.around for line in page.ink.lines if line.grey > _WHITE]
    white = [box for box in white if tab.top - tab.gap < box.y1 and box.y0 < tab.bottom + tab.gap]
    for column in reading.digits:
        for digit in column.digits:
            if not any(box.x0 < digit.x < box.x1 and box.y0 < digit.y < box.y1 for box in white):
                message = f"the line of string {digit.string} goes through the {digit.fret}"
                yield Finding(page.number, (digit.x, digit.y), "ground", message)


def _brackets(page: StudyPage, reading: Reading, here: Heads) -> Iterator[Finding]:
    """The digit of a harmonic stands between angle brackets."""
    tab = reading.system.tab
    wanted = [one for one in here if any(note["technique"] == "harmonic" for note in one[1].struck)]
    if tab is None or not wanted:
        return
    angles = [area.box for area in page.ink.areas if not area.curved and not area.filled and area.box.width < tab.gap]
    for seen, moment in wanted:
        strings = {int(note["string"]) for note in moment.struck if note["technique"] == "harmonic"}
        for digit in seen.notes.digits if isinstance(seen.notes, Digits) else ():
            near = [
                box.middle - digit.x
                for box in angles
                if abs(box.middle - digit.x) < _ANGLE * tab.gap and abs((box.y0 + box.y1) / 2 - digit.y) < tab.gap / 4
            ]
            if digit.string in strings and not (any(x < 0 for x in near) and any(x > 0 for x in near)):
                message = f"bar {moment.bar}: the {digit.fret} of a harmonic lacks a bracket"
                yield Finding(page.number, (digit.x, digit.y), "harmonic", message)


def _painted(page: StudyPage) -> Iterator[Finding]:
    """Each stem and each beam has its edge and its ground."""
    gap = max(space(reading) for reading in page.readings)
    staves = [reading.system for reading in page.readings]
    spans = [(max(one.above, one.top - _HIGHEST * gap), one.bottom + _HIGHEST * gap) for one in staves]
    left, right = min(one.x0 for one in staves) - gap, max(one.x1 for one in staves) + gap
    edges: list[Box] = []
    grounds: list[Box] = []
    bends: set[Box] = set()  # the line of a bend's arrow bounds nothing
    for area in page.ink.areas:
        box = area.box
        if area.grey > 0.5 or not (_is_slur(area, gap) if area.curved else _is_stem(box, gap) or _is_beam(box, gap)):
            continue
        beside = box.x0 < left or right < box.x1  # as are the tabs of a thumb index
        if not beside and any(top < box.y0 and box.y1 < bottom for top, bottom in spans):
            (grounds if area.filled else edges).append(box)
            if area.curved and not area.filled:
                bends.add(box)
    if 2 * len(edges) < len(grounds):
        return
    for ones, others in ((edges, grounds), (grounds, edges)):
        known = {_name(box) for box in others}
        for box in ones:
            if others is edges and not _is_stem(box, gap) and box.width < _ARROW * gap:
                continue
            if others is grounds and box in bends:
                continue
            if not any(name in known for name in _names(box)):
                yield Finding(page.number, (box.x0, box.y0), "stem", "a stem, a beam or a curve is painted in part")


def _is_stem(box: Box, gap: float) -> bool:
    return box.width < _STEM * gap and box.height > _TALL * gap


def _is_slur(area: Area, gap: float) -> bool:
    return area.box.width > _CURVE * gap and area.box.height < area.box.width and not (area.filled and area.full)


def _is_beam(box: Box, gap: float) -> bool:
    return box.width > _WIDE * gap and box.height > _BAND * gap


def _name(box: Box) -> tuple[int, int]:
    return round(box.x0 / _TWIN_MM), round(box.y0 / _TWIN_MM)


def _names(box: Box) -> Iterator[tuple[int, int]]:
    x, y = _name(box)
    return ((x + h, y + v) for h in (-1, 0, 1) for v in (-1, 0, 1))
