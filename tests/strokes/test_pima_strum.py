"""Plucking fingers by string, strums by pattern."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.errors import NoSolution
from builder.registry import registered
from builder.strokes import Struck, StruckNote
from builder.theory.practice import StrokeRule

GUITAR = (64, 59, 55, 50, 45, 40)
KINDS = registered("builder.strokes", "STROKES")


def struck(moments, plucks=None):
    """One `Struck` a slot for each tuple of strings, lowest first."""
    return [
        Struck(
            notes=tuple(
                StruckNote(string, 0, 0, GUITAR[string - 1], 1, plucks[slot][k] if plucks else None)
                for k, string in enumerate(strings)
            ),
            pitch_of_string=GUITAR[strings[0] - 1],
            slot=slot,
            after_rest=slot == 0,
            first=slot == 0,
            lands=False,
            beat=True,
        )
        for slot, strings in enumerate(moments)
    ]


def marks(kind, moments, rule=None, plucks=None):
    given = KINDS[kind].strokes(struck(moments, plucks), rule or StrokeRule(kind))
    return [one.strokes for one in given]


def letters(*strings):
    return "".join(stroke for (stroke,) in marks("pima", [(string,) for string in strings]))


def test_thumb_on_the_basses_fingers_at_home_on_the_trebles():
    assert letters(5, 3, 2, 1, 2, 3) == "pimami"
    assert letters(4, 1, 6, 2) == "papm"


def test_on_one_string_neighbours_take_turns():
    assert letters(3, 3, 3, 3) == "imim"
    assert letters(2, 2, 2, 2) == "mimi"
    assert letters(1, 1, 1, 1) == "amam"
    assert letters(6, 6, 6, 5) == "pipi"


@given(st.lists(st.integers(1, 6), min_size=1, max_size=30))
def test_no_finger_plays_two_notes_running(strings):
    given = letters(*strings)
    assert set(given) <= set("pima")
    assert all(one != other for one, other in pairwise(given))


def test_notes_together_have_a_finger_each_up_to_four():
    assert marks("pima", [(5, 3, 2, 1), (6, 1), (3, 2, 1), (2, 1), (3, 2)]) == [
        ("p", "i", "m", "a"),
        ("p", "m"),
        ("i", "m", "a"),
        ("i", "m"),
        ("i", "m"),
    ]
    assert marks("pima", [(6, 5, 4, 3, 2, 1)]) == [("p",) * 6]


def test_a_single_note_avoids_the_fingers_of_the_chord_before_it():
    assert marks("pima", [(3, 2), (3,)])[1] == ("a",)


def test_the_letters_of_the_material_stay():
    plucks = [("p",), ("a",), ("m",), ("i",)]
    assert marks("pima", [(5,), (1,), (1,), (1,)], plucks=plucks) == plucks


def test_a_strum_follows_its_pattern_slot_by_slot():
    rule = StrokeRule("strum", pattern=("down", "down", "up"))
    assert marks("strum", [(5, 4, 3)] * 4, rule) == [("down",) * 3, ("down",) * 3, ("up",) * 3, ("down",) * 3]


def test_a_strum_keeps_what_the_material_planned():
    rule = StrokeRule("strum", pattern=("down", "miss", "up"))
    plucks = [("down", "down"), ("up", "up")]
    assert marks("strum", [(5, 4), (5, 4)], rule, plucks) == plucks


def test_a_note_where_the_pattern_misses_is_a_problem():
    with pytest.raises(NoSolution, match="entry 2 of the pattern misses where a note is struck") as caught:
        marks("strum", [(5,), (5,)], StrokeRule("strum", pattern=("down", "miss")))
    assert caught.value.key == ("strokes", "pattern")
