"""The last pages: an index recounted from the JSON, a glossary of what occurs, imprint, paper to write on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builder import __version__
from builder.curriculum.syllabus import LevelRule
from builder.outputs.study_json import study_json
from builder.pages.glossary import TERMS, first_met, glossary_page
from builder.pages.imprint import blank_papers, imprint_page
from builder.pages.index import Axis, IndexPage, IndexRow, axes, index_page
from builder.pages.page import paper_of
from builder.pages.sides import room_mm
from builder.spec import load_library
from builder.theory.score import Study
from tests.pages import samples
from tests.pages.technique_samples import TECHNIQUES

EVERY = tuple(make() for make in (*samples.ALL.values(), *TECHNIQUES.values()))
STUDIES = tuple({study.id: study for study in EVERY}.values())
LABELS = {f"study:{study.id}": str(number) for number, study in enumerate(STUDIES, start=20)}
SKILLS = load_library().skills
A4, LETTER = paper_of(samples.book("a4")), paper_of(samples.book("letter"))
LARGE = paper_of(samples.book(large_print=True))


def rows(page: IndexPage) -> list[IndexRow]:
    return [row for side in page.sides for column in side.columns for row in column]


def cited(page: IndexPage) -> dict[str, list[tuple[str, str]]]:
    """Under every way to look up, the ids as printed, whole again, with their page numbers; titles stand for ids."""
    found: dict[str, list[tuple[str, str]]] = {}
    axis, begun = "", ""
    for row in rows(page):
        if row.kind == "axis":
            axis = row.text
        elif row.kind == "id":
            begun += row.target if page.column_mm > 100 else row.text
            if row.label:
                found.setdefault(axis, []).append((begun, row.label))
                begun = ""
    return found


# --- index ------------------------------------------------------------------------------------------------------------


def first_note(study: dict[str, Any]) -> dict[str, Any]:
    return next(event for event in study["events"] if event["kind"] == "note")


RECOUNTS: dict[str, Callable[[dict[str, Any]], str]] = {
    "By string": lambda study: f"{study['instrument']['name']} {study['start']['string']}",
    "By position": lambda study: str(first_note(study)["position"]),
    "By key": lambda study: study["key"],
}


@pytest.mark.parametrize("name", RECOUNTS)
def test_the_index_agrees_with_a_recount_from_the_json(name: str) -> None:
    documents = {study.id: study_json(study) for study in STUDIES}
    expected: dict[str, set[str]] = {}
    for study, document in documents.items():
        expected.setdefault(RECOUNTS[name](document), set()).add(study)
    (axis,) = [one for one in axes(STUDIES, SKILLS, samples.phrases()) if one.name == name]
    found = [{study.id for study in members} for _, members in axis.groups]
    assert sorted(map(sorted, found)) == sorted(map(sorted, expected.values()))


def test_under_every_skill_stand_the_studies_that_name_it() -> None:
    (axis,) = [one for one in axes(STUDIES, SKILLS, samples.phrases()) if one.name == "By skill"]
    expected = {
        skill: {study.id for study in STUDIES if skill in study.skills} for study in STUDIES for skill in study.skills
    }
    found = {heading.casefold(): {study.id for study in members} for heading, members in axis.groups}
    assert found == {SKILLS[skill].casefold(): ids for skill, ids in expected.items()}


def test_headings_are_in_order() -> None:
    by_name = {axis.name: axis for axis in axes(STUDIES, SKILLS, samples.phrases())}

    def headings(axis: Axis) -> list[str]:
        return [heading for heading, _ in axis.groups]

    numbers = [int(heading.split()[-1]) for heading in headings(by_name["By position"])]
    assert numbers == sorted(set(numbers))
    for name in ("By key", "By skill"):
        assert headings(by_name[name]) == sorted(set(headings(by_name[name])), key=str.casefold)


@pytest.mark.parametrize("paper", [A4, LETTER, LARGE], ids=["a4", "letter", "large"])
def test_every_citation_is_whole_and_leads_to_its_study(paper) -> None:  # type: ignore[no-untyped-def]
    page = index_page(STUDIES, SKILLS, LABELS, paper, samples.phrases())
    for name, citations in cited(page).items():
        assert {label for _, label in citations} == set(LABELS.values()), name
        assert all(LABELS[f"study:{study}"] == label for study, label in citations)
    assert all((row.target == "") == (row.label == "") for row in rows(page))
    assert all(LABELS[f"study:{row.target}"] == row.label for row in rows(page) if row.label)


def test_large_print_cites_by_title_and_place_on_one_line() -> None:
    titles = {study.id: study.title for study in STUDIES}
    page = index_page(STUDIES, SKILLS, LABELS, LARGE, samples.phrases())
    assert {row.kind for row in rows(page)} <= {"axis", "heading", "more", "id"}
    whole = {f"{titles[one]} {one.rpartition('-')[2]}": one for one in titles}
    printed = {row.text: row.target for row in rows(page) if row.target}
    # Only a title longer than a line ends on a second one.
    assert len(printed) == len(whole)
    assert all(len(words) <= 50 or words not in printed for words in whole)
    assert all(printed[words] == one for words, one in whole.items() if len(words) <= 50)


def test_the_outline_of_the_index_tells_the_side_on_which_each_part_begins() -> None:
    page = index_page(STUDIES, SKILLS, LABELS, A4, samples.phrases())
    assert [name for name, _ in page.parts] == ["By string", "By position", "By key", "By skill"]
    for name, side in page.parts:
        assert any(row.text == name for column in page.sides[side].columns for row in column)


def many(count: int, letters: int) -> list[Study]:
    """So many studies with long titles and ids of so many letters."""
    base = samples.ferry_steps()
    names = [f"boat-{number}-" + "x-" * ((letters - 9) // 2) + "x" for number in range(count)]
    return [
        replace(base, id=f"{name}-s3f7", exercise=name, title=f"Boat {number} along the Outer Harbour Wall")
        for number, name in enumerate(names)
    ]


@settings(deadline=None, max_examples=25)
@given(st.integers(1, 130), st.integers(10, 40), st.sampled_from([A4, LETTER, LARGE]))
def test_columns_are_never_longer_than_a_side_and_lose_nothing(count: int, letters: int, paper) -> None:  # type: ignore[no-untyped-def]
    made = many(count, letters)
    page = index_page(made, SKILLS, {f"study:{study.id}": "7" for study in made}, paper, samples.phrases())
    for side in page.sides:
        assert len(side.columns) <= 3
        for column in side.columns:
            height = sum(row.rows for row in column) * page.pitch_mm
            # A heading that is said again may stand over what fitted without it.
            assert height <= room_mm(paper) + page.pitch_mm
            assert column[-1].label, "a column ends with a citation, not with a heading"
    wanted = sorted(study.id for study in made)
    by_axis = cited(page)
    assert sorted(study for study, _ in by_axis["By string"]) == wanted
    assert sorted(study for study, _ in by_axis["By key"]) == wanted


def test_maps_of_all_necks_come_first() -> None:
    page = index_page(STUDIES, SKILLS, LABELS, A4, samples.phrases())
    names = [name for side in page.sides for name, _ in side.maps]
    assert len(names) == len({study.instrument for study in STUDIES})
    beginning = next(number for number, side in enumerate(page.sides) if side.columns)
    assert not any(side.maps for side in page.sides[beginning + 1 :])


# --- glossary ---------------------------------------------------------------------------------------------------------


def test_every_term_has_a_name_and_a_meaning_and_some_study_to_meet_it_in() -> None:
    phrases = samples.phrases()
    named = {key.split(".")[1] for key in phrases.texts if key.startswith("glossary.") and key.count(".") == 2}
    assert named == set(TERMS)
    seldom = {
        "swing",
        "tremolo",
        "trill",
        "drone",
        "arpeggio",
        "economy-strokes",
        "capo",
        "strumming",
        "reach",
        "double-notes",
    }
    assert set(TERMS) - set(first_met(STUDIES)) <= seldom


def test_terms_that_do_not_occur_are_not_explained() -> None:
    found = set(first_met([samples.ferry_steps()]))
    assert {"burst", "landing-note", "checkpoint", "position"} <= found
    assert not found & {"barre", "hammer-on", "pull-off", "slide", "bend", "harmonic", "pima", "open-string", "capo"}


@pytest.mark.parametrize(
    ("term", "study"),
    [
        ("capo", replace(samples.ferry_steps(), instrument=replace(samples.GUITAR, capo=2))),
        ("swing", replace(samples.ferry_steps(), skills=("swing",))),
        ("economy-strokes", replace(samples.ferry_steps(), stroke_rule="economy")),
        ("voice", samples.two_voices()),
        ("tuplet", samples.septuplets()),
        ("open-string", samples.first_fret()),
    ],
)
def test_a_term_is_met_where_it_occurs(term: str, study: Study) -> None:
    plain = samples.one_bar()
    assert term not in first_met([plain])
    assert first_met([plain, study])[term] is study


def test_terms_stand_in_the_order_of_the_alphabet_and_lead_to_where_they_are_first_met() -> None:
    page = glossary_page(STUDIES, LABELS, A4, samples.phrases())
    names = [term.name for term in page.terms]
    assert names == sorted(names, key=str.casefold)
    assert all(term.label == LABELS[f"study:{term.target}"] for term in page.terms)


# --- imprint and paper ------------------------------------------------------------------------------------------------


def test_the_imprint_says_who_made_the_book_and_with_what() -> None:
    page = imprint_page(samples.book(), __version__, "ferry-steps-s3f7", samples.phrases())
    facts = dict(page.facts)
    assert facts["School"] == "Harbour Lane Music School"
    assert facts["Licence"] == "May be copied for pupils of the school"
    assert __version__ in facts["Made with"]
    assert "Seed" not in facts
    assert "ferry-steps-s3f7" in page.notes[0]
    assert any("without pain" in note for note in page.notes)


def test_the_imprint_names_a_seed_where_it_was_used_and_no_empty_facts() -> None:
    bare = replace(
        samples.book(), school="", author="", licence="", levels=(LevelRule(1, "Rower", ()),), seed="autumn tide"
    )
    facts = dict(imprint_page(bare, __version__, "x", samples.phrases()).facts)
    assert facts["Seed"] == "autumn tide"
    assert not {"School", "By", "Licence"} & set(facts)


def test_paper_to_write_on_has_the_strings_of_the_books_instruments() -> None:
    sheets = blank_papers(
        [samples.ferry_steps(), samples.bass_line(), samples.high_frets()], 2, samples.book(), samples.phrases()
    )
    assert [(sheet.instrument.strings, sheet.sides) for sheet in sheets] == [(6, 2), (4, 2)]
    assert [sheet.title for sheet in sheets] == ["Paper to write on: Guitar", "Paper to write on: Bass"]
    (alone,) = blank_papers([samples.seven_strings()], 1, samples.book(), samples.phrases())
    assert (alone.title, alone.instrument.strings) == ("Paper to write on", 7)


def test_paper_to_write_on_has_the_staff_of_the_book_alone() -> None:
    studies = [samples.ferry_steps(), samples.bass_line(), samples.seven_strings()]
    both, staff, tab = (
        blank_papers(studies, 1, samples.book(notation=notation), samples.phrases())
        for notation in ("both", "staff", "tab")
    )
    assert [len(sheets) for sheets in (both, staff, tab)] == [3, 2, 3]
    assert staff[0].systems > tab[0].systems > both[0].systems
