"""The files that go with one study: tracks, exchange, pictures.

Stage:    7 write
In, Out:  a `TrackJob`; file contents by name, the same bytes for the same job, and the files themselves
Not here: what each file holds (`midi`, `audio`, `musicxml`, `pictures`), the folder for the web (`tracks_site`)

A job is a plain value and a file a plain result, so that jobs can be done by several processes at once. Sound is the
slow part and its libraries are an extra: both are imported only where a job asks for sound.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import re
import sys
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

from builder.errors import MachineError
from builder.outputs.files import write_whole
from builder.outputs.midi import all_tempos_midi, tempo_midi
from builder.outputs.performance import Performance, TrackRule, perform
from builder.outputs.sound import load_sound
from builder.theory.score import Study

ALL_TEMPOS = "all-tempos"

# What may be in a study's folder from a build before; anything else there is not ours to take away.
_OURS = re.compile(r"\d+(-loop)?\.(mid|mp3|wav|flac)|side-\d+\.(svg|png)")
_EXCHANGE = ".musicxml"


@dataclass(frozen=True, slots=True)
class TrackJob:
    """What to make of *study*.

    *cues* holds the printed words of each cue; *sides* the PDFs of its pages, in order, for pictures; *title* what is
    said of a picture; *sound*: MP3 tracks and loops; *tracks_as_wav*: every track as WAV as well.
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


def track_files(job: TrackJob) -> dict[str, bytes]:
    """Return every file of *job*; raise MachineError when a tool, a package or the soundfont is missing."""
    performance = perform(job.study, load_sound(), job.cues, job.rule)
    files = midi_files(performance)
    if job.sound:
        files |= sound_files(performance, job)
    if job.exchange:
        files |= exchange_files(job)
    if job.sides:
        files |= picture_files(job)
    return files


def write_tracks(
    out: Path, jobs: Sequence[TrackJob], workers: int, on_progress: Callable[[int, int], None]
) -> tuple[Path, ...]:
    """Write `tracks/<study>/…` and `exchange/<study>.musicxml` under *out*; return every file, written now or before.

    *on_progress* gets the number of studies done and of all.
    """
    paths: list[Path] = []
    for number, (job, files) in enumerate(zip(jobs, done_jobs(jobs, workers), strict=True), start=1):
        exchange = {name: content for name, content in files.items() if name.endswith(_EXCHANGE)}
        tracks = {name: content for name, content in files.items() if name not in exchange}
        paths += write_study_files(out / "tracks" / job.study.id, tracks)
        for name, content in exchange.items():
            paths.append(_write_changed(out / "exchange" / name, content))
        on_progress(number, len(jobs))
    return tuple(paths)


def write_study_files(place: Path, files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Write *files* into a study's folder, and take away what a build before left and this one did not make."""
    paths = tuple(_write_changed(place / name, content) for name, content in files.items())
    for old in place.iterdir():
        if _OURS.fullmatch(old.name) and old.name not in files:
            with contextlib.suppress(OSError):
                old.unlink()
    return paths


def _write_changed(path: Path, content: bytes) -> Path:
    """Write a file unless it holds the same already, so that a folder's upload sends only what is new."""
    with contextlib.suppress(OSError):
        if path.read_bytes() == content:
            return path
    write_whole(path, content)
    return path


def done_jobs(jobs: Sequence[TrackJob], workers: int) -> Iterator[dict[str, bytes]]:
    """Do *jobs* and yield their files in order, by *workers* processes where a process can be forked cheaply."""
    if workers < 2 or len(jobs) < 2 or sys.platform != "linux" or threading.active_count() > 1:
        yield from map(track_files, jobs)
        return
    with ProcessPoolExecutor(min(workers, len(jobs)), mp_context=multiprocessing.get_context("fork")) as pool:
        yield from pool.map(track_files, jobs)


def midi_files(performance: Performance) -> dict[str, bytes]:
    """Return `<tempo>.mid` for every tempo step, and the file of all of them."""
    files = {f"{bpm}.mid": tempo_midi(performance, bpm) for bpm in performance.study.tempo_steps}
    return files | {f"{ALL_TEMPOS}.mid": all_tempos_midi(performance)}


def sound_files(performance: Performance, job: TrackJob) -> dict[str, bytes]:
    """Return `<tempo>.mp3` and `<tempo>-loop.flac` for every tempo step, and `<tempo>.wav` where asked for."""
    try:
        from builder.outputs.audio import flac, loop, mp3, track, wav
    except ImportError as error:
        raise MachineError("sound needs the packages of the extra `audio`", "pip install 'etudebook[audio]'") from error
    files: dict[str, bytes] = {}
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
    return {f"{job.study.id}{_EXCHANGE}": study_musicxml(job.study, load_sound(), job.cues, credit)}


def picture_files(job: TrackJob) -> dict[str, bytes]:
    """Return `side-<number>.svg` and `.png`, counted from 1."""
    from builder.outputs.pictures import study_pictures

    pictures = enumerate(study_pictures(job.sides, job.title), start=1)
    return {
        f"side-{number}.{kind}": content
        for number, picture in pictures
        for kind, content in (("svg", picture.svg), ("png", picture.png))
    }
