"""The JSON of an earlier edition, which the changes of a syllabus are counted from.

Stage:    1 read
In, Out:  a `BookPlan` that names the file; the `Record`s of its studies, or SpecError
Not here: what differs (`curriculum.changes`)
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from builder.curriculum.changes import Record, record_from
from builder.errors import Problem, SpecError
from builder.spec.load import matching_files
from builder.spec.plan import BookPlan

_KEY = ("syllabus", "earlier")
_EXPECTED = "the JSON file that a build of the earlier edition left"


def read_earlier(plan: BookPlan) -> tuple[Record, ...] | None:
    """The studies of the edition that `syllabus.earlier` names, None for no name; SpecError for another file."""
    file = earlier_file(plan)
    if file is None:
        return None
    try:
        document = json.loads(file.read_text(encoding="utf-8"))
        return tuple(_records(document))
    except (OSError, ValueError, RecursionError) as error:
        found = f"'{plan.earlier}', which can't be read as such ({_reason(error)})"
        raise SpecError([plan.places.problem(_KEY, found, _EXPECTED)]) from error


def earlier_file(plan: BookPlan) -> Path | None:
    """Where the earlier edition's JSON is, inside the book's folder; None where the book names none."""
    if not plan.earlier:
        return None
    files = matching_files(Path(plan.places.file), plan.earlier)
    if isinstance(files, list) and len(files) == 1:
        return files[0]
    raise SpecError([_not_found(plan, files)])


def _not_found(plan: BookPlan, files: list[Path] | tuple[str, str, str]) -> Problem:
    found, hint = (f"'{plan.earlier}', which matches several files", "") if isinstance(files, list) else files[::2]
    return plan.places.problem(_KEY, found, f"{_EXPECTED}, inside the book's folder", hint)


def _records(document: Any) -> Iterator[Record]:
    if not isinstance(document, dict) or not isinstance(document.get("studies"), list):
        raise ValueError("no list of studies")
    for study in document["studies"]:
        yield record_from(study)


def _reason(error: Exception) -> str:
    """Why, in a few words: a parser's own message goes on with what it was reading."""
    if isinstance(error, OSError):
        return (error.strerror or "no permission").lower()
    if isinstance(error, RecursionError):
        return "brackets too deep"
    return str(error)[:80]
