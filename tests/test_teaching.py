"""The book as a curriculum, and editions for students, on the demo book.

Source:   the product's rules for editions: a student's own hand, instrument and tempo steps, and nobody else's data
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from builder.compose import compose
from builder.composing import knowledge_from
from builder.editions import edition, edition_plan
from builder.resources import folder
from builder.spec import load_library, read_book
from builder.teaching import teaching

LIBRARY = load_library()
KNOWLEDGE = knowledge_from(LIBRARY)
SPEC = read_book(folder("books") / "harbour-lane" / "book.yaml", LIBRARY)


@pytest.fixture(scope="module")
def compositions():
    assert SPEC.plan is not None
    assert not SPEC.problems
    return tuple(compose(plan, KNOWLEDGE) for plan in SPEC.exercises)


@pytest.fixture(scope="module")
def editions():
    return {student.id: edition(SPEC.plan, student, SPEC.exercises, KNOWLEDGE) for student in SPEC.plan.students}


def studies(edition):
    return [study for one in edition.compositions for study in one.studies]


def test_the_demo_plans_a_term_and_a_syllabus(compositions):
    found = teaching(SPEC.plan, compositions)
    assert found.problems == ()
    assert len(found.term.week_minutes) == SPEC.plan.term.weeks
    assert [level.level for level in found.syllabus.levels] == [1, 2, 3, 4, 5, 6]
    assert set(SPEC.plan.term.required) <= set(found.term.studies)
    assert len(found.coverage.worst()) == 6


@pytest.mark.parametrize(
    ("study", "tempo", "reported"), [("mast-and-rope-s6f10", 116, False), ("no-study-s1f1", 60, True)]
)
def test_a_level_is_held_against_the_computed_ones(compositions, study, tempo, reported):
    first = SPEC.plan.levels[0]
    wrong = replace(first, requires=(replace(first.requires[0], study=study, tempo=tempo),))
    found = teaching(replace(SPEC.plan, levels=(wrong,), term=None), compositions)
    assert [problem.key for problem in found.problems] == ["levels.1.requires.1.study"] * reported
    assert bool(found.warnings) is not reported


def test_a_term_that_names_no_study_of_the_book_is_a_problem(compositions):
    term = replace(SPEC.plan.term, required=("no-such-study-s1f1",))
    (problem,) = teaching(replace(SPEC.plan, term=term, levels=()), compositions).problems
    assert (problem.key, problem.found) == ("term.studies.1", "'no-such-study-s1f1'")


def test_every_page_of_an_edition_is_within_the_student_s_hand(editions):
    for student in SPEC.plan.students:
        found = studies(editions[student.id])
        assert found
        assert all(study.hand == student.hand for study in found)
        assert all(study.metrics.widest_reach_mm <= student.hand.limit_mm for study in found)


def test_an_edition_is_for_the_student_s_instrument(editions):
    assert {study.instrument.name for study in studies(editions["bo"])} == {"bass"}


def test_tempo_steps_go_on_from_what_was_clean(editions):
    at = {study.id: study for study in studies(editions["lin"])}
    assert at["ferry-steps-s3f7"].tempo_steps == (84, 96, 108)
    assert at["over-the-gap-s6f3"].tempo_steps[0] == 93
    for study in at.values():
        assert len(study.tempo_steps) == len(study.levels) == len(study.scores) == len(study.rates)
        assert study.metrics.score == study.scores[0]


def test_what_a_student_needs_lets_go_first_and_is_never_named(editions):
    advice = LIBRARY.needs["picking-hand-tension"]
    cues = {
        event.checkpoint
        for study in studies(editions["mara"])
        for event in study.events
        if hasattr(event, "checkpoint")
    }
    assert cues - {None} & set(advice.cues)
    assert "tension" not in repr(editions["mara"].plan)


def test_no_edition_knows_another_student():
    for student in SPEC.plan.students:
        own = edition_plan(SPEC.plan, student)
        assert own.student == student.name
        assert own.name.endswith(student.id)
        others = [other.name for other in SPEC.plan.students if other.id != student.id]
        assert not any(name in repr(own) for name in others)
