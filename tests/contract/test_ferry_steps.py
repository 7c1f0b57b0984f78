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
from tests.contract.test_random_specs import FERRY_STEPS

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
    """Worked out by hand from check values c and k: 4 notes a second, frets 3 to 7 on 648 mm, nine notes a run."""
    metrics = studies["s3f7"]["metrics"]
    assert metrics["notes_per_second"] == pytest.approx(4)
    assert metrics["widest_reach_mm"] == pytest.approx(112.41, abs=0.011)
    assert (metrics["shifts_per_16"], metrics["string_change_share"]) == (0, 0)
    assert (metrics["rhythm_class"], metrics["notes_at_once"]) == (1, 1)
    assert (metrics["longest_run"], metrics["key_signs"]) == (9, 1)
    assert metrics["score"] == pytest.approx(7.5 + 15 * 52.41 / 70 + 2.5 + 5 * 5 / 60 + 5 / 7, abs=0.02)
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
