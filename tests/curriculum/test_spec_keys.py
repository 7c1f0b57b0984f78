"""The keys of `term`, `levels`, `syllabus` and of the files of students: what they give, what is said of mistakes."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from builder.curriculum.choice import Advice
from builder.curriculum.syllabus import Asked, LevelRule
from builder.curriculum.timetable import TermRule
from builder.spec import load_library
from builder.spec.curriculum import LevelsModel, SyllabusModel, TermModel
from builder.spec.part import Part
from builder.spec.students import NeedsModel, StudentsModel
from builder.spec.wording import complaints_of
from builder.spec.yaml_reader import read_yaml
from builder.theory.fretboard import Hand

NEEDS = {
    "weak-fourth-finger": Advice(frozenset({"little-finger"}), (), 1, 0),
    "uneven-time": Advice(frozenset(), (), 0, 0),
}
KNOWN = {**load_library().known_names(), "needs": NEEDS}


def read(model: type[Part], text: str) -> Part:
    return model.model_validate(read_yaml(text.encode(), "f.yaml").data, context=KNOWN)


def mistakes(model: type[Part], text: str) -> list[str]:
    document = read_yaml(text.encode(), "f.yaml")
    assert not document.complaints
    with pytest.raises(ValidationError) as caught:
        model.model_validate(document.data, context=KNOWN)
    return [str(each.problem) for each in complaints_of(caught.value, model, document)]


def test_a_term_has_ten_weeks_of_five_days_of_twenty_minutes_unless_it_says_otherwise():
    assert read(TermModel, "{}").rule(()) == TermRule(10, 5, 20)


def test_a_term_takes_what_the_levels_require_unless_it_names_studies():
    assert read(TermModel, "weeks: 4").rule(("pier-s1f5",)).required == ("pier-s1f5",)
    term = read(TermModel, "{weeks: 4, first-week: 60, turn: 4, studies: [buoy-s2f7]}")
    assert term.rule(("pier-s1f5",)) == TermRule(4, 5, 20, 60, 4, ("buoy-s2f7",))


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("weeks: 0", "weeks: found 0, expected a whole number from 1 to 52"),
        ("days: 7", "days: found 7, expected a whole number from 1 to 6 days, so that one is free"),
        ("minutes: 4", "minutes: found 4, expected a whole number from 5 to 180 minutes a day"),
        (
            "{weeks: 1, days: 2}",
            "weeks: found 2 practice days, expected at least 3, as every study comes up on so many\n"
            "  hint: add weeks or days",
        ),
        ("studies: [pier-s1f5, pier-s1f5]", "studies.2: found the same study twice, expected every study once"),
        ("weak: 3", "weak: found an unknown key, expected one of days, first-week, minutes, studies, turn, weeks\n"
                    "  hint: did you mean 'weeks'?"),
    ],
)  # fmt: skip
def test_mistakes_in_a_term(text, problem):
    assert [each.split(": ", 1)[1] for each in mistakes(TermModel, text)] == [problem]


LEVELS = """
"3":
  name: Crossing
  requires: [{study: ferry-steps-s3f7, tempo: 84}, {study: pier-s1f5}]
  choice: {count: 2, from: [{study: buoy-s2f7}, {study: rope-s6f3, tempo: 60}, {study: gull-s4f2}]}
  outcomes: [Crosses strings without a gap.]
"1": {name: Landing}
"""


def test_levels_give_rules_lowest_first():
    first, third = read(LevelsModel, LEVELS).rules()
    assert first == LevelRule(1, "Landing", ())
    assert third == LevelRule(
        level=3,
        name="Crossing",
        requires=(Asked("ferry-steps-s3f7", 84), Asked("pier-s1f5")),
        choose=2,
        choice=(Asked("buoy-s2f7"), Asked("rope-s6f3", 60), Asked("gull-s4f2")),
        outcomes=("Crosses strings without a gap.",),
    )


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ('"9": {name: Sky}', "9: found an unknown key, expected one of 1, 2, 3, 4, 5, 6, 7, 8"),
        ('"2": {require: []}', "2.require: found an unknown key, expected one of choice, name, outcomes, requires\n"
                               "  hint: did you mean 'requires'?"),
        ('"2": {requires: [{study: a}, {study: a}]}',
         "2.requires.2: found the same study twice, expected every study once"),
        ('"2": {choice: {count: 1}}', "2.choice.from: found nothing, expected a key 'from'"),
        ('"2": {requires: [{study: a, tempo: fast}]}',
         "2.requires.1.tempo: found 'fast', expected a whole number from 20 to 400 beats a minute"),
    ],
)  # fmt: skip
def test_mistakes_in_levels(text, problem):
    assert [each.split(": ", 1)[1] for each in mistakes(LevelsModel, text)] == [problem]


def test_a_syllabus_has_a_seed_and_an_earlier_edition():
    model = read(SyllabusModel, "{seed: Autumn 2026, earlier: editions/spring.json}")
    assert (model.seed, model.earlier) == ("Autumn 2026", "editions/spring.json")


STUDENTS = """
students:
  - {id: mira, name: Mira, level: 3, hand: small, last-clean: {ferry-steps-s3f7: 84}}
  - {id: tomas, name: Tomas, level: 2, hand: 91.5, instrument: bass, handedness: left, minutes: 30}
"""


def test_students_have_hands_instruments_and_tempos():
    mira, tomas = read(StudentsModel, STUDENTS).students
    assert (mira.hand, mira.instrument, mira.handedness) == (Hand("small", 78, 98), None, None)
    assert mira.student().last_clean == {"ferry-steps-s3f7": 84}
    assert (tomas.hand.comfort_mm, tomas.instrument, tomas.handedness, tomas.minutes) == (91.5, "bass", "left", 30)
    assert tomas.student().last_clean == {}


ONE = "students: [{{id: mira, name: Mira, level: 3, {}}}]"


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        (ONE.format("last-clean: {Ferry: 84}"), "students.1.last-clean.Ferry: found 84, expected a study, such as"),
        (ONE.format("last-clean: {ferry-steps-s3f7: quick}"), "students.1.last-clean.ferry-steps-s3f7: found 'quick'"),
        (ONE.format("instrument: gitar"), "students.1.instrument: found 'gitar', expected one of"),
        (ONE.format("needs: [x]"), "students.1.needs: found an unknown key"),
        ("students: [{id: a, name: A, level: 1}, {id: a, name: B, level: 1}]",
         "students.2.id: found 'a', which another student has, expected every id once"),
    ],
)  # fmt: skip
def test_mistakes_in_students(text, problem):
    (found,) = mistakes(StudentsModel, text)
    assert found.split(": ", 1)[1].startswith(problem)


def test_needs_are_those_of_one_student():
    needs = read(
        NeedsModel, "needs: [{student: mira, needs: [weak-fourth-finger]}, {student: ana, needs: [uneven-time]}]"
    )
    assert needs.of("mira", NEEDS) == (NEEDS["weak-fourth-finger"],)
    assert needs.of("tomas", NEEDS) == ()


def test_an_unknown_need_is_refused_with_a_near_miss():
    (found,) = mistakes(NeedsModel, "needs: [{student: mira, needs: [weak-forth-finger]}]")
    assert "hint: did you mean 'weak-fourth-finger'?" in found
