"""A book of one small exercise, for tests of whole commands."""

from __future__ import annotations

from pathlib import Path

BOOK = """\
title: Harbour Book
instrument: guitar
exercises: [exercises/*.yaml]
"""
PIER = """\
title: Pier
key: D minor
material: {kind: chord-loop, chords: [Dm, Gm], set-size: 3}
contour: {order: [1, 2, 3, 2], land: 1}
neck: {path: one-string, start: {places: [{string: 3, fret: 7}]}}
"""


def write_book(folder: Path, exercise: str = PIER) -> Path:
    """Write the book into *folder*, which may be new, and return its file."""
    (folder / "exercises").mkdir(parents=True)
    (folder / "exercises" / "pier.yaml").write_text(exercise, encoding="utf-8")
    (folder / "book.yaml").write_text(BOOK, encoding="utf-8")
    return folder / "book.yaml"
