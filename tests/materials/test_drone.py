"""Drones: a line on its strings, open strings under or over it."""

from __future__ import annotations

from fractions import Fraction
from itertools import groupby, pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.materials import materials
from builder.materials.on_strings import least_movement
from builder.theory.fretboard import Place
from tests.materials.playing import CAPO_2, INSTRUMENTS, check, composed, fretted, notes, problems_of


def drones(drone, instrument="guitar", key="G major", neck=None, rhythm=None, **keys):
    return composed(
        instrument=INSTRUMENTS.get(instrument, instrument),
        key=key,
        material={"kind": "drone", "drone": drone, **keys},
        rhythm=rhythm or {"notes-per-beat": 2},
        neck=neck or {"start": {"places": "each-string"}},
        strokes={"rule": "none"},
    )


def open_notes(study, drone):
    return [note for note in notes(study) if note.string == drone and note.fret == 0]


@pytest.mark.parametrize("instrument", [name for name in INSTRUMENTS if name != "capo-2"])
@pytest.mark.parametrize("strike", ["together", "alternate", "on-beats"])
def test_every_instrument_has_a_line_over_an_open_string(instrument, strike):
    found = drones(2, instrument, key="C major" if instrument == "ukulele" else "G major", strike=strike, notes=5)
    assert found.studies
    for study in found.studies:
        check(study, "C D E F G A B" if instrument == "ukulele" else "G A B C D E F#")
        line = [note for note in notes(study) if note.string != 2]
        assert len(line) == 5
        assert {note.string for note in line} == {study.start.string}
        assert (line[0].string, line[0].fret) == (study.start.string, study.start.fret)
        assert len(open_notes(study, 2)) == {"together": 5, "alternate": 5, "on-beats": 3}[strike]


@pytest.mark.parametrize(
    ("drone", "strike", "start", "letters"),
    [
        (5, "alternate", (4, 5), "i p m p i p m p"),
        (6, "together", (3, 5), "ip mp ip mp"),
        (1, "alternate", (3, 5), "i a i a i a i a"),
        (3, "alternate", (2, 5), "m i m i m i m i"),
    ],
)
def test_the_thumb_has_the_drone_below_and_the_fingers_take_turns(drone, strike, start, letters):
    string, fret = start
    found = composed(
        key="C major",
        material={"kind": "drone", "drone": drone, "strike": strike, "scale": "C chromatic", "notes": 4},
        rhythm={"notes-per-beat": 2},
        neck={"start": {"places": [{"string": string, "fret": fret}]}},
        strokes={"rule": "pima"},
    )
    played = sorted(notes(found.studies[0]), key=lambda note: (note.onset, note.string))
    moments = ["".join(note.stroke for note in group) for _, group in groupby(played, key=lambda note: note.onset)]
    assert " ".join(moments) == letters


def test_the_capo_moves_the_drone():
    study = composed(
        instrument=CAPO_2,
        key="A major",
        material={"kind": "drone", "drone": 4, "notes": 3},
        neck={"start": {"note": "A"}},
    ).studies[0]
    check(study, "A B C# D E F# G#")
    assert {str(note.pitch) for note in open_notes(study, 4)} == {"E3"}


def test_together_the_drone_is_struck_with_each_note_in_the_second_voice():
    study = drones([4, 5], notes=3, key="D major").studies[0]
    for _, moment in groupby(sorted(notes(study), key=lambda note: note.onset), key=lambda note: note.onset):
        assert sorted((note.voice, note.string) for note in moment if note.string in (4, 5)) == [(2, 4), (2, 5)]


def test_alternating_the_drone_answers_each_note_in_one_voice():
    study = drones(
        1, strike="alternate", notes=4, key="A minor", neck={"start": {"places": [{"string": 3, "fret": 2}]}}
    )
    study = study.studies[0]
    assert fretted(study) == "3/2 1/0 3/4 1/0 3/5 1/0 3/7 1/0"
    assert {event.voice for event in study.events} == {1}


@pytest.mark.parametrize(
    ("rhythm", "beats"),
    [
        ({"notes-per-beat": 3}, {0, 1, 2}),
        ({"meter": "6/8", "notes-per-beat": 3}, {0, Fraction(3, 2), 3}),
        ({"meter": "7/8", "groups": [2, 2, 3], "durations": ["1/8"]}, {0, 1, 2, Fraction(7, 2)}),
        ({"notes-per-beat": 2, "burst": 3, "rest": 1}, {0, 1, 3, 4, 6}),
    ],
)
def test_on_beats_the_drone_is_struck_on_the_beats_of_the_meter(rhythm, beats):
    study = drones(4, strike="on-beats", notes=8, key="D major", rhythm=rhythm).studies[0]
    struck = [note.onset * 4 for note in open_notes(study, 4)]
    line = {note.onset * 4 for note in notes(study, 1)}
    assert set(struck) >= beats & line
    assert set(struck) <= line
    quarter = {"6/8": Fraction(3, 2)}.get(rhythm.get("meter"), 1)
    if "groups" not in rhythm:
        assert set(struck) == {onset for onset in line if onset % quarter == 0}
    else:
        assert set(struck) == {onset for onset in line if onset % Fraction(7, 2) in (0, 1, 2)}


