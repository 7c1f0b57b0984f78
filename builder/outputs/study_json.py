"""Studies as JSON: the one form in which other programs, and our own checks, read them.

In, Out:  `Study`, `Skipped`, `Problem`; plain data ready for `json.dumps`
Units:    onsets and durations are fractions of a whole note as text, from the start of the study
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from builder.errors import Problem
from builder.theory.score import Event, Note, Skipped, Study

Json = dict[str, Any]


def document(studies: Iterable[Json], skipped: Iterable[Skipped], problems: Iterable[Problem]) -> Json:
    """The whole document."""
    return {
        "studies": list(studies),
        "skipped": [{"exercise": one.exercise, "start": asdict(one.start), "reason": one.reason} for one in skipped],
        "problems": [problem_json(problem) for problem in problems],
    }


def problem_json(problem: Problem) -> Json:
    """A problem with its place taken apart."""
    return {
        "file": problem.where.file,
        "line": problem.where.line,
        "column": problem.where.column,
        "key": problem.key,
        "found": problem.found,
        "expected": problem.expected,
        "hint": problem.hint,
    }


def study_json(study: Study) -> Json:
    """One study without its page."""
    instrument, hand = study.instrument, study.hand
    return {
        "id": study.id,
        "exercise": study.exercise,
        "title": study.title,
        "instrument": {
            "name": instrument.name,
            "strings": [pitch.midi for pitch in instrument.open_strings],
            "frets": instrument.frets,
            "capo": instrument.capo,
            "scale_length_mm": instrument.scale_length_mm,
        },
        "hand": {"comfort_mm": hand.comfort_mm, "limit_mm": hand.limit_mm},
        "start": {**asdict(study.start), "pitch": str(study.start_pitch)},
        "meter": str(study.meter),
        "beat": str(study.meter.beat),
        "key": str(study.key),
        "stroke_rule": study.stroke_rule,
        "after_rest": study.after_rest,
        "tempo_steps": list(study.tempo_steps),
        "levels": list(study.levels),
        "chords": [{"onset": str(chord.onset), "symbol": chord.symbol} for chord in study.chords],
        "shapes": [{**asdict(shape), "onset": str(shape.onset)} for shape in study.shapes],
        "barres": [{**asdict(barre), "onset": str(barre.onset), "end": str(barre.end)} for barre in study.barres],
        "events": [event_json(event) for event in study.events],
        "metrics": asdict(study.metrics),
        "level": study.level,
        "level_pinned": study.level_pinned,
        "warnings": list(study.warnings),
    }


def event_json(event: Event) -> Json:
    """A note or a rest."""
    common = {
        "kind": "note" if isinstance(event, Note) else "rest",
        "bar": event.bar,
        "onset": str(event.onset),
        "duration": str(event.duration),
        "voice": event.voice,
    }
    if not isinstance(event, Note):
        return {**common, "checkpoint": event.checkpoint}
    return {
        **common,
        "pitch": str(event.pitch),
        "midi": event.pitch.midi,
        "string": event.string,
        "fret": event.fret,
        "finger": event.finger,
        "finger_printed": event.finger_printed,
        "position": event.position,
        "stroke": event.stroke,
        "accent": event.accent,
        "slurred": event.slurred,
        "tied": event.tied,
        "grace": event.grace,
        "technique": event.technique,
        "guide": event.guide,
        "kept": event.kept,
    }
