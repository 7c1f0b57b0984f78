"""The contract's own example, note by note: the sets, the six places, bars, strokes, fingers, cues.

In, Out:  the exercise of the product contract, section 4; what sections 2, 4 and 7 say of it
"""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import yaml

from builder.errors import SpecError
from builder.pipeline import studies_of
from tests.contract import rules
from tests.contract.small_exercises import FERRY_STEPS

Json = dict[str, Any]
PLACES = ["s1f10", "s2f15", "s3f7", "s4f12", "s5f5", "s6f10"]
# The set over each chord at s3f7, counted there in octave 4; other places move it by whole octaves.
SETS = {"Dm": ("D4", "E4", "F4"), "Gm": ("Bb3", "C4", "D4"), "Bb": ("D4", "E4", "F4"), "A": ("C#4", "D4", "E4")}
OCTAVES = {"s1f10": 1, "s2f15": 1, "s3f7": 0, "s4f12": 0, "s5f5": -1, "s6f10": -1}


@pytest.fixture(scope="module")
def document(tmp_path_factory: pytest.TempPathFactory) -> Json:
    path = tmp_path_factory.mktemp("ferry") / "ferry-steps.yaml"
    path.write_text(FERRY_STEPS, encoding="utf-8")
    return json.loads(json.dumps(studies_of(path, "guitar", "medium").document))  # type: ignore[no-any-return]


@pytest.fixture(scope="module")
def studies(document: Json) -> dict[str, Json]:
    return {study["id"].removeprefix("ferry-steps-"): study for study in document["studies"]}


def _moved(pitch: str, octaves: int) -> str:
    return pitch[:-1] + str(int(pitch[-1]) + octaves)


def test_the_six_places_are_the_contracts(document: Json, studies: dict[str, Json]) -> None:
    assert sorted(studies) == PLACES
    assert document["skipped"] == []
    assert document["problems"] == []


@pytest.mark.parametrize("place", PLACES)
def test_each_bar_plays_the_set_over_its_chord(studies: dict[str, Json], place: str) -> None:
    study = studies[place]
    assert [(chord["onset"], chord["symbol"]) for chord in study["chords"]] == [
        (str(bar), symbol) for bar, symbol in enumerate(SETS)
    ]
    for bar, pitches in enumerate(SETS.values(), start=1):
        notes = [event for event in study["events"] if event["kind"] == "note" and event["bar"] == bar]
        low, middle, high = (_moved(pitch, OCTAVES[place]) for pitch in pitches)
        assert [note["pitch"] for note in notes] == [low, middle, high, middle] * 2 + [low]
        assert {note["string"] for note in notes} == {study["start"]["string"]}


@pytest.mark.parametrize("place", PLACES)
def test_each_bar_is_eight_notes_a_landing_and_a_rest(studies: dict[str, Json], place: str) -> None:
    lengths = [Fraction(1, 16)] * 8 + [Fraction(1, 4)]
    for bar in range(1, 5):
        events = [event for event in studies[place]["events"] if event["bar"] == bar]
        assert [event["kind"] for event in events] == ["note"] * 9 + ["rest"]
        assert [Fraction(event["duration"]) for event in events] == [*lengths, Fraction(1, 4)]
        assert [event["stroke"] for event in events[:9]] == ["down", "up"] * 4 + ["down"]
        assert [event["accent"] for event in events[:9]] == [True] + [False] * 7 + [True]
        assert Fraction(events[-1]["onset"]) == bar - 1 + Fraction(3, 4)
    assert max(event["bar"] for event in studies[place]["events"]) == 4


def test_fingers_at_string_three_are_as_practised(studies: dict[str, Json]) -> None:
    """Whole and half step 1 3 4, two whole steps 1 2 4, half and whole 1 2 4 (check values d, oracle 9)."""
    expected = {1: {7: 1, 9: 3, 10: 4}, 2: {3: 1, 5: 2, 7: 4}, 3: {7: 1, 9: 3, 10: 4}, 4: {6: 1, 7: 2, 9: 4}}
    for bar, fingers in expected.items():
        notes = [event for event in studies["s3f7"]["events"] if event["kind"] == "note" and event["bar"] == bar]
        assert {note["fret"]: note["finger"] for note in notes} == fingers
        assert {note["position"] for note in notes} == {min(fingers)}


