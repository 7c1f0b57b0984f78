"""A finished book is recognised, and only while its inputs and its files are what they were."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from builder.engraving import Store
from builder.pipeline import check
from builder.resources import folder
from builder.spec import load_library, read_book
from builder.unchanged import build_key, finished, keep


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
