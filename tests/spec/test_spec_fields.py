"""Field types: what each reads, its limits, and which characters can be printed."""

from __future__ import annotations

import unicodedata
from fractions import Fraction
from importlib import import_module
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from builder import fields
from builder.fields import Unreadable, can_print, printable
from builder.theory.harmony import Key
from builder.theory.pitch import NoteName, Pitch
from builder.theory.rhythm import Meter


def read(field, value):
    return TypeAdapter(field).validate_python(value)


def refusal(field, value) -> Unreadable:
    with pytest.raises(ValidationError) as caught:
        read(field, value)
    (error,) = caught.value.errors()
    return error["ctx"]


@pytest.mark.parametrize(
    ("field", "value", "expected"),
    [
        (fields.Id, "ferry-steps-2", "ferry-steps-2"),
        (fields.Title, "  Ferry Steps ", "Ferry Steps"),
        (fields.KeyName, "D minor", Key(NoteName.parse("D"), "minor")),
        (fields.KeyName, "F# dorian", Key(NoteName.parse("F#"), "dorian")),
        (fields.MeterText, "12/8", Meter(12, 8)),
        (fields.Duration, "3/16", Fraction(3, 16)),
        (fields.Duration, 1, Fraction(1)),
        (fields.SoundingPitch, "Bbb3", Pitch.parse("Bbb3")),
        (fields.NoteText, "D", NoteName.parse("D")),
        (fields.NoteText, "D4", Pitch.parse("D4")),
        (fields.Tempo, 20, 20),
        (fields.Tempo, 400, 400),
        (fields.Level, 8, 8),
        (fields.Flag, False, False),
    ],
)
def test_a_good_value_becomes_ours(field, value, expected):
    assert read(field, value) == expected


@pytest.mark.parametrize(
    ("field", "value"),
    [
        *(
            (fields.Id, value)
            for value in ("", "Ferry", "a--b", "-a", "a-", "a_b", "é", "a" * 41, 7, None, ["a"], "a\n")
        ),
        *((fields.Title, value) for value in ("", "   ", "x" * 121, 2026, True, None, "a\nb", "a\tb", {"a": 1})),
        *((fields.KeyName, value) for value in ("D", "minor", "H minor", "G# major", "D minor " * 20, 4)),
        *((fields.MeterText, value) for value in ("4", "0/4", "4/3", "25/4", "4/32", "6:8", "4/4 ", 4, 1.5)),
        *((fields.Duration, value) for value in ("0/4", "1/7", "1/128", "3/1", "1/0", 0, 0.25, True, "x", None)),
        *((fields.SoundingPitch, value) for value in ("D", "H4", "C-1", "C9", "c4", "C#b4", 60)),
        *((fields.NoteText, value) for value in ("", "d", "D44", "Dm", 4)),
        *((fields.Tempo, value) for value in (19, 401, 60.0, "60", True, None)),
        *((fields.Flag, value) for value in ("yes", 1, 0, None)),
    ],
)
def test_a_bad_value_is_refused_with_words(field, value):
    assert refusal(field, value)["expected"]


def test_a_number_that_should_be_text_gets_its_quotes():
    assert refusal(fields.Title, 2026)["hint"] == 'put it in quotes: "2026"'
    assert refusal(fields.Title, True)["hint"] == 'put it in quotes: "true"'


def test_an_id_is_suggested():
    assert refusal(fields.Id, "Étude № 3: Pier")["hint"] == "for example 'etude-no-3-pier'"


@given(st.text(max_size=60))
def test_a_suggested_id_is_an_id(text):
    try:
        fields.ENTRY_ID.parse(text)
    except Unreadable as error:
        if error.hint:
            suggestion = error.hint.split("'")[1]
            assert fields.ENTRY_ID.parse(suggestion) == suggestion


def refused_character(text: str) -> str:
    """What `printable` says it found, empty when the text can be printed."""
    try:
        printable(text)
    except Unreadable as error:
        return error.found
    return ""


@given(st.text())
def test_text_is_refused_at_its_first_character_that_no_font_has(text):
    composed = unicodedata.normalize("NFC", text)
    first = next((character for character in composed if not can_print(character)), None)
    found = refused_character(text)
    assert (found == "") == (first is None)
    if first is not None:
        assert found == "a line break" if first == "\n" else f"U+{ord(first):04X}" in found


@pytest.mark.parametrize(
    "text", ["Étude № 3", "Łódź – Ærø", "“Let go” …", "cos’è?", "E\u0301tude", "naïve façade €5", "½ step"]
)
def test_ordinary_text_can_be_printed(text):
    assert printable(text)


@pytest.mark.parametrize(
    "text",
    [
        "🎸",
        "渡",
        "♭",
        "♯",
        "\u202e",
        "\u200b",
        "\x00",
        "\x7f",
        "\n",
        "\t",
        "\ue000",
        "\ufeff",
        "\u00ad",
        "q\u0301",
        "\u0416",
    ],
)
def test_what_the_fonts_lack_is_refused(text):
    with pytest.raises(Unreadable):
        printable(text)


def printed_fonts() -> list[Path]:
    root = Path(import_module("lilypond").__file__).parent.parent
    return [path for path in root.rglob("texgyre*.otf") if path.name.startswith(("texgyreschola", "texgyreheros-"))]


def test_every_printable_character_is_in_every_printed_font():
    fonts = printed_fonts()
    assert len(fonts) == 8
    allowed = {code for low, high in fields.PRINTABLE_RANGES for code in range(low, high + 1)}
    for font in fonts:
        assert allowed <= set(TTFont(font).getBestCmap()), font.name
    assert {unicodedata.category(chr(code)) for code in allowed}.isdisjoint({"Cc", "Cf", "Co", "Cs", "Cn", "Mn"})


def test_ranges_rise_so_that_they_can_be_searched():
    edges = [edge for pair in fields.PRINTABLE_RANGES for edge in pair]
    assert edges == sorted(edges)
