"""For short terms the planner finds a plan exactly where one exists: compared with a search that knows no shortcuts."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, pairwise, product
from random import Random

import pytest

from builder.curriculum.item import Item, alike, likeness
from builder.curriculum.sitting import Company, order_of
from builder.curriculum.term import plan_term
from builder.curriculum.timetable import TermRule, slots
from tests.curriculum.terms import LIMITS, item


def plan_exists(items: Sequence[Item], turns: Sequence[int]) -> bool:
    """Whether the studies' days can be chosen: at least three each, gaps that never shrink, every day in some order."""
    days = range(len(turns))
    choices = [
        chosen
        for count in range(3, len(turns) + 1)
        for chosen in combinations(days, count)
        if all(
            later - middle >= middle - sooner
            for sooner, middle, later in zip(chosen, chosen[1:], chosen[2:], strict=False)
        )
    ]
    known: dict[tuple[tuple[int, ...], int], bool] = {}

    def possible(who: tuple[int, ...], count: int) -> bool:
        if (who, count) not in known:
            chosen = [items[number] for number in who]
            known[who, count] = order_of(chosen, count, Company(likeness(items, 3), 2), frozenset()) is not None
        return known[who, count]

    for plan in product(choices, repeat=len(items)):
        starts = [[one for one, chosen in zip(items, plan, strict=True) if chosen[0] == day] for day in days]
        if any(len(new) > 3 or any(alike(*pair, 3) for pair in combinations(new, 2)) for new in starts):
            continue
        if all(possible(tuple(n for n, chosen in enumerate(plan) if day in chosen), turns[day]) for day in days):
            return True
    return False


@pytest.mark.parametrize("seed", range(40))
def test_short_terms_hold_all_studies_wherever_they_can(seed):
    dice = Random(seed)
    items = [
        item(f"s{number}", dice.choice((10, 11, 13, 20)), f"e{dice.randrange(3)}", dice.randrange(2))
        for number in range(dice.randint(1, 4))
    ]
    weeks, days = dice.choice(((3, 1), (2, 2), (1, 4), (5, 1), (1, 5)))
    rule = TermRule(weeks, days, dice.choice((3, 6, 9, 12)), required=tuple(one.id for one in items))
    turns = [len(slot.turns) for slot in slots(rule, LIMITS)]
    plan = plan_term(items, rule, LIMITS)
    assert (plan.shortfall is None) == plan_exists(items, turns)


def test_gaps_may_not_shrink_even_at_the_end_of_a_short_term():
    items = [item("a", 10), item("b", 20, make=1)]
    plan = plan_term(items, TermRule(5, 1, 9, required=("a", "b")), LIMITS)
    for name in ("a", "b"):
        days = [n for n, sitting in enumerate(plan.sittings) if any(turn.study == name for turn in sitting.turns)]
        gaps = [later - sooner for sooner, later in pairwise(days)]
        assert gaps == sorted(gaps)
