"""Where everything stands in the book: the order of its sheets, their sides and the numbers printed on them.

Stage:    6 assemble (pure)
In, Out:  sheet keys with their sides; `Leaf`s
Units:    sides count from 0 here; labels are what the page prints
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Literal

from builder.spec.plan import BookPlan
from builder.theory.fretboard import Place
from builder.theory.score import Study

Numbering = Literal["roman", "decimal"]
NOTES = "notes"  # the key of a page for notes; it may stand in a book more than once
_STUDY, _OPENER = "study:", "opener:"


@dataclass(frozen=True, slots=True)
class Leaf:
    """One side of the book: side *part* of *sheet*, its place in the book and the label printed on it."""

    sheet: str
    part: int
    side: int
    numbering: Numbering
    label: str


def study_key(study_id: str) -> str:
    """The key of a study's sheet."""
    return _STUDY + study_id


def places_key(exercise: str) -> str:
    """The key of the sheet with an exercise's other places."""
    return f"places:{exercise}"


def opener_key(level: int) -> str:
    """The key of the sheet that opens a level."""
    return f"{_OPENER}{level}"


@dataclass(frozen=True, slots=True)
class Section:
    """The exercises of one level, in the order of the book; every exercise with its studies, easiest first."""

    level: int
    exercises: tuple[tuple[Study, ...], ...]

    @property
    def studies(self) -> tuple[Study, ...]:
        """All its studies in order."""
        return tuple(study for exercise in self.exercises for study in exercise)


def sections(studies: Iterable[Study]) -> tuple[Section, ...]:
    """Order a book: exercises by level, score and id, those of one level together.

    An exercise's level and score are those of its median study, of two middle ones the easier.
    """
    by_id: dict[str, list[Study]] = {}
    for study in studies:
        by_id.setdefault(study.exercise, []).append(study)
    exercises = [tuple(sorted(group, key=_difficulty)) for group in by_id.values()]
    exercises.sort(key=lambda group: (*_difficulty(_median(group))[:2], group[0].exercise))
    return tuple(
        Section(level, tuple(group)) for level, group in groupby(exercises, key=lambda group: _median(group).level)
    )


def _difficulty(study: Study) -> tuple[int, float, Place]:
    return study.level, study.metrics.score, study.start


def _median(exercise: Sequence[Study]) -> Study:
    return exercise[(len(exercise) - 1) // 2]


def body_keys(
    parts: Iterable[Section], opened: bool, back: Iterable[str], mapped: Mapping[str, Sequence[Study]]
) -> tuple[str, ...]:
    """The sheets behind the front matter: each level's opener and its studies, then the back matter.

    *mapped* are the studies that share a sheet of small maps behind the others of their exercise, by the exercise.
    """
    keys: list[str] = []
    for section in parts:
        keys += [opener_key(section.level)] if opened else []
        for members in section.exercises:
            small = mapped.get(members[0].exercise, ())
            keys += [study_key(study.id) for study in members if study not in small]
            keys += [places_key(members[0].exercise)] if small else []
    return (*keys, *back)


def small_places(studies: Iterable[Study], book: BookPlan) -> dict[str, tuple[Study, ...]]:
    """The studies that *book* prints as small maps only, by exercise: none where it prints each place in full.

    In full stand those that its term or its levels name, as they are to be played; of an exercise that has none of
    these the easiest place, as the others are the same fingers moved (our own choice).
    """
    if book.print_places == "each":
        return {}
    named = {asked.study for level in book.levels for asked in (*level.requires, *level.choice)}
    named |= set(book.term.required) if book.term else set()
    found = {}
    for section in sections(studies):
        for members in section.exercises:
            full = {study.id for study in members if study.id in named} or {members[0].id}
            found[members[0].exercise] = tuple(study for study in members if study.id not in full)
    return {exercise: members for exercise, members in found.items() if members}


def leaves(front: Iterable[str], body: Iterable[str], sides: Mapping[str, int], bound: bool) -> tuple[Leaf, ...]:
    """Every side in order; the front matter is numbered i, ii, iii, the rest 1, 2, 3.

    *bound*: side 0 is a right-hand page. Then page 1 is one too, and a study of two sides, or of any even number, opens
    on a left-hand page, so that it has no more turns than it needs; a page for notes stands before it where it must.
    """
    found: list[Leaf] = []
    numbers: Counter[str] = Counter()

    def add(key: str, numbering: Numbering) -> None:
        for part in range(1 if key == NOTES else sides[key]):
            numbers[numbering] += 1
            label = roman(numbers[numbering]) if numbering == "roman" else str(numbers[numbering])
            found.append(Leaf(key, part, len(found), numbering, label))

    for key in front:
        add(key, "roman")
    if bound and len(found) % 2:
        add(NOTES, "roman")
    keys = tuple(body)
    for key, following in pairwise((*keys, "")):
        if bound and _would_turn(key, following, len(found), sides):
            add(NOTES, "decimal")
        add(key, "decimal")
    return tuple(found)


def _would_turn(key: str, following: str, side: int, sides: Mapping[str, int]) -> bool:
    """Whether the study that begins with *key*, or *following* the opener there, would open on a right-hand page."""
    opened = key.startswith(_OPENER)
    study, begins = (following, side + sides[key]) if opened else (key, side)
    return study.startswith(_STUDY) and sides[study] % 2 == 0 and begins % 2 == 0


def first_labels(every: Iterable[Leaf]) -> dict[str, str]:
    """The label of each sheet's first side."""
    return {leaf.sheet: leaf.label for leaf in every if leaf.part == 0}


def roman(number: int) -> str:
    """A small Roman numeral.

    >>> [roman(n) for n in (1, 4, 9, 14, 40)]
    ['i', 'iv', 'ix', 'xiv', 'xl']
    """
    signs = ((100, "c"), (90, "xc"), (50, "l"), (40, "xl"), (10, "x"), (9, "ix"), (5, "v"), (4, "iv"), (1, "i"))
    text = ""
    for value, sign in signs:
        count, number = divmod(number, value)
        text += sign * count
    return text
