"""A small book printed in the layouts that everybody has, read back from the finished PDF."""

from __future__ import annotations

import json
import os
import re
import shutil
from pathlib import Path

import pytest
from pypdf import PdfReader

from builder.cli import main
from builder.critic import read_book
from builder.critic.asked import Asked
from builder.critic.content import read_ink
from builder.critic.fonts import Font
from builder.resources import folder

pytestmark = pytest.mark.engraves

MM = 72 / 25.4
BOOK = """\
title: Pier and Harbour
school: Harbour Lane Music School
instrument: guitar
exercises: [ferry-steps.yaml, the-long-sea-wall.yaml]
"""


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """A function that builds the book in a layout and returns its PDF and JSON."""
    base = tmp_path_factory.mktemp("book")
    for name in ("ferry-steps", "the-long-sea-wall"):
        shutil.copy(folder("books") / "harbour-lane" / "exercises" / f"{name}.yaml", base)
    (base / "book.yaml").write_text(BOOK, encoding="utf-8")
    known: dict[str, Path] = {}

    def build(layout: str) -> Path:
        if layout not in known:
            before = os.environ.get("ETUDEBOOK_CACHE")
            os.environ["ETUDEBOOK_CACHE"] = before or str(base / "cache")
            command = ["build", str(base / "book.yaml"), "--layout", layout, "--jobs", "1", "--out", str(base / "out")]
            assert main([*command, "--json"]) == 0
            (known[layout],) = (base / "out").glob(f"*-{layout}.pdf")
        return known[layout]

    return build


def colours(page) -> set[str]:
    """The names of the operators that set a colour, in the page and in what is laid over it."""
    data = page.get_contents().get_data()
    for form in page["/Resources"].get("/XObject", {}).values():
        if form.get_object()["/Subtype"] == "/Form":
            data += form.get_object().get_data()
    return {name.decode() for name in re.findall(rb"(?<=[\\d.] )(rg|RG|g|G|k|K|sc|SC|scn|SCN)\\b", data)}


def test_black_and_grey_are_one_ink_and_every_font_is_embedded(built):
    for page in PdfReader(built("print-shop")).pages:
        assert colours(page) <= {"g", "G"}
        ink = read_ink(page, Font)
        assert all(glyphs.font.embedded for glyphs in (*ink.texts, *ink.signs))


def test_pages_for_the_print_shop_have_bleed_tabs_and_a_gutter(built):
    pdf = built("print-shop")
    document = json.loads(pdf.with_suffix(".json").read_text(encoding="utf-8"))
    firsts = {study["page"] for study in document["studies"]}
    for number, page in enumerate(PdfReader(pdf).pages, 1):
        assert [round(float(side) / MM, 1) for side in page.trimbox] == [3, 3, 213, 300]
        assert [round(float(side) / MM, 1) for side in page.bleedbox] == [0, 0, 216, 303]
        if number not in firsts:
            continue
        ink = read_ink(page, Font)
        tabs = [area.box for area in ink.areas if area.box.x0 < -1 or area.box.x1 > 211]
        assert len(tabs) == 1
        figures = [
            text.text for text in ink.texts if tabs[0].x0 < text.x < tabs[0].x1 and tabs[0].y0 < text.y < tabs[0].y1
        ]
        assert any(text.text == f"Level {figures[0]}" for text in ink.texts), "the running head says the same"
        assert len(figures) == 1
        assert (tabs[0].x0 < 0) == (number % 2 == 0), "tabs stand at the outer edge"
        title = max(ink.texts, key=lambda text: text.size)
        assert title.x == pytest.approx(14 if number % 2 == 0 else 22, abs=0.7)


@pytest.mark.parametrize(
    ("layout", "asked"),
    [
        ("print-shop", Asked(paper="a4", bleed_mm=3, thumb_index=True)),
        ("a5", Asked(paper="a5")),
        ("letter", Asked(paper="letter")),
        ("large-print", Asked(paper="a4", large_print=True)),
    ],
)
def test_the_page_critic_finds_nothing(built, layout, asked):
    pdf = built(layout)
    assert read_book(pdf, json.loads(pdf.with_suffix(".json").read_text(encoding="utf-8")), asked) == ()


def test_studies_of_two_pages_open_on_a_left_hand_page(built):
    pdf = built("print-shop")
    studies = json.loads(pdf.with_suffix(".json").read_text(encoding="utf-8"))["studies"]
    even = [study for study in studies if study["pages"] % 2 == 0]
    assert all(study["page"] % 2 == 0 for study in even)
    labels = PdfReader(pdf).page_labels
    assert labels.index("1") % 2 == 0, "page 1 is a right-hand page"


def test_a_booklet_holds_the_pages_of_a5_two_by_two_in_folding_order(built):
    sheets = PdfReader(built("booklet"))
    halves: list[tuple[str, str]] = []
    for sheet in sheets.pages:
        assert [round(float(side) / MM, 1) for side in sheet.mediabox] == [0, 0, 296, 210]
        feet = [
            text for text in read_ink(sheet, Font).texts if text.y > 190 and re.fullmatch("[ivx]+|[0-9]+", text.text)
        ]
        halves.append(tuple(" ".join(t.text for t in feet if (t.x > 148) == right) for right in (False, True)))
    fronts, backs = halves[::2], halves[1::2]
    before = [number for front, back in zip(fronts, backs, strict=True) for number in (front[1], back[0])]
    behind = [number for front, back in zip(fronts, backs, strict=True) for number in (front[0], back[1])]
    read = [number for number in before + behind[::-1] if number]
    roman = [number for number in read if not number.isdigit()]
    arabic = [int(number) for number in read if number.isdigit()]
    assert roman[:3] == ["ii", "iii", "iv"]
    assert read == [*roman, *map(str, arabic)]
    assert arabic == list(range(1, len(arabic) + 1))
