"""Slides: pairs of notes of a scale, one finger, one string."""

from __future__ import annotations

import pytest

from builder.materials import materials
from tests.materials.playing import INSTRUMENTS, check, composed, fretted, notes, problems_of

A_MINOR = "A B C D E F G"


def slides(instrument="guitar", neck=None, rhythm=None, key="A minor", **keys):
    return composed(
        instrument=INSTRUMENTS.get(instrument, instrument),
        key=key,
        material={"kind": "slides", **keys},
        rhythm=rhythm or {"notes-per-beat": 2},
        neck=neck or {"start": {"note": "C", "places": "each-string"}},
        strokes={"rule": "down"},
    )


@pytest.mark.parametrize("instrument", INSTRUMENTS)
@pytest.mark.parametrize("finger", [1, 2, 3, 4])
def test_every_instrument_slides_on_one_string_with_one_finger(instrument, finger):
    found = slides(instrument, notes=2, steps=2, finger=finger, turn=True)
    assert found.studies
    for study in found.studies:
        check(study, A_MINOR)
        assert {note.string for note in notes(study)} == {study.start.string}
        assert {note.finger for note in notes(study)} == {finger}


@pytest.mark.parametrize(("arrive", "slurred"), [("struck", False), ("slurred", True)])
def test_every_second_note_is_slid_to(arrive, slurred):
    study = slides(notes=4, arrive=arrive).studies[0]
    leaving, arriving = notes(study)[::2], notes(study)[1::2]
    assert {note.technique for note in leaving} == {None}
    assert {(note.technique, note.slurred) for note in arriving} == {("slide", slurred)}
    assert all((note.stroke is None) == note.slurred for note in notes(study))


def test_slides_take_so_many_steps_of_the_scale_in_turn():
    neck = {"start": {"places": [{"string": 3, "fret": 2}]}}
    assert fretted(slides(notes=3, steps=2, neck=neck).studies[0]) == "3/2 3/5 3/4 3/7 3/5 3/9"
    assert fretted(slides(notes=3, steps=[1, 4], neck=neck).studies[0]) == "3/2 3/4 3/4 3/10 3/5 3/7"


def test_on_the_way_back_each_slide_goes_down():
    neck = {"start": {"places": [{"string": 3, "fret": 2}]}}
    assert fretted(slides(notes=2, steps=2, turn=True, neck=neck).studies[0]) == "3/2 3/5 3/4 3/7 3/7 3/4 3/5 3/2"


def test_a_chromatic_slide_keeps_one_name_a_note():
    found = slides(scale="C chromatic", notes=3, neck={"start": {"places": [{"string": 5, "fret": 3}]}})
    check(found.studies[0])
    assert fretted(found.studies[0]) == "5/3 5/4 5/4 5/5 5/5 5/6"


def test_a_chromatic_slide_back_is_flat():
    neck = {"start": {"places": [{"string": 5, "fret": 3}]}}
    study = slides(scale="C chromatic", notes=2, turn=True, key="C major", neck=neck).studies[0]
    assert [str(note.pitch) for note in notes(study)] == ["C3", "C#3", "C#3", "D3", "D3", "Db3", "Db3", "C3"]


@pytest.mark.parametrize(
    ("keys", "rest", "words"),
    [
        ({}, {"rhythm": {"burst": 3}}, "rhythm.burst: a burst of 3 notes parts the two notes of a slide"),
        ({}, {"contour": {"order": [1]}}, "contour: a contour; none"),
        ({}, {"neck": {"path": "one-string"}}, "neck.path: 'one-string'; none"),
        ({}, {"strokes": {"rule": "legato"}}, "strokes.rule: 'legato'"),
        ({"octaves": 2}, {}, "the last one is 22"),
        (
            {},
            {"neck": {"start": {"places": [{"string": 5, "fret": 0}]}}},
            "A2 is the open string 5: no finger slides there",
        ),
        ({"from": "C4", "to": "C#4"}, {}, "material.to: C#4; a note of A minor"),
    ],
)
def test_senseless_combinations_are_problems(keys, rest, words):
    found = problems_of(key="A minor", material={"kind": "slides", **keys}, **rest)
    assert any(words in problem for problem in found), found


@pytest.mark.parametrize(
    "keys", [{"steps": 0}, {"steps": 8}, {"steps": []}, {"steps": "two"}, {"finger": 0}, {"arrive": "picked"}], ids=str
)
def test_wrong_parameters_are_refused(keys):
    with pytest.raises(ValueError, match="validation error"):
        materials()["slides"].parameters.model_validate(keys)
