"""Five hundred random exercises, each study held against the contract; and proof that the rules can fail.

In, Out:  `specs.case`, the engine run in this process; violations by `rules`
Not here: commands and files (`test_commands`), printed pages
"""

from __future__ import annotations

import copy
import json
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
import yaml

from builder.compose import Knowledge, compose
from builder.errors import Problem
from builder.outputs.study_json import document, study_json
from builder.pipeline import knowledge_from, studies_of
from builder.spec import Library, load_library, read_exercise
from tests.contract import rules, specs

Json = dict[str, Any]
CHUNK = 25
SHARE_WITH_STUDIES = 0.8

FERRY_STEPS = """\
id: ferry-steps
title: Ferry Steps
key: D minor
material: {kind: chord-loop, chords: [Dm, Gm, Bb, A], set-size: 3}
contour: {order: [1, 2, 3, 2], times: 2, land: 1}
rhythm: {meter: 4/4, notes-per-beat: 4, rest: to-barline}
neck: {path: one-string, start: {note: D, places: each-string}}
strokes: {rule: alternate, first: down}
tempo: {from: 60, to: 108, steps: 5}
checkpoints: {at: rests, cues: rotate}
"""


@dataclass(frozen=True, slots=True)
class Result:
    """What the engine made of a case: the JSON document, or problems."""

    case: specs.Case
    document: Json
    problems: tuple[Problem, ...]


@cache
def _tools() -> tuple[Library, Knowledge]:
    library = load_library()
    return library, knowledge_from(library)


@cache
def _result(number: int) -> Result:
    library, knowledge = _tools()
    case = specs.case(number)
    with TemporaryDirectory() as folder:
        book = read_exercise(case.write(Path(folder)), library, None, case.hand)
    composed = [compose(plan, knowledge) for plan in book.exercises]
    problems = (*book.problems, *(problem for one in composed for problem in one.problems))
    studies = [study_json(study) for one in composed for study in one.studies]
    skipped = [each for one in composed for each in one.skipped]
    return Result(case, json.loads(json.dumps(document(studies, skipped, ()))), problems)


@pytest.mark.parametrize("first", range(0, specs.COUNT, CHUNK))
def test_random_studies_keep_the_contract(first: int) -> None:
    found = []
    for number in range(first, first + CHUNK):
        result = _result(number)
        for study in result.document["studies"]:
            found += rules.violations(study, result.case.spec)
    assert not found, f"{len(found)} violations\n" + "\n".join(found[:40])


@pytest.mark.parametrize("first", range(0, specs.COUNT, CHUNK))
def test_what_fits_nowhere_is_a_clear_problem(first: int) -> None:
    for number in range(first, first + CHUNK):
        result = _result(number)
        if not result.document["studies"]:
            assert result.problems, f"case {number}: no studies and no problem"
        else:
            assert not result.problems, f"case {number}: studies and problems at once: {result.problems[0]}"
        for problem in result.problems:
            assert problem.where.line > 0, str(problem)
            assert problem.where.column > 0, str(problem)
            assert problem.found, str(problem)
            assert problem.expected, str(problem)
        for skipped in result.document["skipped"]:
            assert skipped["exercise"] == f"case-{number}"
            assert skipped["reason"].strip(), f"case {number}: a place is skipped without a reason"


def test_most_random_exercises_give_studies() -> None:
    good = Counter(specs.CELLS[n % len(specs.CELLS)] for n in range(specs.COUNT) if _result(n).document["studies"])
    assert sum(good.values()) >= SHARE_WITH_STUDIES * specs.COUNT
    tried = Counter(specs.CELLS[number % len(specs.CELLS)] for number in range(specs.COUNT))
    assert min(tried.values()) >= 5
    assert not [cell for cell in specs.CELLS if not good[cell]], "a combination that never gives a study"


def test_the_same_spec_gives_the_same_studies() -> None:
    for number in range(0, specs.COUNT, 50):
        assert _result.__wrapped__(number).document == _result(number).document


def _ferry(folder: Path) -> tuple[Json, Json]:
    path = folder / "ferry-steps.yaml"
    path.write_text(FERRY_STEPS, encoding="utf-8")
    (study,) = (one for one in studies_of(path, "guitar", "medium").document["studies"] if one["id"].endswith("s3f7"))
    spec: Json = yaml.safe_load(FERRY_STEPS)
    plain: Json = json.loads(json.dumps(study))
    return plain, spec


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
def test_every_rule_can_fail(fault: str, tmp_path: Path) -> None:
    study, spec = _ferry(tmp_path)
    rule, change = FAULTS[fault]
    broken = copy.deepcopy(study)
    change(broken)
    assert not [text for text in rules.violations(study, spec) if f": {rule}: " in text]
    assert [text for text in rules.violations(broken, spec) if f": {rule}: " in text]


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
        if case.spec["material"]["kind"] != kind or "contour" in case.spec:
            continue
        for study in _result(number).document["studies"][:1]:
            broken = copy.deepcopy(study)
            change(broken)
            caught += any(f": {rule}: " in text for text in rules.violations(broken, case.spec))
    assert caught >= 3
