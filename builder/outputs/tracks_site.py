"""The folder of practice tracks, ready to be uploaded: a plain page a study, its files beside it, and an index.

Stage:    7 write
In, Out:  a book, its studies' `TrackJob`s and words; files in one folder, each whole or not at all
Source:   WCAG 2.2 (W3C, 2023), level AA as far as a plain page is concerned: language, headings in order, names for
          every control and picture, contrast, focus, targets of at least 24 pixels
Not here: the tracks and pictures (`track_files`), the words (shared/phrases), the look (templates/site)

The address of a study is its folder's, so that the code on the printed page leads to it on any server of files. A study
that has left the book keeps its folder: an older printed book still leads there.
"""

from __future__ import annotations

import contextlib
import struct
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from jinja2 import Environment

from builder.engraving import Store
from builder.engraving.templates import environment, template_loader
from builder.errors import MachineError
from builder.outputs.files import write_whole
from builder.outputs.pictures import PICTURE_DPI
from builder.outputs.track_files import TrackJob
from builder.outputs.track_folders import write_study_files
from builder.outputs.track_store import StudyFiles, files_of_jobs
from builder.pages import Phrases, sections
from builder.pages.study_page import start_line
from builder.resources import folder
from builder.spec.plan import BookPlan
from builder.theory.score import Rest, Study

_HEAD_BYTES = 1000  # our own choice: the lines in which a page says what wrote it


@dataclass(frozen=True, slots=True)
class _Step:
    """A tempo with its level."""

    tempo: int
    level: int


@dataclass(frozen=True, slots=True)
class _Shown:
    """A picture of the page, its size in pixels of the screen."""

    width: int
    height: int


@dataclass(frozen=True, slots=True)
class _CueWords:
    """A cue's words and what to do."""

    words: str
    say: str


@dataclass(frozen=True, slots=True)
class _StudyPage:
    """What a study's page shows; the names are those of templates/site/study.html."""

    folder: str
    title: str
    aim: str
    start: str
    place: str
    steps: tuple[_Step, ...]
    sounds: bool
    exchange: bool
    pictures: tuple[_Shown, ...]
    cues: tuple[_CueWords, ...]


@dataclass(frozen=True, slots=True)
class _Entry:
    """A study in the index."""

    folder: str
    place: str


@dataclass(frozen=True, slots=True)
class _Exercise:
    """An exercise in the index."""

    title: str
    aim: str
    studies: tuple[_Entry, ...]


@dataclass(frozen=True, slots=True)
class _Level:
    """A level in the index."""

    number: int
    name: str
    exercises: tuple[_Exercise, ...]


def write_site(
    out: Path,
    book: BookPlan,
    jobs: Sequence[TrackJob],
    phrases: Phrases,
    says: Mapping[str, str],
    store: Store,
    workers: int,
    on_progress: Callable[[int, int], None],
) -> tuple[Path, ...]:
    """Write the folder and return the index and every study's page; *says* tells what to do at each cue.

    *on_progress* gets the number of studies done and of all. Raises MachineError when the machine refuses, or when the
    folder holds a page that would be lost.
    """
    _refuse_strangers(out)
    write_whole(out / "style.css", (folder("templates") / "site" / "style.css").read_text(encoding="utf-8"))
    pages = []
    made = files_of_jobs(jobs, lambda job: out / job.study.id, store, workers)
    for number, (job, files) in enumerate(zip(jobs, made, strict=True), start=1):
        pages.append(_write_study(out / job.study.id, book, job, files, phrases, says))
        on_progress(number, len(jobs))
    index = out / "index.html"
    write_whole(index, _render("index.html", book, phrases, root="", levels=_levels(jobs, phrases)))
    return (index, *pages)


def _refuse_strangers(out: Path) -> None:
    """Raise MachineError where a page or style of somebody else stands in the place of ours."""
    for path in (out / "index.html", out / "style.css"):
        with contextlib.suppress(FileNotFoundError, NotADirectoryError):
            if b"etudebook" not in path.read_bytes()[:_HEAD_BYTES]:
                message = f"{path} was not written by etudebook and would be lost"
                raise MachineError(message, "choose an empty folder, or one of tracks, with --out")


def _write_study(
    place: Path, book: BookPlan, job: TrackJob, files: StudyFiles, phrases: Phrases, says: Mapping[str, str]
) -> Path:
    """Write one study's folder, its page last."""
    write_study_files(place, files)
    page = _study_page(job, place, phrases, says)
    write_whole(place / "index.html", _render("study.html", book, phrases, root="../", page=page))
    return place / "index.html"


def _study_page(job: TrackJob, place: Path, phrases: Phrases, says: Mapping[str, str]) -> _StudyPage:
    study = job.study
    steps = zip(study.tempo_steps, study.levels, strict=True)
    return _StudyPage(
        folder=study.id,
        title=study.title,
        aim=study.aim,
        start=start_line(study, phrases),
        place=start_line(study, phrases, "place"),
        steps=tuple(_Step(tempo, level) for tempo, level in steps),
        sounds=job.sound,
        exchange=job.exchange,
        pictures=tuple(_shown(place / f"side-{number}.png") for number in range(1, len(job.sides) + 1)),
        cues=tuple(_CueWords(job.cues[cue], says[cue]) for cue in _cues_of(study)),
    )


def _cues_of(study: Study) -> Iterable[str]:
    """The cues of a study in the order in which they come, each once."""
    return dict.fromkeys(event.checkpoint for event in study.events if isinstance(event, Rest) and event.checkpoint)


def _shown(png: Path) -> _Shown:
    """The size of a picture on a screen of 96 dots an inch, from the head of the file (PNG, W3C, 2003, 11.2.2)."""
    width, height = struct.unpack(">II", png.read_bytes()[16:24])
    return _Shown(width * 96 // PICTURE_DPI, height * 96 // PICTURE_DPI)


def _levels(jobs: Sequence[TrackJob], phrases: Phrases) -> tuple[_Level, ...]:
    """The index, in the order of the book."""
    return tuple(
        _Level(
            part.level,
            phrases("level.name", level=part.level),
            tuple(
                _Exercise(
                    exercise[0].title,
                    exercise[0].aim,
                    tuple(_Entry(study.id, start_line(study, phrases, "place")) for study in exercise),
                )
                for exercise in part.exercises
            ),
        )
        for part in sections(job.study for job in jobs)
    )


@cache
def _environment() -> Environment:
    """The templates of the pages: every value is escaped for HTML, an undefined name is an error."""
    return environment(template_loader(None), autoescape=True)


def _render(template: str, book: BookPlan, phrases: Phrases, **values: object) -> str:
    imprint = " · ".join(text for text in (book.title, book.school, book.author, book.edition, book.licence) if text)
    return (
        _environment()
        .get_template(f"site/{template}")
        .render(language=book.language, book=book.title, imprint=imprint, phrases=phrases, **values)
    )
