"""A school's look: a logo is known by its content and lies inside the book's folder."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from builder.engraving.lilypond_source import cover_sheet, furniture_sheet, style_text
from builder.errors import Location
from builder.fields import Unreadable
from builder.pages.furniture import plain_furnishing, study_furnishing
from builder.spec.look import Look, LookModel, read_look
from tests.pages import samples


def drawn(folder: Path, name: str = "logo.png", form: str = "PNG") -> Path:
    path = folder / name
    Image.new("RGB", (300, 100), "navy").save(path, form)
    return path


def test_a_logo_stands_on_the_cover_as_dots_of_ours(tmp_path: Path) -> None:
    raw = drawn(tmp_path).read_bytes()
    look = read_look(LookModel.model_validate({"logo": "logo.png"}), tmp_path)
    text = cover_sheet(samples.book(look=look), [], Location("book.yaml")).bodies[0].text
    assert "\\picture-data #60.0 #20.0" in text
    assert raw.hex() not in text
    assert "picture-data" not in cover_sheet(samples.book(), [], Location("book.yaml")).bodies[0].text


def test_head_and_foot_have_the_words_of_the_look() -> None:
    made = plain_furnishing(samples.book(look=Look(head="Room 4", foot="Not for sale")), "Contents", 2, "ii")
    assert made.head == "Room 4"
    assert made.foot.endswith("Not for sale")
    assert plain_furnishing(samples.book(), "Contents", 2, "ii").head == samples.book().school


def test_on_narrow_paper_the_author_makes_room_for_the_words_of_the_look() -> None:
    def foot(paper: str, own: str) -> str:
        usual = samples.book(look=Look(foot=own), paper=paper)
        book = replace(usual, author="Ann Pier", licence="Free to copy")
        return study_furnishing(samples.ferry_steps(), 3, book, samples.phrases(), 2, "2").foot

    assert "Ann Pier  ·  Free to copy  ·  Not for sale" in foot("a4", "Not for sale")
    assert foot("a5", "Not for sale").endswith("Free to copy  ·  Not for sale")
    assert "Ann Pier" not in foot("a5", "Not for sale")
    assert "Ann Pier" in foot("a5", "")


def test_running_heads_have_the_logo_only_where_asked_and_only_once(tmp_path: Path) -> None:
    drawn(tmp_path)
    sides = [plain_furnishing(samples.book(), "Contents", side, "ii") for side in (2, 3)]
    for asked in (False, True):
        look = read_look(LookModel.model_validate({"logo": "logo.png", "logo-in-heads": asked}), tmp_path)
        text = furniture_sheet(sides, samples.book(look=look), Location("book.yaml")).bodies[0].text
        assert text.count("head-logo = #(list 14.0 4.67 ") == asked


def test_a_logo_in_heads_needs_a_logo(tmp_path: Path) -> None:
    with pytest.raises(Unreadable) as wrong:
        read_look(LookModel.model_validate({"logo-in-heads": True}), tmp_path)
    assert wrong.value.at == ("logo-in-heads",)
    assert "logo: logo.png" in wrong.value.hint


def test_the_weight_of_rules_and_headings_is_part_of_the_style_and_so_of_every_page_s_key() -> None:
    styles = {
        style_text(samples.book(look=read_look(LookModel.model_validate(keys), Path())))
        for keys in ({}, {"rules": "light"}, {"rules": "heavy"}, {"headings": "regular"})
    }
    assert len(styles) == 4
    usual = style_text(samples.book())
    assert "#(define rule-weight 1)" in usual
    assert "#(define heading-series 'bold)" in usual


@pytest.mark.parametrize("source", ["../logo.png", "/etc/hosts", "missing.png", "folder", "text.png"])
def test_what_is_no_picture_inside_the_folder_is_refused(source: str, tmp_path: Path) -> None:
    inside = tmp_path / "book"
    (inside / "folder").mkdir(parents=True)
    drawn(tmp_path)
    (inside / "text.png").write_text("not a picture")
    with pytest.raises(Unreadable) as wrong:
        read_look(LookModel.model_validate({"logo": source}), inside)
    assert "PNG, JPEG, SVG or PDF" in wrong.value.expected
    assert "Markdown" not in wrong.value.hint
