"""Plan a term: which study comes when, at which tempo, for how long.

Stage:    curriculum (pure)
In, Out:  `Item`s, a `TermRule` and the `Limits`; a `TermPlan`, with a `Shortfall` where not all that was asked fits
Units:    minutes of playing, tempo in beats a minute
Source:   shared/planning.yaml
Method:   plans are tried from the widest gaps and the fullest choice of studies down; the first that keeps every rule
          is taken. For short terms of short sittings every way there is comes last, so that there "no plan" is sure; a
          longer one may have a plan that is not found. What would fit where not all does is never estimated: every
          number named comes from a plan that was made
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

from builder.curriculum.every_way import every_way, short_enough
from builder.curriculum.item import Item, likeness, make_of
from builder.curriculum.limits import Limits
from builder.curriculum.request import Day, Request
from builder.curriculum.returns import returns
from builder.curriculum.timetable import Slot, TermRule, slots, week_minutes

# How far the answer to "what would hold it all" is looked for: our own choice. A school year has no more weeks, and who
# has more than three hours a day needs no plan of ours.
MOST_WEEKS = 52
MOST_MINUTES = 180


@dataclass(frozen=True, slots=True)
class Turn:
    """A study's turn: at *tempo* for *minutes*, with the *cue* to let go by (None where its page has none).

    *visit* numbers the days on which the study has come up so far; *fresh* = it is new today.
    """

    study: str
    tempo: int
    minutes: int
    cue: str | None
    visit: int
    fresh: bool


@dataclass(frozen=True, slots=True)
class Sitting:
    """A day's practice; a break comes after each of the turns, counted from 1, that *breaks_after* names."""

    week: int
    day: int
    turns: tuple[Turn, ...]
    breaks_after: tuple[int, ...]

    @property
    def minutes(self) -> int:
        """The minutes of playing."""
        return sum(turn.minutes for turn in self.turns)


@dataclass(frozen=True, slots=True)
class Shortfall:
    """What was asked for and does not fit: *held* of *asked* required studies are planned, *left_out* are not.

    *weeks*, or *minutes* a day, would hold them all with the rest as asked; None where even the most would not.
    *given* minutes were asked for, the weeks may hold *allowed* of them, *planned* is what the studies can fill.
    """

    asked: int
    held: int
    left_out: tuple[str, ...]
    weeks: int | None
    minutes: int | None
    given: int
    allowed: int
    planned: int

    @property
    def sentence(self) -> str:
        """The same in words."""
        parts = [self._studies()] if self.held < self.asked else []
        if self.planned < self.allowed:
            filled = f"{self.planned} of {self.allowed} minutes can be filled"
            parts.append(f"{filled}: every study needs three days, and others unlike it to change with.")
        elif self.allowed < self.given and not parts:
            parts.append(
                f"The weeks rise too slowly from the first to hold more than {self.allowed} of {self.given} minutes."
            )
        return " ".join(parts)

    def _studies(self) -> str:
        ways = [f"in {self.weeks} weeks"] if self.weeks else []
        ways += [f"with {self.minutes} minutes a day"] if self.minutes else []
        more = (
            f"all of them would fit {' or '.join(ways)}"
            if ways
            else f"no term up to {MOST_WEEKS} weeks was found to hold them all"
        )
        studies = "study" if self.asked == 1 else "studies"
        return f"{self.held} of the {self.asked} {studies} asked for fit; {more}."


@dataclass(frozen=True, slots=True)
class TermPlan:
    """A term: its sittings in order, the minutes of each week, and what did not fit (None = everything does)."""

    sittings: tuple[Sitting, ...]
    week_minutes: tuple[int, ...]
    shortfall: Shortfall | None

    @property
    def minutes(self) -> int:
        """All minutes planned."""
        return sum(sitting.minutes for sitting in self.sittings)

    @property
    def studies(self) -> tuple[str, ...]:
        """The studies in the order in which they are new."""
        return tuple(dict.fromkeys(turn.study for sitting in self.sittings for turn in sitting.turns))


