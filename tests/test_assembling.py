"""Sides and page numbers agree in the end, whatever sheets take on paper; nothing is engraved here."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from builder import printing
from builder.assembling import FURNITURE, MOST_ROUNDS, Steps, assemble
from builder.compose import compose
from builder.composing import knowledge_from
from builder.engraving import Body, Desk, EngravedSheet, Engraving, Sheet
from builder.errors import Location
from builder.pages.order import NOTES, Leaf, first_labels, leaves
from builder.result import BookResult
from builder.spec import load_library, read_book
from builder.teaching import teaching
from tests.school import build, write_school

A5 = """\
title: Low Tide
school: Harbour Lane Music School
instrument: guitar
paper: a5
print: {sides: two}
exercises: [exercises/*.yaml]
term: {weeks: 2, days: 3, minutes: 12}
"""
WHERE = Location("book.yaml")
FIRST = "front:first"


def on_paper(sheet: Sheet, rung: int, sides: int) -> EngravedSheet:
    return EngravedSheet(sheet.key, tuple(Path(f"{sheet.key}-{side}.pdf") for side in range(sides)), rung)


class _Press:
    """A book of two sheets before its notes; how many sides the first takes depends on the label of the second."""

    def __init__(self, taken: Mapping[str, int] | int, said: int | None = 1) -> None:
        self.taken, self.said = taken, said
        self.rounds = 0
        self.label = ""

    def order(self, sides: Mapping[str, int]) -> tuple[Leaf, ...]:
        return leaves((FIRST, "front:second"), (), sides, bound=False)

    def sheets(self, order: Sequence[Leaf]) -> tuple[Sheet, ...]:
        self.label = first_labels(order)["front:second"]
        notes = [NOTES] * any(leaf.sheet == NOTES for leaf in order)
        bodies = (Body("", self.said),)
        return tuple(Sheet(key, WHERE, bodies) for key in (FIRST, "front:second", *notes, FURNITURE))

    def engraved(self, sheets: Sequence[Sheet]) -> Mapping[str, EngravedSheet]:
        self.rounds += 1
        first = self.taken * self.rounds if isinstance(self.taken, int) else self.taken.get(self.label, 1)
        return {one.key: on_paper(one, 0, first if one.key == FIRST else 1) for one in sheets}

    def assembled(self) -> tuple[tuple[Leaf, ...], Mapping[str, EngravedSheet]]:
        return assemble(Steps(self.order, self.sheets, self.engraved), {FIRST: 1, "front:second": 1})


def standing(order: Sequence[Leaf]) -> list[tuple[str, int, str]]:
    return [(leaf.sheet, leaf.part, leaf.label) for leaf in order]


def test_a_right_guess_is_engraved_once():
    press = _Press({})
    press.assembled()
    assert press.rounds == 1


def test_a_sheet_that_says_one_side_and_takes_two_is_given_two():
    press = _Press({"ii": 2, "iii": 2})
    order, pages = press.assembled()
    assert standing(order) == [(FIRST, 0, "i"), (FIRST, 1, "ii"), ("front:second", 0, "iii")]
    assert len(pages[FIRST].pdfs) == 2
    assert press.rounds == 2


def test_a_guess_that_was_too_high_is_taken_back():
    press = _Press({}, said=3)
    order, _ = press.assembled()
    assert standing(order) == [(FIRST, 0, "i"), ("front:second", 0, "ii")]


def test_a_sheet_that_shrinks_when_it_is_given_room_leaves_a_page_for_notes():
    """It takes two sides as long as it has one, and one as soon as it has two: its numbers would never settle."""
    order, pages = _Press({"ii": 2, "iii": 1}).assembled()
    assert standing(order) == [(FIRST, 0, "i"), (NOTES, 0, "ii"), ("front:second", 0, "iii")]
    assert all(leaf.part < pages[leaf.sheet].sides for leaf in order)


def test_sides_that_grow_for_ever_are_told():
    press = _Press(2)
    with pytest.raises(RuntimeError, match=f"settle in {MOST_ROUNDS} rounds; still changing: front:first 22 to 24"):
        press.assembled()
    assert press.rounds == MOST_ROUNDS


@cache
def library() -> Any:
    return load_library()


def printed(folder: Path, settings: str, monkeypatch: pytest.MonkeyPatch) -> tuple[BookResult, int]:
    """The school's book with *settings*, each sheet at its last attempt, one side longer than that says it will be."""
    book = write_school(folder / "school", exercises=("ferry-steps", "capstan-turns", "boardwalk-fingers"))
    book.write_text(book.read_text(encoding="utf-8") + settings, encoding="utf-8")
    spec = read_book(book, library())
    assert not spec.problems
    assert spec.plan
    compositions = [compose(one, knowledge_from(library())) for one in spec.exercises]
    rounds = 0

    def settle(self: Desk, sheets: Sequence[Sheet], *_: object) -> Engraving:
        nonlocal rounds
        rounds += 1
        made = {}
        for sheet in sheets:
            last = sheet.bodies[-1]
            made[sheet.key] = on_paper(sheet, len(sheet.bodies) - 1, last.sides or last.likely + 1)
        return Engraving(made, ())

    monkeypatch.setattr(Desk, "begin", lambda self, sheets: None)
    monkeypatch.setattr(Desk, "settle", settle)
    taught = teaching(spec.plan, compositions)
    return printing.print_book(spec.plan, compositions, library(), False, 1, lambda *_: None, taught), rounds


WAYS = [
    (paper, sides, large)
    for paper in ("a4", "a5", "letter")
    for sides in ("one", "two")
    for large in ("false", "true")
    if (paper, large) != ("a5", "true")
]


@pytest.mark.parametrize(("paper", "sides", "large"), WAYS)
def test_every_paper_on_one_side_or_two_settles(paper, sides, large, tmp_path, monkeypatch):
    settings = f"paper: {paper}\nprint: {{sides: {sides}, large-print: {large}}}\n"
    result, rounds = printed(tmp_path, settings, monkeypatch)
    assert [page.furniture_page for page in result.pages] == list(range(len(result.pages)))
    assert any(page.sheet == "front:practise" for page in result.pages)
    assert rounds <= 4


@pytest.mark.engraves
def test_a_book_with_a_term_builds_on_a5_on_two_sides(tmp_path):
    """Its pages to read need two sides where the least of what they try first is one."""
    book = write_school(tmp_path / "school", exercises=("ferry-steps",), book=A5)
    assert build(book, "--out", str(tmp_path / "out"), "--json") == 0
    out = tmp_path / "out"
    pdf, document = out / "low-tide.pdf", out / "low-tide.json"
    texts = [page.extract_text() for page in PdfReader(pdf).pages]
    firsts = {study["page"]: study["title"] for study in json.loads(document.read_text(encoding="utf-8"))["studies"]}
    assert firsts
    for number, title in firsts.items():
        assert title in texts[number - 1]
