"""In what order the studies of one sitting are played.

Stage:    curriculum (pure)
In, Out:  the studies that come up on a day and how many turns there are; a study for each turn, or None
Units:    scores are the studies' own, those of their first tempo steps, whatever step is played today
Source:   shared/planning.yaml: rows, frame, turns
Method:   depth-first search for given numbers of turns, the study longest unplayed first; a branch is left as soon as
          one circle of look-alikes has more turns left than the others can keep apart. The numbers of turns are tried
          from the evenest on. Exact for a sitting of few turns; a longer search is given up after some steps a turn
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations, pairwise, product
from statistics import median

from builder.curriculum.item import Item, Likeness

# Up to so many turns every share is tried: eight turns in four studies have 35, twelve would have hundreds.
FEW_TURNS = 8

# Steps for each turn of a long sitting before its search is given up: our own choice, hundredths of a second in all.
# An order is mostly found without a single step back.
_STEPS_A_TURN = 5


@dataclass(frozen=True, slots=True)
class Company:
    """Who is like whom in a sitting, and how many look-alikes may follow each other."""

    likeness: Likeness
    row: int

    def follow(self, one: Item, other: Item) -> bool:
        """Say whether *other* after *one* goes on with a row of look-alikes."""
        return other.id in self.likeness.to[one.id]

    def circles(self, items: Sequence[Item]) -> tuple[frozenset[str], ...]:
        """The circles that *items* form."""
        names = frozenset(item.id for item in items)
        return tuple({circle & names: None for circle in self.likeness.circles if circle & names})


@dataclass(slots=True)
class _Search:
    """An order in the making: the turns that are *left*, who has *played*, who comes *last*."""

    items: Sequence[Item]
    company: Company
    circles: Sequence[frozenset[str]]
    left: dict[str, int]
    played: list[Item]
    last: Item
    steps: int  # how many more may be taken
    dead: set[tuple[object, ...]] = field(default_factory=set)


def order_of(items: Sequence[Item], turns: int, company: Company, fresh: frozenset[str]) -> tuple[Item, ...] | None:
    """Return who plays when, every study at least once; None where no order keeps the rules.

    *fresh* are the studies that are new on this day: they neither open nor close it where others can.
    """
    if not items or len(items) > turns:
        return None
    circles = company.circles(items)
    steps = sys.maxsize if turns <= FEW_TURNS else _STEPS_A_TURN * turns
    for counts in _turn_counts(items, turns, fresh, circles, company.row):
        for first, last in _frames(items, counts, fresh):
            if last is None:
                return (first,)
            left = dict(counts)
            left[first.id] -= 1
            left[last.id] -= 1
            search = _Search(items, company, circles, left, [first], last, steps)
            if _can_part(search) and _go_on(search):
                return (*search.played, last)
            steps = search.steps
    return None


def _turn_counts(
    items: Sequence[Item], turns: int, fresh: frozenset[str], circles: Sequence[frozenset[str]], row: int
) -> Iterator[dict[str, int]]:
    """How many turns each study may take, the evenest first: spare turns go to the new, then to the easy.

    No circle takes more than the others can keep apart, were it at the sitting's ends or only between them. Of few
    turns every share there is comes last.
    """
    by_score = sorted(items, key=lambda item: (item.score, item.id))
    eager = sorted(by_score, key=lambda item: item.id not in fresh)
    seen: list[dict[str, int]] = []
    for edge, order in product((1, -1), (eager, by_score, by_score[:1])):
        counts = _filled(items, order, turns, row * (turns + edge) // (row + 1), circles)
        if counts is not None and counts not in seen:
            seen.append(counts)
            yield counts
    if turns <= FEW_TURNS:
        for cuts in combinations(range(1, turns), len(items) - 1):
            lengths = (later - sooner for sooner, later in pairwise((0, *cuts, turns)))
            yield {item.id: length for item, length in zip(items, lengths, strict=True)}


def _filled(
    items: Sequence[Item], order: Sequence[Item], turns: int, most: int, circles: Sequence[frozenset[str]]
) -> dict[str, int] | None:
    """A turn for each, the others one by one to who has fewest, the first in *order* where several have.

    None where every circle of *order* has its *most* before all turns are dealt.
    """
    counts = {item.id: 1 for item in items}
    taken = [len(circle) for circle in circles]
    within = {item.id: [n for n, circle in enumerate(circles) if item.id in circle] for item in items}
    for _ in range(turns - len(items)):
        free = [item for item in order if all(taken[number] < most for number in within[item.id])]
        if not free:
            return None
        taker = min(free, key=lambda item: counts[item.id])
        counts[taker.id] += 1
        for number in within[taker.id]:
            taken[number] += 1
    return counts


def _frames(
    items: Sequence[Item], counts: Mapping[str, int], fresh: frozenset[str]
) -> Iterator[tuple[Item, Item | None]]:
    """Who may open and who may close the sitting: none harder than its middle, counted by turns and by studies.

    A sitting of one turn has no close.
    """
    by_turn = median(item.score for item in items for _ in range(counts[item.id]))
    middle = min(by_turn, median(item.score for item in items))
    easy = sorted(
        (item for item in items if item.score <= middle), key=lambda item: (item.id in fresh, item.score, item.id)
    )
    if sum(counts.values()) == 1:
        yield easy[0], None
        return
    pairs = [(a, b) for a, b in product(easy, easy) if a is not b or counts[a.id] > 1]
    yield from sorted(pairs, key=lambda pair: (pair[0].id in fresh, pair[1].id in fresh, pair[0] is pair[1]))


def _go_on(search: _Search) -> bool:
    """Play the turns that are left; say whether there was a way, which then stands in *played*."""
    played, left, company = search.played, search.left, search.company
    if not any(left.values()):
        return _run([*played, search.last], company) <= company.row
    state = (*left.values(), played[-1].id, _run(played, company))
    search.steps -= 1
    if state in search.dead or search.steps < 0:
        return False
    for item in _by_wait(search):
        played.append(item)
        left[item.id] -= 1
        if _run(played, company) <= company.row and _can_part(search) and _go_on(search):
            return True
        left[item.id] += 1
        played.pop()
    search.dead.add(state)
    return False


def _by_wait(search: _Search) -> list[Item]:
    """Who still has turns: those with most left over first, then those longest unplayed, then the easy."""
    left = search.left
    since = {item.id: number for number, item in enumerate(search.played)}
    again = search.played[-1].id
    return sorted(
        (item for item in search.items if left[item.id]),
        key=lambda item: (item.id == again, -left[item.id], since.get(item.id, -1), item.score, item.id),
    )


def _run(played: Sequence[Item], company: Company) -> int:
    """How many turns at the end of *played* are each like the one before."""
    count = 1
    for later, sooner in pairwise(reversed(played)):
        if not company.follow(sooner, later):
            break
        count += 1
    return count


def _can_part(search: _Search) -> bool:
    """Whether every circle's remaining turns fit between those of the others: a row in each gap, less at the edges."""
    total, row = sum(search.left.values()), search.company.row
    for circle in search.circles:
        count = sum(search.left[name] for name in circle)
        room = row * (total - count + 1) - (search.last.id in circle)
        for item in reversed(search.played):
            if item.id not in circle:
                break
            room -= 1
        if count > max(0, room):
            return False
    return True
