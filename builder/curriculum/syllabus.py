"""A school's levels: what each asks for, whether it is of that level, and what may stand in for it.

Stage:    curriculum (pure)
In, Out:  `LevelRule`s and the book's studies; a `Syllabus` and `Finding`s
Units:    tempo in beats a minute; scores 0…100, one a tempo step
Source:   alternates are drawn by a seed that is printed, so that anyone can draw them again; that they lie within two
          points is our own choice, a quarter of the narrowest level (shared/planning.yaml)
Not here: words and pages; the criteria an assessor marks, which are data
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from builder.curriculum.item import Item

KeyPath = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """A study at a tempo, as a level's rule names it; *tempo* None = its first step."""

    study: str
    tempo: int | None = None


@dataclass(frozen=True, slots=True)
class LevelRule:
    """What a level asks for: all that it *requires*, and *choose* of the studies of *choice*."""

    level: int
    name: str
    requires: tuple[Asked, ...]
    choose: int = 0
    choice: tuple[Asked, ...] = ()
    outcomes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class AlternateRule:
    """How many alternates a required study has, how near in points, and what they are drawn by."""

    count: int
    within: float
    seed: str


@dataclass(frozen=True, slots=True)
class Requirement:
    """A study at a tempo step with the level and score that were computed for it, and what may stand in for it."""

    study: str
    tempo: int
    level: int
    score: float
    alternates: tuple[Asked, ...] = ()


@dataclass(frozen=True, slots=True)
class SyllabusLevel:
    """A level as it is printed."""

    level: int
    name: str
    required: tuple[Requirement, ...]
    choose: int
    choice: tuple[Requirement, ...]
    outcomes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Finding:
    """What is wrong with a rule: the *path* below `levels`, and a problem's words; *warning* = it can be meant so."""

    path: KeyPath
    found: str
    expected: str
    hint: str = ""
    warning: bool = False


@dataclass(frozen=True, slots=True)
class Syllabus:
    """The levels in order, with the seed their alternates were drawn by, and what was found wrong."""

    levels: tuple[SyllabusLevel, ...]
    seed: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Criterion:
    """What an assessor marks: *bands* are the words for 0, 1, 2 … marks."""

    name: str
    look_for: str
    bands: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Assessment:
    """How a study is marked: so many *attempts*; passed with *pass_marks* in all and *floor* in each criterion."""

    attempts: int
    criteria: tuple[Criterion, ...]
    pass_marks: int
    floor: int

    def passed(self, marks: Sequence[int]) -> bool:
        """Say whether *marks*, one a criterion, are enough."""
        return sum(marks) >= self.pass_marks and min(marks) >= self.floor


def assessment_from(table: Mapping[str, Any]) -> Assessment:
    """Build the assessment from the plain values of shared/planning.yaml."""
    values = table["assessment"]
    criteria = tuple(
        Criterion(name, each["look-for"], tuple(each["bands"])) for name, each in values["criteria"].items()
    )
    return Assessment(values["attempts"], criteria, values["pass-marks"], values["floor"])


def alternate_rule(table: Mapping[str, Any], seed: str) -> AlternateRule:
    """Build the rule for alternates from the plain values of shared/planning.yaml."""
    values = table["alternates"]
    return AlternateRule(values["count"], float(values["within"]), seed)


def syllabus(rules: Sequence[LevelRule], items: Sequence[Item], alternates: AlternateRule) -> Syllabus:
    """Work out the levels of *rules* over the book's *items*; what can't be worked out is left out and reported."""
    by_id = {item.id: item for item in items}
    levels: list[SyllabusLevel] = []
    findings: list[Finding] = []
    for rule in sorted(rules, key=lambda rule: rule.level):
        named = {asked.study for asked in (*rule.requires, *rule.choice)}
        pool = [item for item in items if item.id not in named]
        required = _requirements(rule, "requires", rule.requires, by_id, findings)
        choice = _requirements(rule, "choice", rule.choice, by_id, findings)
        findings += _too_few(rule)
        drawn = tuple(_with_alternates(one, pool, by_id[one.study].instrument, alternates) for one in required)
        levels.append(SyllabusLevel(rule.level, rule.name, drawn, rule.choose, choice, rule.outcomes))
    return Syllabus(tuple(levels), alternates.seed, tuple(findings))


def _requirements(
    rule: LevelRule, key: str, asked: Sequence[Asked], by_id: Mapping[str, Item], findings: list[Finding]
) -> tuple[Requirement, ...]:
    """What is asked for with its computed level; whatever is wrong goes to *findings*."""
    found = []
    for number, one in enumerate(asked):
        path: KeyPath = (rule.level, *((key, "from") if key == "choice" else (key,)), number)
        item = by_id.get(one.study)
        if item is None:
            findings.append(Finding((*path, "study"), f"'{one.study}'", "the id of a study of this book"))
            continue
        tempo = item.tempo_steps[0] if one.tempo is None else one.tempo
        if tempo not in item.tempo_steps:
            steps = ", ".join(map(str, item.tempo_steps))
            near = min(item.tempo_steps, key=lambda step: abs(step - tempo))
            findings.append(Finding((*path, "tempo"), str(tempo), f"one of its tempo steps, {steps}", f"write {near}"))
            continue
        step = item.tempo_steps.index(tempo)
        found.append(Requirement(item.id, tempo, item.levels[step], item.scores[step]))
        if item.levels[step] != rule.level:
            findings.append(_other_level(path, item, step, rule.level))
    return tuple(found)


def _other_level(path: KeyPath, item: Item, step: int, level: int) -> Finding:
    """The finding that a study is of another level at that tempo, with the step that would be right."""
    right = [str(tempo) for tempo, each in zip(item.tempo_steps, item.levels, strict=True) if each == level]
    hint = f"it is of level {level} at {', '.join(right)}" if right else f"at no tempo step it is of level {level}"
    found = f"{item.id} at {item.tempo_steps[step]}, which is of level {item.levels[step]}"
    return Finding(path, found, f"a study of level {level}", hint, warning=True)


def _too_few(rule: LevelRule) -> list[Finding]:
    if rule.choose <= len(rule.choice):
        return []
    expected = f"at most {len(rule.choice)}, as many as there are to choose from"
    return [Finding((rule.level, "choice", "count"), str(rule.choose), expected)]


def _with_alternates(one: Requirement, pool: Sequence[Item], instrument: str, rule: AlternateRule) -> Requirement:
    """*one* with its alternates: studies drawn by the seed, each at the step of that level whose score is nearest."""
    near: dict[str, tuple[float, int]] = {}
    for item in (item for item in pool if item.instrument == instrument):
        for tempo, level, score in zip(item.tempo_steps, item.levels, item.scores, strict=True):
            apart = round(abs(score - one.score), 4)
            if level == one.level and apart <= rule.within:
                near[item.id] = min(near.get(item.id, (apart, tempo)), (apart, tempo))
    drawn = sorted(near, key=lambda study: sha256(f"{rule.seed} {one.study} {study}".encode()).digest())
    chosen = tuple(Asked(study, near[study][1]) for study in drawn[: rule.count])
    return Requirement(one.study, one.tempo, one.level, one.score, chosen)
