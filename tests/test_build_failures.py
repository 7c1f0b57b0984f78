"""A page that can't be engraved: exit 3, the earlier book untouched, the page named, good pages kept."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import builder.printing
from builder.cli import main
from builder.engraving import Sheet
from builder.engraving.lilypond_source import study_sheet
from builder.theory.score import Study
from tests.small_book import PIER, write_book


def overflowing(study: Study, *rest: Any) -> Sheet:
    """The sheet of a study as if one of its words were too wide, which no text of a spec is any more."""
    sheet = study_sheet(study, *rest)
    wide = '#(ly:warning "TEXT-OVERFLOW: 90")'
    bodies = [
        replace(body, text=body.text.replace("\\bookpart {", f"\\bookpart {{ {wide}", 1)) for body in sheet.bodies
    ]
    return replace(sheet, bodies=bodies)


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ETUDEBOOK_CACHE", str(tmp_path / "cache"))
    return write_book(tmp_path)


@pytest.mark.engraves
def test_a_page_that_fails_leaves_the_earlier_book_and_is_named(
    book: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    out = book.parent / "out"
    name = book.parent.name
    assert main(["build", str(book)]) == 0
    pdf, data = (out / f"{name}.pdf").read_bytes(), (out / f"{name}.json").read_bytes()
    capsys.readouterr()

    exercise = book.parent / "exercises" / "pier.yaml"
    exercise.write_text(PIER.replace("Pier", "Wide Pier"))
    monkeypatch.setattr(builder.printing, "study_sheet", overflowing)
    assert main(["build", str(book)]) == 3
    said = capsys.readouterr().err
    assert str(exercise) in said
    assert "fits its line" in said
    assert (out / f"{name}.pdf").read_bytes() == pdf
    assert (out / f"{name}.json").read_bytes() == data
    assert str(exercise) in (out / f"{name}-report.txt").read_text(encoding="utf-8")

    assert main(["build", str(book), "--json"]) == 3
    document = json.loads(capsys.readouterr().out)
    assert document["problems"]
    assert document["problems"][0]["file"] == str(exercise)

    exercise.write_text(PIER)
    monkeypatch.undo()
    monkeypatch.setenv("ETUDEBOOK_CACHE", str(book.parent / "cache"))
    assert main(["build", str(book)]) == 0
    assert "could not be engraved" not in (out / f"{name}-report.txt").read_text(encoding="utf-8")
    assert (out / f"{name}.pdf").read_bytes() == pdf


@pytest.mark.engraves
def test_a_source_of_ones_own_stays_and_an_old_one_goes(book: Path):
    sources = book.parent / "out" / "sources"
    assert main(["build", str(book), "--pages-only"]) == 0
    assert [path.name for path in sources.iterdir()] == ["pier-s3f7.ly"]
    (sources / "my-own.ly").write_text("music")
    exercise = book.parent / "exercises" / "pier.yaml"
    exercise.write_text(PIER.replace("{string: 3, fret: 7}", "{string: 4, fret: 12}"))
    assert main(["build", str(book), "--pages-only"]) == 0
    assert sorted(path.name for path in sources.iterdir()) == ["my-own.ly", "pier-s4f12.ly"]


def test_nothing_is_written_when_the_spec_is_wrong(book: Path):
    (book.parent / "exercises" / "pier.yaml").write_text(PIER + "rythm: {}\n")
    assert main(["build", str(book)]) == 2
    assert not (book.parent / "out").exists()


@pytest.mark.engraves
def test_a_folder_that_is_a_file_is_the_machine_s_fault(book: Path, capsys: pytest.CaptureFixture[str]):
    (book.parent / "out").write_text("in the way")
    assert main(["build", str(book), "--pages-only"]) == 4
    assert "could not be written" in capsys.readouterr().err
