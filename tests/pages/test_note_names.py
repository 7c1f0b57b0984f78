"""What notes, keys and chords are called in each custom."""

from __future__ import annotations

import pytest

from builder.pages.note_names import chord_symbol, spoken, tonality, written
from builder.pages.phrases import Phrases
from builder.spec.library import load_words
from builder.theory.harmony import mode_names, parse_key
from builder.theory.pitch import NoteName


def words(language: str = "en", naming: str = "") -> Phrases:
    return Phrases.from_data(load_words(language), naming)


@pytest.mark.parametrize(
    ("name", "german"),
    [("B", "H"), ("Bb", "B"), ("Eb", "Es"), ("Ab", "As"), ("F#", "Fis"), ("B#", "His"), ("F##", "Fisis"),
     ("Bbb", "Heses"), ("Abb", "Ases"), ("Ebb", "Eses"), ("Gb", "Ges"), ("C", "C")],
)  # fmt: skip
def test_german_names_are_words(name, german):
    assert spoken(NoteName.parse(name), words(naming="german")) == german


def test_letters_are_the_custom_of_english():
    assert [spoken(NoteName.parse(name), words()) for name in ("B", "Bb", "C##")] == ["B", "B flat", "C double sharp"]


@pytest.mark.parametrize(
    ("naming", "name", "short"),
    [("letters", "Bb", "B♭"), ("german", "Bb", "B♭"), ("german", "B", "H"), ("german", "Bbb", "B𝄫"),
     ("solfege", "F#", "fa♯"), ("solfege", "Ebb", "mi𝄫")],
)  # fmt: skip
def test_on_a_neck_signs_stand_for_words(naming, name, short):
    assert written(NoteName.parse(name), words(naming=naming)) == short


@pytest.mark.parametrize(
    ("symbol", "german"),
    [("B7", "H7"), ("Bm7b5", "Hm7b5"), ("Bbmaj7", "Bbmaj7"), ("G/B", "G/H"), ("G7/Bb", "G7/Bb"), ("B", "H")],
)
def test_only_german_chord_symbols_have_an_h(symbol, german):
    assert chord_symbol(symbol, words(naming="german")) == german
    assert chord_symbol(symbol, words(naming="letters")) == chord_symbol(symbol, words(naming="solfege")) == symbol


def test_no_german_name_on_a_neck_means_two_notes():
    every = [NoteName(letter, alter) for letter in range(7) for alter in range(-2, 3)]
    assert len({written(name, words(naming="german")) for name in every}) == len(every)
    assert len({spoken(name, words(naming="german")) for name in every}) == len(every)


@pytest.mark.parametrize("mode", mode_names())
def test_english_keys_read_as_specs_write_them(mode):
    assert tonality(parse_key(f"D {mode}"), words()) == f"D {mode}"
