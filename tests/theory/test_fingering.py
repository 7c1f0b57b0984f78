"""The fretting hand: hard rules, common fingerings, and the least cost against an independent exhaustive minimum."""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, pairwise, product
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.errors import NoSolution
from builder.theory.fingering import Fingering, Stop, Weights, finger_passage, reach_class, weights_from
from builder.theory.fretboard import Hand, Instrument
from builder.theory.pitch import Pitch

WEIGHTS_FILE = Path(__file__).resolve().parents[2] / "shared" / "fingering.yaml"
WEIGHTS = weights_from(yaml.safe_load(WEIGHTS_FILE.read_text(encoding="utf-8")))
GUITAR = Instrument("guitar", tuple(map(Pitch.parse, ("E4", "B3", "G3", "D3", "A2", "E2"))), 24, 648)
BASS = Instrument("bass", tuple(map(Pitch.parse, ("G2", "D2", "A1", "E1"))), 24, 863.6, position_width=3)
MANDOLIN = Instrument(
    "mandolin", tuple(map(Pitch.parse, ("E5", "A4", "D4", "G3"))), 20, 352, position_width=6, frets_per_finger=2
)
SMALL, MEDIUM, LARGE = Hand("small", 78, 98), Hand("medium", 98, 127), Hand("large", 112, 142)
SIXTEENTH = Fraction(1, 16)


def line(places: str | Sequence[tuple[int, int]], rests_before: Sequence[int] = ()) -> list[Stop]:
    """Even sixteenths at `string/fret`; a rest and a new burst before the notes counted in *rests_before*."""
    if isinstance(places, str):
        places = [tuple(map(int, place.split("/"))) for place in places.split()]  # type: ignore[misc]
    stops, now = [], Fraction(0)
    for number, (string, fret) in enumerate(places):
        now += SIXTEENTH * 4 if number in rests_before else 0
        stops.append(Stop(number, now, SIXTEENTH, string, fret, None, number == 0 or number in rests_before))
        now += SIXTEENTH
    return stops


def chord(places: str, onset: Fraction = Fraction(0), length: Fraction = Fraction(1)) -> list[Stop]:
    """Notes that sound together at `string/fret`."""
    return [replace(stop, onset=onset, duration=length, new_hand=False) for stop in line(places)]


def solve(
    stops: Sequence[Stop], shift: bool = False, hand: Hand = MEDIUM, instrument: Instrument = GUITAR
) -> Fingering:
    return finger_passage(stops, instrument, hand, WEIGHTS, shift)


def reverse(stops: Sequence[Stop]) -> list[Stop]:
    """The passage played backwards; a burst begins where one ended. For passages whose bursts don't overlap."""
    end = max(stop.end for stop in stops)
    order = sorted(stops, key=lambda stop: stop.onset)
    bursts: list[list[Stop]] = []
    for stop in order:
        if not bursts or stop.new_hand:
            bursts.append([])
        bursts[-1].append(stop)
    found = []
    for burst in reversed(bursts):
        turned = [replace(stop, onset=end - stop.end, new_hand=False) for stop in burst]
        turned.sort(key=lambda stop: stop.onset)
        found += [replace(turned[0], new_hand=True), *turned[1:]]
    return found


# --- common fingerings -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("places", "fingers", "position"),
    [
        ("5/3 5/5 4/2 4/3 4/5 3/2 3/4 3/5", "2 4 1 2 4 1 3 4", 2),
        (
            "6/3 6/5 5/2 5/3 5/5 4/2 4/4 4/5 3/2 3/4 3/5 2/3 2/5 1/2 1/3",
            "2 4 1 2 4 1 3 4 1 3 4 2 4 1 2",
            2,
        ),
        ("6/5 6/8 5/5 5/7 4/5 4/7 3/5 3/7 2/5 2/8 1/5 1/8", "1 4 1 3 1 3 1 3 1 4 1 4", 5),
    ],
)
@pytest.mark.parametrize("shift", [False, True])
def test_scales_in_one_position_have_their_usual_fingers(places: str, fingers: str, position: int, shift: bool) -> None:
    found = solve(line(places), shift)
    assert found.fingers == tuple(map(int, fingers.split()))
    assert set(found.positions) == {position}
    assert found.shifts_in_burst == 0
    assert len(set(found.shapes)) == 1


