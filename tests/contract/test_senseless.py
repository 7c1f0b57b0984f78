"""Combinations without sense are clear problems; what a teacher prescribes for single notes is obeyed and reported.

In, Out:  small exercises that ask for two things at once which exclude each other; problems at their place
Source:   product contract, sections 4 and 5; the "other answers" of the page of each kind
Not here: slips of the pen in single keys (`test_commands`)
"""

from __future__ import annotations

import re
from itertools import product
from pathlib import Path

import pytest

from tests.contract import specs, technique_specs
from tests.contract.specs import Case, Json
from tests.contract.test_commands import BOOK, assert_problem, run
from tests.contract.working_out import Result, worked_out

MATERIALS: dict[str, Json] = {
    "double-notes": {"interval": "third", "notes": 4},
    "right-hand": {"chords": ["Am"], "pattern": ["p", "i", "m"]},
    "chord-changes": {"chords": ["Am", "C"]},
    "slides": {"notes": 4},
    "bends": {"notes": 4},
    "harmonics": {"strings": [4, 3]},
    "drone": {"drone": 5, "notes": 4},
    "holds": {"shape": "stretch", "hold": 4, "rounds": 2},
    "notes": {"voices": ["A3 1/4, C4 1/4, E4 1/2"]},
}
# A rhythm that written notes have no use for, key by key.
RHYTHM: Json = {
    "notes-per-beat": 2,
    "durations": ["1/8", "1/16", "1/16"],
    "burst": 4,
    "landing": 2,
    "rest": "none",
    "rest-at-least": 2,
    "displace": "1/2",
}
EVERY_RULE = tuple(dict.fromkeys(rule for rules in technique_specs.STROKES.values() for rule in rules))
KEYS_OF_RULES: dict[str, Json] = {"strum": {"pattern": ["down", "up"]}}
ORDERED = ("right-hand", "chord-changes", "slides", "bends", "drone", "holds", "notes")


def _exercise(kind: str, **answers: object) -> Json:
    """A good exercise of a kind, with other answers put in."""
    material = {"kind": kind, **MATERIALS[kind]}
    rule = {"right-hand": "pima"}.get(kind, "down")
    spec: Json = {"title": "Crossed Ropes", "key": "A minor", "material": material, "strokes": {"rule": rule}}
    if kind == "holds":
        spec |= {"rhythm": {"notes-per-beat": 1, "rest": 4}}
        spec["neck"] = {"start": {"places": [{"string": 4, "fret": 9}]}}
    return {**spec, **answers}


def _worked_out(spec: Json) -> Result:
    return worked_out(Case(0, spec, "medium"))


