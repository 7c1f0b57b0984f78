"""Note heads read as pitches: clef, key signature, accidentals, octave lines, and what a tie leads to.

Stage:    page critic
In, Out:  a `Staff` with the signs, texts and curves around it; `Chord`s from the left and the key signature
Units:    millimetres, y downwards
Source:   clefs, key signatures and how long an accidental holds: common practice, as in E. Gould, *Behind Bars*, 2011;
          glyph names: the LilyPond Notation Reference, appendix "The Emmentaler font"
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from builder.critic.ink import Box, Glyphs, Ink
from builder.critic.notes import Chord, Head
from builder.critic.staves import Staff

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
_OCTAVE = re.compile(r"\(?8(va)?\)?")

# Distances in staff spaces. All are our own choice, with room on both sides of what the pages of the demo measure.
_BESIDE = 1.2  # an accidental this near to a head is the head's (measured 0.4), further off the signature's (2.2)
_CHAIN = 0.55  # accidentals this near to each other belong together
_STACKED = 6.0  # accidentals of a chord stand this far left of their head at most
_TIE_END = 1.3  # a tie ends this near to its head
_TIE_HEIGHT = 3.0  # and runs this near over or under it
_TIE_COLUMNS = 6  # a tie of one voice passes over this many notes of the other at most
_BROKEN_TIE = 8.0  # what is left of a tie behind a line break is no longer than this
_CURVES = 12.0  # slurs and ties stand this near to the top line
_HEADS = 8.0  # heads stand at most this high over the staff: further up is the note value of the tempo
_COLUMN = 1.5  # heads nearer than this many widths of a head sound together
_BESIDE_STAFF = 4.0  # accidentals farther off belong to no note on it
_CLEF_FIGURE = 3.0  # the 8 of a clef stands this near to the staff


def read_chords(
    staff: Staff,
    signs: dict[str, list[Glyphs]],
    texts: Sequence[Glyphs],
    ink: Ink,
    barlines: Sequence[float],
) -> tuple[tuple[Chord, ...], int, tuple[Glyphs, ...]]:
    """Return the chords on *staff*, its key signature (sharps up, flats down), accidentals that belong to nothing."""
    size = staff.clef.size
    heads = sorted(
        (
            (sign.ink_box, sign.y, sign.sign)
            for sign in signs["noteheads"]
            if 0.85 < sign.size / size < 1.15 and -_HEADS * staff.gap < sign.y - staff.top
        ),
        key=lambda head: head[0].middle,
    )
    marks = [sign for sign in signs["accidentals"] if sign.sign in _ALTERS and 0.95 < sign.size / size < 1.05]
    own, signature_signs, strays = _sorted_out(marks, heads, staff)
    signature, alters = _signature(signature_signs, staff, texts)
    strays += [mark for mark in signature_signs if not _at_clef(mark, staff) and _near_staff(mark, staff)]
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
    return tuple(found), signature, tuple(strays)


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
) -> tuple[dict[tuple[float, float], int], list[Glyphs], list[Glyphs]]:
    """Return the accidentals of heads, those of the signature, and those that belong to nothing.

    A signature is a chain of signs that no head follows at once.
    """
    chains: list[list[tuple[Box, Glyphs]]] = []
    ends: list[float] = []
    for box, mark in sorted(((mark.ink_box, mark) for mark in marks), key=lambda pair: pair[0].x0):
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
    strays: list[Glyphs] = []
    for chain, end in zip(chains, ends, strict=True):
        place = bisect_left(lefts, end - 0.3 * staff.gap)
        if place == len(lefts) or lefts[place] - end > _BESIDE * staff.gap:
            signature += [mark for _, mark in chain]
            continue
        first = _before_first(chain, heads, staff)
        signature += first
        for box, mark in chain:
            head = _owner(box, mark, heads, staff)
            if head is not None:
                own[head[0].x0, head[1]] = _ALTERS[mark.sign]
            elif mark not in first:
                strays.append(mark)
    return own, signature, strays


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
        if _at_clef(mark, staff):
            alters[_LETTERS[(base + round(staff.step(mark.y))) % 7]] = _ALTERS[mark.sign]
    return sum(alters.values()), alters


def _at_clef(mark: Glyphs, staff: Staff) -> bool:
    return mark.x < staff.x0 + 30 and staff.top - staff.gap < mark.y < staff.bottom + staff.gap


def _near_staff(mark: Glyphs, staff: Staff) -> bool:
    return staff.top - _BESIDE_STAFF * staff.gap < mark.y < staff.bottom + _BESIDE_STAFF * staff.gap


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
