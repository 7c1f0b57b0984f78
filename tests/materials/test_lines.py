"""Scales and broken chords: lines up, and down again."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.errors import NoSolution
from builder.materials import materials
from builder.theory.harmony import parse_key
from tests.strategies import GUITAR, chords, keys, setting

SCALE, ARPEGGIO = materials()["scale"], materials()["arpeggio"]


def scale(**keys_):
    return SCALE.parameters.model_validate(keys_)


def arpeggio(**keys_):
    return ARPEGGIO.parameters.model_validate(keys_)


def line(parameters, first, key=None):
    (one,) = SCALE.note_sets(parameters, setting(first, key=key))
    assert (one.line, one.order, one.symbol) == (True, (1,), "")
    return " ".join(str(sound.pitch) for sound in one.sounds)


def lines(parameters, first):
    found = ARPEGGIO.note_sets(parameters, setting(first))
    assert all(one.line and one.order == (1,) for one in found)
    return [f"{one.symbol}: " + " ".join(str(sound.pitch) for sound in one.sounds) for one in found]


@given(keys, st.integers(1, 3))
def test_octaves_end_on_the_note_they_began_on(key, octaves):
    (one,) = SCALE.note_sets(scale(octaves=octaves, scale=str(key)), setting(f"{key.tonic}3", key=str(key)))
    assert one.sounds[-1].pitch.midi - one.sounds[0].pitch.midi == 12 * octaves
    assert len(one.sounds) == octaves * len(key.scale.notes) + 1


@given(keys, st.integers(2, 40))
def test_a_turn_is_its_own_mirror_and_plays_the_top_once(key, count):
    up = SCALE.note_sets(scale(notes=count), setting(f"{key.tonic}2", key=str(key)))[0].sounds
    both = SCALE.note_sets(scale(notes=count, turn=True), setting(f"{key.tonic}2", key=str(key)))[0].sounds
    midis = [sound.pitch.midi for sound in both]
    assert len(up) == count
    assert midis == midis[::-1]
    assert midis[:count] == [sound.pitch.midi for sound in up]
    assert len(both) == 2 * count - 1


@pytest.mark.parametrize(
    ("keys_", "first", "key", "notes"),
    [
        ({}, "C3", "C major", "C3 D3 E3 F3 G3 A3 B3 C4"),
        ({"notes": 5}, "D3", "C major", "D3 E3 F3 G3 A3"),
        ({"notes": 3, "turn": True}, "A2", "A minor", "A2 B2 C3 B2 A2"),
        ({"scale": "A minor pentatonic"}, "A2", None, "A2 C3 D3 E3 G3 A3"),
        ({"from": "E2", "to": "C3"}, "E2", "C major", "E2 F2 G2 A2 B2 C3"),
        ({"scale": ["D", "E", "F", "A", "B"]}, "A2", None, "A2 B2 D3 E3 F3 A3"),
        ({"scale": "D chromatic", "notes": 5, "turn": True}, "A3", "D minor", "A3 Bb3 B3 C4 C#4 C4 B3 Bb3 A3"),
        ({"scale": "C chromatic", "notes": 4, "turn": True}, "F3", None, "F3 F#3 G3 G#3 G3 Gb3 F3"),
        ({"notes": 2}, "D#4", "Eb major", "Eb4 F4"),
    ],
)
def test_lines_of_scales(keys_, first, key, notes):
    assert line(scale(**keys_), first, key) == notes


@pytest.mark.parametrize("turn", [False, True])
def test_a_chromatic_note_has_another_name_where_a_contour_goes_the_other_way(turn):
    given = scale(scale="C chromatic", notes=4, turn=turn)
    (notes,) = SCALE.note_sets(given, setting("C3", key="C major"))
    assert [str(sound.back) for sound in notes.sounds[:4]] == ["C3", "Db3", "D3", "Eb3"]
    assert [str(sound.back) for sound in notes.sounds[4:]] == (["D3", "C#3", "C3"] if turn else [])


@pytest.mark.parametrize(
    ("keys_", "key"),
    [({"octaves": 1, "notes": 8}, "notes"), ({"from": "E2"}, "from"), ({"from": "E3", "to": "E2"}, "to")],
)
def test_a_wrong_length_is_reported_at_its_key(keys_, key):
    with pytest.raises(ValueError, match="validation error") as caught:
        scale(**keys_)
    assert caught.value.errors()[0]["ctx"]["at"] == (key,)


def test_a_start_outside_the_scale_is_explained():
    with pytest.raises(NoSolution, match="F# is not in D minor; its notes are D E F G A Bb C"):
        line(scale(), "F#3", "D minor")
    with pytest.raises(NoSolution, match="begins on E2, not on E3"):
        line(scale(**{"from": "E2", "to": "C3"}), "E3", "C major")


def test_a_scale_begins_on_its_tonic_unless_it_says_from_where():
    key = parse_key("G major")
    assert str(SCALE.first_notes(scale(), key, GUITAR)[0]) == "G"
    assert [str(pitch) for pitch in SCALE.first_notes(scale(**{"from": "E2", "to": "C3"}), key, GUITAR)] == ["E2"]


def test_ends_outside_the_scale_are_complaints():
    (complaint,) = SCALE.check(scale(**{"from": "E2", "to": "C#3"}), parse_key("C major"))
    assert complaint == (("to",), "C#3", "a note of C major", "its notes are C D E F G A B")


@pytest.mark.parametrize(
    ("keys_", "key"),
    [
        ({}, "C major"),
        ({"scale": "E dorian"}, "E dorian"),
        ({"scale": "G# major"}, "C major"),
        ({"scale": ["E", "F", "A"]}, "C major"),
    ],
)
def test_a_scale_is_its_own_key_where_that_can_be_printed(keys_, key):
    assert str(SCALE.default_key(scale(**keys_))) == key


@pytest.mark.parametrize(
    "keys_",
    [
        {"octaves": 1, "notes": 8},
        {"from": "E2"},
        {"to": "E2"},
        {"from": "E3", "to": "E2"},
        {"octaves": 5},
        {"notes": 65},
        {"notes": 1},
        {"from": "E2", "to": "E3", "notes": 8},
        {"scale": "auto"},
        {"scale": 5},
        {"turn": 1},
        {"from_": "E2", "to": "E3"},
    ],
    ids=str,
)
def test_wrong_scales_are_refused(keys_):
    with pytest.raises(ValueError, match="validation error"):
        scale(**keys_)


@given(chords, st.integers(2, 20), st.sampled_from(("root", "nearest")), st.data())
def test_broken_chords_hold_chord_tones_only_and_none_is_left_out(chord, count, voicing, data):
    parameters = arpeggio(chords=[chord.symbol], notes=count, voicing=voicing)
    name = data.draw(st.sampled_from(ARPEGGIO.first_notes(parameters, parse_key("C major"), GUITAR)))
    (one,) = ARPEGGIO.note_sets(parameters, setting(f"{name}3"))
    midis = [sound.pitch.midi for sound in one.sounds]
    sounds = {note.pitch_class for note in chord.notes}
    reachable = [midi for midi in range(midis[0], midis[-1] + 1) if midi % 12 in sounds]
    assert midis == reachable
    assert {sound.pitch.name for sound in one.sounds} <= set(chord.notes)


@given(st.lists(chords, min_size=2, max_size=6))
def test_near_voicing_begins_each_line_on_the_tone_closest_to_the_last(found):
    parameters = arpeggio(chords=[chord.symbol for chord in found], voicing="nearest")
    sets = ARPEGGIO.note_sets(parameters, setting(f"{found[0].lowest}4"))
    for chord, last, new in zip(found[1:], sets, sets[1:], strict=False):
        before, after = (one.sounds[0].pitch.midi for one in (last, new))
        closest = min(abs(midi - before) for midi in range(128) if midi % 12 in {n.pitch_class for n in chord.notes})
        assert abs(after - before) == closest


def test_root_voicing_keeps_every_line_near_the_first():
    parameters = arpeggio(chords=["C", "F", "Bb", "Eb", "Ab", "Db"], notes=3)
    assert lines(parameters, "C3") == [
        "C: C3 E3 G3",
        "F: F3 A3 C4",
        "Bb: Bb2 D3 F3",
        "Eb: Eb3 G3 Bb3",
        "Ab: Ab2 C3 Eb3",
        "Db: Db3 F3 Ab3",
    ]


@pytest.mark.parametrize(
    ("keys_", "first", "wanted"),
    [
        ({"chords": ["Am"]}, "A2", ["Am: A2 C3 E3 A3"]),
        ({"chords": ["Am"], "turn": True}, "A2", ["Am: A2 C3 E3 A3 E3 C3 A2"]),
        ({"chords": ["C/E"], "octaves": 2}, "E2", ["C/E: E2 G2 C3 E3 G3 C4 E4"]),
        ({"chords": ["C", "F"], "voicing": "nearest"}, "C3", ["C: C3 E3 G3 C4", "F: C3 F3 A3 C4"]),
        ({"chords": ["C", "G"], "voicing": "nearest"}, "E3", ["C: E3 G3 C4 E4", "G: D3 G3 B3 D4"]),
        ({"chords": ["C#7"], "notes": 4}, "Db3", ["C#7: C#3 E#3 G#3 B3"]),
    ],
)
def test_broken_chords(keys_, first, wanted):
    assert lines(arpeggio(**keys_), first) == wanted


def test_a_broken_chord_begins_where_it_may():
    with pytest.raises(NoSolution, match="C can't begin on D; these would do: C E G"):
        lines(arpeggio(chords=["C"], voicing="nearest"), "D3")
    with pytest.raises(NoSolution, match="C can't begin on E; these would do: C"):
        lines(arpeggio(chords=["C"]), "E3")


def test_a_scale_beside_a_broken_chord_plays_no_part():
    given = {"chord": "D", "scale": "D lydian"}
    assert lines(arpeggio(chords=[given]), "D3") == lines(arpeggio(chords=["D"]), "D3")


@pytest.mark.parametrize(
    "keys_", [{"chords": ["C"], "octaves": 1, "notes": 4}, {"chords": ["C"], "voicing": "drop"}, {}]
)
def test_wrong_broken_chords_are_refused(keys_):
    with pytest.raises(ValueError, match="validation error"):
        arpeggio(**keys_)
