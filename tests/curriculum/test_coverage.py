"""What a book covers: counted notes, tables, holes, the curve and its jumps."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction

import pytest
import yaml

from builder.curriculum.coverage import CoverageRule, cover, coverage_json, coverage_rule, notes_of
from builder.resources import folder
from builder.theory.harmony import parse_key
from builder.theory.rhythm import Meter
from builder.theory.score import Note, Study
from tests.pages.samples import BASS, bursts

RULE = coverage_rule(yaml.safe_load((folder("shared") / "planning.yaml").read_text(encoding="utf-8")))
FOUR_FOUR, FIVE_FOUR = Meter(4, 4), Meter(5, 4)


def played(
    name: str, shape: list[tuple[int, int]], skills: tuple[str, ...], score: float = 10, **more: object
) -> Study:
    """A study of one burst."""
    meter = more.pop("meter", FOUR_FOUR)
    study = bursts([shape], meter, 2, **more)  # type: ignore[arg-type]
    return replace(study, id=name, skills=skills, metrics=replace(study.metrics, score=score))


LOW = played("low", [(3, 2), (3, 4), (3, 2)], ("timing", "scales"), 10)
HIGH = played("high", [(1, 12), (1, 14), (1, 12)], ("timing",), 17.5, key=parse_key("A major"))
ODD = played("odd", [(2, 5), (2, 7)], ("odd-meters",), 16, meter=FIVE_FOUR)


def table(studies: list[Study], axis: str, rule: CoverageRule = RULE) -> dict[tuple[str, str], tuple[int, int]]:
    (found,) = [each for each in cover(studies, rule).instruments[0].tables if each.axis == axis]
    assert len(found.cells) == len(found.skills) * len(found.columns)
    return {(cell.skill, cell.column): (cell.notes, cell.studies) for cell in found.cells}


def test_every_place_of_the_neck_is_counted_once():
    (guitar,) = cover([LOW, HIGH], RULE).instruments
    assert len(guitar.places) == 6 * 23
    times = {(place.string, place.fret): place.times for place in guitar.places if place.times}
    assert times == {(3, 2): 2, (3, 4): 1, (1, 12): 2, (1, 14): 1}


def test_the_continuation_of_a_tied_note_is_not_counted():
    first, *others = LOW.events
    assert isinstance(first, Note)
    tied = replace(first, onset=Fraction(3, 4), tied=True)
    assert len(notes_of(replace(LOW, events=(first, *others, tied)))) == len(notes_of(LOW)) == 3


def test_strings_zones_keys_and_meters():
    studies = [LOW, HIGH, ODD]
    assert table(studies, "string")["timing", "3"] == (3, 1)
    assert table(studies, "string")["scales", "1"] == (0, 0)
    assert table(studies, "zone")["timing", "9–12"] == (3, 1)
    assert table(studies, "zone")["timing", "2–4"] == (3, 1)
    assert table(studies, "key")["timing", "A major"] == (3, 1)
    assert table(studies, "meter")["odd-meters", "5/4"] == (2, 1)


def test_zones_are_named_by_their_positions():
    assert RULE.zone_names == ("1", "2–4", "5–8", "9–12", "13+")
    assert [RULE.zone(position) for position in (1, 2, 4, 5, 8, 9, 12, 13, 20)] == (
        ["1", "2–4", "2–4", "5–8", "5–8", "9–12", "9–12", "13+", "13+"]
    )


def test_a_hole_is_an_empty_cell_of_a_used_skill_and_a_used_column():
    holes = cover([LOW, HIGH], RULE).holes
    assert {(hole.cell.skill, hole.cell.axis, hole.cell.column) for hole in holes} == {
        ("scales", "string", "1"),
        ("scales", "zone", "9–12"),
        ("scales", "key", "A major"),
    }


def test_the_hole_with_most_around_it_is_the_worst():
    more = [replace(HIGH, id=f"high{number}") for number in range(3)]
    strings = [hole.cell for hole in cover([LOW, *more, ODD], RULE).holes if hole.cell.axis == "string"]
    assert [(cell.skill, cell.column) for cell in strings][:2] == [("scales", "1"), ("timing", "2")]
    # Of the table's 17 notes, 3 are in the row of scales and 9 in column 1; 12 in that of timing and 2 in column 2.
    assert strings[0].expected == pytest.approx(3 * 9 / 17)
    assert strings[1].expected == pytest.approx(12 * 2 / 17)


def test_even_meters_are_no_hole_of_a_skill_for_uneven_ones():
    skills = {(hole.cell.skill, hole.cell.axis) for hole in cover([LOW, ODD], RULE).holes}
    assert ("odd-meters", "meter") not in skills
    assert ("timing", "meter") in skills
    assert ("odd-meters", "string") in skills


def test_instruments_are_looked_at_apart_and_the_most_played_first():
    bass = played("deep", [(4, 3), (4, 5)], ("timing",), instrument=BASS)
    found = cover([bass, LOW], RULE)
    assert [each.instrument for each in found.instruments] == ["guitar", "bass"]
    assert len(found.instruments[1].places) == 4 * 22
    assert "4" in found.instruments[1].tables[0].columns


def test_jumps_are_steps_up_in_the_order_of_the_book():
    studies = [replace(LOW, id=name, metrics=replace(LOW.metrics, score=score)) for name, score in SCORES]
    found = cover(studies, RULE)
    steep = [(jump.before.study, jump.after.study, jump.points) for jump in found.jumps]
    assert steep == [("c", "d", 9), ("a", "b", 5.01)]

    assert [point.score for point in found.curve] == [score for _, score in SCORES]


SCORES = (("a", 4.0), ("b", 9.01), ("c", 6.0), ("d", 15.0), ("e", 20.0), ("f", 12.0))


def test_the_worst_in_words():
    assert cover([LOW, HIGH], RULE).worst(1) == (
        "No scales in A major (guitar); notes expected from the rest of the book: 1.",
        "Difficulty jumps by 7.5, from 10 to 17.5, between low and high.",
    )


def test_the_json_holds_every_count():
    found = cover([LOW, HIGH, ODD], RULE)
    plain = json.loads(json.dumps(coverage_json(found)))
    (guitar,) = plain["instruments"]
    assert [len(row) for row in guitar["neck"]] == [23] * 6
    assert sum(map(sum, guitar["neck"])) == 8
    for each in guitar["tables"]:
        assert len(each["notes"]) == len(each["studies"]) == len(each["skills"])
        assert {len(row) for row in each["notes"]} == {len(each["columns"])}
        assert sum(map(sum, each["notes"])) == 3 * 2 + 3 + 2
    assert plain["jumps"] == [jump.sentence for jump in found.jumps]


def test_an_empty_book_covers_nothing():
    assert cover([], RULE).worst() == ()