def test_metrics_and_level_at_string_three(studies: dict[str, Json]) -> None:
    """Worked out by hand from check values c and k: 4 notes a second, frets 3 to 7 on 648 mm, nine notes a run.

    Tablature is printed, so the flat of the key is worth nothing. Weakness of the eight pairs, a quarter of it where
    the fingers go on: 1 3 4 3 1 3 4 3 1 has 0.1 0.25 1 0.1 0.4 0.25 1 0.1, and 1 2 4 2 1 2 4 2 1 has 0.025 0.2 0.8
    0.025 0.1 0.2 0.8 0.025; two bars of each.
    """
    metrics = studies["s3f7"]["metrics"]
    assert metrics["notes_per_second"] == pytest.approx(4)
    assert metrics["widest_reach_mm"] == pytest.approx(112.41, abs=0.011)
    assert (metrics["shifts_per_16"], metrics["string_change_share"]) == (0, 0)
    assert (metrics["rhythm_class"], metrics["notes_at_once"]) == (1, 1)
    assert (metrics["longest_run"], metrics["key_signs"]) == (9, 1)
    weak = (3.2 + 2.175) / 16
    assert metrics["weak_pair_share"] == pytest.approx(weak, abs=0.001)
    assert metrics["score"] == pytest.approx(
        7.5 + 15 * 52.41 / 70 + 2.5 + 5 * 5 / 60 + 5 * (weak - 0.2) / 0.6, abs=0.02
    )
    assert studies["s3f7"]["level"] == 3


@pytest.mark.parametrize("place", PLACES)
def test_tempo_meter_and_key_are_those_of_the_spec(studies: dict[str, Json], place: str) -> None:
    study = studies[place]
    assert study["tempo_steps"] == [60, 72, 84, 96, 108]
    assert (study["meter"], study["beat"], study["key"]) == ("4/4", "1/4", "D minor")
    assert (study["stroke_rule"], study["after_rest"]) == ("alternate", "reset")
    assert study["instrument"]["strings"] == [64, 59, 55, 50, 45, 40]
    assert study["hand"] == {"comfort_mm": 98, "limit_mm": 127}


def test_cues_rotate_in_file_order_from_the_studys_number(studies: dict[str, Json]) -> None:
    folder = Path(__file__).parents[2] / "shared" / "cues"
    files = sorted(folder.glob("*.yaml"))
    order = [cue for path in files for cue in yaml.safe_load(path.read_text(encoding="utf-8"))]
    first = []
    for study in studies.values():
        cues = [event["checkpoint"] for event in study["events"] if event["kind"] == "rest"]
        begin = order.index(cues[0])
        assert cues == [order[(begin + step) % len(order)] for step in range(4)]
        first.append(begin)
    assert len(set(first)) == len(first)
    assert max(first) - min(first) == len(first) - 1


@pytest.mark.parametrize("place", PLACES)
def test_every_rule_of_the_contract_holds(studies: dict[str, Json], place: str) -> None:
    assert rules.violations(studies[place], yaml.safe_load(FERRY_STEPS)) == []


# Check values h: three loops, worked out by brute force: `may-stay`, `choose`, the sets. In loop three, "move", the
# table there ends on B C D, which holds one tone of Dm; D E F moves as little (5) and is the candidate rule N takes.
LOOPS = {
    "one": ("Bb major", "[Bb, Gm, Eb, F]", "Bb3"),
    "two": ("F# minor", "[F#m, {chord: D, scale: D lydian}, B7, C#7]", "A3"),
    "three": ("A minor", "[Am, Bdim, {chord: E7, scale: [E, F, G#, A, B, C, D]}, Dm]", "C4"),
}
WORKED = [
    ("one", True, "nearest", [(58, 60, 62), (58, 60, 62), (55, 57, 58), (53, 55, 57)]),
    ("one", True, "round-trip", [(58, 60, 62), (55, 57, 58), (55, 57, 58), (57, 58, 60)]),
    ("one", False, "nearest", [(58, 60, 62), (55, 57, 58), (63, 65, 67), (65, 67, 69)]),
    ("one", False, "round-trip", [(58, 60, 62), (55, 57, 58), (63, 65, 67), (57, 58, 60)]),
    ("two", True, "nearest", [(57, 59, 61), (54, 56, 57), (54, 56, 57), (53, 54, 56)]),
    ("two", True, "round-trip", [(57, 59, 61), (54, 56, 57), (54, 56, 57), (56, 58, 59)]),
    ("two", False, "nearest", [(57, 59, 61), (54, 56, 57), (56, 57, 59), (56, 58, 59)]),
    ("two", False, "round-trip", [(57, 59, 61), (54, 56, 57), (56, 57, 59), (56, 58, 59)]),
    ("three", True, "nearest", [(60, 62, 64), (59, 60, 62), (59, 60, 62), (62, 64, 65)]),
    ("three", True, "round-trip", [(60, 62, 64), (62, 64, 65), (62, 64, 65), (62, 64, 65)]),
    ("three", False, "nearest", [(60, 62, 64), (59, 60, 62), (60, 62, 64), (62, 64, 65)]),
    ("three", False, "round-trip", [(60, 62, 64), (59, 60, 62), (60, 62, 64), (62, 64, 65)]),
]