@pytest.mark.parametrize(
    ("places", "fingers", "position"),
    [
        (
            "4/0 4/2 4/4 4/5 3/0 3/2 3/4 3/5 2/0 2/2 2/3 2/5 1/0 1/2 1/3",
            "0 1 2 3 0 1 2 3 0 1 2 3 0 1 2",
            2,
        ),
        ("3/0 3/2 3/4 3/5 2/0 2/2 2/4 2/5 1/0 1/2 1/3 1/5 1/7", "0 1 2 3 0 1 2 3 0 1 2 3 4", 2),
        ("4/2 4/4 4/6 4/7 3/2 3/4 3/6 3/7 2/2 2/4 2/5 2/7", "1 2 3 4 1 2 3 4 1 2 3 4", 2),
        ("4/3 4/5 4/7 4/8 3/3 3/5 3/7 3/8", "1 2 3 4 1 2 3 4", 3),
        ("3/3 3/5 3/7 2/1 2/3 2/5 2/7 1/1", "2 3 4 1 2 3 4 1", 2),
        ("3/0 3/1 3/2 3/3 3/4 3/5 3/6 3/7", "0 1 1 2 2 3 3 4", 2),
    ],
    ids=["G major", "D major", "A major", "B flat major", "F major", "half steps"],
)
@pytest.mark.parametrize("shift", [False, True])
def test_a_mandolin_has_two_frets_a_finger(places: str, fingers: str, position: int, shift: bool) -> None:
    found = solve(line(places), shift, instrument=MANDOLIN)
    assert found.fingers == tuple(map(int, fingers.split()))
    assert set(found.positions) == {position}
    assert not found.stretches


TRIPLES = {
    (2, 4): (1, 2, 4),
    (1, 3): (1, 2, 4),
    (2, 3): (1, 3, 4),
    (1, 2): (1, 2, 3),
    (1, 4): (1, 2, 4),
    (3, 4): (1, 3, 4),
}


@pytest.mark.parametrize("shift", [False, True])
@pytest.mark.parametrize("steps", TRIPLES)
def test_three_notes_on_one_string_have_their_usual_fingers(steps: tuple[int, int], shift: bool) -> None:
    expected = TRIPLES[steps]
    for string, low in product((1, 3, 6), (1, 2, 5, 9, 12, 17)):
        frets = (low, low + steps[0], low + steps[1])
        for order in ((0, 1, 2), (2, 1, 0), (0, 1, 2, 1), (0, 1, 0, 1, 0, 1, 2), (1, 2, 1, 2, 0)):
            found = solve(line([(string, frets[i]) for i in order]), shift)
            assert found.fingers == tuple(expected[i] for i in order)
            assert set(found.positions) == {low}


def test_four_neighbouring_frets_take_four_fingers() -> None:
    for low in range(1, 20):
        assert solve(line([(3, low + i) for i in range(4)])).fingers == (1, 2, 3, 4)


def major_scale_three_a_string(low_midi: int, steps: Sequence[int]) -> list[list[int]]:
    """Frets on strings 6 to 1, three notes each, from *low_midi* up through *steps* of the scale."""
    pitches = [low_midi]
    while len(pitches) < 18:
        pitches.append(pitches[-1] + steps[(len(pitches) - 1) % len(steps)])
    return [[midi - GUITAR.open_midi(6 - i) for midi in pitches[3 * i : 3 * i + 3]] for i in range(6)]


SCALES = {"major": (2, 2, 1, 2, 2, 2, 1), "melodic minor": (2, 1, 2, 2, 2, 2, 1)}


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("degree", range(7))
def test_three_notes_a_string_keep_the_fingers_of_their_group(scale: str, degree: int) -> None:
    steps = SCALES[scale][degree:] + SCALES[scale][:degree]
    played = 0
    for low_midi in range(41 + degree % 2, 58, 4):
        groups = major_scale_three_a_string(low_midi, steps)
        spans = [(group[1] - group[0], group[2] - group[0]) for group in groups]
        if any(span not in TRIPLES for span in spans):
            continue
        if groups[0][0] < 1 or any(min(group) < 1 or max(group) > GUITAR.last_fret for group in groups):
            continue
        if any(GUITAR.reach_mm(group[0], group[-1]) > MEDIUM.limit_mm for group in groups):
            continue
        places = [(6 - i, fret) for i, group in enumerate(groups) for fret in group]
        expected = tuple(finger for span in spans for finger in TRIPLES[span])
        up, down, both = (solve(line(way), True) for way in (places, places[::-1], places + places[::-1]))
        assert (up.fingers, down.fingers, both.fingers) == (expected, expected[::-1], expected + expected[::-1])
        assert up.positions == tuple(group[0] for group in groups for _ in group)
        played += 1
    assert played


@pytest.mark.parametrize(
    ("places", "fingers"),
    [
        ("5/3 4/2 3/0 2/1 1/0", "3 2 0 1 0"),
        ("6/0 5/2 4/2 3/1 2/0 1/0", "0 2 3 1 0 0"),
        ("5/0 4/2 3/2 2/1 1/0", "0 2 3 1 0"),
        ("4/0 3/2 2/3 1/2", "0 1 3 2"),
        ("6/1 5/3 4/3 3/2 2/1 1/1", "1 3 4 2 1 1"),
        ("5/2 4/1 3/2 2/0 1/2", "2 1 3 0 4"),
        ("5/2 4/4 3/4 2/3 1/2", "1 3 4 2 1"),
    ],
)
def test_common_chords_have_their_usual_fingers(places: str, fingers: str) -> None:
    assert solve(chord(places)).fingers == tuple(map(int, fingers.split()))


