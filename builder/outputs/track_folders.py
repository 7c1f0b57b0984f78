"""Where the files of studies go: folders of tracks and of exchange files, and the folder of one study.

Stage:    7 write
In, Out:  `TrackJob`s and a folder; files, each whole or not at all, and left as they are where they say the same
Not here: what is in them (`track_files`), the pages around them (`tracks_site`)
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Sequence
from pathlib import Path

from builder.engraving import Store
from builder.outputs.files import write_whole
from builder.outputs.track_files import EXCHANGE, TrackJob
from builder.outputs.track_ledger import OURS
from builder.outputs.track_store import StudyFiles, files_of_jobs, still_true


def write_tracks(
    out: Path, jobs: Sequence[TrackJob], store: Store, workers: int, on_progress: Callable[[int, int], None]
) -> tuple[Path, ...]:
    """Write `tracks/<study>/…` and `exchange/<study>.musicxml` under *out*; return every file, written now or before.

    *on_progress* gets the number of studies done and of all.
    """
    paths: list[Path] = []

    def place_of(job: TrackJob) -> Path:
        return out / "tracks" / job.study.id

    for number, (job, made) in enumerate(
        zip(jobs, files_of_jobs(jobs, place_of, store, workers), strict=True), start=1
    ):
        exchange = {name: content for name, content in made.contents.items() if name.endswith(EXCHANGE)}
        tracks = {name: content for name, content in made.contents.items() if name not in exchange}
        paths += write_study_files(place_of(job), StudyFiles(tracks, made.standing))
        paths += [_write_changed(out / "exchange" / name, content) for name, content in exchange.items()]
        earlier = out / "exchange" / f"{job.study.id}{EXCHANGE}"
        if not job.exchange and earlier.exists() and not still_true(job, earlier, store):
            _remove(earlier)
        on_progress(number, len(jobs))
    return tuple(paths)


def write_study_files(place: Path, files: StudyFiles) -> tuple[Path, ...]:
    """Write *files* into a study's folder, and take away what a build before left and is true no more."""
    paths = [_write_changed(place / name, content) for name, content in files.contents.items()]
    for old in place.iterdir():
        if OURS.fullmatch(old.name) and old.name not in files.contents and old.name not in files.standing:
            _remove(old)
    return (*paths, *(place / name for name in sorted(files.standing)))


def _remove(path: Path) -> None:
    with contextlib.suppress(OSError):
        path.unlink()


def _write_changed(path: Path, content: bytes) -> Path:
    """Write a file unless it holds the same already, so that a folder's upload sends only what is new."""
    with contextlib.suppress(OSError):
        if path.read_bytes() == content:
            return path
    write_whole(path, content)
    return path
