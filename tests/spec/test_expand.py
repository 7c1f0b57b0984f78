"""Plans: defaults filled in, names looked up, the book's answers handed on."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from builder.materials import materials
from builder.registry import registered
from builder.spec import book_schema, exercise_schema, load_library, read_book, read_exercise
from builder.theory.contour import Contour, Pass
from builder.theory.fretboard import Hand, Place
from builder.theory.harmony import parse_key
from builder.theory.neck import NeckRule
from builder.theory.pitch import NoteName, Pitch
from builder.theory.practice import CheckpointRule, StrokeRule, TempoRule
from builder.theory.rhythm import Meter, RhythmRule

LIBRARY = load_library()
FERRY_STEPS = """\
id: ferry-steps
title: Ferry Steps
aim: Eight even notes, land, let go.
skills: [alternate-picking, hand-synchrony]
key: D minor
level: 3
material: {kind: chord-loop, chords: [Dm, Gm, Bb, A], set-size: 3}
contour:  {order: [1, 2, 3, 2], times: 2, land: 1}
rhythm:   {meter: 4/4, notes-per-beat: 4, rest: to-barline}
neck:     {path: one-string, start: {note: D, places: each-string}}
strokes:  {rule: alternate, first: down}
tempo:    {from: 60, to: 108, steps: 5}
checkpoints: {at: rests, cues: rotate}
"""
SHORT = "title: Pier\nmaterial: {kind: scale}\n"


def plan_of(text: str, tmp_path: Path, instrument: str | None = None, hand: str | None = None):
    path = tmp_path / "pier.yaml"
    path.write_text(text, encoding="utf-8")
    spec = read_exercise(path, LIBRARY, instrument, hand)
    assert spec.problems == ()
    (plan,) = spec.exercises
    return plan


def test_every_answer_of_an_exercise_arrives(tmp_path):
    plan = plan_of(FERRY_STEPS, tmp_path)
    assert (plan.id, plan.title, plan.aim) == ("ferry-steps", "Ferry Steps", "Eight even notes, land, let go.")
    assert plan.skills == ("alternate-picking", "hand-synchrony")
    assert (plan.key, plan.level, plan.material_kind) == (parse_key("D minor"), 3, "chord-loop")
    assert isinstance(plan.material, materials()["chord-loop"].parameters)
    assert plan.contour == Contour((Pass((1, 2, 3, 2), 2, 1),))
    assert plan.rhythm == RhythmRule(Meter(4, 4))
    assert plan.neck == NeckRule("one-string", note=NoteName.parse("D"))
    assert plan.strokes == StrokeRule()
    assert plan.tempo == TempoRule(60, 108, 5)
    assert plan.checkpoints == CheckpointRule()
    assert (plan.instrument, plan.hand) == (LIBRARY.instruments["guitar"], LIBRARY.hands["medium"])


def test_what_is_left_out_is_filled_in(tmp_path):
    plan = plan_of(SHORT, tmp_path)
    assert (plan.id, plan.aim, plan.skills, plan.key, plan.level) == ("pier", "", (), None, None)
    assert plan.contour is None
    assert plan.rhythm == RhythmRule(Meter(4, 4))
    assert plan.neck == NeckRule("position")
    assert plan.tempo == TempoRule(60, 108, 5)


def test_values_other_than_the_defaults_arrive(tmp_path):
    plan = plan_of(
        SHORT
        + "contour: {by: 2, turn: true, passes: [{order: [1, 2]}, {order: [2, 1], times: 3, land: 2}]}\n"
        + "rhythm: {meter: 7/8, groups: [2, 2, 3], durations: [1/8, 3/16], burst: 7, landing: 1/2, rest: 1.5,"
        + " rest-at-least: 2}\n"
        + "neck: {path: {per-string: 3}, strings: [5, 3], position: 7, open-strings: false, shift-in-burst: true,"
        + " start: {note: Bb3, places: every-place}}\n"
        + "strokes: {rule: economy, first: up, after-rest: grid, ends: same}\n"
        + "tempo: {from: 80, to: 120, steps: 3, spacing: ratio}\n"
        + "checkpoints: {at: {bars: 4}, cues: [breath, jaw]}\n",
        tmp_path,
    )
    assert plan.contour == Contour((Pass((1, 2)), Pass((2, 1), 3, 2)), 2, True)
    assert plan.rhythm == RhythmRule(
        Meter(7, 8, (2, 2, 3)), None, (Fraction(1, 8), Fraction(3, 16)), 7, Fraction(1, 2), Fraction(3, 2), Fraction(2)
    )
    assert plan.neck == NeckRule("per-string", 3, (5, 3), 7, False, True, Pitch.parse("Bb3"), "every-place")
    assert plan.strokes == StrokeRule("economy", "up", "grid", True)
    assert plan.tempo == TempoRule(80, 120, 3, "ratio")
    assert plan.checkpoints == CheckpointRule("bars", 4, ("breath", "jaw"))


def test_listed_places_arrive(tmp_path):
    plan = plan_of(
        SHORT + "neck: {path: position, start: {places: [{string: 6, fret: 3}, {string: 5, fret: 0}]}}\n", tmp_path
    )
    assert plan.neck.places == (Place(6, 3), Place(5, 0))


@pytest.mark.parametrize("rest", ["to-barline", "to-beat", "none"])
def test_rests_in_words_stay_words(tmp_path, rest):
    assert plan_of(SHORT + f"rhythm: {{rest: {rest}}}\n", tmp_path).rhythm.rest == rest


def test_few_marks_where_five_would_not_differ(tmp_path):
    assert plan_of(SHORT + "tempo: {from: 60, to: 60}\n", tmp_path).tempo.steps == 1
    assert plan_of(SHORT + "tempo: {from: 60, to: 62}\n", tmp_path).tempo.steps == 3


def test_a_named_pattern_of_fingers_is_looked_up(tmp_path):
    text = "title: Winch\nmaterial: {kind: fingers, pattern: outside-inside}\n"
    text += "neck: {path: position, start: {places: [{string: 6, fret: 5}]}}\n"
    assert plan_of(text, tmp_path).material.pattern == LIBRARY.patterns["outside-inside"]


def test_options_come_before_the_file(tmp_path):
    text = SHORT + "instrument: bass\n"
    assert plan_of(text, tmp_path).instrument.name == "bass"
    assert plan_of(text, tmp_path, "ukulele", "92").instrument.name == "ukulele"
    assert plan_of(text, tmp_path, "ukulele", "92").hand == Hand("measured", 92, 117.76)


def test_wrong_options_are_problems_beside_those_of_the_file(tmp_path):
    path = tmp_path / "pier.yaml"
    path.write_text(SHORT + "level: 9\n")
    spec = read_exercise(path, LIBRARY, "gitar", "huge")
    assert [str(problem.where).rpartition("/")[2] for problem in spec.problems] == [
        "--instrument",
        "--hand",
        "pier.yaml:3:1",
    ]
    assert spec.exercises == ()


def test_strings_are_counted_on_the_instrument_asked_for(tmp_path):
    path = tmp_path / "pier.yaml"
    path.write_text(SHORT + "neck: {path: position, strings: [6]}\n")
    assert read_exercise(path, LIBRARY, None, None).problems == ()
    (problem,) = read_exercise(path, LIBRARY, "bass", None).problems
    assert problem.expected == "a string from 1 to 4"


def test_an_instrument_can_be_spelled_out(tmp_path):
    plan = plan_of(
        SHORT + "instrument: {strings: [D4, A3, G3, D3, A2, D2], frets: 21, scale-length: 630, capo: 2}\n", tmp_path
    )
    assert (plan.instrument.last_fret, plan.instrument.open_midi(6), plan.instrument.clef) == (19, 40, "treble_8")


def test_a_low_instrument_reads_a_low_clef_unless_it_says(tmp_path):
    low = "instrument: {strings: [G2, D2], frets: 20, scale-length: 800"
    assert plan_of(SHORT + low + "}\n", tmp_path).instrument.clef == "bass_8"
    assert plan_of(SHORT + low + ", clef: treble}\n", tmp_path).instrument.clef == "treble"


BOOK = """\
title: Loose Hands, Quick Hands
subtitle: Guitar technique, autumn term
school: Harbour Lane Music School
author: A. Teacher
edition: Autumn
licence: For our pupils
language: en
paper: letter
print: {staff-size: 16.5, fingering: all}
instrument: drop-d
hand: small
exercises: [pier.yaml, ferry-steps.yaml]
"""


@pytest.fixture
def book(tmp_path):
    home = tmp_path / "harbour-lane"
    home.mkdir()
    (home / "book.yaml").write_text(BOOK)
    (home / "pier.yaml").write_text(SHORT)
    (home / "ferry-steps.yaml").write_text(FERRY_STEPS.replace("key:", "instrument: bass\nkey:"))
    return home / "book.yaml"


def test_a_book_says_what_is_printed_around_its_exercises(book):
    plan = read_book(book, LIBRARY).plan
    assert plan is not None
    assert (plan.name, plan.folder) == ("harbour-lane", str(book.parent))
    assert (plan.title, plan.subtitle) == ("Loose Hands, Quick Hands", "Guitar technique, autumn term")
    assert (plan.school, plan.author, plan.edition) == ("Harbour Lane Music School", "A. Teacher", "Autumn")
    assert (plan.licence, plan.language, plan.paper) == ("For our pupils", "en", "letter")
    assert (plan.staff_size, plan.fingering) == (16.5, "all")
    assert (plan.instrument.name, plan.hand.name) == ("drop-d", "small")
    assert plan.places.where("paper").line == 8


def test_exercises_take_what_they_do_not_say_from_the_book(book):
    ferry, pier = read_book(book, LIBRARY).exercises
    assert (ferry.instrument.name, pier.instrument.name) == ("bass", "drop-d")
    assert {plan.hand.name for plan in (ferry, pier)} == {"small"}
    assert {plan.fingering for plan in (ferry, pier)} == {"all"}


def test_a_book_is_called_as_its_file_or_its_folder(book, monkeypatch):
    monkeypatch.chdir(book.parent)
    assert read_book(Path("book.yaml"), LIBRARY).plan.name == "harbour-lane"
    Path("book.yaml").rename("autumn.yaml")
    assert read_book(Path("autumn.yaml"), LIBRARY).plan.name == "autumn"


@pytest.mark.parametrize("kind", sorted(materials()))
def test_every_example_of_a_material_is_a_good_spec(kind, tmp_path):
    assert plan_of(materials()[kind].example, tmp_path).material_kind == kind


@pytest.mark.parametrize(("package", "constant"), [("builder.paths", "PATH"), ("builder.strokes", "STROKES")])
def test_every_path_and_stroke_rule_can_be_asked_for(package, constant, tmp_path):
    for kind, value in registered(package, constant).items():
        counted = getattr(value, "counted", False)
        section = f"neck: {{path: {{{kind}: 2}}}}" if counted else f"neck: {{path: {kind}}}"
        text = section if constant == "PATH" else f"strokes: {{rule: {kind}}}"
        if kind == "strum":  # for chords only
            text = text.replace("}", ", pattern: [down]}")
            short = "title: Piers\nmaterial: {kind: chord-changes, chords: [C, G]}\n"
            assert plan_of(short + text + "\n", tmp_path).strokes.rule == kind
            continue
        plan = plan_of(SHORT + text + "\n", tmp_path)
        assert kind in (plan.neck.path, plan.strokes.rule)


def test_schemas_name_every_key():
    assert set(book_schema()["properties"]) >= {"title", "print", "exercises", "licence", "hand"}
    exercise = exercise_schema()
    assert set(exercise["properties"]) >= {
        "title",
        "material",
        "contour",
        "rhythm",
        "neck",
        "strokes",
        "tempo",
        "checkpoints",
    }
    kinds = {name.removeprefix("material-") for name in exercise["$defs"] if name.startswith("material-")}
    assert kinds == set(materials())
    assert "notes-per-beat" in exercise["$defs"]["RhythmModel"]["properties"]
