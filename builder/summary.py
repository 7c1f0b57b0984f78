"""What a command tells the user at its end, before it is worded; its JSON document.

Not here: the words and tables (`console`), the JSON (`outputs.study_json`)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from builder.theory.fretboard import Place
from builder.theory.score import Skipped, Study


@dataclass(frozen=True, slots=True)
class StudyLine:
    """A study in one line; *page* 0 where nothing was printed."""

    id: str
    page: int
    start: Place
    pitch: str
    bars: int
    level: int
    pinned: bool
    score: float
    tempo_steps: tuple[int, ...]
    levels: tuple[int, ...]
    reach_mm: float
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Summary:
    """What the console shows at the end; *files* and *pages* are empty where nothing was printed.

    *notes* are sentences on the book as a whole: what its term can't hold, what it does not cover. *faults* are what is
    wrong with its pages, a sentence each.
    """

    title: str
    studies: tuple[StudyLine, ...]
    skipped: tuple[Skipped, ...]
    pages: int
    files: tuple[Path, ...]
    seconds: float
    notes: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Outcome:
    """The end of a command: the JSON document and what the console shows."""

    document: dict[str, Any]
    summary: Summary


def study_line(study: Study, page: int) -> StudyLine:
    """The line of one study."""
    return StudyLine(
        id=study.id,
        page=page,
        start=study.start,
        pitch=str(study.start_pitch),
        bars=study.bars,
        level=study.level,
        pinned=study.level_pinned,
        score=study.metrics.score,
        tempo_steps=study.tempo_steps,
        levels=study.levels,
        reach_mm=study.metrics.widest_reach_mm,
        warnings=study.warnings,
    )


def to_plain(summary: Summary) -> dict[str, Any]:
    """The summary as plain data, to be kept with the files it speaks of."""
    plain = asdict(summary)
    return {**plain, "files": [path.name for path in summary.files]}


def from_plain(plain: Mapping[str, Any], out: Path, seconds: float) -> Summary:
    """Read a kept summary of the files in *out*; KeyError or TypeError where it is not one."""
    lines = tuple(
        StudyLine(**{**line, "start": Place(**line["start"]), **{k: tuple(line[k]) for k in _LISTS}})
        for line in plain["studies"]
    )
    skipped = tuple(Skipped(**{**one, "start": Place(**one["start"])}) for one in plain["skipped"])
    files = tuple(out / name for name in plain["files"])
    notes, faults = tuple(plain["notes"]), tuple(plain["faults"])
    return Summary(plain["title"], lines, skipped, plain["pages"], files, seconds, notes, faults)


_LISTS = ("tempo_steps", "levels", "warnings")
