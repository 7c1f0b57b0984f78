"""Minutes, days, turns and breaks."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.curriculum.timetable import TermRule, breaks_after, practice_days, slots, turn_minutes, week_minutes
from tests.curriculum.terms import LIMITS


def test_a_first_week_of_sixty_reaches_a_hundred_in_the_fifth():
    assert week_minutes(TermRule(6, 5, 20, first_week=60), LIMITS) == (60, 69, 79, 90, 100, 100)


@given(st.integers(1, 52), st.integers(1, 6), st.integers(5, 180))
def test_a_gentle_start_costs_little(weeks, days, minutes):
    rule = TermRule(weeks, days, minutes)
    planned = week_minutes(rule, LIMITS)
    assert len(planned) == weeks
    assert sum(planned) >= 0.96 * rule.given
    assert planned[-1] <= days * minutes
    assert all(later * 100 <= sooner * 115 for sooner, later in pairwise(planned))


def test_a_long_term_starts_gently():
    assert week_minutes(TermRule(10, 5, 20), LIMITS)[0] < 80


def test_a_first_week_longer_than_a_full_one_is_a_full_one():
    assert week_minutes(TermRule(3, 2, 10, first_week=60), LIMITS) == (20, 20, 20)


@pytest.mark.parametrize("days", range(1, 7))
def test_free_days_lie_apart(days):
    played = practice_days(days, LIMITS)
    assert len(set(played)) == days
    assert set(played) < set(range(1, 8))
    free = sorted(set(range(1, 8)) - set(played))
    assert days < 5 or all(later - sooner > 1 for sooner, later in pairwise(free))


@pytest.mark.parametrize("days", [0, 7, 8])
def test_a_week_without_a_free_day_is_refused(days):
    with pytest.raises(ValueError, match="free"):
        practice_days(days, LIMITS)


@given(st.integers(1, 180), st.integers(2, 15))
def test_turns_use_every_minute(minutes, turn):
    turns = turn_minutes(minutes, turn)
    assert sum(turns) == minutes
    assert max(turns) - min(turns) <= 1
    assert min(turns) >= min(turn, minutes)


@given(st.integers(1, 180), st.integers(2, 12))
def test_no_stretch_is_longer_than_twenty_five_minutes_and_no_break_ends_a_sitting(minutes, turn):
    turns = turn_minutes(minutes, turn)
    breaks = breaks_after(turns, 25)
    edges = (0, *breaks, len(turns))
    stretches = [sum(turns[low:high]) for low, high in pairwise(edges)]
    assert all(0 < stretch <= 25 for stretch in stretches)
    assert list(breaks) == sorted(set(breaks))
    assert len(stretches) <= minutes // 25 * 2 + 1


def test_forty_five_minutes_have_a_break():
    assert len(breaks_after(turn_minutes(45, 3), 25)) == 1
    assert breaks_after(turn_minutes(25, 3), 25) == ()


def test_a_slot_a_practice_day():
    days = slots(TermRule(3, 4, 30), LIMITS)
    assert [(slot.week, slot.day) for slot in days] == [(week, day) for week in (1, 2, 3) for day in (1, 2, 4, 6)]
