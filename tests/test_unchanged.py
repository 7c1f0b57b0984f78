"""A finished book is recognised, and only while its inputs and its files are what they were."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from builder.engraving import Store
from builder.pipeline import check
from builder.request import BuildRequest
from builder.resources import folder
from builder.spec import load_library, read_book
from builder.unchanged import build_key, finished, inputs_of, keep, keep_standing, standing


@pytest.fixture
def book(tmp_path: Path) -> Path:
    for path in (folder("shared") / "new-book").rglob("*.yaml"):
        target = tmp_path / path.relative_to(folder("shared") / "new-book")
        target.parent.mkdir(exist_ok=True)
        target.write_bytes(path.read_bytes())
    return tmp_path / "book.yaml"


@pytest.fixture
def made(book: Path, tmp_path: Path):
    """A summary with two files that stand for a book."""
    out = tmp_path / "out"
    (out / "sources").mkdir(parents=True)
    (out / "book.pdf").write_bytes(b"pages")
    summary = replace(check(book, strict=False).summary, files=(out / "book.pdf",), pages=9)
    for study in summary.studies:
        (out / "sources" / f"{study.id}.ly").write_text("music")
    store = Store(tmp_path / "store")
    keep("key", store, out, summary, (out / "sources" / f"{study.id}.ly" for study in summary.studies))
    return store, out, summary


def test_a_finished_book_is_recognised(made):
    store, out, summary = made
    assert finished("key", store, out, 0.5) == replace(summary, seconds=0.5)


def test_another_key_is_another_book(made):
    store, out, _ = made
    assert finished("other", store, out, 0.5) is None


@pytest.mark.parametrize("harm", ["change", "remove", "source"])
def test_a_file_that_is_not_as_written_is_noticed(made, harm):
    store, out, summary = made
    if harm == "change":
        (out / "book.pdf").write_bytes(b"other pages")
    elif harm == "remove":
        (out / "book.pdf").unlink()
    else:
        (out / "sources" / f"{summary.studies[0].id}.ly").unlink()
    assert finished("key", store, out, 0.5) is None


def test_a_damaged_record_is_no_record(made):
    store, out, _ = made
    store.keep_value("key", '{"files": {}, "summary": {"title": 1}}')
    assert finished("key", store, out, 0.5) is None


def test_specs_and_options_are_part_of_the_key(book: Path):
    def key(*options: str) -> str:
        return build_key(read_book(book, load_library()), book, options)

    first = key("a")
    assert key("a") == first
    assert key("b") != first
    exercise = next(book.parent.glob("exercises/*.yaml"))
    exercise.write_text(exercise.read_text() + "# changed\n")
    assert key("a") != first


# --- known by the files beside the book alone -------------------------------------------------------------------------


@pytest.fixture
def stood(book: Path, tmp_path_factory, monkeypatch) -> BuildRequest:
    """A request whose book stands there finished."""
    monkeypatch.setenv("ETUDEBOOK_CACHE", str(tmp_path_factory.mktemp("cache")))
    request = BuildRequest(book, None, (), False, 1, False)
    before, store = inputs_of(request), Store(Path(os.environ["ETUDEBOOK_CACHE"]))
    request.folder.mkdir()
    pdf, document = request.folder / "book.pdf", request.folder / "book.json"
    pdf.write_bytes(b"pages")
    document.write_text(json.dumps({"studies": []}))
    keep("key", store, request.folder, replace(check(book, strict=False).summary, files=(pdf, document)), ())
    keep_standing(request, before, sorted(book.parent.glob("exercises/*.yaml")), "key", "book.json", store)
    return request


def test_a_book_with_the_same_files_beside_it_stands_finished(stood):
    found = standing(stood)
    assert found is not None
    assert found.document == {"studies": []}
    assert [path.name for path in found.summary.files] == ["book.pdf", "book.json"]


CHANGES: dict[str, Callable[[Path], object]] = {
    "an exercise says something else": lambda home: next(home.glob("exercises/*.yaml")).write_text("title: Pier\n"),
    "an exercise is new": lambda home: (home / "exercises" / "new.yaml").write_text("title: New\n"),
    "an exercise is gone": lambda home: next(home.glob("exercises/*.yaml")).unlink(),
    "a file no build reads has come": lambda home: (home / "notes.txt").write_text("call the printer"),
    "a file of the build is gone": lambda home: (home / "out" / "book.pdf").unlink(),
    "a file of the build was written over": lambda home: (home / "out" / "book.json").write_text("{}"),
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_book_is_built_again_after(stood, change):
    CHANGES[change](stood.book.parent)
    assert standing(stood) is None


def test_what_is_changed_while_a_build_works_is_new_to_the_next_one(stood):
    store = Store(Path(os.environ["ETUDEBOOK_CACHE"]))
    before = inputs_of(stood)
    stood.book.write_text(stood.book.read_text() + "# changed meanwhile\n")
    keep_standing(stood, before, (), "key", "book.json", store)
    assert standing(stood) is None


@pytest.mark.parametrize(
    "other",
    [{"pages_only": True}, {"strict": True}, {"layout": "a5"}, {"only": ("pier",)}, {"exchange": True}],
    ids=str,
)
def test_another_request_is_another_book(stood, other):
    assert standing(replace(stood, **other)) is None


def test_a_book_that_reads_files_from_elsewhere_is_not_known_by_its_folder(stood, tmp_path_factory):
    store, other = Store(Path(os.environ["ETUDEBOOK_CACHE"])), replace(stood, pages_only=True)
    font = tmp_path_factory.mktemp("fonts") / "text.otf"
    font.write_bytes(b"letters")
    keep_standing(other, inputs_of(other), [font], "key", "book.json", store)
    assert standing(other) is None
    keep_standing(other, inputs_of(other), [], "key", "book.json", store)
    assert standing(other) is not None


def test_sounds_from_anywhere_and_editions_are_asked_for_the_slower_way(stood):
    for more in ({"soundfont": Path("strings.sf2")}, {"students": ()}, {"templates": Path("own")}, {"audio": True}):
        assert inputs_of(replace(stood, **more)) is None
