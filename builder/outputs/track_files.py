"""The files that go with one study: tracks, exchange, pictures.

Stage:    7 write
In, Out:  a `TrackJob`; file contents by name, the same bytes for the same job
Not here: what each file holds (`midi`, `audio`, `musicxml`, `pictures`), which are made already (`track_store`), where
          they go (`track_folders`, `tracks_site`)

A job is a plain value and a file a plain result, so that jobs can be done by several processes at once. Sound is the
slow part and its libraries are an extra: both are imported only where a job asks for sound.
"""

from __future__ import annotations

import multiprocessing
import sys
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, Literal

from builder.errors import MachineError
from builder.outputs.midi import all_tempos_midi, tempo_midi
from builder.outputs.performance import MarkWords, Performance, TrackRule, perform
from builder.outputs.sound import load_sound
from builder.theory.score import Study

ALL_TEMPOS = "all-tempos"

Kind = Literal["midi", "sound", "exchange", "pictures"]
EXCHANGE = ".musicxml"


@dataclass(frozen=True, slots=True)
class TrackJob:
    """What to make of *study*.

    *cues* holds the printed words of each cue, *words* those of marks; *sides* the PDFs of its pages, in order, for
    pictures; *title* what is said of a picture; *sound*: MP3 tracks and loops; *tracks_as_wav*: every track as WAV as
    well.
    """

    study: Study
    cues: Mapping[str, str]
    title: str
    author: str = ""
    licence: str = ""
    sides: tuple[Path, ...] = ()
    exchange: bool = False
    sound: bool = False
    tracks_as_wav: bool = False
    soundfont: Path | None = None
    rule: TrackRule = field(default_factory=TrackRule)
    words: MarkWords = field(default_factory=MarkWords)


def kinds_of(job: TrackJob) -> tuple[Kind, ...]:
    """The kinds of files that *job* asks for."""
    wanted: dict[Kind, bool] = {
        "midi": True,
        "sound": job.sound,
        "exchange": job.exchange,
        "pictures": bool(job.sides),
    }
    return tuple(kind for kind, asked in wanted.items() if asked)


def track_files(job: TrackJob) -> dict[str, bytes]:
    """Return every file of *job*; raise MachineError when a tool, a package or the soundfont is missing."""
    return {name: content for kind in kinds_of(job) for name, content in _MAKERS[kind](job).items()}


def done_jobs(jobs: Sequence[tuple[TrackJob, Sequence[Kind]]], workers: int) -> Iterator[dict[Kind, dict[str, bytes]]]:
    """Make the kinds asked of each job, in order, by *workers* processes where one can be forked cheaply."""
    if workers < 2 or len(jobs) < 2 or sys.platform != "linux" or threading.active_count() > 1:
        yield from map(_done, jobs)
        return
    with ProcessPoolExecutor(min(workers, len(jobs)), mp_context=multiprocessing.get_context("fork")) as pool:
        yield from pool.map(_done, jobs)


def _done(wanted: tuple[TrackJob, Sequence[Kind]]) -> dict[Kind, dict[str, bytes]]:
    job, kinds = wanted
    return {kind: _MAKERS[kind](job) for kind in kinds}


def midi_files(job: TrackJob) -> dict[str, bytes]:
    """Return `<tempo>.mid` for every tempo step, and the file of all of them."""
    performance = _performance(job)
    files = {f"{bpm}.mid": tempo_midi(performance, bpm) for bpm in performance.study.tempo_steps}
    return files | {f"{ALL_TEMPOS}.mid": all_tempos_midi(performance)}


def _performance(job: TrackJob) -> Performance:
    return perform(job.study, load_sound(), job.cues, job.rule, job.words)


def sound_files(job: TrackJob) -> dict[str, bytes]:
    """Return `<tempo>.mp3` and `<tempo>-loop.flac` for every tempo step, and `<tempo>.wav` where asked for."""
    try:
        from builder.outputs.audio import flac, loop, mp3, track, wav
    except ImportError as error:
        raise MachineError("sound needs the packages of the extra `audio`", "pip install 'etudebook[audio]'") from error
    performance, files = _performance(job), dict[str, bytes]()
    for bpm in performance.study.tempo_steps:
        sound = track(performance, bpm, job.soundfont)
        files[f"{bpm}.mp3"] = mp3(sound)
        if job.tracks_as_wav:
            files[f"{bpm}.wav"] = wav(sound)
        files[f"{bpm}-loop.flac"] = flac(loop(performance, bpm, job.soundfont))
    return files


def exchange_files(job: TrackJob) -> dict[str, bytes]:
    """Return `<study>.musicxml`."""
    from builder.outputs.musicxml import Credit, study_musicxml

    credit = Credit(job.author, job.licence)
    return {f"{job.study.id}{EXCHANGE}": study_musicxml(job.study, load_sound(), job.cues, credit)}


def picture_files(job: TrackJob) -> dict[str, bytes]:
    """Return `side-<number>.svg` and `.png`, counted from 1."""
    from builder.outputs.pictures import study_pictures

    pictures = enumerate(study_pictures(job.sides, job.title), start=1)
    return {
        f"side-{number}.{kind}": content
        for number, picture in pictures
        for kind, content in (("svg", picture.svg), ("png", picture.png))
    }


_MAKERS: Final[Mapping[Kind, Callable[[TrackJob], dict[str, bytes]]]] = {
    "midi": midi_files,
    "sound": sound_files,
    "exchange": exchange_files,
    "pictures": picture_files,
}