# What is crossed, the exercise, the key that has to be named.
SENSELESS: dict[str, tuple[Json, str]] = {
    **{
        f"{rule} for {kind}": (
            _exercise(kind, strokes={"rule": rule, **KEYS_OF_RULES.get(rule, {})}),
            r"strokes\.rule",
        )
        for kind, rule in product(technique_specs.STROKES, EVERY_RULE)
        if rule not in technique_specs.STROKES[kind]
    },
    **{
        f"{path} path for {kind}": (_exercise(kind, neck={"path": path}), r"neck\.path")
        for kind, path in product(technique_specs.STROKES, ("one-string", "position", "free"))
    },
    **{f"a contour for {kind}": (_exercise(kind, contour={"order": [1, 2]}), "contour") for kind in ORDERED},
    **{
        f"{key} for notes": (_exercise("notes", rhythm={"meter": "4/4", key: value}), rf"rhythm\.{key}")
        for key, value in RHYTHM.items()
    },
    "legato for notes together": (_exercise("double-notes", strokes={"rule": "legato"}), r"strokes\.rule"),
    "one finger for notes together": (_exercise("double-notes", strokes={"rule": "fingers"}), r"strokes\.rule"),
    "a strum without a pattern": (_exercise("chord-changes", strokes={"rule": "strum"}), "strokes"),
    "a pattern without a strum": (
        _exercise("chord-changes", strokes={"rule": "down", "pattern": ["down"]}),
        r"strokes\.pattern",
    ),
    "a strum that misses the change": (
        _exercise("chord-changes", strokes={"rule": "strum", "pattern": ["miss", "up"]}),
        r"strokes\.pattern",
    ),
    "numbers to pluck without legato": (
        _exercise("double-notes", strokes={"rule": "down", "pluck": [1]}),
        r"strokes\.pluck",
    ),
    "an order without fingers": (_exercise("slides", strokes={"rule": "down", "order": ["i"]}), r"strokes\.order"),
    "a slide cut in two": (_exercise("slides", rhythm={"burst": 3}), r"rhythm\.burst"),
    "a bend cut in two": (_exercise("bends", rhythm={"burst": 3}), r"rhythm\.burst"),
    "too short a rest for a hold": (
        _exercise("holds", rhythm={"notes-per-beat": 1, "rest": 2}, neck=_exercise("holds")["neck"]),
        r"rhythm\.rest",
    ),
    "no rest after a hold": (
        _exercise("holds", rhythm={"notes-per-beat": 1, "rest": "none"}, neck=_exercise("holds")["neck"]),
        r"rhythm\.rest",
    ),
    "swing of three": (_exercise("slides", rhythm={"notes-per-beat": 3, "swing": True}), r"rhythm\.swing"),
    "two ways to count": (
        _exercise("slides", rhythm={"notes-per-beat": [2, 3], "durations": ["1/8"]}),
        r"rhythm\.durations",
    ),
    "a shift on a string that is not there": (
        _exercise("slides", neck={"shift-on": [9]}),
        r"neck\.shift-on",
    ),
    "a finger twice running": (
        _exercise("right-hand", material={"kind": "right-hand", "chords": ["Am"], "pattern": ["p", "i", "i"]}),
        r"material\.pattern",
    ),
    "a seam with a finger twice": (
        _exercise("right-hand", material={"kind": "right-hand", "chords": ["Am"], "pattern": ["i", "p", "i"]}),
        r"material\.pattern",
    ),
    "tremolo on strings of one's own": (
        _exercise(
            "right-hand",
            material={**MATERIALS["right-hand"], "kind": "right-hand", "tremolo": 1, "fingers-on": {"i": 3}},
        ),
        "material",
    ),
    "a drone outside the scale": (
        _exercise("drone", key="Eb major", neck={"start": {"note": "Eb"}}),
        r"material\.drone",
    ),
    "a line on the drone": (
        _exercise("drone", material={"kind": "drone", "drone": 5, "notes": 4, "strings": [5]}),
        r"material\.strings",
    ),
    "no node": (_exercise("harmonics", material={"kind": "harmonics", "frets": [6]}), r"material\.frets"),
    "a node behind the last fret": (
        _exercise("harmonics", material={"kind": "harmonics", "frets": [24], "strings": [4]}),
        r"neck\.start",
    ),
    "one string for two notes": (
        _exercise("double-notes", material={"kind": "double-notes", "interval": "third", "strings": [2, 2]}),
        r"material\.strings",
    ),
    "a shape of another chord": (
        _exercise("chord-changes", material={"kind": "chord-changes", "chords": [{"chord": "Am", "frets": "x02211"}]}),
        r"material\.chords",
    ),
    "a bend too wide": (
        _exercise("bends", material={"kind": "bends", "scale": ["A", "D"], "notes": 2}),
        "material",
    ),
    "overrides of a bar that is not there": (
        _exercise("slides", overrides=[{"bar": 99, "note": 1, "finger": 2}]),
        r"overrides\.1",
    ),
    "overrides of a note that is not there": (
        _exercise("slides", overrides=[{"bar": 1, "note": 99, "finger": 2}]),
        r"overrides\.1",
    ),
    "a string the note is not on": (
        _exercise("slides", overrides=[{"bar": 1, "note": 1, "string": 9}]),
        r"overrides\.1",
    ),
    "an override of nothing": (_exercise("slides", overrides=[{"bar": 1, "note": 1}]), r"overrides\.1"),
}


@pytest.mark.parametrize("kind", MATERIALS)
def test_the_exercises_to_be_spoilt_are_good(kind: str) -> None:
    result = _worked_out(_exercise(kind))
    assert not result.problems
    assert result.document["studies"]


@pytest.mark.parametrize("name", SENSELESS)
def test_a_combination_without_sense_is_a_problem_at_its_place(name: str) -> None:
    spec, key = SENSELESS[name]
    result = _worked_out(spec)
    assert not result.document["studies"]
    named = [problem for problem in result.problems if re.match(key, problem.key)]
    assert named, [str(problem) for problem in result.problems]
    for problem in result.problems:
        first, *hints = str(problem).split("\n")
        assert re.search(r"\.yaml:[1-9]\d*:[1-9]\d*: \S+: found .+, expected .+", first)
        assert len(hints) <= 1
        assert all(hint.startswith("  hint: ") for hint in hints)


