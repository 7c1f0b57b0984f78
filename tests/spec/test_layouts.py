"""Layouts by name: what they change, and that they change nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from builder.catalogue import listing
from builder.errors import Problem
from builder.spec import load_library, read_book

LIBRARY = load_library()
BOOK = "title: Pier\ninstrument: guitar\nexercises: [pier.yaml]\nprint: {staff-size: 16, fingering: all}\n"


def planned(tmp_path: Path, text: str, layout: str | None):
    (tmp_path / "pier.yaml").write_text("title: Pier\nmaterial: {kind: scale}\n", encoding="utf-8")
    path = tmp_path / "book.yaml"
    path.write_text(text, encoding="utf-8")
    return read_book(path, LIBRARY, layout)


def test_a_layout_changes_what_it_says_and_nothing_else(tmp_path):
    plain, other = (planned(tmp_path, BOOK, layout).plan for layout in (None, "two-sided"))
    assert (plain.press.sides, other.press.sides) == ("one", "two")
    assert (other.paper, other.staff_size, other.fingering) == ("a4", 16, "all")
    assert other.name == f"{plain.name}-two-sided"
    assert (plain.layout, other.layout) == ("", "two-sided")


def test_a_book_has_layouts_of_its_own_before_those_of_everybody(tmp_path):
    own = BOOK + "layouts:\n  two-sided: {paper: letter}\n  small: {print: {staff-size: 12}}\n"
    assert planned(tmp_path, own, "two-sided").plan.press.sides == "one"
    assert planned(tmp_path, own, "two-sided").plan.paper == "letter"
    assert planned(tmp_path, own, "small").plan.staff_size == 12
    assert planned(tmp_path, own, None).plan.staff_size == 16


def test_a_layout_that_sets_a_default_sets_it(tmp_path):
    own = BOOK.replace("fingering: all", "sides: two") + "layouts: {single: {print: {sides: one}}}\n"
    assert planned(tmp_path, own, None).plan.press.sides == "two"
    assert planned(tmp_path, own, "single").plan.press.sides == "one"


def test_fingering_reaches_the_exercises(tmp_path):
    own = BOOK + "layouts: {bare: {print: {fingering: none}}}\n"
    assert planned(tmp_path, own, "bare").exercises[0].fingering == "none"


def test_an_unknown_layout_is_one_problem_with_a_suggestion(tmp_path):
    spec = planned(tmp_path, BOOK, "two-sides")
    assert spec.plan is None
    (problem,) = spec.problems
    assert str(problem.where) == "--layout"
    assert problem.found == "'two-sides'"
    assert "two-sided" in problem.expected
    assert "did you mean 'two-sided'" in problem.hint


@pytest.mark.parametrize("name", LIBRARY.layouts)
def test_every_layout_can_be_taken_and_is_listed(name, tmp_path):
    spec = planned(tmp_path, BOOK, name)
    assert spec.problems == ()
    assert spec.plan.layout == name
    assert f"\n{name}: " in "\n" + listing("layouts", LIBRARY)


LARGE = "print: {large-print: true}\n"


def position(problem: Problem) -> str:
    return f"{problem.where.line}:{problem.where.column}"


PLAIN = "title: Pier\ninstrument: guitar\nexercises: [pier.yaml]\n"


@pytest.mark.parametrize(
    ("text", "layout", "place", "key", "advice"),
    [
        ("paper: a5\n" + LARGE, None, "5:9", "print.large-print", "paper: a4"),
        (LARGE, "a5", "4:9", "print.large-print", "build without --layout a5"),
        (LARGE, "booklet", "4:9", "print.large-print", "build without --layout booklet"),
        ("paper: a5\n", "large-print", "4:1", "paper", "build without --layout large-print"),
        (
            "layouts: {small: {paper: a5, print: {large-print: true}}}\n",
            "small",
            "4:38",
            "layouts.small.print.large-print",
            "paper: a4",
        ),
        (LARGE + "layouts: {small: {paper: a5}}\n", "small", "4:9", "print.large-print", "paper: a4"),
    ],
)
def test_large_print_on_a5_is_one_problem_where_it_was_written(tmp_path, text, layout, place, key, advice):
    spec = planned(tmp_path, PLAIN + text, layout)
    assert spec.plan is None
    (problem,) = spec.problems
    assert (problem.where.file, position(problem), problem.key) == (str(tmp_path / "book.yaml"), place, key)
    assert "a5" in problem.found
    assert "16 points" in problem.expected
    assert advice in problem.hint


def test_large_print_is_printed_on_other_papers_and_a5_without_it(tmp_path):
    for text, layout in ((LARGE, None), (LARGE + "paper: letter\n", None), ("paper: a5\n", None), ("", "large-print")):
        assert planned(tmp_path, PLAIN + text, layout).problems == ()
    other = "paper: a5\nlayouts: {large: {paper: letter, print: {large-print: true}}}\n"
    assert planned(tmp_path, PLAIN + other, "large").plan.large_print


def test_a_gutter_of_a_layout_is_told_in_the_layout(tmp_path):
    text = PLAIN + "layouts:\n  deep: {paper: a5, print: {gutter: 9}}\n"
    (problem,) = planned(tmp_path, text, "deep").problems
    assert (position(problem), problem.key) == ("5:29", "layouts.deep.print.gutter")
