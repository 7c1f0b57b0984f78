"""A build reads its pages back and says what is wrong; pages found good are not read again, faults are told again."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

import builder.printing
from builder.critic import Finding, read_book
from builder.errors import EngravingError
from builder.outputs.study_json import study_json
from builder.pipeline import build
from builder.request import BuildRequest
from builder.summary import Summary
from builder.theory.score import Study
from tests.critic.conftest import ROOT, Finished
from tests.critic.planting import Stream, planted

pytestmark = pytest.mark.engraves

BOOK = ROOT / "books" / "first-page" / "book.yaml"


class Shelf:
    """A memory that counts what is kept."""

    def __init__(self) -> None:
        self.values: dict[str, str] = {}
        self.kept = 0

    def value(self, key: str) -> str | None:
        return self.values.get(key)

    def keep_value(self, key: str, text: str) -> None:
        self.values[key] = text
        self.kept += 1


def no_fret(stream: Stream) -> None:
    stream.erase(stream.frets()[3])


def built(out: Path, strict: bool = False) -> Summary:
    request = BuildRequest(BOOK, out, ("first-landing",), True, 1, strict)
    return build(request, lambda done, total: None, lambda done, total: None).summary


@pytest.fixture
def other_document(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A build whose document names other frets than its pages do."""

    def wrong(study: Study) -> dict[str, Any]:
        plain = study_json(study)
        notes = [event for event in plain["events"] if event["kind"] == "note"]
        notes[2]["fret"] += 1
        return plain

    monkeypatch.setenv("ETUDEBOOK_CACHE", str(tmp_path / "cache"))
    monkeypatch.setattr(builder.printing, "study_json", wrong)


def test_a_sound_build_has_no_fault(monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    monkeypatch.setenv("ETUDEBOOK_CACHE", str(tmp_path / "cache"))
    assert built(tmp_path / "out").faults == ()
    assert "not what they should be" not in (tmp_path / "out" / "first-page-report.txt").read_text(encoding="utf-8")


def test_a_faulty_page_is_told_of_and_the_book_is_kept(other_document: None, tmp_path: Path):
    first = built(tmp_path / "out")
    notes = [fault for fault in first.faults if ": fret: bar 1: reads string" in fault]
    assert len(notes) == 2  # a note of each study
    assert all(": neck: " in fault for fault in {*first.faults} - {*notes})  # nor is it on their maps
    report = (tmp_path / "out" / "first-page-report.txt").read_text(encoding="utf-8")
    assert all(fault in report for fault in first.faults)
    assert (tmp_path / "out" / "first-page.pdf").is_file()
    assert built(tmp_path / "out").faults == first.faults  # nothing changed: known, and told again


def test_where_warnings_are_problems_a_faulty_book_is_not_written(other_document: None, tmp_path: Path):
    with pytest.raises(EngravingError, match="reads string"):
        built(tmp_path / "out", strict=True)
    assert not (tmp_path / "out" / "first-page.pdf").exists()
    assert "reads string" in (tmp_path / "out" / "first-page-report.txt").read_text(encoding="utf-8")


def test_good_pages_are_read_once(small: Finished):
    shelf = Shelf()
    assert read_book(small.pdf, small.document, memory=shelf) == ()
    kept = shelf.kept
    assert kept > 2
    assert read_book(small.pdf, small.document, memory=shelf) == ()
    assert shelf.kept == kept


def test_a_fault_on_a_page_that_was_good_is_found_each_time(small: Finished, tmp_path: Path):
    shelf = Shelf()
    read_book(small.pdf, small.document, memory=shelf)
    kept = shelf.kept
    faulty = planted(small.pdf, tmp_path / "planted.pdf", small.page("first-landing"), no_fret)
    found = [read_book(faulty, small.document, memory=shelf) for _ in range(2)]
    assert found[0] == found[1] != ()
    assert shelf.kept == kept  # all other pages are known, this one is never called good


def test_a_study_that_changed_is_read_anew(small: Finished):
    shelf = Shelf()
    read_book(small.pdf, small.document, memory=shelf)
    changed = json.loads(json.dumps(small.document))
    notes = [event for event in changed["studies"][0]["events"] if event["kind"] == "note"]
    notes[0]["string"] += 1
    assert kinds(read_book(small.pdf, changed, memory=shelf)) == {"string", "neck"}


def test_damaged_memory_reads_as_none(small: Finished):
    shelf = Shelf()
    read_book(small.pdf, small.document, memory=shelf)
    for damage in ("", "[", "[[1]]", "{}", "[]"):
        shelf.values = dict.fromkeys(shelf.values, damage)
        assert read_book(small.pdf, small.document, memory=shelf) == ()


def kinds(findings: tuple[Finding, ...]) -> set[str]:
    return {finding.kind for finding in findings}
