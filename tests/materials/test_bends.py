"""Bends: a note, the pitch it is pushed to, and where asked the note again, all at one fret."""

from __future__ import annotations

import pytest

from builder.materials import materials
from builder.theory.fretboard import Place
from tests.materials.playing import INSTRUMENTS, check, composed, notes, problems_of


def bends(instrument="guitar", neck=None, rhythm=None, key="A minor", **keys):
    return composed(
        instrument=INSTRUMENTS.get(instrument, instrument),
        key=key,
        material={"kind": "bends", **keys},
        rhythm=rhythm or {"notes-per-beat": 2},
        neck=neck or {"start": {"places": "each-string"}},
        strokes={"rule": "down"},
    )


def figures(study, size):
    every = notes(study)
    return [every[first : first + size] for first in range(0, len(every), size)]


@pytest.mark.parametrize("instrument", INSTRUMENTS)
@pytest.mark.parametrize("release", [False, True])
def test_every_instrument_bends_to_the_next_note_of_the_scale(instrument, release):
    scale = "A C D E G"
    found = bends(instrument, scale="A minor pentatonic", notes=2, release=release)
    assert found.studies
    for study in found.studies:
        check(study, scale)
        for struck, bent, *released in figures(study, 3 if release else 2):
            order = scale.split()
            assert order[(order.index(str(struck.pitch.name)) + 1) % 5] == str(bent.pitch.name)
            assert [note.pitch for note in released] == [struck.pitch] * release
            assert len({(note.string, note.fret, note.finger) for note in (struck, bent, *released)}) == 1


def test_only_the_first_note_of_a_figure_is_struck():
    study = bends(notes=3, release=True).studies[0]
    for struck, bent, released in figures(study, 3):
        assert (struck.stroke, struck.technique, struck.slurred) == ("down", None, False)
        assert (bent.stroke, bent.technique, bent.slurred) == (None, "bend", True)
        assert (released.stroke, released.technique, released.slurred) == (None, "bend", True)


@pytest.mark.parametrize("by", [1, 2, 3])
def test_a_bend_by_half_steps_goes_exactly_so_far(by):
    study = bends(by=by, notes=4).studies[0]
    assert {bent.pitch.midi - struck.pitch.midi for struck, bent in figures(study, 2)} == {by}


def test_the_way_back_bends_upward_too():
    study = bends(notes=3, turn=True).studies[0]
    assert [str(struck.pitch.name) for struck, _ in figures(study, 2)] == ["A", "B", "C", "B", "A"]
    assert all(bent.pitch.midi > struck.pitch.midi for struck, bent in figures(study, 2))


def test_the_finger_and_those_behind_it_have_their_frets():
    for finger in (1, 2, 3, 4):
        found = bends(finger=finger, notes=2, key="C major", neck={"start": {"note": "C", "places": "every-place"}})
        for study in found.studies:
            assert all(note.finger == finger and note.fret >= finger for note in notes(study))
        refused = [one for one in found.skipped if "those behind it need" in one.reason]
        assert {one.start for one in refused} == {place for place in (Place(2, 1), Place(5, 3)) if place.fret < finger}


def test_chromatic_bends_are_spelled_for_the_way_they_go():
    study = bends(scale="A chromatic", notes=2, key="A minor", by="scale").studies[0]
    check(study)
    assert all(bent.pitch.midi - struck.pitch.midi == 1 for struck, bent in figures(study, 2))


@pytest.mark.parametrize(
    ("keys", "rest", "words"),
    [
        ({"scale": ["A", "C", "E"]}, {}, "material.by: from C3 to E3 is more than 3 half steps"),
        ({"release": True}, {"rhythm": {"burst": 4}}, "rhythm.burst: a burst of 4 notes parts a note and its bend"),
        ({}, {"contour": {"order": [1]}}, "contour: a contour; none"),
        ({}, {"neck": {"path": "position"}}, "neck.path: 'position'; none"),
        ({}, {"strokes": {"rule": "legato"}}, "strokes.rule: 'legato'"),
        ({"by": 4}, {}, "material.by: 4; a whole number from 1 to 3 half steps"),
        ({}, {"neck": {"start": {"places": [{"string": 5, "fret": 0}]}}}, "finger 3 and those behind it need fret 3"),
    ],
)
def test_senseless_combinations_are_problems(keys, rest, words):
    neck = {"start": {"places": [{"string": 6, "fret": 5}]}}
    found = problems_of(**{"key": "A minor", "material": {"kind": "bends", "notes": 2, **keys}, "neck": neck, **rest})
    assert any(words in problem for problem in found), found


@pytest.mark.parametrize("keys", [{"by": 0}, {"by": "far"}, {"finger": 5}, {"release": "yes"}], ids=str)
def test_wrong_parameters_are_refused(keys):
    with pytest.raises(ValueError, match="validation error"):
        materials()["bends"].parameters.model_validate(keys)
