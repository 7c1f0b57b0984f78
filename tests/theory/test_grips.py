"""Chords held as one grip: the least cost against an independent price, the usual fingers, one engine for all doors."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, product

import pytest

from builder.errors import NoSolution
from builder.theory.chord_shapes import given_shapes, shape_chain
from builder.theory.fingering import FreeNote, Moment, NeckLimits, Stop, finger_freely, finger_passage
from builder.theory.fretboard import Hand, Instrument, Place
from builder.theory.harmony import parse_chord
from builder.theory.pitch import Pitch
from tests.strategies import GUITAR, PRICES, WEIGHTS
from tests.theory.test_chord_shapes import MANDOLIN, MANDOLIN_SHAPES, OPEN, UKULELE, UKULELE_SHAPES

SMALL, MEDIUM = Hand("small", 78, 98), Hand("medium", 98, 127)
BASS = Instrument("bass", tuple(map(Pitch.parse, ("G2", "D2", "A1", "E1"))), 24, 863.6, position_width=3)

Frets = tuple[int | None, ...]


def struck(
    frets: Sequence[int | None], onset: Fraction = Fraction(0), fingers: Sequence[int] | None = None
) -> list[Stop]:
    """A chord as it is written, lowest string first: frets for all strings, None = not played."""
    given = iter(fingers or ())
    return [
        Stop(k, onset, Fraction(1, 4), len(frets) - k, fret, next(given) if fingers and fret else None, k == 0)
        for k, fret in enumerate(frets)
        if fret is not None
    ]


def frets_of(written: str) -> Frets:
    return tuple(None if fret == "x" else int(fret) for fret in written)


# --- the usual fingers, by the engine that fingers everything else ----------------------------------------------------

COMMON = [
    (instrument, symbol, frets, fingers)
    for instrument, table in ((GUITAR, OPEN), (UKULELE, UKULELE_SHAPES), (MANDOLIN, MANDOLIN_SHAPES))
    for symbol, (frets, fingers) in table.items()
]


@pytest.mark.parametrize(("instrument", "symbol", "frets", "fingers"), COMMON)
@pytest.mark.parametrize("shift", [False, True])
def test_chords_have_the_fingers_of_every_method(
    instrument: Instrument, symbol: str, frets: str, fingers: str, shift: bool
) -> None:
    """Common practice: the tables of the chord shapes; only their frets are given here."""
    found = finger_passage(struck(frets_of(frets)), instrument, MEDIUM, WEIGHTS, shift)
    assert "".join(str(finger) for finger in found.fingers if finger) == fingers


@pytest.mark.parametrize(("instrument", "symbol", "frets", "fingers"), COMMON)
def test_no_chord_with_its_usual_fingers_is_refused(
    instrument: Instrument, symbol: str, frets: str, fingers: str
) -> None:
    written = [int(finger) for finger in fingers]
    stops = struck(frets_of(frets), fingers=written)
    assert finger_passage(stops, instrument, MEDIUM, WEIGHTS, False).widest_reach_mm <= MEDIUM.limit_mm
    broken = [replace(stop, onset=Fraction(k, 16), duration=Fraction(1)) for k, stop in enumerate(stops)]
    held = finger_passage(broken, instrument, MEDIUM, WEIGHTS, False)
    assert [finger for finger in held.fingers if finger] == written


def test_fingers_that_a_teacher_writes_may_differ() -> None:
    """Many hands take A major as 2 1 3, the middle finger on string 4."""
    stops = struck((None, 0, 2, 2, 2, 0), fingers=(2, 1, 3))
    assert finger_passage(stops, GUITAR, MEDIUM, WEIGHTS, False).fingers == (0, 2, 1, 3, 0)


# --- an independent price and an exhaustive minimum -------------------------------------------------------------------


class GripPrice:
    """The documented cost of holding one chord, worked out from the words of the weights file."""

    def __init__(self, instrument: Instrument, hand: Hand, places: Sequence[tuple[int, int]]) -> None:
        self.on, self.hand, self.w = instrument, hand, WEIGHTS
        self.stopped = [place for place in places if place[1]]
        self.opened = [string for string, fret in places if not fret]
        leans, narrow = instrument.frets_per_finger == 2, instrument.position_width == 3
        self.leans = leans
        self.low = (0, -1, 1, 3, 5) if leans else (0, 0, 1, 1.5, 2) if narrow else (0, 0, 1, 2, 3)
        self.high = (0, 0, 2, 4, 5) if leans else self.low

    def least(self) -> float | None:
        """The least points over all fingers; the strings' own points are counted as those of any note."""
        found = [self.of(fingers) for fingers in product((1, 2, 3, 4), repeat=len(self.stopped))]
        prices = [points for points in found if points is not None]
        notes = sum(self.w.high_fret * max(0, fret - 9) / 3 for _, fret in self.stopped)
        return min(prices) + notes + self.w.open * len(self.opened) if prices else None

    def of(self, fingers: Sequence[int]) -> float | None:
        placed = [(string, fret, finger) for (string, fret), finger in zip(self.stopped, fingers, strict=True)]
        if any(not self.together(a, b) for a, b in combinations(placed, 2)):
            return None
        if not placed:
            return 0.0
        fret_of = {finger: fret for _, fret, finger in placed}
        on = {finger: sorted(s for s, _, g in placed if g == finger) for finger in fret_of}
        points = sum((0, 0, self.w.figure_2, self.w.figure_3, self.w.figure_4)[finger] for finger in fret_of)
        for finger, strings in on.items():
            if len(strings) > 1:
                barre = self.barre(finger, fret_of[finger], strings, placed)
                if barre is None:
                    return None
                points += barre
        low, high = min(fret_of.values()), max(fret_of.values())
        reach = self.on.reach_mm(low, high)
        if reach > self.hand.limit_mm:
            return None
        points += self.w.figure_stretched if reach > self.hand.comfort_mm else 0
        points += self.w.grip_spread * max(0, high - low - -(-self.high[3] // 1))
        for a, b in combinations(sorted(fret_of), 2):
            if on[a][0] > on[b][0]:
                points += self.w.grip_against * (fret_of[b] - fret_of[a])
        return self.lying(points, fret_of)

    def together(self, a: tuple[int, int, int], b: tuple[int, int, int]) -> bool:
        """One finger, one fret; higher frets, higher fingers; at one fret the lower finger on the lower sound."""
        if a[2] == b[2]:
            return a[1] == b[1]
        one, other = sorted((a, b), key=lambda note: note[2])
        if one[1] > other[1] or (one[1] == other[1] and one[0] < other[0]):
            return False
        share = {(1, 2): 0.67, (2, 3): 0.5, (3, 4): 0.5, (1, 3): 0.85, (2, 4): 0.75, (1, 4): 1.0}[one[2], other[2]]
        return self.on.reach_mm(one[1], other[1]) <= share * self.hand.limit_mm

    def barre(
        self, finger: int, fret: int, strings: Sequence[int], placed: Sequence[tuple[int, int, int]]
    ) -> float | None:
        first, last = strings[0], strings[-1]
        behind = [s for s, f, _ in placed if first < s < last and f < fret] + [
            s for s in self.opened if first < s < last
        ]
        beside = any(f == fret and g < finger for _, f, g in placed)
        if behind:
            return None
        if self.leans and strings == [first, first + 1] and not beside:
            return self.w.grip_fifth if finger == 1 else self.w.grip_fifth_other
        arched = any(s < first for s in self.opened) or any(s < first and f < fret for s, f, _ in placed)
        across = last - first + 1
        if finger == 1:
            if arched and across > 3:
                return None
            flat = self.w.grip_tip if across == 2 else self.w.grip_barre + self.w.grip_barre_string * across
        else:
            if across != len(strings) or across > 3 or beside:
                return None
            flat = self.w.grip_barre_other
        return flat + (self.w.grip_arched if arched else 0)

    def lying(self, points: float, fret_of: dict[int, int]) -> float | None:
        """With what fingers off their places cost, and a hand away from the open strings."""
        lowest = min(fret_of)
        best: tuple[float, int] | None = None
        for own in range(int(self.low[lowest] // 1), int(self.high[lowest]) + 1):
            place = fret_of[lowest] - own
            off = 0.0
            for finger, fret in fret_of.items():
                below, above = self.low[finger] - (fret - place), fret - place - self.high[finger]
                off += self.w.grip_below * max(0, below) + self.w.grip_above * max(0, above)
            key = (round(off, 6), abs(own))
            if best is None or key < (best[0], abs(fret_of[lowest] - best[1])):
                best = (key[0], place)
        assert best is not None
        if best[1] < 1:
            return None
        first = 2 if self.leans else 1
        return points + best[0] + (self.w.grip_away * max(0, best[1] - first) if self.opened else 0)


def random_chord(rng: random.Random, instrument: Instrument) -> list[tuple[int, int]]:
    low = rng.randint(1, 12)
    strings = rng.sample(range(1, instrument.strings + 1), rng.randint(3, instrument.strings))
    return [(string, 0 if rng.random() < 0.2 else low + rng.randint(0, 3)) for string in sorted(strings, reverse=True)]


@pytest.mark.parametrize("seed", range(60))
@pytest.mark.parametrize("instrument", [GUITAR, BASS, MANDOLIN], ids=lambda item: item.name)
def test_no_fingers_hold_a_chord_for_less(seed: int, instrument: Instrument) -> None:
    rng = random.Random(seed)
    places, hand = random_chord(rng, instrument), rng.choice((SMALL, MEDIUM))
    expected = GripPrice(instrument, hand, places).least()
    stops = [Stop(k, Fraction(0), Fraction(1), string, fret, None, k == 0) for k, (string, fret) in enumerate(places)]
    try:
        found = finger_passage(stops, instrument, hand, WEIGHTS, True).cost
    except NoSolution:
        assert expected is None
        return
    assert found == pytest.approx(expected, abs=1e-5)


# --- one engine for every door ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(20))
def test_a_row_of_chords_has_the_fingers_of_its_chain_of_shapes(seed: int) -> None:
    """Chosen as shapes or fingered as a passage, the same frets cost the same."""
    rng = random.Random(seed)
    symbols = rng.sample(sorted(OPEN), 5)
    rows = [frets_of(OPEN[symbol][0]) for symbol in symbols]
    choices = [
        given_shapes(parse_chord(symbol), frets[::-1], GUITAR, MEDIUM, PRICES, WEIGHTS)
        for symbol, frets in zip(symbols, rows, strict=True)
    ]
    chain = shape_chain(choices, False, WEIGHTS)
    fingers = [[finger for finger in shape.fingers[::-1] if finger] for shape in chain]
    free, fixed = (
        finger_passage(
            [stop for k, frets in enumerate(rows) for stop in struck(frets, Fraction(k, 4), given[k])],
            GUITAR,
            MEDIUM,
            WEIGHTS,
            True,
        )
        for given in ([()] * len(rows), fingers)
    )
    assert free.cost == pytest.approx(fixed.cost, abs=1e-5)


def test_a_chord_on_free_strings_is_taken_where_it_lies_best() -> None:
    """C major within a tenth: the open shape, with its usual fingers."""
    pitches = [FreeNote(midi, Fraction(1, 4)) for midi in (48, 52, 55, 60, 64)]
    found = finger_freely([Moment(Fraction(0), tuple(pitches), True)], GUITAR, MEDIUM, WEIGHTS, NeckLimits())
    assert found.places == ((Place(5, 3), Place(4, 2), Place(3, 0), Place(2, 1), Place(1, 0)),)
    assert found.fingering.fingers == (3, 2, 0, 1, 0)
