"""Spelled pitches: what they sound, how they move."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.theory.pitch import NoteName, Pitch, lowest_at_or_above
from tests.strategies import note_names, pitches


@given(pitches)
def test_reading_what_was_printed_gives_the_same_pitch(pitch):
    assert Pitch.parse(str(pitch)) == pitch


@given(pitches, st.integers(-14, 14), st.integers(-3, 3))
def test_transposing_there_and_back_is_the_identity(pitch, steps, extra):
    semitones = round(steps * 12 / 7) + extra
    assert pitch.up(steps, semitones).up(-steps, -semitones) == pitch


@given(pitches, st.integers(0, 12), st.integers(0, 12))
def test_a_name_moves_like_a_pitch(pitch, steps, semitones):
    moved = pitch.up(steps, semitones)
    if abs(moved.name.alter) <= 3:
        assert pitch.name.up(steps, semitones) == moved.name
    assert moved.midi == pitch.midi + semitones


@given(note_names, st.integers(20, 100))
def test_the_lowest_pitch_at_or_above_is_within_an_octave(name, midi):
    found = lowest_at_or_above(name, midi)
    assert found.name == name
    assert midi <= found.midi < midi + 12


@pytest.mark.parametrize("text", ["H4", "e4", "E", "E#b4", "E####4", "", "4", "E 4", "E10"])
def test_what_is_no_pitch_is_refused(text):
    with pytest.raises(ValueError, match="not a pitch"):
        Pitch.parse(text)


@pytest.mark.parametrize("text", ["H", "e", "E4", "F#b", "", "Bbbbb"])
def test_what_is_no_note_name_is_refused(text):
    with pytest.raises(ValueError, match="not a note name"):
        NoteName.parse(text)


# Note names and MIDI numbers of open strings: six instruments' tunings in common use.
TUNINGS = {
    "guitar": ("E4 64", "B3 59", "G3 55", "D3 50", "A2 45", "E2 40"),
    "seven strings": ("B1 35",),
    "drop D": ("D2 38",),
    "bass, five strings": ("G2 43", "D2 38", "A1 33", "E1 28", "B0 23"),
    "ukulele": ("A4 69", "E4 64", "C4 60", "G4 67"),
}


@pytest.mark.parametrize("pair", [pair for strings in TUNINGS.values() for pair in strings])
def test_open_strings_have_their_midi_number(pair):
    name, number = pair.split()
    assert Pitch.parse(name).midi == int(number)


# ISO 16:1975: A4 = 440 Hz; the rest by equal temperament.
HERTZ = {
    "E2": 82.41, "A2": 110.00, "D3": 146.83, "G3": 196.00, "B3": 246.94, "E4": 329.63,
    "B1": 61.74, "B0": 30.87, "E1": 41.20, "C4": 261.63, "A4": 440.00,
}  # fmt: skip


@pytest.mark.parametrize(("name", "hertz"), HERTZ.items())
def test_midi_numbers_agree_with_concert_pitch(name, hertz):
    assert 440 * 2 ** ((Pitch.parse(name).midi - 69) / 12) == pytest.approx(hertz, abs=0.006)


def test_music21_hears_the_same_sounds():
    from music21 import pitch as second

    for letter in "CDEFGAB":
        for sign in ("bb", "b", "", "#", "##"):
            for octave in (2, 4):
                ours = Pitch.parse(f"{letter}{sign}{octave}")
                theirs = second.Pitch(f"{letter}{sign.replace('b', '-')}{octave}")
                assert ours.midi == theirs.ps
