"""Double notes: intervals spelled in the scale, on pairs of strings that can play them."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.materials import materials
from builder.theory.harmony import parse_key
from tests.materials.playing import INSTRUMENTS, check, composed, fretted, notes, problems_of

LETTERS_APART = {"third": 2, "fourth": 3, "fifth": 4, "sixth": 5, "octave": 7, "tenth": 9}
SPACED = {"notes-per-beat": 1, "rest": "none"}


def double(interval, instrument="guitar", key="C major", neck=None, rhythm=SPACED, **keys):
    return composed(
        instrument=INSTRUMENTS.get(instrument, instrument),
        key=key,
        material={"kind": "double-notes", "interval": interval, **keys},
        rhythm=rhythm,
        neck=neck or {"start": {"places": "each-string"}},
        strokes={"rule": "none"},
    )


def pairs(study):
    """Lower and upper notes of each moment."""
    struck = sorted(notes(study), key=lambda note: (note.onset, note.pitch.midi))
    return list(zip(struck[::2], struck[1::2], strict=True))


@pytest.mark.parametrize("instrument", INSTRUMENTS)
@pytest.mark.parametrize("interval", LETTERS_APART)
def test_every_instrument_plays_what_it_can_reach(instrument, interval):
    found = double(interval, instrument, notes=3, turn=True)
    if (instrument, interval) == ("ukulele", "tenth"):
        assert "needs an open string next to fret 7" in found.problems[0].found
    else:
        assert found.studies
    for study in found.studies:
        check(study, "C D E F G A B")
        for low, high in pairs(study):
            assert high.pitch.step - low.pitch.step == LETTERS_APART[interval]
        assert (study.start.string, study.start.fret) == (pairs(study)[0][0].string, pairs(study)[0][0].fret)


@settings(max_examples=25, deadline=None)
@given(
    interval=st.sampled_from(sorted(LETTERS_APART)),
    instrument=st.sampled_from(sorted(INSTRUMENTS)),
    tonic=st.sampled_from(["C", "F#", "Eb", "A", "B"]),
    mode=st.sampled_from(["major", "minor", "harmonic minor", "lydian"]),
    count=st.integers(2, 8),
    play=st.sampled_from(["together", "broken-up", "broken-down"]),
)
def test_any_scale_is_spelled_and_reached(interval, instrument, tonic, mode, count, play):
    found = double(interval, instrument, f"{tonic} {mode}", notes=count, play=play)
    scale = parse_key(f"{tonic} {mode}").scale
    for study in found.studies:
        check(study, scale.listed)
        assert len(notes(study)) == 2 * count


# Source: checks b, thirds on strings 3 and 2 in C and sixths on strings 3 and 1.
def test_thirds_on_strings_3_and_2():
    study = double("third", notes=7, strings=[3, 2], neck={"start": {"places": [{"string": 3, "fret": 5}]}}).studies[0]
    assert fretted(study) == "3/5+2/5 3/7+2/6 3/9+2/8 3/10+2/10 3/12+2/12 3/14+2/13 3/16+2/15"


def test_sixths_on_strings_3_and_1():
    study = double("sixth", notes=3, strings=[3, 1], neck={"start": {"places": [{"string": 3, "fret": 5}]}}).studies[0]
    assert fretted(study) == "3/5+1/5 3/7+1/7 3/9+1/8"


@pytest.mark.parametrize(
    ("interval", "string", "used"),
    [
        ("third", 6, {(6, 5), (5, 4), (4, 3), (3, 2), (2, 1)}),
        ("octave", 6, {(6, 4), (5, 3), (4, 2), (3, 1)}),
        ("tenth", 6, {(6, 3), (5, 2), (4, 1)}),
        ("sixth", 6, {(6, 4), (5, 3), (4, 2), (3, 1)}),
    ],
)
def test_without_strings_the_usual_pairs_are_taken(interval, string, used):
    neck = {"start": {"places": [{"string": string, "fret": 3}]}}
    study = double(interval, key="G major", octaves=1, neck=neck).studies[0]
    assert {(low.string, high.string) for low, high in pairs(study)} <= used


def test_a_list_of_pairs_is_walked_with_little_movement():
    strings = [[5, 4], [4, 3], [3, 2]]
    neck = {"start": {"places": [{"string": 5, "fret": 3}]}}
    study = double("third", notes=8, strings=strings, neck=neck).studies[0]
    lows = [low.string for low, _ in pairs(study)]
    assert lows == sorted(lows, reverse=True)
    assert len(set(lows)) == 3
    along = double("third", notes=8, strings=[5, 4], neck=neck).studies[0]
    assert travel(study) < travel(along)


def travel(study):
    return sum(abs(a.position - b.position) for (a, _), (b, _) in pairwise(pairs(study)))


def test_the_way_back_takes_the_same_places():
    study = double("third", octaves=2, turn=True, neck={"start": {"places": [{"string": 6, "fret": 8}]}}).studies[0]
    places = fretted(study).split()
    assert places == places[::-1]
    assert len(places) == 29


def test_broken_double_notes_begin_with_the_note_they_are_called_by():
    neck = {"start": {"places": [{"string": 3, "fret": 5}]}}
    up = double("third", notes=2, strings=[3, 2], play="broken-up", neck=neck).studies[0]
    down = double("third", notes=2, strings=[3, 2], play="broken-down", neck=neck).studies[0]
    assert (fretted(up), fretted(down)) == ("3/5 2/5 3/7 2/6", "2/5 3/5 2/6 3/7")


@pytest.mark.parametrize("play", ["broken-up", "broken-down"])
@pytest.mark.parametrize("interval", ["third", "sixth", "tenth"])
def test_broken_double_notes_are_held_as_one_grip(interval, play):
    neck = {"start": {"places": [{"string": 6, "fret": 3}]}}
    study = double(interval, key="G major", octaves=1, play=play, neck=neck).studies[0]
    for first, second in zip(notes(study)[::2], notes(study)[1::2], strict=True):
        assert first.finger != second.finger or not first.fret or first.fret == second.fret


def test_open_strings_belong_to_position_1_unless_the_spec_wants_them():
    def highest_beside_open(**neck):
        found = double("third", key="G major", octaves=2, neck={"start": {"places": "each-string"}, **neck})
        opened = [(low, high) for study in found.studies for low, high in pairs(study) if not low.fret * high.fret]
        return max((max(low.fret, high.fret) for low, high in opened), default=None)

    assert highest_beside_open() in (0, 1, 2, 3, 4)
    assert highest_beside_open(**{"open-strings": False}) is None


def test_windows_move_over_double_notes_as_over_notes():
    study = composed(
        key="C major",
        material={"kind": "double-notes", "interval": "third", "notes": 4, "strings": [3, 2]},
        contour={"order": [1, 3]},
        rhythm=SPACED,
        neck={"start": {"places": [{"string": 3, "fret": 5}]}},
    ).studies[0]
    assert fretted(study) == "3/5+2/5 3/9+2/8 3/7+2/6 3/10+2/10"


def test_what_the_neck_or_the_hand_does_not_have_is_explained():
    far = double("tenth", strings=[6, 5], notes=3, neck={"start": {"places": [{"string": 6, "fret": 3}]}})
    assert "the hand's limit" in far.problems[0].found
    high = double("third", octaves=2, strings=[3, 2], neck={"start": {"places": [{"string": 3, "fret": 5}]}})
    assert "needs fret 24; the last one is 22" in high.problems[0].found
    assert {one.reason for one in double("third", strings=[3, 2], notes=3).skipped} == {
        "the double notes begin on string 3"
    }


@pytest.mark.parametrize(
    ("keys", "rest", "words"),
    [
        ({"interval": "third", "scale": "C major pentatonic"}, {}, "material.interval: 'third'; octave over"),
        ({"interval": "third", "strings": [8, 7], "notes": 3}, {}, "begin on string 8"),
        ({"interval": "third", "notes": 3}, {"neck": {"path": "position"}}, "neck.path: 'position'; none"),
        ({"interval": "third", "notes": 3}, {"strokes": {"rule": "fingers"}}, "strokes.rule: fingers plays one note"),
        ({"interval": "third", "notes": 3}, {"strokes": {"rule": "legato"}}, "strokes.rule: legato plays one note"),
        ({"interval": "third", "notes": 3, "octaves": 1}, {}, "octaves, notes"),
    ],
)
def test_senseless_combinations_are_problems(keys, rest, words):
    found = problems_of(key="C major", material={"kind": "double-notes", **keys}, **rest)
    assert any(words in problem for problem in found), found


@pytest.mark.parametrize(
    "keys",
    [
        {},
        {"interval": "second"},
        {"interval": "third", "strings": [3, 3]},
        {"interval": "third", "strings": [3]},
        {"interval": "third", "strings": []},
        {"interval": "third", "strings": [[3, 2], 1]},
        {"interval": "third", "strings": [[3, 2]] * 13},
        {"interval": "third", "play": "up"},
    ],
    ids=str,
)
def test_wrong_parameters_are_refused(keys):
    with pytest.raises(ValueError, match="validation error"):
        materials()["double-notes"].parameters.model_validate(keys)


def test_octaves_go_over_any_scale():
    study = double("octave", scale="A minor pentatonic", key="A minor", octaves=1).studies[0]
    check(study, "A C D E G")
    assert all(high.pitch == low.pitch.octaves_up(1) for low, high in pairs(study))
