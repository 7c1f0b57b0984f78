"""A term's plan keeps every rule, uses the minutes given, and tells the truth where it can't."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from builder.curriculum.term import plan_term, step_of, studies_wanted
from builder.curriculum.timetable import TermRule
from tests.curriculum.terms import LIMITS, broken_rules, item, random_term

TERMS = 200
BOOK = tuple(item(f"study{number:02}", 5 + number, f"exercise{number // 2}", number % 6) for number in range(40))
TEN_WEEKS = TermRule(10, 5, 20, required=("study03", "study20", "study39"))


@pytest.mark.parametrize("seed", range(TERMS))
def test_every_plan_keeps_every_rule(seed):
    items, rule = random_term(seed)
    assert broken_rules(plan_term(items, rule, LIMITS), items, rule) == []


def test_most_random_terms_hold_what_they_are_asked_for():
    plans = [plan_term(*random_term(seed), LIMITS) for seed in range(0, TERMS, 5)]
    whole = [plan for plan in plans if plan.shortfall is None]
    assert len(whole) > len(plans) / 2, "a planner that gives up would keep every rule, too"


@pytest.mark.parametrize("seed", range(0, TERMS, 4))
def test_what_would_hold_all_does(seed):
    items, rule = random_term(seed)
    shortfall = plan_term(items, rule, LIMITS).shortfall
    for changed in ("weeks", "minutes"):
        enough = getattr(shortfall, changed, None)
        if enough is not None:
            wider = replace(rule, **{changed: enough})
            assert broken_rules(plan_term(items, wider, LIMITS), items, wider) == []
            assert set(rule.required) <= set(plan_term(items, wider, LIMITS).studies)


def test_the_same_term_gives_the_same_plan():
    assert plan_term(BOOK, TEN_WEEKS, LIMITS) == plan_term(list(BOOK), TEN_WEEKS, LIMITS)


def test_ten_weeks_of_twenty_minutes():
    plan = plan_term(BOOK, TEN_WEEKS, LIMITS)
    assert broken_rules(plan, BOOK, TEN_WEEKS) == []
    assert plan.shortfall is None
    assert plan.minutes >= 900
    assert set(TEN_WEEKS.required) <= set(plan.studies)
    assert len({turn.study for turn in plan.sittings[0].turns}) == 3


def test_gaps_grow_where_there_is_room():
    plan = plan_term(BOOK, TEN_WEEKS, LIMITS)
    days = [day for day, each in enumerate(plan.sittings) if any(t.study == plan.studies[0] for t in each.turns)]
    assert days[1] - days[0] == 1
    assert days[-1] - days[-2] >= 8


def test_new_studies_are_spread_over_the_term():
    plan = plan_term(BOOK, TEN_WEEKS, LIMITS)
    weeks = {sitting.week for sitting in plan.sittings if any(turn.fresh for turn in sitting.turns)}
    assert len(weeks) >= 7


def test_too_many_studies_for_a_week():
    rule = TermRule(1, 5, 12, required=tuple(one.id for one in BOOK[:12]))
    shortfall = plan_term(BOOK, rule, LIMITS).shortfall
    assert shortfall is not None
    assert 0 < shortfall.held < shortfall.asked == 12
    assert shortfall.left_out == rule.required[shortfall.held :]
    assert shortfall.weeks is not None
    assert shortfall.sentence.startswith(f"{shortfall.held} of the 12 studies asked for fit; all of them would fit in ")


def test_one_study_fills_only_two_turns_a_day():
    plan = plan_term(BOOK[:1], TermRule(2, 5, 20), LIMITS)
    assert plan.shortfall is not None
    assert plan.shortfall.planned == plan.minutes <= 2 * 5 * 8
    assert "minutes can be filled" in plan.shortfall.sentence


def test_a_first_week_far_below_the_full_one_is_told():
    plan = plan_term(BOOK, TermRule(4, 5, 20, first_week=60), LIMITS)
    assert plan.week_minutes == (60, 69, 79, 90)
    assert plan.shortfall is not None
    assert plan.shortfall.sentence == "The weeks rise too slowly from the first to hold more than 298 of 400 minutes."


def test_two_days_hold_no_study():
    plan = plan_term(BOOK, TermRule(1, 2, 20, required=("study00",)), LIMITS)
    assert plan.sittings == ()
    assert plan.shortfall is not None
    assert plan.shortfall.held == 0


def test_an_unknown_study_is_refused():
    with pytest.raises(ValueError, match="no-such-study"):
        plan_term(BOOK, TermRule(1, 5, 20, required=("no-such-study",)), LIMITS)


def test_a_study_without_checkpoints_has_no_cue():
    silent = [replace(one, cues=()) for one in BOOK]
    assert {turn.cue for sitting in plan_term(silent, TEN_WEEKS, LIMITS).sittings for turn in sitting.turns} == {None}


def test_cues_go_round():
    plan = plan_term(BOOK, TEN_WEEKS, LIMITS)
    cues = [turn.cue for sitting in plan.sittings for turn in sitting.turns if turn.study == plan.studies[0]]
    assert cues == [("jaw", "breath")[number % 2] for number in range(len(cues))]


@pytest.mark.parametrize("visits", range(1, 12))
@pytest.mark.parametrize("steps", range(1, 9))
def test_tempo_steps_rise_one_at_a_time(visits, steps):
    taken = [step_of(visit, visits, steps) for visit in range(1, visits + 1)]
    assert taken[0] == 0
    assert all(later - sooner in (0, 1) for sooner, later in itertools.pairwise(taken))
    assert taken[-1] == min(visits, steps) - 1


def test_longer_sittings_want_more_studies():
    assert studies_wanted(TermRule(10, 5, 40), LIMITS) > studies_wanted(TermRule(10, 5, 20), LIMITS)
