"""The pages of a syllabus: for each level a sheet for the candidate and one for the assessor; what has changed.

Stage:    6 assemble (pure)
In, Out:  a `SyllabusLevel`, the `Assessment`, the studies, page labels; values for the templates
Units:    tempo in beats a minute
Not here: working the syllabus out (`curriculum.syllabus`), the words of criteria and bands (shared/planning.yaml)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil

from builder.curriculum.changes import Change
from builder.curriculum.syllabus import Assessment, Criterion, Requirement, Syllabus, SyllabusLevel
from builder.pages.front import Labels, Prose, ProsePage
from builder.pages.order import study_key
from builder.pages.page import Paper
from builder.pages.phrases import Phrases
from builder.pages.sides import pieces, room_mm
from builder.theory.score import Study

# Heights as templates/book/assessment.ly draws them, measured on trial pages; what is left holds the studies' rows.
_MARKING_HEAD_MM, _CRITERION_MM, _MARKS_HEAD_MM, _RESULT_MM, _FOLLOWING_HEAD_MM = 42.0, 15.5, 11.0, 18.0, 9.0
_REMARKS_HEAD_MM, _REMARK_MM, _MOST_REMARKS = 14.0, 8.0, 9  # lines to write on where there is room for two or more
# The candidate's sheet: title and lead; a heading; a letter and a line of text, the air behind it; a table's heads, a
# study, a line of what may be played instead; the head of the trials and a line of them.
_SHEET_HEAD_MM, _SHEET_PART_MM, _LETTER_MM, _SAID_MM, _AFTER_MM = 26.0, 13.0, 1.95, 5.0, 1.4
_TABLE_MM, _ASKED_MM, _INSTEAD_MM, _TRIALS_HEAD_MM, _TRIAL_MM = 17.0, 9.5, 4.2, 24.0, 8.0
_LEAST_TRIALS, _MOST_TRIALS = 3, 12  # fewer look forgotten, more are never filled (our own choice)
_ATTEMPTS_MM = (11.0, 10.0, 9.0, 8.2, 7.5)  # a line to ring figures in: from roomy to the least a pen needs


@dataclass(frozen=True, slots=True)
class AskedRow:
    """A study a level asks for; *instead* names what may stand in for it, under a line that says so."""

    study: str
    title: str
    label: str
    tempo: str
    level: str
    instead: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AskedTable:
    """Studies under a heading."""

    heading: str
    rows: tuple[AskedRow, ...]


@dataclass(frozen=True, slots=True)
class MarkRow:
    """A study to mark; an empty title and tempo are to be written in. *tempo* is the slowest that counts."""

    title: str
    study: str
    tempo: str


@dataclass(frozen=True, slots=True)
class MarkSide:
    """The studies marked on one side, each attempt a line so high; *remark_lines* have room below them."""

    rows: tuple[MarkRow, ...]
    attempt_mm: float
    remark_lines: int


@dataclass(frozen=True, slots=True)
class AssessmentPage:
    """Both sheets of a level: what the candidate prepares, and what the assessor fills in, side by side of paper.

    *trial_rows* are lines of a table in which candidates note how it went before, where their sheet has room for it.
    """

    title: str
    lead: str
    outcomes_title: str
    outcomes: tuple[str, ...]
    heads: tuple[str, str, str, str, str]
    tables: tuple[AskedTable, ...]
    rules_title: str
    rules: tuple[str, ...]
    trials_title: str
    trial_heads: tuple[tuple[str, float], ...]
    trial_rows: int
    marking_title: str
    fields: tuple[str, str, str]
    click: tuple[str, str, str]
    criteria: tuple[Criterion, ...]
    band_heads: tuple[str, ...]
    mark_heads: tuple[str, ...]
    mark_sides: tuple[MarkSide, ...]
    attempts: tuple[str, ...]
    result: tuple[str, ...]
    continued: str

    @property
    def bands(self) -> int:
        """How many marks a criterion has, 0 included."""
        return max(len(each.bands) for each in self.criteria)


def assessment_page(
    level: SyllabusLevel,
    syllabus: Syllabus,
    assessment: Assessment,
    studies: Sequence[Study],
    labels: Labels,
    paper: Paper,
    phrases: Phrases,
) -> AssessmentPage:
    """The sheets of *level*."""
    titles = {study.id: study.title for study in studies}
    name = phrases("level.name", level=level.level)
    whole = f"{name}: {level.name}" if level.name else name
    marking = phrases("assess.marking", level=whole)
    attempts = tuple(str(number) for number in range(1, assessment.attempts + 1))
    tables, rules = _tables(level, titles, labels, phrases), _rules(level, syllabus, assessment, phrases)
    return AssessmentPage(
        title=phrases("assess.title", level=whole),
        lead=phrases("assess.lead"),
        outcomes_title=phrases("assess.outcomes"),
        outcomes=level.outcomes,
        heads=(
            phrases("assess.head.study"),
            phrases("assess.head.page"),
            phrases("assess.head.tempo"),
            phrases("assess.head.level"),
            phrases("assess.head.ready"),
        ),
        tables=tables,
        rules_title=phrases("assess.rules-title"),
        rules=rules,
        trials_title=phrases("assess.trials"),
        trial_heads=_trial_heads(paper, phrases),
        trial_rows=_trial_rows(level.outcomes, tables, rules, paper),
        marking_title=marking,
        fields=(phrases("assess.candidate"), phrases("assess.assessor"), phrases("assess.date")),
        click=(phrases("assess.click.label"), phrases("assess.click.on"), phrases("assess.click.off")),
        criteria=tuple(_criterion(each, phrases) for each in assessment.criteria),
        band_heads=(
            phrases("assess.head.criterion"),
            *(str(mark) for mark in range(max(len(each.bands) for each in assessment.criteria))),
        ),
        mark_heads=(
            phrases("assess.head.study"),
            phrases("assess.head.tempo"),
            phrases("assess.head.attempt"),
            phrases("assess.head.played"),
            *(phrases(f"assess.criterion.{each.name}") for each in assessment.criteria),
            phrases("assess.head.sum"),
        ),
        mark_sides=_mark_sides(level, assessment, titles, paper, phrases),
        attempts=attempts,
        result=(phrases("assess.passed"), phrases("assess.not-yet"), phrases("assess.remarks")),
        continued=phrases("page.continued", title=marking),
    )


def _trial_heads(paper: Paper, phrases: Phrases) -> tuple[tuple[str, float], ...]:
    widths = (17.0, 33.0, 16.0, 26.0) if paper.narrow else (22.0, 46.0, 18.0, 28.0)
    names = ("log.date", "assess.head.study", "log.tempo", "log.clean", "log.changed")
    return tuple(zip(map(phrases, names), (*widths, round(paper.line_mm - sum(widths), 1)), strict=True))


def _trial_rows(outcomes: Sequence[str], tables: Sequence[AskedTable], rules: Sequence[str], paper: Paper) -> int:
    """How many lines of trials the candidate's sheet has room for; none where that is not worth a table."""
    if paper.large:
        return 0
    letters = (paper.line_mm - 5.0) / _LETTER_MM
    said = sum(ceil(len(line) / letters) * _SAID_MM + _AFTER_MM for line in (*outcomes, *rules))
    asked = sum(_TABLE_MM + _ASKED_MM * len(table.rows) for table in tables)
    asked += sum(_INSTEAD_MM * len(row.instead) for table in tables for row in table.rows)
    free = room_mm(paper) - _SHEET_HEAD_MM - 2 * _SHEET_PART_MM - said - asked - _TRIALS_HEAD_MM
    rows = min(_MOST_TRIALS, int(free / _TRIAL_MM))
    return rows if rows >= _LEAST_TRIALS else 0