def test_bass_takes_three_neighbouring_frets_with_1_2_4() -> None:
    for low in (1, 3, 5, 7, 12):
        for steps, fingers in (((0, 1), (1, 2)), ((0, 2), (1, 4)), ((0, 1, 2), (1, 2, 4)), ((2, 1, 0), (4, 2, 1))):
            found = solve(line([(2, low + step) for step in steps]), True, instrument=BASS)
            assert found.fingers == fingers
            assert set(found.positions) == {low}


def test_bass_takes_four_frets_at_once_only_where_they_are_comfortable() -> None:
    for low in range(2, 13):
        comfortable = BASS.reach_mm(low, low + 3) <= MEDIUM.comfort_mm
        found = solve(line([(2, low + step) for step in range(4)]), True, instrument=BASS)
        assert (found.shifts_in_burst == 0) == comfortable
        assert (found.fingers == (1, 2, 3, 4)) == comfortable


# --- reach -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("hand", "low", "high", "expected"),
    [
        (SMALL, 5, 8, "comfortable"),
        (SMALL, 1, 4, "stretch"),
        (SMALL, 1, 5, "refused"),
        (MEDIUM, 5, 8, "comfortable"),
        (MEDIUM, 1, 4, "comfortable"),
        (MEDIUM, 1, 5, "stretch"),
        (LARGE, 5, 8, "comfortable"),
        (LARGE, 1, 4, "comfortable"),
        (LARGE, 1, 5, "stretch"),
    ],
)
def test_hands_reach_as_their_profiles_say(hand: Hand, low: int, high: int, expected: str) -> None:
    reach = GUITAR.reach_mm(low, high)
    assert reach_class(reach, hand) == expected
    passage = line([(3, low), (3, high)])
    if expected == "refused":
        with pytest.raises(NoSolution, match="the hand's limit is"):
            solve(passage, hand=hand)
    else:
        assert solve(passage, hand=hand).widest_reach_mm == reach


def test_a_long_scale_narrows_the_reach() -> None:
    reach = BASS.reach_mm(1, 4)
    assert [reach_class(reach, hand) for hand in (SMALL, MEDIUM, LARGE)] == ["refused", "refused", "stretch"]


def test_the_reason_names_frets_reach_and_limit() -> None:
    with pytest.raises(NoSolution) as caught:
        solve(line("3/1 3/3 3/5"), hand=SMALL)
    assert caught.value.reason == "frets 1 to 5 reach 126.2 mm, the hand's limit is 98 mm"


def test_a_burst_too_wide_for_the_hand_is_played_with_a_shift_where_that_is_allowed() -> None:
    passage = line("6/3 6/5 6/7 5/8 5/10 5/12")
    with pytest.raises(NoSolution):
        solve(passage)
    found = solve(passage, True)
    assert found.shifts_in_burst == 1
    assert found.fingers == (1, 2, 4, 1, 2, 4)


def test_open_strings_need_no_finger_and_no_reach() -> None:
    found = solve(line("6/0 6/9 6/12 5/0 5/9"))
    assert found.fingers == (0, 1, 4, 0, 1)
    assert found.positions == (9,) * 5
    assert found.widest_reach_mm == GUITAR.reach_mm(9, 12)


def test_open_strings_alone_leave_the_hand_where_it_is() -> None:
    found = solve(line("3/7 3/9 1/0 2/0 3/0 5/2", rests_before=(2, 5)))
    assert found.fingers[2:5] == (0, 0, 0)
    assert found.positions[:5] == (7,) * 5
    first = solve(line("1/0 2/0 3/7 3/9", rests_before=(2,)))
    assert first.positions == (7,) * 4
    alone = solve(line("1/0 2/0"))
    assert (alone.fingers, alone.widest_reach_mm) == ((0, 0), 0)
    assert solve([]).fingers == ()


# --- fixed fingers and notes held ------------------------------------------------------------------------------------


def test_written_fingers_are_kept() -> None:
    stops = line("3/5 3/7 3/8")
    assert solve([stops[0], replace(stops[1], finger=2), stops[2]]).fingers == (1, 2, 3)
    assert solve([replace(stops[0], finger=2), *stops[1:]]).fingers[0] == 2


@pytest.mark.parametrize(
    ("places", "written", "reason"),
    [
        ("3/5 3/7", (3, 2), "the fingers written for frets 5 to 7 can't be kept in one hand position"),
        ("3/5 3/7 2/5", (1, 3, 2), "the fingers written for frets 5 to 7 can't be kept in one hand position"),
        ("3/5", (0,), "finger 0 can't play fret 5 on string 3"),
        ("3/0", (2,), "finger 2 can't play an open string on string 3"),
    ],
)
def test_written_fingers_no_hand_can_keep_are_refused(places: str, written: Sequence[int], reason: str) -> None:
    stops = [replace(stop, finger=finger) for stop, finger in zip(line(places), written, strict=True)]
    with pytest.raises(NoSolution) as caught:
        solve(stops)
    assert caught.value.reason == reason


