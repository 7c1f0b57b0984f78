"""The data files of planning say what they must, and the checker of plans sees what a plan breaks."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

import pytest
import yaml

from builder.curriculum.limits import RULES
from builder.curriculum.term import plan_term
from builder.curriculum.timetable import TermRule
from builder.fields import ID_PATTERN
from builder.resources import folder
from builder.spec import load_library
from builder.spec.students import NeedModel
from tests.curriculum.terms import LIMITS, broken_rules, item

LIBRARY = load_library()
NEEDS = yaml.safe_load((folder("shared") / "needs.yaml").read_text(encoding="utf-8"))
STRENGTHS = {"strong", "some", "weak", "custom"}


def test_every_rule_has_its_evidence_and_says_how_strong_it_is():
    assert [one.id for one in LIMITS.evidence] == list(RULES)
    for one in LIMITS.evidence:
        assert one.strength in STRENGTHS
        assert one.rule.endswith(".")
        assert one.evidence.endswith(".")
        assert re.search(r"\b(19|20)\d\d|doi|The studies on|Klickstein|Horvath", one.evidence), "no source is named"


def test_the_rules_are_those_of_the_plan():
    assert (LIMITS.rise, LIMITS.free_days) == (Fraction(15, 100), 1)
    assert (LIMITS.stretch_minutes, LIMITS.break_minutes) == (25, 5)
    assert (LIMITS.days_each, LIMITS.row, LIMITS.turn_minutes, LIMITS.used_share) == (3, 2, 3, Fraction(9, 10))


@pytest.mark.parametrize("need", NEEDS)
def test_every_need_is_one_that_can_be_looked_up(need):
    model = NeedModel.model_validate(NEEDS[need], context=LIBRARY.known_names())
    assert model.advice().skills <= set(LIBRARY.skills)
    assert set(model.advice().cues) <= {cue.id for cue in LIBRARY.cues}


def test_needs_have_ids_and_differ():
    assert all(re.fullmatch(ID_PATTERN, need) for need in NEEDS)
    assert len({frozenset(each["skills"]) for each in NEEDS.values()}) == len(NEEDS) >= 8


BOOK = tuple(item(f"study{number:02}", 5 + number, f"exercise{number // 3}", number % 6) for number in range(36))
RULE = TermRule(6, 5, 60)


@pytest.mark.parametrize(
    ("loosened", "word"),
    [
        ({"row": 9, "alike_within": -1.0}, "three alike in a row"),
        ({"stretch_minutes": 90}, "without a break"),
        ({"days_each": 1, "fresh": 9}, "are new"),
        ({"alike_within": -1.0, "fresh": 3}, "alike"),
        ({"rise": Fraction(1), "ramp_loss": Fraction(1, 4)}, "a rise from"),
    ],
)
def test_the_checker_sees_a_plan_made_with_looser_rules(loosened, word):
    makes_alike = [replace(one, exercise=one.id, material="scale", path="one", skills=frozenset()) for one in BOOK]
    plan = plan_term(makes_alike if "alike_within" in loosened else BOOK, RULE, replace(LIMITS, **loosened))
    broken = broken_rules(plan, makes_alike if "alike_within" in loosened else BOOK, RULE)
    assert any(word in each for each in broken)


def test_the_checker_sees_gaps_tempos_and_ends_that_are_wrong():
    plan = plan_term(BOOK, RULE, LIMITS)
    backwards = replace(plan, sittings=tuple(
        replace(one, turns=later.turns) for one, later in zip(plan.sittings, plan.sittings[::-1], strict=True)
    ))  # fmt: skip
    words = " ".join(broken_rules(backwards, BOOK, RULE))
    assert "gaps shrink" in words
    assert "tempo steps" in words
    hardest = replace(plan, sittings=tuple(
        replace(one, turns=tuple(sorted(one.turns, key=lambda turn: turn.study))) for one in plan.sittings
    ))  # fmt: skip
    assert "harder than its middle" in " ".join(broken_rules(hardest, BOOK, RULE))