def _criterion(each: Criterion, phrases: Phrases) -> Criterion:
    """The criterion in the words of the language."""
    bands = phrases.lines(f"criterion.{each.name}.bands") or each.bands
    return replace(each, look_for=phrases.own(f"criterion.{each.name}.look-for", each.look_for), bands=bands)


def _tables(
    level: SyllabusLevel, titles: Mapping[str, str], labels: Labels, phrases: Phrases
) -> tuple[AskedTable, ...]:
    choice = "assess.choice-one" if level.choose == 1 else "assess.choice"
    tables = (
        (phrases("assess.required"), level.required),
        (phrases(choice, count=level.choose), level.choice if level.choose else ()),
    )
    return tuple(
        AskedTable(heading, tuple(_asked(one, titles, labels, phrases) for one in rows))
        for heading, rows in tables
        if rows
    )


def _asked(one: Requirement, titles: Mapping[str, str], labels: Labels, phrases: Phrases) -> AskedRow:
    instead = [
        phrases(
            "assess.alternate" if labels.get(study_key(other.study)) else "assess.alternate-unpaged",
            title=titles.get(other.study, other.study),
            study=other.study,
            tempo=other.tempo,
            page=labels.get(study_key(other.study), ""),
        )
        for other in one.alternates
    ]
    return AskedRow(
        study=one.study,
        title=titles.get(one.study, one.study),
        label=labels.get(study_key(one.study), ""),
        tempo=str(one.tempo),
        level=str(one.level),
        instead=(phrases("assess.instead"), *instead) if instead else (),
    )


