"""Warm-up and cool-down: the easiest studies for the first minutes, slow ones for the last, and movements without it.

Stage:    6 assemble (pure)
In, Out:  the studies of a book, the page labels by sheet key; a `ListPage`, or None where a book has too little for it
Source:   our own choice, after what teachers ask for: hands begin with what is slow, narrow and without force, and end
          with it; a book of a few exercises has nothing to choose from
Not here: the words, which promise no effect on health (shared/phrases)
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from builder.pages.front import Entry, Group, Labels, ListPage, on_sides
from builder.pages.order import study_key
from builder.pages.page import Paper
from builder.pages.phrases import Phrases
from builder.pages.study_page import start_line
from builder.theory.score import Note, Study

_MOST_FIRST, _MOST_LAST, _LEAST = 5, 4, 3
_GENTLE_LEVEL, _GENTLE_RATE = 3, 2.7  # notes a second at the first tempo
_FORCED = frozenset({"bend", "hammer-on", "pull-off"})
_AROUND_MM, _NOTE_MM = 60.0, 14.0  # title, lead and the heading of the notes; a note on two lines


def warm_up(studies: Sequence[Study], labels: Labels, paper: Paper, phrases: Phrases) -> ListPage | None:
    """The page of the easiest studies."""
    return _page("warm-up", warm_up_studies(studies), labels, paper, phrases)


def cool_down(studies: Sequence[Study], labels: Labels, paper: Paper, phrases: Phrases) -> ListPage | None:
    """The page of closing studies and of movements without the instrument."""
    return _page("cool-down", cool_down_studies(studies), labels, paper, phrases)


def warm_up_studies(studies: Sequence[Study]) -> tuple[Study, ...]:
    """The easiest gentle study of each exercise on the instrument most studies are for, the easiest first."""
    return _one_each(sorted(_gentle(studies), key=lambda study: (study.metrics.score, study.id)), _MOST_FIRST)


def cool_down_studies(studies: Sequence[Study]) -> tuple[Study, ...]:
    """The slowest gentle studies of other exercises than the warm-up's."""
    taken = {study.exercise for study in warm_up_studies(studies)}
    left = [study for study in _gentle(studies) if study.exercise not in taken]
    return _one_each(sorted(left, key=lambda study: (study.rates[0], study.metrics.score, study.id)), _MOST_LAST)


def _gentle(studies: Sequence[Study]) -> list[Study]:
    """Studies that ask no force of a cold or tired hand: one note at a time, no bend, slur, barre or wide reach."""
    counted = Counter(study.instrument for study in studies).most_common(1)
    return [
        study
        for study in studies
        if study.instrument == counted[0][0]
        and study.level <= _GENTLE_LEVEL
        and study.rates[0] <= _GENTLE_RATE
        and study.metrics.notes_at_once == 1
        and study.metrics.widest_reach_mm <= study.hand.comfort_mm
        and not study.barres
        and not any(isinstance(event, Note) and event.technique in _FORCED for event in study.events)
    ]


def _one_each(studies: Iterable[Study], most: int) -> tuple[Study, ...]:
    """The first study of each exercise; nothing where they are too few to choose from."""
    first: dict[str, Study] = {}
    for study in studies:
        first.setdefault(study.exercise, study)
    found = tuple(first.values())[:most]
    return found if len(found) >= _LEAST else ()


def _page(kind: str, studies: Sequence[Study], labels: Labels, paper: Paper, phrases: Phrases) -> ListPage | None:
    if not studies:
        return None
    entries = tuple(entry for study in studies for entry in _entries(study, labels, phrases))
    notes = phrases.lines(f"{kind}.notes")
    listing = on_sides([Group("", "", entries)], paper, _AROUND_MM + _NOTE_MM * len(notes))
    return ListPage(phrases(f"{kind}.title"), phrases(f"{kind}.lead"), listing, phrases(f"{kind}.notes-title"), notes)


def _entries(study: Study, labels: Labels, phrases: Phrases) -> Iterator[Entry]:
    """A line that leads to the study, and its aim."""
    place = start_line(study, phrases, "place")
    yield Entry(study.title, place, labels.get(study_key(study.id), ""), study.id, False)
    if study.aim:
        yield Entry("", study.aim, "", "", True)
