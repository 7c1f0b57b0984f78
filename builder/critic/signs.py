"""Signs around the notes of a system: fingers, accents, strokes, letters, rests, the meter, numbers and ends of bars.

Stage:    page critic
In, Out:  a `System`, the signs and texts that can belong to it; `Mark`s and `RestSign`s
Units:    millimetres, y downwards
Source:   glyph names: the LilyPond Notation Reference, appendix "The Emmentaler font"
Not here: which notes they belong to (`marks`, `bars`)
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from builder.critic.ink import Box, Glyphs, Ink
from builder.critic.notes import Chord, Mark, RestSign
from builder.critic.staves import Staff, System

_FINGERS = {"zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5}
_FIGURES = {
    **{"zero": "0", "one": "1", "two": "2", "three": "3", "four": "4"},
    **{"five": "5", "six": "6", "seven": "7", "eight": "8", "nine": "9"},
}
_STROKES = {"scripts.downbow": "down", "scripts.upbow": "up"}
_NUMBER = re.compile(r"\d{1,4}")
_PLUCKS = re.compile(r"[pima]{1,4}")

# Distances in staff spaces. All are our own choice, with room on both sides of what the pages of the demo measure.
_OVER = 9.0  # fingers and accents stand this near over the staff or its highest head
_OVER_HEAD = 6.0
_BAR_SPAN = 0.4  # a barline ends this near to the outer lines
_OVER_ONE = 12.0  # strokes over one staff alone stand beyond fingers, accents and string numbers
_LEDGERED = 11.0  # staff spaces below a staff alone in which letters stand under its lowest notes
_STEMMED = 7.0  # and letters this near to a tablature with stems
_REPEAT = 2.0  # and the dots of a repeat this near to the thick one
_ONE_BARLINE = 2.6  # strokes nearer than this are one barline


def read_over_staff(
    staff: Staff | None, signs: dict[str, list[Glyphs]], chords: Sequence[Chord]
) -> tuple[tuple[Mark, ...], tuple[Mark, ...]]:
    """Return finger numbers and accents around the staff."""
    if staff is None:
        return (), ()
    highest = min((head.y for chord in chords for head in chord.heads), default=staff.top)
    ceiling = min(staff.top - _OVER * staff.gap, highest - _OVER_HEAD * staff.gap)
    fingers = [
        Mark(sign.ink_box.middle, sign.y, str(_FINGERS[name]))
        for sign in signs["fattened"]
        for name in (sign.sign.split(".")[1],)
        if name in _FINGERS and sign.y > ceiling
    ]
    accents = [
        Mark(sign.ink_box.middle, sign.y, "accent")
        for sign in signs["scripts"]
        if sign.sign == "scripts.sforzato" and sign.y > ceiling
    ]
    return tuple(fingers), tuple(accents)


def read_strokes(system: System, signs: dict[str, list[Glyphs]]) -> tuple[Mark, ...]:
    """Return the strokes of a system."""
    first = system.staff or system.tab
    alone = first is not None and (system.staff is None or system.tab is None)
    top = first.top - _OVER_ONE * first.gap if first and alone else system.staff.bottom if system.staff else system.top
    return tuple(
        Mark(sign.ink_box.middle, sign.y, _STROKES[sign.sign])
        for sign in signs["scripts"]
        if sign.sign in _STROKES and top < sign.y < system.bottom
    )


def read_letters(system: System, texts: Sequence[Glyphs]) -> tuple[Mark, ...]:
    """Return the letters of the plucking hand between staff and tablature and under it, or over and under one alone.

    Over a staff alone the m of a minor chord may be among them.
    """
    tab = system.tab or system.staff
    if tab is None:
        return ()
    # Where one stands alone, stems stand between it and the letters.
    both = system.staff is not None and system.tab is not None
    top = system.staff.bottom if both and system.staff else max(system.above, tab.top - _STEMMED * tab.gap)
    reach = 4 if both else _STEMMED if system.tab else _LEDGERED
    floor = tab.bottom + reach * tab.gap
    return tuple(
        Mark((text.x + text.end) / 2, text.y, text.text.strip())
        for text in texts
        if _PLUCKS.fullmatch(text.text.strip()) and top < text.y < floor and not tab.top < text.y < tab.bottom
    )


def read_rests(staff: Staff | None, signs: dict[str, list[Glyphs]]) -> tuple[RestSign, ...]:
    """Return the rests on *staff* from the left."""
    if staff is None:
        return ()
    dots = [sign.ink_box for sign in signs["dots"]]
    found = []
    for sign in signs["rests"]:
        box, name = sign.ink_box, sign.sign.split(".")[1].rstrip("o")
        if not name.isdigit() or not staff.top - 5 * staff.gap < sign.y < staff.bottom + 5 * staff.gap:
            continue
        count = sum(
            0 < dot.x0 - box.x1 < 2.2 * staff.gap and abs((dot.y0 + dot.y1) / 2 - sign.y) < 1.2 * staff.gap
            for dot in dots
        )
        length = Fraction(1, 2 ** int(name)) * (2 - Fraction(1, 2**count))
        found.append(RestSign(box.middle, sign.y, length, name == "0"))
    return tuple(sorted(found, key=lambda rest: rest.x))


def read_meter(staff: Staff, signs: dict[str, list[Glyphs]]) -> str:
    """Return the time signature: figures in the upper and in the lower half of the staff."""
    middle, room = (staff.top + staff.bottom) / 2, staff.gap / 4
    figures = sorted(
        (
            (sign.x, figure, sign.ink_box)
            for name, figure in _FIGURES.items()
            for sign in signs[name]
            if staff.top - 0.5 < sign.y < staff.bottom + 0.5
        ),
        key=lambda figure: figure[0],
    )
    upper = "".join(figure for _, figure, box in figures if box.y1 < middle + room)
    lower = "".join(figure for _, figure, box in figures if box.y0 > middle - room)
    return f"{upper}/{lower}" if upper and lower else ""


def read_bar_number(system: System, texts: Sequence[Glyphs]) -> Mark | None:
    """Return the number of the bar that a system begins with."""
    for text in texts:
        beside = system.x0 - 10 < text.x and text.end < system.x0 + 4
        if beside and system.top - 7 < text.y < system.top + 0.5 and _NUMBER.fullmatch(text.text.strip()):
            return Mark(text.x, text.y, text.text.strip())
    return None


def read_barlines(system: System, ink: Ink) -> tuple[float, ...]:
    """Return where bars end, leaving out the line that opens a system; strokes of one barline count once."""
    staff = system.parts[0]
    room = _BAR_SPAN * staff.gap
    xs = sorted(
        line.x0
        for line in ink.lines
        if abs(line.x0 - line.x1) < 0.01
        and line.x0 > staff.x0 + 1
        and abs(min(line.y0, line.y1) - staff.top) < room
        and abs(max(line.y0, line.y1) - staff.bottom) < room
    )
    found: list[float] = []
    for x in xs:
        if not found or x - found[-1] > _ONE_BARLINE * staff.gap:
            found.append(x)
    return tuple(found)


def broken_barlines(system: System, ink: Ink) -> tuple[tuple[float, float], ...]:
    """Return where upright lines in a system are no barline through all of its staves."""
    upright = [
        (line.x0, min(line.y0, line.y1), max(line.y0, line.y1))
        for line in ink.lines
        if abs(line.x0 - line.x1) < 0.01 and system.x0 - 1 < line.x0 < system.x1 + 1
    ]
    gap = system.parts[0].gap
    inside = [one for one in upright if min(one[2], system.bottom) - max(one[1], system.top) > gap]
    found = []
    for x in sorted({round(one[0], 1) for one in inside}):
        strokes = sorted((top, bottom) for h, top, bottom in inside if abs(h - x) < 0.15)
        reached = strokes[0][0]
        whole = abs(reached - system.top) < _BAR_SPAN * gap
        for top, bottom in strokes:
            whole &= top - reached < _BAR_SPAN * gap
            reached = max(reached, bottom)
        if not whole or abs(reached - system.bottom) > _BAR_SPAN * gap:
            found.append((x, strokes[0][0]))
    return tuple(found)


def half_repeats(system: System, signs: dict[str, list[Glyphs]], ink: Ink) -> tuple[tuple[float, float], ...]:
    """Return where dots beside a thick barline are not two in every staff of the system."""
    gap = system.parts[0].gap
    thick = [
        area.box
        for area in ink.areas
        if 0.3 * gap < area.box.width < gap and abs(area.box.y0 - system.top) < gap and area.box.height > 3 * gap
    ]
    thick += [
        Box(line.x0 - line.width / 2, system.top, line.x0 + line.width / 2, system.bottom)
        for line in ink.lines
        if abs(line.x0 - line.x1) < 0.01 and line.width > 0.3 * gap and abs(min(line.y0, line.y1) - system.top) < gap
    ]
    found = []
    for bar in {round(box.middle, 1): box for box in thick}.values():
        for low, high in ((bar.x0 - _REPEAT * gap, bar.x0), (bar.x1, bar.x1 + _REPEAT * gap)):
            counts = [
                sum(low < dot.x < high and part.top < dot.y < part.bottom for dot in signs["dots"])
                for part in system.parts
            ]
            if any(counts) and any(count != 2 for count in counts):
                found.append((bar.x0, system.top))
    return tuple(found)
