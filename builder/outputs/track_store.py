"""Know which files of a study were made before, so that only what has changed is made anew.

Stage:    7 write
In, Out:  `TrackJob`s, the folders their files go to, the engraver's store; `StudyFiles`, in the order of the jobs
Not here: making a file (`track_files`), writing it

A file's key is a digest of all that it is made from: the study, what is said of it, and our own code. MIDI and MusicXML
are small and kept in the store itself, as text under their key. Sound and pictures are large: the store keeps their
digests, and they count as made while they stand whole in their folder. What a build before made and this one did not
ask for stays while it is still true of its study.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import json
import zlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Final

from builder.engraving import Store
from builder.outputs.track_files import Kind, TrackJob, done_jobs, kinds_of
from builder.resources import folder
from builder.theory.score import Rest

_LARGE: Final = frozenset[Kind]({"sound", "pictures"})
_PACKAGES: Final[Mapping[Kind, tuple[str, ...]]] = {
    "midi": ("mido",),
    "sound": ("numpy", "soundfile", "midirenderer"),
    "exchange": (),
    "pictures": ("fonttools", "pypdf"),
}


@dataclass(frozen=True, slots=True)
class StudyFiles:
    """The files of a study: *contents* by name, and the names of those that stand whole in their folder already."""

    contents: Mapping[str, bytes]
    standing: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class _Known:
    """What of a job needs no making."""

    files: StudyFiles
    missing: tuple[Kind, ...]


def files_of_jobs(
    jobs: Sequence[TrackJob], place_of: Callable[[TrackJob], Path], store: Store, workers: int
) -> Iterator[StudyFiles]:
    """Yield the files of each job in order, made by *workers* processes; *place_of* is where its large files go."""
    known = [_known(job, place_of(job), store) for job in jobs]
    made = done_jobs([(job, one.missing) for job, one in zip(jobs, known, strict=True) if one.missing], workers)
    for job, one in zip(jobs, known, strict=True):
        contents = dict(one.files.contents)
        if one.missing:
            for kind, files in next(made).items():
                _remember(store, kind, job, files)
                contents |= files
        yield StudyFiles(contents, one.files.standing)


def _known(job: TrackJob, place: Path, store: Store) -> _Known:
    contents: dict[str, bytes] = {}
    standing: set[str] = set()
    missing: list[Kind] = []
    for kind in kinds_of(job):
        record = store.value(key_of(kind, job))
        if kind in _LARGE:
            names = _standing(record, place)
            missing += [] if names else [kind]
            standing |= names
        else:
            files = _kept(record)
            missing += [] if files else [kind]
            contents |= files
    if not job.sound:
        standing |= _standing(store.value(_sound_of_any_make(job)), place)
    return _Known(StudyFiles(contents, frozenset(standing)), tuple(missing))


def still_true(job: TrackJob, exchange: Path, store: Store) -> bool:
    """Whether a MusicXML file of the build before is what *job* would make, had it been asked for."""
    try:
        return exchange.read_bytes() in _kept(store.value(key_of("exchange", job))).values()
    except OSError:
        return False


def _sound_of_any_make(job: TrackJob) -> str:
    """The key of the last sound of a study, whatever soundfont and formats it was made with."""
    return key_of("sound", replace(job, soundfont=None, tracks_as_wav=False)) + "-last"


def _standing(record: str | None, place: Path) -> set[str]:
    """The names in a *record* of digests, none where one file is not as it was written."""
    try:
        digests = dict(json.loads(record or "{}"))
        whole = all(_digest((place / name).read_bytes()) == digest for name, digest in digests.items())
    except (OSError, ValueError, TypeError):
        return set()
    return set(digests) if whole else set()


def _kept(record: str | None) -> dict[str, bytes]:
    """The files in a *record* of contents, none where it is damaged."""
    try:
        packed = dict(json.loads(record or "{}"))
        return {name: zlib.decompress(base64.b64decode(content)) for name, content in packed.items()}
    except (ValueError, TypeError, binascii.Error, zlib.error):
        return {}


def _remember(store: Store, kind: Kind, job: TrackJob, files: Mapping[str, bytes]) -> None:
    if kind in _LARGE:
        record = {name: _digest(content) for name, content in files.items()}
    else:
        record = {name: base64.b64encode(zlib.compress(content)).decode("ascii") for name, content in files.items()}
    keys = [key_of(kind, job)] + [_sound_of_any_make(job)] * (kind == "sound")
    for key in keys:
        store.keep_value(key, json.dumps(record))


# --- keys -------------------------------------------------------------------------------------------------------------


def key_of(kind: Kind, job: TrackJob) -> str:
    """Return the digest of all that the files of one *kind* are made from."""
    parts = (kind, _own_code(), [(name, _version(name)) for name in _PACKAGES[kind]], _MADE_FROM[kind](job))
    return _digest(repr(parts).encode("utf-8", "surrogatepass"))


def _cues(job: TrackJob) -> list[tuple[str, str]]:
    """The words of the cues that the study uses: a new cue in the library changes no other study."""
    used = {event.checkpoint for event in job.study.events if isinstance(event, Rest) and event.checkpoint}
    return [(cue, job.cues[cue]) for cue in sorted(used)]


@cache
def _own_code() -> str:
    """A digest of the code and data between a study and its files."""
    package = Path(__file__).resolve().parent.parent
    paths = [path for name in ("outputs", "pages", "theory") for path in (package / name).rglob("*.py")]
    return _digest(b"".join(path.read_bytes() for path in (*sorted(paths), folder("shared") / "sound.yaml")))


@cache
def _version(package: str) -> str:
    try:
        return version(package)
    except PackageNotFoundError:
        return ""


@cache
def _file_digest(path: Path) -> str:
    return _digest(path.read_bytes())


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


_MADE_FROM: Final[Mapping[Kind, Callable[[TrackJob], object]]] = {
    "midi": lambda job: (job.study, _cues(job), job.rule, job.words),
    "sound": lambda job: (job.study, job.rule, job.tracks_as_wav, job.soundfont and _file_digest(job.soundfont)),
    "exchange": lambda job: (job.study, _cues(job), job.author, job.licence),
    "pictures": lambda job: (job.title, [_digest(side.read_bytes()) for side in job.sides]),
}
