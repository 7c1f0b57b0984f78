"""The benchmark of agreement: what it counts, and that no file of pieces can make it stop."""

from __future__ import annotations

import json
import sys
from importlib import import_module
from pathlib import Path
from types import ModuleType

import pytest

BENCHMARKS = Path(__file__).resolve().parents[2] / "benchmarks"


@pytest.fixture
def etudes(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    monkeypatch.syspath_prepend(str(BENCHMARKS))
    monkeypatch.delitem(sys.modules, "etudes", raising=False)
    return import_module("etudes")


def counts(etudes: ModuleType, folder: Path, data: dict[str, object]) -> list[tuple[int, int]]:
    file = folder / "pieces.json"
    file.write_text(json.dumps(data), encoding="utf-8")
    instrument, pieces = etudes.read(file)
    return [(etudes.agreement(piece, instrument, etudes.shipped()), piece.counted) for piece in pieces]


def piece(*events: tuple[str, str, int, int | None]) -> dict[str, object]:
    return {"piece": "one", "events": [[*event, None] for event in events]}


def test_right_is_the_same_finger_and_zero_only_an_open_string(etudes: ModuleType, tmp_path: Path) -> None:
    open_chord = [("0", "1", midi, finger) for midi, finger in ((40, 0), (47, 2), (52, 3), (56, 1), (59, 0), (64, 0))]
    wrong = [(onset, length, midi, (finger + 1) % 5) for onset, length, midi, finger in open_chord]
    assert counts(etudes, tmp_path, {"pieces": [piece(*open_chord), piece(*wrong)]}) == [(6, 6), (0, 6)]


def test_other_tunings_and_notes_below_them(etudes: ModuleType, tmp_path: Path) -> None:
    data = {
        "tuning": [64, 59, 55, 50, 45, 38],
        "pieces": [piece(("0", "1/4", 38, 0), ("1/4", "1/4", 37, 1), ("1/2", "1/4", 45, 0))],
    }
    assert counts(etudes, tmp_path, data) == [(2, 2)]


def test_what_no_hand_can_play_counts_as_wrong_and_the_rest_goes_on(etudes: ModuleType, tmp_path: Path) -> None:
    unplayable = [("1/4", "1/4", midi, 1) for midi in (40, 41, 42)]
    events = [("0", "1/4", 40, 0), *unplayable, ("1/2", "1/4", 40, 0), ("3/4", "1/4", 110, 4), ("1", "1/4", 40, 0)]
    assert counts(etudes, tmp_path, {"pieces": [piece(*events), piece()]}) == [(3, 7), (0, 0)]


def test_ties_and_voices_that_meet_are_no_trouble(etudes: ModuleType, tmp_path: Path) -> None:
    events = [("0", "1", 57, 2), ("0", "1/4", 57, None), ("1/4", "1/4", 60, 1), ("1/2", "1/4", 57, None)]
    ((right, counted),) = counts(etudes, tmp_path, {"pieces": [piece(*events)]})
    assert (right, counted) == (2, 2)


def test_the_shipped_hand_agrees_with_a_first_position_etude(etudes: ModuleType) -> None:
    instrument, pieces = etudes.read(etudes.DATA)
    (short,) = [one for one in pieces if one.name == "sor_op60-13"]
    assert etudes.agreement(short, instrument, etudes.shipped()) >= 0.8 * short.counted


def test_a_path_costs_what_its_terms_say(etudes: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delitem(sys.modules, "fit_fingering", raising=False)
    fit = import_module("fit_fingering")
    instrument, pieces = etudes.read(etudes.DATA)
    (short,) = [one for one in pieces if one.name == "sor_op60-13"]
    job, weights = fit.job_of(short), etudes.shipped()
    steps = fit.cheapest_steps(job.passage, fit.Reach(instrument, etudes.HAND, weights), etudes.LIMITS)
    terms = fit.terms_of(job, steps, instrument)
    assert len(terms) > 20
    assert sum(getattr(weights, name) * times for name, times in terms.items()) == pytest.approx(steps[-1].points)
