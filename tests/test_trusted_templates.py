"""A book's own templates: with the option alone, in place of ours by name, never without saying what is wrong."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from pypdf import PdfReader

from builder.cli import main
from builder.engraving.batch import attempt_key
from builder.engraving.engine import Engine
from builder.engraving.lilypond_source import cover_sheet, style_text
from builder.engraving.templates import trusted_files, trusting
from builder.errors import Location, SpecError
from builder.resources import folder
from tests.pages import samples
from tests.small_book import BOOK, write_book


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ETUDEBOOK_CACHE", str(tmp_path / "cache"))
    return write_book(tmp_path)


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A cover that says something else."""
    made = tmp_path / "own"
    (made / "book").mkdir(parents=True)
    cover = (folder("templates") / "book" / "cover.ly").read_text("utf-8")
    subtitle = "[[ page.subtitle|breakable(breaks) ]]"
    (made / "book" / "cover.ly").write_text(cover.replace(subtitle, '"A cover of our own"'))
    return made


def test_a_trusted_template_changes_its_page_and_the_key_of_it_and_nothing_later(own: Path) -> None:
    def cover() -> str:
        return cover_sheet(samples.book(), [], Location("book.yaml")).bodies[0].text

    ours = cover()
    with trusting(own):
        theirs = cover()
    assert '"A cover of our own"' in theirs
    assert cover() == ours
    engine = Engine(Path("lilypond"), Path("gs"), "2.25", "fonts")
    assert attempt_key(ours, "", engine) != attempt_key(theirs, "", engine)


def test_a_trusted_style_is_part_of_every_page_s_key(own: Path) -> None:
    (own / "style.ily").write_text("% a style of our own\n" + (folder("templates") / "style.ily").read_text("utf-8"))
    ours = style_text(samples.book())
    with trusting(own):
        assert "% a style of our own" in style_text(samples.book())
    assert style_text(samples.book()) == ours


@pytest.mark.engraves
def test_a_book_is_printed_through_trusted_templates_and_again_without_them(book: Path, own: Path) -> None:
    def first_side() -> str:
        return PdfReader(book.parent / "out" / f"{book.parent.name}.pdf").pages[0].extract_text()

    assert main(["build", str(book), "--trust-templates", str(own)]) == 0
    assert "A cover of our own" in first_side()
    shutil.copytree(own, book.parent / "templates")  # beside the book they are no more than files
    assert main(["build", str(book)]) == 0
    assert "A cover of our own" not in first_side()
    assert main(["build", str(book), "--trust-templates", str(own)]) == 0
    assert "A cover of our own" in first_side()


@pytest.mark.parametrize("key", ["templates: own", "trust-templates: own", "look: {templates: own}"])
def test_no_key_of_a_spec_brings_templates(key: str, book: Path, own: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book.write_text(BOOK + key + "\n")
    assert main(["check", str(book)]) == 2
    assert "found an unknown key" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("name", "text", "found"),
    [
        ("book/covr.ly", b"x", "the place of no template"),
        ("cover.ly", b"x", "the place of no template"),
        ("site/index.html", b"x", "the place of no template"),
        ("book/log.ly", b"\xff\xfe", "can't be read"),
        ("book/log.ly", b"", "nothing"),
    ],
)
def test_what_replaces_nothing_is_a_problem_at_its_file(name: str, text: bytes, found: str, own: Path) -> None:
    (own / name).parent.mkdir(exist_ok=True)
    (own / name).write_bytes(text)
    with pytest.raises(SpecError) as wrong:
        trusted_files(own)
    (problem,) = wrong.value.problems
    assert problem.where.file == str(own / name)
    assert found in problem.found


@pytest.mark.parametrize("make", [False, True])
def test_a_folder_without_templates_is_a_problem(make: bool, book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    empty = book.parent / "empty"
    if make:
        empty.mkdir()
        (empty / ".hidden").write_text("x")
    assert main(["build", str(book), "--trust-templates", str(empty)]) == 2
    assert f"{empty}: --trust-templates: found {'an empty' if make else 'no'} folder" in capsys.readouterr().err
    assert not (book.parent / "out").exists()


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("\\bookpart {\n[% if %]\n}", 2),
        ("\\bookpart {\n\n[[ page.nobody ]]\n}", 3),
        ("[[ 1 // 0 ]]", 1),
        ('x\n[% include "book/none.ly" %]', 2),
    ],
)
def test_a_template_that_can_t_be_filled_is_a_problem_at_its_line(text: str, line: int, own: Path) -> None:
    (own / "book" / "cover.ly").write_text(text)
    with trusting(own), pytest.raises(SpecError) as wrong:
        cover_sheet(samples.book(), [], Location("book.yaml"))
    (problem,) = wrong.value.problems
    assert problem.where == Location(str(own / "book" / "cover.ly"), line)