def studies_wanted(rule: TermRule, limits: Limits) -> int:
    """How many studies fill a term with gaps that grow as far as they may."""
    days = slots(rule, limits)
    starts = max(1, len(days) - limits.days_each + 1)
    fewest = max(-(-len(day.turns) // limits.turns_each) for day in days)
    turns = sum(len(day.turns) for day in days)
    return max(2, min(fewest * limits.longest_gap, starts * limits.fresh, turns // limits.days_each))


def plan_term(items: Sequence[Item], rule: TermRule, limits: Limits) -> TermPlan:
    """Plan a term out of *items*, which stand in the order in which they should be new.

    The required studies are held first; the others fill the time that is left, as various as they can be.
    All should be on one instrument: a plan changes studies every few minutes.
    Raises ValueError for a required study that is not among *items*, or where no day of the week would be free.
    """
    unknown = set(rule.required) - {item.id for item in items}
    if unknown:
        raise ValueError(f"not among the studies: {', '.join(sorted(unknown))}")
    plan = _plan(items, rule, limits)
    if plan is not None:
        slow = plan.minutes < limits.used_share * rule.given
        return replace(plan, shortfall=_shortfall(rule, limits, plan, len(rule.required))) if slow else plan
    return _with_fewer_studies(items, rule, limits) or _with_fewer_minutes(items, rule, limits)


def _with_fewer_studies(items: Sequence[Item], rule: TermRule, limits: Limits) -> TermPlan | None:
    """The plan with as many of the required studies as halving finds to fit; None where they are not the trouble."""

    def holding(count: int) -> TermPlan | None:
        return _plan(items, replace(rule, required=rule.required[:count]), limits)

    held, plan = _greatest(0, len(rule.required) - 1, holding)
    if plan is None:
        return None
    weeks = _least(rule.weeks + 1, MOST_WEEKS, lambda weeks: _plan(items, replace(rule, weeks=weeks), limits))
    minutes = _least(rule.minutes + 1, MOST_MINUTES, lambda each: _plan(items, replace(rule, minutes=each), limits))
    return replace(plan, shortfall=replace(_shortfall(rule, limits, plan, held), weeks=weeks, minutes=minutes))


def _with_fewer_minutes(items: Sequence[Item], rule: TermRule, limits: Limits) -> TermPlan:
    """The plan for shorter days, where too few studies differ; without any sitting where nothing can be planned."""

    def holding(count: int) -> TermPlan | None:
        wanted = replace(rule, required=rule.required[:count])
        return _greatest(1, rule.minutes, lambda each: _plan(items, replace(wanted, minutes=each), limits))[1]

    held, plan = _greatest(0, len(rule.required), holding)
    plan = plan or TermPlan((), (), None)
    return replace(plan, shortfall=_shortfall(rule, limits, plan, max(0, held)))


def _shortfall(rule: TermRule, limits: Limits, plan: TermPlan, held: int) -> Shortfall:
    """What *plan* leaves open, before it is known what would hold the rest."""
    allowed = sum(week_minutes(rule, limits))
    asked = len(rule.required)
    return Shortfall(asked, held, rule.required[held:], None, None, rule.given, allowed, plan.minutes)


def _greatest(low: int, high: int, plan_for: Callable[[int], TermPlan | None]) -> tuple[int, TermPlan | None]:
    """The greatest number from *low* to *high* that halving finds a plan for, with that plan."""
    best, found = low - 1, None
    while low <= high:
        middle = (low + high + 1) // 2
        plan = plan_for(middle)
        if plan is None:
            high = middle - 1
        else:
            best, found, low = middle, plan, middle + 1
    return best, found


def _least(low: int, high: int, plan_for: Callable[[int], TermPlan | None]) -> int | None:
    """The least number from *low* to *high* that ever wider strides, then halving, find a plan for."""
    stride, best = 1, low
    while best <= high and plan_for(best) is None:
        low, best, stride = best + 1, best + stride, 2 * stride
    if best > high:
        return None
    while low < best:
        middle = (low + best) // 2
        if plan_for(middle) is None:
            low = middle + 1
        else:
            best = middle
    return best


def _plan(items: Sequence[Item], rule: TermRule, limits: Limits) -> TermPlan | None:
    """A plan that holds everything required and uses every minute a week may have; None where none was found."""
    days = slots(rule, limits)
    turns = tuple(len(day.turns) for day in days)
    starts = len(days) - limits.days_each + 1
    if len(rule.required) > min(starts * limits.fresh, sum(turns) // limits.days_each):
        return None
    like = likeness(items, limits.alike_within)
    ways = [
        Request(chosen, turns, like, gap, late, limits)
        for chosen in _choices(items, rule, studies_wanted(rule, limits))
        for late, gap in product((False, True), _halved(limits.longest_gap))
    ]
    short = [way for way in ways if short_enough(way) and way.late and way.longest_gap == 1]
    for method, requests in ((returns, ways), (every_way, short)):
        for request in requests:
            found = method(request)
            if found is not None:
                return TermPlan(_sittings(days, found), week_minutes(rule, limits), None)
    return None


def _halved(gap: int) -> Iterator[int]:
    """*gap* and its halves down to 1: 10, 5, 2, 1."""
    while gap:
        yield gap
        gap //= 2


def _choices(items: Sequence[Item], rule: TermRule, wanted: int) -> Iterator[tuple[Item, ...]]:
    """The studies to try a plan with: what is required and others, from the number wanted to fewer, then to more."""
    optional = _most_various([item for item in items if item.id not in rule.required])
    room = max(0, wanted - len(rule.required))
    seen = set()
    for count in (room, *(share * min(room, len(optional)) // 8 for share in (6, 4, 2, 1, 0)), 3 * room // 2, 2 * room):
        names = {item.id for item in optional[:count]} | set(rule.required)
        if names and len(names) not in seen:
            seen.add(len(names))
            yield tuple(item for item in items if item.id in names)


def _most_various(items: Sequence[Item]) -> list[Item]:
    """One study of every make, then a second of every one; within a make, other exercises before other places."""
    by_exercise = _in_rounds(items, lambda item: item.exercise)
    return _in_rounds(by_exercise, make_of)


def _in_rounds(items: Sequence[Item], group: Callable[[Item], Hashable]) -> list[Item]:
    """The first of every group, then the second of every one, …, else in their order."""
    rank = Counter[Hashable]()
    rounds: dict[int, list[Item]] = {}
    for item in items:
        rank[group(item)] += 1
        rounds.setdefault(rank[group(item)], []).append(item)
    return [item for number in sorted(rounds) for item in rounds[number]]


def _sittings(days: Sequence[Slot], found: Sequence[Day]) -> tuple[Sitting, ...]:
    """The plan with its tempos, minutes and cues."""
    visits = Counter(name for day in found for name in {item.id for item in day.order})
    came, played = Counter[str](), Counter[str]()
    sittings = []
    for slot, day in zip(days, found, strict=True):
        came.update({item.id for item in day.order})
        turns = []
        for item, minutes in zip(day.order, slot.turns, strict=True):
            visit = came[item.id]
            tempo = item.tempo_steps[step_of(visit, visits[item.id], len(item.tempo_steps))]
            cue = item.cues[played[item.id] % len(item.cues)] if item.cues else None
            turns.append(Turn(item.id, tempo, minutes, cue, visit, item.id in day.fresh))
            played[item.id] += 1
        sittings.append(Sitting(slot.week, slot.day, tuple(turns), slot.breaks_after))
    return tuple(sittings)


def step_of(visit: int, visits: int, steps: int) -> int:
    """Which tempo step, from 0, the *visit*-th of so many *visits* takes: never down, one up at a time.

    >>> [step_of(visit, 6, 3) for visit in range(1, 7)], [step_of(visit, 3, 5) for visit in range(1, 4)]
    ([0, 0, 1, 1, 2, 2], [0, 1, 2])
    """
    return (visit - 1) * steps // visits if visits >= steps else visit - 1
