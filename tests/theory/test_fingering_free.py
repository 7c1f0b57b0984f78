"""The hand that chooses its strings: an independent exhaustive minimum, hard rules, limits, marks."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations, pairwise
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.errors import NoSolution
from builder.theory.fingering import (
    FreeFingering,
    FreeNote,
    Moment,
    NeckLimits,
    finger_freely,
    weights_from,
)
from builder.theory.fretboard import Hand, Instrument, Place, fret_positions
from builder.theory.pitch import Pitch

WEIGHTS = weights_from(
    yaml.safe_load((Path(__file__).resolve().parents[2] / "shared" / "fingering.yaml").read_text(encoding="utf-8"))
)


def instrument(name: str, tuning: str, frets: int, mm: float, width: int = 4) -> Instrument:
    return Instrument(name, tuple(map(Pitch.parse, tuning.split())), frets, mm, position_width=width)


GUITAR = instrument("guitar", "E4 B3 G3 D3 A2 E2", 19, 648)
SEVEN = instrument("seven-string", "E4 B3 G3 D3 A2 E2 B1", 22, 648)
BASS = instrument("bass", "G2 D2 A1 E1", 20, 863.6, 3)
UKULELE = instrument("ukulele", "A4 E4 C4 G4", 12, 345)
MEDIUM = Hand("medium", 98, 127)
ANYWHERE = NeckLimits(open_strings=True, shift_in_burst=True)
EIGHTH = Fraction(1, 8)


def line(pitches: Sequence[int], strings: Sequence[int] = (), length: Fraction = EIGHTH) -> list[Moment]:
    """Even notes one after the other, on *strings* if they are given."""
    return [
        Moment(k * EIGHTH, (FreeNote(midi, length, (strings[k],) if strings else None),))
        for k, midi in enumerate(pitches)
    ]


def chord(pitches: Sequence[int], onset: Fraction = Fraction(0), length: Fraction = EIGHTH) -> Moment:
    return Moment(onset, tuple(FreeNote(midi, length) for midi in pitches))


def places(found: FreeFingering) -> str:
    return " ".join(f"{place.string}/{place.fret}" for moment in found.places for place in moment)


# --- an independent price and an exhaustive minimum -------------------------------------------------------------------

Note = tuple[int, int, int]


@dataclass(frozen=True)
class Kept:
    """A note under the hand: its place and finger, pitch, the ends of holding and ringing, whether just struck."""

    place: Note
    midi: int
    held_to: Fraction
    rings: bool
    number: int
    fresh: bool


class Price:
    """The documented cost of going through a passage, worked out from the words of the weights file."""

    def __init__(self, moments: Sequence[Moment], guitar: Instrument, limits: NeckLimits) -> None:
        self.moments, self.guitar, self.limits, self.w = moments, guitar, limits, WEIGHTS
        self.times = [moment.onset for moment in moments]
        self.leap = [min(abs(a.midi - b.midi) for a in m.notes for b in n.notes) >= 3 for m, n in pairwise(moments)]
        self.flat = [(k, note) for k, moment in enumerate(moments) for note in moment.notes]

    def mm(self, fret: int) -> float:
        return self.guitar.from_nut_mm(fret)

    def leaps(self, at: int) -> float:
        near = [self.leap[k] for k in range(at - 2, at + 2) if 0 <= k < len(self.leap)]
        return sum(near) / len(near) if near else 0.0

    def three(self, position: int) -> bool:
        reach = self.guitar.reach_mm(position, position + 3)
        return self.guitar.position_width == 3 and reach > MEDIUM.comfort_mm

    def own(self, position: int, finger: int) -> int:
        frets = (0, 0, 1, 2, 2) if self.three(position) else (0, 0, 1, 2, 3)
        return position + frets[finger]

    def stands(self, position: int, fret: int, finger: int) -> bool:
        away = fret - self.own(position, finger)
        if finger == 3 and self.three(position):
            return False
        near = {1: (0,), 2: (-1, 0, 1), 3: (-2, -1, 0, 1), 4: (-3, -2, -1, 0, 1, 2)}[finger]
        return away in near and (fret <= position or self.guitar.reach_mm(position, fret) <= MEDIUM.limit_mm)

    def together(self, a: Note, b: Note) -> bool:
        if a[0] == b[0]:
            return False
        if 0 in (a[2], b[2]):
            return True
        if a[2] == b[2]:
            return a[1] == b[1] and (a[2] == 1 or abs(a[0] - b[0]) < 3)
        if (a[1] > b[1] and a[2] < b[2]) or (a[1] < b[1] and a[2] > b[2]):
            return False
        share = {12: 0.67, 23: 0.5, 34: 0.5, 13: 0.85, 24: 0.75, 14: 1.0}[10 * min(a[2], b[2]) + max(a[2], b[2])]
        return abs(self.mm(a[1]) - self.mm(b[1])) <= share * MEDIUM.limit_mm

    def clear(self, notes: Sequence[Note], struck: bool = False) -> bool:
        for a, b in combinations(notes, 2):
            between = range(min(a[0], b[0]) + 1, max(a[0], b[0]))
            if a[2] and a[2] == b[2] and any(n[0] in between and n[1] < a[1] for n in notes):
                return False
            if a[2] > 1 and a[2] == b[2]:
                inside = [n for n in notes if n[0] in between]
                if any(n[1:] != a[1:] for n in inside) or (struck and len(inside) < len(between)):
                    return False
        return True

    def choices(self, at: int) -> Iterator[tuple[tuple[Note, ...], int | None]]:
        """Every way to strike a moment, and every position for it."""

        def extended(notes: Sequence[FreeNote], done: tuple[Note, ...]) -> Iterator[tuple[Note, ...]]:
            if not notes:
                yield done
                return
            for place in fret_positions(notes[0].midi, self.guitar):
                if notes[0].strings and place.string not in notes[0].strings:
                    continue
                if not place.fret and self.limits.open_strings is False:
                    continue
                for finger in (1, 2, 3, 4) if place.fret else (0,):
                    one = place.string, place.fret, finger
                    if notes[0].finger in (None, finger) and all(self.together(one, other) for other in done):
                        yield from extended(notes[1:], (*done, one))

        for notes in extended(self.moments[at].notes, ()):
            pressed = [(fret, finger) for _, fret, finger in notes if finger]
            if not self.clear(notes, True):
                continue
            if not pressed:
                yield notes, None
            for position in range(1, self.guitar.last_fret + 1) if pressed else ():
                if all(self.stands(position, fret, finger) for fret, finger in pressed):
                    yield notes, position

    def posture(self, notes: Sequence[Note], position: int | None, at: int) -> float:
        w, points = self.w, 0.0
        middle = (self.guitar.strings + 1) / 2
        for string, fret, finger in notes:
            if not finger or position is None:
                points += w.open + (w.open_high if position and position >= 4 else 0)
                continue
            points += w.high_fret * max(0, fret - 9) / 3
            points += {1: 0.0, 2: w.finger_2, 3: w.finger_3, 4: w.finger_4}[finger]
            if finger >= 3:
                points += (w.slant_3, w.slant_4)[finger - 3] * (string - middle) / (middle - 1)
                if string <= 2:
                    low, high = (w.treble_3_low, w.treble_3), (w.treble_4_low, w.treble_4)
                    points += (low, high)[finger - 3][position > 2]
        for finger, fret in {(finger, fret) for _, fret, finger in notes if finger}:
            assert position is not None
            away = (self.mm(fret) - self.mm(self.own(position, finger))) / 30
            if finger == 4:
                points += away * w.off_4_up if away > 0 else -away * w.off_4_down
            else:
                base = {1: 0.0, 2: w.off_2, 3: w.off_3}[finger]
                bent = {1: 0.0, 2: w.off_2_leaps, 3: 0.0}[finger]
                points += abs(away) * (base + bent * self.leaps(at))
            if sum(note[2] == finger for note in notes) > 1:
                more = sum(note[2] == finger for note in notes) - 1
                points += w.barre if finger == 1 else w.barre_other * more
        for a, b in combinations([note for note in notes if note[2]], 2):
            points += self.pair(a, b, w.stretch, w.order, 0, 0)
        if position:
            points += (w.first_position if position == 1 else 0) + w.high_position * max(0, position - 5) / 5
        return points

    def pair(self, a: Note, b: Note, stretch: float, order: float, barre: float, other: float) -> float:
        if a[2] == b[2]:
            return barre if a[2] == 1 else other
        low, high = sorted((a, b), key=lambda note: note[2])
        wide = max(0.0, self.mm(high[1]) - self.mm(low[1]) - 28 * (high[2] - low[2]))
        return wide / 30 * stretch + (order if low[1] == high[1] and low[0] < high[0] else 0)

    def ringing(self, number: int, at: int) -> bool:
        """Whether a note may ring on into a later moment."""
        begun, note = self.flat[number]
        after = [other.midi for k in range(begun + 1, at + 1) for other in self.moments[k].notes]
        ended = self.times[at] - self.times[begun] - note.duration
        near = any(0 < abs(midi - note.midi) <= 2 for midi in after)
        return note.midi not in after and not near and at - begun <= 8 and ended <= Fraction(1, 2)

    def holding(self, number: int, at: int) -> bool:
        begun, note = self.flat[number]
        again = any(other.midi == note.midi for k in range(begun + 1, at + 1) for other in self.moments[k].notes)
        return not again and self.times[begun] + note.duration > self.times[at]

    def on(
        self,
        was: Sequence[tuple[Note, int, bool]],
        place: int,
        idle: bool,
        notes: Sequence[Note],
        position: int | None,
        at: int,
    ) -> tuple[float, list[tuple[Note, int, bool]], int] | None:
        """The points of going on from what lies under the hand (note, number, just struck), and what does then."""
        w = self.w
        now = place if position is None else position
        moved = bool(was) and now != place
        first = sum(len(moment.notes) for moment in self.moments[:at])
        under = [(note, first + k, True) for k, note in enumerate(notes)]
        points = 0.0
        for old, number, _ in was:
            held, rings = self.holding(number, at), self.ringing(number, at)
            if not held and not rings:
                continue
            on_string = [note for note in notes if note[0] == old[0]]
            against = [note for note in notes if not self.together(note, old)]
            behind = not self.clear([*(note for note, _, _ in under), old])
            off = old[2] and (not self.stands(now, old[1], old[2]) or (moved and not held))
            if against or off or behind:
                if held and not self.limits.lets_go:
                    return None
                begun, note = self.flat[number]
                if held:
                    left = float(self.times[begun] + note.duration - self.times[at])
                    points += w.let_go + w.let_go_early * min(left, 0.5) + (0 if old[2] else w.let_go_open)
                elif not old[2]:
                    points += w.cut_open if on_string else 0
                elif against:
                    blamed = against[0]
                    if blamed[0] == old[0]:
                        points += w.cut_ringing
                    elif blamed[2] == old[2]:
                        points += w.lift_ringing
                continue
            under.append((old, number, False))
            if old[2]:
                if not held:
                    points += w.keep_ringing
                for note in notes:
                    if note[2] and held:
                        points += self.pair(old, note, w.held_stretch, w.held_order, w.held_barre, w.held_barre_other)
                    elif note[2]:
                        points += self.pair(
                            old, note, w.ringing_stretch, w.ringing_order, w.ringing_barre, w.ringing_barre_other
                        )
        if moved:
            points += w.shift + w.shift_way * abs(self.mm(now) - self.mm(place)) / 30 + w.shift_leaps * self.leaps(at)
            ends = max(self.times[k] + note.duration for k, note in self.flat if k < at)
            points += w.shift_rest if ends < self.times[at] else w.shift_open if idle else 0
            points += w.shift_off_beat if (self.times[at] * 4).denominator > 1 else 0
        struck = sum(fresh for _, _, fresh in was)
        for k, note in enumerate(notes):
            midi = self.flat[first + k][1].midi
            points += self.after(note, midi, was, moved, len(notes) == 1 == struck, at)
        return points, under, now

    def after(
        self, note: Note, midi: int, was: Sequence[tuple[Note, int, bool]], moved: bool, single: bool, at: int
    ) -> float:
        """What one new note costs after those under the hand."""
        w, points = self.w, 0.0
        again = [old for old, number, _ in was if self.flat[number][1].midi == midi][:1]
        for old in again:
            if old[0] != note[0]:
                points += w.again_elsewhere
            elif old[2] != note[2]:
                points += w.again_other_finger
            elif note[2]:
                points += w.again_same
        for old, number, fresh in was:
            held = self.holding(number, at)
            elsewhere = old[:2] != note[:2]
            if note[2] and note[2] == old[2] and elsewhere and not held:
                if old[0] == note[0]:
                    points += 0 if moved else w.slip if fresh else w.slide_ringing
                elif old[1] == note[1]:
                    points += w.hop if fresh else w.hop_ringing
                else:
                    points += w.jump if fresh and not moved else 0
            if note[2] and old[2] and note[2] != old[2] and fresh and not moved:
                low, high = sorted((old, note), key=lambda one: one[2])
                gap, fingers = high[1] - low[1], high[2] - low[2]
                points += (w.cross if gap < 0 else 0) + w.spread * min(2, max(0, gap - fingers))
            if old[0] == note[0] and old[1] != note[1] and not held:
                points += w.string_leap if abs(old[1] - note[1]) > 2 else w.string_step
            interval = abs(midi - self.flat[number][1].midi)
            if single and fresh and interval > 2 and old[0] == note[0]:
                points += w.leap_on_string
            if single and fresh and 0 < interval <= 2:
                points += w.step_crosses if abs(old[0] - note[0]) == 1 else 0
                if not note[2]:
                    points += w.open_step + (w.open_crossing if old[2] and old[0] != note[0] else 0)
        return points

    def least(self) -> float | None:
        """The least points over every way through the passage."""
        self.best: float | None = None
        self.tried = 0
        self._on(0, 0.0, [], 1, False)
        return self.best

    def _on(self, at: int, points: float, was: list[tuple[Note, int, bool]], place: int, idle: bool) -> None:
        if at == len(self.moments):
            self.tried += 1
            if self.best is None or points < self.best:
                self.best = points
            return
        for notes, position in self.choices(at):
            if at == 0:
                first = [(note, k, True) for k, note in enumerate(notes)]
                gone: tuple[float, list[tuple[Note, int, bool]], int] | None = (0.0, first, position or 1)
            else:
                gone = self.on(was, place, idle, notes, position, at)
            if gone is not None:
                more = self.posture(notes, position, at) + gone[0]
                self._on(at + 1, points + more, gone[1], gone[2], position is None)


def ways(moments: Sequence[Moment], guitar: Instrument, limits: NeckLimits) -> int:
    """How many paths an exhaustive search would have to try."""
    price, total = Price(moments, guitar, limits), 1
    for at in range(len(moments)):
        total *= max(1, sum(1 for _ in price.choices(at)))
    return total


def random_passage(rng: random.Random, guitar: Instrument) -> list[Moment]:
    """Up to six notes, alone and together, short, held and far apart, narrowed until all ways can be tried."""
    low = min(guitar.open_midi(string) for string in range(1, guitar.strings + 1))
    count, moments, now = rng.randint(2, 6), list[Moment](), Fraction(0)
    around = rng.randint(low + 4, low + 24)
    while count > 0:
        size = min(count, rng.choice((1, 1, 1, 2, 3)))
        pitches = rng.sample(range(around - 4, around + 9), size)
        length = Fraction(rng.choice((1, 1, 2, 4)), 8)
        moments.append(Moment(now, tuple(FreeNote(midi, length) for midi in sorted(pitches))))
        now += Fraction(rng.choice((1, 1, 1, 2, 6)), 8)
        count -= size
    return moments


def narrowed(rng: random.Random, moments: list[Moment], guitar: Instrument, limits: NeckLimits) -> list[Moment]:
    """Write strings and fingers until there are few enough ways."""
    while ways(moments, guitar, limits) > 6000:
        k = rng.randrange(len(moments))
        i = rng.randrange(len(moments[k].notes))
        note = moments[k].notes[i]
        spots = fret_positions(note.midi, guitar)
        if note.strings is None and spots:
            note = replace(note, strings=(rng.choice(spots).string,))
        elif note.finger is None and all(place.fret for place in spots if place.string in (note.strings or ())):
            note = replace(note, finger=rng.randint(1, 4))
        notes = (*moments[k].notes[:i], note, *moments[k].notes[i + 1 :])
        moments[k] = replace(moments[k], notes=notes)
    return moments


@pytest.mark.parametrize("seed", range(40))
def test_no_way_through_a_short_passage_is_cheaper(seed: int) -> None:
    rng = random.Random(seed)
    guitar = rng.choice((GUITAR, GUITAR, BASS, UKULELE, SEVEN))
    limits = NeckLimits(rng.random() < 0.7, None, True, None, rng.random() < 0.5)
    moments = narrowed(rng, random_passage(rng, guitar), guitar, limits)
    expected = Price(moments, guitar, limits).least()
    try:
        found = finger_freely(moments, guitar, MEDIUM, WEIGHTS, limits).fingering.cost
    except NoSolution:
        assert expected is None
        return
    assert expected is not None
    assert found == pytest.approx(expected, abs=1e-9)


def test_most_of_the_short_passages_can_be_played() -> None:
    played = 0
    for seed in range(40):
        rng = random.Random(seed)
        guitar = rng.choice((GUITAR, GUITAR, BASS, UKULELE, SEVEN))
        limits = NeckLimits(rng.random() < 0.7, None, True, None, rng.random() < 0.5)
        moments = narrowed(rng, random_passage(rng, guitar), guitar, limits)
        try:
            finger_freely(moments, guitar, MEDIUM, WEIGHTS, limits)
        except NoSolution:
            continue
        played += sum(len(moment.notes) for moment in moments) > 2
    assert played >= 20


# --- hard rules -------------------------------------------------------------------------------------------------------


@st.composite
def passages(draw: st.DrawFn) -> tuple[list[Moment], Instrument]:
    guitar = draw(st.sampled_from((GUITAR, SEVEN, BASS, UKULELE)))
    rng = random.Random(draw(st.integers(0, 10**6)))
    low = min(guitar.open_midi(string) for string in range(1, guitar.strings + 1))
    moments, now, pitch = [], Fraction(0), rng.randint(low + 4, low + 20)
    for _ in range(rng.randint(1, 14)):
        pitch = min(low + 26, max(low, pitch + rng.choice((-4, -2, -1, 1, 2, 3, 5))))
        pitches = {pitch, *(pitch + rng.choice((3, 4, 7)) for _ in range(rng.choice((0, 0, 0, 1, 2))))}
        length = Fraction(rng.choice((1, 1, 1, 2)), 8)
        notes = tuple(FreeNote(midi, length) for midi in sorted(pitches))
        moments.append(Moment(now, notes, rng.random() < 0.2))
        now += EIGHTH
    return moments, guitar


quick = settings(max_examples=40, deadline=None)


def played_notes(moments: Sequence[Moment], found: FreeFingering) -> list[tuple[Moment, FreeNote, Place, int, int]]:
    fingers, positions = iter(found.fingering.fingers), iter(found.fingering.positions)
    return [
        (moment, note, place, next(fingers), next(positions))
        for moment, spots in zip(moments, found.places, strict=True)
        for note, place in zip(moment.notes, spots, strict=True)
    ]


@quick
@given(passages(), st.booleans(), st.sampled_from((True, False, None)))
def test_what_is_found_can_be_played(drawn: tuple[list[Moment], Instrument], shift: bool, opened: bool | None) -> None:
    moments, guitar = drawn
    try:
        found = finger_freely(moments, guitar, MEDIUM, WEIGHTS, NeckLimits(opened, None, shift))
    except NoSolution:
        return
    notes = played_notes(moments, found)
    for _, note, place, finger, position in notes:
        assert guitar.sound(place) == note.midi
        assert 0 <= place.fret <= guitar.last_fret
        assert (finger == 0) == (place.fret == 0)
        assert position >= 1
        if not place.fret:
            assert opened or (opened is None and position == 1)
    assert found.fingering.widest_reach_mm <= MEDIUM.limit_mm
    for moment, *_ in notes:
        # A pitch that is struck again ends what sounded it, so its last place counts.
        now = moment.onset
        at = {n.midi: (p.string, p.fret, g) for m, n, p, g, _ in notes if m.onset <= now < m.onset + n.duration}
        sounding = list(at.values())
        price = Price(moments, guitar, ANYWHERE)
        assert all(a == b or price.together(a, b) for a, b in combinations(sounding, 2))
        assert price.clear(sounding)


@quick
@given(passages())
def test_without_shifts_a_burst_is_one_position_and_no_finger_of_a_line_crosses(
    drawn: tuple[list[Moment], Instrument],
) -> None:
    moments, guitar = drawn
    alone = [Moment(k * EIGHTH, (FreeNote(m.notes[0].midi, EIGHTH),), m.new_hand) for k, m in enumerate(moments)]
    try:
        found = finger_freely(alone, guitar, MEDIUM, WEIGHTS, NeckLimits(True))
    except NoSolution:
        return
    bursts: list[list[tuple[Place, int, int]]] = []
    for moment, _, place, finger, position in played_notes(alone, found):
        if not bursts or moment.new_hand:
            bursts.append([])
        bursts[-1].append((place, finger, position))
    for burst in bursts:
        assert len({position for _, _, position in burst}) == 1
        stopped = [(place.fret, finger) for place, finger, _ in burst if finger]
        assert not any(f1 < f2 and g1 > g2 for f1, g1 in stopped for f2, g2 in stopped)


# --- what the neck is asked to leave out ------------------------------------------------------------------------------

C_MAJOR = (48, 50, 52, 53, 55, 57, 59, 60)
THREE_OCTAVES = (43, 45, 47, 48, 50, 52, 54, 55, 57, 59, 60, 62, 64, 66, 67, 69, 71, 72, 74, 76, 78, 79)


def test_the_first_note_lies_where_it_is_asked_to() -> None:
    for string, fret in ((6, 8), (5, 3)):
        found = finger_freely(line(C_MAJOR), GUITAR, MEDIUM, WEIGHTS, NeckLimits(False, Place(string, fret)))
        assert found.places[0] == (Place(string, fret),)
    with pytest.raises(NoSolution, match="can't be held by one hand"):
        finger_freely(line(C_MAJOR), GUITAR, MEDIUM, WEIGHTS, NeckLimits(False, Place(1, 3)))


def test_of_notes_together_the_lowest_is_the_first() -> None:
    moments = [chord((55, 48, 52), length=Fraction(1))]
    found = finger_freely(moments, GUITAR, MEDIUM, WEIGHTS, NeckLimits(True, Place(6, 8)))
    assert found.places[0][1] == Place(6, 8)


def test_the_hand_moves_only_on_the_strings_allowed() -> None:
    limits = NeckLimits(False, Place(6, 3), True, (1,))
    found = finger_freely(line(THREE_OCTAVES), GUITAR, MEDIUM, WEIGHTS, limits)
    spots = [place for (place,) in found.places]
    positions = found.fingering.positions
    moved = [k for k in range(1, len(spots)) if positions[k] != positions[k - 1]]
    assert moved
    assert all(spots[k].string == spots[k - 1].string == 1 for k in moved)


def test_a_written_string_and_finger_are_obeyed() -> None:
    notes = [FreeNote(60, EIGHTH, (4,)), FreeNote(62, EIGHTH, None, 4), FreeNote(64, EIGHTH)]
    moments = [Moment(k * EIGHTH, (note,)) for k, note in enumerate(notes)]
    found = finger_freely(moments, GUITAR, MEDIUM, WEIGHTS, ANYWHERE)
    assert found.places[0] == (Place(4, 10),)
    assert found.fingering.fingers[1] == 4


def test_what_is_not_on_the_neck_is_said() -> None:
    with pytest.raises(NoSolution, match="no place on the strings allowed") as caught:
        finger_freely(line((40, 41, 30)), GUITAR, MEDIUM, WEIGHTS, ANYWHERE)
    assert caught.value.moments == (2,)
    with pytest.raises(NoSolution, match="frets 1 to 3 can't be held with four fingers"):
        finger_freely([chord((41, 42, 43))], GUITAR, MEDIUM, WEIGHTS, ANYWHERE)
    assert finger_freely([], GUITAR, MEDIUM, WEIGHTS, ANYWHERE).places == ()


def test_a_held_note_keeps_its_place_and_is_let_go_only_where_that_is_allowed() -> None:
    low = Moment(Fraction(0), (FreeNote(41, Fraction(1)),))
    high = Moment(EIGHTH, (FreeNote(79, EIGHTH, (1,)),))
    with pytest.raises(NoSolution, match="frets 1 to 15 reach 339"):
        finger_freely([low, high], GUITAR, MEDIUM, WEIGHTS, ANYWHERE)
    found = finger_freely([low, high], GUITAR, MEDIUM, WEIGHTS, replace(ANYWHERE, lets_go=True))
    assert places(found) == "6/1 1/15"


def test_two_voices_may_meet_on_one_note() -> None:
    moments = [Moment(Fraction(0), (FreeNote(57, EIGHTH), FreeNote(57, Fraction(1, 4))))]
    found = finger_freely(moments, GUITAR, MEDIUM, WEIGHTS, NeckLimits(False))
    assert found.places[0][0] == found.places[0][1]
    assert found.fingering.fingers[0] == found.fingering.fingers[1]


# --- what the reader is told ------------------------------------------------------------------------------------------


def test_a_small_barre_is_told_with_its_strings_and_end() -> None:
    half = Fraction(1, 2)
    notes = (FreeNote(57, half, (3,), 1), FreeNote(61, half, (2,), 1))
    found = finger_freely([Moment(Fraction(0), notes)], GUITAR, MEDIUM, WEIGHTS, ANYWHERE)
    (barre,) = found.fingering.barres
    assert (barre.finger, barre.fret, barre.strings, barre.notes) == (1, 2, (2, 3), (0, 1))
    assert (barre.onset, barre.until) == (0, half)


def test_a_guide_finger_is_told() -> None:
    notes = (FreeNote(67, EIGHTH, (1,), 1), FreeNote(69, EIGHTH, (1,), 1))
    moments = [Moment(k * EIGHTH, (note,)) for k, note in enumerate(notes)]
    found = finger_freely(moments, GUITAR, MEDIUM, WEIGHTS, ANYWHERE).fingering
    assert found.guides == ((0, 1),)
    assert found.shifts_in_burst == 1
    assert found.first_uses == (0, 1)


def test_stretches_are_told_once() -> None:
    pitches = (60, 62, 64, 62, 60, 62, 64)  # 3/5 3/7 3/9, told where the index and middle first open
    notes = [FreeNote(midi, EIGHTH, (3,), {60: 1, 62: 2, 64: 4}[midi]) for midi in pitches]
    moments = [Moment(k * EIGHTH, (note,)) for k, note in enumerate(notes)]
    found = finger_freely(moments, GUITAR, MEDIUM, WEIGHTS, NeckLimits(False)).fingering
    assert found.stretches == (1,)
    assert found.barres == found.guides == ()
