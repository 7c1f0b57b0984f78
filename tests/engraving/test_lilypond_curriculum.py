"""Curriculum pages as LilyPond text: keys and titles, hostile texts, and every kind engraved for real."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from builder.compose import compose
from builder.composing import knowledge_from
from builder.curriculum.changes import Change
from builder.curriculum.coverage import cover, coverage_rule
from builder.curriculum.syllabus import Asked, Requirement, Syllabus, SyllabusLevel
from builder.curriculum.term import plan_term
from builder.curriculum.timetable import TermRule
from builder.engraving import Store, engrave
from builder.engraving.lilypond_curriculum import (
    Matter,
    TitledSheet,
    assessment_sheets,
    changes_sheet,
    coverage_sheets,
    measure_sheet,
    parents_sheet,
    places_sheet,
    teacher_sheets,
    term_sheets,
)
from builder.engraving.lilypond_source import style_text
from builder.errors import Location
from builder.pages import Labels
from builder.pages.order import study_key
from builder.resources import folder
from builder.spec import load_library, read_book
from builder.theory.score import Study
from tests.curriculum.terms import LIMITS, random_term
from tests.engraving.test_lilypond_source import HOSTILE, WHERE, strings_removed
from tests.pages import samples
from tests.pages.test_curriculum_pages import ASSESSMENT, PLANNING

STUDIES = tuple(make() for make in samples.ALL.values())
LABELS = {study_key(study.id): str(100 + number) for number, study in enumerate(STUDIES)}
LONG = "The Longest Walk Along the Outer Harbour Wall in a Strong Wind at Noon"


def matter(studies: Sequence[Study] = STUDIES, labels: Labels = LABELS, paper: str = "a4", words: str = "") -> Matter:
    """What the sheets are made from; *words* stands for every text a user may write."""
    rule = TermRule(weeks=3, days=5, minutes=20)
    book = replace(samples.book(paper), term=rule)
    if words:
        book = replace(book, title=words, school=words, student=words)
        studies = tuple(replace(study, title=words, aim=words) for study in studies)
    skills = load_library().skills
    return Matter(book, studies, labels, WHERE, samples.phrases(), samples.CUES, skills)


def every_sheet(given: Matter, words: str = "") -> tuple[TitledSheet, ...]:
    """One of everything."""
    items, _ = random_term(7)
    rule = given.book.term
    assert rule is not None
    plan = plan_term(items, rule, LIMITS)
    first, second = given.studies[:2]
    named = replace(given, studies=(replace(first, id=plan.studies[0]), *given.studies))
    asked = Requirement(first.id, 60, 3, 17.0, (Asked(second.id, 72),))
    level = SyllabusLevel(
        3, words or "Outer Harbour", (asked,) * 9, 2, (asked,) * 4, (words or "Land on the beat.",) * 3
    )
    exercise = _exercise(words)
    return (
        *term_sheets(named, plan, LIMITS),
        *assessment_sheets(given, Syllabus((level,), words or "autumn tide", ()), ASSESSMENT),
        changes_sheet(given, [Change(first.id, "renamed", words or "'Pier'", words or "'Quay'")]),
        *coverage_sheets(given, cover(given.studies, coverage_rule(PLANNING))),
        parents_sheet(given),
        measure_sheet(given, load_library().hands),
        *teacher_sheets(replace(given, studies=exercise[1]), [exercise[0]]),
        places_sheet(given, given.studies[:5]),
    )


def _exercise(words: str):  # type: ignore[no-untyped-def]  # a plan and its studies
    library = load_library()
    plan = read_book(folder("books") / "first-page" / "book.yaml", library).exercises[0]
    plan = replace(plan, title=words or plan.title, aim=words or plan.aim)
    return plan, compose(plan, knowledge_from(library)).studies


def test_keys_are_unique_and_every_sheet_has_a_title() -> None:
    found = every_sheet(matter())
    keys = [each.sheet.key for each in found]
    assert len(set(keys)) == len(keys)
    assert {"term:rules", "term:week-1", "term:slips", "term:log", "assess:3", "changes"} <= set(keys)
    assert {"coverage", "coverage:neck", "coverage:tables", "parents", "measure", "places:ferry-steps"} <= set(keys)
    assert sum(key.startswith("teach:") for key in keys) == 1
    assert all(each.title for each in found)


def test_keys_titles_and_sides_do_not_depend_on_the_labels() -> None:
    def known(labels: Labels) -> list[tuple[str, str, list[int | None]]]:
        found = every_sheet(matter(labels=labels))
        return [(each.sheet.key, each.title, [body.sides for body in each.sheet.bodies]) for each in found]

    assert known({}) == known(LABELS)


def test_bodies_balance_and_break_where_they_say() -> None:
    for each in every_sheet(matter()):
        for body in each.sheet.bodies:
            text = strings_removed(body.text)
            assert text.startswith("\\bookpart {") or text.startswith("\n\\bookpart {")
            assert text.count("{") == text.count("}")
            assert text.count("(") == text.count(")")
            assert body.sides is None or body.sides == 1 + text.count("\\pageBreak")


def test_hostile_texts_never_leave_their_quotes() -> None:
    for each in every_sheet(matter(words=HOSTILE), words=HOSTILE):
        for body in each.sheet.bodies:
            left = strings_removed(body.text)
            assert "call-with-output-file" not in left
            assert "%{" not in left
            assert not {"\x00", "\u202e"} & set(body.text)


def test_page_numbers_lead_to_their_studies_and_unknown_ones_to_nothing() -> None:
    def leading(labels: Labels) -> set[str]:
        found = every_sheet(matter(labels=labels))
        return {mark for each in found for mark in re.findall(r'"mark:([^"]+)"', each.sheet.bodies[0].text)}

    assert leading(LABELS) <= {study.id for study in STUDIES}
    assert STUDIES[0].id in leading(LABELS)
    assert leading({}) == set()


def test_a_book_without_a_term_or_studies_has_no_such_sheets() -> None:
    items, rule = random_term(7)
    bare = replace(matter(), book=samples.book())
    assert term_sheets(bare, plan_term(items, rule, LIMITS), LIMITS) == ()
    assert coverage_sheets(replace(matter(), studies=()), cover((), coverage_rule(PLANNING))) == ()


@pytest.mark.engraves
@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("words", ["", LONG, '\\"} #(exit 3) {"'])
def test_every_kind_of_page_engraves_without_a_complaint(words: str, paper: str, tmp_path: Path) -> None:
    given = matter(paper=paper, words=words)
    found = every_sheet(given, words)
    done = engrave([each.sheet for each in found], style_text(given.book), Store(tmp_path), 2, lambda done, total: None)
    assert done.problems == ()
    sides = {key: sheet.sides for key, sheet in done.sheets.items()}
    assert sides["parents"] == sides["measure"] == sides["coverage"] == 1
    assert all(sides[each.sheet.key] == 1 for each in found if each.sheet.key.startswith("teach:"))
    assert all(each.sheet.where == Location(WHERE.file) for each in found)
