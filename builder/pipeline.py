"""The stages in order: read, expand, compose, lay out, engrave, assemble, write.

In, Out:  paths and options from the command line; files, and what the console and `--json` show
Not here: what any stage does
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Any

import yaml

from builder.compose import Composition, Knowledge, compose
from builder.errors import Problem, SpecError
from builder.outputs.files import write_whole
from builder.outputs.study_json import document, study_json
from builder.resources import folder
from builder.spec import BookSpec, Library, load_library, read_book, read_exercise
from builder.summary import Summary
from builder.theory.difficulty import model_from
from builder.theory.fingering import weights_from
from builder.theory.score import Study

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class BuildRequest:
    """What `etudebook build` was asked for; *out* None = beside the book, *only* empty = everything."""

    book: Path
    out: Path | None
    only: tuple[str, ...]
    pages_only: bool
    jobs: int
    strict: bool


@dataclass(frozen=True, slots=True)
class Outcome:
    """The end of a command: the JSON document and what the console shows."""

    document: dict[str, Any]
    summary: Summary


def knowledge_from(library: Library) -> Knowledge:
    """What composing draws on, from the library and the data files beside it."""
    shared = folder("shared")
    return Knowledge(
        cues=tuple(cue.id for cue in library.cues),
        difficulty=model_from(yaml.safe_load((shared / "difficulty.yaml").read_text(encoding="utf-8"))),
        weights=weights_from(yaml.safe_load((shared / "fingering.yaml").read_text(encoding="utf-8"))),
    )


def check(book: Path, strict: bool) -> Outcome:
    """Everything but engraving; raise SpecError with every problem of every file."""
    began = time.monotonic()
    library = load_library()
    spec = read_book(book, library)
    compositions = _composed(spec, library, strict)
    studies = in_order(compositions)
    title = spec.plan.title if spec.plan else ""
    return _outcome(title, studies, compositions, began)


def studies_of(exercise: Path, instrument: str | None, hand: str | None) -> Outcome:
    """The studies of one exercise file; raise SpecError with every problem."""
    began = time.monotonic()
    library = load_library()
    spec = read_exercise(exercise, library, instrument, hand)
    compositions = _composed(spec, library, strict=False)
    return _outcome(spec.exercises[0].title, in_order(compositions), compositions, began)


def _outcome(title: str, studies: Sequence[Study], compositions: Sequence[Composition], began: float) -> Outcome:
    skipped = tuple(one for composition in compositions for one in composition.skipped)
    summary = Summary(title, tuple(studies), skipped, {}, 0, (), time.monotonic() - began)
    return Outcome(document([study_json(study) for study in studies], skipped, ()), summary)


def _composed(spec: BookSpec, library: Library, strict: bool) -> tuple[Composition, ...]:
    """Compose every exercise; raise SpecError with the problems of reading and composing together."""
    knowledge = knowledge_from(library)
    compositions = tuple(compose(plan, knowledge) for plan in spec.exercises)
    problems = [*spec.problems, *(problem for one in compositions for problem in one.problems)]
    if strict:
        problems += [problem for one in compositions for problem in _warnings(one)]
    if problems:
        raise SpecError(sorted(problems, key=lambda problem: problem.where))
    return compositions


def _warnings(composition: Composition) -> Iterable[Problem]:
    """The warnings of an exercise as problems, for `--strict`."""
    for study in composition.studies:
        for warning in study.warnings:
            where = composition.plan.places.where()
            yield Problem(
                where, study.id, warning, "no warnings (--strict)", "change the exercise, or build without --strict"
            )


def build(request: BuildRequest, on_progress: Progress) -> Outcome:
    """Make the book and all that goes with it.

    Raises SpecError before anything is written, EngravingError with the earlier book untouched.
    """
    began = time.monotonic()
    library = load_library()
    spec = read_book(request.book, library)
    compositions = _chosen(_composed(spec, library, request.strict), request)
    if spec.plan is None:
        raise SpecError(spec.problems)
    out = request.out or request.book.parent / "out"
    result = _printed(spec.plan, compositions, library, request, on_progress, out)
    files = _write(result, library, out)
    studies = [
        {**study_json(study), "page": result.first_side[study.id], "pages": result.sides[study.id]}
        for study in result.studies
    ]
    finished = document(studies, result.skipped, ())
    write_whole(files.json, json.dumps(finished, ensure_ascii=False, indent=1) + "\n")
    summary = Summary(
        title=spec.plan.title,
        studies=result.studies,
        skipped=result.skipped,
        first_side=dict(result.first_side),
        pages=len(result.pages),
        files=(files.pdf, files.json, files.report),
        seconds=time.monotonic() - began,
    )
    return Outcome(finished, summary)


def in_order(compositions: Iterable[Composition]) -> tuple[Study, ...]:
    """The order of the book: exercises by level, score and id of their median study, each one's studies easiest first."""

    def place(composition: Composition) -> tuple[float, float, str]:
        studies = composition.studies
        return (
            median(study.level for study in studies),
            median(study.metrics.score for study in studies),
            composition.plan.id,
        )

    exercises = sorted((one for one in compositions if one.studies), key=place)
    return tuple(
        study
        for exercise in exercises
        for study in sorted(exercise.studies, key=lambda study: (study.level, study.metrics.score, study.start))
    )
