"""Finger patterns: which finger lies where, string by string, round by round."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.errors import NoSolution
from builder.materials import materials
from builder.theory.fretboard import Place
from builder.theory.harmony import parse_key
from builder.theory.spelling import spell
from tests.strategies import GUITAR, setting

FINGERS = materials()["fingers"]
patterns = st.lists(st.integers(1, 4), min_size=1, max_size=8)


def read(context=None, **keys):
    return FINGERS.parameters.model_validate(keys, context=context)


def played(parameters, string, fret, key=None):
    """Each set as `string: frets in the order played (fingers)`."""
    start = Place(string, fret)
    first = str(spell(GUITAR.sound(start), parse_key(key) if key else None, rising=True))
    found = FINGERS.note_sets(parameters, setting(first, start, key))
    return [
        f"{one.sounds[0].string}: "
        + " ".join(f"{one.sounds[k - 1].fret}({one.sounds[k - 1].finger})" for k in one.order)
        for one in found
    ]


@given(patterns, st.integers(1, 6), st.integers(1, 18))
def test_each_finger_has_its_fret_and_the_lowest_lies_on_the_start(pattern, string, fret):
    start = Place(string, fret)
    first = str(spell(GUITAR.sound(start), None, rising=True))
    for one in FINGERS.note_sets(read(pattern=pattern), setting(first, start)):
        assert [one.sounds[k - 1].finger for k in one.order] == pattern
        for sound in one.sounds:
            assert sound.fret == fret + sound.finger - min(pattern)
            assert GUITAR.sound(Place(sound.string, sound.fret)) == sound.pitch.midi


def test_without_strings_the_figure_goes_from_its_string_to_the_first():
    assert played(read(), 3, 5) == ["3: 5(1) 8(4) 6(2) 7(3)", "2: 5(1) 8(4) 6(2) 7(3)", "1: 5(1) 8(4) 6(2) 7(3)"]
    assert played(read(pattern=[2, 4]), 1, 5) == ["1: 5(2) 7(4)"]


def test_the_way_back_plays_the_turning_string_once():
    parameters = read(pattern=[1], strings=[6, 4, 2], back=True)
    assert played(parameters, 6, 3) == ["6: 3(1)", "4: 3(1)", "2: 3(1)", "4: 3(1)", "6: 3(1)"]


def test_each_further_round_shifts():
    parameters = read(pattern=[1, 2], strings=[2, 1], rounds=3, shift=2)
    assert played(parameters, 2, 5) == [
        "2: 5(1) 6(2)",
        "1: 5(1) 6(2)",
        "2: 7(1) 8(2)",
        "1: 7(1) 8(2)",
        "2: 9(1) 10(2)",
        "1: 9(1) 10(2)",
    ]


def test_several_patterns_take_turns_through_all_rounds():
    parameters = read(pattern=[[1, 2], [2, 1], [3]], strings=[2, 1], rounds=2)
    assert played(parameters, 2, 5) == ["2: 5(1) 6(2)", "1: 6(2) 5(1)", "2: 7(3)", "1: 5(1) 6(2)"]


def test_a_name_stands_for_a_pattern_of_the_library():
    context = {"patterns": {"spider": [[1, 3], [2, 4]]}}
    assert read(context, pattern="spider").pattern == ((1, 3), (2, 4))
    with pytest.raises(ValueError, match="validation error") as caught:
        read(context, pattern="spidr")
    assert caught.value.errors()[0]["ctx"]["hint"] == "did you mean 'spider'?"


def test_notes_are_spelled_as_in_the_key_else_sharp_going_up():
    start = Place(6, 5)
    (one,) = FINGERS.note_sets(read(pattern=[1, 2, 3, 4], strings=[6]), setting("A2", start))
    assert " ".join(str(sound.pitch) for sound in one.sounds) == "A2 A#2 B2 C3"
    (one,) = FINGERS.note_sets(read(pattern=[1, 2, 3, 4], strings=[6]), setting("A2", start, "D minor"))
    assert " ".join(str(sound.pitch) for sound in one.sounds) == "A2 Bb2 B2 C3"
    (one,) = FINGERS.note_sets(read(pattern=[1], strings=[6]), setting("Bb2", Place(6, 6)))
    assert str(one.sounds[0].pitch) == "Bb2"


@pytest.mark.parametrize(
    ("keys", "string", "fret", "words"),
    [
        ({"strings": [6, 5]}, 5, 5, "the figure begins on string 6"),
        ({}, 6, 20, "finger 4 needs fret 23 on string 6, the last is fret 22"),
        ({}, 6, 0, "finger 1 needs fret 0 on string 6"),
        ({"pattern": [[3, 4], [1, 2]]}, 6, 2, "finger 1 needs fret 0 on string 5"),
        ({"strings": [6, 7]}, 6, 5, "there is no string 7 on the guitar"),
        ({"rounds": 3, "shift": -3}, 6, 5, "needs fret -1"),
    ],
)
def test_what_the_neck_does_not_have_is_explained(keys, string, fret, words):
    with pytest.raises(NoSolution, match=words):
        played(read(**keys), string, fret)


@pytest.mark.parametrize(
    "keys",
    [
        {"pattern": []},
        {"pattern": [5]},
        {"pattern": [0, 1]},
        {"pattern": [True]},
        {"pattern": [[1, 2], 3]},
        {"pattern": [1] * 17},
        {"pattern": [[1]] * 33},
        {"pattern": "spider"},
        {"pattern": 1423},
        {"strings": []},
        {"rounds": 13},
        {"shift": 7, "rounds": 2},
        {"shift": 1},
        {"back": "yes"},
        {"frets": 3},
    ],
    ids=lambda keys: str(keys)[:40],
)
def test_wrong_figures_are_refused(keys):
    with pytest.raises(ValueError, match="validation error"):
        read(**keys)


def test_a_figure_has_no_first_note_of_its_own():
    assert FINGERS.first_notes(read(), parse_key("C major"), GUITAR) == ()
