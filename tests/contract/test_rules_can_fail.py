"""Proof that the rules can fail: faults put into good studies are found, and only good studies pass.

In, Out:  studies of small exercises with one thing changed; the rule that has to speak
Not here: whether the engine keeps the rules (`test_random_specs`)
"""

from __future__ import annotations

import copy
from collections.abc import Callable
from fractions import Fraction
from functools import cache
from typing import Any

import pytest
import yaml

from tests.contract import rules, specs
from tests.contract.small_exercises import EXERCISES, FERRY_STEPS
from tests.contract.specs import Case
from tests.contract.working_out import worked_out

Json = dict[str, Any]

# The answers that the rules look at, for exercises that leave them out.
ANSWERS: Json = {"neck": {}, "strokes": {"rule": "alternate"}, "tempo": {"from": 60, "to": 80, "steps": 2}}


@cache
def _good(text: str) -> tuple[Json, Json]:
    """The first study of an exercise for a medium hand, and the exercise."""
    spec: Json = {**ANSWERS, **yaml.safe_load(text)}
    return worked_out(Case(0, spec, "medium")).document["studies"][0], spec


def _note(study: Json, index: int) -> Json:
    notes: list[Json] = [event for event in study["events"] if event["kind"] == "note"]
    return notes[index]


def _swap_strokes(study: Json) -> None:
    _note(study, 1)["stroke"], _note(study, 2)["stroke"] = "down", "down"


def _shift_hand(study: Json) -> None:
    _note(study, 2)["position"] += 1


def _stretch(study: Json) -> None:
    study["hand"]["limit_mm"] = 20


def _move_rest(study: Json) -> None:
    for event in study["events"]:
        if event["bar"] > 1:
            event["bar"] += 1
            event["onset"] = str(Fraction(event["onset"]) + 1)


def _repeat_cue(study: Json) -> None:
    for event in study["events"]:
        if event["kind"] == "rest":
            event["checkpoint"] = "jaw"


def _swap_fingers(study: Json) -> None:
    first = _note(study, 0)["finger"]
    for event in study["events"]:
        if event["kind"] == "note":
            event["finger"] = {first: 4, 4: first}.get(event["finger"], event["finger"])


def _set(path: str, value: object) -> Callable[[Json], None]:
    def change(study: Json) -> None:
        *above, last = path.split(".")
        part = study
        for key in above:
            part = part[key]
        part[last] = value

    return change


def _set_fingers(fingers: dict[tuple[int, int], int]) -> Callable[[Json], None]:
    """Finger each named (string, fret) otherwise, wherever it is played."""

    def change(study: Json) -> None:
        for event in study["events"]:
            if event["kind"] == "note":
                event["finger"] = fingers.get((event["string"], event["fret"]), event["finger"])

    return change


def _without_cues(study: Json) -> None:
    for event in study["events"]:
        if event["kind"] == "rest":
            event["checkpoint"] = None


def _set_note(index: int, key: str, value: object) -> Callable[[Json], None]:
    return lambda study: _note(study, index).update({key: value})


