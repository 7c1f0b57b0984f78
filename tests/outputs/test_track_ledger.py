"""The files of studies that left a book go; what anybody else put there stays."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from builder.engraving import Store
from builder.outputs.track_ledger import enter, studies_of

PIER, QUAY = "pier-s1f5", "quay-s2f3"


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """A folder with the files of two studies."""
    place = tmp_path / "out"
    for study in (PIER, QUAY):
        (place / "tracks" / study).mkdir(parents=True)
        for name in ("60.mid", "60.mp3", "60-loop.flac", "all-tempos.mid"):
            (place / "tracks" / study / name).write_bytes(b"notes")
    (place / "exchange").mkdir()
    (place / "exchange" / f"{QUAY}.musicxml").write_bytes(b"notes")
    return place


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "store")


def folders(out: Path) -> set[str]:
    return {path.name for path in (out / "tracks").iterdir()}


def test_the_files_of_a_study_that_left_its_book_go(out: Path, store: Store) -> None:
    enter(out, "book", (PIER, QUAY), True, (), store)
    assert folders(out) == {PIER, QUAY}
    enter(out, "book", (PIER,), True, (), store)
    assert folders(out) == {PIER}
    assert list((out / "exchange").iterdir()) == []


def test_a_part_of_a_book_takes_nothing_away_but_is_remembered(out: Path, store: Store) -> None:
    enter(out, "book", (PIER, QUAY), True, (), store)
    enter(out, "book", (PIER,), False, (), store)
    assert folders(out) == {PIER, QUAY}
    enter(out, "book", (PIER,), True, (), store)
    assert folders(out) == {PIER}


def test_folders_that_the_program_never_wrote_stay(out: Path, store: Store) -> None:
    enter(out, "book", (PIER,), True, (), store)
    assert folders(out) == {PIER, QUAY}


def test_a_teachers_own_file_keeps_its_folder(out: Path, store: Store) -> None:
    own = out / "tracks" / QUAY / "lesson.mid"
    own.write_bytes(b"mine")
    enter(out, "book", (PIER, QUAY), True, (), store)
    enter(out, "book", (PIER,), True, (), store)
    assert list(own.parent.iterdir()) == [own]


def test_a_study_of_another_book_in_the_same_folder_stays(out: Path, store: Store) -> None:
    enter(out, "book", (PIER, QUAY), True, (), store)
    enter(out, "second", (QUAY,), True, (), store)
    enter(out, "book", (PIER,), True, (), store)
    assert folders(out) == {PIER, QUAY}


def test_without_the_ledger_the_json_of_the_build_before_tells(out: Path, store: Store) -> None:
    document = out / "book.json"
    document.write_text(json.dumps({"studies": [{"id": PIER}, {"id": QUAY}, {"id": "../pier"}, {"id": 3}]}))
    assert studies_of(document) == {PIER, QUAY}
    enter(out, "book", (PIER,), True, studies_of(document), store)
    assert folders(out) == {PIER}


@pytest.mark.parametrize("text", ["", "{", "[]", '{"studies": 3}', '{"studies": [{}]}'])
def test_a_damaged_json_names_no_studies(tmp_path: Path, text: str) -> None:
    (tmp_path / "book.json").write_text(text)
    assert studies_of(tmp_path / "book.json") == frozenset()


def test_a_damaged_ledger_takes_nothing_away(out: Path, store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    enter(out, "book", (PIER, QUAY), True, (), store)
    monkeypatch.setattr(Store, "value", lambda self, key: '{"book": 3')
    enter(out, "book", (PIER,), True, (), store)
    assert folders(out) == {PIER, QUAY}


def test_a_folder_behind_a_link_is_left_alone(out: Path, store: Store, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    (out / "tracks" / QUAY).rename(elsewhere)
    (out / "tracks" / QUAY).symlink_to(elsewhere, target_is_directory=True)
    enter(out, "book", (PIER, QUAY), True, (), store)
    enter(out, "book", (PIER,), True, (), store)
    assert (elsewhere / "60.mid").exists()
