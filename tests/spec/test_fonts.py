"""A book's own font files: what is taken, what is refused in which words, which characters they let a text hold."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen

from builder.fields import can_print
from builder.spec import load_library, read_book

ROOT = Path(__file__).parents[2]
LIBRARY = load_library()
CYRILLIC = "Пристань"


def font_file(
    path: Path, letters: str = CYRILLIC, family: str = "Quay", rights: int = 0, variable: bool = False
) -> Path:
    """A font of black squares for *letters*."""
    names = {ord(letter): f"uni{ord(letter):04X}" for letter in letters}
    pen = TTGlyphPen(None)
    pen.moveTo((0, 0))
    for point in ((0, 700), (500, 700), (500, 0)):
        pen.lineTo(point)
    pen.closePath()
    square = pen.glyph()
    order = [".notdef", *names.values()]
    built = FontBuilder(1000, isTTF=True)
    built.setupGlyphOrder(order)
    built.setupCharacterMap(names)
    built.setupGlyf(dict.fromkeys(order, square))
    built.setupHorizontalMetrics(dict.fromkeys(order, (600, 0)))
    built.setupHorizontalHeader(ascent=800, descent=-200)
    built.setupNameTable({"familyName": family, "styleName": "Regular", "psName": f"{family}-Regular"})
    built.setupOS2(fsType=rights)
    built.setupPost()
    if variable:
        built.setupFvar([("wght", 400, 400, 700, "Weight")], [])
    path.parent.mkdir(exist_ok=True)
    built.save(path)
    return path


@pytest.fixture
def book(tmp_path):
    """A small book whose `fonts` can be written; call it with the value of that key."""
    shutil.copytree(ROOT / "books" / "first-page" / "exercises", tmp_path / "exercises")
    text = (ROOT / "books" / "first-page" / "book.yaml").read_text(encoding="utf-8")

    def written(fonts: str, title: str = "A First Page") -> Path:
        file = tmp_path / "book.yaml"
        file.write_text(text.replace("A First Page", title) + f"fonts: {fonts}\n", encoding="utf-8")
        return file

    return written


def words(book_file: Path) -> str:
    spec = read_book(book_file, LIBRARY)
    return "\n".join(str(problem).removeprefix(f"{book_file.parent}/") for problem in spec.problems)


def test_a_font_lets_texts_hold_its_characters(book, tmp_path):
    font_file(tmp_path / "fonts" / "quay.ttf")
    spec = read_book(book("{text: fonts/quay.ttf}", CYRILLIC), LIBRARY)
    assert not spec.problems
    assert spec.plan.title == CYRILLIC
    (font,) = spec.plan.fonts.every
    assert (font.family, font.printed_name) == ("Quay", "Quay-Regular")
    assert font.characters == set(map(ord, CYRILLIC))
    assert not can_print("П"), "only as long as its book is read"


def test_without_a_font_the_character_the_key_and_the_way_out_are_named(book):
    said = words(book("{}", CYRILLIC))
    assert "book.yaml:2:1: title: found U+041F (cyrillic capital letter pe) as character 1" in said
    assert "name a font file that holds it in the book's 'fonts'" in said


def test_a_new_file_under_the_same_name_is_another_font(book, tmp_path):
    font_file(tmp_path / "fonts" / "quay.ttf")
    before = read_book(book("{labels: fonts/quay.ttf}"), LIBRARY).plan.fonts.labels[0].digest
    font_file(tmp_path / "fonts" / "quay.ttf", CYRILLIC + "!")
    assert read_book(book("{labels: fonts/quay.ttf}"), LIBRARY).plan.fonts.labels[0].digest != before


@pytest.mark.parametrize(
    ("rights", "found"),
    [
        (0x0002, "a font that its maker does not allow to be embedded"),
        (0x0104, "a font of which its maker does not allow parts to be embedded"),
        (0x0200, "a font of which its maker allows only pictures to be embedded"),
    ],
)
def test_what_a_font_forbids_is_not_done(book, tmp_path, rights, found):
    font_file(tmp_path / "fonts" / "quay.ttf", rights=rights)
    said = words(book("{text: fonts/quay.ttf}"))
    assert said.startswith(f"book.yaml:12:9: fonts.text: found 'quay.ttf', {found}, expected a font file"), said


@pytest.mark.parametrize("rights", [0, 0x0004, 0x0008, 0x0006])
def test_what_a_font_allows_is_done(book, tmp_path, rights):
    font_file(tmp_path / "fonts" / "quay.ttf", rights=rights)
    assert not words(book("{text: fonts/quay.ttf}"))


def spoil(file: Path, data: bytes) -> None:
    file.parent.mkdir(exist_ok=True)
    file.write_bytes(data)


def test_files_that_are_no_fonts_are_refused_one_by_one(book, tmp_path):
    whole = font_file(tmp_path / "fonts" / "whole.ttf").read_bytes()
    spoil(tmp_path / "fonts" / "short.ttf", whole[: len(whole) // 2])
    spoil(tmp_path / "fonts" / "picture.otf", b"\x89PNG\r\n\x1a\n")
    spoil(tmp_path / "fonts" / "lie.otf", b"OTTO" + b"\xff" * 200)
    spoil(tmp_path / "fonts" / "nothing.ttf", b"")
    said = words(book("{text: [fonts/short.ttf, fonts/picture.otf, fonts/lie.otf, fonts/nothing.ttf]}"))
    assert "fonts.text.1: found 'short.ttf', a damaged font" in said
    assert "fonts.text.2: found 'picture.otf', which is no font" in said
    assert "fonts.text.3: found 'lie.otf', a damaged font" in said
    assert "fonts.text.4: found 'nothing.ttf', which is no font" in said


def test_other_fonts_that_will_not_do(book, tmp_path):
    font_file(tmp_path / "fonts" / "many.ttf", variable=True)
    assert "fonts.text: found 'many.ttf', a variable font" in words(book("{text: fonts/many.ttf}"))
    font_file(tmp_path / "fonts" / "quay.ttf")
    font_file(tmp_path / "fonts" / "pier.ttf", family="Pier")
    said = words(book("{text: [fonts/quay.ttf, fonts/pier.ttf]}"))
    assert "fonts.text.2: found 'pier.ttf', Pier, another family than Quay" in said


@pytest.mark.parametrize(
    ("fonts", "found"),
    [
        ("{text: ../quay.ttf}", "fonts.text: found '../quay.ttf', expected a path inside the book's folder"),
        ("{text: fonts/none.ttf}", "fonts.text: found 'fonts/none.ttf', which matches no file"),
        ("{tex: fonts/none.ttf}", "fonts.tex: found an unknown key, expected one of labels, text"),
        ("quay.ttf", "fonts: found 'quay.ttf', expected a mapping"),
        ("{text: 3}", "fonts.text: found 3"),
    ],
)
def test_wrong_keys_and_paths_are_named(book, fonts, found):
    assert found in words(book(fonts))


def test_letters_read_from_the_right_stay_unprintable(book, tmp_path):
    font_file(tmp_path / "fonts" / "quay.ttf", "שרA\u0301")
    assert read_book(book("{text: fonts/quay.ttf}"), LIBRARY).plan.fonts.every[0].characters == {ord("A")}