def test_written_fingers_can_change_where_the_hand_moves() -> None:
    stops = [replace(stop, finger=finger) for stop, finger in zip(line("3/7 3/7"), (3, 4), strict=True)]
    assert solve(stops, True).positions == (5, 4)


def test_a_held_note_keeps_its_finger_and_others_go_around_it() -> None:
    bass = Stop(0, Fraction(0), Fraction(1), 6, 3, None, True)
    tune = [Stop(i + 1, Fraction(i, 4), Fraction(1, 4), 2, fret) for i, fret in enumerate((3, 5, 4, 3))]
    found = solve([bass, *tune])
    assert found.fingers[0] not in found.fingers[2:4]
    assert len(set(found.positions)) == 1
    held = solve([replace(bass, finger=1), *tune])
    assert held.fingers[0] == 1
    assert 1 not in held.fingers[2:4]


def test_a_note_held_into_the_next_burst_keeps_the_hand_near() -> None:
    held = Stop(0, Fraction(0), Fraction(1, 2), 6, 5, 1, True)
    after = Stop(1, Fraction(1, 4), Fraction(1, 4), 3, 7, None, True)
    found = solve([held, after])
    assert found.fingers == (1, 3)
    with pytest.raises(NoSolution):
        solve([held, replace(after, fret=4)])


def test_five_frets_at_once_are_refused() -> None:
    with pytest.raises(NoSolution, match="can't be held with four fingers"):
        solve(chord("6/12 5/13 4/14 3/15 2/16"))
    with pytest.raises(NoSolution, match="string 3 would have to sound frets 5 and 7 at once"):
        solve(chord("3/5 3/7"))


@pytest.mark.parametrize(
    ("places", "written"),
    [
        ("4/5 3/0 2/5", (1, 0, 1)),  # an open string under a barre
        ("4/5 3/4 2/5", (2, 1, 2)),  # a note behind it
        ("4/5 2/5", (2, 2)),  # finger 2 lies across neighbouring strings only
        ("4/5 3/6", (1, 1)),  # one finger, two frets
        ("4/5 3/6", (2, 1)),  # crossed fingers
    ],
)
def test_fingers_that_cannot_sound_together_are_refused(places: str, written: Sequence[int]) -> None:
    stops = chord(places)
    check_chord(stops, solve(stops).fingers)
    with pytest.raises(NoSolution):
        solve([replace(stop, finger=finger) for stop, finger in zip(stops, written, strict=True)])


def test_the_hand_never_stands_below_the_first_fret() -> None:
    assert solve([replace(line("3/1")[0], finger=2)]).positions == (1,)


def test_two_voices_may_share_a_note() -> None:
    one = Stop(0, Fraction(0), Fraction(1, 2), 3, 5, None, True)
    assert solve([one, replace(one, index=1, duration=Fraction(1, 4))]).fingers == (1, 1)


# --- what the reader is told ------------------------------------------------------------------------------------------


def test_a_barre_is_told_with_its_strings() -> None:
    (barre,) = solve(chord("6/1 5/3 4/3 3/2 2/1 1/1")).barres
    assert (barre.finger, barre.fret, barre.strings, barre.notes) == (1, 1, (1, 6), (0, 4, 5))
    assert solve(line("6/5 5/5 4/5")).barres == ()


def test_guides_and_first_uses_are_told() -> None:
    found = solve(line("3/5 3/7 3/8 3/10 3/12", rests_before=(3,)))
    assert found.positions == (5, 5, 5, 10, 10)
    assert found.first_uses == (0, 3)
    written = [replace(stop, finger=1) for stop in line("3/5 3/7")]
    assert solve(written, True).guides == ((0, 1),)
    assert solve(line("3/5 3/7")).guides == ()


def test_each_stretch_is_told_once() -> None:
    assert solve(line("3/5 3/7 3/9 3/7 3/5 3/7 3/9")).stretches == (1,)
    assert solve(line("3/5 3/6 3/7 3/8")).stretches == ()
    assert solve(line("2/5 2/6 2/7"), instrument=BASS).stretches == ()


# --- weights ---------------------------------------------------------------------------------------------------------


def test_every_weight_has_its_reason() -> None:
    mapping = yaml.safe_load(WEIGHTS_FILE.read_text(encoding="utf-8"))
    for name, entry in mapping.items():
        assert set(entry) == {"points", "reason"}, name
        assert len(entry["reason"].split()) >= 3, name


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"shift": "far"}, "shift: found far, expected a number"),
        ({"shift": {"points": None}}, "shift: found None, expected"),
        ({"shift": True}, "shift: found True, expected"),
        ({"figure-walk": -1}, "figure-walk: found -1, expected a number of at least 0"),
        ({"shfit": 3}, "unknown: shfit"),
    ],
)
def test_wrong_weights_are_refused(change: dict[str, object], message: str) -> None:
    mapping = yaml.safe_load(WEIGHTS_FILE.read_text(encoding="utf-8"))
    with pytest.raises(ValueError, match=message):
        weights_from({**mapping, **change})
    del mapping["hop"]
    with pytest.raises(ValueError, match="missing: hop"):
        weights_from(mapping)


