"""The report: what a build made, what could not be placed and why, what to know about each study.

In, Out:  a `BookResult` or failures; plain text
"""

from __future__ import annotations

from collections.abc import Iterable

from builder.errors import Problem
from builder.result import BookResult


def report_text(result: BookResult) -> str:
    """The report of a finished book."""
    lines = [result.book.title, "", f"{len(result.studies)} studies on {len(result.pages)} pages", "", "Studies"]
    for study in result.studies:
        pinned = " (pinned)" if study.level_pinned else ""
        steps = "  ".join(f"{tempo}·{level}" for tempo, level in zip(study.tempo_steps, study.levels, strict=True))
        page = result.first_side[study.id]
        lines.append(
            f"  page {page:>3}  level {study.level}{pinned}  score {study.metrics.score:5.2f}  {study.id}  [{steps}]"
        )
    lines += ["", "Places left out"]
    lines += [
        f"  {one.exercise}: string {one.start.string}, fret {one.start.fret}: {one.reason}" for one in result.skipped
    ] or ["  none"]
    lines += ["", "Warnings"]
    lines += [f"  {study.id} {warning}" for study in result.studies for warning in study.warnings] or ["  none"]
    return "\n".join(lines) + "\n"


def failure_text(title: str, problems: Iterable[Problem]) -> str:
    """The report of a book with pages that could not be engraved."""
    lines = [title, "", "These pages could not be engraved; the earlier book was left as it is.", ""]
    return "\n".join([*lines, *map(str, problems)]) + "\n"
