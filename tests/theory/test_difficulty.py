"""The difficulty model: published answers, more of anything is never easier. Source: checks k (scores and levels)."""

from __future__ import annotations

from itertools import combinations, pairwise, permutations

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from builder.resources import folder
from builder.theory.difficulty import BASIC_TERMS, HAND_TERMS, TERMS, model_from, total

TABLE = yaml.safe_load((folder("shared") / "difficulty.yaml").read_text(encoding="utf-8"))
MODEL = model_from(TABLE)
AMOUNTS = st.fixed_dictionaries(dict.fromkeys(TERMS, st.floats(0, 200)))


def basic(v, w, s, c, r, p, b, k):
    return dict(zip(BASIC_TERMS, (v, w, s, c, r, p, b, k), strict=True))


EXAMPLES = {
    "E1": (basic(1, 77.24, 0, 0, 0, 1, 4, 0), 3.69, 1),
    "E2": (basic(2.4, 91.85, 0, 2 / 7, 0, 1, 8, 0), 14.47, 2),
    "E3": (basic(3.3, 34.33, 0, 1, 2, 1, 12, 0), 21.42, 3),
    "E4": (basic(88 / 15, 97.31, 2 / 3, 5 / 23, 1, 1, 24, 0), 29.73, 4),
    "E5": (basic(4.8, 24.27, 8, 0, 2, 2, 12, 4), 36.36, 5),
    "E6": (basic(13.2, 106.10, 8 / 9, 5 / 17, 3, 1, 18, 5), 59.37, 7),
}


@pytest.mark.parametrize("name", EXAMPLES)
def test_scores_of_the_six_examples(name):
    amounts, score, level = EXAMPLES[name]
    assert MODEL.score(amounts) == pytest.approx(score, abs=0.006)
    assert MODEL.level(MODEL.score(amounts)) == level


@pytest.mark.parametrize("name", EXAMPLES)
def test_hands_that_do_nothing_besides_add_nothing(name):
    amounts, _, _ = EXAMPLES[name]
    assert MODEL.score({**amounts, **dict.fromkeys(HAND_TERMS, 0.0)}) == MODEL.score(amounts)


def test_the_basic_terms_alone_make_a_hundred():
    assert sum(MODEL.terms[name].points for name in BASIC_TERMS) == 100


@pytest.mark.parametrize("term", TERMS)
@given(amounts=AMOUNTS, more=st.floats(0, 50))
def test_raising_one_input_never_lowers_the_score(term, amounts, more):
    assert MODEL.score({**amounts, term: amounts[term] + more}) >= MODEL.score(amounts)


@pytest.mark.parametrize("term", TERMS)
def test_every_input_counts_between_its_bounds(term):
    easy = {name: MODEL.terms[name].zero for name in TERMS}
    half, full = ({**easy, term: easy[term] + part * (MODEL.terms[term].full - easy[term])} for part in (0.5, 1))
    scores = [MODEL.score(amounts) for amounts in (easy, half, full)]
    assert scores == pytest.approx([0, MODEL.terms[term].points / 2, MODEL.terms[term].points], abs=0.006)


@given(AMOUNTS)
def test_parts_add_up_to_the_score_and_never_over_a_hundred(amounts):
    parts = MODEL.parts(amounts)
    assert [part.term for part in parts] == list(TERMS)
    assert MODEL.score(amounts) == total(parts) == min(100, round(sum(part.points for part in parts), 2))


@given(st.floats(0, 100), st.floats(0, 100))
def test_a_higher_score_is_never_a_lower_level(one, other):
    assert 1 <= MODEL.level(min(one, other)) <= MODEL.level(max(one, other)) <= 8


def test_an_amount_of_a_basic_term_is_needed():
    amounts, _, _ = EXAMPLES["E1"]
    with pytest.raises(KeyError, match="rhythm"):
        MODEL.score({term: amount for term, amount in amounts.items() if term != "rhythm"})


def test_a_file_without_a_term_or_a_pair_is_refused():
    with pytest.raises(KeyError, match="held"):
        model_from({**TABLE, "terms": {name: term for name, term in TABLE["terms"].items() if name != "held"}})
    with pytest.raises(KeyError, match="2-4"):
        model_from({**TABLE, "finger-pairs": {name: 0 for name in TABLE["finger-pairs"] if name != "2-4"}})


# --- pairs of fingers: common practice -------------------------------------------------------------------------------


def weakness_of(order):
    """The mean weakness of a run of fingers from its first to its last."""
    steps = [b - a for a, b in pairwise(order)]
    turns = [False, *(a * b < 0 for a, b in pairwise(steps))]
    return sum(MODEL.weakness(a, b, turn) for (a, b), turn in zip(pairwise(order), turns, strict=True)) / len(steps)


def test_ring_and_little_are_the_weakest_pair_then_middle_and_little():
    by_weakness = sorted(combinations((1, 2, 3, 4), 2), key=lambda pair: MODEL.pairs[pair])
    assert by_weakness[0] == (1, 2)
    assert by_weakness[-2:] == [(2, 4), (3, 4)]


@given(st.sampled_from((1, 2, 3, 4)), st.sampled_from((1, 2, 3, 4)), st.booleans())
def test_a_pair_is_as_weak_either_way_and_no_pair_with_itself(a, b, turns):
    assert MODEL.weakness(a, b, turns) == MODEL.weakness(b, a, turns)
    assert (MODEL.weakness(a, b, turns) == 0) == (a == b)
    assert MODEL.weakness(a, b, False) <= MODEL.weakness(a, b, True) <= 1


def test_the_plain_walk_is_free_and_most_other_orders_are_not():
    points = {order: MODEL.terms["weak_pairs"].value(weakness_of(order)) for order in permutations((1, 2, 3, 4))}
    assert points[1, 2, 3, 4] == points[4, 3, 2, 1] == 0
    assert points[1, 2, 4, 3] > 1.5
    assert sum(value > 0 for value in points.values()) == 18
    assert len({round(value, 3) for value in points.values()}) > 8


def test_a_trill_of_ring_and_little_costs_all_and_of_index_and_middle_nothing():
    value = MODEL.terms["weak_pairs"].value
    assert value(weakness_of((3, 4) * 8)) == pytest.approx(MODEL.terms["weak_pairs"].points)
    assert value(weakness_of((1, 2) * 8)) == 0
