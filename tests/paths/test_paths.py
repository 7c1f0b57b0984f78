"""Ways to walk the neck. Sources: checks b and e (places and shapes, computed there and common practice)."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.errors import NoSolution
from builder.paths import Group
from builder.registry import registered
from builder.theory.fretboard import Hand, Instrument, Place
from builder.theory.neck import NeckRule, Player
from builder.theory.pitch import Pitch
from tests.strategies import PRICES, WEIGHTS

GUITAR = Instrument("guitar", tuple(map(Pitch.parse, ("E4", "B3", "G3", "D3", "A2", "E2"))), 22, 648.0)
BASS = Instrument("bass", tuple(map(Pitch.parse, ("G2", "D2", "A1", "E1"))), 24, 863.6, position_width=3)
MAJOR = (0, 2, 4, 5, 7, 9, 11)
PATHS = registered("builder.paths", "PATH")


def player(instrument):
    return Player(instrument, Hand("medium", 98, 127), WEIGHTS, PRICES)


def line(*midi):
    return (Group(tuple((note,) for note in midi), True, tuple((None,) for _ in midi)),)


def major(tonic, notes):
    return [tonic + 12 * (k // 7) + MAJOR[k % 7] for k in range(notes)]


def walk(path, midi, start, instrument=GUITAR, **rule):
    placed = PATHS[path].walk(line(*midi), Place(*start), NeckRule(path, **rule), player(instrument))
    return [(place.string, place.fret) for moments in placed.places for moment in moments for place in moment]


def test_one_string_stays_on_it():
    assert walk("one-string", [62, 64, 65], (3, 7)) == [(3, 7), (3, 9), (3, 10)]


def test_one_string_says_which_fret_is_missing():
    with pytest.raises(NoSolution, match="needs fret -4"):
        walk("one-string", [50, 46], (4, 0))
    with pytest.raises(NoSolution, match="needs fret 24; the last one is 22"):
        walk("one-string", [64, 88], (1, 0), open_strings=True)


def test_open_strings_belong_to_position_one_unless_asked_for():
    assert walk("one-string", [64, 65, 67], (1, 0)) == [(1, 0), (1, 1), (1, 3)]
    with pytest.raises(NoSolution, match="open string"):
        walk("one-string", [64, 71], (1, 0))
    assert walk("one-string", [64, 71], (1, 0), open_strings=True) == [(1, 0), (1, 7)]
    with pytest.raises(NoSolution, match="open string"):
        walk("one-string", [64, 65], (1, 0), open_strings=False)


def test_c_major_in_position_two():
    wanted = [(5, 3), (5, 5), (4, 2), (4, 3), (4, 5), (3, 2), (3, 4), (3, 5)]
    assert walk("position", major(48, 8), (5, 3)) == wanted


def test_g_major_in_position_two():
    wanted = ["6/3", "6/5", "5/2", "5/3", "5/5", "4/2", "4/4", "4/5", "3/2", "3/4", "3/5", "2/3", "2/5", "1/2", "1/3"]
    assert [f"{s}/{f}" for s, f in walk("position", major(43, 15), (6, 3))] == wanted


def test_a_position_out_of_reach_says_why():
    with pytest.raises(NoSolution, match="above position"):
        walk("position", [43, 80], (6, 3))
    with pytest.raises(NoSolution, match="does not lie in position 9"):
        walk("position", [43, 45], (6, 3), position=9)


@pytest.mark.parametrize(
    ("tonic", "shape"),
    [
        (0, "3-5-7 3-5-7 4-5-7 4-5-7 5-7-8 5-7-8"),
        (1, "5-7-8 5-7-9 5-7-9 5-7-9 7-8-10 7-8-10"),
        (2, "7-8-10 7-9-10 7-9-10 7-9-11 8-10-12 8-10-12"),
        (3, "8-10-12 9-10-12 9-10-12 9-11-12 10-12-13 10-12-14"),
        (4, "10-12-14 10-12-14 10-12-14 11-12-14 12-13-15 12-14-15"),
        (5, "12-14-15 12-14-15 12-14-16 12-14-16 13-15-17 14-15-17"),
        (6, "14-15-17 14-15-17 14-16-17 14-16-17 15-17-19 15-17-19"),
    ],
)
def test_three_a_string_shapes_of_g_major(tonic, shape):
    midi = major(43, 25)[tonic : tonic + 18]
    frets = [fret for _, fret in walk("per-string", midi, (6, midi[0] - 40), count=3)]
    assert [frets[k : k + 3] for k in range(0, 18, 3)] == [[int(f) for f in part.split("-")] for part in shape.split()]


def test_coming_down_uses_the_places_of_going_up():
    up = major(43, 6)
    there_and_back = walk("per-string", [*up, *up[-2::-1]], (6, 3), count=3)
    assert there_and_back == there_and_back[::-1]


def test_strings_in_the_order_of_the_rule():
    assert [
        s for s, _ in walk("per-string", [48, 57, 60, 64], (5, 3), count=1, strings=(5, 3, 2, 1), open_strings=True)
    ] == [5, 3, 2, 1]


def test_too_few_strings_for_a_line():
    with pytest.raises(NoSolution, match="needs 3 strings; 2 are left"):
        walk("per-string", major(59, 8), (2, 0), count=3, open_strings=True)


@settings(deadline=None)  # the free path follows every way through a short passage
@given(
    first=st.integers(40, 60),
    steps=st.lists(st.integers(1, 4), max_size=10),
    path=st.sampled_from(sorted(PATHS)),
    bass=st.booleans(),
)
def test_every_place_sounds_its_pitch(first, steps, path, bass):
    instrument = BASS if bass else GUITAR
    midi = [first]
    for step in steps:
        midi.append(midi[-1] + step)
    for string in range(1, instrument.strings + 1):
        start = Place(string, first - instrument.open_midi(string))
        if not 0 <= start.fret <= instrument.last_fret:
            continue
        try:
            placed = PATHS[path].walk(line(*midi), start, NeckRule(path, count=3), player(instrument))
        except NoSolution:
            continue
        places = [moment[0] for moment in placed.places[0]]
        assert places[0] == start
        assert [instrument.sound(place) for place in places] == midi
        assert all(0 <= place.fret <= instrument.last_fret for place in places)
