"""Chord names over a study's systems, put together from letters and signs and held against its document.

Stage:    page critic
In, Out:  `Expected`, notes with their places; `Finding`s
Units:    millimetres from the upper left corner
Not here: the diagrams over them (`diagrams`)

Many things stand over a staff. A name is looked for where its chord begins; what else stands on the line of names that
were found must be a name too.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator, Sequence
from fractions import Fraction

from builder.critic.expected import Expected, Moment
from builder.critic.finding import Finding
from builder.critic.ink import Ink
from builder.critic.notes import Chord, Digits, Reading

_SIGNS = {
    "accidentals.sharp": "#",
    "accidentals.flat": "b",
    "accidentals.doublesharp": "##",
    "accidentals.flatflat": "bb",
}
_HIGHEST_MM = 40.0  # names stand this near over the staff, with a diagram between other lines at most
_SAME_LINE_MM = 0.4
_RAISED = 0.6  # a sign in a name is raised by less than this share of the type size
_JOINED = 0.45  # and stands this near to its letters, as a share of the type size
_BEGINS_MM = 2.0  # a name begins this near to the left edge of its note: two large figures begin left of it

Noted = tuple[int, Ink, Reading, Chord | Digits, Moment]
Name = tuple[float, float, str]  # left edge, baseline, symbol
Piece = tuple[float, float, str]  # left and right edge, text


def chord_findings(
    wanted: Expected, notes: Sequence[Noted], systems: Sequence[tuple[int, Ink, Reading]]
) -> Iterator[Finding]:
    """Return chord names that are missing, wrong, or too many."""
    if not wanted.chords or not notes:
        return
    starts = [next((note[4].onset for note in notes if note[2] is reading), None) for _, _, reading in systems]
    known = [(onset, system) for onset, system in zip(starts, systems, strict=True) if onset is not None]
    onsets = [onset for onset, _ in known]
    of_system: dict[int, list[tuple[Fraction, str]]] = {}
    for onset, symbol in wanted.chords:
        # A chord before the first note of its system, over a rest, belongs there all the same.
        of_system.setdefault(max(0, bisect_right(onsets, onset) - 1), []).append((onset, symbol))
    for index, (_, (page, ink, reading)) in enumerate(known):
        here = [note for note in notes if note[2] is reading]
        yield from _system(page, _names(ink, reading), reading, here, of_system.get(index, []), wanted.shapes)


def _system(
    page: int,
    names: list[Name],
    reading: Reading,
    notes: Sequence[Noted],
    chords: Sequence[tuple[Fraction, str]],
    shapes: frozenset[str],
) -> Iterator[Finding]:
    lefts = {note[4].onset: _left(note[3]) for note in notes}
    used: set[Name] = set()
    lost = []
    for onset, symbol in chords:
        left = lefts.get(onset)
        near = [name for name in names if name not in used and (left is None or abs(name[0] - left) < _BEGINS_MM)]
        exact = [name for name in near if name[2] == symbol]
        if exact:
            used.add(max(exact, key=lambda name: name[1]))
        else:
            lost.append((left, symbol))
    lines = {name[1] for name in used}
    others = [
        name
        for name in names
        if name not in used and name[2][0].isupper() and any(abs(name[1] - y) < _SAME_LINE_MM for y in lines)
    ]
    top = reading.system.top
    for left, symbol in lost:
        instead = [name for name in others if left is not None and abs(name[0] - left) < _BEGINS_MM]
        if instead:
            others.remove(instead[0])
            yield Finding(page, instead[0][:2], "chord", f"reads {instead[0][2]}, not {symbol}")
        else:
            place = reading.system.x0 if left is None else left
            yield Finding(page, (place, top), "chord", f"the chord name {symbol} is missing")
    for name in others:
        if name[2] in shapes:
            continue
        yield Finding(page, name[:2], "chord", f"{name[2]} is not in the study")


def _left(notes: Chord | Digits) -> float:
    return notes.left if isinstance(notes, Chord) else notes.x - 1


def _names(ink: Ink, reading: Reading) -> list[Name]:
    """All texts over the staff, put together with the signs set into them."""
    system = reading.system
    floor, ceiling = system.top, max(system.above, system.top - _HIGHEST_MM)
    texts = [text for text in ink.texts if ceiling < text.y < floor and text.x > system.x0 and text.text.strip()]
    signs = [sign for sign in ink.signs if sign.sign in _SIGNS and ceiling < sign.y < floor + 1]
    lines: dict[float, list[Piece]] = defaultdict(list)
    sizes: dict[float, float] = {}
    for text in texts:
        y = round(text.y, 1)
        lines[y].append((text.x, text.end, text.text.replace(" ", "")))
        sizes[y] = max(text.size, sizes.get(y, 0.0))
    for y, line in lines.items():
        line += [(sign.x, sign.end, _SIGNS[sign.sign]) for sign in signs if 0 <= y - sign.y < _RAISED * sizes[y]]
    return [name for y, line in lines.items() for name in _chained(sorted(line), y, sizes[y])]


def _chained(pieces: Sequence[Piece], y: float, size: float) -> list[Name]:
    """The pieces of one line as names: a piece close behind another goes on with it."""
    found: list[Name] = []
    reached = 0.0
    for x, end, piece in pieces:
        if found and x - reached < _JOINED * size:
            found[-1] = (found[-1][0], y, found[-1][2] + piece)
        else:
            found.append((x, y, piece))
        reached = end
    return found
