"""Scales, keys, chords: their spelling, and which scale goes with which chord."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.theory.chord_scales import chord_scale, chord_scales, fits_key, key_of_chord
from builder.theory.harmony import Key, chord_qualities, mode_names, parse_chord, parse_key, parse_scale, printable
from builder.theory.pitch import NoteName, Pitch
from builder.theory.spelling import spell, spell_between
from tests.strategies import chords, keys, plain_names, seven_note_keys


@given(seven_note_keys)
def test_seven_note_scales_use_each_letter_once(key):
    assert sorted(note.letter for note in key.scale.notes) == list(range(7))


@given(keys, st.integers(1, 40), st.integers(1, 4))
def test_walking_up_a_scale_rises_through_its_notes_in_turn(key, count, octave):
    notes = key.scale.notes
    walk = key.scale.pitches_from(Pitch(key.tonic, octave), count)
    assert [pitch.name for pitch in walk] == [notes[k % len(notes)] for k in range(count)]
    assert all(0 < upper.midi - lower.midi < 12 for lower, upper in pairwise(walk))


@given(keys, st.integers(40, 60), st.integers(0, 30))
def test_the_pitches_between_two_sounds_are_all_of_the_scale(key, low, width):
    found = [pitch.midi for pitch in key.scale.pitches_between(low, low + width)]
    sounds = {note.pitch_class for note in key.scale.notes}
    assert found == [midi for midi in range(low, low + width + 1) if midi % 12 in sounds]


@given(chords, keys, st.sampled_from(("key", "chord", "auto")))
def test_a_chords_scale_holds_its_tones_as_the_chord_spells_them(chord, key, how):
    scale = chord_scale(chord, key, how)
    assert set(chord.notes) <= set(scale.notes)
    sounds = [(note.pitch_class - scale.tonic.pitch_class) % 12 for note in scale.notes]
    assert sounds == sorted(set(sounds))


@given(keys)
def test_reading_what_was_printed_gives_the_same_key(key):
    assert parse_key(str(key)) == key
    assert abs(key.signature) <= 7


@given(plain_names, st.sampled_from(mode_names()))
def test_a_key_that_cannot_be_printed_names_one_that_can(tonic, mode):
    key = printable(Key(tonic, mode))
    assert key.tonic.pitch_class == tonic.pitch_class
    assert parse_key(str(key)) == key


@given(st.integers(30, 90), seven_note_keys, st.booleans())
def test_every_sound_is_spelled_as_the_key_has_it_or_with_one_sign_for_its_way(midi, key, rising):
    pitch = spell(midi, key, rising)
    assert pitch.midi == midi
    in_key = key.scale.spelled(pitch)
    if in_key is not None:
        assert pitch == in_key
    elif not parse_scale(f"{key.parent_major} major").contains(pitch.name):
        assert pitch.name.alter in (0, 1 if rising else -1)


MODES = {
    "ionian": "2212221", "dorian": "2122212", "phrygian": "1222122", "lydian": "2221221", "mixolydian": "2212212",
    "aeolian": "2122122", "locrian": "1221222", "harmonic minor": "2122131", "melodic minor": "2122221",
    "major pentatonic": "22323", "minor pentatonic": "32232", "blues": "321132", "whole tone": "222222",
    "major": "2212221", "minor": "2122122", "phrygian dominant": "1312122",
    "whole-half diminished": "21212121", "half-whole diminished": "12121212", "chromatic": "1" * 12,
}  # fmt: skip


@pytest.mark.parametrize(("mode", "steps"), MODES.items())
def test_modes_have_their_steps(mode, steps):
    walk = parse_scale(f"C {mode}").pitches_from(Pitch.parse("C4"), len(steps) + 1)
    assert "".join(str(upper.midi - lower.midi) for lower, upper in pairwise(walk)) == steps


SPELLED_SCALES = {
    "F# major": "F# G# A# B C# D# E#", "Gb major": "Gb Ab Bb Cb Db Eb F", "G# minor": "G# A# B C# D# E F#",
    "G# harmonic minor": "G# A# B C# D# E F##", "E harmonic minor": "E F# G A B C D#",
    "Eb dorian": "Eb F Gb Ab Bb C Db", "Db lydian": "Db Eb F G Ab Bb C", "D minor": "D E F G A Bb C",
    "A phrygian dominant": "A Bb C# D E F G", "A blues": "A C D Eb E G", "C whole-half": "C D Eb F Gb Ab Bbb B",
}  # fmt: skip


@pytest.mark.parametrize(("text", "notes"), SPELLED_SCALES.items())
def test_scales_are_spelled_as_musicians_write_them(text, notes):
    assert parse_scale(text).listed == notes


INTERVALS = {
    "": "0 4 7", "m": "0 3 7", "dim": "0 3 6", "aug": "0 4 8", "sus2": "0 2 7", "sus4": "0 5 7", "7": "0 4 7 10",
    "maj7": "0 4 7 11", "m7": "0 3 7 10", "m7b5": "0 3 6 10", "dim7": "0 3 6 9", "m(maj7)": "0 3 7 11",
    "6": "0 4 7 9", "7sus4": "0 5 7 10", "5": "0 7", "m6": "0 3 7 9", "9": "0 4 7 10 2", "maj9": "0 4 7 11 2",
    "m9": "0 3 7 10 2", "add9": "0 4 7 2", "7b9": "0 4 7 10 1", "7#9": "0 4 7 10 3", "11": "0 4 7 10 2 5",
    "13": "0 4 7 10 2 9", "6/9": "0 4 7 9 2", "7#5": "0 4 8 10",
}  # fmt: skip


@pytest.mark.parametrize(("quality", "semitones"), INTERVALS.items())
@pytest.mark.parametrize("root", ["C", "F#", "Bb"])
def test_chords_have_their_intervals(root, quality, semitones):
    chord = parse_chord(root + quality)
    above = [(note.pitch_class - chord.root.pitch_class) % 12 for note in chord.notes]
    assert above == [int(number) for number in semitones.split()]


SPELLED_CHORDS = {
    "C#7": "C# E# G# B", "E+": "E G# B#", "Cdim7": "C Eb Gb Bbb", "Bdim7": "B D F Ab", "C#dim7": "C# E G Bb",
    "Abm7": "Ab Cb Eb Gb", "Dbmaj7": "Db F Ab C", "B7sus4": "B E F# A", "F#m7b5": "F# A C E", "Bb°7": "Bb Db Fb Abb",
    "C/E": "C E G", "Am/G": "A C E G", "E♭m": "Eb Gb Bb", "C6/9/E": "C E G A D", "Dm(maj7)": "D F A C#",
    "Gmaj7#11": "G B D F# C#", "E7#9": "E G# B D F##",
}  # fmt: skip


@pytest.mark.parametrize(("symbol", "notes"), SPELLED_CHORDS.items())
def test_chord_tones_are_spelled_from_the_root(symbol, notes):
    assert " ".join(map(str, parse_chord(symbol).notes)) == notes


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Dmin", "Dm"),
        ("D-7", "Dm7"),
        ("DM7", "Dmaj7"),
        ("Dø", "Dm7b5"),
        ("Dm7(b5)", "Dm7b5"),
        ("D°", "Ddim"),
        ("DmM7", "Dm(maj7)"),
    ],
)
def test_other_ways_to_write_a_chord_mean_the_same(one, other):
    assert parse_chord(one).notes == parse_chord(other).notes
    assert parse_chord(one).quality == parse_chord(other).quality
    assert parse_chord(one).symbol == one


@pytest.mark.parametrize("quality", chord_qualities())
def test_chords_on_everyday_roots_have_a_scale_of_their_own(quality):
    for root in ("C", "C#", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"):
        chord = parse_chord(root + quality)
        assert all(chord_scale(chord, parse_key("C major"), "chord").contains(note) for note in chord.notes)


@pytest.mark.parametrize("symbol", ["Fbdim7", "B#7#5", "B#7b5", "E#7#9"])
def test_a_root_too_remote_for_its_chord_is_refused_where_it_is_written(symbol):
    with pytest.raises(ValueError, match="too many accidentals"):
        parse_chord(symbol)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Hm", "does not begin with a root"),
        ("", "does not begin with a root"),
        ("Dmj7", "did you mean 'Dmaj7'"),
        ("Cxyz", "'xyz', which is no chord we know"),
        ("Fbdim7", "write the same sound as E"),
        ("C/H", "no chord we know"),
    ],
)
def test_a_wrong_chord_is_explained(text, words):
    with pytest.raises(ValueError, match=words):
        parse_chord(text)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("D minr", "'minr' is not a mode; did you mean 'minor'"),
        ("D", "write D major or D minor"),
        ("Q minor", "does not begin with a note"),
        ("G# major", "would need 8 sharps; write Ab major"),
        ("Fb minor", "would need 11 flats; write E minor"),
        ("D zzz", "the modes are major, minor"),
    ],
)
def test_a_wrong_key_is_explained(text, words):
    with pytest.raises(ValueError, match=words):
        parse_key(text)


def test_a_scale_of_given_notes_is_told_apart_from_repeated_sounds():
    assert parse_scale(["E", "F", "G#", "A", "B", "C", "D"]).listed == "E F G# A B C D"
    with pytest.raises(ValueError, match="sound the same"):
        parse_scale(["E", "F", "E#", "A"])
    with pytest.raises(ValueError, match="3 to 12 notes"):
        parse_scale(["E", "F"])


SIGNATURES = {
    "C major": 0, "D minor": -1, "E dorian": 2, "F lydian": 0, "A phrygian dominant": -1, "C# major": 7,
    "Cb major": -7, "G# minor": 5, "B locrian": 0, "E minor pentatonic": 1, "G mixolydian": 0, "A harmonic minor": 0,
}  # fmt: skip


@pytest.mark.parametrize(("text", "signature"), SIGNATURES.items())
def test_the_signature_is_the_parent_majors(text, signature):
    assert parse_key(text).signature == signature


def test_a_dominant_in_minor_brings_the_raised_seventh_in_place_of_the_plain_one():
    key = parse_key("D minor")
    loop = [parse_chord(symbol) for symbol in ("Dm", "Gm", "Bb", "A")]
    assert [scale.listed for scale in chord_scales(loop, key, "auto")] == ["D E F G A Bb C"] * 3 + ["D E F G A Bb C#"]


def test_one_chord_outside_the_key_gives_every_chord_its_own_scale():
    loop = [parse_chord(symbol) for symbol in ("Dm", "Gm", "E7", "A")]
    scales = chord_scales(loop, parse_key("D minor"), "auto")
    assert [str(scale) for scale in scales] == ["D aeolian", "G aeolian", "E mixolydian", "A ionian"]


OWN_SCALES = {
    "C": "ionian", "C6": "ionian", "Cmaj7": "ionian", "C7": "mixolydian", "C9": "mixolydian", "Csus4": "mixolydian",
    "Csus2": "mixolydian", "Cm": "aeolian", "Cm7": "aeolian", "Cm6": "dorian", "Cm7b5": "locrian", "Cdim": "locrian",
    "Cdim7": "whole-half diminished", "Caug": "whole tone",
}  # fmt: skip


@pytest.mark.parametrize(("symbol", "mode"), OWN_SCALES.items())
def test_each_kind_of_chord_has_its_scale(symbol, mode):
    assert chord_scale(parse_chord(symbol), parse_key("C major"), "chord").name == mode


def test_the_raised_seventh_fits_dominants_only():
    key = parse_key("A minor")
    fitting = [
        symbol for symbol in ("E", "E7", "G#dim7", "G#dim", "C+", "Am(maj7)", "D") if fits_key(parse_chord(symbol), key)
    ]
    assert fitting == ["E", "E7", "G#dim7", "G#dim"]


@pytest.mark.parametrize(
    ("symbol", "key"), [("Dm", "D minor"), ("Bb", "Bb major"), ("F#m7b5", "F# minor"), ("G#", "Ab major")]
)
def test_the_first_chord_gives_the_key(symbol, key):
    assert str(key_of_chord(parse_chord(symbol))) == key


def test_chromatic_notes_are_the_keys_else_sharp_going_up_and_flat_going_down():
    key = parse_key("D minor")
    assert [str(pitch) for pitch in spell_between(57, 62, key)] == ["A3", "Bb3", "B3", "C4", "C#4", "D4"]
    assert [str(pitch) for pitch in spell_between(62, 57, key)] == ["D4", "Db4", "C4", "B3", "Bb3", "A3"]
    assert [str(pitch) for pitch in spell_between(65, 67, None)] == ["F4", "F#4", "G4"]


def test_walking_a_scale_from_a_foreign_note_is_refused():
    with pytest.raises(ValueError, match="C# is not in D minor"):
        parse_scale("D minor").pitches_from(Pitch.parse("C#4"), 3)


MUSIC21_SCALES = {
    "major": "MajorScale", "minor": "MinorScale", "dorian": "DorianScale", "phrygian": "PhrygianScale",
    "lydian": "LydianScale", "mixolydian": "MixolydianScale", "locrian": "LocrianScale",
    "harmonic minor": "HarmonicMinorScale", "melodic minor": "MelodicMinorScale",
}  # fmt: skip


@pytest.mark.parametrize(("mode", "theirs"), MUSIC21_SCALES.items())
def test_music21_spells_the_scales_alike(mode, theirs):
    from music21 import scale as second

    for tonic in ("C", "F#", "Bb", "E", "Ab", "C#"):
        try:
            ours = parse_key(f"{tonic} {mode}").scale.notes
        except ValueError:
            continue
        name = tonic.replace("b", "-")
        heard = getattr(second, theirs)(name).getPitches(f"{name}4", f"{name}5", direction=second.Direction.ASCENDING)
        assert [str(note).replace("b", "-") for note in ours] == [pitch.name for pitch in heard][:-1]


@pytest.mark.parametrize("quality", ["", "m", "dim", "+", "7", "maj7", "m7", "ø7", "dim7", "sus4", "6", "m6", "9"])
def test_music21_spells_the_chords_alike(quality):
    from music21 import harmony as second

    for root in ("C", "F#", "Bb", "E"):
        heard = second.ChordSymbol(root.replace("b", "-") + quality).pitches
        ours = {str(note).replace("b", "-") for note in parse_chord(root + quality).notes}
        assert ours == {pitch.name for pitch in heard}


def test_a_note_name_is_found_by_its_sound_in_the_scales_spelling():
    assert str(parse_scale("Eb major").spelled(Pitch(NoteName.parse("D#"), 4))) == "Eb4"
    assert parse_scale("Eb major").spelled(Pitch.parse("E4")) is None
