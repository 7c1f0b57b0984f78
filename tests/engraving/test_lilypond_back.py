"""The last pages as LilyPond text: which parts there are, hostile texts, and every part engraved for real."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from builder.engraving import Store, engrave
from builder.engraving.lilypond_back import last_sheets
from builder.engraving.lilypond_curriculum import Matter, TitledSheet
from builder.engraving.lilypond_source import style_text
from builder.spec.plan import MatterPart
from tests.engraving.test_lilypond_curriculum import LABELS, LONG, STUDIES, matter
from tests.engraving.test_lilypond_source import HOSTILE, strings_removed

ALL = (MatterPart("index"), MatterPart("glossary"), MatterPart("blank-paper", 2), MatterPart("imprint"))


def asked(given: Matter, *parts: MatterPart) -> tuple[TitledSheet, ...]:
    return last_sheets(replace(given, book=replace(given.book, back=parts or ALL)), {})


def test_parts_stand_in_the_order_of_the_book() -> None:
    keys = [each.sheet.key for each in asked(matter(), *reversed(ALL))]
    assert keys[0] == "back:imprint"
    assert keys[-2:] == ["back:glossary", "back:index"]
    assert keys[1:-2] == [f"back:blank-paper-{number}" for number in range(1, len(keys) - 2)]
    assert asked(matter(), MatterPart("imprint"))[0].sheet.key == "back:imprint"


def test_of_several_instruments_only_the_first_paper_is_listed() -> None:
    papers = [each for each in asked(matter()) if each.sheet.key.startswith("back:blank-paper")]
    assert [each.listed for each in papers] == [True, *[False] * (len(papers) - 1)]
    assert len(papers) > 1


def test_keys_titles_and_sides_do_not_depend_on_the_labels() -> None:
    def known(given: Matter) -> list[tuple[object, ...]]:
        return [(each.sheet.key, each.title, each.parts, each.sheet.bodies[0].sides) for each in asked(given)]

    assert known(matter(labels={})) == known(matter())


def test_page_numbers_lead_to_their_studies() -> None:
    (index,) = asked(matter(), MatterPart("index"))
    text = index.sheet.bodies[0].text
    led = re.findall(r'\\with-url #"mark:([^"]+)" \\index-row #\S+ #\S+ "id" "[^"]*" "(\d+)"', text)
    assert {study for study, _ in led} == {study.id for study in STUDIES}
    assert all(LABELS[f"study:{study}"] == label for study, label in led)
    assert "mark:" not in asked(matter(labels={}), MatterPart("index"))[0].sheet.bodies[0].text


def test_hostile_texts_never_leave_their_quotes() -> None:
    for each in asked(matter(words=HOSTILE)):
        left = strings_removed(each.sheet.bodies[0].text)
        assert "call-with-output-file" not in left
        assert "%{" not in left
        assert left.count("{") == left.count("}")


@pytest.mark.engraves
@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("words", ["", LONG, '\\"} #(exit 3) {"'])
def test_every_part_engraves_without_a_complaint(words: str, paper: str, tmp_path: Path) -> None:
    given = matter(paper=paper, words=words)
    found = asked(given)
    done = engrave([each.sheet for each in found], style_text(given.book), Store(tmp_path), 2, lambda done, total: None)
    assert done.problems == ()
    assert done.sheets["back:imprint"].sides == 1
