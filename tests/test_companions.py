"""The small books beside the book: `build --syllabus` and `--teacher`, and what a build says of its coverage.

In, Out:  the command line in this process; PDFs, JSON and report read back
Source:   ISO 32000-1:2008, 12.6.4.3 (actions that open another file)
"""

from __future__ import annotations

import json
import re
from collections import Counter
from pathlib import Path

import pytest
import yaml
from pypdf import PdfReader

from builder.cli import main
from builder.pages.phrases import Phrases
from builder.spec.library import load_words
from tests.school import BOOK, build, write_school

PHRASES = Phrases.from_data(load_words("en"))


def text_of(pdf: Path) -> list[str]:
    """The words of each page on one line."""
    return [" ".join(page.extract_text().split()) for page in PdfReader(pdf).pages]


def links_into(pdf: Path) -> dict[str, set[str]]:
    """The destinations in other files that links lead to, by file."""
    found: dict[str, set[str]] = {}
    for page in PdfReader(pdf).pages:
        for annotation in page.get("/Annots", []):
            action = annotation.get_object().get("/A", {})
            if action.get("/S") == "/GoToR":
                found.setdefault(str(action["/F"]), set()).add(str(action["/D"]))
    return found


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The school's book with both small books, and an earlier edition that differs in a tempo, a title and a study."""
    where = tmp_path_factory.mktemp("companions")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("ETUDEBOOK_CACHE", str(where / "cache"))
        book = write_school(where / "school")
        assert build(book, "--pages-only") == 0
        earlier = json.loads((where / "school" / "out" / "low-tide.json").read_text("utf-8"))
        earlier["studies"] = [study for study in earlier["studies"] if study["id"] != "slipway-at-ebb-s3f9"]
        changed = {study["id"]: study for study in earlier["studies"]}
        changed["ferry-steps-s3f7"]["tempo_steps"][0] = 58
        changed["capstan-turns-s5f7"]["title"] = "Windlass Turns"
        changed["boardwalk-fingers-s6f7"]["id"] = "boardwalk-fingers-s1f1"
        (where / "school" / "spring.json").write_text(json.dumps(earlier), encoding="utf-8")
        book.write_text(BOOK.replace("spring-tide}", "spring-tide, earlier: spring.json}"), encoding="utf-8")
        assert build(book, "--syllabus", "--teacher") == 0
    return where / "school" / "out"


@pytest.mark.engraves
def test_the_syllabus_has_levels_sheets_alternates_and_changes(out: Path) -> None:
    pages = text_of(out / "low-tide-syllabus.pdf")
    whole = " ".join(pages)
    for words in ("Syllabus", "Low Tide", "Oar", "Sail", "Fingers fall one by one.", "spring-tide"):
        assert words in whole
    for sheet in ("Assessment, Level 1: Oar", "Marking, Level 1: Oar", "Assessment, Level 3: Sail"):
        assert any(sheet in page for page in pages)
    assert "Instead, to be confirmed by a teacher" in whole
    changes = next(page for page in pages[3:] if "What has changed" in page)
    assert "(slipway-at-ebb-s3f9): new in this edition." in changes
    assert "(ferry-steps-s3f7): tempo steps changed from 58 72 84 96 108 to 60 72 84 96 108." in changes
    assert "title changed from 'Windlass Turns' to 'Capstan Turns'." in changes
    assert "boardwalk-fingers-s1f1: no longer in this edition." in changes
    assert len(re.findall(r"\(\S+-s\df\d+\):|boardwalk-fingers-s1f1:", changes)) == 5


@pytest.mark.engraves
def test_the_syllabus_cites_the_pages_of_the_book(out: Path) -> None:
    reader = PdfReader(out / "low-tide.pdf")
    document = json.loads((out / "low-tide.json").read_text("utf-8"))
    side = {study["id"]: study["page"] for study in document["studies"]}
    levels = next(page for page in text_of(out / "low-tide-syllabus.pdf") if page.count("at 60") >= 2)
    label = reader.page_labels[side["ferry-steps-s3f7"] - 1]
    assert re.search(rf"Ferry Steps ?at 60\W*{label}\b", levels), levels
    into = links_into(out / "low-tide-syllabus.pdf")
    assert set(into) == {"low-tide.pdf"}
    assert "ferry-steps-s3f7" in into["low-tide.pdf"] <= set(reader.named_destinations)


@pytest.mark.engraves
def test_every_small_book_counts_its_own_pages_in_roman_figures(out: Path) -> None:
    for name in ("syllabus", "teacher"):
        labels = PdfReader(out / f"low-tide-{name}.pdf").page_labels
        assert labels[:4] == ["i", "ii", "iii", "iv"]


@pytest.mark.engraves
def test_the_teachers_edition_has_a_page_for_each_exercise_with_what_to_look_for(out: Path) -> None:
    pages = text_of(out / "low-tide-teacher.pdf")
    document = json.loads((out / "low-tide.json").read_text("utf-8"))
    exercises = {study["exercise"]: study for study in document["studies"]}
    assert len(pages) == 2 + len(exercises)
    for exercise, study in exercises.items():
        page = next(page for page in pages[2:] if study["title"] in page and exercise in page)
        assert all(other["id"] in page for other in document["studies"] if other["exercise"] == exercise)
        spec = yaml.safe_load((out.parent / "exercises" / f"{exercise}.yaml").read_text("utf-8"))
        assert spec["aim"] in page
        for skill in spec["skills"]:
            for kind in ("listen", "look", "fault"):
                assert PHRASES(f"{kind}.{skill}") in page


