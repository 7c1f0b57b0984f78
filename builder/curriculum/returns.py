"""On which days each study of a term comes up, and in what order it is played there.

Stage:    curriculum (pure)
In, Out:  the studies to be held, the practice days, a longest gap; a `Day` for each, or None
Units:    days are practice days from 0; gaps count practice days
Source:   shared/planning.yaml: spacing, fresh, interference, growing
Method:   day by day, the most urgent first. A study's urgency is the last day on which its next return still leaves
          room for the days it must come up on: "earliest deadline first", which finds an order for tasks of equal
          length with release times and deadlines wherever there is one (W. A. Horn, Some Simple Scheduling Algorithms,
          Naval Research Logistics Quarterly 21, 1974). Our tasks hang together and a day has an order of its own, so
          it may miss a plan
Not here: which studies, and what to do when there is no plan (`term`); short terms' last resort (`every_way`)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import zip_longest

from builder.curriculum.item import Item
from builder.curriculum.request import Day, Request, day_of, deadline, gap_of, may_be_new


@dataclass(slots=True)
class _State:
    """How far a plan has come: the days of each study so far, and who is still to be new."""

    visits: dict[str, list[int]]
    waiting: list[Item]
    days: list[Day] = field(default_factory=list)


def returns(request: Request) -> tuple[Day, ...] | None:
    """Return a day's studies for every practice day; None where the method finds no plan that keeps every rule."""
    state = _State({item.id: [] for item in request.items}, list(request.items))
    for today in range(len(request.turns)):
        day = _day(request, state, today)
        if day is None:
            return None
        for name in {item.id for item in day.order}:
            state.visits[name].append(today)
        state.waiting = [item for item in state.waiting if item.id not in day.fresh]
        state.days.append(day)
    short = any(len(days) < request.limits.days_each for days in state.visits.values())
    return None if short else tuple(state.days)


def _day(request: Request, state: _State, today: int) -> Day | None:
    """Choose and order today's studies: those due and those to be new, then others until the day can be filled."""
    if any(deadline(days, request) < today for days in state.visits.values()):
        return None
    chosen, fresh = _wanted(request, state, today)
    day = day_of(chosen, today, fresh, request) if len(chosen) >= _fewest(request, today) else None
    if day is not None:
        return day
    for extra in _others(request, state, today, chosen):
        is_new = not state.visits[extra.id]
        if len(chosen) == request.turns[today] or (is_new and not may_be_new(extra, fresh, request)):
            continue
        chosen.append(extra)
        fresh += [extra] if is_new else []
        if len(chosen) >= _fewest(request, today) and (day := day_of(chosen, today, fresh, request)):
            return day
    return day_of(chosen, today, fresh, request) or _thinned(request, state, today, chosen, fresh)


def _thinned(request: Request, state: _State, today: int, chosen: Sequence[Item], fresh: Sequence[Item]) -> Day | None:
    """The same day with fewer studies: the least urgent go first; None when an urgent one would have to."""
    kept = list(chosen)
    for item in reversed(chosen):
        if deadline(state.visits[item.id], request) <= today:
            return None
        kept.remove(item)
        day = day_of(kept, today, fresh, request)
        if day is not None:
            return day
    return None


def _fewest(request: Request, today: int) -> int:
    """How many studies today should have at least, so that each has its usual number of turns."""
    return -(-request.turns[today] // request.limits.turns_each)


def _wanted(request: Request, state: _State, today: int) -> tuple[list[Item], list[Item]]:
    """The studies that have to come today, that are to be new by now, and that are due, as far as there are turns."""
    turns = request.turns[today]
    active = _returning(request, state, today)
    active.sort(key=lambda item: _urgency(item, state, request))
    urgent = [item for item in active if deadline(state.visits[item.id], request) <= today]
    due = [item for item in active if item not in urgent and _due(state.visits[item.id], request) <= today]
    chosen, fresh = urgent[:turns], list[Item]()
    for item in (*_pressing(request, state, today), *state.waiting[: _to_be_new(request, state, today)]):
        if len(chosen) < turns and item not in fresh and may_be_new(item, fresh, request):
            chosen.append(item)
            fresh.append(item)
    return [*chosen, *due[: turns - len(chosen)]], fresh


def _returning(request: Request, state: _State, today: int) -> list[Item]:
    """Who may return today."""
    return [item for item in request.items if (days := state.visits[item.id]) and today - days[-1] >= gap_of(days)]


def _to_be_new(request: Request, state: _State, today: int) -> int:
    """How many of those waiting may be new today, or must.

    Evenly over the days that leave time to return, without the last fifth of the term, so that the last ones too return
    more often than they have to; late ones as soon as the days left for it would become too few.
    """
    latest = request.last_day - request.limits.days_each + 1
    if request.late:
        days_left = max(1, latest - today + 1)
        return len(state.waiting) if len(state.waiting) * request.limits.days_each >= days_left else 0
    days = max(1, min(latest, 4 * len(request.turns) // 5))
    wanted = -(-len(request.items) * (today + 1) // days)
    return len(state.waiting) if wanted > len(request.items) - len(state.waiting) else 0


def _pressing(request: Request, state: _State, today: int) -> list[Item]:
    """Who has to be new today: those with as many look-alikes waiting as days are left, as no two are new at once."""
    left = request.last_day - request.limits.days_each + 2 - today
    waiting = {item.id for item in state.waiting}
    full = [circle for circle in request.likeness.circles if len(circle & waiting) >= left]
    return [item for item in state.waiting if any(item.id in circle for circle in full)]


def _others(request: Request, state: _State, today: int, chosen: Sequence[Item]) -> list[Item]:
    """Who else may come, in turn: a new one, and of those ahead of their time the one that has waited most of it."""
    early = [item for item in _returning(request, state, today) if item not in chosen]
    early.sort(key=lambda item: _due(state.visits[item.id], request))
    latest = request.last_day - request.limits.days_each + 1
    new = [item for item in state.waiting if item not in chosen] if today <= latest else []
    if request.late:
        return [*early, *new]
    return [item for pair in zip_longest(new, early) for item in pair if item is not None]


def _due(days: Sequence[int], request: Request) -> int:
    """The day on which a study should return: its last gap grown, up to the longest."""
    if len(days) == 1:
        return days[-1] + 1
    grown = min(request.longest_gap, gap_of(days) * request.limits.growth)
    return days[-1] + max(gap_of(days), grown)


def _urgency(item: Item, state: _State, request: Request) -> tuple[int, int, float, str]:
    days = state.visits[item.id]
    return deadline(days, request), _due(days, request), item.score, item.id
