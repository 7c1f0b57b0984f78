"""Natural harmonics: what sounds over each node, string by string."""

from __future__ import annotations

import pytest

from builder.materials import materials
from builder.materials.harmonics import NODES
from tests.materials.playing import INSTRUMENTS, LIBRARY, check, composed, notes, partial_at, problems_of


def harmonics(instrument="guitar", neck=None, **keys):
    return composed(
        instrument=INSTRUMENTS.get(instrument, instrument),
        material={"kind": "harmonics", **keys},
        rhythm={"notes-per-beat": 1},
        strokes={"rule": "down"},
        **({"neck": neck} if neck else {}),
    )


def test_each_node_gives_its_partial():
    assert {fret: partial_at(fret) for fret in NODES} == NODES


@pytest.mark.parametrize("instrument", INSTRUMENTS)
@pytest.mark.parametrize("finger", [3, 4])
def test_every_instrument_rings_at_12_7_and_5(instrument, finger):
    found = harmonics(instrument, finger=finger)
    (study,) = found.studies
    check(study)
    assert {note.technique for note in notes(study)} == {"harmonic"}
    assert {note.finger for note in notes(study)} == {finger}
    assert [note.fret for note in notes(study)] == [12, 7, 5] * study.instrument.strings
    assert study.start_pitch == min((note.pitch for note in notes(study)[:3]), key=lambda pitch: pitch.midi)


def test_frets_and_strings_are_played_as_listed():
    study = harmonics(frets=[5, 12, 5], strings=[3, 1, 3]).studies[0]
    assert [(note.string, note.fret) for note in notes(study)] == [
        (string, fret) for string in (3, 1, 3) for fret in (5, 12, 5)
    ]
    assert (study.start.string, study.start.fret) == (3, 12)


def test_the_start_sounds_what_is_touched_there():
    study = harmonics(frets=[7], strings=[6, 5]).studies[0]
    assert (study.id, str(study.start_pitch)) == ("pier-s6f7", "B3")
    assert [str(note.pitch) for note in notes(study)] == ["B3", "E4"]


def test_a_contour_counts_from_the_lowest_harmonic():
    study = composed(
        material={"kind": "harmonics", "frets": [5, 7, 12], "strings": [6]},
        contour={"order": [1, 3, 2], "land": 1},
    ).studies[0]
    assert [note.fret for note in notes(study)] == [12, 5, 7, 12]


def test_the_capo_shortens_the_string():
    plain, with_capo = harmonics().studies[0], harmonics("capo-2").studies[0]
    assert [b.pitch.midi - a.pitch.midi for a, b in zip(notes(plain), notes(with_capo), strict=True)] == [2] * 18


@pytest.mark.parametrize(
    ("keys", "rest", "words"),
    [
        ({"frets": [11]}, {}, "material.frets.1: 11; a fret over a node: one of 4, 5, 7, 9, 12"),
        ({"strings": [7]}, {}, "there is no string 7 on the guitar"),
        ({}, {"neck": {"start": {"places": [{"string": 5, "fret": 7}]}}}, "begin on string 5 at fret 12"),
        ({"frets": [24]}, {}, "24; the last one is 22"),
        ({}, {"neck": {"path": "position"}}, "neck.path: 'position'; none"),
        ({}, {"strokes": {"rule": "legato"}}, "strokes.rule: 'legato'"),
        ({}, {"contour": {"order": [4]}}, "the contour asks for note 4 of a set of 3"),
    ],
)
def test_senseless_combinations_are_problems(keys, rest, words):
    found = problems_of(material={"kind": "harmonics", **keys}, **rest)
    assert any(words in problem for problem in found), found


def test_a_neck_too_short_for_the_node_is_a_problem():
    capo = {"strings": ["A4", "E4", "C4", "G4"], "frets": 12, "scale-length": 345, "capo": 2}
    found = problems_of(instrument=capo, material={"kind": "harmonics"})
    assert any("touches fret 12" in problem or "the last one is 10" in problem for problem in found)
    assert LIBRARY.instruments["ukulele"].last_fret == 12


@pytest.mark.parametrize(
    "keys", [{"frets": []}, {"frets": [3]}, {"frets": ["12"]}, {"finger": 0}, {"strings": []}], ids=str
)
def test_wrong_parameters_are_refused(keys):
    with pytest.raises(ValueError, match="validation error"):
        materials()["harmonics"].parameters.model_validate(keys)
