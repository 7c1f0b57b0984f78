"""Progress at a terminal: what is done is named and counted, and no thread stands in the way of forking processes."""

from __future__ import annotations

import io
import threading

import pytest

from builder import console


class Terminal(io.StringIO):
    """What a terminal would have been sent."""

    def isatty(self) -> bool:
        return True


def test_each_part_of_the_work_is_named_and_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = Terminal()
    monkeypatch.setattr("sys.stderr", terminal)
    monkeypatch.setenv("TERM", "xterm")
    before = threading.active_count()
    with console.progress("engraving", "tracks", quiet=False) as (engraving, tracks):
        engraving(1, 4)
        tracks(2, 3)
        assert threading.active_count() == before
    said = terminal.getvalue()
    assert said.index("engraving") < said.index("1/4") < said.index("tracks") < said.index("2/3")


def test_nothing_is_drawn_where_nobody_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = Terminal()
    monkeypatch.setattr("sys.stderr", terminal)
    with console.progress("engraving", quiet=True) as (step,):
        step(1, 2)
    monkeypatch.setattr("sys.stderr", pipe := io.StringIO())
    with console.progress("engraving", quiet=False) as (step,):
        step(1, 2)
    assert terminal.getvalue() == pipe.getvalue() == ""
