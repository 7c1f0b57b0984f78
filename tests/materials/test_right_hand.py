"""Right-hand patterns: which string each finger plays, what rings and stays, what is refused."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, product

import pytest
from hypothesis import given
from hypothesis import settings as limits
from hypothesis import strategies as st

from builder.errors import NoSolution
from builder.materials import materials
from builder.theory.fretboard import Instrument, Place
from builder.theory.harmony import parse_chord, parse_key
from builder.theory.pitch import Pitch
from tests.strategies import GUITAR, setting

KIND = materials()["right-hand"]
UKULELE = Instrument("ukulele", tuple(map(Pitch.parse, ("A4", "E4", "C4", "G4"))), 12, 345)
OPEN_C = Place(5, 3)


def read(**keys):
    return KIND.parameters.model_validate({name.replace("_", "-"): value for name, value in keys.items()})


def sets(place=OPEN_C, on=GUITAR, neck=None, **keys):
    usual = setting("C3", place, "C major")
    player = replace(usual.player, instrument=on)
    return KIND.note_sets(read(**keys), replace(usual, player=player, neck=neck or usual.neck))


def played(one):
    """Letter and string of every sound, those together joined by +."""
    return " ".join("+".join(f"{sound.pluck}{sound.string}" for sound in moment) for moment in one.moments)


def test_the_thumb_takes_the_bass_and_the_fingers_the_three_highest_strings():
    c, a_minor, d_minor, g7 = sets(chords=["C", "Am", "Dm", "G7"], pattern=["p", "i", "m", "a", "m", "i"])
    assert played(c) == played(a_minor) == "p5 i3 m2 a1 m2 i3"
    assert played(d_minor) == "p4 i3 m2 a1 m2 i3"
    assert played(g7) == "p6 i3 m2 a1 m2 i3"
    assert [str(sound.pitch) for sound in c.sounds] == ["C3", "G3", "C4", "E4", "C4", "G3"]
    assert c.diagram.frets == (0, 1, 0, 2, 3, None)
    assert c.diagram.fingers == (0, 1, 0, 2, 3, None)


def test_the_thumb_is_the_second_voice_and_everything_rings():
    for one in sets(chords=["C", "F"], pattern=["pa", "i", ["p", "m"], "i"]):
        assert all(sound.voice == (2 if sound.pluck == "p" else 1) for sound in one.sounds)
        assert all(sound.rings for sound in one.sounds)


def test_fingers_together_stand_lowest_first():
    (one,) = sets(chords=["C"], pattern=[["a", "p"], "i", "m", "pima", "m"], times=2)
    assert played(one) == " ".join(["p5+a1 i3 m2 p5+i3+m2+a1 m2"] * 2)


def test_a_shape_with_few_strings_gives_them_to_the_fingers_in_use():
    (one,) = sets(chords=[{"chord": "C", "frets": "x3201x"}], pattern=["p", "i", "m"])
    assert played(one) == "p5 i4 m3"
    (three,) = sets(chords=[{"chord": "C", "frets": "x320xx"}], pattern=["p", "i", "m"])
    assert played(three) == "p5 i4 m3"
    with pytest.raises(NoSolution, match="i m a need a string each above the bass, C has 2"):
        sets(chords=[{"chord": "C", "frets": "x320xx"}], pattern=["p", "i", "m", "a"])


def test_homes_can_be_written():
    (one,) = sets(chords=["C"], pattern=["p", "i", "m", "a"], fingers_on={"i": 4, "m": 3, "a": 2})
    assert played(one) == "p5 i4 m3 a2"
    with pytest.raises(NoSolution, match="i plays string 6, which C leaves silent"):
        sets(chords=[{"chord": "C", "frets": "x32010"}], pattern=["p", "i"], fingers_on={"i": 6})
    with pytest.raises(NoSolution, match="string 5 is both the thumb's and a finger's in C"):
        sets(chords=[{"chord": "C", "frets": "x32010"}], pattern=["p", "i"], fingers_on={"i": 5})


def test_tremolo_puts_all_fingers_on_one_string():
    (one,) = sets(chords=["C"], pattern=["p", "a", "m", "i"], tremolo=1)
    assert played(one) == "p5 a1 m1 i1"
    assert {str(sound.pitch) for sound in one.sounds[1:]} == {"E4"}


def test_an_alternating_bass_goes_to_the_fifth_or_the_next_string():
    c, g, d = sets(chords=["C", "G", "D"], pattern=["p", "i", "p", "m"], times=2, alternate_bass=True)
    assert played(c) == "p5 i3 p4 m2 p5 i3 p4 m2"
    assert played(g) == "p6 i3 p4 m2 p6 i3 p4 m2"  # D, the fifth, before B on string 5
    assert played(d) == "p4 i3 p4 m2 p4 i3 p4 m2"  # no other string below the fingers


def test_fingers_that_stay_are_marked_once():
    c, a_minor = sets(chords=["C", "Am"], pattern=["p", "i", "m", "a", "m", "i"], times=2)
    assert not any(sound.kept for sound in c.sounds)
    assert [(k, sound.string) for k, sound in enumerate(a_minor.sounds) if sound.kept] == [(2, 2)]


def test_the_ukulele_thumb_takes_the_fourth_string():
    (one,) = sets(Place(3, 0), UKULELE, chords=["C"], pattern=["p", "i", "m", "a"], voicing="any")
    assert played(one) == "p4 i3 m2 a1"


def test_the_first_chord_lies_at_the_start():
    (one,) = sets(Place(6, 8), chords=["C"], pattern=["p", "i", "m", "a"])
    assert (one.sounds[0].string, one.sounds[0].fret) == (6, 8)
    (first, third) = sets(Place(6, 0), chords=["C/E", {"chord": "Am7", "voicing": "third"}], pattern=["p", "i"])
    assert [str(one.sounds[0].pitch.name) for one in (first, third)] == ["E", "G"]
    written = {"chord": "C", "frets": ["x", 3, 2, 0, 1, 0]}
    with pytest.raises(NoSolution, match="C as written begins on string 5, fret 3"):
        sets(Place(6, 8), chords=[written], pattern=["p", "i"])


def test_the_neck_says_where_shapes_lie():
    usual = setting("C3").neck
    (high,) = sets(Place(6, 8), chords=["C"], pattern=["p", "i"], neck=replace(usual, open_strings=False))
    assert all(sound.fret for sound in high.sounds)
    _, a_minor = sets(OPEN_C, chords=["C", "Am"], pattern=["pima"], neck=replace(usual, strings=(5, 4, 3, 2)))
    assert {sound.string for sound in a_minor.sounds} <= {5, 4, 3, 2}


letters = st.lists(st.sampled_from(("p", "i", "m", "a", "pa", "im")), min_size=1, max_size=6)


@given(letters)
def test_no_finger_plays_twice_running_round_the_loop_too(pattern):
    complaints = KIND.check(read(chords=["C"], pattern=pattern), parse_key("C major"))
    twice = [k for k, (one, other) in enumerate(pairwise([*pattern, pattern[0]])) if set(one) & set(other)]
    assert [complaint[0] for complaint in complaints] == [("pattern", k) for k in twice]


def test_a_repeat_says_where_it_is():
    seam, twice = (
        KIND.check(read(chords=["C"], pattern=pattern), parse_key("C major"))[0]
        for pattern in (["p", "i", "m", "p"], ["p", "i", "im", "a"])
    )
    assert seam[:2] == (("pattern", 3), "p at the end and again at the beginning")
    assert twice[:2] == (("pattern", 1), "i twice running")


def test_two_fingers_at_once_do_not_share_the_tremolo_string():
    complaints = KIND.check(read(chords=["C"], pattern=["p", "im", "a"], tremolo=1), parse_key("C major"))
    assert complaints[0][:2] == (("pattern", 1), "im")


@given(
    st.lists(st.sampled_from(("C", "Am", "F", "G7", "D", "Em7", "Bb", "F#m", "E7sus4")), min_size=1, max_size=4),
    st.sampled_from((["p", "i", "m", "a"], ["pa", "i", "m"], ["p", "m", "i", "ma"])),
    st.booleans(),
)
@limits(max_examples=30, deadline=None)
def test_every_sound_is_a_chord_tone_where_the_hand_holds_it(chords, pattern, alternate):
    root = parse_chord(chords[0]).root
    places = [Place(string, (root.pitch_class - GUITAR.open_midi(string)) % 12) for string in (6, 5, 4)]
    heard = 0
    for place in places:
        try:
            music = sets(place, chords=chords, pattern=pattern, alternate_bass=alternate)
        except NoSolution:
            continue  # a chord high on string 4 leaves too few strings for some patterns
        heard += 1
        for symbol, one in zip(chords, music, strict=True):
            chord = parse_chord(symbol)
            assert len(one.moments) == len(pattern)
            for sound, other in product(one.sounds, one.sounds):
                assert sound.pitch.name in chord.notes
                assert one.diagram.frets[sound.string - 1] == sound.fret
                assert one.diagram.fingers[sound.string - 1] == sound.finger
                assert GUITAR.sound(Place(sound.string, sound.fret)) == sound.pitch.midi
                if sound.pluck != "p" and sound.pluck == other.pluck:
                    assert sound.string == other.string
    assert heard


@pytest.mark.parametrize(
    "keys",
    [
        {"pattern": ["p", "x"]},
        {"pattern": ["pp"]},
        {"pattern": []},
        {"pattern": "pima"},
        {"pattern": ["p", 3]},
        {},
        {"pattern": ["p", "i"], "tremolo": 1, "fingers_on": {"i": 2}},
        {"pattern": ["p", "i"], "fingers_on": {"i": 2, "m": 2}},
        {"pattern": ["p", "i"], "fingers_on": {"e": 2}},
        {"pattern": ["p", "i"], "fingers_on": {"i": 0}},
        {"pattern": ["p", "i"], "fingers_on": {}},
        {"pattern": ["p", "i"], "chords": [{"chord": "C", "frets": "x32o10"}]},
        {"pattern": ["p", "i"], "chords": [{"chord": "C", "frets": "xxxxxx"}]},
        {"pattern": ["p", "i"], "chords": [{"chord": "C", "frets": "x32010", "voicing": "root"}]},
        {"pattern": ["p", "i"], "chords": [{"chord": "C", "voicing": "fourth"}]},
        {"pattern": ["p", "i"], "chords": [{"chord": "C", "fret": "x32010"}]},
        {"pattern": ["p", "i"], "chords": ["Cmm"]},
    ],
    ids=str,
)
def test_wrong_parameters_are_refused(keys):
    with pytest.raises(ValueError, match="validation error"):
        read(**{"chords": ["C"], **keys})


def test_a_written_shape_that_is_wrong_blames_the_chords():
    for frets in ("x32040", "x3201", "x32018"):
        with pytest.raises(NoSolution) as caught:
            sets(chords=[{"chord": "C", "frets": frets}], pattern=["p", "i"])
        assert caught.value.key == ("material", "chords")


def test_the_first_note_is_what_lies_lowest():
    key = parse_key("C major")

    def first(**keys):
        return [str(note) for note in KIND.first_notes(read(pattern=["p", "i"], **keys), key, GUITAR)]

    assert first(chords=["C"]) == ["C"]
    assert first(chords=["C/G"]) == ["G"]
    assert first(chords=["C"], voicing="first") == ["E"]
    assert first(chords=["C"], voicing="any") == ["C", "E", "G"]
    assert first(chords=[{"chord": "C", "voicing": "second"}]) == ["G"]
    assert first(chords=[{"chord": "C", "frets": "x32010"}]) == ["C3"]