# --- an independent price and an exhaustive minimum ------------------------------------------------------------------


def check_chord(stops: Sequence[Stop], fingers: Sequence[int]) -> None:
    assert legal_together([(s.string, s.fret, g) for s, g in zip(stops, fingers, strict=True)])


def legal_together(notes: Sequence[tuple[int, int, int]]) -> bool:
    """Whether (string, fret, finger) can sound at once by the hard rules."""
    for (s1, f1, g1), (s2, f2, g2) in combinations(notes, 2):
        if s1 == s2 and (f1, g1) != (f2, g2):
            return False
        if g1 and g1 == g2 and (f1 != f2 or (g1 != 1 and abs(s1 - s2) > 2)):
            return False
        if g1 > 1 and g1 == g2 and any(min(s1, s2) < s < max(s1, s2) and g != g1 for s, _, g in notes):
            return False
        if g1 and g2 and (f1 - f2) * (g1 - g2) < 0:
            return False
        if g1 and g1 == g2 and any(min(s1, s2) < s < max(s1, s2) and f < f1 for s, f, _ in notes):
            return False
    return True


Cut = tuple[int, int]  # a hand shape of a line: its first note, the note after its last


class Price:
    """The documented cost of a line in figures, worked out over a whole fingered passage from the words of the weights.

    A hand shape is a stretch of notes; each has a position, and all bursts begin one.
    """

    def __init__(
        self, stops: Sequence[Stop], instrument: Instrument, hand: Hand, weights: Weights, shift: bool
    ) -> None:
        self.stops, self.instrument, self.hand, self.w, self.shift = stops, instrument, hand, weights, shift
        self.narrow, self.leans = instrument.position_width == 3, instrument.frets_per_finger == 2
        self.low = (0, -1, 1, 3, 5) if self.leans else (0, 0, 1, 1.5, 2) if self.narrow else (0, 0, 1, 2, 3)
        self.high = (0, 0, 2, 4, 5) if self.leans else self.low
        self.begins = [k == 0 or stop.new_hand for k, stop in enumerate(stops)]

    def least(self, fingers: Sequence[int], cuts: Sequence[Cut]) -> float | None:
        """The least points of *fingers* over all positions of the hand shapes; None if the hand can't."""
        ways: dict[int, float] = {1: 0.0}
        touched = False
        for number, (first, end) in enumerate(cuts):
            pairs = self.pairs(fingers, range(first, end))
            own = self.notes(fingers, first, end)
            arrivals: dict[int, float] = {}
            for position in range(1, self.instrument.last_fret + 1):
                if not all(self.stands(position, fret, finger) for fret, finger in pairs):
                    continue
                for before, points in ways.items():
                    come = self.come(fingers, before, position, cuts, number, touched)
                    if come is None:
                        continue
                    index = {(position, 1)} if come[1] else set()
                    shape = self.shape(pairs | index, position)
                    if shape is not None:
                        total = points + come[0] + shape + own
                        arrivals[position] = min(total, arrivals.get(position, total))
            ways, touched = arrivals, True
        return min(ways.values(), default=None)

    def pairs(self, fingers: Sequence[int], notes: Iterable[int]) -> set[tuple[int, int]]:
        return {(self.stops[k].fret, fingers[k]) for k in notes if fingers[k]}

    def stands(self, position: int, fret: int, finger: int) -> bool:
        three = self.narrow and self.instrument.reach_mm(position, position + 3) > self.hand.comfort_mm
        own = position + int(self.high[finger]) if self.leans else position + (0, 0, 1, 2, 2 if three else 3)[finger]
        room = int(self.high[finger] - self.low[finger])
        below, above = {1: (0, 0), 2: (1, 1), 3: (2, 1), 4: (3, 2)}[finger]
        if not own - room - below <= fret <= own + above:
            return False
        return self.instrument.reach_mm(position, max(position, fret)) <= self.hand.limit_mm

    def come(
        self, fingers: Sequence[int], before: int, position: int, cuts: Sequence[Cut], number: int, touched: bool
    ) -> tuple[float, bool] | None:
        """The points of coming to a shape's position, and whether the index stays for it."""
        first, _ = cuts[number]
        if not touched:
            return 0.0, False
        away = abs(position - before)
        idle = not fingers[first - 1]
        silent = max(stop.end for stop in self.stops[:first]) < self.stops[first].onset
        if self.begins[first]:
            if silent:
                return self.w.figure_rest_fret * away, False
            moved = (self.w.figure_shift_open if idle else self.w.figure_shift) + self.w.figure_shift_fret * away
            return (moved if away else 0.0), False
        one_string = self.stops[first - 1].string == self.stops[first].string and not idle
        extra = self.w.figure_shift_on_string if one_string else 0.0
        if away:
            moved = (self.w.figure_shift_open if idle else self.w.figure_shift) + self.w.figure_shift_fret * away
            return moved + extra, False
        return self.regrip(fingers, position, cuts, number, extra)

    def regrip(
        self, fingers: Sequence[int], position: int, cuts: Sequence[Cut], number: int, extra: float
    ) -> tuple[float, bool] | None:
        """The index stays, other fingers take over: it stands in both shapes, all keep to their frets or the next."""
        (a, b), (first, end) = cuts[number - 1], cuts[number]
        old, new = self.pairs(fingers, range(a, b)), self.pairs(fingers, range(first, end))
        if self.leans:
            return None
        near = {1: (0,), 2: (1, 2), 3: (2,) if self.narrow else (2, 3), 4: (2, 3) if self.narrow else (3, 4)}
        settled = all(fret - position in near[finger] for fret, finger in old | new)
        index = [fret for fret, finger in old if finger == 1]
        if not settled or not index or min(index) not in [fret for fret, finger in new if finger == 1]:
            return None
        return self.w.figure_regrip + extra, False

    def shape(self, pairs: set[tuple[int, int]], position: int) -> float | None:
        """The points of a shape; None where fingers cross, share a fret or leave it, or reach too far."""
        if not pairs:
            return 0.0
        frets = [fret for fret, _ in pairs]
        reach = self.instrument.reach_mm(min(frets), max(frets))
        crossed = any(f1 < f2 and g1 > g2 for (f1, g1), (f2, g2) in product(pairs, repeat=2))
        if crossed or reach > self.hand.limit_mm or len(set(frets)) < len(pairs):
            return None
        spans = {g: sorted(f for f, other in pairs if other == g) for _, g in pairs}
        walks = sum(max(0, on[-1] - on[0] - int(self.high[g] - self.low[g])) for g, on in spans.items())
        if walks and self.shift:
            return None
        points = sum((0, 0, self.w.figure_2, self.w.figure_3, self.w.figure_4)[g] for _, g in pairs)
        points += self.w.figure_walk * walks + self.gaps(pairs)
        points += self.w.figure_lean * sum(len(on) - 1 for on in spans.values()) if self.leans else 0
        points += self.w.figure_stretched if reach > self.hand.comfort_mm else 0
        return points + self.w.figure_off * self.off(pairs, position)

    def off(self, pairs: set[tuple[int, int]], position: int) -> float:
        if self.leans:
            away = [(fret - position - self.low[g], fret - position - self.high[g]) for fret, g in pairs]
            return sum(-min(0, below) + max(0, above) for below, above in away)
        fret, finger = min(pairs)
        return abs(position - max(1, fret - int(self.low[finger])))

    def gaps(self, pairs: set[tuple[int, int]]) -> float:
        used = sorted({g for _, g in pairs})
        return sum(
            self.gap(a, b, min(f for f, g in pairs if g == b) - max(f for f, g in pairs if g == a))
            for a, b in (combinations(used, 2) if self.leans else pairwise(used))
        )

    def gap(self, low: int, high: int, frets: int) -> float:
        opening = min((self.w.figure_12, self.w.figure_23, self.w.figure_34)[low - 1 : high - 1])
        wide = max(0, frets - (self.high[high] - self.low[low]))
        return opening * wide + self.w.figure_squeeze * max(0, self.low[high] - self.high[low] - frets)

    def notes(self, fingers: Sequence[int], first: int, end: int) -> float:
        """What a shape's notes cost by themselves, one after the other, and on one string in one go."""
        points = 0.0
        visit: list[int] = []
        for k in range(first, end):
            stop = self.stops[k]
            points += self.w.high_fret * max(0, stop.fret - 9) / 3 if stop.fret else self.w.open
            if visit and self.stops[visit[-1]].string != stop.string:
                points += self.visit(fingers, visit)
                visit = []
            visit.append(k)
            if k:
                points += self.after(fingers, k - 1, k, k > first)
        return points + self.visit(fingers, visit)

    def visit(self, fingers: Sequence[int], visit: Sequence[int]) -> float:
        pairs = self.pairs(fingers, visit)
        if not pairs:
            return 0.0
        frets = [fret for fret, _ in pairs]
        far = self.instrument.reach_mm(min(frets), max(frets)) > self.hand.comfort_mm
        return self.w.figure_gesture * self.gaps(pairs) + (self.w.figure_narrow if self.narrow and far else 0)

    def after(self, fingers: Sequence[int], i: int, k: int, same_shape: bool) -> float:
        """What a note costs after the one before: its finger's way, and that of the line over the strings."""
        a, b, w = self.stops[i], self.stops[k], self.w
        points = 0.0
        if same_shape and fingers[i] and fingers[i] == fingers[k] and (a.string, a.fret) != (b.string, b.fret):
            if self.leans and abs(a.fret - b.fret) == 1:
                points += w.figure_lean
            elif a.string == b.string:
                points += w.figure_slide
            elif a.fret != b.fret:
                points += w.figure_jump
            else:
                points += w.figure_roll if abs(a.string - b.string) == 1 else w.figure_hop
        interval = abs(self.midi(a) - self.midi(b))
        if not interval and a.string != b.string:
            points += w.again_elsewhere
        if a.string == b.string and a.fret != b.fret:
            points += w.string_leap if abs(a.fret - b.fret) > 2 else w.string_step
        if interval > 2:
            points += w.leap_on_string if a.string == b.string else 0
        elif interval:
            points += w.step_crosses if abs(a.string - b.string) == 1 else 0
            if not b.fret:
                points += w.open_step + (w.open_crossing if a.fret and a.string != b.string else 0)
        return points

    def midi(self, stop: Stop) -> int:
        return self.instrument.open_midi(stop.string) + stop.fret


