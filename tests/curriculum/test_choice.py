"""A student's studies: of their level, for their needs, from where they left off, and nothing of anyone else."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.curriculum.choice import Advice, Reason, Student, choose_studies, cues_for, steps_for
from builder.curriculum.item import Item
from builder.curriculum.term import plan_term, studies_wanted
from builder.curriculum.timetable import TermRule
from tests.curriculum.terms import LIMITS, broken_rules, item


def study(number: int, level: int, *skills: str, exercise: str | None = None) -> Item:
    plain = item(f"study{number:02}", 4.0 + 7 * level + number / 10, exercise)
    return replace(plain, skills=frozenset(skills or ("timing",)), levels=(level,) * 5)


BOOK = tuple(study(number, 1 + number // 5) for number in range(30))  # five studies of each of six levels
LITTLE = Advice(frozenset({"little-finger"}), ("breath",), 1, 1)
THIRD = Student(3, {})


def names(student: Student, count: int, items=BOOK, required=()) -> list[str]:
    return [chosen.study for chosen in choose_studies(items, student, count, required)]


def test_studies_are_of_the_students_level_first():
    levels = {one.id: one.levels[0] for one in BOOK}
    assert [levels[name] for name in names(THIRD, 5)] == [3] * 5
    assert [levels[name] for name in names(THIRD, 7)] == [2] * 2 + [3] * 5


@given(st.integers(1, 8), st.integers(1, 40))
def test_none_is_above_the_students_level_and_the_easiest_comes_first(level, count):
    chosen = choose_studies(BOOK, Student(level, {}), count)
    by_id = {one.id: one for one in BOOK}
    grades = [(by_id[each.study].levels[0], by_id[each.study].score) for each in chosen]
    assert grades == sorted(grades)
    assert max(grades)[0] <= level
    assert len(chosen) == min(count, sum(one.levels[0] <= level for one in BOOK))


def test_a_book_that_is_too_hard_gives_its_easiest_level():
    hard = tuple(study(number, 4 + number // 3) for number in range(6))
    assert names(Student(2, {}), 4, hard) == ["study00", "study01", "study02"]


def test_required_studies_are_always_there():
    assert {"study29", "study00"} <= set(names(THIRD, 5, required=("study29", "study00")))


def test_a_need_brings_its_skills_to_the_front():
    book = (*BOOK, study(40, 2, "little-finger"), study(41, 3, "little-finger", "timing"))
    assert {"study40", "study41"} <= set(names(Student(3, {}, (LITTLE,)), 3, book))
    assert "study40" not in names(THIRD, 3, book)


def test_other_exercises_come_before_other_places_of_one():
    places = [study(number, 3, exercise="pier") for number in range(40, 46)]
    assert len([name for name in names(THIRD, 6, (*BOOK, *places)) if name >= "study40"]) <= 2


def test_reasons_name_skills_and_no_need():
    chosen = choose_studies((study(1, 3, "little-finger"),), Student(3, {"study01": 60}, (LITTLE,)), 1)
    assert chosen[0].reasons == (Reason("skill", "little-finger"), Reason("going-on", "60"), Reason("level", "3"))


def test_what_is_finished_gives_way_to_what_is_begun():
    items = [study(1, 3), study(2, 3), study(3, 3)]
    student = Student(3, {"study01": 92, "study02": 68})
    assert names(student, 2, items) == ["study02", "study03"]
    assert Reason("finished", "92") in choose_studies(items, student, 3)[0].reasons


@pytest.mark.parametrize(
    ("clean", "steps"),
    [
        (None, (60, 68, 76, 84, 92)),
        (60, (60, 68, 76, 84, 92)),
        (76, (76, 84, 92)),
        (83, (76, 84, 92)),
        (92, (92,)),
        (200, (92,)),
        (40, (60, 68, 76, 84, 92)),
    ],
)
def test_tempo_steps_begin_where_the_last_clean_one_was(clean, steps):
    student = Student(3, {} if clean is None else {"study01": clean})
    assert steps_for(study(1, 3), student) == steps


def test_a_need_begins_lower_and_ends_earlier():
    student = Student(3, {"study01": 84}, (LITTLE,))
    assert steps_for(study(1, 3, "little-finger"), student) == (76, 84)
    assert steps_for(study(1, 3, "timing"), student) == (84, 92)


def test_one_step_always_stays():
    greedy = Advice(frozenset({"timing"}), (), 0, 4)
    assert steps_for(study(1, 3), Student(3, {"study01": 92}, (greedy,))) == (92,)


CUES = ("jaw", "fretting-thumb", "shoulders", "breath", "little-finger", "neck")


@pytest.mark.parametrize("number", range(7))
def test_every_other_cue_is_advised_and_all_usual_ones_come_round(number):
    advised = Advice(frozenset({"timing"}), ("little-finger", "jaw"), 0, 0)
    cues = cues_for(Student(3, {}, (advised,)), CUES, number)
    assert {*cues[::2]} == {"little-finger", "jaw"}
    assert sorted(cues[1::2]) == sorted({*CUES} - {"little-finger", "jaw"})
    assert all(one != other for one, other in zip(cues, (*cues[1:], cues[0]), strict=True))


def test_exercises_begin_at_different_cues_and_no_advice_changes_nothing():
    advised = Student(3, {}, (Advice(frozenset(), ("jaw",), 0, 0),))
    assert len({cues_for(advised, CUES, number)[1] for number in range(5)}) == 5
    assert cues_for(Student(3, {}), CUES, 0) == ()


@pytest.mark.parametrize("level", range(1, 7))
def test_a_students_own_term_keeps_every_rule(level):
    various = [replace(one, material=f"kind{number % 5}") for number, one in enumerate(BOOK)]
    student = Student(level, {"study03": 76, "study11": 92}, (LITTLE,))
    rule = TermRule(6, 4, 25)
    chosen = {each.study for each in choose_studies(various, student, studies_wanted(rule, LIMITS))}
    own = []
    for one in (one for one in various if one.id in chosen):
        steps = [place for place, tempo in enumerate(one.tempo_steps) if tempo in steps_for(one, student)]
        low, high = steps[0], steps[-1] + 1
        cut = (one.tempo_steps[low:high], one.levels[low:high], one.scores[low:high])
        own.append(replace(one, tempo_steps=cut[0], levels=cut[1], scores=cut[2]))
    plan = plan_term(own, rule, LIMITS)
    assert plan.shortfall is None
    assert broken_rules(plan, own, rule) == []


@given(st.permutations(BOOK), st.integers(1, 6))
def test_the_order_of_the_book_and_other_students_change_nothing(book, level):
    student = Student(level, {"study03": 76}, (LITTLE,))
    choose_studies(book, Student(5, {"study03": 92}), 9)
    assert choose_studies(book, student, 9) == choose_studies(BOOK, student, 9)
