"""Measure how long the tracks of a book take: MIDI, exchange files, sound.

    python benchmarks/tracks.py books/harbour-lane/book.yaml [--studies 60] [--jobs 2] [--sound 4]

In, Out:  a book, of which the first studies are taken; seconds of the clock for each kind of file, made anew and when
          nothing has changed, and bytes
Units:    seconds of the clock: run it on a quiet machine

Composing is not measured. Files are written to a scratch folder as in a build; sound is made for a few studies only and
told per study.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from builder.compose import compose
from builder.composing import knowledge_from
from builder.engraving import Store
from builder.outputs.track_files import TrackJob
from builder.outputs.track_folders import write_tracks
from builder.spec import load_library, read_book
from builder.teaching import in_order
from builder.theory.score import Study


def main() -> None:
    """Time MIDI alone, MIDI with exchange files, and sound."""
    options = _options()
    library = load_library()
    cues = {cue.id: cue.words for cue in library.cues}
    knowledge = knowledge_from(library)
    plans = read_book(options.book, library).exercises
    studies = in_order(compose(plan, knowledge) for plan in plans)[: options.studies]
    steps = sum(len(study.tempo_steps) for study in studies)
    print(f"{len(studies)} studies, {steps} tempo steps, {options.jobs} processes")
    _report("MIDI", [TrackJob(study, cues, study.title) for study in studies], options.jobs)
    _report("MIDI, MusicXML", [TrackJob(study, cues, study.title, exchange=True) for study in studies], options.jobs)
    _report("MIDI, MP3, loops", _with_sound(studies[: options.sound], cues), options.jobs)


def _with_sound(studies: Sequence[Study], cues: dict[str, str]) -> list[TrackJob]:
    return [TrackJob(study, cues, study.title, sound=True) for study in studies]


def _report(name: str, jobs: Sequence[TrackJob], workers: int) -> None:
    with tempfile.TemporaryDirectory() as scratch:
        store = Store(Path(scratch) / "store")
        anew, paths = _timed(Path(scratch) / "out", jobs, store, workers)
        again, _ = _timed(Path(scratch) / "out", jobs, store, workers)
        size = sum(path.stat().st_size for path in paths)
    each = anew / len(jobs)
    print(
        f"{name:17} {len(jobs):3} studies {anew:6.2f} s, {each:5.2f} s a study, {size / 1e6:6.1f} MB; "
        f"nothing changed {again:5.2f} s"
    )


def _timed(out: Path, jobs: Sequence[TrackJob], store: Store, workers: int) -> tuple[float, tuple[Path, ...]]:
    began = time.monotonic()
    paths = write_tracks(out, jobs, store, workers, lambda done, every: None)
    return time.monotonic() - began, paths


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="How long the tracks of a book take.")
    parser.add_argument("book", type=Path, help="the book's YAML file")
    parser.add_argument("--studies", type=int, default=60, help="how many studies (60)")
    parser.add_argument("--jobs", type=int, default=2, help="processes (2)")
    parser.add_argument("--sound", type=int, default=4, help="studies to make sound for (4)")
    return parser.parse_args()


if __name__ == "__main__":
    main()
