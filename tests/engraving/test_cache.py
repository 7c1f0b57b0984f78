"""The store: what goes in comes out, damage reads as missing, builds do not disturb each other."""

from __future__ import annotations

import errno
import os
from concurrent.futures import ThreadPoolExecutor

import pytest

from builder.engraving.cache import Store, default_folder
from builder.errors import MachineError

KEY = "ab" * 32


@pytest.fixture
def store(tmp_path):
    return Store(tmp_path / "store")


def files(store):
    return sorted(path for path in store.folder.rglob("*") if path.is_file())


def test_an_outcome_comes_back_as_it_was_kept(store):
    kept = store.keep_outcome(KEY, 2, (), (b"first", b"second"))
    assert store.outcome(KEY) == kept
    assert [page.read_bytes() for page in kept.pages] == [b"first", b"second"]


def test_what_does_not_fit_is_remembered_too(store):
    store.keep_outcome(KEY, 3, ("warning: compressing over-full page by 2.0 staff-spaces",), ())
    known = store.outcome(KEY)
    assert (known.sides, known.pages) == (3, ())
    assert known.complaints == ("warning: compressing over-full page by 2.0 staff-spaces",)


def test_an_unknown_key_is_a_miss(store):
    assert store.outcome(KEY) is None
    assert store.value(KEY) is None


@pytest.mark.parametrize("damage", [b"", b"half", b"\xff\xfe\x00"])
def test_a_damaged_file_of_any_kind_reads_as_missing(store, damage):
    store.keep_outcome(KEY, 1, (), (b"a page",))
    for path in files(store):
        good = path.read_bytes()
        path.write_bytes(damage)
        assert store.outcome(KEY) is None
        path.write_bytes(good)
        assert store.outcome(KEY) is not None


def test_a_missing_page_is_a_miss_and_mends_itself(store):
    kept = store.keep_outcome(KEY, 1, (), (b"a page",))
    kept.pages[0].unlink()
    assert store.outcome(KEY) is None
    store.keep_outcome(KEY, 1, (), (b"a page",))
    assert store.outcome(KEY) == kept


def test_a_value_that_is_no_record_is_a_miss(store):
    for text in ("[]", "{}", '{"sides": "x"}', "not json"):
        store.keep_value(KEY, text)
        assert store.outcome(KEY) is None


def test_equal_pages_are_stored_once(store):
    one = store.keep_outcome(KEY, 1, (), (b"same",))
    two = store.keep_outcome("cd" * 32, 1, (), (b"same",))
    assert one.pages == two.pages


def test_builds_at_once_leave_whole_files_and_nothing_else(store):
    def build(number):
        return store.keep_outcome(KEY, 1, (), (b"page" * 50_000,)).pages[0].read_bytes()

    with ThreadPoolExecutor(8) as pool:
        assert set(pool.map(build, range(40))) == {b"page" * 50_000}
    assert len(files(store)) == 2


def test_a_full_disk_is_named_and_leaves_no_scraps(store, monkeypatch):
    def full(source, target):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(MachineError, match="disk is full"):
        store.keep_value(KEY, "text")
    assert files(store) == []


def test_a_folder_in_the_way_is_a_machine_error(tmp_path):
    (tmp_path / "store").write_text("a file, not a folder")
    with pytest.raises(MachineError, match="can't be written"):
        Store(tmp_path / "store").keep_value(KEY, "text")


def test_the_environment_names_the_folder(tmp_path, monkeypatch):
    monkeypatch.setenv("ETUDEBOOK_CACHE", str(tmp_path / "mine"))
    assert default_folder() == tmp_path / "mine"


def test_a_home_that_cannot_be_written_falls_back_to_a_temporary_folder(tmp_path, monkeypatch):
    blocked = tmp_path / "home"
    blocked.write_text("a file where the home should be")
    monkeypatch.delenv("ETUDEBOOK_CACHE", raising=False)
    monkeypatch.setattr("platformdirs.user_cache_dir", lambda name: str(blocked / name))
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    folder = default_folder()
    assert folder.parent == tmp_path
    Store(folder).keep_value(KEY, "text")
    assert Store(default_folder()).value(KEY) == "text"
