"""What a reader should be told of a fingering: guide fingers, stretches, barres, new hand shapes.

Stage:    theory (pure)
In, Out:  notes with string, fret, finger and hand position; marks, and the `Fingering` they belong to
Source:   a guide finger stays on its string through a shift, a barre is one finger on several strings at once: common
          practice; that a gap wider than its fingers is worth a mark: our own choice
Not here: which marks the page shows (`compose`)
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, pairwise

from builder.theory.fingering.lie import Lie
from builder.theory.fingering.states import Barre, Fingering
from builder.theory.fretboard import Instrument


@dataclass(frozen=True, slots=True)
class Motion:
    """A note as the fretting hand plays it; *number* is its place in the passage."""

    number: int
    onset: Fraction
    duration: Fraction
    string: int
    fret: int
    finger: int
    position: int

    @property
    def end(self) -> Fraction:
        """When it stops sounding."""
        return self.onset + self.duration


def marked(fingering: Fingering, motions: Sequence[Motion], lie: Lie) -> Fingering:
    """Return the *fingering* with its guide fingers, stretches and barres; *lie*: its frets at ease."""
    order = sorted(motions, key=lambda one: (one.onset, one.number))
    return replace(
        fingering,
        guides=tuple(_guides(order)),
        stretches=tuple(_stretches(order, lie)),
        barres=tuple(_barres(order)),
    )


def fingering_of(motions: Sequence[Motion], cost: float, instrument: Instrument, lie: Lie) -> Fingering:
    """Put the answer for freely placed notes together; *motions* stand in the order of the notes."""
    order = sorted(range(len(motions)), key=lambda i: (motions[i].onset, i))
    shapes, widest, shifts = [0] * len(motions), 0.0, 0
    known: dict[tuple[int, frozenset[tuple[int, int, int]]], int] = {}
    stays = [list(group) for _, group in groupby(order, key=lambda i: motions[i].position)]
    for stay in _settled(stays, motions):
        held = [motions[i] for i in stay if motions[i].finger]
        shape = frozenset((one.string, one.fret, one.finger) for one in held)
        number = known.setdefault((motions[stay[0]].position, shape), len(known))
        for i in stay:
            shapes[i] = number
        if held:
            frets = [one.fret for one in held]
            widest = max(widest, instrument.reach_mm(min(frets), max(frets)))
    for before, after in pairwise(stays):
        sounding = max(motions[i].end for i in order if motions[i].onset < motions[after[0]].onset)
        shifts += sounding >= motions[after[0]].onset and before != after
    fingers = tuple(one.finger for one in motions)
    positions = tuple(one.position for one in motions)
    found = Fingering(fingers, positions, tuple(shapes), cost, widest, shifts)
    return marked(found, motions, lie)


def _settled(stays: Sequence[Sequence[int]], motions: Sequence[Motion]) -> Iterator[list[int]]:
    """Cut each stay in a position where a place gets another finger, so that a shape has one finger for a place."""
    for stay in stays:
        part: list[int] = []
        fingers: dict[tuple[int, int], int] = {}
        for i in stay:
            place = motions[i].string, motions[i].fret
            if fingers.setdefault(place, motions[i].finger) != motions[i].finger:
                yield part
                part, fingers = [], {place: motions[i].finger}
            part.append(i)
        yield part


def _guides(order: Sequence[Motion]) -> Iterator[tuple[int, int]]:
    """Pairs of notes between which a finger slides along its string into a new position, in touch all the while."""
    last: dict[int, Motion] = {}
    for onset, group in groupby(order, key=lambda one: one.onset):
        struck = [one for one in group if one.finger]
        for one in struck:
            was = last.get(one.finger)
            if was and was.string == one.string and was.fret != one.fret and was.position != one.position:
                yield was.number, one.number
        fingers = {one.finger: one for one in struck}
        last = {finger: one for finger, one in last.items() if one.end > onset} | fingers if struck else last


def _stretches(order: Sequence[Motion], lie: Lie) -> Iterator[int]:
    """Notes that open the hand wider than one finger a fret, against the note before or those still sounding; each
    gap once a stay."""
    seen: set[tuple[int, ...]] = set()
    for _, stay in groupby(order, key=lambda one: one.position):
        seen.clear()
        near: list[Motion] = []
        for one in (one for one in stay if one.finger):
            opened = [other for other in near if _opens(other, one, lie)]
            gaps = {(other.fret, other.finger, one.fret, one.finger) for other in opened} - seen
            if gaps:
                yield one.number
            seen |= gaps | {(c, d, a, b) for a, b, c, d in gaps}
            near = [other for other in near if other.end > one.onset or other.onset == one.onset] + [one]


def _opens(a: Motion, b: Motion, lie: Lie) -> bool:
    """Whether two fingers lie further apart than a finger a fret."""
    low, high = (a, b) if a.finger < b.finger else (b, a)
    return low.finger < high.finger and lie.opens(low.finger, high.finger, abs(high.fret - low.fret))


def _barres(order: Sequence[Motion]) -> Iterator[Barre]:
    """Every finger that lies over several strings at once, from the first of its notes to the end of the last."""
    lying: dict[tuple[int, int, int], list[Motion]] = {}
    found = []
    for one in order:
        if one.finger:
            key = one.finger, one.fret, one.position
            if max((note.end for note in lying.get(key, ())), default=one.onset) <= one.onset:
                lying[key] = []
                found.append(lying[key])
            lying[key].append(one)
    yield from (_barre(notes) for notes in found if len({note.string for note in notes}) > 1)


def _barre(notes: Sequence[Motion]) -> Barre:
    strings = sorted(note.string for note in notes)
    numbers = tuple(note.number for note in notes)
    until = max(note.end for note in notes)
    return Barre(notes[0].finger, notes[0].fret, (strings[0], strings[-1]), numbers, notes[0].onset, until)
