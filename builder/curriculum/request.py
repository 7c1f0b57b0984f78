"""What a term's days are asked to hold, and the rules of a single day that every method of planning keeps.

Stage:    curriculum (pure)
Units:    days are practice days from 0; gaps count practice days
Source:   shared/planning.yaml: spacing, fresh, interference, growing
Not here: the methods (`returns`, `every_way`), the order within a day (`sitting`)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from builder.curriculum.item import Item, Likeness
from builder.curriculum.limits import Limits
from builder.curriculum.sitting import Company, order_of


@dataclass(frozen=True, slots=True)
class Day:
    """Who plays when on one practice day; *fresh* are the studies that are new."""

    order: tuple[Item, ...]
    fresh: frozenset[str]


@dataclass(frozen=True, slots=True)
class Request:
    """What is to be held: *items* in the order in which they are to be new, *turns* of each practice day.

    *late*: a study is new only where it must be, or a day can't be filled; else new ones come evenly over the term.
    """

    items: tuple[Item, ...]
    turns: tuple[int, ...]
    likeness: Likeness
    longest_gap: int
    late: bool
    limits: Limits

    @property
    def last_day(self) -> int:
        """The last practice day."""
        return len(self.turns) - 1


def day_of(chosen: Sequence[Item], today: int, fresh: Sequence[Item], request: Request) -> Day | None:
    """Return the day with those *chosen*, where an order keeps the rules; *fresh* may name others, too."""
    new = frozenset(item.id for item in fresh if item in chosen)
    order = order_of(chosen, request.turns[today], Company(request.likeness, request.limits.row), new)
    return None if order is None else Day(order, new)


def may_be_new(item: Item, fresh: Sequence[Item], request: Request) -> bool:
    """Say whether *item* may be new beside those *fresh* already: not too many, none alike."""
    like = request.likeness.to[item.id]
    return len(fresh) < request.limits.fresh and not any(other.id in like for other in fresh)


def gap_of(days: Sequence[int]) -> int:
    """Return the last gap between a study's *days*, 1 where there is none yet."""
    return days[-1] - days[-2] if len(days) > 1 else 1


def deadline(days: Sequence[int], request: Request) -> int:
    """Return the last day for a study's next return that leaves room for the returns it still needs.

    A day gone by where no room is left; the day after the term's last where it needs none.
    """
    missing = request.limits.days_each - len(days)
    if missing <= 0:
        return request.last_day + 1
    if not days:
        return request.last_day - missing + 1
    if days[-1] + missing * gap_of(days) > request.last_day:
        return days[-1]
    return days[-1] + (request.last_day - days[-1]) // missing
