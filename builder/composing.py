"""Stage 3 for a whole book: every exercise composed, on every core; what `--only` names of it; what its texts quote.

In, Out:  a `BookSpec`, the ids asked for; `Composition`s, or SpecError with the problems of reading and composing
Not here: composing one exercise (`compose`)
"""

from __future__ import annotations

import multiprocessing
import os
import re
import sys
import threading
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from difflib import get_close_matches
from functools import partial
from pathlib import Path

from builder.compose import Composition, Knowledge, compose
from builder.errors import Location, Problem, SpecError
from builder.fields import near_miss
from builder.resources import table
from builder.spec import BookSpec, Library
from builder.spec.plan import ExercisePlan
from builder.spec.prose import Example
from builder.theory.chord_shapes import shape_prices_from
from builder.theory.difficulty import model_from
from builder.theory.fingering import weights_from
from builder.theory.score import Study

_WORTH_FORKING = 12  # exercises; below that starting processes takes longer than they save


def knowledge_from(library: Library) -> Knowledge:
    """What composing draws on, from the library and the data files beside it."""
    return Knowledge(
        cues=tuple(cue.id for cue in library.cues),
        difficulty=model_from(table("difficulty.yaml")),
        weights=weights_from(table("fingering.yaml")),
        prices=shape_prices_from(table("chord-shapes.yaml")),
    )


def composed(spec: BookSpec, library: Library, strict: bool) -> tuple[Composition, ...]:
    """Compose every exercise; raise SpecError with the problems of reading and composing together."""
    compositions = _compose_all(spec.exercises, knowledge_from(library))
    problems = [*spec.problems, *(problem for one in compositions for problem in one.problems)]
    if strict:
        problems += [problem for one in compositions for problem in _warnings(one)]
    if problems:
        raise SpecError(sorted(problems, key=lambda problem: problem.where))
    return compositions


def _compose_all(plans: Sequence[ExercisePlan], knowledge: Knowledge) -> tuple[Composition, ...]:
    """Compose on every core, where a process can be forked cheaply and there is enough to do."""
    cores = os.cpu_count() or 1
    if cores == 1 or len(plans) < _WORTH_FORKING or sys.platform != "linux" or threading.active_count() > 1:
        return tuple(compose(plan, knowledge) for plan in plans)
    context = multiprocessing.get_context("fork")
    with ProcessPoolExecutor(min(cores, len(plans)), mp_context=context) as pool:
        return tuple(pool.map(partial(compose, knowledge=knowledge), plans))


def quoted(spec: BookSpec, compositions: Iterable[Composition], library: Library) -> dict[str, Study]:
    """The studies that the book's pages to read quote, by id; raise SpecError for one there is not, or bars it has not.

    A study that this edition leaves out is composed for the quotation: the text was written for the whole book.
    """
    examples = [example for text in spec.plan.prose for example in text.examples] if spec.plan else []
    found = {study.id: study for one in compositions for study in one.studies}
    for example in examples:
        if example.study not in found:
            knowledge = knowledge_from(library)
            meant = [plan for plan in spec.exercises if _means(example.study, plan.id)]
            found |= {study.id: study for plan in meant for study in compose(plan, knowledge).studies}
    problems = [problem for example in examples for problem in _wrong(example, found, spec.exercises)]
    if problems:
        raise SpecError(problems)
    return {example.study: found[example.study] for example in examples}


def _wrong(example: Example, studies: Mapping[str, Study], plans: Iterable[ExercisePlan]) -> Iterable[Problem]:
    study = studies.get(example.study)
    if study is None:
        known = [*studies, *(plan.id for plan in plans)]
        hint = near_miss(example.study, sorted(known))
        yield Problem(example.where, "study", f"'{example.study}'", "the id of a study of this book", hint)
    elif example.last > study.bars:
        yield Problem(example.where, "bars", f"{example.first}-{example.last}", f"bars from 1 to {study.bars}")


def _warnings(composition: Composition) -> Iterable[Problem]:
    """The warnings of an exercise as problems, for `--strict`."""
    where = composition.plan.places.where()
    hint = "change the exercise, or build without --strict"
    for study in composition.studies:
        for warning in study.warnings:
            yield Problem(where, study.id, f"the warning {warning!r}", "no warnings (--strict)", hint)


def asked_for(spec: BookSpec, only: Sequence[str]) -> BookSpec:
    """The exercises that `--only` can mean, or all where it names something else: then a list of all is needed."""
    meant = {plan.id: plan for plan in spec.exercises if any(_means(wanted, plan.id) for wanted in only)}
    if not all(any(_means(wanted, exercise) for exercise in meant) for wanted in only):
        return spec
    return replace(spec, exercises=tuple(meant.values())) if only else spec


def _means(wanted: str, exercise: str) -> bool:
    """Whether an id is that of an exercise or of one of its studies."""
    return wanted == exercise or re.fullmatch(re.escape(exercise) + r"-s[0-9]+f[0-9]+", wanted) is not None


def chosen(compositions: Sequence[Composition], only: Sequence[str], book: Path) -> tuple[Composition, ...]:
    """The exercises and studies that `--only` names, everything without it."""
    if not only:
        return tuple(compositions)
    studies = {study.id for one in compositions for study in one.studies}
    known = {one.plan.id for one in compositions} | studies
    unknown = [wanted for wanted in only if wanted not in known]
    if unknown:
        raise SpecError(_unknown(wanted, known, book) for wanted in unknown)
    wanted = set(only)
    return tuple(
        one if one.plan.id in wanted else replace(one, studies=kept, skipped=())
        for one in compositions
        if (kept := tuple(study for study in one.studies if study.id in wanted)) or one.plan.id in wanted
    )


def _unknown(wanted: str, known: Iterable[str], book: Path) -> Problem:
    """The problem of an id that the book does not have."""
    near = get_close_matches(wanted, sorted(known), n=1)
    hint = f"did you mean {near[0]!r}?" if near else "etudebook check lists nothing of that name"
    return Problem(Location(str(book)), "--only", repr(wanted), "the id of an exercise or a study of this book", hint)
