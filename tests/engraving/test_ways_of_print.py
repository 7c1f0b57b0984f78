"""Large print and little ink, read back from engraved pages."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from builder.critic.content import read_ink
from builder.critic.fonts import Font
from builder.critic.ink import Ink
from builder.engraving import Store, engrave
from builder.engraving.lilypond_source import study_sheet, style_text
from builder.errors import Location
from builder.pages.page import LARGE_PT
from tests.pages import samples

pytestmark = pytest.mark.engraves
WHERE = Location("exercises/ferry-steps.yaml")


def printed(folder: Path, **ways: object) -> list[Ink]:
    book = samples.book(**ways)
    sheet = study_sheet(samples.ferry_steps(), book, WHERE, samples.phrases(), samples.CUES)
    done = engrave([sheet], style_text(book), Store(folder), 1, lambda done, total: None)
    assert done.problems == ()
    return [read_ink(PdfReader(pdf).pages[0], Font) for one in done.sheets.values() for pdf in one.pdfs]


def smallest_pt(pages: list[Ink]) -> float:
    return min(text.size for ink in pages for text in ink.texts if text.text.strip()) / 25.4 * 72.27


def test_no_text_of_large_print_is_small(tmp_path: Path) -> None:
    pages = printed(tmp_path, staff_size=28, large_print=True)
    assert smallest_pt(pages) >= LARGE_PT - 0.1
    assert smallest_pt(printed(tmp_path)) < LARGE_PT / 1.5


def test_little_ink_fills_nothing_with_grey(tmp_path: Path) -> None:
    assert any(0 < area.grey < 1 for ink in printed(tmp_path) for area in ink.areas)
    assert not any(0 < area.grey < 1 for ink in printed(tmp_path, low_ink=True) for area in ink.areas)


LONG = "Fingergeläufigkeitsübungsnachmittagskonzerte"


@pytest.mark.parametrize(
    ("ways", "lines"),
    [
        ({"paper": "a5"}, ["Fingergeläufigkeitsübungs-", "nachmittagskonzerte"]),
        (
            {"paper": "a5", "hints": ("Fingergeläufigkeits-übungsnachmittagskonzerte",)},
            ["Fingergeläufigkeits-", LONG[19:]],
        ),
        ({"large_print": True}, None),
    ],
)
def test_a_word_longer_than_its_line_breaks_where_its_language_or_the_book_says(
    tmp_path: Path, ways: dict[str, object], lines: list[str] | None
) -> None:
    book = replace(samples.book(), language="de", **ways)  # type: ignore[arg-type]
    study = replace(samples.ferry_steps(), title=LONG)
    sheet = study_sheet(study, book, WHERE, samples.phrases(), samples.CUES)
    done = engrave([sheet], style_text(book), Store(tmp_path), 1, lambda done, total: None)
    assert done.problems == ()
    texts = read_ink(PdfReader(next(iter(done.sheets.values())).pdfs[0]).pages[0], Font).texts
    largest = max(text.size for text in texts)
    printed = [text.text for text in sorted(texts, key=lambda text: text.y) if text.size > 0.98 * largest]
    assert printed == (lines or printed)
    assert "".join(printed).replace("-", "") == LONG