def _rules(level: SyllabusLevel, syllabus: Syllabus, assessment: Assessment, phrases: Phrases) -> tuple[str, ...]:
    """What holds in the room, in words; the seed only where something was drawn by it."""
    most = sum(len(each.bands) - 1 for each in assessment.criteria)
    rules = [
        phrases("assess.rule.attempts", attempts=assessment.attempts),
        phrases("assess.rule.click"),
        phrases("assess.rule.tempo"),
        phrases("assess.rule.fingers"),
        phrases("assess.rule.pass", marks=assessment.pass_marks, most=most, floor=assessment.floor),
    ]
    if any(one.alternates for one in level.required):
        rules.append(phrases("assess.rule.alternates" if syllabus.seed else "assess.rule.unseeded", seed=syllabus.seed))
    return tuple(rules)


def _mark_sides(
    level: SyllabusLevel, assessment: Assessment, titles: Mapping[str, str], paper: Paper, phrases: Phrases
) -> tuple[MarkSide, ...]:
    """The rows of the marking sheet: what is required by name, an empty row for each study of choice."""
    rows = [MarkRow(titles.get(one.study, one.study), one.study, str(one.tempo)) for one in level.required]
    rows += [MarkRow("", phrases("assess.chosen"), "") for _ in range(level.choose)]
    free = room_mm(paper) - _MARKS_HEAD_MM - _RESULT_MM
    first = free - _MARKING_HEAD_MM - _CRITERION_MM * len(assessment.criteria)
    height = _ATTEMPTS_MM[-1] * assessment.attempts
    here = max(1, int(first / height))
    most = here if len(rows) <= here else max(1, int((free - _FOLLOWING_HEAD_MM) / height))
    return tuple(
        _mark_side(part, first if not number else free - _FOLLOWING_HEAD_MM, assessment)
        for number, part in enumerate((tuple(rows[:here]), *pieces(rows[here:], most)))
    )


def _mark_side(rows: tuple[MarkRow, ...], room: float, assessment: Assessment) -> MarkSide:
    """The rows as high as their side allows."""
    lines = len(rows) * assessment.attempts
    attempt = next((high for high in _ATTEMPTS_MM if high * lines <= room), _ATTEMPTS_MM[-1])
    remarks = min(_MOST_REMARKS, int((room - attempt * lines - _REMARKS_HEAD_MM) / _REMARK_MM))
    return MarkSide(rows, attempt, remarks if remarks > 1 else 0)


def changes_page(changes: Sequence[Change], titles: Mapping[str, str], phrases: Phrases) -> ProsePage:
    """What has changed since the edition compared with, study by study; *titles* are those of this edition."""
    lines = tuple(_told(change, titles, phrases) for change in changes) or (phrases("changes.none"),)
    lead = phrases("changes.lead")
    return ProsePage(phrases("changes.title"), lead, (Prose(phrases("changes.heading"), lines),))


def _told(change: Change, titles: Mapping[str, str], phrases: Phrases) -> str:
    """A change in words, the study by its title and its number to cite."""
    study = f"{titles[change.study]} ({change.study})" if change.study in titles else change.study
    told = phrases(f"changes.kind.{change.kind}")
    if change.before and change.after:
        told = phrases("changes.from-to", told=told, before=change.before, after=change.after)
    return phrases("changes.line", study=study, told=told)
