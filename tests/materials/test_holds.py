"""Holds: shapes set note by note, held for so many beats, with rests no shorter."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.materials import materials
from tests.materials.playing import INSTRUMENTS, LIBRARY, check, composed, fretted, notes, problems_of

# Frets from finger 1's own to each finger's: a finger a fret, 1-2-4 on a bass, two frets a finger on a mandolin.
PLAIN = {1: 0, 2: 1, 3: 2, 4: 3}
EASE = {
    "bass": {1: 0, 2: 1, 3: 2, 4: 2},
    "five-string-bass": {1: 0, 2: 1, 3: 2, 4: 2},
    "mandolin": {1: 0, 2: 2, 3: 4, 4: 5},
}

SPACED = {"notes-per-beat": 2, "rest": 4}


def holds(shape, string, fret, instrument="guitar", rhythm=SPACED, key=None, **keys):
    return composed(
        instrument=INSTRUMENTS.get(instrument, instrument),
        material={"kind": "holds", "shape": shape, **keys},
        rhythm=rhythm,
        neck={"start": {"places": [{"string": string, "fret": fret}]}},
        strokes={"rule": "down"},
        **({"key": key} if key else {}),
    )


def spans(study, size):
    """When each shape begins and is let go."""
    every = notes(study)
    lasts = {}
    for event in study.events:
        if hasattr(event, "pitch"):
            lasts[event.string, event.fret, event.onset] = event.onset + event.duration
    found = []
    for first in range(0, len(every), size):
        shape = every[first : first + size]
        until = shape[-1].onset
        while (
            end := next((e for (s, f, o), e in lasts.items() if o == until and s == shape[-1].string), None)
        ) is not None:
            until = end
        found.append((shape[0].onset, until))
    return found


@pytest.mark.parametrize("instrument", INSTRUMENTS)
def test_every_instrument_holds_a_barre_over_all_its_strings(instrument):
    own = INSTRUMENTS[instrument]
    count = len(own["strings"]) if isinstance(own, dict) else LIBRARY.instruments[own].strings
    lowest = 3 if instrument == "ukulele" else count
    (study,) = holds("barre", lowest, 5, instrument, rounds=3).studies
    check(study)
    assert {note.finger for note in notes(study)} == {1}
    assert [note.fret for note in notes(study)] == [5] * count + [4] * count + [3] * count
    assert [note.string for note in notes(study)][:count] == list(range(count, 0, -1))


@pytest.mark.parametrize("instrument", INSTRUMENTS)
@pytest.mark.parametrize("fingers", [[1, 4], [1, 3], [2, 4], [1, 2, 4]])
def test_every_instrument_holds_stretches_the_hand_can_reach(instrument, fingers):
    own = EASE.get(instrument, PLAIN)
    frets = [own[finger] - own[fingers[0]] + (finger == fingers[-1]) for finger in fingers]
    (study,) = holds("stretch", 2, 7, instrument, fingers=fingers, strings=[2], rounds=2).studies
    check(study)
    assert [note.finger for note in notes(study)] == fingers * 2
    assert [note.fret for note in notes(study)] == [7 + fret for fret in frets] + [6 + fret for fret in frets]


@settings(max_examples=25, deadline=None)
@given(
    hold=st.sampled_from([3, 4, 4.5, 6]),
    strings=st.integers(2, 5),
    rounds=st.integers(2, 4),
    per_beat=st.integers(2, 4),
    rest=st.sampled_from(["to-barline", "to-beat", "none", 3, 4, 6, 8]),
    meter=st.sampled_from(["4/4", "3/4", "6/8"]),
)
def test_no_rest_is_shorter_than_the_hold_before_it(hold, strings, rounds, per_beat, rest, meter):
    rhythm = {"meter": meter, "notes-per-beat": per_beat, "rest": rest}
    found = holds("barre", strings, 6, rhythm=rhythm, strings=strings, hold=hold, rounds=rounds)
    for study in found.studies:
        held = spans(study, strings)
        beat = study.meter.beat
        assert {(end - begin) / beat for begin, end in held} == {hold}
        assert all(after - end >= end - begin for (begin, end), (after, _) in pairwise(held))
    assert found.studies or "no rest may be shorter than its hold" in found.problems[0].found
    if rest == 8:
        assert found.studies


# Source: checks c, five frets from fret 5 on 648 mm.
def test_a_stretch_beyond_comfort_is_a_warning():
    study = holds("stretch", 5, 5, strings=[5, 4], frets=[0, 4]).studies[0]
    assert study.metrics.widest_reach_mm == pytest.approx(100.15, abs=0.05)
    assert any("over the 98 mm" in warning for warning in study.warnings)


def test_the_lowest_note_of_a_shape_is_the_start():
    study = holds("stretch", 5, 11, strings=[4, 5], frets=[0, 3], fingers=[1, 4]).studies[0]
    assert fretted(study) == "4/8 5/11"


def test_a_shape_is_spelled_as_one():
    def names(fret, **keys):
        study = holds("barre", 6, fret, key="A minor", **keys).studies[0]
        return " ".join(str(note.pitch.name) for note in notes(study)[-6:])

    assert names(7) == "B E A D F# B"
    assert names(7, rounds=2) == "Bb Eb Ab Db F Bb"
    assert names(7, rounds=4) == "G# C# F# B D# G#"


@pytest.mark.parametrize(
    ("keys", "place", "rhythm", "words"),
    [
        ({"shape": "barre"}, (6, 5), {"rest": "to-beat"}, "rhythm.rest: a hold of 4 beats is followed by a rest of"),
        ({"shape": "barre"}, (6, 5), {"burst": 3}, "rhythm.burst: a burst would cut a hold in two"),
        ({"shape": "barre", "hold": 1}, (6, 5), {"notes-per-beat": 2}, "longer than the hold of 1 beat"),
        ({"shape": "barre", "strings": 4}, (2, 5), {}, "no barre over 4 strings has its lowest note on string 2"),
        ({"shape": "barre", "strings": [8, 7]}, (6, 5), {}, "material.strings: there is no string 8"),
        ({"shape": "barre", "strings": [4, 3]}, (6, 5), {}, "the lowest note of the shape lies on string 4"),
        ({"shape": "barre", "rounds": 8}, (6, 5), {"rest": 4}, "finger 1 needs fret 0 on string 6"),
        ({"shape": "stretch", "frets": [0, 6]}, (6, 2), {"rest": 4}, "the hand's limit is 127 mm"),
        ({"shape": "barre", "frets": [0, 1]}, (6, 5), {}, "material.frets: [0, 1]; no frets with shape: barre"),
        ({"shape": "stretch", "fingers": [4, 1]}, (6, 5), {}, "material.fingers: [4, 1]; rising fingers"),
        ({"shape": "stretch", "frets": [1, 4]}, (6, 5), {}, "material.frets: [1, 4]; 2 rising frets"),
        ({"shape": "stretch", "strings": 3}, (6, 5), {}, "material.strings: 3; a list of one string"),
    ],
)
def test_senseless_combinations_are_problems(keys, place, rhythm, words):
    string, fret = place
    found = problems_of(
        material={"kind": "holds", "rounds": 2, **keys},
        rhythm={"notes-per-beat": 2, **rhythm},
        neck={"start": {"places": [{"string": string, "fret": fret}]}},
    )
    assert any(words in problem for problem in found), found


def test_other_answers_that_do_not_apply_are_problems():
    material = {"kind": "holds", "shape": "barre"}
    assert any("contour: a contour" in one for one in problems_of(material=material, contour={"order": [1]}))
    assert any("neck.path: 'position'" in one for one in problems_of(material=material, neck={"path": "position"}))
    assert any("strokes.rule: 'legato'" in one for one in problems_of(material=material, strokes={"rule": "legato"}))


@pytest.mark.parametrize(
    "keys",
    [
        {},
        {"shape": "fist"},
        {"shape": "barre", "strings": 1},
        {"shape": "barre", "strings": [3, 3]},
        {"shape": "barre", "hold": 0.5},
        {"shape": "barre", "rounds": 0},
        {"shape": "stretch", "fingers": [1]},
    ],
    ids=str,
)
def test_wrong_parameters_are_refused(keys):
    with pytest.raises(ValueError, match="validation error"):
        materials()["holds"].parameters.model_validate(keys)
