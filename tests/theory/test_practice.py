"""Tempo steps and difficulty. Sources: checks f (ladders, notes a second), checks k (scores)."""

from __future__ import annotations

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from builder.resources import folder
from builder.theory.difficulty import TERMS, model_from
from builder.theory.practice import TempoRule, tempo_steps

MODEL = model_from(yaml.safe_load((folder("shared") / "difficulty.yaml").read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    ("rule", "marks"),
    [
        (TempoRule(60, 120, 7), (60, 70, 80, 90, 100, 110, 120)),
        (TempoRule(60, 120, 7, "ratio"), (60, 67, 76, 85, 95, 107, 120)),
        (TempoRule(80, 132, 6), (80, 90, 101, 111, 122, 132)),
        (TempoRule(80, 132, 6, "ratio"), (80, 88, 98, 108, 119, 132)),
        (TempoRule(72, 144, 5), (72, 90, 108, 126, 144)),
        (TempoRule(72, 144, 5, "ratio"), (72, 86, 102, 121, 144)),
        (TempoRule(60, 108, 5), (60, 72, 84, 96, 108)),
        (TempoRule(60, 108, 1), (60,)),
    ],
)
def test_tempo_steps(rule, marks):
    assert tempo_steps(rule) == marks


def amounts(v, w, s, c, r, p, b, k):
    return dict(zip(TERMS, (v, w, s, c, r, p, b, k), strict=True))


@pytest.mark.parametrize(
    ("given_", "score", "level"),
    [
        (amounts(1, 77.24, 0, 0, 0, 1, 4, 0), 3.69, 1),
        (amounts(2.4, 91.85, 0, 2 / 7, 0, 1, 8, 0), 14.47, 2),
        (amounts(3.3, 34.33, 0, 1, 2, 1, 12, 0), 21.42, 3),
        (amounts(88 / 15, 97.31, 2 / 3, 5 / 23, 1, 1, 24, 0), 29.73, 4),
        (amounts(4.8, 24.27, 8, 0, 2, 2, 12, 4), 36.36, 5),
        (amounts(13.2, 106.10, 8 / 9, 5 / 17, 3, 1, 18, 5), 59.37, 7),
    ],
    ids=["E1", "E2", "E3", "E4", "E5", "E6"],
)
def test_scores_of_the_six_examples(given_, score, level):
    assert MODEL.score(given_) == pytest.approx(score, abs=0.006)
    assert MODEL.level(MODEL.score(given_)) == level


@given(st.tuples(*[st.floats(0, 200)] * 8), st.sampled_from(TERMS), st.floats(0, 50))
def test_raising_one_input_never_lowers_the_score(values, term, more):
    lower = amounts(*values)
    assert MODEL.score({**lower, term: lower[term] + more}) >= MODEL.score(lower)
