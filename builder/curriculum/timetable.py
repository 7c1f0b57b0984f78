"""The minutes and days of a term, before anything is put into them.

Stage:    curriculum (pure)
In, Out:  a `TermRule` and the limits; `Slot`s, one a practice day
Units:    minutes of playing: breaks come on top of them; days of the week 1…7, weeks from 1
Source:   shared/planning.yaml: load, breaks, free, turns
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from builder.curriculum.limits import Limits


@dataclass(frozen=True, slots=True)
class TermRule:
    """What a term is asked to be: *minutes* of playing on each of *days* days in each of *weeks* weeks.

    *first_week* is what the first week may hold, None = a gentle start of our own; *turn* None = the usual minutes.
    *required* names the studies that must come up, the most important first.
    """

    weeks: int
    days: int
    minutes: int
    first_week: int | None = None
    turn: int | None = None
    required: tuple[str, ...] = ()

    @property
    def given(self) -> int:
        """The minutes given to the whole term."""
        return self.weeks * self.days * self.minutes


@dataclass(frozen=True, slots=True)
class Slot:
    """A practice day: the minutes of each of its turns, and after which turns (from 1) a break comes."""

    week: int
    day: int
    turns: tuple[int, ...]
    breaks_after: tuple[int, ...]


def slots(rule: TermRule, limits: Limits) -> tuple[Slot, ...]:
    """Return the practice days of a term in order."""
    found = []
    for week, minutes in enumerate(week_minutes(rule, limits), start=1):
        for day, share in zip(practice_days(rule.days, limits), _shares(minutes, rule.days), strict=True):
            turns = turn_minutes(share, rule.turn or limits.turn_minutes)
            found.append(Slot(week, day, turns, breaks_after(turns, limits.stretch_minutes)))
    return tuple(found)


def practice_days(days: int, limits: Limits) -> tuple[int, ...]:
    """Return the days of the week to play on, spread so that free days lie apart.

    Raises ValueError when none would be left free.
    """
    if not 1 <= days <= 7 - limits.free_days:
        raise ValueError(f"{days} practice days leave fewer than {limits.free_days} free")
    return tuple(1 + 7 * number // days for number in range(days))


def week_minutes(rule: TermRule, limits: Limits) -> tuple[int, ...]:
    """Return what each week may hold: rising from the first week to *days* × *minutes*.

    Every week is counted from the whole minutes of the one before and rounded down, so that the printed numbers
    themselves keep to the limit: 60, 69, 79, 90, 100 for a full week of 100.
    """
    full = rule.days * rule.minutes
    if rule.first_week is not None:
        return _rising(min(full, rule.first_week), full, rule.weeks, limits)
    gentle = _rising(full, full, rule.weeks, limits)
    for rises in range(1, rule.weeks):
        first = -(-full // (1 + limits.rise) ** rises)
        weeks = _rising(int(first), full, rule.weeks, limits)
        if sum(weeks) < (1 - limits.ramp_loss) * rule.given:
            break
        gentle = weeks
    return gentle


def _rising(first: int, full: int, weeks: int, limits: Limits) -> tuple[int, ...]:
    """So many weeks from *first* towards *full*, each as far above the one before as it may be."""
    found = [first]
    while len(found) < weeks:
        found.append(min(full, int(found[-1] * (1 + limits.rise))))
    return tuple(found)


def _shares(minutes: int, days: int) -> tuple[int, ...]:
    """*minutes* dealt evenly, the fuller days first."""
    return tuple(minutes // days + (number < minutes % days) for number in range(days))


def turn_minutes(minutes: int, turn: int) -> tuple[int, ...]:
    """Deal *minutes* into turns of at least *turn* minutes, the longer ones first.

    >>> turn_minutes(20, 3), turn_minutes(2, 3)
    ((4, 4, 3, 3, 3, 3), (2,))
    """
    return _shares(minutes, max(1, minutes // turn))


def breaks_after(turns: Sequence[int], longest: int) -> tuple[int, ...]:
    """After which turns, counted from 1, a break comes: as few as keep every stretch within *longest* minutes, evenly.

    >>> breaks_after((3,) * 15, 25)
    (8,)
    """
    best = next(
        wide for wide in range(max(1, -(-sum(turns) // longest)), len(turns) + 1) if _fits(turns, wide, longest)
    )
    return _cuts(turns, best)


def _cuts(turns: Sequence[int], stretches: int) -> tuple[int, ...]:
    """The turns after which *turns* are cut into so many stretches, each cut as near its share as a turn allows."""
    total, played = sum(turns), 0
    cuts: list[int] = []
    for number, (minutes, following) in enumerate(pairwise(turns), start=1):
        # Twice everything, so that half of the following turn stays a whole number.
        if stretches * (2 * (played + minutes) + following) > 2 * total * (len(cuts) + 1):
            cuts.append(number)
        played += minutes
    return tuple(cuts)


def _fits(turns: Sequence[int], stretches: int, longest: int) -> bool:
    """Whether no stretch is longer than *longest*; a single turn that is can't be cut."""
    edges = (0, *_cuts(turns, stretches), len(turns))
    parts = [turns[low:high] for low, high in pairwise(edges)]
    return all(sum(part) <= longest or len(part) == 1 for part in parts)
