"""The pages of a curriculum as LilyPond text: term, slips, assessments, coverage, guides for parents and teachers.

Stage:    5 engrave (in)
In, Out:  `Matter` and the values of `curriculum`; sheets with the titles a book lists them by
Not here: what a page holds (`pages`), the pages of every book (`lilypond_source`)

Keys, sides and titles never depend on the labels: call with none to learn them, again with the labels to print.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from builder.curriculum.changes import Change
from builder.curriculum.coverage import Coverage
from builder.curriculum.limits import Limits
from builder.curriculum.syllabus import Assessment, Syllabus
from builder.curriculum.term import TermPlan
from builder.engraving.lilypond_source import page_values, prose_bodies, render
from builder.engraving.sheet import Body, Sheet
from builder.errors import Location
from builder.pages import Labels, Paper, Phrases, paper_of
from builder.pages.assessment_pages import assessment_page, changes_page
from builder.pages.count_tables import count_tables_page
from builder.pages.coverage_pages import curve_page, neck_counts_page
from builder.pages.guide_pages import measure_page, parents_guide, places_page, teacher_page
from builder.pages.order import places_key
from builder.pages.slip_pages import practice_log, slip_sides
from builder.pages.term_pages import WeekSide, rules_page, week_sides, weeks_a_row
from builder.spec.plan import BookPlan, ExercisePlan
from builder.theory.fretboard import Hand
from builder.theory.score import Study

# Columns in millimetres that pages share or whose rest of the line is dealt to a name and a number to cite.
_NAME_SHARE = 0.52  # of the room for both goes to the title: titles are read, ids are looked up
_WEEK_FIXED_MM = 74.0
_STRENGTH_MM, _MINUTES_HEAD_MM = 18.0, 20.0
# The same in large print: a figure of three digits is 9.4 mm wide, a word of eight letters 27.
_LARGE_STRENGTH_MM, _LARGE_MINUTES_HEAD_MM = 30.0, 28.0
_LARGE_WEEK_MM = (19.0, 21.0, 17.0, 36.0)  # page, tempo, minutes, cue
_LARGE_TICK_MM = 9.0
_KEPT_ROWS, _LARGE_REMARKS = 10, 4  # of a slip that stays together; lines to write on (our own choice)
_SLIP_MM = {False: (11.0, 20.0, 10.0), True: (19.0, 24.0, 14.0)}  # page, tempo, a day; the same in large print
_QUESTION_MM, _SKILL_MM = 32.0, 32.0
_PLACE_MM, _PLACE_ID_MM, _PLACE_PAGE_MM = 44.0, 52.0, 14.0
_ASKED_ID_MM = 50.0
_CRITERION_MM = 50.0
# Of the marks: tempo, number of the try, tempo played, sum, and each criterion; on wide paper and on narrow.
_MARKS_MM = {False: (13.0, 9.0, 19.0, 13.0, 19.0), True: (12.0, 7.0, 14.5, 9.0, 13.0)}
_LARGE_MARKS_MM = (0.0, 15.0, 26.0, 18.0, 0.0)  # the study and its tempo have a line of their own, marks the rest
_ASKED_MM, _LARGE_ASKED_MM = (15.0, 15.0, 15.0, 22.0), (19.0, 21.0, 19.0, 22.0)  # page, tempo, level, five clean
_RESULT_MM = 88.0
_INSET_MM = 1.5
_PLACE_IN_ID_MM, _LARGE_PLACE_MM = 13.0, 20.0  # s10f12 at 8 points, and at 16


@dataclass(frozen=True, slots=True)
class Matter:
    """What the pages around a book's studies are made from; *cues* and *skills* are their printed words by id."""

    book: BookPlan
    studies: Sequence[Study]
    labels: Labels
    where: Location
    phrases: Phrases
    cues: Mapping[str, str]
    skills: Mapping[str, str]

    @property
    def paper(self) -> Paper:
        """The paper of the book."""
        return paper_of(self.book)

    @property
    def titles(self) -> Mapping[str, str]:
        """The title of each study."""
        return {study.id: study.title for study in self.studies}


