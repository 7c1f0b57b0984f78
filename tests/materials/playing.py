"""Whole exercises of a material worked out on every instrument, and what must hold for each note of them."""

from __future__ import annotations

import tempfile
from fractions import Fraction
from itertools import groupby
from math import log2
from pathlib import Path

import yaml

from builder.compose import Composition, compose
from builder.composing import knowledge_from
from builder.spec import load_library, read_exercise
from builder.theory.fretboard import Place
from builder.theory.score import Note, Study

LIBRARY = load_library()
KNOWLEDGE = knowledge_from(LIBRARY)
CAPO_2 = {"strings": ["E4", "B3", "G3", "D3", "A2", "E2"], "frets": 22, "scale-length": 648, "capo": 2}
INSTRUMENTS = {**{name: name for name in LIBRARY.instruments}, "capo-2": CAPO_2}


def problems_of(**keys: object) -> list[str]:
    """What is wrong with an exercise, before or after composing: `key: found` of each problem."""
    composition = _worked_out(keys)
    problems = composition.problems if isinstance(composition, Composition) else composition
    return [f"{problem.key}: {problem.found}; {problem.expected}" for problem in problems]


def composed(**keys: object) -> Composition:
    """An exercise that reads without a problem, worked out."""
    composition = _worked_out(keys)
    assert isinstance(composition, Composition), "\n".join(map(str, composition))
    return composition


def _worked_out(keys):
    spec = {"title": "Pier", "tempo": {"from": 60, "to": 60, "steps": 1}, **keys}
    spec = {key.replace("_", "-"): value for key, value in spec.items()}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "pier.yaml"
        path.write_text(yaml.safe_dump(spec, sort_keys=False), encoding="utf-8")
        read = read_exercise(path, LIBRARY, None, None)
    return read.problems or compose(read.exercises[0], KNOWLEDGE)


def notes(study: Study, voice: int | None = None) -> list[Note]:
    """The struck and slurred notes, tied ones left out."""
    every = [event for event in study.events if isinstance(event, Note) and not event.tied]
    return [note for note in every if voice in (None, note.voice)]


def check(study: Study, scale: str | None = None) -> None:
    """Assert what holds for every study; *scale* names the notes that may be written."""
    instrument = study.instrument
    for note in notes(study):
        assert 1 <= note.string <= instrument.strings
        assert 0 <= note.fret <= instrument.last_fret
        assert sounding(study, note) == note.pitch.midi
        assert scale is None or str(note.pitch.name) in scale.split()
        assert (note.finger == 0) == (note.fret == 0)
    assert study.metrics.widest_reach_mm <= study.hand.limit_mm
    for _, together in groupby(sorted(notes(study), key=lambda note: note.onset), key=lambda note: note.onset):
        struck = list(together)
        assert len({note.string for note in struck}) == len(struck)
    for voice in {event.voice for event in study.events}:
        lengths = [event.duration for event in _first_of_each(study, voice)]
        assert sum(lengths, Fraction(0)) == study.bars * study.meter.bar


def sounding(study: Study, note: Note) -> int:
    """What a note's place gives: the partial over a node, or the bent pitch itself, which must be near its fret."""
    plain = study.instrument.sound(Place(note.string, note.fret))
    if note.technique == "harmonic":
        return study.instrument.open_midi(note.string) + partial_at(note.fret)
    if note.technique == "bend":
        assert 0 <= note.pitch.midi - plain <= 3
        assert note.slurred
        return note.pitch.midi
    return plain


def partial_at(fret: int) -> int:
    """Half steps of the lowest partial that has a node within 1 % of the string's length of *fret*, to the nearest."""
    touched = 1 - 2 ** (-fret / 12)
    number = next(n for n in range(2, 9) if any(abs(touched - k / n) < 0.01 for k in range(1, n)))
    return round(12 * log2(number))


def _first_of_each(study, voice):
    """One event for each onset of a voice: notes of a moment are equally long."""
    events = sorted((event for event in study.events if event.voice == voice), key=lambda event: event.onset)
    return [next(same) for _, same in groupby(events, key=lambda event: event.onset)]


def fretted(study: Study, voice: int | None = None) -> str:
    """The places in order: `3/5+2/5 3/7+2/6`."""
    found = sorted(notes(study, voice), key=lambda note: (note.onset, note.pitch.midi))
    moments = groupby(found, key=lambda note: note.onset)
    return " ".join("+".join(f"{note.string}/{note.fret}" for note in moment) for _, moment in moments)
