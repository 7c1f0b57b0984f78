"""`print.places: one`: one place of an exercise in full, the others as small neck maps.

In, Out:  the command line in this process; the PDF and its JSON read back
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from builder.cli import main
from builder.compose import compose
from builder.composing import knowledge_from
from builder.pages.order import small_places
from builder.spec import load_library, read_book
from builder.teaching import in_order, teaching
from tests.school import BOOK, build, write_school

ONE = BOOK + "print: {places: one}\n"
FULL = {"boardwalk-fingers-s6f7", "slipway-at-ebb-s4f14", "ferry-steps-s3f7", "ferry-steps-s6f10"}
FULL |= {"capstan-turns-s5f7", "changing-the-watch-s6f3", "barge-in-five-s3f15"}


@pytest.fixture(scope="module")
def composed(tmp_path_factory: pytest.TempPathFactory):
    library = load_library()
    spec = read_book(write_school(tmp_path_factory.mktemp("places") / "school", book=ONE), library)
    assert spec.plan is not None
    assert not spec.problems
    return spec.plan, tuple(compose(plan, knowledge_from(library)) for plan in spec.exercises)


def test_the_easiest_place_stands_in_full_or_those_that_are_asked_for(composed) -> None:
    plan, compositions = composed
    studies = in_order(compositions)
    small = {study.id for members in small_places(studies, plan).values() for study in members}
    assert {study.id for study in studies} - small == FULL
    assert small_places(studies, replace(plan, print_places="each")) == {}
    unasked = small_places(studies, replace(plan, levels=(), term=None))
    ferry = [study for study in studies if study.exercise == "ferry-steps"]
    assert unasked["ferry-steps"] == tuple(ferry[1:])


def test_term_and_alternates_name_only_studies_with_a_page(composed) -> None:
    plan, compositions = composed
    found = teaching(plan, compositions)
    assert found.problems == ()
    assert set(found.term.studies) <= FULL
    named = {other.study for level in found.syllabus.levels for one in level.required for other in one.alternates}
    assert named <= FULL


@pytest.mark.engraves
def test_the_others_share_a_page_of_small_maps_behind_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("ETUDEBOOK_CACHE", str(tmp_path / "cache"))
    book = write_school(tmp_path / "school", book=ONE)
    assert build(book) == 0
    out = tmp_path / "school" / "out"
    studies = {study["id"]: study for study in json.loads((out / "low-tide.json").read_text("utf-8"))["studies"]}
    reader = PdfReader(out / "low-tide.pdf")
    assert {study for study in studies if studies[study]["pages"]} == FULL
    for study in set(studies) - FULL:
        page = reader.pages[studies[study]["page"] - 1].extract_text()
        assert study in page
        assert "other places" in page
    # The maps of Ferry Steps follow the places of it that stand in full.
    last = max(studies[one]["page"] + studies[one]["pages"] for one in ("ferry-steps-s3f7", "ferry-steps-s6f10"))
    assert studies["ferry-steps-s5f5"]["page"] == last
    assert not (out / "sources" / "ferry-steps-s5f5.ly").exists()
    assert set(studies) <= set(reader.named_destinations)
    capsys.readouterr()
    assert main(["check", str(book), "--pages"]) == 0, capsys.readouterr().err


@pytest.mark.engraves
def test_the_page_critic_misses_a_small_map_that_is_not_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from builder.critic import read_book as read_pages

    monkeypatch.setenv("ETUDEBOOK_CACHE", str(tmp_path / "cache"))
    book = write_school(
        tmp_path / "school",
        ("slipway-at-ebb",),
        "title: Low Tide\nprint: {places: one}\n" + BOOK.split("\n", 1)[1].split("term:")[0],
    )
    assert build(book, "--pages-only") == 0
    out = tmp_path / "school" / "out"
    document = json.loads((out / "low-tide.json").read_text("utf-8"))
    assert read_pages(out / "low-tide.pdf", document) == ()
    small = next(study for study in document["studies"] if not study["pages"])
    small["id"] = "slipway-at-ebb-s9f9"
    assert any("slipway-at-ebb-s9f9" in finding.message for finding in read_pages(out / "low-tide.pdf", document))
