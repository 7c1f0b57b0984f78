"""Written notes: the grammar, the bars, the start."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.errors import NoSolution
from builder.materials import materials
from builder.theory.fretboard import Place
from builder.theory.harmony import parse_key
from builder.theory.pitch import Pitch
from tests.strategies import GUITAR, pitches, setting

NOTES = materials()["notes"]
C_MAJOR = parse_key("C major")
lengths = st.sampled_from([Fraction(1, n) for n in (1, 2, 4, 8, 16, 12, 20, 28)] + [Fraction(3, 8)])


def read(*voices):
    return NOTES.parameters.model_validate({"voices": list(voices)})


def written(*voices, first, place=None, bar=Fraction(1)):
    return NOTES.note_sets(read(*voices), setting(first, place, bar=bar))


@given(st.lists(st.tuples(st.lists(pitches, max_size=4, unique_by=lambda p: p.midi), lengths), min_size=1, max_size=12))
def test_what_is_written_is_read(items):
    items = [([Pitch.parse("E2")], Fraction(1, 4)), *items]
    text = ", ".join(f"{'+'.join(map(str, notes)) or 'rest'} {length}" for notes, length in items)
    (voice,) = written(text, first="E2").voices
    assert [({sound.pitch for sound in item.sounds}, item.duration) for item in voice] == [
        (set(notes), length) for notes, length in items
    ]
    assert [item.onset for item in voice] == [sum(length for _, length in items[:k]) for k in range(len(items))]
    assert all(list(item.sounds) == sorted(item.sounds, key=lambda sound: sound.pitch.midi) for item in voice)


def test_strings_and_fingers_stay_with_their_notes():
    (voice,) = written(
        "C5+G4 1/8@1+2 4+3, E4 1/8 @ 1 0, G4+C5 1/4@2+1 4, E4 1/2 2", first="G4", place=Place(2, 8)
    ).voices
    found = [[(str(s.pitch), s.string, s.fret, s.finger) for s in item.sounds] for item in voice]
    assert found == [
        [("G4", 2, 8, 3), ("C5", 1, 8, 4)],
        [("E4", 1, 0, 0)],
        [("G4", 2, 8, 4), ("C5", 1, 8, 4)],
        [("E4", None, None, 2)],
    ]


def test_a_barline_must_be_one():
    assert written("E4 1/2, rest 1/2 | E4 1 |", first="E4")
    assert written("| E4 3/4, | E4 3/4", first="E4", bar=Fraction(3, 4))
    with pytest.raises(NoSolution, match=r"voice 2, bar 2: the \| stands after 1/4 of a bar that lasts 1"):
        written("E4 1 | E4 1", "E2 1 | E2 1/4 | E2 3/4", first="E2")


def test_the_music_is_never_transposed():
    with pytest.raises(NoSolution, match="the notes begin on E4"):
        written("E4 1", first="D4")
    with pytest.raises(NoSolution, match="the notes begin on string 2"):
        written("E4 1@2", first="E4", place=Place(1, 0))


def test_the_first_note_is_the_lowest_of_what_sounds_first():
    parameters = read("rest 1/4, C3 3/4", "E4+G3 1/4, E2 3/4")
    assert [str(pitch) for pitch in NOTES.first_notes(parameters, C_MAJOR, GUITAR)] == ["G3"]
    assert NOTES.first_notes(read("X 1"), C_MAJOR, GUITAR) == ()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("E4 1@6", "begin on string 6"),
        ("E4 1/2@1, E2 1/2@1", "E2 on string 1 needs fret -24"),
        ("E4 1/2, E4 1/2@7", "no string 7"),
    ],
)
def test_a_string_that_cannot_play_it_is_explained(text, words):
    with pytest.raises(NoSolution, match=words):
        written(text, first="E4", place=Place(1, 0))


@pytest.mark.parametrize(
    ("item", "expected"),
    [
        ("E4", "a pitch and a length"),
        ("", "a pitch and a length"),
        ("E4 1/4 2 3", "a pitch and a length"),
        ("H4 1/4", "in place of 'H4'"),
        ("e4 1/4", "in place of 'e4'"),
        ("E 1/4", "in place of 'E'"),
        ("E4+ 1/4", "in place of ''"),
        ("E4 1/0", "in place of '1/0'"),
        ("E4 0/4", "a length such as"),
        ("E4 5/1", "at most 4 whole notes"),
        ("E4 1/9", "a length such as"),
        ("E4 1/512", "a length such as"),
        ("E4 quarter", "a length such as"),
        ("E4 1/4@0", "a string in place of '0'"),
        ("E4 1/4@2+1", "one string for each of 1 notes"),
        ("E4+G4 1/4@1+1", "a string of its own"),
        ("E4+G4 1/4@1", "one string for each of 2 notes"),
        ("E4 1/4 5", "a finger from 0 to 4"),
        ("E4+G4+B4 1/4 1+2", "one finger from 0 to 4 for each of 3 notes"),
        ("rest 1/4@2", "a rest without string or finger"),
    ],
)
def test_an_item_that_cannot_be_read_is_named_with_its_number(item, expected):
    ((path, found, wanted, _),) = NOTES.check(read("E4 1/4", f"E4 1/4, {item}, E4 1/4"), C_MAJOR)
    assert path == ("voices", 1)
    assert found == f"{item!r} as item 2 of voice 2"
    assert expected in wanted


def test_every_item_that_cannot_be_read_is_reported():
    assert len(NOTES.check(read("X 1, E4 1, Y 1", "Z 1"), C_MAJOR)) == 3


def test_voices_must_be_equally_long():
    ((path, found, wanted, hint),) = NOTES.check(read("E4 1", "E2 1/2, E2 3/8"), C_MAJOR)
    assert path == ("voices", 1)
    assert (found, wanted) == ("voice 2 that lasts 3 quarter notes and 1/8", "4 quarter notes, as voice 1")
    assert hint == "fill it with rests"


def test_silence_is_a_complaint():
    ((path, found, *_),) = NOTES.check(read("rest 1", "rest 1"), C_MAJOR)
    assert (path, found) == (("voices",), "nothing but rests")


@pytest.mark.parametrize("voices", [[], ["E4 1"] * 5, [5], [""], ["E4 1, " * 2000], "E4 1"], ids=lambda v: str(v)[:20])
def test_wrong_voices_are_refused(voices):
    with pytest.raises(ValueError, match="validation error"):
        NOTES.parameters.model_validate({"voices": voices})
