"""What a person sees at a terminal, and what a pipe gets instead."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from builder.resources import folder

BOOK = folder("shared") / "new-book" / "book.yaml"
pty = pytest.importorskip("pty", reason="this system has no pseudo-terminals")


def at_terminal(*arguments: str) -> str:
    """What `etudebook` prints when its output is a terminal."""
    ours, theirs = pty.openpty()
    environment = {**os.environ, "COLUMNS": "160", "TERM": "dumb"}
    process = subprocess.Popen(
        [sys.executable, "-m", "builder", *arguments], stdout=theirs, stderr=theirs, env=environment, cwd=_root()
    )
    os.close(theirs)
    said = b""
    while True:
        try:
            said += os.read(ours, 4096)
        except OSError:  # Linux reports the other end's closing so
            break
        if process.poll() is not None and not said:
            break
    os.close(ours)
    assert process.wait() == 0
    return said.decode("utf-8")


def _root() -> Path:
    return Path(__file__).parent.parent


def test_a_terminal_gets_tables_with_headings():
    said = at_terminal("check", str(BOOK))
    assert "Levels:" in said
    exercise = next((BOOK.parent / "exercises").glob("*.yaml"))
    studies = at_terminal("studies", str(exercise))
    for heading in ("Study", "Start", "Bars", "Level", "Score", "Reach"):
        assert heading in studies


def test_a_pipe_gets_one_line_a_study_without_headings():
    exercise = next((BOOK.parent / "exercises").glob("*.yaml"))
    command = [sys.executable, "-m", "builder", "studies", str(exercise)]
    said = subprocess.run(command, capture_output=True, text=True, check=True, cwd=_root()).stdout
    lines = said.splitlines()
    assert len(lines) == 3
    assert all(line.startswith("stepping-stones-s") and line.count("\t") == 6 for line in lines)


def test_text_of_a_spec_is_never_markup(tmp_path: Path):
    exercise = tmp_path / "odd.yaml"
    text = next((BOOK.parent / "exercises").glob("*.yaml")).read_text(encoding="utf-8")
    exercise.write_text(text.replace("title: Stepping Stones", 'title: "[red]Stones[/red]"'))
    assert "[red]Stones[/red]" in at_terminal("studies", str(exercise))
