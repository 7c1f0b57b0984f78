"""Find a short term's plan where there is any: every way to choose the studies of every day is tried.

Stage:    curriculum (pure)
In, Out:  a `Request`; a `Day` for each practice day, or None: then there is no plan
Method:   depth-first search that remembers from which days no plan can be finished any more, told apart by what the
          rules still ask of each study: how often it came, when last, after which gap
Not here: longer terms and sittings, for which this takes too long (`returns`)
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from builder.curriculum.request import Day, Request, day_of, deadline, gap_of, may_be_new
from builder.curriculum.sitting import FEW_TURNS

# Days × studies up to which every way is tried: our own choice, some tenths of a second at most.
MOST_WAYS = 30

_Visits = tuple[tuple[int, ...], ...]  # the days of each study so far, in the order of the request's items


def every_way(request: Request) -> tuple[Day, ...] | None:
    """Return a plan, or None where no plan keeps every rule; only for requests that are `short_enough`."""
    dead: set[tuple[object, ...]] = set()
    hopeless: set[tuple[frozenset[str], int]] = set()

    def finish(today: int, visits: _Visits) -> tuple[Day, ...] | None:
        if today == len(request.turns):
            return ()
        state = (today, *(_ahead(days, request) for days in visits))
        if state in dead:
            return None
        for day in _days(request, today, visits, hopeless):
            names = {item.id for item in day.order}
            after = tuple(
                (*days, today) if item.id in names else days for item, days in zip(request.items, visits, strict=True)
            )
            if all(deadline(days, request) > today for days in after):
                rest = finish(today + 1, after)
                if rest is not None:
                    return (day, *rest)
        dead.add(state)
        return None

    return finish(0, tuple(() for _ in request.items))


def short_enough(request: Request) -> bool:
    """Say whether every way can be tried in reasonable time, and every order within a day."""
    return len(request.turns) * len(request.items) <= MOST_WAYS and max(request.turns) <= FEW_TURNS


def _ahead(days: tuple[int, ...], request: Request) -> tuple[int, ...]:
    """What the rules still ask of a study that came on *days*."""
    return (min(len(days), request.limits.days_each), days[-1], gap_of(days)) if days else ()


def _days(request: Request, today: int, visits: _Visits, hopeless: set[tuple[frozenset[str], int]]) -> Iterator[Day]:
    """Every choice of studies that may come today and can be ordered, those with most studies first.

    *hopeless* collects who can't be ordered in so many turns, whatever the day.
    """
    turns = request.turns[today]
    may_come = [
        (item, not days)
        for item, days in zip(request.items, visits, strict=True)
        if not days or today - days[-1] >= gap_of(days)
    ]
    for count in range(min(turns, len(may_come)), 0, -1):
        for chosen in combinations(may_come, count):
            who = frozenset(item.id for item, _ in chosen), turns
            if who in hopeless:
                continue
            fresh = [item for item, is_new in chosen if is_new]
            if all(may_be_new(item, fresh[:number], request) for number, item in enumerate(fresh)):
                day = day_of([item for item, _ in chosen], today, fresh, request)
                if day is None:
                    hopeless.add(who)
                else:
                    yield day
