"""Tracks are made once, and again only for a study or rule that changed or a file that is not as written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pretty_midi
import pytest

from builder.engraving import Store
from builder.outputs import track_store
from builder.outputs.performance import MarkWords, TrackRule
from builder.outputs.track_files import Kind, TrackJob, done_jobs, kinds_of
from builder.outputs.track_folders import write_tracks
from builder.outputs.track_store import key_of
from builder.theory.score import Rest
from tests.outputs.pieces import CUES, STUDIES

NAMES = ("one", "bass", "uke")
SOUNDFONT = Path(pretty_midi.__file__).parent / "TimGM6mb.sf2"


def job(name: str = "one", **more: object) -> TrackJob:
    study = STUDIES[name]()
    return replace(TrackJob(study, CUES, study.title), **more)  # type: ignore[arg-type]


class Bench:
    """A folder and a store, and what was made anew for them."""

    def __init__(self, scratch: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.out, self.store = scratch / "out", Store(scratch / "store")
        self.made: list[tuple[str, Kind]] = []

        def noting(jobs: Sequence[tuple[TrackJob, Sequence[Kind]]], workers: int) -> Any:
            self.made += [(one.study.id, kind) for one, kinds in jobs for kind in kinds]
            return done_jobs(jobs, workers)

        monkeypatch.setattr(track_store, "done_jobs", noting)

    def write(self, *jobs: TrackJob, out: Path | None = None) -> dict[str, bytes]:
        self.made.clear()
        paths = write_tracks(out or self.out, jobs, self.store, 1, lambda done, every: None)
        return {path.relative_to(out or self.out).as_posix(): path.read_bytes() for path in paths}


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Bench:
    return Bench(tmp_path, monkeypatch)


def test_nothing_is_made_twice(bench: Bench) -> None:
    jobs = [job(name, exchange=True) for name in NAMES]
    first = bench.write(*jobs)
    assert bench.made == [(one.study.id, kind) for one in jobs for kind in ("midi", "exchange")]
    assert bench.write(*jobs) == first
    assert bench.made == []


def test_another_folder_gets_the_same_files_from_the_store(bench: Bench, tmp_path: Path) -> None:
    jobs = [job(name, exchange=True) for name in NAMES]
    first = bench.write(*jobs)
    assert bench.write(*jobs, out=tmp_path / "elsewhere") == first
    assert bench.made == []


def test_only_the_study_that_changed_is_made_anew(bench: Bench) -> None:
    bench.write(*(job(name) for name in NAMES))
    changed = replace(STUDIES["bass"](), tempo_steps=(50, 55), levels=(2, 2))
    files = bench.write(job("one"), job("bass", study=changed), job("uke"))
    assert bench.made == [(changed.id, "midi")]
    assert {f"tracks/{changed.id}/{name}.mid" for name in ("50", "55", "all-tempos")} <= files.keys()


@pytest.mark.parametrize(
    "more",
    [
        {"rule": TrackRule(division=2)},
        {"rule": TrackRule(drone=True)},
        {"words": MarkWords(burst="Lauf {number}")},
        {"cues": {cue: f"{words}!" for cue, words in CUES.items()}},
    ],
    ids=["division", "drone", "words", "cues"],
)
def test_what_changes_a_midi_file_changes_its_key(bench: Bench, more: dict[str, object]) -> None:
    study = next(study for study in (make() for make in STUDIES.values()) if _has_cue(study))
    before = bench.write(job(study=study))
    after = bench.write(job(study=study, **more))
    assert bench.made == [(study.id, "midi")]
    assert before != after


def _has_cue(study: Any) -> bool:
    return any(isinstance(event, Rest) and event.checkpoint for event in study.events)


def test_a_cue_that_a_study_does_not_use_changes_nothing() -> None:
    assert key_of("midi", job()) == key_of("midi", job(cues={**CUES, "knees": "knees"}))


def test_asking_for_more_makes_only_what_is_more(bench: Bench) -> None:
    bench.write(job())
    bench.write(job(exchange=True))
    assert bench.made == [(job().study.id, "exchange")]
    assert kinds_of(job(exchange=True)) == ("midi", "exchange")


@pytest.mark.parametrize("harm", ["change", "remove"])
def test_a_midi_file_that_is_not_as_written_is_written_again_from_the_store(bench: Bench, harm: str) -> None:
    first = bench.write(job())
    path = bench.out / next(iter(first))
    path.write_bytes(b"other") if harm == "change" else path.unlink()
    assert bench.write(job()) == first
    assert bench.made == []


def test_sound_is_made_again_only_where_a_file_is_not_as_written(bench: Bench) -> None:
    one = job(sound=True, study=replace(STUDIES["one"](), tempo_steps=(90,), levels=(2,)))
    first = bench.write(one)
    assert {name.rpartition("/")[2] for name in first} == {"90.mid", "all-tempos.mid", "90.mp3", "90-loop.flac"}
    assert bench.write(one) == first
    assert bench.made == []
    (bench.out / "tracks" / one.study.id / "90.mp3").write_bytes(b"a broken copy")
    assert bench.write(one) == first
    assert bench.made == [(one.study.id, "sound")]


def test_a_soundfont_is_part_of_the_key_by_what_it_holds(tmp_path: Path) -> None:
    copy = tmp_path / "sounds.sf2"
    copy.write_bytes(SOUNDFONT.read_bytes())
    keys = [key_of("sound", job(sound=True, soundfont=path)) for path in (None, SOUNDFONT, copy)]
    assert keys[0] != keys[1]
    assert keys[1] == keys[2]


def test_a_damaged_store_costs_time_and_nothing_else(bench: Bench) -> None:
    first = bench.write(job(exchange=True))
    for path in bench.store.folder.rglob("*"):
        if path.is_file():
            path.write_bytes(b"damaged")
    assert bench.write(job(exchange=True)) == first
    assert [kind for _, kind in bench.made] == ["midi", "exchange"]
