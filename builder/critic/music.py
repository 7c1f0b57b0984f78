"""A system read back: note heads as pitches, digits with their strings, and the signs around them.

Stage:    page critic
In, Out:  a `System` and the page's `Ink`; a `Reading`
Units:    millimetres, y downwards; durations in fractions of a whole note
Source:   clefs, key signatures and how long an accidental holds: common practice, as in E. Gould, *Behind Bars*, 2011;
          glyph names: the LilyPond Notation Reference, appendix "The Emmentaler font"
Not here: whether what is read is right (`study`)

Stems and beams are drawn, not set as glyphs: lengths of notes are not read.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from builder.critic.ink import Box, Glyphs, Ink
from builder.critic.staves import Staff, System

_Place = tuple[Box, float, str]  # a head before it is read: its ink, its height, its glyph

_LETTERS = "CDEFGAB"
_CLEFS = {"clefs.G": ("G", 4), "clefs.F": ("F", 3), "clefs.C": ("C", 4)}  # the note on whose line the clef stands
_ALTERS = {
    "accidentals.sharp": 1,
    "accidentals.flat": -1,
    "accidentals.natural": 0,
    "accidentals.doublesharp": 2,
    "accidentals.flatflat": -2,
}
_SIGNS = {2: "##", 1: "#", 0: "", -1: "b", -2: "bb"}
_FINGERS = {"zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5}
_FIGURES = {
    **{"zero": "0", "one": "1", "two": "2", "three": "3", "four": "4"},
    **{"five": "5", "six": "6", "seven": "7", "eight": "8", "nine": "9"},
}
_STROKES = {"scripts.downbow": "down", "scripts.upbow": "up"}
_DIGITS = re.compile(r"\(?(\d{1,2})\)?")
_NUMBER = re.compile(r"\d{1,4}")
_OCTAVE = re.compile(r"\(?8(va)?\)?")
_PLUCKS = re.compile(r"[pima]{1,4}")

# Distances in staff spaces. All are our own choice, with room on both sides of what the pages of the demo measure.
_BESIDE = 1.2  # an accidental this near to a head is the head's (measured 0.4), further off the signature's (2.2)
_CHAIN = 0.55  # accidentals this near to each other belong together
_STACKED = 6.0  # accidentals of a chord stand this far left of their head at most
_TIE_END = 1.3  # a tie ends this near to its head
_TIE_HEIGHT = 3.0  # and runs this near over or under it
_TIE_COLUMNS = 6  # a tie of one voice passes over this many notes of the other at most
_BROKEN_TIE = 8.0  # what is left of a tie behind a line break is no longer than this
_CURVES = 12.0  # slurs and ties stand this near to the top line
_PALEST = 0.9  # white on white is not there
_HEADS = 8.0  # heads stand at most this high over the staff: further up is the note value of the tempo
_OVER = 9.0  # fingers and accents stand this near over the staff or its highest head
_OVER_HEAD = 6.0
_COLUMN = 1.5  # heads nearer than this many widths of a head sound together
_TAB_COLUMN_MM = 1.7  # digits nearer than this sound together: notes in turn stand 5 mm apart
_CLEF_FIGURE = 3.0  # the 8 of a clef stands this near to the staff
_BAR_SPAN = 0.4  # a barline ends this near to the outer lines
_OVER_ONE = 12.0  # strokes over one staff alone stand beyond fingers, accents and string numbers
_STEMMED = 7.0  # and letters this near to a tablature with stems
_ONE_BARLINE = 2.6  # strokes nearer than this are one barline


@dataclass(frozen=True, slots=True)
class Head:
    """A note head; *pitch* is spelled and sounding, *step* counts from the bottom line.

    *off* is how far it stands from a line or space, in steps; *may_go_on*: a tie may lead to it, so that nothing is
    struck; *sign* says whether it has an accidental of its own; *kind* is the name of its glyph.
    """

    box: Box
    y: float
    step: int
    off: float
    pitch: str
    sign: bool
    may_go_on: bool
    kind: str


@dataclass(frozen=True, slots=True)
class Chord:
    """Heads that sound together."""

    x: float
    heads: tuple[Head, ...]

    @property
    def left(self) -> float:
        """Where its first head begins."""
        return min(head.box.x0 for head in self.heads)

    @property
    def place(self) -> tuple[float, float]:
        """Where to look for it."""
        return self.x, min(head.y for head in self.heads)


@dataclass(frozen=True, slots=True)
class Digit:
    """A fret number on string *string*; *off* is how far it stands from the line, in gaps."""

    x: float
    y: float
    string: int
    fret: int
    off: float


@dataclass(frozen=True, slots=True)
class Digits:
    """Fret numbers that sound together."""

    x: float
    digits: tuple[Digit, ...]

    @property
    def place(self) -> tuple[float, float]:
        """Where to look for it."""
        return self.x, min(digit.y for digit in self.digits)


@dataclass(frozen=True, slots=True)
class Mark:
    """A sign at a place: a finger, a stroke, an accent, a letter, a rest; *value* says which."""

    x: float
    y: float
    value: str


@dataclass(frozen=True, slots=True)
class RestSign:
    """A rest by the value it is written with; *whole* may fill a bar of any length."""

    x: float
    y: float
    length: Fraction
    whole: bool


@dataclass(frozen=True, slots=True)
class Reading:
    """All read from one system; *signature* counts sharps up, flats down; *meter* is empty where none stands."""

    system: System
    signature: int
    chords: tuple[Chord, ...]
    digits: tuple[Digits, ...]
    fingers: tuple[Mark, ...]
    accents: tuple[Mark, ...]
    strokes: tuple[Mark, ...]
    letters: tuple[Mark, ...]
    rests: tuple[RestSign, ...]
    bar_number: Mark | None
    barlines: tuple[float, ...]
    meter: str


def read_music(system: System, ink: Ink) -> Reading:
    """Read one system."""
    signs: dict[str, list[Glyphs]] = defaultdict(list)
    for glyph in ink.signs:
        seen = glyph.grey < _PALEST
        if seen and system.above <= glyph.y <= system.below and glyph.x >= system.x0 - 3:
            signs[glyph.sign.partition(".")[0]].append(glyph)
    texts = [text for text in ink.texts if system.above <= text.y <= system.below and text.grey < _PALEST]
    barlines = _barlines(system, ink)
    chords, signature = _chords(system.staff, signs, texts, ink, barlines) if system.staff else ((), 0)
    return Reading(
        system,
        signature,
        chords,
        _digits(system.tab, texts) if system.tab else (),
        *_over_staff(system.staff or system.tab, signs, chords),
        _strokes(system, signs),
        _letters(system, ink.texts),
        _rests(system.staff or system.tab, signs),
        _bar_number(system, texts),
        barlines,
        _meter(system.staff, signs) if system.staff else "",
    )


# --- note heads ---


def _chords(
    staff: Staff,
    signs: dict[str, list[Glyphs]],
    texts: Sequence[Glyphs],
    ink: Ink,
    barlines: Sequence[float],
) -> tuple[tuple[Chord, ...], int]:
    size = staff.clef.size
    heads = sorted(
        (
            (_box(sign), sign.y, sign.sign)
            for sign in signs["noteheads"]
            if 0.85 < sign.size / size < 1.15 and -_HEADS * staff.gap < sign.y - staff.top
        ),
        key=lambda head: head[0].middle,
    )
    marks = [sign for sign in signs["accidentals"] if sign.sign in _ALTERS and 0.95 < sign.size / size < 1.05]
    own, signature_signs = _sorted_out(marks, heads, staff)
    signature, alters = _signature(signature_signs, staff, texts)
    curves = [
        area.box
        for area in ink.areas
        if area.curved and area.filled and abs(area.box.y0 - staff.top) < _CURVES * staff.gap
    ]
    line = _Pitches(staff, _base(staff, texts), own, alters, tuple(_octave_lines(staff, texts, ink)), tuple(curves))
    held: dict[int, int] = {}
    found: list[Chord] = []
    bar = -1
    for column in _columns(heads):
        now = bisect_left(barlines, column[0][0].middle)
        if now != bar:
            held, bar = {}, now
        before = found[-_TIE_COLUMNS:]
        chord = tuple(line.head(place, held, before) for place in column)
        found.append(Chord(sum(box.middle for box, _, _ in column) / len(column), chord))
    return tuple(found), signature


@dataclass(frozen=True, slots=True)
class _Pitches:
    """What a staff says about the pitch of a head that stands on it."""

    staff: Staff
    base: int
    own: dict[tuple[float, float], int]
    alters: dict[str, int]
    octaves: tuple[tuple[float, float], ...]
    curves: tuple[Box, ...]

    def head(self, place: _Place, held: dict[int, int], before: Sequence[Chord]) -> Head:
        """Read a head; *held* are the accidentals of its bar by step, *before* the heads a tie may come from."""
        box, y, kind = place
        exact = self.staff.step(y)
        step = round(exact)
        number = self.base + step
        sign = self.own.get((box.x0, y))
        if sign is not None:
            held[step] = sign
        alter = held.get(step, self.alters.get(_LETTERS[number % 7], 0))
        up = any(left <= box.middle <= right for left, right in self.octaves)
        pitch = f"{_LETTERS[number % 7]}{_SIGNS[alter]}{number // 7 + up}"
        goes_on = sign is None and self._tied(box, y, step, before)
        return Head(box, y, step, abs(exact - step), pitch, sign is not None, goes_on, kind)

    def _tied(self, box: Box, y: float, step: int, before: Sequence[Chord]) -> bool:
        """Say whether a curve may tie this head to an earlier one of its step, or comes from the line before."""
        gap = self.staff.gap
        near = _TIE_END * gap
        earlier = [head.box for chord in before for head in chord.heads if head.step == step]
        for curve in self.curves:
            ends = box.x0 - near <= curve.x1 <= box.x1 + near / 2
            if not ends or abs((curve.y0 + curve.y1) / 2 - y) > _TIE_HEIGHT * gap:
                continue
            if any(head.x0 - near / 2 <= curve.x0 <= head.x1 + near for head in earlier):
                return True
            if not before and curve.width < _BROKEN_TIE * gap:
                return True
        return False


def _columns(heads: Sequence[_Place]) -> list[list[_Place]]:
    columns: list[list[_Place]] = []
    for head in heads:
        if columns and head[0].middle - columns[-1][0][0].middle < _COLUMN * head[0].width:
            columns[-1].append(head)
        else:
            columns.append([head])
    return columns


def _sorted_out(
    marks: Iterable[Glyphs], heads: Sequence[_Place], staff: Staff
) -> tuple[dict[tuple[float, float], int], list[Glyphs]]:
    """Return the accidentals of heads, and those of the signature: a chain of signs that no head follows at once."""
    chains: list[list[tuple[Box, Glyphs]]] = []
    ends: list[float] = []
    for box, mark in sorted(((_box(mark), mark) for mark in marks), key=lambda pair: pair[0].x0):
        if chains and box.x0 - ends[-1] < _CHAIN * staff.gap:
            chains[-1].append((box, mark))
            ends[-1] = max(ends[-1], box.x1)
        else:
            chains.append([(box, mark)])
            ends.append(box.x1)
    lefts = [head[0].x0 for head in heads]
    lefts.sort()
    own: dict[tuple[float, float], int] = {}
    signature: list[Glyphs] = []
    for chain, end in zip(chains, ends, strict=True):
        place = bisect_left(lefts, end - 0.3 * staff.gap)
        if place == len(lefts) or lefts[place] - end > _BESIDE * staff.gap:
            signature += [mark for _, mark in chain]
            continue
        signature += _before_first(chain, heads, staff)
        for box, mark in chain:
            head = _owner(box, mark, heads, staff)
            if head is not None:
                own[head[0].x0, head[1]] = _ALTERS[mark.sign]
    return own, signature


def _before_first(chain: Sequence[tuple[Box, Glyphs]], heads: Sequence[_Place], staff: Staff) -> list[Glyphs]:
    """The signature's signs of a chain that goes on with those of the first heads: no head follows on their line.

    In large print the two stand closer than a signature's own signs. Of two signs on one line the latter is the head's.
    """
    first = min(head[0].x0 for head in heads)
    begun = [mark for box, mark in chain if box.x0 < first]
    return [
        mark
        for number, (box, mark) in enumerate(chain[: len(begun)])
        if _owner(box, mark, heads, staff) is None
        or any(abs(later.y - mark.y) < 0.25 * staff.gap for later in begun[number + 1 :])
    ]


def _owner(box: Box, mark: Glyphs, heads: Sequence[_Place], staff: Staff) -> _Place | None:
    reach = _STACKED * staff.gap
    for head in heads:  # from the left: the first one of its step
        if box.x1 - 0.3 * staff.gap < head[0].x0 < box.x1 + reach and abs(head[1] - mark.y) < 0.25 * staff.gap:
            return head
    return None


def _signature(marks: Sequence[Glyphs], staff: Staff, texts: Sequence[Glyphs]) -> tuple[int, dict[str, int]]:
    """Return the key signature as a number and as what it does to each letter."""
    base = _base(staff, texts)
    alters: dict[str, int] = {}
    for mark in marks:
        if mark.x < staff.x0 + 30 and staff.top - staff.gap < mark.y < staff.bottom + staff.gap:
            alters[_LETTERS[(base + round(staff.step(mark.y))) % 7]] = _ALTERS[mark.sign]
    return sum(alters.values()), alters


def _base(staff: Staff, texts: Sequence[Glyphs]) -> int:
    """Return the number of the sounding note on the bottom line: 7 a whole octave, C0 = 0."""
    letter, octave = _CLEFS.get(staff.clef.sign.removesuffix("_change"), ("G", 4))
    number = 7 * octave + _LETTERS.index(letter) - round(staff.step(staff.clef.y))
    for text in texts:
        if text.text in ("8", "15") and staff.clef.x - 1 < text.x < staff.clef.x + 6:
            if 0 < text.y - staff.bottom < (_CLEF_FIGURE + 1.5) * staff.gap:
                return number - (7 if text.text == "8" else 14)
            if 0 < staff.top - text.y < _CLEF_FIGURE * staff.gap:
                return number + (7 if text.text == "8" else 14)
    return number


def _octave_lines(staff: Staff, texts: Sequence[Glyphs], ink: Ink) -> list[tuple[float, float]]:
    """Return from where to where notes sound an octave above: an 8 with a line behind it, over the staff."""
    found = []
    for text in texts:
        if not _OCTAVE.fullmatch(text.text.strip()) or text.y > staff.top:
            continue
        for line in ink.lines:
            left, right = sorted((line.x0, line.x1))
            level = abs(line.y0 - line.y1) < 0.05 and -4 < line.y0 - text.y < 1
            if level and 0 <= left - text.end < 4 and right - left > 1:
                found.append((text.x - 1, right + staff.gap))
    return found


# --- tablature ---


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


# --- signs ---


def _over_staff(
    staff: Staff | None, signs: dict[str, list[Glyphs]], chords: Sequence[Chord]
) -> tuple[tuple[Mark, ...], tuple[Mark, ...]]:
    """Return finger numbers and accents around the staff."""
    if staff is None:
        return (), ()
    highest = min((head.y for chord in chords for head in chord.heads), default=staff.top)
    ceiling = min(staff.top - _OVER * staff.gap, highest - _OVER_HEAD * staff.gap)
    fingers = [
        Mark(_box(sign).middle, sign.y, str(_FINGERS[name]))
        for sign in signs["fattened"]
        for name in (sign.sign.split(".")[1],)
        if name in _FINGERS and sign.y > ceiling
    ]
    accents = [
        Mark(_box(sign).middle, sign.y, "accent")
        for sign in signs["scripts"]
        if sign.sign == "scripts.sforzato" and sign.y > ceiling
    ]
    return tuple(fingers), tuple(accents)


def _strokes(system: System, signs: dict[str, list[Glyphs]]) -> tuple[Mark, ...]:
    first = system.staff or system.tab
    alone = first is not None and (system.staff is None or system.tab is None)
    top = first.top - _OVER_ONE * first.gap if first and alone else system.staff.bottom if system.staff else system.top
    return tuple(
        Mark(_box(sign).middle, sign.y, _STROKES[sign.sign])
        for sign in signs["scripts"]
        if sign.sign in _STROKES and top < sign.y < system.bottom
    )


def _letters(system: System, texts: Sequence[Glyphs]) -> tuple[Mark, ...]:
    """Return the letters of the plucking hand between staff and tablature and under it."""
    tab = system.tab
    if tab is None:
        return ()
    # Without a staff, stems stand between the letters and the tablature.
    top = system.staff.bottom if system.staff else max(system.above, tab.top - _STEMMED * tab.gap)
    floor = tab.bottom + (4 if system.staff else _STEMMED) * tab.gap
    return tuple(
        Mark((text.x + text.end) / 2, text.y, text.text.strip())
        for text in texts
        if _PLUCKS.fullmatch(text.text.strip()) and top < text.y < floor and not tab.top < text.y < tab.bottom
    )


def _rests(staff: Staff | None, signs: dict[str, list[Glyphs]]) -> tuple[RestSign, ...]:
    if staff is None:
        return ()
    dots = [_box(sign) for sign in signs["dots"]]
    found = []
    for sign in signs["rests"]:
        box, name = _box(sign), sign.sign.split(".")[1].rstrip("o")
        if not name.isdigit() or not staff.top - 5 * staff.gap < sign.y < staff.bottom + 5 * staff.gap:
            continue
        count = sum(
            0 < dot.x0 - box.x1 < 2.2 * staff.gap and abs((dot.y0 + dot.y1) / 2 - sign.y) < 1.2 * staff.gap
            for dot in dots
        )
        length = Fraction(1, 2 ** int(name)) * (2 - Fraction(1, 2**count))
        found.append(RestSign(box.middle, sign.y, length, name == "0"))
    return tuple(sorted(found, key=lambda rest: rest.x))


def _meter(staff: Staff, signs: dict[str, list[Glyphs]]) -> str:
    """Return the time signature: figures in the upper and in the lower half of the staff."""
    middle, room = (staff.top + staff.bottom) / 2, staff.gap / 4
    figures = sorted(
        (
            (sign.x, figure, _box(sign))
            for name, figure in _FIGURES.items()
            for sign in signs[name]
            if staff.top - 0.5 < sign.y < staff.bottom + 0.5
        ),
        key=lambda figure: figure[0],
    )
    upper = "".join(figure for _, figure, box in figures if box.y1 < middle + room)
    lower = "".join(figure for _, figure, box in figures if box.y0 > middle - room)
    return f"{upper}/{lower}" if upper and lower else ""


def _bar_number(system: System, texts: Sequence[Glyphs]) -> Mark | None:
    for text in texts:
        beside = system.x0 - 10 < text.x and text.end < system.x0 + 4
        if beside and system.top - 7 < text.y < system.top + 0.5 and _NUMBER.fullmatch(text.text.strip()):
            return Mark(text.x, text.y, text.text.strip())
    return None


def _barlines(system: System, ink: Ink) -> tuple[float, ...]:
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


def _box(sign: Glyphs) -> Box:
    return sign.box or Box(sign.x, sign.y, sign.end, sign.y)
