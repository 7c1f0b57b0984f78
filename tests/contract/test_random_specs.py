"""Seventeen hundred random exercises, each study held against the contract.

In, Out:  `specs.case`, `technique_specs.case`, the engine run in this process; violations by `rules`
Not here: proof that the rules can fail (`test_rules_can_fail`), commands and files (`test_commands`), printed pages
"""

from __future__ import annotations

from collections import Counter
from functools import cache
from itertools import product

import pytest

from tests.contract import rules, specs, technique_specs
from tests.contract.working_out import Result, worked_out

CHUNK = 50
SHARE_WITH_STUDIES = 0.8
LEAST_STUDIES = 5
CASES = {"lines": specs, "techniques": technique_specs}
CHUNKS = [(name, first) for name, cases in CASES.items() for first in range(0, cases.COUNT, CHUNK)]


@cache
def _result(name: str, number: int) -> Result:
    return worked_out(CASES[name].case(number))


def _results(name: str, first: int) -> list[Result]:
    return [_result(name, number) for number in range(first, min(first + CHUNK, CASES[name].COUNT))]


@pytest.mark.parametrize(("name", "first"), CHUNKS)
def test_random_studies_keep_the_contract(name: str, first: int) -> None:
    found = []
    for result in _results(name, first):
        for study in result.document["studies"]:
            found += rules.violations(study, result.case.spec)
    assert not found, f"{len(found)} violations\n" + "\n".join(found[:40])


@pytest.mark.parametrize(("name", "first"), CHUNKS)
def test_what_fits_nowhere_is_a_clear_problem(name: str, first: int) -> None:
    for result in _results(name, first):
        case = result.case.spec["id"]
        if not result.document["studies"]:
            assert result.problems, f"{case}: no studies and no problem"
        else:
            assert not result.problems, f"{case}: studies and problems at once: {result.problems[0]}"
        for problem in result.problems:
            assert problem.where.line > 0, str(problem)
            assert problem.where.column > 0, str(problem)
            assert problem.found, str(problem)
            assert problem.expected, str(problem)
        for skipped in result.document["skipped"]:
            assert skipped["exercise"] == case
            assert skipped["reason"].strip(), f"{case}: a place is skipped without a reason"


def test_most_random_exercises_give_studies() -> None:
    for name, cases in CASES.items():
        good = sum(bool(_result(name, number).document["studies"]) for number in range(cases.COUNT))
        assert good >= SHARE_WITH_STUDIES * cases.COUNT, name


def test_every_material_gives_studies_on_every_path_and_under_every_stroke_rule() -> None:
    """Every combination of the three comes up with a study, every pair of them with several."""
    good: Counter[tuple[str, ...]] = Counter()
    for number in range(specs.COUNT):
        if _result("lines", number).document["studies"]:
            material, path, rule = specs.CELLS[number % len(specs.CELLS)]
            good.update([(material, path, rule), (material, path), (material, rule), (path, rule)])
    assert not [cell for cell in specs.CELLS if not good[cell]], "a combination that never gives a study"
    few = {pair: count for pair, count in good.items() if len(pair) == 2 and count < LEAST_STUDIES}
    assert not few


def test_every_kind_of_line_gives_studies_on_every_instrument() -> None:
    good: Counter[tuple[str, str]] = Counter()
    for number in range(specs.COUNT):
        spec = specs.case(number).spec
        instrument = spec.get("instrument", "guitar")
        if isinstance(instrument, str) and _result("lines", number).document["studies"]:
            good[spec["material"]["kind"], instrument] += 1
    wanted = product(specs.MATERIALS, (*specs.TUNINGS, *specs.OTHERS))
    assert not {pair: good[pair] for pair in wanted if good[pair] < LEAST_STUDIES}


def test_every_technique_gives_studies_on_every_instrument_and_under_every_stroke_rule() -> None:
    good: Counter[tuple[str, str]] = Counter()
    for number in range(technique_specs.COUNT):
        kind, rule, instrument = technique_specs.cell(number)
        good.update(dict.fromkeys(((kind, rule), (kind, instrument)), 0))
        if _result("techniques", number).document["studies"]:
            good.update([(kind, rule), (kind, instrument)])
    assert not {pair: count for pair, count in good.items() if count < LEAST_STUDIES}


def test_the_same_spec_gives_the_same_studies() -> None:
    for name, cases in CASES.items():
        for number in range(0, cases.COUNT, 70):
            assert worked_out(cases.case(number)).document == _result(name, number).document
