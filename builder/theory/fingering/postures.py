"""Every way a hand can stop the notes struck at one moment, and what each costs by itself.

Stage:    theory (pure)
In, Out:  notes with the places allowed to them; `Posture`s, cheapest first
Units:    lengths enter the cost in units of 30 mm, about one fret in the middle of the neck
Source:   hard rules are common practice (one note a string, one finger a fret, a barre only at one fret and by fingers
          2 to 4 on three neighbouring strings at most, no higher fret under a lower finger); how far two fingers open,
          as shares of the hand's limit, and how far one leaves its place: our own choice, tried on the published etudes
          of the benchmark; terms: see the weights file
Not here: what follows what (`moves`), which notes go together (`moments`)
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from itertools import combinations
from typing import NamedTuple

from builder.theory.fingering.grips import CHORD_NOTES, Grips, grips_for
from builder.theory.fingering.lie import NARROW_WIDTH, lie_of
from builder.theory.fingering.states import reach_class
from builder.theory.fingering.weights import Weights
from builder.theory.fretboard import Hand, Instrument, Place

Stopped = tuple[int, int, int]
"""String, fret, finger; finger 0 = open."""

_UNIT_MM = 30.0
_AT_EASE_MM = 28.0  # between neighbouring fingers, before a stretch is felt: our own choice
# How far two fingers open, as shares of what the hand takes from 1 to 4: index and middle open widest. So a medium hand
# has the movable A shape (1 2 3 4 1) from fret 1 of a guitar on.
_OPEN_SHARES = {(1, 2): 0.67, (2, 3): 0.5, (3, 4): 0.5, (1, 3): 0.85, (2, 4): 0.75, (1, 4): 1.0}
# Frets a finger may stand below and above its own place: crowded as far as the index's fret, as in A major.
_LEAVES = ((0, 0), (0, 0), (-1, 1), (-2, 1), (-3, 2))
_BARRE_OTHER = 3  # neighbouring strings that lie under one of fingers 2 to 4 at most: the A shape
_HIGH = 9  # from the fret above it on a neck feels high
_OPEN_HIGH = 4  # from this position on an open string sounds out of the hand's way
_LOW = 2  # the positions in which the little finger takes fret 3 of the treble strings


class Posture(NamedTuple):
    """What is struck, in the order of the notes; *position* is None where all strings are open;
    *pressed* leaves open strings out."""

    stopped: tuple[Stopped, ...]
    position: int | None
    points: float
    pressed: tuple[Stopped, ...]


class Held(NamedTuple):
    """A grip where it lies on the neck: its fingers in the order of the notes, where the hand is, its price."""

    fingers: tuple[int, ...]
    position: int
    points: float


class Reach:
    """Instrument, hand and weights, with all that follows from them alone."""

    def __init__(self, instrument: Instrument, hand: Hand, weights: Weights, figures: bool = False) -> None:
        self.instrument, self.hand, self.weights = instrument, hand, weights
        self.lie = lie_of(instrument)
        self.figures = figures
        self.places: dict[tuple[int, int], list[int]] = {}
        self.narrow = instrument.position_width <= NARROW_WIDTH
        self.middle = (instrument.strings + 1) / 2
        frets = range(instrument.last_fret + 12)
        self.mm = tuple(instrument.from_nut_mm(fret) - instrument.from_nut_mm(0) for fret in frets)
        self.opens = {pair: share * hand.limit_mm for pair, share in _OPEN_SHARES.items()}

    @cached_property
    def grips(self) -> Grips:
        """The grips of such hands."""
        return grips_for(self.lie, self.weights)

    def own(self, position: int, finger: int) -> int:
        """The fret a finger has to itself; where the hand covers three frets the ring finger shares the third.

        Of two frets a finger, the upper one.
        """
        if self.lie.leans:
            return position + int(self.lie.high[finger])
        return position + finger - 1 - (finger == 4 and self.three_frets(position))

    def three_frets(self, position: int) -> bool:
        """Whether the hand lies over three frets here: on a long neck where four are no comfort."""
        return self.narrow and self.instrument.reach_mm(position, position + 3) > self.hand.comfort_mm

    def fits(self, a: Stopped, b: Stopped) -> bool:
        """Whether two notes can sound together."""
        if a[0] == b[0]:
            return False
        if not a[2] or not b[2]:
            return True
        if a[2] == b[2]:
            return a[1] == b[1] and (a[2] == 1 or abs(a[0] - b[0]) < _BARRE_OTHER)
        if (a[1] - b[1]) * (a[2] - b[2]) < 0:
            return False
        pair = (a[2], b[2]) if a[2] < b[2] else (b[2], a[2])
        return abs(self.mm[a[1]] - self.mm[b[1]]) <= self.opens[pair]

    def stands(self, position: int, fret: int, finger: int) -> bool:
        """Whether a finger of a hand in *position* gets to *fret*."""
        low, high = _LEAVES[finger]
        if not low - self.lie.room(finger) <= fret - self.own(position, finger) <= high:
            return False
        if finger == 3 and not self.figures and self.three_frets(position):
            return False
        return reach_class(self.instrument.reach_mm(position, max(position, fret)), self.hand) != "refused"

    def positions(self, stopped: Iterable[Stopped]) -> list[int]:
        """Where the hand can be for these notes."""
        every = [self._places(fret, finger) for _, fret, finger in stopped if finger]
        return every[0] if len(every) == 1 else sorted(set(every[0]).intersection(*every[1:]))

    def _places(self, fret: int, finger: int) -> list[int]:
        """The positions of a hand from which *finger* gets to *fret*."""
        if (fret, finger) not in self.places:
            lowest = max(1, fret - max(3, int(self.lie.high[4])) - _LEAVES[4][1])
            self.places[fret, finger] = [at for at in range(lowest, fret + 3) if self.stands(at, fret, finger)]
        return self.places[fret, finger]

    def held(self, places: Sequence[Place]) -> list[Held]:
        """The ways to hold a chord's *places* as one grip, cheapest first; nothing where no hand can.

        Open strings alone leave the hand in the first position.
        """
        frets = [place.fret for place in places if place.fret]
        first = 1 + self.lie.room(1)  # where the index has two frets, the first position lies under the upper one
        if not frets:
            return [Held((0,) * len(places), 1, 0.0)]
        low = min(frets)
        reach_mm = self.mm[max(frets)] - self.mm[low]
        if reach_mm > self.hand.limit_mm:
            return []
        w, found = self.weights, []
        opened = tuple(place.string for place in places if not place.fret)
        stretched = w.figure_stretched * (reach_mm > self.hand.comfort_mm)
        for grip in self.grips.of(tuple((p.string, p.fret - low) for p in places if p.fret), opened):
            position = low + grip.place
            if position >= 1 and self._open_so_far(frets, grip.fingers):
                away = w.grip_away * max(0, position - first) * bool(opened)
                given = iter(grip.fingers)
                fingers = tuple(next(given) if place.fret else 0 for place in places)
                found.append(Held(fingers, position, grip.points + stretched + away))
        return sorted(found, key=lambda held: held.points)

    def _open_so_far(self, frets: Sequence[int], fingers: Sequence[int]) -> bool:
        """Whether no two fingers are further apart than they open."""
        at = dict(zip(fingers, frets, strict=True))
        return all(
            abs(self.mm[at[high]] - self.mm[at[low]]) <= most
            for (low, high), most in self.opens.items()
            if low in at and high in at
        )

    def gripped(self, places: Sequence[Place], fixed: Sequence[int | None]) -> Iterator[Posture]:
        """Every way to strike a chord of a figure: its grips, each where it lies at ease and, dearer, beside that."""
        for held in self.held(places):
            if any(written not in (None, finger) for written, finger in zip(fixed, held.fingers, strict=True)):
                continue
            stopped = tuple((p.string, p.fret, finger) for p, finger in zip(places, held.fingers, strict=True))
            pressed = tuple(note for note in stopped if note[2])
            points = held.points + sum(self._note(note) for note in stopped)
            if not pressed:
                yield Posture(stopped, None, points, pressed)
                continue
            for position in sorted({held.position, *self.positions(pressed)}):
                off = self.weights.figure_off * abs(position - held.position)
                yield Posture(stopped, position, points + off, pressed)

    def points(self, stopped: Sequence[Stopped], position: int | None, leaps: float, figure: bool) -> float:
        """The price of striking these notes together with the hand in *position*.

        In a *figure* the shape prices the fingers, and a pattern keeps its own wherever it lies.
        """
        total = sum(self._note(note) for note in stopped)
        if not figure and position is not None:
            total += sum(self._finger(note, position) for note in stopped)
            for finger, fret in {finger: fret for _, fret, finger in stopped if finger > 1}.items():
                total += self._away(fret, finger, position, leaps)
        w = self.weights
        pressed = [note for note in stopped if note[2]]
        total += sum(self.together(a, b, w.stretch, w.order, 0.0, 0.0) for a, b in combinations(pressed, 2))
        fingers = [note[2] for note in stopped]
        for finger in set(fingers) - {0}:
            if fingers.count(finger) > 1:
                total += w.barre if finger == 1 else w.barre_other * (fingers.count(finger) - 1)
        return total + self._position(fingers.count(0), position, figure)

    def _position(self, open_strings: int, position: int | None, figure: bool) -> float:
        """The price of where the hand is."""
        w = self.weights
        if position is None:
            return 0.0
        total = w.open_high * open_strings if position >= _OPEN_HIGH else 0.0
        if figure:
            return total
        return total + (w.first_position if position == 1 else 0) + w.high_position * max(0, position - 5) / 5

    def _note(self, note: Stopped) -> float:
        """The price of where one note lies."""
        if not note[2]:
            return self.weights.open
        return self.weights.high_fret * max(0, note[1] - _HIGH) / 3

    def _finger(self, note: Stopped, position: int) -> float:
        """The price of one note's finger, by itself and on its string."""
        w = self.weights
        string, _, finger = note
        if finger < 3:
            return w.finger_2 if finger == 2 else 0.0
        strength, slant, treble, treble_low = (
            (w.finger_3, w.slant_3, w.treble_3, w.treble_3_low),
            (w.finger_4, w.slant_4, w.treble_4, w.treble_4_low),
        )[finger - 3]
        total = strength + slant * (string - self.middle) / (self.middle - 1 or 1)
        if string <= 2:
            total += treble_low if position <= _LOW else treble
        return total

    def _away(self, fret: int, finger: int, position: int, leaps: float) -> float:
        """The price of a finger off its own place."""
        w = self.weights
        own = self.own(position, finger)
        away = (self.mm[fret] - self.mm[max(min(fret, own), own - self.lie.room(finger))]) / _UNIT_MM
        if finger == 4:
            return w.off_4_up * away if away > 0 else w.off_4_down * -away
        plain, leaping = (w.off_3, 0.0) if finger == 3 else (w.off_2, w.off_2_leaps)
        return (plain + leaping * leaps) * abs(away)

    def together(self, a: Stopped, b: Stopped, stretch: float, order: float, barre: float, barre_other: float) -> float:
        """The price of two fingers down at once, with the weights that go with how they came to be."""
        low, high = (a, b) if a[2] < b[2] else (b, a)
        if low[2] == high[2]:
            return barre if low[2] == 1 else barre_other
        wide = self.mm[high[1]] - self.mm[low[1]] - _AT_EASE_MM * (high[2] - low[2])
        return max(0.0, wide) / _UNIT_MM * stretch + (order if low[1] == high[1] and low[0] < high[0] else 0.0)