@pytest.mark.parametrize(("loop", "may_stay", "choose", "sets"), WORKED)
def test_worked_loops_move_as_worked_out(
    tmp_path: Path, loop: str, may_stay: bool, choose: str, sets: list[tuple[int, ...]]
) -> None:
    key, chords, first = LOOPS[loop]
    scale = "chord" if loop == "two" else "auto"
    path = tmp_path / "loop.yaml"
    path.write_text(
        f"title: Loop\nkey: {key}\n"
        f"material: {{kind: chord-loop, chords: {chords}, scale: {scale}, choose: {choose}, "
        f"may-stay: {str(may_stay).lower()}, range: [E3, E5]}}\n"
        "contour: {order: [1, 2, 3]}\n"
        f"neck: {{path: one-string, start: {{note: {first}, places: each-string}}}}\n",
        encoding="utf-8",
    )
    document = studies_of(path, "guitar", "large").document
    assert document["studies"]
    for study in document["studies"]:
        midi = [event["midi"] for event in study["events"] if event["kind"] == "note"]
        assert [tuple(midi[step : step + 3]) for step in range(0, len(midi), 3)] == sets


def test_a_leading_note_is_spelled_as_the_chord_spells_it(tmp_path: Path) -> None:
    """Check values h, loop 2, stay, greedy: E#3 F#3 G#3 over C#7, not F."""
    path = tmp_path / "loop.yaml"
    path.write_text(
        "title: Loop\nkey: F# minor\nmaterial: {kind: chord-loop, chords: [F#m, {chord: D, scale: D lydian}, B7, C#7], "
        "scale: chord, may-stay: true, range: [E3, E5]}\ncontour: {order: [1, 2, 3]}\n"
        "neck: {path: one-string, start: {note: A3, places: each-string}}\n",
        encoding="utf-8",
    )
    study = studies_of(path, "guitar", "large").document["studies"][0]
    assert [event["pitch"] for event in study["events"] if event["kind"] == "note"][-3:] == ["E#3", "F#3", "G#3"]


def test_a_smaller_hand_plays_an_octave_higher_where_it_must(tmp_path: Path) -> None:
    """A small hand's limit is 98 mm: frets 3 to 7 (112.41 mm) and 1 to 5 (126.18) are over it, all others within."""
    path = tmp_path / "ferry-steps.yaml"
    path.write_text(FERRY_STEPS, encoding="utf-8")
    document = studies_of(path, "guitar", "small").document
    places = {study["id"].removeprefix("ferry-steps-") for study in document["studies"]}
    assert places == {"s1f10", "s2f15", "s3f19", "s4f12", "s5f17", "s6f10"}
    assert document["skipped"] == []


def test_a_string_without_a_playable_place_is_skipped_with_its_reason(tmp_path: Path) -> None:
    """The contract's own reason: from an open D string, B flat two whole steps below needs fret -4."""
    path = tmp_path / "ferry-steps.yaml"
    path.write_text(
        FERRY_STEPS.replace("each-string", "[{string: 4, fret: 0}, {string: 3, fret: 7}]").replace("note: D, ", ""),
        encoding="utf-8",
    )
    document = studies_of(path, "guitar", "medium").document
    assert [study["id"] for study in document["studies"]] == ["ferry-steps-s3f7"]
    assert document["skipped"] == [
        {"exercise": "ferry-steps", "start": {"string": 4, "fret": 0}, "reason": "needs fret -4"}
    ]


def test_a_first_note_no_set_begins_on_is_a_problem_naming_those_that_do(tmp_path: Path) -> None:
    """Of the seven steps of D minor only D E F and F G A hold two tones of Dm."""
    path = tmp_path / "ferry-steps.yaml"
    path.write_text(FERRY_STEPS.replace("note: D,", "note: G,"), encoding="utf-8")
    with pytest.raises(SpecError, match=r"ferry-steps\.yaml:7:\d+: .*: D F\b"):
        studies_of(path, "guitar", "medium")


def test_a_set_too_small_for_two_chord_tones_is_a_problem_at_the_chord(tmp_path: Path) -> None:
    """Two neighbours of a seven-note scale hold one tone of a triad at most."""
    path = tmp_path / "ferry-steps.yaml"
    path.write_text(
        FERRY_STEPS.replace("set-size: 3", "set-size: 2").replace("order: [1, 2, 3, 2]", "order: [1, 2]"),
        encoding="utf-8",
    )
    with pytest.raises(SpecError, match=r"(?s)ferry-steps\.yaml:4:39: .*set-size"):
        studies_of(path, "guitar", "medium")
