"""What a book teaches as a whole: its term, its syllabus, what it covers.

In, Out:  a `BookPlan` and its compositions; a `Teaching`
Not here: planning itself (`curriculum`), the editions of students (`editions`), pages (`pages`), files (`outputs`)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from builder.compose import Composition
from builder.curriculum.coverage import Coverage, cover, coverage_rule
from builder.curriculum.item import Item, item_of
from builder.curriculum.limits import Limits, limits_from
from builder.curriculum.syllabus import Assessment, Syllabus, alternate_rule, assessment_from, syllabus
from builder.curriculum.term import TermPlan, plan_term
from builder.errors import Problem
from builder.pages.order import sections, small_places
from builder.resources import table
from builder.spec.plan import BookPlan
from builder.theory.score import Study


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
    rules = table("planning.yaml")
    studies = in_order(compositions)
    items = items_of(studies, compositions)
    small = {study.id for members in small_places(studies, plan).values() for study in members}
    pages = tuple(item for item in items if item.id not in small)  # what has no page can't be practised from
    limits = limits_from(rules)
    problems: list[Problem] = []
    warnings: list[str] = []
    worked_out = syllabus(plan.levels, pages, alternate_rule(rules, plan.seed)) if plan.levels else None
    for finding in worked_out.findings if worked_out else ():
        if finding.warning:
            warnings.append(f"levels: {finding.found}; expected {finding.expected}")
        else:
            level, *rest = finding.path
            path = ("levels", str(level), *rest)  # a level's number is a key of the file, not a place in a list
            problems.append(plan.places.problem(path, finding.found, finding.expected, finding.hint))
    term = _term(plan, pages, limits, problems)
    if term and term.shortfall:
        warnings.append(f"term: {term.shortfall.sentence}")
    return Teaching(
        items=items,
        coverage=cover(studies, coverage_rule(rules)),
        limits=limits,
        assessment=assessment_from(rules),
        term=term,
        syllabus=worked_out,
        warnings=tuple(warnings),
        problems=tuple(problems),
    )


def covered(studies: Sequence[Study]) -> Coverage:
    """What *studies*, in the order of the book, cover."""
    return cover(studies, coverage_rule(table("planning.yaml")))


def in_order(compositions: Sequence[Composition]) -> tuple[Study, ...]:
    """Every study in the order of the book."""
    every = [study for composition in compositions for study in composition.studies]
    return tuple(study for section in sections(every) for study in section.studies)


def items_of(studies: Sequence[Study], compositions: Sequence[Composition]) -> tuple[Item, ...]:
    """What planning sees of *studies*, which are those of *compositions*."""
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