@dataclass(frozen=True, slots=True)
class TitledSheet:
    """A sheet, what stands at its head, and whether the contents list it.

    *parts* are what the outline names below it, each with the side, counted from 0, on which it begins.
    """

    sheet: Sheet
    title: str
    listed: bool = True
    parts: tuple[tuple[str, int], ...] = ()


# --- term -------------------------------------------------------------------------------------------------------------


def term_sheets(matter: Matter, plan: TermPlan, limits: Limits) -> tuple[TitledSheet, ...]:
    """The rules, the weeks, the slips and the log of turns, in this order; none where nothing is planned."""
    rule = matter.book.term
    if rule is None or not plan.sittings:
        return ()
    line_mm, phrases = matter.paper.line_mm, matter.phrases
    rules, log = rules_page(plan, rule, limits, matter.paper, phrases), practice_log(matter.paper, phrases)
    large = matter.paper.large
    strength_mm = _LARGE_STRENGTH_MM if large else _STRENGTH_MM
    head_mm = _LARGE_MINUTES_HEAD_MM if large else _MINUTES_HEAD_MM
    minute_mm = (line_mm - head_mm) / weeks_a_row(matter.paper)
    return (
        TitledSheet(
            _sheet(
                matter,
                "term:rules",
                None,
                "book/term_rules.ly",
                page=rules,
                minute_mm=round(minute_mm, 2),
                head_mm=head_mm - 2,
                strength_mm=strength_mm,
                rule_mm=round(line_mm - strength_mm, 1),
            ),
            rules.title,
        ),
        *_weeks(matter, plan, limits, rules.title),
        _slips(matter, plan),
        TitledSheet(
            _sheet(
                matter,
                "term:log",
                1,
                "book/turn_log.ly",
                page=log,
                caution=(phrases("caution.strong"), phrases("caution.rest")),
            ),
            log.title,
        ),
    )


def _weeks(matter: Matter, plan: TermPlan, limits: Limits, title: str) -> tuple[TitledSheet, ...]:
    """A sheet for each side, or for the sides of a week that takes two."""
    sides = week_sides(plan, limits, matter.studies, matter.cues, matter.labels, matter.paper, matter.phrases)
    name_mm, id_mm = _shared(matter.paper.line_mm - _WEEK_FIXED_MM, matter.paper)
    if matter.paper.large:
        name_mm = round(matter.paper.line_mm - _LARGE_TICK_MM - sum(_LARGE_WEEK_MM), 1)

    def sheet(week: int, part: Sequence[WeekSide]) -> Sheet:
        widths = {"title_mm": name_mm, "id_mm": id_mm, "columns_mm": _LARGE_WEEK_MM}
        return _sheet(matter, f"term:week-{week}", len(part), "book/week.ly", pages=part, **widths)

    grouped = groupby(sides, key=lambda side: side.weeks[0].number)
    return tuple(TitledSheet(sheet(week, tuple(part)), title, listed=False) for week, part in grouped)


def _slips(matter: Matter, plan: TermPlan) -> TitledSheet:
    page = slip_sides(plan, matter.book, matter.studies, matter.labels, matter.phrases)
    days = max(len(slip.days) for side in page.sides for slip in side.slips)
    page_mm, tempo_mm, day_mm = _SLIP_MM[matter.paper.large]
    both_mm = round(matter.paper.line_mm - _INSET_MM - page_mm - tempo_mm - day_mm * days, 1)
    name_mm, id_mm = _shared(both_mm, matter.paper)
    sheet = _sheet(
        matter,
        "term:slips",
        len(page.sides),
        "book/slips.ly",
        page=page,
        both_mm=both_mm,
        title_mm=name_mm,
        id_mm=id_mm,
        page_mm=page_mm,
        tempo_mm=tempo_mm,
        day_mm=day_mm,
        kept=_KEPT_ROWS,
    )
    return TitledSheet(sheet, matter.phrases("slip.title"))


def _shared(room_mm: float, paper: Paper) -> tuple[float, float]:
    """The room for a study's title and for its id, of which narrow paper and large print show the place alone."""
    if paper.large:
        name = room_mm - _LARGE_PLACE_MM
    else:
        name = room_mm - _PLACE_IN_ID_MM if paper.narrow else room_mm * _NAME_SHARE
    name = round(name, 1)
    return name, round(room_mm - name, 1)


