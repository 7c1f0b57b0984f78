"""Editions for students on the command line: whose they are, what is in them, what stays out, what is made anew.

In, Out:  the command line in this process; everything that it leaves in `out/`
Not here: how studies are chosen (`curriculum.test_choice`), compositions of an edition (`test_teaching`)
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

import builder.engraving.batch as batch
from builder.spec import load_library
from tests.school import BOOK, STUDENTS, build, write_school

ROOT = Path(__file__).parents[1]
NAMES = {"tilda": "Tilda Moor", "bo": "Bo Kessel", "lin": "Lin Ferrow", "mara": "Mara Quill"}
# What would tell a need: its own words and its name, in whatever case.
TOLD = ("tension", "needs.yaml", "grips or the forearm hardens")
EXERCISES = ("boardwalk-fingers", "ferry-steps", "changing-the-watch", "barge-in-five")
SMALL = BOOK.replace("weeks: 3", "weeks: 2").replace("capstan-turns-s5f7, tempo: 88", "ferry-steps-s1f10, tempo: 60")


class Engraved:
    """The bodies LilyPond was given, in the order of runs."""

    def __init__(self) -> None:
        self.bodies: list[str] = []

    def taken(self) -> list[str]:
        bodies, self.bodies = self.bodies, []
        return bodies


@pytest.fixture(scope="module")
def engraved() -> Iterator[Engraved]:
    seen = Engraved()
    run_batch, run_whole = batch.run_batch, batch.run_whole

    def counted(engine: Any, style: str, bodies: Any) -> Any:
        seen.bodies += bodies
        return run_batch(engine, style, bodies)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(batch, "run_batch", counted)
        patch.setattr(batch, "run_whole", lambda engine, style, body: run_whole(engine, style, body))
        yield seen


@pytest.fixture(scope="module")
def school(tmp_path_factory: pytest.TempPathFactory, engraved: Engraved) -> Iterator[Path]:
    """The school with its common book and every edition made once."""
    where = tmp_path_factory.mktemp("editions")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("ETUDEBOOK_CACHE", str(where / "cache"))
        book = write_school(where / "school", EXERCISES, SMALL)
        assert build(book) == 0
        common = len(engraved.taken())
        assert build(book, "--all-students") == 0
        assert len(engraved.bodies) > 0
        assert common > 0
        yield book


def students(book: Path) -> Path:
    return book.parent / "out" / "students"


def document(book: Path, student: str) -> list[dict[str, Any]]:
    text = (students(book) / student / f"low-tide-{student}.json").read_text("utf-8")
    found: list[dict[str, Any]] = json.loads(text)["studies"]
    return found


def every_word(folder: Path) -> str:
    """All that the files below *folder* say, their names too; PDFs page by page."""
    said = []
    for path in sorted(path for path in folder.rglob("*") if path.is_file()):
        said.append(path.name)
        if path.suffix == ".pdf":
            reader = PdfReader(path)
            said += [page.extract_text() for page in reader.pages] + [str(reader.metadata)]
        elif path.suffix == ".mid":
            said.append(path.read_bytes().decode("latin-1"))
        else:
            said.append(path.read_text("utf-8"))
    return "\n".join(said)


@pytest.mark.engraves
def test_everybody_gets_an_edition_in_a_folder_of_their_own(school: Path) -> None:
    assert {path.name for path in students(school).iterdir()} == set(NAMES)
    for student, name in NAMES.items():
        pages = [
            page.extract_text() for page in PdfReader(students(school) / student / f"low-tide-{student}.pdf").pages
        ]
        assert all(name in page for page in pages), "on the cover and in every foot"


@pytest.mark.engraves
@pytest.mark.parametrize("student", NAMES)
def test_an_edition_says_nothing_of_others_and_nothing_of_needs(school: Path, student: str) -> None:
    said = every_word(students(school) / student)
    assert NAMES[student] in said
    assert not [name for other, name in NAMES.items() if other != student and name in said]
    assert not [word for word in TOLD if word in said.lower()]


@pytest.mark.engraves
def test_the_common_book_says_nothing_of_students(school: Path) -> None:
    out = school.parent / "out"
    own = [path for path in out.iterdir() if path != students(school)]
    said = "\n".join(every_word(path) if path.is_dir() else path.name for path in own)
    said += "\n".join(page.extract_text() for page in PdfReader(out / "low-tide.pdf").pages)
    said += "".join(path.read_text("utf-8") for path in own if path.suffix in (".json", ".txt"))
    assert not [name for name in NAMES.values() if name in said]
    assert not [word for word in TOLD if word in said.lower()]


@pytest.mark.engraves
def test_hand_instrument_side_and_tempo_are_the_students_own(school: Path) -> None:
    assert all(study["metrics"]["widest_reach_mm"] <= 98 for study in document(school, "tilda"))
    assert {study["hand"]["comfort_mm"] for study in document(school, "tilda")} == {78}
    assert {study["instrument"]["name"] for study in document(school, "bo")} == {"bass"}
    assert all(study["level"] <= 3 for study in document(school, "mara"))
    (ferry,) = (study for study in document(school, "lin") if study["id"] == "ferry-steps-s3f7")
    assert ferry["tempo_steps"] == [84, 96, 108]
    turned = {
        student: {
            re.search(r"page-count = \d left-handed = ##t", path.read_text("utf-8")) is not None
            for path in (students(school) / student).rglob("*.ly")
        }
        for student in NAMES
    }
    assert turned == {"tilda": {False}, "bo": {False}, "lin": {True}, "mara": {False}}


@pytest.mark.engraves
def test_every_other_rest_of_a_student_with_needs_lets_go_where_it_helps(school: Path) -> None:
    advised = set(load_library().needs["picking-hand-tension"].cues)
    for study in document(school, "mara"):
        cues = [event["checkpoint"] for event in study["events"] if event.get("checkpoint")]
        # A rest of two voices carries its cue once; the first one is advised, then every other.
        assert set(cues[::2]) <= advised
        assert not set(cues[1::2]) & advised


@pytest.mark.engraves
def test_another_hand_makes_only_what_is_new_in_that_edition(
    school: Path, engraved: Engraved, capsys: pytest.CaptureFixture[str]
) -> None:
    first = set(engraved.taken())
    before = {path: path.stat().st_mtime_ns for path in students(school).rglob("*.pdf")}
    file = school.parent / "students.yaml"
    file.write_text(STUDENTS.replace("hand: small", "hand: medium"), encoding="utf-8")
    try:
        assert build(school, "--all-students") == 0
    finally:
        file.write_text(STUDENTS, encoding="utf-8")
    again = engraved.taken()
    assert again, "a page that depends on the hand"
    assert not set(again) & first, "nothing that was engraved is engraved again"
    changed = {path.parent.name for path, made in before.items() if path.stat().st_mtime_ns != made}
    assert changed == {"tilda"}
    assert len(again) < len(PdfReader(students(school) / "tilda" / "low-tide-tilda.pdf").pages) / 2
    assert build(school, "--student", "Tilda Moor") == 0
    assert engraved.taken() == [], "the small hand again: all its pages are known"


@pytest.mark.engraves
def test_one_student_is_made_alone_by_id_or_name(school: Path, tmp_path: Path) -> None:
    for named in ("bo", "Bo Kessel"):
        out = tmp_path / named.split()[0]
        assert build(school, "--student", named, "--out", str(out)) == 0
        assert {path.name for path in (out / "students").iterdir()} == {"bo"}
        assert not (out / "low-tide.pdf").exists()


def test_a_stranger_is_a_problem_with_the_name_that_was_meant(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = write_school(tmp_path / "school", EXERCISES, SMALL)
    assert build(book, "--student", "tlida") == 2
    error = capsys.readouterr().err
    assert "--student: found 'tlida', expected the id or name of a student of this book" in error
    assert "did you mean 'tilda'?" in error
    assert not (tmp_path / "school" / "out").exists()


def test_a_book_without_students_says_where_they_go(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bare = SMALL.replace("students: students.yaml\nneeds: needs.yaml\n", "")
    book = write_school(tmp_path / "school", EXERCISES, bare)
    assert build(book, "--all-students") == 2
    assert "students: found no students" in capsys.readouterr().err


def test_an_edition_is_known_again_by_another_process() -> None:
    asking = """
from builder.editions import edition_plan, student_told
from builder.resources import folder
from builder.spec import load_library, read_book
spec = read_book(folder("books") / "harbour-lane" / "book.yaml", load_library())
for student in spec.plan.students:
    print(student_told(edition_plan(spec.plan, student), spec))
"""
    told = {
        subprocess.run(
            [sys.executable, "-c", asking],
            cwd=ROOT,
            env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2", "3")
    }
    assert len(told) == 1
    assert "relaxation" in told.pop()