def barres_clear(notes: Sequence[Stopped], struck: bool) -> bool:
    """Whether no note sounds behind a finger across its string, and fingers 2 to 4 share none they lie over.

    *struck*: they are all struck now, so that fingers 2 to 4 must press every string they lie over.
    """
    for a, b in combinations(notes, 2):
        if a[2] and a[2] == b[2] and abs(a[0] - b[0]) > 1:
            low, high = min(a[0], b[0]), max(a[0], b[0])
            between = [note for note in notes if low < note[0] < high]
            if any(fret < a[1] or (a[2] > 1 and finger != a[2]) for _, fret, finger in between):
                return False
            if struck and a[2] > 1 and len(between) < high - low - 1:
                return False
    return True


def postures(
    choices: Sequence[Sequence[Place]], fixed: Sequence[int | None], leaps: float, reach: Reach, figure: bool
) -> list[Posture]:
    """Return every way to stop notes that have these *choices* of places and *fixed* fingers, cheapest first.

    A chord of a *figure* is one grip; only fingers that someone wrote may hold it in another way.
    """
    found: list[Posture] = []
    if figure and len(choices) >= CHORD_NOTES:
        for places in _apart(choices, ()):
            found += reach.gripped(places, fixed)
        if found or all(finger is None for finger in fixed):
            return sorted(found, key=lambda posture: posture.points)
    for stopped in _shapes(choices, fixed, reach, ()):
        if not barres_clear(stopped, True):
            continue
        pressed = tuple(note for note in stopped if note[2])
        for position in reach.positions(stopped) if pressed else (None,):
            points = reach.points(stopped, position, leaps, figure)
            found.append(Posture(stopped, position, points, pressed))
    return sorted(found, key=lambda posture: posture.points)


def _apart(choices: Sequence[Sequence[Place]], before: tuple[Place, ...]) -> Iterator[tuple[Place, ...]]:
    """Every choice of places on different strings."""
    if len(before) == len(choices):
        yield before
        return
    for place in choices[len(before)]:
        if all(place.string != other.string for other in before):
            yield from _apart(choices, (*before, place))


def _shapes(
    choices: Sequence[Sequence[Place]], fixed: Sequence[int | None], reach: Reach, before: tuple[Stopped, ...]
) -> Iterator[tuple[Stopped, ...]]:
    """Add note after note in every way that fits those before."""
    at = len(before)
    if at == len(choices):
        yield before
        return
    for place in choices[at]:
        for finger in (1, 2, 3, 4) if place.fret else (0,):
            note = (place.string, place.fret, finger)
            if fixed[at] in (None, finger) and all(reach.fits(note, other) for other in before):
                yield from _shapes(choices, fixed, reach, (*before, note))