@pytest.mark.engraves
def test_the_coverage_counts_every_note_of_the_books_json(out: Path) -> None:
    coverage = json.loads((out / "low-tide-coverage.json").read_text("utf-8"))
    document = json.loads((out / "low-tide.json").read_text("utf-8"))
    assert set(document) == {"studies", "skipped", "problems"}
    played: Counter[tuple[str, int, int]] = Counter()
    for study in document["studies"]:
        for event in study["events"]:
            if event["kind"] == "note" and not event["tied"]:
                played[study["instrument"]["name"], event["string"], event["fret"]] += 1
    counted = {
        (one["name"], string, fret): times
        for one in coverage["instruments"]
        for string, row in enumerate(one["neck"], start=1)
        for fret, times in enumerate(row)
        if times
    }
    assert counted == dict(played)
    assert [point["study"] for point in coverage["curve"]] == [study["id"] for study in document["studies"]]
    report = (out / "low-tide-report.txt").read_text("utf-8")
    assert all(jump in report for jump in coverage["jumps"])
    assert all(hole in report for hole in coverage["holes"][:3])


@pytest.mark.engraves
def test_a_finished_syllabus_is_made_again_only_when_the_earlier_edition_changes(
    out: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ETUDEBOOK_CACHE", str(out.parent.parent / "cache"))
    book, pdf, earlier = out.parent / "low-tide.yaml", out / "low-tide-syllabus.pdf", out.parent / "spring.json"
    made = pdf.stat().st_mtime_ns
    assert build(book, "--syllabus", "--teacher") == 0
    assert pdf.stat().st_mtime_ns == made
    assert str(pdf) in capsys.readouterr().out
    earlier.write_text(earlier.read_text("utf-8").replace("Windlass", "Winch"), encoding="utf-8")
    assert build(book, "--syllabus", "--teacher") == 0
    assert any("'Winch Turns'" in page for page in text_of(pdf))


# --- what can't be made -----------------------------------------------------------------------------------------------


@pytest.fixture
def school(tmp_path: Path) -> Path:
    return write_school(tmp_path / "school", ("boardwalk-fingers", "ferry-steps", "capstan-turns"))


@pytest.mark.parametrize(
    ("options", "problem"),
    [
        (("--only", "ferry-steps"), "--syllabus: found a part of the book (--only), expected the whole book"),
        (("--student", "tilda"), "--syllabus: found an edition for a student, expected the common book"),
    ],
)
def test_a_syllabus_is_of_the_whole_common_book(
    school: Path, options: tuple[str, ...], problem: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert build(school, "--syllabus", *options) == 2
    assert problem in capsys.readouterr().err
    assert not (school.parent / "out").exists()


def test_a_book_without_levels_has_no_syllabus(school: Path, capsys: pytest.CaptureFixture[str]) -> None:
    school.write_text(re.sub(r"(?ms)^levels:.*?(?=^syllabus)", "", BOOK), encoding="utf-8")
    assert build(school, "--syllabus") == 2
    assert "levels: found no levels, expected" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("content", "found"),
    [
        (None, "which matches no file"),
        ("{", "which can't be read as such"),
        ('{"studies": 3}', "no list of studies"),
        ('{"studies": [{"id": "x"}]}', "not a study of an edition's JSON"),
        ("[" * 100_000, "which can't be read as such"),
    ],
)
def test_an_earlier_edition_that_is_none_is_a_problem_at_its_key(
    school: Path, content: str | None, found: str, capsys: pytest.CaptureFixture[str]
) -> None:
    school.write_text(BOOK.replace("spring-tide}", "spring-tide, earlier: old.json}"), encoding="utf-8")
    if content is not None:
        (school.parent / "old.json").write_text(content, encoding="utf-8")
    assert main(["check", str(school)]) == 2
    error = capsys.readouterr().err
    assert re.search(r"low-tide\.yaml:\d+:\d+: syllabus\.earlier: ", error)
    assert found in error
    assert "Traceback" not in error


def test_an_earlier_edition_stands_in_the_books_folder(school: Path, capsys: pytest.CaptureFixture[str]) -> None:
    school.write_text(BOOK.replace("spring-tide}", "spring-tide, earlier: ../old.json}"), encoding="utf-8")
    assert main(["check", str(school)]) == 2
    assert "inside the book's folder" in capsys.readouterr().err


def test_check_names_the_three_worst_holes_and_jumps(capsys: pytest.CaptureFixture[str]) -> None:
    from builder.resources import folder

    assert main(["check", str(folder("books") / "harbour-lane" / "book.yaml")]) == 0
    told = capsys.readouterr().out.splitlines()
    assert sum(line.startswith("No ") for line in told) == 3
    jumps = [float(match[1]) for line in told if (match := re.match(r"Difficulty jumps by ([\d.]+),", line))]
    assert len(jumps) == 3
    assert jumps == sorted(jumps, reverse=True)