def cheapest(stops: Sequence[Stop], instrument: Instrument, hand: Hand, shift: bool) -> float | None:
    """The least price over every finger for every note and, where allowed, every way to cut bursts into hand shapes."""
    price = Price(stops, instrument, hand, WEIGHTS, shift)
    forced = [k for k in range(len(stops)) if price.begins[k]]
    free = [k for k in range(len(stops)) if not price.begins[k] and stops[k].fret] if shift else []
    best: float | None = None
    choices = [(0,) if not s.fret else (1, 2, 3, 4) if s.finger is None else (s.finger,) for s in stops]
    for size in range(len(free) + 1):
        for chosen in combinations(free, size):
            cuts = list(pairwise([*sorted([*forced, *chosen]), len(stops)]))
            for fingers in product(*choices):
                points = price.least(fingers, cuts)
                if points is not None and (best is None or points < best):
                    best = points
    return best


def approx(points: float | None) -> object:
    return None if points is None else pytest.approx(points, abs=1e-9)


def found_cost(stops: Sequence[Stop], instrument: Instrument, hand: Hand, shift: bool) -> float | None:
    try:
        return solve(stops, shift, hand, instrument).cost
    except NoSolution:
        return None


def random_line(rng: random.Random, notes: int, instrument: Instrument) -> list[Stop]:
    low, near = rng.randint(1, 9), rng.randint(1, instrument.strings)
    places = []
    for _ in range(notes):
        string = min(instrument.strings, max(1, near + rng.choice((-1, 0, 0, 0, 1))))
        places.append((string, 0 if rng.random() < 0.1 else low + rng.randint(0, 5)))
    rests = [i for i in range(1, notes) if rng.random() < 0.2]
    stops = line(places, rests)
    if rng.random() < 0.2:
        stops = [replace(s, duration=Fraction(1, 16), onset=Fraction(i, 16)) for i, s in enumerate(stops)]
    if rng.random() < 0.2:
        at = rng.randrange(notes)
        stops[at] = replace(stops[at], finger=rng.randint(1, 4) if stops[at].fret else 0)
    return stops


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("instrument", [GUITAR, BASS, MANDOLIN], ids=lambda item: item.name)
def test_no_fingering_of_a_line_is_cheaper(seed: int, instrument: Instrument) -> None:
    rng = random.Random(seed)
    stops = random_line(rng, rng.randint(3, 6), instrument)
    hand = rng.choice((SMALL, MEDIUM, LARGE))
    assert found_cost(stops, instrument, hand, False) == approx(cheapest(stops, instrument, hand, False))


