"""Which studies one student plays this term, in what order, from which tempo, and why.

Stage:    curriculum (pure)
In, Out:  the book's `Item`s, a `Student`, what is known of needs; `Chosen` studies, easiest first
Units:    tempo in beats a minute; levels 1…8
Source:   our own choice, with the reasons beside the numbers; that a step too hard is worse than one too easy is common
          practice
Not here: the plan of the term (`term`), the student's hand (fingers are computed anew for it before this)
Privacy:  a choice's reasons name skills and never needs, so that none can be read from an edition; every call sees one
          student only
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from builder.curriculum.item import Item

# Points of a study for a student. What is asked for outweighs all; a need's skill outweighs a level's distance, as a
# teacher writes a student's own edition because of needs; a second study of one exercise has to match better than a
# first one.
_REQUIRED = 1000.0
_SKILL = 6.0  # for each need the study serves
_GOING_ON = 4.0  # has been begun and not finished
_AT_LEVEL = 5.0  # less _STEP for each level off
_STEP = 2.5
_SAME_EXERCISE = 3.0  # taken off for each study of the exercise chosen already
_FINISHED = 8.0  # taken off where the last step has been played clean

# How many levels under the student's own are offered: enough for warm-ups. None over it is: a first tempo step above
# the level would mean to begin with what is too hard.
_BELOW = 2

ReasonKind = Literal["required", "level", "skill", "going-on", "finished"]


@dataclass(frozen=True, slots=True)
class Advice:
    """What a need asks for: *skills* to work on, *cues* to let go by, how many tempo steps lower to begin and to end.

    The need's own name stays with whoever looked it up.
    """

    skills: frozenset[str]
    cues: tuple[str, ...]
    steps_lower: int
    steps_off_top: int


@dataclass(frozen=True, slots=True)
class Student:
    """What choosing needs to know: level, tempos played clean by study id, and advice for each need."""

    level: int
    last_clean: Mapping[str, int]
    advice: tuple[Advice, ...] = ()


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a study was chosen; *word* is a skill, a level or a tempo."""

    kind: ReasonKind
    word: str


@dataclass(frozen=True, slots=True)
class Chosen:
    """A study for a student: the tempo steps to print and why it was chosen."""

    study: str
    tempo_steps: tuple[int, ...]
    reasons: tuple[Reason, ...]


def choose_studies(
    items: Sequence[Item], student: Student, count: int, required: Sequence[str] = ()
) -> tuple[Chosen, ...]:
    """Choose at most *count* studies for *student*, the *required* ones among them, and order them easiest first."""
    may = _may_be_chosen(items, student, count, required)
    points = {item.id: _points(item, student, required) for item in may}
    taken: list[Item] = []
    of_exercise = Counter[str]()
    while may and len(taken) < count:
        best = max(may, key=lambda item: (points[item.id] - _SAME_EXERCISE * of_exercise[item.exercise], -item.score))
        may.remove(best)
        taken.append(best)
        of_exercise[best.exercise] += 1
    taken.sort(key=lambda item: (item.levels[0], item.score, item.id))
    return tuple(Chosen(item.id, steps_for(item, student), _reasons(item, student, required)) for item in taken)


def _may_be_chosen(items: Sequence[Item], student: Student, count: int, required: Sequence[str]) -> list[Item]:
    """Who may be chosen: studies from two levels under the student's up to it, and lower ones where those are too few.

    Where all are too hard, those of the book's lowest level.
    """
    lowest = min((item.levels[0] for item in items), default=0)
    top = max(student.level, lowest)
    bottom = max(lowest, top - _BELOW)
    while bottom > lowest and sum(bottom <= item.levels[0] <= top for item in items) < count:
        bottom -= 1
    return [item for item in items if item.id in required or bottom <= item.levels[0] <= top]


def cues_for(student: Student, usual: Sequence[str], number: int) -> tuple[str, ...]:
    """Return the cues for the rests of exercise *number*, going round; empty for a student without advice.

    Every other one is advised, the rest are the *usual* ones in turn: half the rests are often enough to come back to
    a place, and pages that name nothing else would tell everybody what their player finds hard (our own choice).
    """
    advised = tuple(dict.fromkeys(cue for advice in student.advice for cue in advice.cues))
    others = [cue for cue in usual if cue not in advised]
    if not advised or not others:
        return advised
    pairs = range(number, number + len(others))
    return tuple(cue for k in pairs for cue in (advised[k % len(advised)], others[k % len(others)]))


def steps_for(item: Item, student: Student) -> tuple[int, ...]:
    """Return the tempo steps to print: from the last one played clean on, changed as the student's needs ask.

    A tempo between two steps counts as the lower one. At least one step stays.
    """
    low, high = _range(item, student)
    return item.tempo_steps[low:high]


def _range(item: Item, student: Student) -> tuple[int, int]:
    """The first tempo step, and the one after the last."""
    clean = student.last_clean.get(item.id)
    first = 0 if clean is None else max(0, sum(step <= clean for step in item.tempo_steps) - 1)
    serving = [advice for advice in student.advice if advice.skills & item.skills]
    first = max(0, first - max((advice.steps_lower for advice in serving), default=0))
    last = len(item.tempo_steps) - max((advice.steps_off_top for advice in serving), default=0)
    return first, max(first + 1, last)


def _points(item: Item, student: Student, required: Sequence[str]) -> float:
    clean = student.last_clean.get(item.id)
    points = _AT_LEVEL - _STEP * abs(student.level - item.levels[0])
    points += _SKILL * sum(bool(advice.skills & item.skills) for advice in student.advice)
    points += _REQUIRED * (item.id in required)
    if clean is None:
        return points
    return points - _FINISHED if clean >= item.tempo_steps[-1] else points + _GOING_ON


def _reasons(item: Item, student: Student, required: Sequence[str]) -> tuple[Reason, ...]:
    """Why *item* is there, the strongest reason first."""
    served = frozenset[str]().union(*(advice.skills for advice in student.advice)) & item.skills
    reasons = [Reason("required", "")] if item.id in required else []
    reasons += [Reason("skill", skill) for skill in sorted(served)]
    clean = student.last_clean.get(item.id)
    if clean is not None:
        reasons.append(Reason("finished" if clean >= item.tempo_steps[-1] else "going-on", str(clean)))
    return (*reasons, Reason("level", str(item.levels[0])))
