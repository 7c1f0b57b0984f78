"""Where pitches lie: places, capo, millimetres."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.theory.fretboard import Instrument, Place, fret_positions, places_of
from builder.theory.pitch import Pitch
from tests.strategies import GUITAR, instruments, plain_names

GUITAR_24 = replace(GUITAR, frets=24)


def tuned(*names: str, frets: int = 24) -> Instrument:
    return Instrument("test", tuple(map(Pitch.parse, names)), frets, 648)


@given(instruments(), st.integers(20, 90))
def test_every_place_sounds_its_pitch_and_none_is_left_out(instrument, midi):
    everywhere = {
        Place(string, fret)
        for string in range(1, instrument.strings + 1)
        for fret in range(instrument.last_fret + 1)
        if instrument.sound(Place(string, fret)) == midi
    }
    found = fret_positions(midi, instrument)
    assert set(found) == everywhere
    assert [place.string for place in found] == sorted(place.string for place in everywhere)


@given(instruments(), plain_names, st.data())
def test_places_of_a_name_are_all_its_octaves_on_the_string(instrument, name, data):
    string = data.draw(st.integers(1, instrument.strings))
    sounding = [
        fret
        for fret in range(instrument.last_fret + 1)
        if instrument.sound(Place(string, fret)) % 12 == name.pitch_class
    ]
    assert [place.fret for place in places_of(name, string, instrument)] == sounding


@given(instruments(), st.integers(0, 8), st.integers(0, 5))
def test_the_same_reach_an_octave_up_is_half_as_wide(instrument, fret, width):
    exact = instrument.from_nut_mm(fret + width) - instrument.from_nut_mm(fret)
    assert instrument.reach_mm(fret, fret + width) == pytest.approx(exact, abs=0.006)
    assert instrument.reach_mm(fret + 12, fret + 12 + width) == pytest.approx(exact / 2, abs=0.006)


PLACES = {
    "E2": "6/0", "A2": "5/0 6/5", "D3": "4/0 5/5 6/10", "F#3": "4/4 5/9 6/14", "G3": "3/0 4/5 5/10 6/15",
    "Bb3": "3/3 4/8 5/13 6/18", "C4": "2/1 3/5 4/10 5/15 6/20", "E4": "1/0 2/5 3/9 4/14 5/19 6/24",
    "G4": "1/3 2/8 3/12 4/17 5/22", "A4": "1/5 2/10 3/14 4/19 5/24", "B4": "1/7 2/12 3/16 4/21",
    "C5": "1/8 2/13 3/17 4/22", "A5": "1/17 2/22", "E6": "1/24", "A3": "3/2 4/7 5/12 6/17",
}  # fmt: skip


def listed(midi: int, instrument: Instrument) -> str:
    return " ".join(f"{place.string}/{place.fret}" for place in fret_positions(midi, instrument))


@pytest.mark.parametrize(("name", "places"), PLACES.items())
def test_places_on_a_guitar_of_24_frets(name, places):
    assert listed(Pitch.parse(name).midi, GUITAR_24) == places


def test_how_many_places_the_notes_of_a_guitar_have():
    counts = [len(fret_positions(midi, GUITAR_24)) for midi in range(40, 89)]
    assert [counts.count(number) for number in range(1, 7)] == [10, 9, 10, 9, 10, 1]


@pytest.mark.parametrize(
    ("strings", "name", "places"),
    [
        ("G2 D2 A1 E1", "C3", "1/5 2/10 3/15 4/20"),
        ("G2 D2 A1 E1 B0", "C2", "3/3 4/8 5/13"),
        ("A4 E4 C4 G4", "C5", "1/3 2/8 3/12 4/5"),
        ("A4 E4 C4 G4", "G4", "2/3 3/7 4/0"),
        ("E4 B3 G3 D3 A2 D2", "G2", "6/5"),
        ("E4 B3 G3 D3 A2 E2 B1", "E3", "4/2 5/7 6/12 7/17"),
    ],
)
def test_places_in_other_tunings(strings, name, places):
    instrument = tuned(*strings.split())
    assert listed(Pitch.parse(name).midi, instrument) == places


@pytest.mark.parametrize(
    ("capo", "name", "places"), [(2, "A4", "1/3 2/8 3/12 4/17 5/22"), (5, "C5", "1/3 2/8 3/12 4/17")]
)
def test_frets_count_from_the_capo(capo, name, places):
    assert listed(Pitch.parse(name).midi, replace(GUITAR_24, capo=capo)) == places


# Distance from the nut in mm by L·(1 − 2^(−n/12)); 628.65/2 lies halfway between two roundings, hence the tolerance.
FRETS_MM = {
    648.00: {1: 36.37, 5: 162.55, 7: 215.51, 12: 324.00, 17: 405.27, 24: 486.00},
    628.65: {1: 35.28, 5: 157.69, 7: 209.08, 12: 314.32, 17: 393.17, 24: 471.49},
    863.60: {1: 48.47, 5: 216.63, 7: 287.22, 12: 431.80, 17: 540.12, 24: 647.70},
}


@pytest.mark.parametrize(("length", "table"), FRETS_MM.items())
def test_frets_lie_where_equal_temperament_puts_them(length, table):
    instrument = replace(GUITAR_24, scale_length_mm=length)
    for fret, distance in table.items():
        assert instrument.from_nut_mm(fret) == pytest.approx(distance, abs=0.006)


def test_the_old_rule_of_eighteen_is_not_used():
    flat_octave = 648 * (1 - (17 / 18) ** 12)
    assert GUITAR.from_nut_mm(12) - flat_octave == pytest.approx(2.36, abs=0.01)


REACHES = {648.0: ((97.31, 126.18), (77.24, 100.15)), 863.6: ((129.69, 168.16), (102.94, 133.47))}


@pytest.mark.parametrize(("length", "rows"), REACHES.items())
def test_reaches_of_four_and_five_frets(length, rows):
    instrument = replace(GUITAR, scale_length_mm=length)
    for first, (four, five) in zip((1, 5), rows, strict=True):
        assert (instrument.reach_mm(first, first + 3), instrument.reach_mm(first, first + 4)) == (four, five)


def test_music21_finds_the_same_sound_at_every_place():
    from music21 import tablature

    for string in range(1, 7):
        for fret in range(0, 25, 4):
            board = tablature.GuitarFretBoard(fretNotes=[tablature.FretNote(string=string, fret=fret)])
            (theirs,) = [pitch for pitch in board.getPitches() if pitch is not None]
            assert theirs.midi == GUITAR_24.sound(Place(string, fret))
