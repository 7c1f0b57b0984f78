"""Slurs begin at a struck note and end at the last one it carries; arrows, lines and letters know their source."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.pages import Item, joined, written_bars
from tests.pages import samples
from tests.pages.technique_samples import TECHNIQUES, part

_8 = Fraction(1, 8)


def items(text: str) -> list[Item]:
    """The items of one voice of eighths, its bars filled with rests."""
    count = len(text.split())
    events = part(text + " -" * (-count % 8), _8)
    study = samples.study(events, (count + 7) // 8, samples.FOUR)
    return [item for bar in joined(written_bars(study)) for item in bar[0]]


def reading(text: str, side: str) -> str:
    """The slurs on the staff or on the tablature: `(` begins, `)` ends, `.` neither."""
    count = len(text.split())
    return "".join(getattr(item.join, side) or "." for item in items(text))[:count]


@pytest.mark.parametrize(
    ("text", "staff", "tab"),
    [
        ("3/5 3/7 3/9", "...", "..."),
        ("3/5 3/7h 3/9", "().", "()."),
        ("3/5 3/7h 3/9h 3/7p", "(..)", "(..)"),
        ("3/5 3/7h 2/5 2/7h", "()()", "()()"),
        ("3/5 3/7h 3/5p 3/7h 3/5p 3/7h 3/5p 3/7h 3/5p 2/5", "(.......).", "(.......)."),  # a trill over the barline
        ("2/8 2/8b2 2/8r 2/5p", "(..)", "..()"),
        ("2/5 2/8h 2/8b2 2/8r", "(..)", "().."),
        ("3/5 3/7s 3/9g 3/7s", "()()", "()()"),
        ("3/5 - 3/7h 3/9h", "..()", "..()"),  # out of silence: the slur begins with the first note there is
        ("- 3/7h", "..", ".."),
        ("2/5+1/5 2/7h+1/7h 2/5", "().", "()."),
    ],
)
def test_a_slur_runs_from_the_struck_note_to_the_last_it_carries(text: str, staff: str, tab: str) -> None:
    assert (reading(text, "staff"), reading(text, "tab")) == (staff, tab)


def test_a_line_leads_from_the_note_before_a_slide() -> None:
    found = items("3/5 3/7s 3/9g 3/7 - 3/9g")
    assert [item.join.slides for item in found[:6]] == [True, True, False, False, False, False]


def test_a_slurred_note_knows_where_it_came_from() -> None:
    found = items("3/5 3/7h - 3/7h 2/8 2/8b2")
    assert [item.join.source for item in found[:6]] == [None, Fraction(0), None, None, None, Fraction(1, 2)]


def test_a_slur_goes_on_under_a_tied_note() -> None:
    events = [
        samples.note(1, Fraction(0), Fraction(1), "C4", "3/5"),
        samples.note(2, Fraction(1), Fraction(1, 2), "C4", "3/5", tied=True),
        samples.note(2, Fraction(3, 2), Fraction(1, 2), "D4", "3/7", technique="hammer-on", slurred=True),
    ]
    found = [item for bar in joined(written_bars(samples.study(events, 2, samples.FOUR))) for item in bar[0]]
    assert [item.join.staff for item in found] == ["(", "", ")"]
    assert found[-1].join.source == 1


@given(
    st.lists(st.sampled_from(["3/5", "3/7h", "3/5p", "3/9s", "3/9g", "2/8b2", "2/8r", "-"]), min_size=1, max_size=24)
)
def test_slurs_open_and_close_in_turn_and_hold_every_slurred_note(tokens: list[str]) -> None:
    found = items(" ".join(["3/5", *tokens]))
    for side in ("staff", "tab"):
        inside = False
        for before, item in zip([None, *found], found, strict=False):
            arc = getattr(item.join, side)
            assert not (arc == "(" and inside)
            assert not (arc == ")" and not inside)
            slurred = any(n.slurred and (side == "staff" or n.technique != "bend") for n in item.notes)
            assert (inside and slurred) == (slurred and before is not None and bool(before.notes))
            inside = (inside or arc == "(") and arc != ")"
        assert not inside


@pytest.mark.parametrize("name", samples.ALL)
def test_bars_without_slurs_stay_as_they_are(name: str) -> None:
    bars = written_bars(samples.ALL[name]())
    assert joined(bars) is bars


@pytest.mark.parametrize("name", TECHNIQUES)
def test_joining_changes_nothing_but_joins(name: str) -> None:
    bars = written_bars(TECHNIQUES[name]())
    plain = [(i.onset, i.value, i.notes) for bar in joined(bars) for voice in bar for i in voice]
    assert plain == [(i.onset, i.value, i.notes) for bar in bars for voice in bar for i in voice]
