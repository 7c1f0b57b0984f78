"""The engine run on an exercise in this process, and its answer as other programs read it.

In, Out:  a `Case`; the JSON document it gives, or problems
Not here: what has to hold for it (`rules`)
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from builder.compose import Knowledge, compose
from builder.composing import knowledge_from
from builder.errors import Problem
from builder.outputs.study_json import document, study_json
from builder.spec import Library, load_library, read_exercise
from tests.contract.specs import Case, Json


@dataclass(frozen=True, slots=True)
class Result:
    """What the engine made of a case: the JSON document, or problems."""

    case: Case
    document: Json
    problems: tuple[Problem, ...]


@cache
def _tools() -> tuple[Library, Knowledge]:
    library = load_library()
    return library, knowledge_from(library)


def worked_out(case: Case) -> Result:
    """Work a case out."""
    library, knowledge = _tools()
    with TemporaryDirectory() as folder:
        book = read_exercise(case.write(Path(folder)), library, None, case.hand)
    composed = [compose(plan, knowledge) for plan in book.exercises]
    problems = (*book.problems, *(problem for one in composed for problem in one.problems))
    studies = [study_json(study) for one in composed for study in one.studies]
    skipped = [each for one in composed for each in one.skipped]
    return Result(case, json.loads(json.dumps(document(studies, skipped, ()))), problems)
