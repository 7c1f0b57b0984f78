"""The editions of students: who is meant, what each one plays, several editions as one result.

In, Out:  names from the command line, a `BookPlan` and its exercises; another plan with the compositions of one student
Not here: choosing studies (`curriculum.choice`), printing (`printing`)
Privacy:  a student's edition is made from the book and that student alone
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from difflib import get_close_matches
from pathlib import Path

from builder.compose import Composition, Knowledge, compose
from builder.curriculum.choice import Chosen, choose_studies, cues_for
from builder.curriculum.limits import limits_from
from builder.curriculum.term import studies_wanted
from builder.curriculum.timetable import TermRule
from builder.errors import Location, Problem, SpecError
from builder.resources import table
from builder.spec import BookSpec
from builder.spec.plan import BookPlan, ExercisePlan, StudentPlan
from builder.summary import Outcome, Summary
from builder.teaching import in_order, items_of

# A term as usual lessons have it, for a student of a book that plans none: our own choice.
_USUAL_TERM = TermRule(weeks=10, days=5, minutes=20)


def wanted_students(wanted: Sequence[str], plan: BookPlan, book: Path) -> tuple[StudentPlan, ...]:
    """The students named by id or name, everybody where none is named; raise SpecError for a stranger."""
    known = {name: student for student in plan.students for name in (student.name, student.id)}
    if not known:
        hint = "add a key 'students' to the book"
        raise SpecError([Problem(Location(str(book)), "students", "no students", "a file of students", hint)])
    strangers = [name for name in wanted if name not in known]
    if strangers:
        raise SpecError(
            Problem(Location(str(book)), "--student", repr(name), "the id or name of a student of this book",
                    f"did you mean {near[0]!r}?" if (near := get_close_matches(name, list(known), n=1)) else "")
            for name in strangers
        )  # fmt: skip
    ids = {known[name].id for name in wanted}
    return tuple(student for student in plan.students if not wanted or student.id in ids)


@dataclass(frozen=True, slots=True)
class Edition:
    """A book for one student: its plan, its exercises, the studies chosen and why."""

    plan: BookPlan
    compositions: tuple[Composition, ...]
    chosen: tuple[Chosen, ...]


def edition(plan: BookPlan, student: StudentPlan, exercises: Sequence[ExercisePlan], knowledge: Knowledge) -> Edition:
    """Work the book out anew for one student's hand and instrument, and keep what is for them."""
    own_exercises = [
        _for_hand(exercise, plan, student, cues_for(student.learner, knowledge.cues, number))
        for number, exercise in enumerate(exercises)
    ]
    compositions = [compose(exercise, knowledge) for exercise in own_exercises if _has_strings(exercise)]
    items = items_of(in_order(compositions), compositions)
    own = [item for item in items if item.instrument == student.instrument.name]
    rule = replace(plan.term or _USUAL_TERM, required=())
    rule = replace(rule, minutes=student.minutes or rule.minutes)
    limits = limits_from(table("planning.yaml"))
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
        print_places="each",  # every study in it was chosen
        levels=(),
        term=term,
        students=(),
    )


def _for_hand(exercise: ExercisePlan, plan: BookPlan, student: StudentPlan, cues: tuple[str, ...]) -> ExercisePlan:
    """The exercise for the student's hand, and on their instrument where it was meant for the book's.

    *cues* are taken where neither they are empty nor the exercise names its own.
    """
    instrument = student.instrument if exercise.instrument == plan.instrument else exercise.instrument
    checkpoints = exercise.checkpoints
    if cues and checkpoints.cues is None:
        checkpoints = replace(checkpoints, cues=cues)
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


def student_told(plan: BookPlan, spec: BookSpec) -> str:
    """What an edition depends on besides the book's own files: its student; empty for the common book.

    It is the same in every process, as `repr` of a set is not.
    """
    if not plan.student or spec.plan is None:
        return ""
    student = next(one for one in spec.plan.students if plan.name.endswith(f"-{one.id}") and one.name == plan.student)
    return json.dumps(asdict(student), sort_keys=True, default=sorted)  # the sets are of words


def together(built: Sequence[Outcome], plan: BookPlan) -> Outcome:
    """Several editions as one outcome."""
    summaries = [one.summary for one in built]
    summary = Summary(
        title=plan.title,
        studies=(),
        skipped=(),
        pages=sum(one.pages for one in summaries),
        files=tuple(file for one in summaries for file in one.files),
        seconds=sum(one.seconds for one in summaries),
        faults=tuple(f"{one.files[0]}: {fault}" for one in summaries for fault in one.faults),
    )
    return Outcome({"editions": [one.document for one in built], "problems": []}, summary)
