"""A small school for tests that build: six exercises of the demo book, a term, two levels, four students.

Not here: what is built from it (`test_companions`, `test_editions`)
"""

from __future__ import annotations

import shutil
from pathlib import Path

from builder.cli import main
from builder.resources import folder

EXERCISES = (
    "boardwalk-fingers",
    "slipway-at-ebb",
    "ferry-steps",
    "capstan-turns",
    "changing-the-watch",
    "barge-in-five",
)
BOOK = """\
title: Low Tide
school: Harbour Lane Music School
instrument: guitar
hand: medium
exercises: [exercises/*.yaml]
term: {weeks: 3, days: 4, minutes: 12}
levels:
  1: {name: Oar, requires: [{study: boardwalk-fingers-s6f7, tempo: 70}], outcomes: [Fingers fall one by one.]}
  3:
    name: Sail
    requires: [{study: ferry-steps-s3f7, tempo: 60}]
    choice: {count: 1, from: [{study: capstan-turns-s5f7, tempo: 88}, {study: ferry-steps-s6f10, tempo: 60}]}
syllabus: {seed: spring-tide}
students: students.yaml
needs: needs.yaml
"""
STUDENTS = """\
students:
  - {id: tilda, name: Tilda Moor, level: 3, hand: small, minutes: 10}
  - {id: bo, name: Bo Kessel, level: 3, instrument: bass}
  - {id: lin, name: Lin Ferrow, level: 4, handedness: left, last-clean: {ferry-steps-s3f7: 84}}
  - {id: mara, name: Mara Quill, level: 3}
"""
NEEDS = "needs: [{student: mara, needs: [picking-hand-tension]}]\n"


def write_school(where: Path, exercises: tuple[str, ...] = EXERCISES, book: str = BOOK) -> Path:
    """Write the school into *where* and return its book."""
    (where / "exercises").mkdir(parents=True)
    for name in exercises:
        source = folder("books") / "harbour-lane" / "exercises" / f"{name}.yaml"
        shutil.copyfile(source, where / "exercises" / f"{name}.yaml")
    (where / "low-tide.yaml").write_text(book, encoding="utf-8")
    (where / "students.yaml").write_text(STUDENTS, encoding="utf-8")
    (where / "needs.yaml").write_text(NEEDS, encoding="utf-8")
    return where / "low-tide.yaml"


def build(book: Path, *options: str) -> int:
    """Build in this process, into `out/` beside the book; the exit code."""
    return main(["build", str(book), "--jobs", "1", *options])
