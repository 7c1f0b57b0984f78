"""What the two hands are asked for beyond single picked notes: slurs, plucking fingers, shifted beats, single notes.

Source:   hammer-on, pull-off and i m in turn as in checks e; displacement and swing as common practice has them
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.compose.test_compose import composed, notes, rests

__all__ = ["composed"]

TRILL = {
    "key": "A minor",
    "material": "{kind: fingers, pattern: [1, 2, 4, 2], strings: [3, 2]}",
    "contour": "",
    "neck": "{path: position, start: {places: [{string: 3, fret: 5}]}}",
}


def marks(study):
    return [(note.stroke, note.slurred, note.technique) for note in notes(study)]


def test_a_slurred_group_is_struck_once_on_each_string(composed):
    study = composed(**TRILL, strokes="{rule: legato}").studies[0]
    hammered = (None, True, "hammer-on")
    one_string = [("down", False, None), hammered, hammered, (None, True, "pull-off")]
    assert marks(study) == one_string * 2


def test_pluck_numbers_the_notes_to_strike(composed):
    study = composed(**TRILL, strokes="{rule: legato, pluck: [1, 3]}").studies[0]
    assert [note.stroke for note in notes(study)] == ["down", None, "up", None] * 2


def test_the_landing_note_is_struck_whatever_pluck_says(composed):
    study = composed(strokes="{rule: legato, pluck: [1], pluck-in: burst}").studies[0]
    burst = notes(study)[:9]
    assert [note.slurred for note in burst] == [False] + [True] * 7 + [False]
    assert [note.technique for note in burst[1:4]] == ["hammer-on", "hammer-on", "pull-off"]
    assert burst[-1].stroke == "up"


def test_slurs_begin_anew_on_each_beat(composed):
    study = composed(strokes="{rule: legato, pluck-in: beat}").studies[0]
    assert [note.slurred for note in notes(study)[:9]] == [False, True, True, True] * 2 + [False]


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"strokes": "{rule: legato, pluck-in: burst}", "contour": "{order: [1, 1]}"}, "would stay on fret"),
        (
            {
                "material": "{kind: scale, notes: 6}",
                "contour": "{order: [1]}",
                "strokes": "{rule: legato, pluck-in: burst}",
                "neck": "{path: position, position: 5, start: {note: A}}",
                "key": "A minor",
            },
            "would go from string",
        ),
    ],
)
def test_an_impossible_slur_says_which_note_to_pluck(composed, changes, reason):
    (problem,) = composed(**changes).problems
    assert problem.key == "strokes.pluck"
    assert reason in problem.found


def test_plucking_fingers_come_in_turn(composed):
    study = composed(strokes="{rule: fingers, order: [m, i, a]}").studies[0]
    assert [note.stroke for note in notes(study)[:9]] == ["m", "i", "a"] * 3
    carried = composed(strokes="{rule: fingers, after-rest: carry}").studies[0]
    assert [note.stroke for note in notes(carried)] == ["i", "m"] * (len(notes(carried)) // 2)


def test_bursts_are_displaced_in_turn(composed):
    usual = composed(contour="{order: [1, 2, 3]}").studies[0]
    moved = composed(contour="{order: [1, 2, 3]}", rhythm="{displace: [0, 1/4, 1/2]}").studies[0]
    firsts = [note.onset for note in notes(moved)[::3]]
    assert firsts == [
        note.onset + shift
        for note, shift in zip(notes(usual)[::3], (Fraction(n, 16) for n in (0, 1, 2, 0)), strict=True)
    ]


def test_subdivisions_change_from_beat_to_beat(composed):
    study = composed(rhythm="{notes-per-beat: [3, 5]}").studies[0]
    assert [note.duration for note in notes(study)[:8]] == [Fraction(1, 12)] * 3 + [Fraction(1, 20)] * 5


def test_swing_is_long_and_short(composed):
    study = composed(rhythm="{notes-per-beat: 2, swing: true}").studies[0]
    assert [note.duration for note in notes(study)[:4]] == [Fraction(1, 6), Fraction(1, 12)] * 2


@pytest.mark.parametrize(
    ("accents", "expected"),
    [
        ("bursts", [0, 8]),
        ("beats", [0, 4, 8]),
        ("3", [0, 3, 6]),
        ("none", []),
    ],
)
def test_accents(composed, accents, expected):
    study = composed(rhythm=f"{{accents: {accents}}}").studies[0]
    assert [k for k, note in enumerate(notes(study)[:9]) if note.accent] == expected


def test_overrides_are_obeyed_and_what_breaks_a_rule_is_reported(composed):
    overrides = "[{bar: 1, note: 2, stroke: down}, {bar: 1, note: 6, finger: 2, start: {string: 3, fret: 7}}]"
    studies = {study.id: study for study in composed(overrides=overrides).studies}
    here, other = studies["pier-s3f7"], studies["pier-s5f5"]
    assert [note.stroke for note in notes(here)[:3]] == ["down", "down", "down"]
    assert notes(here)[5].finger == 2
    assert notes(other)[5].finger == 3
    assert "bar 1, note 2: the exercise asks for down, the rule alternate gives up" in here.warnings


def test_an_override_moves_a_note_to_another_string(composed):
    study = composed(
        neck="{path: position, start: {places: [{string: 4, fret: 12}]}}",
        overrides="[{bar: 1, note: 1, string: 5}]",
    ).studies[0]
    first = notes(study)[0]
    assert (first.string, first.fret, str(first.pitch)) == (5, 17, "D4")


def test_an_override_of_no_note_is_a_problem_at_its_place(composed):
    (problem,) = composed(overrides="[{bar: 1, note: 30, finger: 1}]").problems
    assert (problem.key, problem.found) == ("overrides.1.note", "bar 1 of voice 1 has 9 notes, not 30")


def test_fingers_print_as_the_exercise_asks(composed):
    assert not any(note.finger_printed for note in notes(composed(fingering="none").studies[0]))
    every = composed(fingering="all").studies[0]
    assert all(note.finger_printed for note in notes(every) if not note.tied)
    assert rests(every)


def test_strings_stand_parallel_to_the_order(composed):
    study = composed(
        key="C major",
        material="{kind: scale, notes: 8}",
        contour="{order: [1, 5, 3, 8], strings: [5, 3, 4, 2]}",
        rhythm="{notes-per-beat: 2}",
        neck="{path: position, start: {note: C3, places: each-string}}",
    ).studies[0]
    assert [(str(note.pitch), note.string, note.fret) for note in notes(study)] == [
        ("C3", 5, 3),
        ("G3", 3, 0),
        ("E3", 4, 2),
        ("C4", 2, 1),
    ]


def test_a_note_may_come_on_two_strings(composed):
    study = composed(
        key="E minor",
        material="{kind: scale, notes: 2}",
        contour="{order: [1, 2, 1], strings: [2, 2, 3]}",
        neck="{path: position, position: 5, start: {places: [{string: 2, fret: 5}]}}",
    ).studies[0]
    assert [(note.string, note.fret) for note in notes(study)] == [(2, 5), (2, 7), (3, 9)]


def test_no_finger_is_guided_through_a_rest(composed):
    study = composed().studies[0]
    assert rests(study)
    assert not any(note.guide for note in notes(study))  # every shift of Ferry Steps is made in a rest


def test_a_barre_struck_again_is_one_barre(composed):
    study = composed(
        key="F major",
        material="{kind: chord-changes, chords: [F, {chord: Bb, frets: x13331}], beats: 4}",
        contour="",
        rhythm="{notes-per-beat: 2, rest: none}",
        neck="{start: {places: [{string: 6, fret: 1}]}}",
        strokes="{rule: strum, pattern: [down, up]}",
        checkpoints="{at: none}",
    ).studies[0]
    assert [(barre.onset, barre.fret) for barre in study.barres] == [(0, 1), (1, 1)]
