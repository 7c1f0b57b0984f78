"""Sheets down their ladders: fewest runs, cache first, failures at their place in the YAML."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.engraving import Store, engrave
from builder.engraving import batch as batch_module
from builder.engraving.batch import Desk, attempt_key, batches
from builder.engraving.engine import Engine
from builder.engraving.lilypond_run import BatchResult, Engraved
from tests.engraving.samples import FAULTS, STYLE, body, sheet


class Press:
    """Stands in for LilyPond: a body is `sides complaint`; remembers what it was given."""

    def __init__(self, lasting=True):
        self.runs = []
        self.lasting = lasting

    def __call__(self, engine, style, bodies):
        self.runs.append(list(bodies))
        return BatchResult({index: self.fate(text) for index, text in enumerate(bodies)}, ())

    def fate(self, text):
        sides, _, complaint = text.partition(" ")
        pages = tuple(f"{text}-{side}".encode() for side in range(int(sides)))
        return Engraved(int(sides), (complaint,), (), self.lasting) if complaint else Engraved(int(sides), (), pages)

    @property
    def engraved(self):
        return [text for run in self.runs for text in run]


@pytest.fixture
def press(monkeypatch):
    press = Press()
    monkeypatch.setattr(batch_module, "run_batch", press)
    monkeypatch.setattr(batch_module, "find_lilypond", lambda: Engine("lilypond", "gs", "2.25.12", "fonts"))
    return press


@pytest.fixture
def store(tmp_path):
    return Store(tmp_path)


def quiet(done, total):
    """Progress nobody looks at."""


def test_the_first_attempt_that_fits_is_taken(press, store):
    sheets = [sheet("pier", "2", "1 warning: tight", "1"), sheet("quay", "1", "1")]
    engraving = engrave(sheets, "", store, 1, quiet)
    assert {key: (one.rung, one.sides) for key, one in engraving.sheets.items()} == {"pier": (2, 1), "quay": (0, 1)}
    assert engraving.problems == ()


def test_a_sheet_of_any_number_of_sides_fits_at_once(press, store):
    engraving = engrave([sheet("foreword", "3", sides=None)], "", store, 1, quiet)
    assert engraving.sheets["foreword"].sides == 3


def test_a_warm_build_runs_nothing_not_even_what_did_not_fit(press, store):
    sheets = [sheet("pier", "2", "1 warning: tight", "1"), sheet("quay", "2")]
    first = engrave(sheets, "", store, 2, quiet)
    runs = len(press.runs)
    second = engrave(sheets, "", store, 2, quiet)
    assert len(press.runs) == runs
    assert (second.sheets, second.problems) == (first.sheets, first.problems)


def test_a_limit_of_the_machine_is_tried_again_next_time(press, store):
    press.lasting = False
    for _ in range(2):
        assert len(engrave([sheet("pier", "0 stopped by a limit")], "", store, 1, quiet).problems) == 1
    assert len(press.runs) == 2


def test_equal_bodies_are_engraved_once(press, store):
    engraving = engrave([sheet("pier", "1"), sheet("quay", "1"), sheet("mole", "2", "1")], "", store, 1, quiet)
    assert Counter(press.engraved) == {"1": 1, "2": 1}
    assert engraving.sheets["pier"].pdfs == engraving.sheets["mole"].pdfs
    assert engraving.sheets["mole"].rung == 1


def test_a_failed_sheet_is_a_problem_where_it_was_written(press, store):
    sheets = [
        sheet("pier", "1 warning: TEXT-OVERFLOW: 90", line=7),
        sheet("quay", "1"),
        sheet("mole", "2", "3", line=9),
    ]
    engraving = engrave(sheets, "", store, 2, quiet)
    assert list(engraving.sheets) == ["quay"]
    pier, mole = engraving.problems
    assert (str(pier.where), pier.key) == ("exercises/pier.yaml:7:1", "pier")
    assert "TEXT-OVERFLOW" in pier.found
    assert pier.hint == "make the title, aim or name shorter"
    assert (mole.found, mole.expected) == ("3 sides", "1 side")


def test_the_complaint_that_tells_most_is_shown(press, store, monkeypatch):
    several = ("warning: too few pages: 1", "warning: compressing over-full page by 2.0 staff-spaces")
    monkeypatch.setattr(press, "fate", lambda text: Engraved(1, several, ()))
    (problem,) = engrave([sheet("pier", "x")], "", store, 1, quiet).problems
    assert "over-full page" in problem.found
    assert "1 more" in problem.found


def test_progress_rises_to_all_sheets_in_the_calling_thread(press, store):
    seen = []
    sheets = [sheet(f"pier-{number}", *["2"] * (number % 2), f"1 {'x' * (number // 5)}".strip()) for number in range(9)]
    engrave(sheets, "", store, 2, lambda done, total: seen.append((done, total)))
    assert seen == sorted(seen)
    assert seen[-1] == (9, 9)
    assert len(seen) > 1


def test_sheets_begun_early_are_settled_with_the_rest_and_engraved_once(press, store):
    early = [sheet(f"study-{sides}", str(sides), sides=None) for sides in range(1, 10)]
    early.append(sheet("study-tight", "1 warning: tight", "1"))
    late = [sheet("contents", "12", sides=None)]
    told = []
    with Desk("", store, 2) as desk:
        desk.begin(early)
        engraving = desk.settle([*early, *late], lambda done, total: told.append((done, total)), lambda: told.append(0))
    assert list(engraving.sheets) == [*(one.key for one in early), "contents"]
    assert "12" not in press.runs[0]
    assert engraving.sheets["study-tight"].rung == 1
    assert max(Counter(press.engraved).values()) == 1
    assert 0 in told
    assert told[-1] == (11, 11)


def test_a_few_sheets_begun_early_wait_for_company(press, store):
    early, late = [sheet("pier", "1")], [sheet("quay", "2", sides=None)]
    with Desk("", store, 1) as desk:
        desk.begin(early)
        assert press.runs == []
        desk.settle([*early, *late], quiet)
    assert sorted(map(sorted, press.runs)) == [["1", "2"]]


def test_a_sheet_whose_text_changed_is_engraved_anew_in_the_next_round(press, store):
    with Desk("", store, 1) as desk:
        first = desk.settle([sheet("contents", "1", sides=None), sheet("glossary", "1", sides=None)], quiet)
        again = desk.settle([sheet("contents", "3", sides=None)], quiet)
    assert first.sheets["contents"].sides == 1
    assert {key: one.sides for key, one in again.sheets.items()} == {"contents": 3}


def test_nothing_is_done_meanwhile_where_every_page_is_known(press, store):
    engrave([sheet("pier", "1")], "", store, 1, quiet)
    with Desk("", store, 1) as desk:
        desk.settle([sheet("pier", "1")], quiet, lambda: pytest.fail("LilyPond does not work"))


def test_a_doubtful_batch_is_run_again_as_it_asks(press, store, monkeypatch):
    asked = []

    def doubting(engine, style, bodies):
        asked.append(len(bodies))
        return (
            BatchResult({}, ((0,), tuple(range(1, len(bodies))))) if len(bodies) > 1 else press(engine, style, bodies)
        )

    monkeypatch.setattr(batch_module, "run_batch", doubting)
    engraving = engrave(
        [sheet(f"pier-{number}", f"{number + 1}", sides=None) for number in range(4)], "", store, 1, quiet
    )
    assert [engraving.sheets[f"pier-{number}"].sides for number in range(4)] == [1, 2, 3, 4]
    assert sorted(asked) == [1, 1, 1, 1, 2, 3, 4]


def test_an_error_of_the_machine_stops_the_build(press, store, monkeypatch):
    def full(engine, style, bodies):
        raise batch_module_error

    batch_module_error = RuntimeError("stop")
    monkeypatch.setattr(batch_module, "run_batch", full)
    with pytest.raises(RuntimeError, match="stop"):
        engrave([sheet("pier", "1")], "", store, 1, quiet)


def test_the_key_follows_everything_a_page_depends_on():
    engine = Engine("lilypond", "gs", "2.25.12", "fonts")
    other = Engine("lilypond", "gs", "2.25.13", "fonts")
    fonts = Engine("lilypond", "gs", "2.25.12", "other fonts")
    moved = Engine("elsewhere/lilypond", "gs", "2.25.12", "fonts")
    keys = [
        attempt_key("body", "style", engine),
        attempt_key("bod", "ystyle", engine),
        attempt_key("body", "style", other),
        attempt_key("body", "style", fonts),
    ]
    assert len(set(keys)) == 4
    assert attempt_key("body", "style", moved) == keys[0]


@given(st.lists(st.integers(1, 50), max_size=120), st.integers(1, 6), st.integers(1, 25))
def test_batches_hold_everything_once_within_their_size(weights, jobs, largest):
    made = batches(weights, jobs, largest)
    assert sorted(index for batch in made for index in batch) == list(range(len(weights)))
    assert all(0 < len(batch) <= largest for batch in made)
    assert len(made) % jobs == 0 or len(made) == len(weights)


def test_two_cores_end_together():
    weights = [900, 100, 100, 100, 100, 100, 100, 100, 100, 100, 100]
    loads = [sum(weights[index] for index in batch) for batch in batches(weights, jobs=2)]
    assert max(loads) - min(loads) <= 100


@pytest.mark.engraves
def test_real_sheets_go_down_their_ladder_beside_a_bad_one(store):
    crowded, bad = FAULTS["music too much"], FAULTS["brace missing"]
    sheets = [sheet("ferry", body("Ferry")), sheet("pier", crowded, body("Pier")), sheet("mole", bad, line=4)]
    engraving = engrave(sheets, STYLE, store, 2, quiet)
    assert {key: one.rung for key, one in engraving.sheets.items()} == {"ferry": 0, "pier": 1}
    assert [str(problem.where) for problem in engraving.problems] == ["exercises/mole.yaml:4:1"]
    assert engrave(sheets, STYLE, store, 2, quiet) == engraving
