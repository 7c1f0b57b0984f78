"""Pages of a term, a syllabus, coverage and guides: what is printed, and that it fits on its sides."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise

import pytest
import yaml

from builder.compose import compose
from builder.composing import knowledge_from
from builder.curriculum.changes import Change
from builder.curriculum.coverage import cover, coverage_rule
from builder.curriculum.syllabus import (
    Asked,
    Requirement,
    Syllabus,
    SyllabusLevel,
    assessment_from,
)
from builder.curriculum.term import Shortfall, Sitting, TermPlan, Turn, plan_term
from builder.curriculum.timetable import TermRule
from builder.pages import PAPERS
from builder.pages.assessment_pages import AssessmentPage, assessment_page, changes_page
from builder.pages.companion_pages import levels_page
from builder.pages.count_tables import count_tables_page
from builder.pages.coverage_pages import curve_page, neck_counts_page
from builder.pages.guide_pages import levels_line, measure_page, parents_guide, places_page, teacher_page
from builder.pages.note_names import tonality
from builder.pages.order import study_key
from builder.pages.page import paper_of
from builder.pages.sides import room_mm
from builder.pages.slip_pages import practice_log, slip_sides
from builder.pages.term_pages import rules_page, week_sides
from builder.registry import registered
from builder.resources import folder
from builder.spec import load_library, read_book
from builder.theory.harmony import parse_key
from builder.theory.score import Study
from tests.curriculum.terms import LIMITS, random_term
from tests.pages import samples

PLANNING = yaml.safe_load((folder("shared") / "planning.yaml").read_text(encoding="utf-8"))
ASSESSMENT = assessment_from(PLANNING)
WORDS = samples.phrases()
STUDIES = tuple(make() for make in samples.ALL.values())
LABELS = {study_key(study.id): str(number) for number, study in enumerate(STUDIES, start=3)}


# --- term -------------------------------------------------------------------------------------------------------------


def term(turns: int, days: int, weeks: int, breaks: tuple[int, ...] = ()) -> TermPlan:
    """A plan of so many turns on so many days; every study of it is another one."""
    sittings = tuple(
        Sitting(
            week,
            day,
            tuple(Turn(f"pier{day}{number}-s1f5", 60, 3, "jaw", 1, number == 0) for number in range(turns)),
            breaks,
        )
        for week in range(1, weeks + 1)
        for day in range(1, days + 1)
    )
    return TermPlan(sittings, (days * turns * 3,) * weeks, None)


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("seed", range(25))
def test_every_turn_of_a_random_term_is_printed_once_and_every_side_fits(seed: int, paper: str) -> None:
    items, rule = random_term(seed)
    plan = plan_term(items, rule, LIMITS)
    sides = week_sides(plan, LIMITS, (), samples.CUES, {}, PAPERS[paper], WORDS)
    printed = [
        (turn.study, turn.tempo, turn.minutes)
        for side in sides
        for week in side.weeks
        for day in week.days
        for turn in day.turns
    ]
    planned = [(turn.study, str(turn.tempo), str(turn.minutes)) for sitting in plan.sittings for turn in sitting.turns]
    assert printed == planned
    for side in sides:
        assert len(side.weeks) <= 2
        between_mm = 8 * (len(side.weeks) - 1)
        assert between_mm + sum(week.height_mm(side.pitch_mm) for week in side.weeks) <= room_mm(PAPERS[paper])


def test_a_light_term_has_two_weeks_a_side_and_a_heavy_week_two_sides() -> None:
    light = week_sides(term(4, 3, 4), LIMITS, (), {}, {}, PAPERS["a4"], WORDS)
    assert [[week.number for week in side.weeks] for side in light] == [[1, 2], [3, 4]]
    heavy = week_sides(term(10, 6, 12, (5,)), LIMITS, (), {}, {}, PAPERS["letter"], WORDS)
    assert [[week.number for week in side.weeks] for side in heavy] == [[1 + n // 2] for n in range(24)]
    assert [len(side.weeks[0].days) for side in heavy[:2]] == [3, 3]
    assert [side.weeks[0].heading for side in heavy[:2]] == ["Week 1", "Week 1, continued"]
    assert [side.weeks[0].free for side in heavy[:2]] == ["", "Free: Sunday"]


def test_a_day_longer_than_a_side_goes_on_over_it() -> None:
    sides = week_sides(term(90, 1, 1), LIMITS, (), {}, {}, PAPERS["letter"], WORDS)
    days = [day for side in sides for week in side.weeks for day in week.days]
    assert [(day.heading, len(day.turns)) for day in days] == [
        ("Monday", 30),
        ("Monday, continued", 30),
        ("Monday, continued", 30),
    ]
    assert [day.minutes for day in days] == ["270 minutes", "", ""]


def test_a_turn_tells_title_page_tempo_cue_and_a_break_after_it() -> None:
    study = STUDIES[0]
    sitting = Sitting(1, 2, (Turn(study.id, 72, 4, "thumb", 1, True), Turn(study.id, 72, 3, None, 1, False)), (1,))
    (side,) = week_sides(TermPlan((sitting,), (7,), None), LIMITS, STUDIES, samples.CUES, LABELS, PAPERS["a4"], WORDS)
    ((day,),) = (week.days for week in side.weeks)
    first, second = day.turns
    assert (first.title, first.label, first.tempo, first.minutes, first.cue) == (
        study.title,
        LABELS[study_key(study.id)],
        "72",
        "4",
        "fretting thumb",
    )
    assert (first.fresh, second.fresh, second.cue) == ("new", "", "")
    assert "5 minutes" in first.rest
    assert second.rest == ""
    assert (day.heading, side.weeks[0].free) == (
        "Tuesday",
        "Free: Monday, Wednesday, Thursday, Friday, Saturday, Sunday",
    )


def test_labels_do_not_move_anything() -> None:
    items, rule = random_term(3)
    plan = plan_term(items, rule, LIMITS)
    labels = {study_key(item.id): "123" for item in items}
    bare, full = (week_sides(plan, LIMITS, (), {}, given, PAPERS["a4"], WORDS) for given in ({}, labels))
    assert [[week.number for week in side.weeks] for side in bare] == [[w.number for w in side.weeks] for side in full]
    assert [side.pitch_mm for side in bare] == [side.pitch_mm for side in full]


def test_the_rules_page_names_every_rule_its_strength_and_what_does_not_fit() -> None:
    plan = replace(term(3, 5, 20), shortfall=Shortfall(5, 3, ("a", "b"), 12, None, 100, 100, 100))
    page = rules_page(plan, TermRule(20, 5, 9), LIMITS, PAPERS["a4"], WORDS)
    assert [each.rule for each in page.rules] == [each.rule for each in LIMITS.evidence]
    assert {each.strength for each in page.rules} == {name for name, _ in page.strengths}
    assert page.shortfall == plan.shortfall.sentence  # type: ignore[union-attr]
    assert [len(part) for part in page.minutes] == [10, 10]
    assert [each.week for part in page.minutes for each in part] == [str(week) for week in range(1, 21)]
    assert rules_page(replace(plan, shortfall=None), TermRule(20, 5, 9), LIMITS, PAPERS["a4"], WORDS).shortfall == ""


@pytest.mark.parametrize("seed", range(12))
def test_a_slip_has_a_box_for_every_day_on_which_a_study_comes_up(seed: int) -> None:
    items, rule = random_term(seed)
    plan = plan_term(items, rule, LIMITS)
    pages = slip_sides(plan, samples.book(), (), {}, WORDS)
    boxes = Counter(
        row.study for side in pages.sides for slip in side.slips for row in slip.rows for due in row.days if due
    )
    days = Counter(study for sitting in plan.sittings for study in {turn.study for turn in sitting.turns})
    assert boxes == days
    assert all(1 <= len(side.slips) <= 4 for side in pages.sides)
    weeks = [slip.heading.removesuffix(", continued") for side in pages.sides for slip in side.slips]
    assert list(dict.fromkeys(weeks)) == [f"Week {week}" for week in range(1, rule.weeks + 1)][: len(set(weeks))]


def test_a_slip_tells_every_tempo_of_its_week_and_the_student_of_an_edition() -> None:
    study = STUDIES[0].id
    sittings = tuple(Sitting(1, day, (Turn(study, tempo, 3, None, 1, False),), ()) for day, tempo in ((1, 60), (4, 72)))
    pages = slip_sides(
        TermPlan(sittings, (6,), None), replace(samples.book(), student="Ina Sample"), STUDIES, LABELS, WORDS
    )
    ((slip,),) = (side.slips for side in pages.sides)
    assert (slip.rows[0].tempo, slip.rows[0].days, slip.days) == ("60, 72", (True, True), ("Mon", "Thu"))
    assert pages.student == "Ina Sample"


def test_the_log_of_turns_fills_the_line() -> None:
    for paper in PAPERS.values():
        log = practice_log(paper, WORDS)
        assert len(log.heads) == len(log.widths_mm)
        assert sum(log.widths_mm) == pytest.approx(paper.line_mm)


# --- syllabus ---------------------------------------------------------------------------------------------------------


def level(required: int, choose: int = 0, alternates: tuple[Asked, ...] = ()) -> SyllabusLevel:
    """A level that asks for so many studies."""
    asked = tuple(Requirement(STUDIES[n % len(STUDIES)].id, 60, 3, 17.0, alternates) for n in range(required))
    choice = (Requirement(STUDIES[-1].id, 72, 3, 18.0),)
    return SyllabusLevel(3, "Outer Harbour", asked, choose, choice, ("Land on the beat.",))


def sheets(one: SyllabusLevel, seed: str = "autumn tide", paper: str = "a4") -> AssessmentPage:
    """The pages of one level."""
    whole = Syllabus((one,), seed, ())
    return assessment_page(one, whole, ASSESSMENT, STUDIES, LABELS, PAPERS[paper], WORDS)


def test_the_candidate_sees_studies_tempos_alternates_and_the_seed() -> None:
    page = sheets(level(1, 1, (Asked(STUDIES[1].id, 84),)))
    required, choice = page.tables
    assert (required.heading, choice.heading) == ("Required", "Choose one of these")
    row = required.rows[0]
    assert (row.study, row.tempo, row.level, row.label) == (STUDIES[0].id, "60", "3", "3")
    assert row.instead[0].endswith("to be confirmed by a teacher:")
    assert row.instead[1] == f"{STUDIES[1].id} at 84, page 4: {STUDIES[1].title}"
    assert "“autumn tide”" in page.rules[-1]
    assert any("advice" in rule for rule in page.rules)
    assert any("slowest" in rule for rule in page.rules)
    assert f"{ASSESSMENT.pass_marks} of 12" in " ".join(page.rules)


def test_without_alternates_no_seed_is_spoken_of() -> None:
    assert not any("drawn" in rule for rule in sheets(level(2)).rules)
    drawn = sheets(level(1, 0, (Asked(STUDIES[1].id, 84),)), seed="").rules[-1]
    assert "drawn" in drawn
    assert "seed" not in drawn


def test_a_level_without_choice_has_one_table() -> None:
    assert [table.heading for table in sheets(level(2)).tables] == ["Required"]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("count", [0, 1, 4, 9, 40])
def test_every_study_is_marked_once_and_chosen_ones_are_left_blank(count: int, paper: str) -> None:
    page = sheets(level(count, 1), paper=paper)
    rows = [row for side in page.mark_sides for row in side.rows]
    assert [row.study for row in rows[:-1]] == [one.study for one in level(count).required]
    assert (rows[-1].title, rows[-1].tempo) == ("", "")
    for side in page.mark_sides:
        assert side.attempt_mm * len(side.rows) * len(page.attempts) <= room_mm(PAPERS[paper])


def test_criteria_and_bands_are_those_of_the_data_file() -> None:
    page = sheets(level(1))
    assert [each.name for each in page.criteria] == list(PLANNING["assessment"]["criteria"])
    assert page.bands == 4
    assert len(page.mark_heads) == 4 + len(page.criteria) + 1


def test_changes_are_told_by_title_and_id() -> None:
    study = STUDIES[0]
    page = changes_page(
        [Change(study.id, "level", "3", "4"), Change("old-pier-s1f5", "removed")], {study.id: study.title}, WORDS
    )
    assert page.sections[0].paragraphs == (
        f"{study.title} ({study.id}): level changed from 3 to 4.",
        "old-pier-s1f5: no longer in this edition.",
    )
    assert changes_page([], {}, WORDS).sections[0].paragraphs == ("Nothing has changed.",)


# --- coverage ---------------------------------------------------------------------------------------------------------

COVERAGE = cover(STUDIES, coverage_rule(PLANNING))
INSTRUMENTS = {study.instrument.name: study.instrument for study in STUDIES}


def test_every_place_of_every_neck_is_printed_with_its_count_and_a_shade_that_agrees() -> None:
    page = neck_counts_page(COVERAGE, INSTRUMENTS, PAPERS["a4"], WORDS)
    necks = [neck for side in page.sides for neck in side]
    assert len(necks) == len(COVERAGE.instruments)
    for neck, counted in zip(necks, COVERAGE.instruments, strict=True):
        assert [(cell.string, cell.fret, cell.count) for cell in neck.cells] == [
            (place.string, place.fret, str(place.times)) for place in counted.places
        ]
        by_count = sorted((int(cell.count), cell.grey) for cell in neck.cells)
        assert all(low[1] >= high[1] for low, high in pairwise(by_count))
        assert {grey for count, grey in by_count if not count} <= {1.0}
        assert {grey for grey, _ in neck.shades} >= {cell.grey for cell in neck.cells}
        assert neck.cell_mm * neck.frets <= PAPERS["a4"].line_mm


@pytest.mark.parametrize("large", [False, True], ids=["usual", "large"])
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_cell_of_every_table_is_printed_and_the_sides_hold_them(paper: str, large: bool) -> None:
    page = count_tables_page(COVERAGE, paper_of(samples.book(paper, large_print=large)), WORDS)
    tables = [table for side in page.sides for table in side]
    numbers = Counter(int(cell) for table in tables for row in table.rows for cell in row[1:] if cell.isdigit())
    counted = Counter(
        cell.notes for each in COVERAGE.instruments for table in each.tables for cell in table.cells if cell.notes
    )
    assert numbers == counted
    marks = Counter(cell for table in tables for row in table.rows for cell in row[1:] if "hole" in cell)
    wide = sum(round(hole.cell.expected) >= 24 for hole in COVERAGE.holes)
    assert (marks["hole"], marks["hole"] + marks["small-hole"]) == (wide, len(COVERAGE.holes))
    for side in page.sides:
        assert sum(table.height_mm for table in side) <= room_mm(PAPERS[paper])
        assert all(len(row) == 1 + len(table.heads) for table in side for row in table.rows)
        assert all(page.name_mm + table.cell_mm * len(table.heads) <= PAPERS[paper].line_mm + 0.2 for table in side)


def test_more_keys_than_a_line_holds_take_several_tables() -> None:
    tonics = ("C", "D", "E", "F", "G", "A", "B", "Bb", "Eb", "F#")
    keys = [parse_key(f"{tonic} {mode}") for tonic in tonics for mode in ("major", "minor", "dorian")]
    many = [replace(STUDIES[0], id=f"pier-s1f{n}", key=key) for n, key in enumerate(keys)]
    page = count_tables_page(cover(many, coverage_rule(PLANNING)), PAPERS["a4"], WORDS)
    heads = [head for side in page.sides for table in side for head in table.heads]
    assert {tonality(key, WORDS) for key in keys} <= set(heads)
    assert all(table.cell_mm >= 6.8 for side in page.sides for table in side)


def test_tables_in_large_print_fill_their_sides() -> None:
    paper = paper_of(samples.book(large_print=True))
    names = {f"skill {n}": replace(STUDIES[0], id=f"pier-s1f{n}", skills=(f"skill-{n}",)) for n in range(90)}
    sides = count_tables_page(cover(list(names.values()), coverage_rule(PLANNING)), paper, WORDS).sides
    assert len(sides) > 3
    for side, after in pairwise(sides[1:]):
        assert all(len(table.rows) >= 4 for table in side)
        # What is left would not hold the heads of the next table and the fewest rows worth a table.
        assert room_mm(paper) - sum(table.height_mm for table in side) < after[0].height_mm
        assert room_mm(paper) - sum(table.height_mm for table in side) < 14 + after[0].head_mm + 5 * after[0].row_mm


def test_the_curve_has_every_study_and_numbers_its_jumps() -> None:
    page = curve_page(COVERAGE, {study.id: study.title for study in STUDIES}, WORDS)
    assert len(page.scores) == len(STUDIES)
    assert page.top >= max(page.scores)
    assert [number for _, number in page.jumps] == [int(number) for number, _ in page.jump_sentences]
    order = [point.study for point in COVERAGE.curve]
    assert [order[place] for place, _ in page.jumps] == [jump.after.study for jump in COVERAGE.jumps[: len(page.jumps)]]
    assert [level for _, level in page.levels] == sorted({level for _, level in page.levels})


def test_a_book_without_jumps_says_so() -> None:
    page = curve_page(cover(STUDIES[:1], coverage_rule(PLANNING)), {}, WORDS)
    assert (page.jumps_title, page.jump_sentences) == ("No jumps", ())


# --- guides -----------------------------------------------------------------------------------------------------------


def test_parents_are_told_the_minutes_of_the_term() -> None:
    book = samples.book()
    planned = replace(book, term=TermRule(weeks=10, days=4, minutes=25))
    texts = [text for prose in parents_guide(planned, WORDS).sections for text in prose.paragraphs]
    assert sum("25 minutes on 4 days" in text for text in texts) == 1
    plain = parents_guide(book, WORDS)
    assert all("{" not in text for prose in plain.sections for text in prose.paragraphs)
    assert len(texts) == 1 + sum(len(prose.paragraphs) for prose in plain.sections)


def test_the_ruler_has_true_millimetres_and_the_table_fills_the_line() -> None:
    for paper in PAPERS.values():
        page = measure_page(load_library().hands, paper, WORDS)
        assert page.ruler_mm == (110 if paper.name == "a5" else 150)
        assert (page.ruler_mm + 6) * page.mm <= paper.line_mm
        assert page.mm * paper.scale == pytest.approx(1, abs=1e-4)
        assert page.card_mm * paper.scale == pytest.approx(85.6, abs=0.01)
        assert sum(page.widths_mm) == pytest.approx(paper.line_mm)
        assert len(page.widths_mm) == len(page.heads)
        assert "medium 98 mm" in page.hands


def test_every_skill_has_something_to_look_for_and_a_fault() -> None:
    for skill in load_library().skills:
        assert f"look.{skill}" in WORDS
        assert f"fault.{skill}" in WORDS


def test_every_kind_of_answer_has_words() -> None:
    for package, constant, key in (
        ("materials", "MATERIAL", "notes"),
        ("paths", "PATH", "place"),
        ("strokes", "STROKES", "strokes"),
    ):
        kinds = registered(f"builder.{package}", constant)
        assert [kind for kind in kinds if f"answer.{key}.{kind}" not in WORDS] == []


def test_the_teachers_page_tells_answers_skills_and_places() -> None:
    library = load_library()
    spec = read_book(folder("books") / "first-page" / "book.yaml", library)
    (plan,) = spec.exercises
    studies = compose(plan, knowledge_from(library)).studies
    labels = {study_key(study.id): "7" for study in studies}
    page = teacher_page(plan, studies, library.skills, labels, PAPERS["a4"], WORDS)
    assert [row.study for row in page.places] == [study.id for study in studies]
    assert all(row.label == "7" for row in page.places)
    assert [row.skill for row in page.skills] == [library.skills[skill] for skill in plan.skills]
    assert all(row.listen and row.look and row.fault for row in page.skills)
    answers = dict(page.answers)
    assert answers["How fast"] == f"from {plan.tempo.low} to {plan.tempo.high} in {plan.tempo.steps} steps"
    assert answers["Where"].endswith(f"at {len(studies)} places")
    assert str(studies[0].key) in answers["Which notes"]
    assert len(page.neck_map.dots) == len(studies)


def test_levels_are_told_where_they_change() -> None:
    study = replace(STUDIES[0], tempo_steps=(60, 72, 84), levels=(3, 3, 4))
    assert levels_line(study) == "60 · 3   84 · 4"


def test_other_places_stand_two_by_two_and_wide_ones_alone() -> None:
    one = samples.ferry_steps()
    long = replace(one, id="pier-s1f1", events=(*samples.high_frets().events, *samples.first_fret().events))
    page = places_page([one, one, one, long, one], samples.book(), WORDS)
    rows = [row for side in page.sides for row in side]
    assert [[place.wide for place in row] for row in rows] == [[False, False], [False], [True], [False]]
    assert page.title == f"{one.title}: other places"


def test_many_other_places_go_on_over_the_side() -> None:
    many: list[Study] = [samples.ferry_steps()] * 30
    for paper in PAPERS:
        page = places_page(many, samples.book(paper), WORDS)
        assert sum(len(row) for side in page.sides for row in side) == 30
        for side in page.sides:
            assert sum(max(place.height_mm for place in row) for row in side) <= room_mm(PAPERS[paper])


# --- the small books --------------------------------------------------------------------------------------------------


def test_the_levels_are_listed_with_tempos_and_pages_and_choices_below_their_own_line() -> None:
    one = level(1, choose=1)
    (asked,), (chosen, *_) = one.required, one.choice
    labels = {f"study:{asked.study}": "12"}
    page = levels_page(Syllabus((one,), "", ()), {asked.study: "Ferry Steps"}, labels, PAPERS["a4"], samples.phrases())
    ((group,),) = page.listing.sides
    assert (group.mark, group.heading) == (str(one.level), "Outer Harbour")
    first, line, other, *_ = group.entries
    assert (first.text, first.place, first.label, first.target) == (
        "Ferry Steps",
        f"at {asked.tempo}",
        "12",
        asked.study,
    )
    assert (line.text, line.target) == ("Choose one of these", "")
    assert (other.text, other.indented, other.target) == (chosen.study, True, chosen.study)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_remarks_have_lines_where_two_or_more_have_room(paper: str) -> None:
    few, many = (sheets(level(count), paper=paper).mark_sides for count in (1, 7))
    assert few[-1].remark_lines > 1
    assert all(side.remark_lines != 1 for side in (*few, *many))
    assert many[0].remark_lines == 0
