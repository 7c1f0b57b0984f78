"""Finding LilyPond and Ghostscript, and saying clearly when they are missing."""

from __future__ import annotations

import sys

import pytest

from builder.engraving import engine
from builder.engraving.engine import find_lilypond
from builder.errors import MachineError


@pytest.fixture(autouse=True)
def no_wheel(monkeypatch):
    find_lilypond.cache_clear()
    monkeypatch.setattr(engine, "_from_wheel", lambda: None)
    yield
    find_lilypond.cache_clear()


def program(folder, version):
    path = folder / "bin" / "lilypond"
    path.parent.mkdir()
    path.write_text(f"#!/bin/sh\necho 'GNU LilyPond {version} (running Guile 3.0)'\n")
    path.chmod(0o755)
    return path


def test_none_at_all_says_what_to_install(monkeypatch, tmp_path):
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(MachineError, match="LilyPond is missing") as error:
        find_lilypond()
    assert "pip install lilypond" in error.value.hint


@pytest.mark.parametrize("platform", ["linux", "darwin", "win32"])
def test_the_hint_knows_the_platform(monkeypatch, platform):
    monkeypatch.setattr(sys, "platform", platform)
    assert {"darwin": "brew", "win32": "own site"}.get(platform, "system's packages") in engine._install_hint()


def test_an_old_one_on_the_path_is_refused_with_its_version(monkeypatch, tmp_path):
    monkeypatch.setenv("PATH", str(program(tmp_path, "2.24.3").parent))
    with pytest.raises(MachineError, match=r"2\.25 or newer is needed.*2\.24\.3"):
        find_lilypond()


def test_a_new_one_on_the_path_is_taken_with_the_ghostscript_beside_it(monkeypatch, tmp_path):
    path = program(tmp_path, "2.25.20")
    (tmp_path / "libexec").mkdir()
    (tmp_path / "libexec" / "gs").write_text("")
    monkeypatch.setenv("PATH", str(path.parent))
    found = find_lilypond()
    assert (found.lilypond, found.version) == (path, "2.25.20")
    assert found.ghostscript == tmp_path / "libexec" / "gs"


def test_no_ghostscript_is_a_machine_error(monkeypatch, tmp_path):
    monkeypatch.setenv("PATH", str(program(tmp_path, "2.26.0").parent))
    with pytest.raises(MachineError, match="Ghostscript is missing"):
        find_lilypond()
