"""Large print: no page of any kind asks for a size below the floor, and a whole book is read back without a fault."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from builder.engraving.lilypond_source import style_text
from builder.pages import PAPERS
from builder.pages.layout import _LARGE_STAFF
from builder.pages.page import LARGE_PT, paper_of
from builder.pipeline import build
from builder.request import BuildRequest
from builder.resources import folder
from tests.pages import samples

BOOK = Path(__file__).parents[2] / "books" / "harbour-lane" / "book.yaml"
TEMPLATES = folder("templates")
# Letters and figures on a staff are sized by steps of a sixth of an octave from 11 points on a staff of 20 points.
ON_STAFF = re.compile(r"override (TabNoteHead|BarNumber|ClefModifier|OttavaBracket)\.font-size = #([\d.-]+)")


def quiet(done: int, total: int) -> None:
    """Show no progress."""


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_floor_is_sixteen_points_of_an_inch_on_finished_paper(paper: str) -> None:
    book = samples.book(large_print=True, paper=paper)
    least = float(re.search(r"#\(define large-least ([\d.]+)\)", style_text(book))[1])  # type: ignore[index]
    assert least * 72 / 72.27 * paper_of(book).scale >= LARGE_PT
    assert least * 72 / 72.27 * paper_of(book).scale < LARGE_PT + 0.1
    assert not PAPERS[paper].large


def test_figures_on_the_smallest_staff_are_large() -> None:
    sizes = dict(ON_STAFF.findall((TEMPLATES / "large_print.ily").read_text("utf-8")))
    assert set(sizes) == {"TabNoteHead", "BarNumber", "ClefModifier", "OttavaBracket"}
    for name, steps in sizes.items():
        assert 11 * _LARGE_STAFF / 20 * 2 ** (float(steps) / 6) * 72 / 72.27 >= LARGE_PT, name


def test_every_kind_of_page_says_its_sizes_by_commands_that_large_print_sets_anew() -> None:
    own = (TEMPLATES / "large_print.ily").read_text("utf-8")
    for command in ("abs-fontsize", "make-abs-fontsize", "italic", "make-italic"):
        assert f"'{command}-markup" in own, command
    for command in ("para", "heading", "cell", "text-lines", "cut-to", "fit", "entry", "ruled-table"):
        assert f"({command} layout" in own, command
    # A text sized otherwise would stay small.
    for page in sorted((TEMPLATES / "book").glob("*.ly")):
        assert not re.search(r"\\(?:fontsize|small|tiny|teeny|smaller|magnify)\b", page.read_text("utf-8")), page.name


@pytest.mark.engraves
def test_a_whole_book_in_large_print_is_read_back_without_a_fault(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ETUDEBOOK_CACHE", str(tmp_path / "cache"))
    # Bursts, long words under short bars, chord names under diagrams over rests, tuplets over large fingers.
    only = (
        "ferry-steps-s3f7",
        "boardwalk-fingers-s6f7",
        "six-ropes-s6f0",
        "lantern-shimmer-s5f0",
        "down-in-the-hold-s7f7",
    )
    request = BuildRequest(BOOK, tmp_path / "out", only, False, 2, False, layout="large-print")
    summary = build(request, quiet, quiet).summary
    assert summary.faults == ()
    # Cover, contents, pages to read, signs, studies, index, glossary, paper, imprint: more than the studies' own six.
    assert summary.pages > 20