# --- syllabus ---------------------------------------------------------------------------------------------------------


def assessment_sheets(matter: Matter, syllabus: Syllabus, assessment: Assessment) -> tuple[TitledSheet, ...]:
    """For each level of the syllabus the candidate's sheet and the assessor's."""
    return tuple(_assessment(matter, number, syllabus, assessment) for number in range(len(syllabus.levels)))


def _assessment(matter: Matter, number: int, syllabus: Syllabus, assessment: Assessment) -> TitledSheet:
    level, paper, line_mm = syllabus.levels[number], matter.paper, matter.paper.line_mm
    page = assessment_page(level, syllabus, assessment, matter.studies, matter.labels, matter.paper, matter.phrases)
    columns_mm = _LARGE_ASKED_MM if paper.large else tuple(paper.across(width) for width in _ASKED_MM)
    asked_mm = round(line_mm - sum(columns_mm), 1)
    criterion_mm = paper.across(_CRITERION_MM)
    tempo_mm, try_mm, played_mm, sum_mm, mark_mm = _LARGE_MARKS_MM if paper.large else _MARKS_MM[paper.narrow]
    if paper.large:
        free_mm = line_mm - _INSET_MM - try_mm - played_mm - sum_mm
        mark_mm = round(free_mm / len(page.criteria), 1)
    marked_mm = line_mm - tempo_mm - try_mm - played_mm - sum_mm - mark_mm * len(page.criteria)
    sides, remarks = 1 + len(page.mark_sides), page.mark_sides[-1].remark_lines
    remarks = _LARGE_REMARKS if paper.large else remarks
    sheet = _ladder(
        matter,
        f"assess:{level.level}",
        "book/assessment.ly",
        (
            (sides, {"air_mm": 2.2, "remarks": remarks}),
            (sides, {"air_mm": 1.3, "remarks": remarks}),
            (None, {"air_mm": 2.2, "remarks": 0}),
        ),
        page=page,
        text_mm=line_mm - 5,
        asked_mm=asked_mm,
        asked_columns_mm=columns_mm,
        asked_head_mm=asked_mm - _INSET_MM,
        asked_name_mm=asked_mm - _asked_id_mm(paper),
        instead_mm=asked_mm - 5,
        criterion_mm=criterion_mm,
        band_mm=(band_mm := round((line_mm - criterion_mm) / page.bands, 1)),
        told_mm=band_mm - 3,
        marked_mm=round(marked_mm, 1),
        written_mm=round(marked_mm - 6, 1),
        tempo_mm=tempo_mm,
        try_mm=try_mm,
        played_mm=played_mm,
        sum_mm=sum_mm,
        mark_mm=mark_mm,
        ringed_mm=round(mark_mm - 3, 1),
        remarks_mm=round(line_mm - _RESULT_MM, 1),
    )
    return TitledSheet(sheet, page.title)


def _asked_id_mm(paper: Paper) -> float:
    """The room for the id of a study that is asked for, or for its place."""
    if paper.large:
        return _LARGE_PLACE_MM + 5
    return _PLACE_IN_ID_MM + 5 if paper.narrow else _ASKED_ID_MM


def changes_sheet(matter: Matter, changes: Sequence[Change]) -> TitledSheet:
    """What has changed since an earlier edition."""
    page = changes_page(changes, matter.titles, matter.phrases)
    return TitledSheet(Sheet("changes", matter.where, prose_bodies(page, matter.paper)), page.title)


# --- coverage ---------------------------------------------------------------------------------------------------------


