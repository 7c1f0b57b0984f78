"""What a book teaches as a whole: its term, its syllabus, what it covers; and the edition of one student.

In, Out:  a `BookPlan` and its compositions; a `Teaching`, or another plan with the compositions of one student
Not here: planning itself (`curriculum`), pages (`pages`), files (`outputs`)
Privacy:  a student's edition is made from the book and that student alone
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import yaml

from builder.compose import Composition, Knowledge, compose
from builder.curriculum.choice import Chosen, choose_studies, for_student
from builder.curriculum.coverage import Coverage, cover, coverage_rule
from builder.curriculum.item import Item, item_of
from builder.curriculum.limits import Limits, limits_from
from builder.curriculum.syllabus import Assessment, Syllabus, alternate_rule, assessment_from, syllabus
from builder.curriculum.term import TermPlan, plan_term, studies_wanted
from builder.curriculum.timetable import TermRule
from builder.errors import Problem
from builder.pages.order import sections
from builder.resources import folder
from builder.spec.plan import BookPlan, ExercisePlan, StudentPlan
from builder.theory.score import Study

# A term as usual lessons have it, for a student of a book that plans none: our own choice.
_USUAL_TERM = TermRule(weeks=10, days=5, minutes=20)


@dataclass(frozen=True, slots=True)
class Teaching:
    """The book as a curriculum; *term* and *syllabus* are None where the book asks for none.

    *items* stand in the order of the book; *problems* are what its term and levels get wrong.
    """

    items: tuple[Item, ...]
    coverage: Coverage
    limits: Limits
    assessment: Assessment
    term: TermPlan | None
    syllabus: Syllabus | None
    warnings: tuple[str, ...]
    problems: tuple[Problem, ...]


def teaching(plan: BookPlan, compositions: Sequence[Composition]) -> Teaching:
    """Plan the term, work out the syllabus, look at what is covered."""
    table = yaml.safe_load((folder("shared") / "planning.yaml").read_text(encoding="utf-8"))
    studies = in_order(compositions)
    items = _items(studies, compositions)
    limits = limits_from(table)
    problems: list[Problem] = []
    warnings: list[str] = []
    worked_out = syllabus(plan.levels, items, alternate_rule(table, plan.seed)) if plan.levels else None
    for finding in worked_out.findings if worked_out else ():
        if finding.warning:
            warnings.append(f"levels: {finding.found}; expected {finding.expected}")
        else:
            level, *rest = finding.path
            path = ("levels", str(level), *rest)  # a level's number is a key of the file, not a place in a list
            problems.append(plan.places.problem(path, finding.found, finding.expected, finding.hint))
    term = _term(plan, items, limits, problems)
    if term and term.shortfall:
        warnings.append(f"term: {term.shortfall.sentence}")
    return Teaching(
        items=items,
        coverage=cover(studies, coverage_rule(table)),
        limits=limits,
        assessment=assessment_from(table),
        term=term,
        syllabus=worked_out,
        warnings=tuple(warnings),
        problems=tuple(problems),
    )


def in_order(compositions: Sequence[Composition]) -> tuple[Study, ...]:
    """Every study in the order of the book."""
    every = [study for composition in compositions for study in composition.studies]
    return tuple(study for section in sections(every) for study in section.studies)


def _items(studies: Sequence[Study], compositions: Sequence[Composition]) -> tuple[Item, ...]:
    plans = {one.plan.id: one.plan for one in compositions}
    return tuple(
        item_of(study, plans[study.exercise].material_kind, plans[study.exercise].neck.path, study.scores)
        for study in studies
    )


def _term(plan: BookPlan, items: Sequence[Item], limits: Limits, problems: list[Problem]) -> TermPlan | None:
    """The plan of the book's term over the studies of its own instrument."""
    if plan.term is None:
        return None
    own = [item for item in items if item.instrument == plan.instrument.name]
    known = {item.id for item in own}
    unknown = [study for study in plan.term.required if study not in known]
    for study in unknown:
        number = plan.term.required.index(study)
        expected = f"a study of this book on the {plan.instrument.name}"
        problems.append(plan.places.problem(("term", "studies", number), f"'{study}'", expected))
    return None if unknown or not own else plan_term(own, plan.term, limits)