@pytest.mark.parametrize("seed", range(12))
def test_no_fingering_of_a_line_with_shifts_is_cheaper(seed: int) -> None:
    rng = random.Random(1000 + seed)
    instrument = rng.choice((GUITAR, GUITAR, BASS))
    stops = random_line(rng, rng.randint(3, 5), instrument)
    hand = rng.choice((SMALL, MEDIUM, LARGE))
    assert found_cost(stops, instrument, hand, True) == approx(cheapest(stops, instrument, hand, True))


@pytest.mark.parametrize("seed", range(12))
def test_no_fingering_of_a_mandolin_line_with_shifts_is_cheaper(seed: int) -> None:
    rng = random.Random(2000 + seed)
    stops = random_line(rng, rng.randint(3, 5), MANDOLIN)
    hand = rng.choice((SMALL, MEDIUM, LARGE))
    assert found_cost(stops, MANDOLIN, hand, True) == approx(cheapest(stops, MANDOLIN, hand, True))


def random_voices(rng: random.Random, later_bursts: bool = False) -> list[Stop]:
    """Up to five notes on different strings that begin and end anywhere in a bar."""
    low, strings = rng.randint(1, 9), rng.sample(range(1, 7), rng.randint(2, 5))
    stops = []
    for string in strings:
        begin = rng.randint(0, 3)
        fret = 0 if rng.random() < 0.1 else low + rng.randint(0, 3)
        stops.append(Stop(0, Fraction(begin, 4), Fraction(rng.randint(1, 4 - begin), 4), string, fret))
    stops.sort(key=lambda stop: stop.onset)
    if not any(a.end > b.onset for a, b in combinations(stops, 2)):
        stops[-1] = replace(stops[-1], onset=stops[0].onset, duration=stops[0].duration)
        stops.sort(key=lambda stop: stop.onset)
    begins = {stops[0].onset, *(stop.onset for stop in stops if later_bursts and rng.random() < 0.3)}
    return [
        replace(stop, index=i, new_hand=stop.onset in begins and stop.onset not in {s.onset for s in stops[:i]})
        for i, stop in enumerate(stops)
    ]


