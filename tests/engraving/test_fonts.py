"""Which fonts a page may carry."""

from __future__ import annotations

import pytest

from builder.engraving.fonts import fonts_digest, foreign_fonts, plain_name


@pytest.mark.parametrize("name", ["TeXGyreSchola-Bold", "C059-Roman", "NimbusMonoPS-Regular", "Emmentaler-18"])
def test_fonts_that_travel_with_lilypond_are_no_finding(name):
    assert foreign_fonts(f"<< /BaseFont /ABCDEF+{name} >>".encode()) == ()


def test_a_font_of_the_machine_is_named_without_its_tag():
    page = b"<</BaseFont/QWERTY+DejaVuSans/Type/Font>> <</BaseFont /Emmentaler-20>> <</BaseFont/AAAAAA+Arial>>"
    assert foreign_fonts(page) == ("Arial", "DejaVuSans")


def test_only_a_tag_of_six_capitals_is_taken_off():
    assert plain_name("/ABCDEF+C059") == "C059"
    assert plain_name("/Abcdef+C059") == "Abcdef+C059"


def test_the_digest_follows_names_and_contents(tmp_path):
    (tmp_path / "one.otf").write_bytes(b"1")
    before = fonts_digest(tmp_path)
    (tmp_path / "notes.txt").write_text("not a font")
    assert fonts_digest(tmp_path) == before
    (tmp_path / "one.otf").write_bytes(b"2")
    assert fonts_digest(tmp_path) != before