FAULTS: dict[str, tuple[str, Callable[[Json], None]]] = {
    "a wrong fret": ("sounding_places", _set_note(0, "fret", 11)),
    "a wrong pitch": ("sounding_places", _set_note(0, "pitch", "D#4")),
    "a note too long": ("full_bars", _set_note(3, "duration", "1/8")),
    "a note from nowhere tied": ("ties", _set_note(2, "tied", True)),
    "an open finger": ("fingers", _set_note(0, "finger", 0)),
    "crossed fingers": ("finger_order", _swap_fingers),
    "a stretch over the limit": ("reach_within_limit", _stretch),
    "a foreign id": ("identity", _set("id", "ferry-steps-s1f1")),
    "a level off": ("levels", _set("levels", [1, 1, 1, 1, 1])),
    "a score off": ("score", _set("metrics.score", 1.0)),
    "a miscounted run": ("metrics_of_the_notes", _set("metrics.longest_run", 3)),
    "a widest reach off": ("metrics_of_the_notes", _set("metrics.widest_reach_mm", 30)),
    "a part left out": ("score", lambda study: study["metrics"]["parts"].pop(0)),
    "a crossing too many": ("metrics_of_the_notes", _set("metrics.crossings_inside", 1)),
    "a miscounted key": ("metrics_of_the_notes", _set("metrics.key_signs", 4)),
    "no stroke": ("strokes", _set_note(0, "stroke", None)),
    "a chord too late": ("chords_in_order", _set("chords", [{"onset": "1/128", "symbol": "Dm"}])),
    "the same cue again": ("checkpoints", _repeat_cue),
    "fingers 1 3 4 for two whole steps": ("triples", _set_fingers({(3, 5): 3})),
    "a finger on two far frets": ("fingers_keep_their_places", _set_fingers({(3, 7): 1, (3, 10): 1})),
    "a position off": ("position_is_under_finger_one", _set_note(0, "position", 3)),
    "a landing off the beat": ("landings", _set_note(8, "onset", "33/64")),
    "a note too short": ("note_lengths", _set_note(2, "duration", "1/32")),
    "two notes at one moment on a string": ("one_place_a_finger", _set_note(1, "onset", "0")),
    "a cue missing": ("cues_after_landings", _without_cues),
    "another stroke on landing": ("uneven_ends_warn", _set_note(8, "stroke", "up")),
    "an accent inside": ("accents", _set_note(3, "accent", True)),
    "a hand that moves": ("one_position_a_burst", _shift_hand),
    "a rest too long": ("rests_by_rule", _move_rest),
    "two strokes down": ("strokes_by_rule", _swap_strokes),
    "a tempo off": ("tempo_steps", _set("tempo_steps", [60, 72, 84, 96, 107])),
    "a speed off": ("speed", _set("metrics.notes_per_second", 5)),
    "a rhythm class off": ("rhythm_class", _set("metrics.rhythm_class", 4)),
    "another start": ("start_note", _set("start.fret", 2)),
    "another order": ("contour_followed", _set_note(1, "midi", 30)),
    "another chord": ("chords_over_bursts", _set("chords", [])),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_in_ferry_steps_is_found(fault: str) -> None:
    third_string = FERRY_STEPS.replace("{note: D, places: each-string}", "{places: [{string: 3, fret: 7}]}")
    _assert_found(third_string, *FAULTS[fault])


def _assert_found(text: str, rule: str, change: Callable[[Json], None]) -> None:
    study, spec = _good(text)
    broken = copy.deepcopy(study)
    change(broken)
    assert not [found for found in rules.violations(study, spec) if f": {rule}: " in found]
    assert [found for found in rules.violations(broken, spec) if f": {rule}: " in found]


def _drop_second_note(study: Json) -> None:
    """Put a rest in place of the second struck note: it is missing, and the run is cut."""
    dropped = _note(study, 1)
    study["events"] = [
        {key: event[key] for key in ("bar", "onset", "duration", "voice")} | {"kind": "rest", "checkpoint": None}
        if event is dropped
        else event
        for event in study["events"]
    ]


FAULTS_ELSEWHERE: dict[str, tuple[str, Callable[[Json], None]]] = {
    "scale_followed": ("scale", _set_note(1, "midi", 30)),
    "bursts_cut": ("scale", _drop_second_note),
    "fingers_followed": ("fingers", _drop_second_note),
    "written_notes": ("notes", _drop_second_note),
}


@pytest.mark.parametrize("rule", FAULTS_ELSEWHERE)
def test_rules_of_other_materials_can_fail(rule: str) -> None:
    """On every random study of the material: the rule says nothing, until a note is wrong."""
    kind, change = FAULTS_ELSEWHERE[rule]
    caught = 0
    for number in range(0, specs.COUNT, 5):
        case = specs.case(number)
        if caught >= 3:
            break
        if case.spec["material"]["kind"] != kind or "contour" in case.spec:
            continue
        for study in worked_out(case).document["studies"][:1]:
            broken = copy.deepcopy(study)
            change(broken)
            caught += any(f": {rule}: " in text for text in rules.violations(broken, case.spec))
    assert caught >= 3


def _every_note(**changes: object) -> Callable[[Json], None]:
    """Change all notes alike."""

    def change(study: Json) -> None:
        for event in study["events"]:
            if event["kind"] == "note":
                event.update(changes)

    return change


def _set_last(key: str, value: object) -> Callable[[Json], None]:
    return lambda study: _note(study, -1).update({key: value})


def _later(by: Fraction) -> Callable[[Json], None]:
    """Move everything later by the same time."""

    def change(study: Json) -> None:
        for event in study["events"]:
            event["onset"] = str(Fraction(event["onset"]) + by)

    return change


def _equal_eighths(study: Json) -> None:
    for number in range(8):
        _note(study, number).update(onset=str(Fraction(number, 8)), duration="1/8")


def _shape(number: int, key: str, string: int, value: int | None) -> Callable[[Json], None]:
    def change(study: Json) -> None:
        study["shapes"][number][key][string - 1] = value

    return change


FAULTS_BY_EXERCISE: dict[str, list[tuple[str, str, Callable[[Json], None]]]] = {
    "legato": [
        ("a slur upward called a pull-off", "slurs", _set_note(1, "technique", "pull-off")),
        ("a slur by one finger", "slurs", _set_note(1, "finger", 1)),
        ("a slur from another string", "slurs", _set_note(0, "string", 5)),
        ("a slur struck", "strokes", _set_note(1, "stroke", "up")),
        ("a slur without its technique", "slurs", _set_note(1, "technique", None)),
        ("a slur across a shift", "slurs_under_one_hand", _set_note(1, "position", 5)),
        ("a note too few struck", "legato_counts", _set_note(2, "slurred", True)),
        ("slurs miscounted", "metrics_of_the_notes", _set("metrics.slurs", 1)),
        ("two strokes down", "strokes_by_rule", _set_note(2, "stroke", "down")),
    ],
    "fingers": [
        ("a finger twice running", "fingers_in_turn", _set_note(1, "stroke", "i")),
        ("an accent too many", "accents", _set_note(1, "accent", True)),
        ("a pick among fingers", "strokes", _set_note(1, "stroke", "down")),
    ],
    "pima": [
        ("the thumb on a treble", "plucking_by_string", lambda study: _note(study, 0).update(string=3)),
        ("a finger twice running", "plucking_by_string", lambda study: _note(study, 1).update(stroke="p")),
        ("even eighths", "swing", _equal_eighths),
    ],
    "strum": [
        ("another stroke than the pattern's", "strum_by_pattern", _set_note(0, "stroke", "down")),
        ("not displaced", "rests_by_rule", _later(Fraction(-1, 8))),
    ],
    "turns": [("even notes", "beats_in_turn", _set_note(5, "duration", "1/16"))],
    "free": [
        ("a string not allowed", "shifts_where_allowed", _set_note(2, "string", 1)),
        ("a shift elsewhere", "shifts_where_allowed", _set_note(1, "position", 9)),
        ("an open string", "open_strings_as_asked", _set_note(3, "fret", 0)),
    ],
    "crossing": [("another string than asked", "contour_strings", _set_note(0, "string", 5))],
    "double-notes": [
        ("a fourth for a third", "double_notes", _set_note(1, "pitch", "F4")),
        ("a note outside the scale", "double_notes", _set_note(1, "midi", 63)),
        ("another pair of strings", "double_notes", _set_note(0, "string", 4)),
        ("a step left out", "double_notes", _set_note(0, "midi", 62)),
        ("one finger for two strings", "one_sweep_together", _every_note(stroke="i")),
        ("another start", "starts_where_it_says", _set("start.fret", 3)),
    ],
    "double-notes down": [("two strokes at once", "one_sweep_together", _set_note(0, "stroke", "up"))],
    "slides": [
        ("a slide by two fingers", "slurs", _set_note(1, "finger", 3)),
        ("a slide struck", "slides", _set_note(1, "slurred", False)),
        ("a slide too far", "slides", _set_note(1, "midi", 64)),
        ("a start left out", "slides", _set_note(2, "midi", 58)),
    ],
    "bends": [
        ("a bend of two frets", "slurs", _set_note(1, "fret", 7)),
        ("a bend too wide", "sounding_places", lambda study: _note(study, 1).update(midi=64, pitch="E4")),
        ("a bend short of its goal", "bends", lambda study: _note(study, 1).update(midi=61, pitch="C#4")),
        ("a release to another note", "bends", _set_note(2, "midi", 61)),
        ("no fret for the helping fingers", "bends", _set_note(0, "fret", 2)),
    ],
    "harmonics": [
        ("the stopped note for the partial", "sounding_places", lambda s: _note(s, 1).update(midi=57, pitch="A3")),
        ("another node", "harmonics", _set_note(1, "fret", 5)),
        ("a string too many", "harmonics", _set_last("string", 2)),
        ("pressed down", "harmonics", _set_note(0, "technique", None)),
    ],
    "drone": [
        ("a drone stopped", "drone", lambda study: next(n for n in study["events"] if n["voice"] == 2).update(fret=2)),
        ("the line on another string", "drone", _set_note(1, "string", 3)),
        ("a note of the line left out", "drone", _set_note(1, "midi", 55)),
        (
            "the drone silent once",
            "drone",
            lambda study: study["events"].remove([event for event in study["events"] if event["voice"] == 2][1]),
        ),
    ],
    "turn-taking drone": [("two drones running", "drone", lambda study: _note(study, 2).update(string=5, fret=0))],
    "holds": [
        ("too short a rest", "holds", lambda study: _note(study, 2).update(duration="1/4")),
        ("a string left out", "holds", _set_note(1, "string", 1)),
        ("another finger", "holds", _set_note(1, "finger", 2)),
        ("two frets under one finger", "one_place_a_finger", lambda study: _note(study, 1).update(onset="0", fret=8)),
    ],
    "right-hand": [
        ("another finger plucks", "pattern_plucked", _set_note(1, "stroke", "a")),
        ("a finger twice running", "no_finger_twice_running", _set_note(1, "stroke", "i")),
        ("the thumb in the upper voice", "pattern_plucked", lambda study: _set_note(0, "stroke", "p")(study)),
        ("a ringing finger moved", "notes_of_the_shape", _set_note(3, "fret", 3)),
        ("a finger off a low string", "plucked_strings", _set_note(0, "string", 5)),
        ("a tone outside the chord", "shapes_are_chords", _shape(0, "frets", 2, 2)),
        ("another tone lowest", "shapes_are_chords", _shape(0, "frets", 5, 3)),
        ("a finger on two frets", "shapes_can_be_held", _shape(0, "fingers", 2, 2)),
        ("kept, though the shape before had it not", "kept_fingers", _set_note(0, "kept", True)),
        ("another start", "starts_in_the_first_shape", _set("start.string", 4)),
    ],
    "chord-changes": [
        ("struck where the pattern misses", "strums", _every_note(onset="1/8")),
        ("a string left out", "strums", lambda study: study["events"].pop(0)),
        ("up for down", "strums", _every_note(stroke="up")),
        ("a barre over an open string", "shapes_can_be_held", _shape(0, "fingers", 5, 1)),
        ("a stay not marked", "kept_fingers", _every_note(kept=False)),
        ("a finger over an open string", "barres_lie_flat", lambda study: _note(study, 3).update(fret=3, finger=3)),
        ("two frets too far apart", "reach_together", lambda study: _note(study, 3).update(fret=8)),
    ],
    "barre": [
        ("a barre too narrow", "barres_marked", lambda study: study["barres"][0].update(strings=2)),
        ("a barre at another fret", "barres_marked", lambda study: study["barres"][0].update(fret=2)),
    ],
}
CASES_BY_EXERCISE = [(name, fault) for name, faults in FAULTS_BY_EXERCISE.items() for fault, _, _ in faults]


@pytest.mark.parametrize("name", EXERCISES)
def test_the_small_exercises_keep_the_contract(name: str) -> None:
    assert rules.violations(*_good(EXERCISES[name])) == []


@pytest.mark.parametrize(("name", "fault"), CASES_BY_EXERCISE)
def test_a_fault_in_a_small_exercise_is_found(name: str, fault: str) -> None:
    rule, change = next((rule, change) for each, rule, change in FAULTS_BY_EXERCISE[name] if each == fault)
    _assert_found(EXERCISES[name], rule, change)


def test_every_rule_has_a_fault() -> None:
    tried = {rule for rule, _ in FAULTS.values()} | set(FAULTS_ELSEWHERE)
    tried |= {rule for faults in FAULTS_BY_EXERCISE.values() for _, rule, _ in faults}
    assert {rule.__name__ for rule in (*rules.STUDY_RULES, *rules.SPEC_RULES)} == tried
