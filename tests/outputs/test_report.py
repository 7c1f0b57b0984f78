"""The report: the table of what each score is made of."""

from __future__ import annotations

import pytest

from builder.compose import compose
from builder.composing import knowledge_from
from builder.outputs.report import report_text
from builder.resources import folder
from builder.result import BookResult
from builder.spec import load_library, read_book
from builder.teaching import covered, in_order
from builder.theory.difficulty import TERMS


@pytest.fixture(scope="module")
def result() -> BookResult:
    """A small book with two more sides of one exercise, not engraved."""
    library = load_library()
    spec = read_book(folder("books") / "first-page" / "book.yaml", library)
    assert spec.plan is not None
    composed = tuple(compose(plan, knowledge_from(library)) for plan in spec.exercises)
    studies = in_order(composed)
    sides = {study.id: side for side, study in enumerate(studies, start=1)}
    return BookResult(spec.plan, studies, (), (), sides, {}, (), {}, {}, {})


def table(text: str) -> tuple[str, list[str], list[str]]:
    """The head, the rows and the legend of the table of parts."""
    _, _, after = text.partition("What the scores are made of, in points, at the first tempo\n")
    body, _, _ = after.partition("\nPlaces left out\n")
    rows, legend = body.strip("\n").split("\n\n")
    head, *lines = rows.split("\n")
    return head, lines, legend.strip("\n").split("\n")


def test_each_row_adds_up_to_its_score(result: BookResult) -> None:
    head, rows, _ = table(report_text(result, covered(result.studies)))
    assert [row.split()[0] for row in rows] == [study.id for study in result.studies]
    for row, study in zip(rows, result.studies, strict=True):
        score, *cells = row.split()[1:]
        assert float(score) == pytest.approx(study.metrics.score, abs=0.051)
        # Every cell is rounded, and a part under 0.05 is left blank.
        assert sum(map(float, cells)) == pytest.approx(study.metrics.score, abs=0.05 * len(TERMS))
        assert len(row) <= len(head)


def test_cells_stand_under_the_heads_of_their_measures(result: BookResult) -> None:
    head, rows, legend = table(report_text(result, covered(result.studies)))
    names = dict(line.split(maxsplit=1) for line in legend)
    columns = {names[name]: head.index(f" {name}") + len(name) + 1 for name in head.split()[1:]}
    for row, study in zip(rows, result.studies, strict=True):
        for part in study.metrics.parts:
            points = f"{part.points:.1f}"
            end = columns.get(part.term.replace("_", " "))
            if points != "0.0":
                assert end is not None
                assert row[:end].endswith(f" {points}")
            elif end is not None:
                assert row[end - 4 : end].strip() == ""


def test_only_measures_that_add_something_have_a_column(result: BookResult) -> None:
    _, _, legend = table(report_text(result, covered(result.studies)))
    used = {part.term for study in result.studies for part in study.metrics.parts if f"{part.points:.1f}" != "0.0"}
    assert {line.split(maxsplit=1)[1] for line in legend} == {term.replace("_", " ") for term in used}
    assert used < set(TERMS)