def coverage_sheets(matter: Matter, coverage: Coverage) -> tuple[TitledSheet, ...]:
    """The curve with jumps and holes, the necks, the tables; only the first is listed. None without studies."""
    if not matter.studies:
        return ()
    # The first of a name, as coverage has it: a capo makes another instrument of the same name.
    instruments = {study.instrument.name: study.instrument for study in reversed(matter.studies)}
    curve = curve_page(coverage, matter.titles, matter.phrases)
    necks = neck_counts_page(coverage, instruments, matter.paper, matter.phrases)
    tables = count_tables_page(coverage, matter.paper, matter.phrases)
    sentence_mm = matter.paper.line_mm - 7
    return (
        TitledSheet(
            _sheet(matter, "coverage", None, "book/curve.ly", page=curve, sentence_mm=sentence_mm), curve.title
        ),
        TitledSheet(
            _sheet(matter, "coverage:neck", len(necks.sides), "book/neck_counts.ly", page=necks), curve.title, False
        ),
        TitledSheet(
            _sheet(matter, "coverage:tables", len(tables.sides), "book/count_tables.ly", page=tables),
            curve.title,
            False,
        ),
    )


# --- guides -----------------------------------------------------------------------------------------------------------


def parents_sheet(matter: Matter) -> TitledSheet:
    """The guide for parents."""
    page = parents_guide(matter.book, matter.phrases)
    return TitledSheet(Sheet("parents", matter.where, prose_bodies(page, matter.paper)), page.title)


def measure_sheet(matter: Matter, hands: Mapping[str, Hand]) -> TitledSheet:
    """How to measure a hand; *hands* are those a spec may name."""
    page = measure_page(hands, matter.paper, matter.phrases)
    step_mm = matter.paper.line_mm - 8
    sheet = _sheet(matter, "measure", page.sides, "book/measure.ly", page=page, step_mm=step_mm)
    return TitledSheet(sheet, page.title)


def teacher_sheets(matter: Matter, plans: Sequence[ExercisePlan]) -> tuple[TitledSheet, ...]:
    """A page for each exercise that has studies, in the order of the book."""
    members: dict[str, list[Study]] = {}
    for study in matter.studies:
        members.setdefault(study.exercise, []).append(study)
    by_id = {plan.id: plan for plan in plans}
    return tuple(_teacher(matter, by_id[exercise], studies) for exercise, studies in members.items())


def _teacher(matter: Matter, plan: ExercisePlan, studies: Sequence[Study]) -> TitledSheet:
    line_mm = matter.paper.line_mm
    page = teacher_page(plan, studies, matter.skills, matter.labels, matter.paper, matter.phrases)
    third_mm = round((line_mm - _SKILL_MM) / 3, 1)
    id_mm = _PLACE_IN_ID_MM if matter.paper.narrow else _PLACE_ID_MM
    sheet = _ladder(
        matter,
        f"teach:{plan.id}",
        "book/teacher.ly",
        ((1, {"note_lines": page.note_lines}), (None, {"note_lines": 0})),
        page=page,
        answer_mm=line_mm - _QUESTION_MM,
        third_mm=third_mm,
        told_mm=third_mm - 3,
        place_mm=(
            _PLACE_MM,
            id_mm,
            _PLACE_PAGE_MM,
            round(line_mm - _PLACE_MM - id_mm - _PLACE_PAGE_MM, 1),
        ),
    )
    return TitledSheet(sheet, page.title, listed=False)


def places_sheet(matter: Matter, others: Sequence[Study]) -> TitledSheet:
    """The places of one exercise that the book does not print in full."""
    page = places_page(others, matter.book, matter.phrases)
    sheet = _sheet(
        matter,
        places_key(others[0].exercise),
        len(page.sides),
        "book/places.ly",
        page=page,
        column_mm=matter.paper.line_mm / 2 + 5,
    )
    return TitledSheet(sheet, page.title, listed=False)


def _sheet(matter: Matter, key: str, sides: int | None, template: str, **values: object) -> Sheet:
    return _ladder(matter, key, template, ((sides, {}),), **values)


def _ladder(
    matter: Matter, key: str, template: str, rungs: Sequence[tuple[int | None, Mapping[str, object]]], **values: object
) -> Sheet:
    """A sheet of one body a rung: the sides it must fill and what it sets otherwise, the most generous first."""
    given = {"book": matter.book, **page_values(matter.book), **values}
    bodies = tuple(Body(render(template, **{**given, **rung}), sides) for sides, rung in rungs)
    return Sheet(key, matter.where, bodies)