def test_a_line_over_several_strings_moves_the_hand_little():
    neck = {"start": {"places": [{"string": 3, "fret": 7}]}}
    study = drones(4, key="D major", octaves=1, strings=[3, 2, 1], neck=neck).studies[0]
    assert fretted(study, 1) == "3/7 3/9 2/7 2/8 2/10 1/7 1/9 1/10"


places = st.builds(Place, st.integers(1, 3), st.integers(1, 9))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.lists(places, min_size=1, max_size=2, unique=True), min_size=1, max_size=4))
def test_no_other_choice_moves_the_hand_less(choices):
    chosen = least_movement([[(place,) for place in moment] for moment in choices], 4, False)
    best = min(map(least_cost, product(*choices)))
    assert least_cost([place for (place,) in chosen]) == pytest.approx(best)


def least_cost(line):
    """The least cost of playing *line*, by trying every position for every note."""
    costs = []
    for positions in product(*(range(max(1, place.fret - 4), place.fret + 1) for place in line)):
        moves = [abs(a - b) for a, b in pairwise(positions)]
        stretches = sum(place.fret - position == 4 for place, position in zip(line, positions, strict=True))
        crossed = sum(abs(a.string - b.string) for a, b in pairwise(line))
        costs.append(sum(moves) + 0.5 * sum(map(bool, moves)) + stretches + 0.2 * crossed)
    return min(costs)


def test_an_open_string_calls_the_hand_to_position_1():
    choices = [[(Place(3, 5),)], [(Place(2, 0),), (Place(3, 9),)]]
    assert least_movement(choices, 4, True)[1] == (Place(2, 0),)
    assert least_movement([[(Place(3, 3),)], choices[1]], 4, False)[1] == (Place(2, 0),)
    assert least_movement([[(Place(3, 7),)], choices[1]], 4, False)[1] == (Place(3, 9),)


@pytest.mark.parametrize(
    ("keys", "rest", "words"),
    [
        ({"drone": 4}, {"key": "Ab major"}, "material.drone: open string 4 sounds D, which is not in Ab major"),
        ({"drone": 7}, {}, "material.drone: there is no string 7 on the guitar"),
        ({"drone": 4, "strings": [4, 3]}, {}, "material.strings.1: 4; a string that does not drone"),
        (
            {"drone": 4, "strike": "on-beats"},
            {"rhythm": {"notes-per-beat": 1, "displace": 0.5, "rest": "none"}},
            "material.strike: no note of the line falls on a beat",
        ),
        (
            {"drone": 4, "strike": "alternate"},
            {"rhythm": {"burst": 3}},
            "rhythm.burst: a burst of 3 notes parts a note",
        ),
        ({"drone": 4}, {"contour": {"order": [1, 2]}}, "contour: a contour; none"),
        ({"drone": 4}, {"neck": {"path": "position"}}, "neck.path: 'position'; none"),
        ({"drone": 4}, {"strokes": {"rule": "legato"}}, "strokes.rule: 'legato'"),
        ({"drone": 4}, {"strokes": {"rule": "fingers"}}, "strokes.rule: fingers plays one note at a time"),
    ],
)
def test_senseless_combinations_are_problems(keys, rest, words):
    found = problems_of(**{"key": "D major", "material": {"kind": "drone", "notes": 4, **keys}, **rest})
    assert any(words in problem for problem in found), found


def test_the_string_of_the_drone_is_not_the_lines():
    reasons = {one.start.string: one.reason for one in drones(4, key="D major", notes=4, strings=[3, 2]).skipped}
    assert reasons[4] == "string 4 is the drone's"
    assert reasons[5] == "the line keeps to string 3 and 2"


@pytest.mark.parametrize(
    "keys", [{}, {"drone": []}, {"drone": [1, 2, 3, 4]}, {"drone": "low"}, {"drone": 4, "strike": "often"}], ids=str
)
def test_wrong_parameters_are_refused(keys):
    with pytest.raises(ValueError, match="validation error"):
        materials()["drone"].parameters.model_validate(keys)
