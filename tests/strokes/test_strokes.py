"""The other hand. Source: checks e (strict alternate, economy: worked out from the rules, common practice)."""

from __future__ import annotations

import pytest

from builder.registry import registered
from builder.strokes import Struck, StruckNote
from builder.theory.practice import StrokeRule

GUITAR = (64, 59, 55, 50, 45, 40)
UKULELE = (69, 64, 60, 67)
KINDS = registered("builder.strokes", "STROKES")


def marks(kind, strings, rule=None, tuning=GUITAR, rests=()):
    struck = [
        Struck(
            (StruckNote(string, 5, 1, tuning[string - 1] + 5, 1),), tuning[string - 1], slot, fresh, fresh, False, True
        )
        for slot, string, fresh in ((slot, string, slot == 0 or slot in rests) for slot, string in enumerate(strings))
    ]
    given = KINDS[kind].strokes(struck, rule or StrokeRule(kind))
    return "".join({"down": "D", "up": "U", None: "-"}[one.strokes[0]] for one in given)


@pytest.mark.parametrize("notes", [1, 2, 3, 5, 7, 8])
def test_strict_alternate(notes):
    assert marks("alternate", [3] * notes) == ("DU" * 4)[:notes]


def test_alternate_may_begin_up():
    assert marks("alternate", [3] * 3, StrokeRule("alternate", "up")) == "UDU"


def test_after_a_rest():
    strings = [3] * 6
    rests = (3,)
    assert marks("alternate", strings, StrokeRule("alternate", "down", "reset"), rests=rests) == "DUDDUD"
    assert marks("alternate", strings, StrokeRule("alternate", "down", "carry"), rests=rests) == "DUDUDU"
    assert marks("alternate", strings, StrokeRule("alternate", "down", "grid"), rests=rests) == "DUDUDU"


@pytest.mark.parametrize(
    ("first", "strings", "expected"),
    [
        ("down", [6, 6, 6, 5, 5, 5, 4, 4, 4], "DUDDUDDUD"),
        ("up", [1, 1, 1, 2, 2, 2, 3, 3, 3], "UDUUDUUDU"),
        ("down", [6, 6, 5, 5, 4, 4], "DUDUDU"),
        ("down", [1, 1, 2, 2, 3, 3], "DUUDUD"),
        ("down", [4, 3, 2, 1, 2, 3, 4], "DDDDUUU"),
    ],
)
def test_economy_goes_on_in_the_direction_of_the_change(first, strings, expected):
    assert marks("economy", strings, StrokeRule("economy", first)) == expected


def test_economy_asks_which_string_sounds_higher_not_its_number():
    assert marks("economy", [3, 4], tuning=UKULELE) == "DD"
    assert marks("economy", [2, 4], tuning=UKULELE) == "DD"
    assert marks("economy", [1, 4], tuning=UKULELE) == "DU"


def test_down_and_none():
    assert marks("down", [3, 2, 3]) == "DDD"
    assert marks("none", [3, 2, 3]) == "---"
