"""Everything printed: progress, tables, problems.

Units:    progress and tables only on a terminal; elsewhere plain lines
Not here: what is said in JSON (`outputs`), exit codes (`cli`)
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from builder.errors import BuilderError, MachineError
from builder.summary import Summary

Row = Sequence[str]


def say(text: str = "") -> None:
    """Print a line on standard output."""
    print(text)


def complain(text: str) -> None:
    """Print a line on standard error."""
    print(text, file=sys.stderr)


def say_json(document: Any) -> None:
    """Print one JSON document and nothing else."""
    print(json.dumps(document, ensure_ascii=False, indent=1))


def complain_of(error: BuilderError) -> None:
    """Print a user's mistakes, or what the machine refuses."""
    complain(f"etudebook: {error}" if isinstance(error, MachineError) else str(error))


def on_terminal() -> bool:
    """Whether standard output is a terminal."""
    return sys.stdout.isatty()


def table(title: str, headings: Row, rows: Iterable[Row]) -> None:
    """Print a table; without a terminal, one line a row with tabs between the cells."""
    if not on_terminal():
        for row in rows:
            print("\t".join(row))
        return
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    ruled = Table(title=Text(title), title_justify="left", box=None, pad_edge=False)
    for heading in headings:
        ruled.add_column(Text(heading), overflow="fold")
    for row in rows:
        ruled.add_row(*(Text(cell) for cell in row))
    Console().print(ruled)


@contextmanager
def progress(*labels: str, quiet: bool) -> Iterator[tuple[Callable[[int, int], None], ...]]:
    """Show how far the work is, on a terminal only; yields a `step(done, total)` for each of *labels*."""
    if quiet or not sys.stderr.isatty():
        yield tuple(lambda done, total: None for _ in labels)
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    columns = TextColumn("{task.description}", markup=False), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn()
    # Drawn at every step and by no thread of its own: beside a thread no process can be forked safely, and tracks are
    # made by several.
    with Progress(*columns, console=Console(stderr=True), transient=True, auto_refresh=False) as bar:
        task = bar.add_task(labels[0], total=None)

        def step(label: str) -> Callable[[int, int], None]:
            return lambda done, total: bar.update(task, description=label, completed=done, total=total, refresh=True)

        yield tuple(step(label) for label in labels)


def show_build(summary: Summary) -> None:
    """Say what a build made."""
    if summary.studies:
        _show_studies(summary, with_pages=True)
        _show_levels(summary)
    _show_left_out(summary)
    noun = "page" if summary.pages == 1 else "pages"
    say(f"{summary.pages} {noun} in {summary.seconds:.1f} s")
    for path in summary.files:
        say(f"  {path}")
    show_faults(summary)


def show_faults(summary: Summary) -> None:
    """Say on standard error, last and so nearest to the reader's eye, what is wrong with the pages."""
    if not summary.faults:
        return
    complain("Pages that are not what they should be; look at them before you print them:")
    for fault in summary.faults:
        complain(f"  {fault}")


def show_tracks(summary: Summary) -> None:
    """Say where the folder for the web is."""
    say(f"Tracks of {len(summary.studies)} studies in {summary.seconds:.1f} s")
    for path in summary.files:
        say(f"  {path}")


def show_check(summary: Summary) -> None:
    """Say what a check found."""
    _show_levels(summary)
    _show_left_out(summary)
    for note in summary.notes:
        say(note)
    say(f"{len(summary.studies)} studies, no problems ({summary.seconds:.1f} s)")


def show_studies(summary: Summary) -> None:
    """Show the studies of one exercise."""
    _show_studies(summary, with_pages=False)
    _show_left_out(summary)


def show_listing(text: str) -> None:
    """Show what a spec may say."""
    say(text)


def _show_studies(summary: Summary, with_pages: bool) -> None:
    headings = ["Study", "Start", "Bars", "Level", "Score", "Tempo · level", "Reach"]
    rows = []
    for study in summary.studies:
        steps = "  ".join(f"{tempo}·{level}" for tempo, level in zip(study.tempo_steps, study.levels, strict=True))
        start = f"string {study.start.string}, fret {study.start.fret}: {study.pitch}"
        level = f"{study.level}{' (pinned)' * study.pinned}"
        row = [study.id, start, str(study.bars), level, f"{study.score:.1f}", steps, f"{study.reach_mm:.0f} mm"]
        rows.append([str(study.page), *row] if with_pages else row)
    table(summary.title, ["Page", *headings] if with_pages else headings, rows)


def _show_levels(summary: Summary) -> None:
    counts = Counter(study.level for study in summary.studies)
    say("Levels: " + ", ".join(f"{level} ({counts[level]})" for level in sorted(counts)))


def _show_left_out(summary: Summary) -> None:
    if summary.skipped:
        rows = [
            (one.exercise, f"string {one.start.string}, fret {one.start.fret}", one.reason) for one in summary.skipped
        ]
        say("Places left out:")
        table("", ["Exercise", "Start", "Reason"], rows)
    warnings = [(study.id, warning) for study in summary.studies for warning in study.warnings]
    if warnings:
        say("Warnings:")
        table("", ["Study", "Warning"], warnings)
