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
    """A note as the fretting hand plays it; *number* is its place in the passage, *burst* that of its burst.

    *shape* is what a figure's hand had kept to by then; empty in written music.
    """

    number: int
    onset: Fraction
    duration: Fraction
    string: int
    fret: int
    finger: int
    position: int
    burst: int
    shape: tuple[tuple[int, int], ...]

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
    """Put the answer together; *motions* stand in the order of the notes."""
    order = sorted(range(len(motions)), key=lambda i: (motions[i].onset, i))
    places = [list(group) for _, group in groupby(order, key=lambda i: (motions[i].burst, motions[i].position))]
    shapes = [0] * len(motions)
    known: dict[tuple[int, frozenset[tuple[int, ...]]], int] = {}
    for stay in (part for place in places for part in _parts(place, motions)):
        shape = frozenset(_shaped(motions[i]) for i in stay if motions[i].finger)
        number = known.setdefault((motions[stay[0]].position, shape), len(known))
        for i in stay:
            shapes[i] = number
    shifts, sounding = 0, Fraction(0)
    for before, after in pairwise(places):
        sounding = max(sounding, *(motions[i].end for i in before))
        moved = motions[before[0]].position != motions[after[0]].position
        shifts += moved and sounding >= motions[after[0]].onset
    fingers = tuple(one.finger for one in motions)
    positions = tuple(one.position for one in motions)
    stays = _stays([motions[i] for i in order])
    widest = max((_reach_mm(stay, instrument) for stay in stays), default=0.0)
    return marked(Fingering(fingers, positions, tuple(shapes), cost, widest, shifts), motions, lie)


def _stays(order: Sequence[Motion]) -> Iterator[list[Motion]]:
    """What the hand plays in one place without a silence to leave it in, from burst to burst."""
    stay: list[Motion] = []
    sounding = order[0].onset if order else Fraction(0)
    for one in order:
        if stay and (one.position != stay[-1].position or (one.burst != stay[-1].burst and sounding < one.onset)):
            yield stay
            stay = []
        stay.append(one)
        sounding = max(sounding, one.end)
    yield stay


def _reach_mm(place: Sequence[Motion], instrument: Instrument) -> float:
    """From the lowest stopped fret to the highest."""
    frets = [one.fret for one in place if one.finger]
    return instrument.reach_mm(min(frets), max(frets)) if frets else 0.0


def _shaped(one: Motion) -> tuple[int, ...]:
    """What makes one shape of a hand another: in a figure a fret and its finger, in written music the string too."""
    return (one.fret, one.finger) if one.shape else (one.string, one.fret, one.finger)


def _parts(place: Sequence[int], motions: Sequence[Motion]) -> Iterator[list[int]]:
    """Cut a stay in a position where other fingers take over, so that a shape has one finger for a place."""
    part: list[int] = []
    fingers: dict[tuple[int, int], int] = {}
    for i in place:
        one = motions[i]
        spot = one.string, one.fret
        other = fingers.setdefault(spot, one.finger) != one.finger
        regripped = part and not set(motions[part[-1]].shape) <= set(one.shape)
        if regripped or (other and not one.shape):
            yield part
            part, fingers = [], {spot: one.finger}
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