@dataclass(frozen=True, slots=True)
class Edition:
    """A book for one student: its plan, its exercises, the studies chosen and why."""

    plan: BookPlan
    compositions: tuple[Composition, ...]
    chosen: tuple[Chosen, ...]


def edition(plan: BookPlan, student: StudentPlan, exercises: Sequence[ExercisePlan], knowledge: Knowledge) -> Edition:
    """Work the book out anew for one student's hand and instrument, and keep what is for them."""
    own_exercises = [_for_hand(exercise, plan, student) for exercise in exercises]
    compositions = [compose(exercise, knowledge) for exercise in own_exercises if _has_strings(exercise)]
    items = _items(in_order(compositions), compositions)
    own = [item for item in items if item.instrument == student.instrument.name]
    rule = replace(plan.term or _USUAL_TERM, required=())
    rule = replace(rule, minutes=student.minutes or rule.minutes)
    table = yaml.safe_load((folder("shared") / "planning.yaml").read_text(encoding="utf-8"))
    limits = limits_from(table)
    begun = [study for study in student.learner.last_clean if study in {item.id for item in own}]
    chosen = choose_studies(own, student.learner, max(len(begun), studies_wanted(rule, limits)))
    steps = {each.study: each.tempo_steps for each in chosen}
    kept = tuple(_kept(one, steps, knowledge) for one in compositions)
    own_plan = edition_plan(plan, student)
    return Edition(own_plan, tuple(one for one in kept if one.studies), chosen)


def edition_plan(plan: BookPlan, student: StudentPlan) -> BookPlan:
    """The book as it is printed for one student; no other is in it."""
    term = plan.term and replace(plan.term, required=(), minutes=student.minutes or plan.term.minutes)
    return replace(
        plan,
        name=f"{plan.name}-{student.id}",
        instrument=student.instrument,
        hand=student.hand,
        student=student.name,
        left_handed=student.left_handed,
        levels=(),
        term=term,
        students=(),
    )


def learners_items(items: Sequence[Item], student: StudentPlan) -> tuple[Item, ...]:
    """The studies as the student plays them: their own tempo steps, the cues of their needs first."""
    return tuple(for_student(item, student.learner) for item in items)


def _for_hand(exercise: ExercisePlan, plan: BookPlan, student: StudentPlan) -> ExercisePlan:
    """The exercise for the student's hand, and on their instrument where it was meant for the book's."""
    instrument = student.instrument if exercise.instrument == plan.instrument else exercise.instrument
    advised = tuple(dict.fromkeys(cue for advice in student.learner.advice for cue in advice.cues))
    checkpoints = exercise.checkpoints
    if advised and checkpoints.cues is None:
        checkpoints = replace(checkpoints, cues=advised)
    return replace(exercise, hand=student.hand, instrument=instrument, checkpoints=checkpoints)


def _has_strings(exercise: ExercisePlan) -> bool:
    """Whether the exercise's instrument has every string it names: it may have been written for another one."""
    neck, contour = exercise.neck, exercise.contour
    places = neck.places if isinstance(neck.places, tuple) else ()
    named = [
        *(place.string for place in places),
        *(neck.strings or ()),
        *(neck.shift_on or ()),
        *(string for one in (contour.passes if contour else ()) for string in one.strings),
    ]
    return max(named, default=1) <= exercise.instrument.strings


def _kept(composition: Composition, steps: Mapping[str, tuple[int, ...]], knowledge: Knowledge) -> Composition:
    """The studies that were chosen, with the tempo steps that are left to play."""
    chosen = [study for study in composition.studies if study.id in steps]
    if any(study.tempo_steps != steps[study.id] for study in chosen):
        marks = {study.id: steps[study.id] for study in chosen}
        composition = compose(replace(composition.plan, marks=marks), knowledge)
    return replace(composition, studies=tuple(study for study in composition.studies if study.id in steps))
