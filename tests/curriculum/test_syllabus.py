"""A syllabus checks what its levels ask for, and draws alternates that anyone can draw again."""

from __future__ import annotations

from dataclasses import replace

import pytest
import yaml

from builder.curriculum.item import Item
from builder.curriculum.syllabus import (
    AlternateRule,
    Asked,
    LevelRule,
    Requirement,
    alternate_rule,
    assessment_from,
    syllabus,
)
from builder.resources import folder
from tests.curriculum.terms import item

PLANNING = yaml.safe_load((folder("shared") / "planning.yaml").read_text(encoding="utf-8"))
RULE = alternate_rule(PLANNING, "autumn")


def graded(study: str, levels: tuple[int, ...], scores: tuple[float, ...]) -> Item:
    return replace(
        item(study), levels=levels, scores=scores, tempo_steps=tuple(60 + 12 * n for n in range(len(levels)))
    )


PIER = graded("pier-s1f5", (2, 3, 3), (14, 17, 20))
BUOY = graded("buoy-s1f5", (3, 3, 4), (18.5, 21, 25))
ROPE = graded("rope-s1f5", (2, 2, 3), (10, 14, 16.5))
GULL = graded("gull-s1f5", (1, 1, 2), (3, 5, 9))
BOOK = (PIER, BUOY, ROPE, GULL)


def level(*asked: Asked, **more: object) -> LevelRule:
    return LevelRule(3, "Crossing", tuple(asked), **more)  # type: ignore[arg-type]


def worded(rule: LevelRule) -> list[tuple[object, ...]]:
    return [(one.path, one.found, one.expected, one.hint, one.warning) for one in syllabus([rule], BOOK, RULE).findings]


def test_what_is_asked_for_has_the_level_and_score_of_its_tempo_step():
    (found,) = syllabus([level(Asked("pier-s1f5", 84))], BOOK, RULE).levels
    assert [(one.study, one.tempo, one.level, one.score) for one in found.required] == [("pier-s1f5", 84, 3, 20)]
    assert (found.name, found.level) == ("Crossing", 3)


def test_without_a_tempo_the_first_step_is_meant():
    (found,) = syllabus([level(Asked("buoy-s1f5"))], BOOK, RULE).levels
    assert found.required[0].tempo == 60


def test_what_is_right_gives_no_finding():
    assert worded(level(Asked("pier-s1f5", 72), choose=1, choice=(Asked("buoy-s1f5", 72),))) == []


def test_another_level_is_a_warning_that_names_the_right_steps():
    assert worded(level(Asked("pier-s1f5", 60), Asked("gull-s1f5", 84))) == [
        (
            (3, "requires", 0),
            "pier-s1f5 at 60, which is of level 2",
            "a study of level 3",
            "it is of level 3 at 72, 84",
            True,
        ),
        (
            (3, "requires", 1),
            "gull-s1f5 at 84, which is of level 2",
            "a study of level 3",
            "at no tempo step it is of level 3",
            True,
        ),
    ]


def test_an_unknown_study_and_tempo_are_problems_and_left_out():
    rule = level(Asked("peer-s1f5"), choose=1, choice=(Asked("buoy-s1f5", 70),))
    assert worded(rule) == [
        ((3, "requires", 0, "study"), "'peer-s1f5'", "the id of a study of this book", "", False),
        ((3, "choice", "from", 0, "tempo"), "70", "one of its tempo steps, 60, 72, 84", "write 72", False),
    ]
    (found,) = syllabus([rule], BOOK, RULE).levels
    assert found.required == found.choice == ()


def test_more_can_not_be_chosen_than_there_is():
    rule = level(choose=3, choice=(Asked("buoy-s1f5"), Asked("pier-s1f5", 72)))
    assert worded(rule) == [((3, "choice", "count"), "3", "at most 2, as many as there are to choose from", "", False)]


def test_alternates_are_of_the_same_level_within_two_points_and_not_asked_for():
    (found,) = syllabus([level(Asked("pier-s1f5", 72), Asked("rope-s1f5", 84))], BOOK, RULE).levels
    assert found.required[0] == Requirement("pier-s1f5", 72, 3, 17, (Asked("buoy-s1f5", 60),))
    assert found.required[1].alternates == (Asked("buoy-s1f5", 60),)


def test_a_near_score_of_another_level_is_no_alternate():
    below = graded("below-s1f5", (2,), (16.9,))
    (found,) = syllabus([level(Asked("pier-s1f5", 72))], (*BOOK, below), RULE).levels
    assert Asked("below-s1f5", 60) not in found.required[0].alternates
    assert len(found.required[0].alternates) == 2


def test_alternates_are_on_the_same_instrument():
    deep = replace(BUOY, id="deep-s4f5", instrument="bass")
    (found,) = syllabus([level(Asked("pier-s1f5", 72))], (*BOOK, deep), RULE).levels
    assert {asked.study for asked in found.required[0].alternates} == {"buoy-s1f5", "rope-s1f5"}


def test_alternates_are_drawn_by_the_seed():
    many = [graded(f"study{number:02}-s1f5", (3,), (16 + number / 10,)) for number in range(30)]
    rules = [level(Asked("study10-s1f5"))]
    drawn = {
        seed: syllabus(rules, many, AlternateRule(2, 2, seed)).levels[0].required[0].alternates
        for seed in ("autumn", "winter", "spring", "summer")
    }
    assert all(len(alternates) == 2 for alternates in drawn.values())
    assert len(set(drawn.values())) > 1
    assert (
        drawn["autumn"] == syllabus(rules, many[::-1], AlternateRule(2, 2, "autumn")).levels[0].required[0].alternates
    )


def test_a_study_added_far_off_changes_no_alternate():
    many = [graded(f"study{number:02}-s1f5", (3,), (16 + number / 10,)) for number in range(30)]
    rules = [level(Asked("study10-s1f5"))]
    before = syllabus(rules, many, RULE).levels
    assert syllabus(rules, [*many, GULL], RULE).levels == before


def test_levels_come_in_order():
    rules = [LevelRule(4, "", ()), LevelRule(1, "", ()), LevelRule(3, "", ())]
    assert [each.level for each in syllabus(rules, BOOK, RULE).levels] == [1, 3, 4]


ASSESSMENT = assessment_from(PLANNING)


def test_every_criterion_has_a_band_for_each_mark():
    assert [criterion.name for criterion in ASSESSMENT.criteria] == ["accuracy", "evenness", "tone", "ease"]
    assert {len(criterion.bands) for criterion in ASSESSMENT.criteria} == {4}
    assert all(len(set(criterion.bands)) == 4 for criterion in ASSESSMENT.criteria)


@pytest.mark.parametrize(
    ("marks", "passed"),
    [((2, 2, 2, 1), True), ((3, 3, 1, 1), True), ((2, 2, 1, 1), False), ((3, 3, 3, 0), False), ((3, 3, 3, 3), True)],
)
def test_passing_takes_enough_in_all_and_something_in_each(marks, passed):
    assert ASSESSMENT.passed(marks) is passed
