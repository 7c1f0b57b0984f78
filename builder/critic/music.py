"""A system read back: note heads as pitches, digits with their strings, and the signs around them.

Stage:    page critic
In, Out:  a `System` and the page's `Ink`; a `Reading`
Units:    millimetres, y downwards
Not here: heads (`pitches`), signs (`signs`), whether what is read is right (`study`)
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence

from builder.critic.ink import Glyphs, Ink
from builder.critic.notes import Digit, Digits, Mark, Reading
from builder.critic.pitches import read_chords
from builder.critic.signs import (
    broken_barlines,
    half_repeats,
    read_bar_number,
    read_barlines,
    read_letters,
    read_meter,
    read_over_staff,
    read_rests,
    read_strokes,
)
from builder.critic.staves import Staff, System
from builder.critic.values import read_values

_DIGITS = re.compile(r"\(?(\d{1,2})\)?")
_PALEST = 0.9  # white on white is not there
_TAB_COLUMN_MM = 1.7  # digits nearer than this sound together: notes in turn stand 5 mm apart


def read_music(system: System, ink: Ink) -> Reading:
    """Read one system."""
    signs: dict[str, list[Glyphs]] = defaultdict(list)
    for glyph in ink.signs:
        seen = glyph.grey < _PALEST
        if seen and system.above <= glyph.y <= system.below and glyph.x >= system.x0 - 3:
            signs[glyph.sign.partition(".")[0]].append(glyph)
    texts = [text for text in ink.texts if system.above <= text.y <= system.below and text.grey < _PALEST]
    barlines = read_barlines(system, ink)
    chords, signature, strays = read_chords(system.staff, signs, texts, ink, barlines) if system.staff else ((), 0, ())
    return Reading(
        system,
        signature,
        chords,
        _digits(system.tab, texts) if system.tab else (),
        *read_over_staff(system.staff or system.tab, signs, chords),
        read_strokes(system, signs),
        read_letters(system, ink.texts),
        read_rests(system.staff or system.tab, signs),
        read_bar_number(system, texts),
        barlines,
        read_meter(system.staff, signs) if system.staff else "",
        tuple(Mark(sign.x, sign.y, sign.sign) for sign in (*strays, *_clefs(system, signs))),
        broken_barlines(system, ink),
        half_repeats(system, signs, ink),
        read_values(system.staff, chords, signs, ink) if system.staff else {},
    )


def _clefs(system: System, signs: dict[str, list[Glyphs]]) -> list[Glyphs]:
    """Clefs beside those that begin its staves: no study changes its clef."""
    own = {(part.clef.x, part.clef.y) for part in system.parts}
    return [sign for sign in signs["clefs"] if (sign.x, sign.y) not in own and system.top < sign.y < system.bottom]


def _digits(tab: Staff, texts: Sequence[Glyphs]) -> tuple[Digits, ...]:
    found = []
    for text in texts:
        match = _DIGITS.fullmatch(text.text.strip())
        box = text.box if match else None
        if match is None or box is None or not tab.clef.x + tab.gap < box.middle < tab.x1:
            continue
        y = (box.y0 + box.y1) / 2
        line = (y - tab.top) / tab.gap
        if -0.5 < line < len(tab.ys) - 0.5:
            found.append(Digit(box.middle, y, round(line) + 1, int(match[1]), abs(line - round(line))))
    found.sort(key=lambda digit: digit.x)
    columns: list[list[Digit]] = []
    for digit in found:
        if columns and digit.x - columns[-1][0].x < _TAB_COLUMN_MM:
            columns[-1].append(digit)
        else:
            columns.append([digit])
    return tuple(Digits(sum(digit.x for digit in column) / len(column), tuple(column)) for column in columns)
