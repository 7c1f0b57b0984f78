"""Tempo steps. Source: checks f (ladders)."""

from __future__ import annotations

import pytest

from builder.theory.practice import TempoRule, tempo_steps


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
