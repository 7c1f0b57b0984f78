"""The practice tracks of a printed book: which files each study gets, beside a build or as a folder for the web.

Stage:    7 write
In, Out:  a `BookResult` and what was asked for; files
Not here: what the files hold and where they go (`outputs`)
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from builder.engraving import Store
from builder.errors import Location, Problem, SpecError
from builder.outputs.performance import MarkWords, TrackRule
from builder.outputs.sound import load_sound
from builder.outputs.track_files import TrackJob
from builder.outputs.track_folders import write_tracks
from builder.outputs.tracks_site import write_site
from builder.pages.phrases import Phrases
from builder.printed_words import cues_of, phrases_of, says_of
from builder.result import BookResult
from builder.spec import Library
from builder.spec.plan import BookPlan
from builder.theory.fretboard import Instrument

_Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class TrackRequest:
    """What was asked for besides MIDI; *soundfont* None = our own strings; *jobs* = processes."""

    sound: bool
    exchange: bool
    soundfont: Path | None
    jobs: int


def checked_soundfont(plan: BookPlan, named: Path | None, instruments: Iterable[Instrument]) -> Path | None:
    """Return the soundfont *named* by the user, or else the book's; SpecError where it can't play the book."""
    written = plan.tracks.soundfont if plan.tracks else ""
    path = named or (Path(plan.folder) / written if written else None)
    if path is None:
        return None
    from builder.outputs.soundfont import soundfont_fault

    sound = load_sound()
    backing = (sound.chords.program, sound.bass.program)
    fault = soundfont_fault(path, (*map(sound.program, instruments), *backing))
    if not fault:
        return path
    expected, hint = "a soundfont in the format SF2", "leave it out to use the strings that come with etudebook"
    if named:
        raise SpecError([Problem(Location(str(named)), "--soundfont", fault, expected, hint)])
    raise SpecError([plan.places.problem(("tracks", "soundfont"), f"'{written}': {fault}", expected, hint)])


def track_jobs(result: BookResult, library: Library, request: TrackRequest) -> list[TrackJob]:
    """Return what is to be made of every study, in the order of the book."""
    book, phrases = result.book, phrases_of(result.book)
    rule = TrackRule(book.tracks.clicks_per_beat, book.tracks.drone) if book.tracks else TrackRule()
    cues, words = cues_of(phrases, library), _mark_words(phrases)
    return [
        TrackJob(
            study=study,
            cues=cues,
            title=study.title,
            author=book.author,
            licence=book.licence,
            exchange=request.exchange,
            sound=request.sound,
            tracks_as_wav=request.sound,
            soundfont=request.soundfont,
            rule=rule,
            words=words,
        )
        for study in result.studies
    ]


def _mark_words(phrases: Phrases) -> MarkWords:
    burst = phrases("tracks.mark.burst", number="{number}")
    cue, tempo = phrases("tracks.mark.cue", cue="{cue}"), phrases("tracks.mark.tempo", tempo="{tempo}")
    return MarkWords(burst, cue, tempo)


def write_beside_book(
    out: Path, result: BookResult, library: Library, request: TrackRequest, store: Store, on_progress: _Progress
) -> tuple[Path, ...]:
    """Write the tracks of every study, and what is to be taken elsewhere, into the folder of a build."""
    # Sound is worth all processes; MIDI files alone leave one for the book, which is written meanwhile.
    workers = request.jobs if request.sound else max(1, request.jobs - 1)
    return write_tracks(out, track_jobs(result, library, request), store, workers, on_progress)


def write_for_web(
    out: Path, result: BookResult, library: Library, request: TrackRequest, store: Store, on_progress: _Progress
) -> Path:
    """Write the folder for the web and return its index."""
    sides: dict[str, list[Path]] = {}
    for side in result.pages:
        sides.setdefault(side.sheet, []).append(side.pdf)
    jobs = [
        replace(job, sides=tuple(sides[f"study:{job.study.id}"]), tracks_as_wav=False)
        for job in track_jobs(result, library, request)
    ]
    phrases = phrases_of(result.book)
    says = says_of(phrases, library)
    index, *_ = write_site(out, result.book, jobs, phrases, says, store, request.jobs, on_progress)
    return index
