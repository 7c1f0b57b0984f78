"""Chord changes: the shapes of a loop, how long each lasts, strums and misses."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import settings as limits
from hypothesis import strategies as st

from builder.errors import NoSolution
from builder.materials import materials
from builder.theory.fingering import Stop, finger_passage
from builder.theory.fretboard import Place
from builder.theory.harmony import parse_chord, parse_key
from builder.theory.practice import StrokeRule
from tests.strategies import GUITAR, setting

KIND = materials()["chord-changes"]
OPEN_C = Place(5, 3)


def read(**keys):
    return KIND.parameters.model_validate({name.replace("_", "-"): value for name, value in keys.items()})


def sets(place=OPEN_C, pattern=(), per_beat=2, neck=None, **keys):
    usual = setting("C3", place, "C major")
    strokes = StrokeRule("strum", pattern=tuple(pattern)) if pattern else StrokeRule("down")
    rhythm = replace(usual.rhythm, notes_per_beat=(per_beat,))
    return KIND.note_sets(read(**keys), replace(usual, strokes=strokes, rhythm=rhythm, neck=neck or usual.neck))


def frets(one):
    return "".join("x" if fret is None else str(fret) for fret in reversed(one.diagram.frets))


def test_a_loop_takes_the_shapes_that_lie_near_one_another():
    music = sets(chords=["C", "Am", "F", "G"])
    assert [frets(one) for one in music] == ["x32010", "x02210", "133211", "320003"]
    assert [one.symbol for one in music] == ["C", "Am", "F", "G"]


def test_up_the_neck_the_loop_stays_there():
    music = sets(Place(6, 8), chords=["C", "Am", "F", "G"])
    stopped = [fret for one in music for fret in one.diagram.frets if fret]
    assert music[0].diagram.frets == (8, 8, 9, 10, 10, 8)
    assert min(stopped) >= 5
    assert all(0 not in one.diagram.frets for one in music)


def test_common_fingers_are_marked_at_the_change_only():
    _, a_minor = sets(chords=["C", "Am"], pattern=["down", "up"], beats=2)
    first, *later = a_minor.moments
    assert [sound.string for sound in first if sound.kept] == [4, 2]
    assert not any(sound.kept for moment in later for sound in moment)
    assert later


def test_without_a_strum_a_chord_is_struck_once_for_its_beats():
    music = sets(chords=["C", "G", "Am"], beats=[4, 2])
    assert [one.durations for one in music] == [(Fraction(1),), (Fraction(1, 2),), (Fraction(1),)]
    assert all(len(one.moments) == 1 for one in music)
    assert all(sound.pluck is None for one in music for sound in one.sounds)


def test_a_chord_lasts_a_bar_if_nothing_else_is_said():
    usual = setting("C3", OPEN_C, "C major", bar=Fraction(3, 4))
    (one,) = KIND.note_sets(read(chords=["C"]), usual)
    assert one.durations == (Fraction(3, 4),)


def test_a_strum_rings_on_where_the_hand_misses():
    c, g = sets(chords=["C", "G"], beats=4, pattern=["down", "miss", "down", "up", "miss", "up", "down", "up"])
    for one in (c, g):
        assert [moment[0].pluck for moment in one.moments] == ["down", "down", "up", "up", "down", "up"]
        assert one.durations == tuple(Fraction(n, 8) for n in (2, 1, 2, 1, 1, 1))


def test_the_pattern_begins_anew_with_each_chord_and_is_cut_at_its_end():
    (c, g) = sets(chords=["C", "G"], beats=[3, 1], pattern=["down", "down", "up", "miss"])
    assert [moment[0].pluck for moment in c.moments] == ["down", "down", "up", "down", "down"]
    assert c.durations == tuple(Fraction(n, 8) for n in (1, 1, 2, 1, 1))
    assert [moment[0].pluck for moment in g.moments] == ["down", "down"]


pattern_entries = st.lists(st.sampled_from(("down", "up", "miss")), max_size=7)


@given(pattern_entries, st.integers(1, 8), st.sampled_from((1, 2, 3, 4)))
@limits(max_examples=40, deadline=None)
def test_strums_fill_the_beats_of_the_chord(entries, beats, per_beat):
    (one,) = sets(chords=["C"], beats=beats, pattern=["down", *entries], per_beat=per_beat)
    assert sum(one.durations) == Fraction(beats, 4)
    assert len(one.moments) == len(one.durations)
    struck = [entry for k in range(beats * per_beat) if (entry := ["down", *entries][k % (1 + len(entries))]) != "miss"]
    assert [moment[0].pluck for moment in one.moments] == struck


def test_what_cannot_be_strummed_names_its_key():
    with pytest.raises(NoSolution, match="misses where the chord changes") as caught:
        sets(chords=["C"], pattern=["miss", "down"])
    assert caught.value.key == ("strokes", "pattern")
    with pytest.raises(NoSolution, match="1/2 beats are no whole number of strums") as caught:
        sets(chords=["C"], beats=0.5, pattern=["down"], per_beat=1)
    assert caught.value.key == ("material", "beats")


@pytest.mark.parametrize(("voicing", "bass"), [("root", "C"), ("first", "E"), ("second", "G"), ("any", "C")])
def test_the_voicing_says_what_lies_lowest(voicing, bass):
    place = {"C": OPEN_C, "E": Place(6, 0), "G": Place(6, 3)}[bass]
    (one,) = sets(place, chords=["C"], voicing=voicing)
    assert str(one.sounds[0].pitch.name) == bass


def test_strings_and_open_strings_are_the_necks():
    neck = replace(setting("C3").neck, strings=(4, 3, 2, 1), open_strings=False)
    music = sets(Place(4, 10), chords=["C", "F"], neck=neck)
    for one in music:
        assert one.diagram.frets[4:] == (None, None)
        assert 0 not in one.diagram.frets


@given(
    st.lists(st.sampled_from(("C", "Am", "F", "G7", "D", "Em7", "Bb", "F#m", "E7", "Cmaj7")), min_size=1, max_size=5)
)
@limits(max_examples=30, deadline=None)
def test_every_chord_sounds_whole_from_its_root_up(chords):
    root = parse_chord(chords[0]).root
    place = Place(6, (root.pitch_class - GUITAR.open_midi(6)) % 12)
    music = sets(place, chords=chords)
    assert (music[0].sounds[0].string, music[0].sounds[0].fret) == (place.string, place.fret)
    for symbol, one in zip(chords, music, strict=True):
        chord = parse_chord(symbol)
        assert one.sounds[0].pitch.name == chord.root
        assert {sound.pitch.name for sound in one.sounds} <= set(chord.notes)
        midis = [sound.pitch.midi for sound in one.sounds]
        assert midis == sorted(midis)
        assert len(one.sounds) == sum(fret is not None for fret in one.diagram.frets)
        assert all(sound.rings and sound.voice == 1 for sound in one.sounds)


@pytest.mark.parametrize(
    "keys",
    [
        {"beats": 0},
        {"beats": []},
        {"beats": [4, "x"]},
        {"beats": 17},
        {"beats": [4] * 33},
        {"voicing": "low"},
        {"chords": []},
    ],
    ids=str,
)
def test_wrong_parameters_are_refused(keys):
    with pytest.raises(ValueError, match="validation error"):
        read(**{"chords": ["C"], **keys})


def test_the_key_is_the_first_chords():
    assert KIND.default_key(read(chords=["Am", "C"])) == parse_key("A minor")


def test_fewer_notes_can_be_asked_for():
    music = sets(chords=["C", "Am7"], notes=3)
    assert [len(one.sounds) for one in music] == [3, 3]
    with pytest.raises(NoSolution, match="C7 needs C E Bb, and only 2 notes can sound"):
        sets(chords=["C7"], notes=2)


def test_no_shape_is_chosen_that_the_fingering_of_passages_refuses():
    """Three strings under the ring finger are a shape of the neck's own, but not yet one of the passages'."""
    written = {"chord": "F", "frets": ["x", 8, 10, 10, 10, "x"]}
    (one,) = sets(Place(5, 8), chords=[written])
    player = setting("C3").player
    stops = [
        Stop(k, Fraction(0), Fraction(1), sound.string, sound.fret, sound.finger, True)
        for k, sound in enumerate(one.sounds)
    ]
    hand = finger_passage(stops, player.instrument, player.hand, player.weights, False)
    assert hand.fingers == tuple(sound.finger for sound in one.sounds)