def test_all_of_them_together_exit_with_2_and_are_all_told(tmp_path: Path) -> None:
    folder = tmp_path / "exercises"
    folder.mkdir()
    (tmp_path / "book.yaml").write_text(BOOK, encoding="utf-8")
    for number, (spec, _) in enumerate(SENSELESS.values()):
        (folder / f"crossed-{number}.yaml").write_text(specs.as_yaml(spec), encoding="utf-8")
    done = run("check", tmp_path / "book.yaml")
    assert_problem(done)
    for number, name in enumerate(SENSELESS):
        assert re.search(rf"crossed-{number}\.yaml:\d+:\d+: ", done.stderr), name


# --- overrides -------------------------------------------------------------------------------------------------------

WINCH: Json = {
    "title": "Winch Drill",
    "material": {"kind": "fingers", "pattern": [1, 2, 3, 4], "strings": [4, 3]},
    "rhythm": {"notes-per-beat": 4, "rest": "to-barline"},
    "neck": {"start": {"places": [{"string": 4, "fret": 7}]}},
    "strokes": {"rule": "alternate"},
}


def _winch(*overrides: Json) -> Json:
    (study,) = _worked_out({**WINCH, **({"overrides": list(overrides)} if overrides else {})}).document["studies"]
    found: Json = study
    return found


def _bar_note(study: Json, bar: int, number: int) -> Json:
    notes = [event for event in study["events"] if event["kind"] == "note" and event["bar"] == bar]
    found: Json = notes[number - 1]
    return found


def _others(study: Json, without: Json) -> list[Json]:
    return [event for event in study["events"] if (event["onset"], event["voice"]) != (without["onset"], 1)]


@pytest.mark.parametrize("number", [1, 2, 3])
def test_a_prescribed_stroke_is_obeyed_and_one_against_the_rule_is_reported(number: int) -> None:
    plain = _winch()
    before = _bar_note(plain, 1, number)
    against = {"down": "up", "up": "down"}[before["stroke"]]
    bent = _winch({"bar": 1, "note": number, "stroke": against})
    assert _bar_note(bent, 1, number) == {**before, "stroke": against}
    assert _others(bent, before) == _others(plain, before)
    told = [warning for warning in bent["warnings"] if warning not in plain["warnings"]]
    assert [warning for warning in told if "bar 1" in warning and f"note {number}" in warning]
    assert _winch({"bar": 1, "note": number, "stroke": before["stroke"]}) == plain


def test_a_prescribed_finger_is_obeyed_and_others_keep_their_places() -> None:
    plain = _winch()
    bent = _winch({"bar": 1, "note": 2, "finger": 3})
    assert _bar_note(bent, 1, 2)["finger"] == 3
    assert _without_fingers(bent) == _without_fingers(plain)


def _without_fingers(study: Json) -> list[Json]:
    loose = ("finger", "finger_printed", "position", "guide")
    return [{key: value for key, value in event.items() if key not in loose} for event in study["events"]]


TWO_STARTS: Json = {
    "title": "Heaving Line",
    "key": "C major",
    "material": {"kind": "scale", "notes": 9},
    "rhythm": {"notes-per-beat": 3},
    "neck": {
        "path": {"per-string": 3},
        "shift-in-burst": True,
        "start": {"places": [{"string": 6, "fret": 8}, {"string": 5, "fret": 3}]},
    },
    "strokes": {"rule": "alternate"},
}


def test_an_override_for_one_start_moves_its_note_there_at_its_pitch_and_changes_no_other_study() -> None:
    elsewhere = {"bar": 1, "note": 4, "string": 6, "start": {"string": 6, "fret": 8}}
    plain, bent = (
        {study["id"]: study for study in _worked_out(spec).document["studies"]}
        for spec in (TWO_STARTS, {**TWO_STARTS, "overrides": [elsewhere]})
    )
    assert plain.keys() == bent.keys() == {"case-0-s6f8", "case-0-s5f3"}
    assert bent["case-0-s5f3"] == plain["case-0-s5f3"]
    before, after = (_bar_note(studies["case-0-s6f8"], 1, 4) for studies in (plain, bent))
    assert (before["string"], after["string"]) == (5, 6)
    assert (after["fret"], after["midi"]) == (before["fret"] + 5, before["midi"])
