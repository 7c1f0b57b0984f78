"""What to listen for: the lines under a study, chosen by what it trains and what it holds.

Stage:    4 lay out (pure)
In, Out:  a `Study`, the words; four lines at most, those of its skills first
Source:   four lines are read before playing, a column is not: our own choice
Not here: the words themselves (shared/phrases); the notes on a level's opener (`front`)
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from builder.pages.phrases import Phrases
from builder.theory.score import Note, Rest, Study

_MOST_LINES = 4


def practice_notes(study: Study, phrases: Phrases) -> tuple[str, ...]:
    """One line for each skill that has one, then what holds for every study with such notes."""
    own = [phrases(key) for skill in study.skills if (key := f"listen.{skill}") in phrases]
    always = [phrases(f"listen-always.{kind}") for kind in _always(study)]
    return tuple(dict.fromkeys([*own, *always]))[:_MOST_LINES]


def _always(study: Study) -> Iterator[str]:
    """A landing is spoken of only where there is one, silence only where nothing sounds for a beat."""
    if any(_lands(before, note, after) for before, note, after in _neighbours(study)):
        yield "landing"
    if _falls_silent(study):
        yield "rest"
    if len(study.tempo_steps) > 1:
        yield "tempo"


def _neighbours(study: Study) -> Iterator[tuple[Note | Rest | None, Note | Rest, Note | Rest | None]]:
    """Every event of the first voice between its neighbours; what is tied on counts as one event."""
    line = [event for event in study.events if event.voice == 1 and not (isinstance(event, Note) and event.tied)]
    around = [None, *line, None]
    for (before, event), (_, after) in pairwise(pairwise(around)):
        if event is not None:
            yield before, event, after


def _lands(before: Note | Rest | None, event: Note | Rest, after: Note | Rest | None) -> bool:
    """Whether *event* ends a run: stressed, no shorter than what led to it, and followed by a rest."""
    if not (isinstance(before, Note) and isinstance(event, Note) and event.accent):
        return False
    return event.duration >= before.duration and not isinstance(after, Note)


def _falls_silent(study: Study) -> bool:
    """Whether all voices rest together for a beat or more."""
    rests = [event for event in study.events if isinstance(event, Rest) and event.duration >= study.meter.beat]
    notes = [event for event in study.events if isinstance(event, Note)]
    return any(
        all(note.onset + note.duration <= rest.onset or rest.onset + rest.duration <= note.onset for note in notes)
        for rest in rests
    )