# --- properties ------------------------------------------------------------------------------------------------------

lines = st.integers(0, 10**6).map(
    lambda seed: random_line(random.Random(seed), random.Random(seed).randint(1, 24), GUITAR)
)
voices = st.integers(0, 10**6).map(lambda seed: random_voices(random.Random(seed)))
quick = settings(max_examples=50, deadline=None)


def bursts(stops: Sequence[Stop]) -> list[list[int]]:
    found: list[list[int]] = []
    for i, stop in enumerate(stops):
        if not found or stop.new_hand:
            found.append([])
        found[-1].append(i)
    return found


@quick
@given(lines, st.booleans())
def test_lines_keep_the_rules_of_the_hand(stops: list[Stop], shift: bool) -> None:
    try:
        found = solve(stops, shift)
    except NoSolution:
        assert not shift or any(stop.finger is not None for stop in stops)
        return
    assert all((finger == 0) == (stop.fret == 0) for stop, finger in zip(stops, found.fingers, strict=True))
    assert all(stop.finger in (None, finger) for stop, finger in zip(stops, found.fingers, strict=True))
    assert min(found.positions) >= 1
    for burst in bursts(stops):
        if not shift:
            assert len({found.positions[i] for i in burst}) == 1
        runs: list[list[int]] = []
        for i in burst:
            if not runs or found.positions[runs[-1][-1]] != found.positions[i]:
                runs.append([])
            runs[-1].append(i)
        for run in runs:
            pairs = {(stops[i].fret, found.fingers[i]) for i in run if stops[i].fret}
            assert not any(f1 < f2 and g1 > g2 for (f1, g1), (f2, g2) in product(pairs, repeat=2))
            for shape in {found.shapes[i] for i in run}:
                held = {(stops[i].fret, found.fingers[i]) for i in run if stops[i].fret and found.shapes[i] == shape}
                assert len({fret for fret, _ in held}) == len(held)
                assert not shift or len({finger for _, finger in held}) == len(held)
            if any(finger == 1 for _, finger in pairs):
                assert found.positions[run[0]] in [fret for fret, finger in pairs if finger == 1]
    stays: list[list[int]] = []
    for i, stop in enumerate(stops):
        rested = stop.new_hand and i > 0 and stops[i - 1].end < stop.onset
        if not i or rested or found.positions[i] != found.positions[i - 1]:
            stays.append([])
        stays[-1] += [stop.fret] if stop.fret else []
    widest = max((GUITAR.reach_mm(min(frets), max(frets)) for frets in stays if frets), default=0.0)
    assert found.widest_reach_mm == widest <= MEDIUM.limit_mm
    for i, k in combinations(range(len(stops)), 2):
        if found.shapes[i] == found.shapes[k]:
            assert found.positions[i] == found.positions[k]
            if stops[i].fret == stops[k].fret:
                assert found.fingers[i] == found.fingers[k]


@quick
@given(voices)
def test_voices_keep_the_rules_of_the_hand(stops: list[Stop]) -> None:
    try:
        found = solve(stops)
    except NoSolution:
        return
    for now in stops:
        sounding = [i for i, stop in enumerate(stops) if stop.onset <= now.onset < stop.end]
        check_chord([stops[i] for i in sounding], [found.fingers[i] for i in sounding])
    assert found.widest_reach_mm <= MEDIUM.limit_mm


@quick
@given(lines)
def test_a_closed_pattern_moved_up_a_fret_keeps_its_fingers(stops: list[Stop]) -> None:
    closed = [replace(stop, fret=stop.fret or 5, finger=None) for stop in stops]
    if any(max(c.fret for c in closed) - min(c.fret for c in closed) > 5 for _ in closed):
        return
    moved = [replace(stop, fret=stop.fret + 1) for stop in closed]
    for burst in bursts(closed):
        frets = [closed[i].fret for i in burst]
        # The hand may stand up to five frets below what it plays: no reach from there may change its class.
        for low in range(max(1, min(frets) - 5), min(frets) + 1):
            classes = {reach_class(GUITAR.reach_mm(low + up, max(frets) + up), MEDIUM) for up in (0, 1)}
            if len(classes) > 1 or (low == min(frets) and "refused" in classes):
                return
    here, there = solve(closed), solve(moved)
    assert there.fingers == here.fingers
    assert there.positions == tuple(position + 1 for position in here.positions)


@quick
@given(lines, st.booleans(), st.randoms())
def test_the_order_in_which_stops_are_given_does_not_matter(stops: list[Stop], shift: bool, rng: random.Random) -> None:
    order = list(range(len(stops)))
    rng.shuffle(order)
    try:
        found = solve(stops, shift)
    except NoSolution:
        return
    shuffled = solve([stops[i] for i in order], shift)
    assert shuffled.fingers == tuple(found.fingers[i] for i in order)
    assert shuffled.cost == found.cost
