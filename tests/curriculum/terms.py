"""Random terms, and every rule of a plan checked from nothing but the plan, the studies and the rule's own words.

Not here: anything of the planner's: likeness, the middle of a sitting and the gaps are counted anew.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from random import Random
from statistics import median

import yaml

from builder.curriculum.item import Item
from builder.curriculum.limits import limits_from
from builder.curriculum.term import Sitting, TermPlan
from builder.curriculum.timetable import TermRule
from builder.resources import folder

LIMITS = limits_from(yaml.safe_load((folder("shared") / "planning.yaml").read_text(encoding="utf-8")))

MAKES = [
    (material, path, frozenset(skills))
    for material in ("scale", "arpeggio", "fingers")
    for path in ("position", "one-string")
    for skills in (("timing",), ("scales", "landing"))
]


def item(study: str, score: float = 10.0, exercise: str | None = None, make: int = 0, steps: int = 5) -> Item:
    """A study whose exercise is its own unless it is named."""
    material, path, skills = MAKES[make]
    tempos = tuple(60 + 8 * step for step in range(steps))
    scores = tuple(score + step for step in range(steps))
    return Item(
        study, exercise or study, "guitar", material, path, skills, ("jaw", "breath"), tempos, (2,) * steps, scores
    )


def random_term(seed: int) -> tuple[tuple[Item, ...], TermRule]:
    """A book of one to sixty studies in book order, and a term of a week to most of a year."""
    dice = Random(seed)
    items = []
    for number in range(dice.randint(1, 15)):
        base, make, steps = dice.uniform(2, 60), dice.randrange(len(MAKES)), dice.randint(1, 7)
        exercise = f"exercise{number}"
        items += [
            item(f"{exercise}-s{string}f5", round(base + dice.uniform(0, 4) * string, 2), exercise, make, steps)
            for string in range(1, 1 + dice.randint(1, 4))
        ]
    items.sort(key=lambda one: (one.score, one.id))
    names = [one.id for one in items]
    return tuple(items), TermRule(
        weeks=dice.randint(1, 20),
        days=dice.randint(1, 6),
        minutes=dice.randint(5, 75),
        first_week=dice.choice((None, None, None, dice.randint(10, 200))),
        turn=dice.choice((None, None, dice.randint(2, 6))),
        required=tuple(dice.sample(names, dice.randint(0, min(20, len(names))))),
    )


def broken_rules(plan: TermPlan, items: Sequence[Item], rule: TermRule) -> list[str]:
    """Every rule that *plan* breaks, in words."""
    by_id = {one.id: one for one in items}
    broken = [words for sitting in plan.sittings for words in _in_a_sitting(sitting, by_id, rule)]
    broken += _over_the_term(plan, by_id)
    broken += _in_the_weeks(plan, rule)
    left_out = plan.shortfall.left_out if plan.shortfall else ()
    days = {
        one.id: sum(any(turn.study == one.id for turn in sitting.turns) for sitting in plan.sittings) for one in items
    }
    broken += [
        f"{name} comes up on {days[name]} days" for name in rule.required if name not in left_out and days[name] < 3
    ]
    if plan.shortfall is None and plan.minutes < 0.9 * rule.weeks * rule.days * rule.minutes:
        broken.append(f"{plan.minutes} minutes of {rule.weeks * rule.days * rule.minutes} are planned")
    return broken


def _alike(one: Item, other: Item) -> bool:
    if one.exercise == other.exercise:
        return True
    return (
        one.material == other.material
        and one.path == other.path
        and one.skills == other.skills
        and (abs(one.score - other.score) <= 3)
    )


def _in_a_sitting(sitting: Sitting, by_id: dict[str, Item], rule: TermRule) -> Iterator[str]:
    where = f"week {sitting.week} day {sitting.day}"
    played = [by_id[turn.study] for turn in sitting.turns]
    fresh = {turn.study for turn in sitting.turns if turn.fresh}
    if any(_alike(by_id[one], by_id[other]) for one, other in combinations(sorted(fresh), 2)):
        yield f"{where}: two alike are new: {fresh}"
    if len(fresh) > 3:
        yield f"{where}: {len(fresh)} are new"
    for one, two, three in zip(played, played[1:], played[2:], strict=False):
        if _alike(one, two) and _alike(two, three):
            yield f"{where}: three alike in a row from {one.id}"
    middle = min(median(one.score for one in played), median({one.id: one.score for one in played}.values()))
    for end in (played[0], played[-1]):
        if end.score > middle:
            yield f"{where}: begins or ends with {end.id}, harder than its middle"
    if sitting.minutes > rule.minutes:
        yield f"{where}: {sitting.minutes} minutes"
    stretch = 0
    for number, turn in enumerate(sitting.turns, start=1):
        stretch += turn.minutes
        if stretch > 25:
            yield f"{where}: {stretch} minutes without a break"
        if number in sitting.breaks_after:
            stretch = 0
    if len({(turn.study, turn.tempo) for turn in sitting.turns}) != len({turn.study for turn in sitting.turns}):
        yield f"{where}: a study at two tempos"


def _over_the_term(plan: TermPlan, by_id: dict[str, Item]) -> Iterator[str]:
    for study in plan.studies:
        days = [
            number for number, sitting in enumerate(plan.sittings) if any(turn.study == study for turn in sitting.turns)
        ]
        turns = [next(turn for turn in plan.sittings[day].turns if turn.study == study) for day in days]
        gaps = [later - sooner for sooner, later in pairwise(days)]
        if any(later < sooner for sooner, later in pairwise(gaps)):
            yield f"{study}: gaps shrink: {gaps}"
        if [turn.fresh for turn in turns] != [True] + [False] * (len(turns) - 1):
            yield f"{study}: new at another time than its first"
        steps = [by_id[study].tempo_steps.index(turn.tempo) for turn in turns]
        if steps[0] or any(not 0 <= later - sooner <= 1 for sooner, later in pairwise(steps)):
            yield f"{study}: tempo steps {steps}"
        if any(turn.cue not in by_id[study].cues for turn in turns):
            yield f"{study}: a cue that its page does not have"


def _in_the_weeks(plan: TermPlan, rule: TermRule) -> Iterator[str]:
    weeks: dict[int, list[Sitting]] = {}
    for sitting in plan.sittings:
        weeks.setdefault(sitting.week, []).append(sitting)
    if plan.sittings and sorted(weeks) != list(range(1, rule.weeks + 1)):
        yield f"weeks {sorted(weeks)}"
    for week, sittings in weeks.items():
        days = [sitting.day for sitting in sittings]
        if len(days) != rule.days or days != sorted(set(days)) or not set(days) < set(range(1, 8)):
            yield f"week {week}: days {days}"
    minutes = [sum(sitting.minutes for sitting in weeks[week]) for week in sorted(weeks)]
    if minutes != list(plan.week_minutes):
        yield f"weeks of {minutes} minutes, not {plan.week_minutes}"
    for sooner, later in pairwise(minutes):
        if later * 100 > sooner * 115:
            yield f"a rise from {sooner} to {later} minutes"
    if rule.first_week is not None and minutes and minutes[0] > rule.first_week:
        yield f"a first week of {minutes[0]} minutes"
