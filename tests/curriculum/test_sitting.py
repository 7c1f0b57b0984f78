"""The order within a day, against every order there is."""

from __future__ import annotations

from itertools import pairwise, product
from random import Random
from statistics import median

import pytest

from builder.curriculum.item import Item, alike, likeness
from builder.curriculum.sitting import Company, order_of
from tests.curriculum.terms import item


def keeps_the_rules(order: tuple[Item, ...]) -> bool:
    rows = zip(order, order[1:], order[2:], strict=False)
    middle = min(median(one.score for one in order), median({one.id: one.score for one in order}.values()))
    return not any(alike(one, two, 3) and alike(two, three, 3) for one, two, three in rows) and (
        order[0].score <= middle >= order[-1].score
    )


@pytest.mark.parametrize("seed", range(150))
def test_an_order_is_found_wherever_there_is_one(seed):
    dice = Random(seed)
    items = [
        item(f"s{number}", dice.choice((8, 10, 12, 20)), f"e{dice.randrange(3)}", dice.randrange(2))
        for number in range(dice.randint(1, 4))
    ]
    turns = dice.randint(1, 6)
    found = order_of(items, turns, Company(likeness(items, 3), 2), frozenset())
    every = (order for order in product(items, repeat=turns) if set(order) == set(items))
    assert (found is not None) == any(keeps_the_rules(order) for order in every)
    if found is not None:
        assert len(found) == turns
        assert set(found) == set(items)
        assert keeps_the_rules(found)


def test_no_studies_have_no_order():
    assert order_of([], 4, Company(likeness([], 3), 2), frozenset()) is None


def test_turns_of_a_study_lie_apart():
    items = [item(f"s{number}", 10 + number, make=number) for number in range(3)]
    order = order_of(items, 9, Company(likeness(items, 3), 2), frozenset())
    assert order is not None
    assert all(one is not other for one, other in pairwise(order))


def test_a_new_study_neither_opens_nor_closes_where_others_can():
    items = [item(f"s{number}", 10 + number, make=number) for number in range(5)]
    order = order_of(items, 10, Company(likeness(items, 3), 2), frozenset({"s0"}))
    assert order is not None
    assert "s0" not in (order[0].id, order[-1].id)


def test_long_sittings_are_ordered_at_once():
    items = [item(f"s{number:02}", 10 + number, f"e{number // 4}", number % 6) for number in range(20)]
    assert order_of(items, 60, Company(likeness(items, 3), 2), frozenset()) is not None


def test_places_of_one_exercise_are_alike():
    assert alike(item("a", 10, "pier"), item("b", 60, "pier", make=3), 3)


def test_exercises_of_one_make_and_difficulty_are_alike():
    near, far, other = item("near", 12.9), item("far", 13.1), item("other", 10, make=1)
    assert alike(item("a", 10), near, 3)
    assert not alike(item("a", 10), far, 3)
    assert not alike(item("a", 10), other, 3)


def test_likeness_does_not_go_on_from_one_to_the_next():
    found = likeness([item("a", 10), item("b", 12), item("c", 14), item("d", 30)], 3)
    assert found.to == {name: frozenset(to) for name, to in zip("abcd", ("ab", "abc", "bc", "d"), strict=True)}
    assert {frozenset("ab"), frozenset("bc"), frozenset("d")} <= set(found.circles)


@pytest.mark.parametrize("seed", range(40))
def test_every_circle_is_alike_among_itself(seed):
    dice = Random(seed)
    items = [item(f"s{n}", dice.uniform(5, 20), f"e{dice.randrange(6)}", dice.randrange(2)) for n in range(12)]
    found = likeness(items, 3)
    by_id = {one.id: one for one in items}
    for circle in found.circles:
        assert all(alike(by_id[one], by_id[other], 3) for one in circle for other in circle)
    assert {name for circle in found.circles for name in circle} == set(by_id)
