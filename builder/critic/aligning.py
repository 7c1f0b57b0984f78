"""Two sequences laid side by side with the fewest changes.

Stage:    page critic
In, Out:  what is read and what is expected, in order; pairs
Source:   R. A. Wagner and M. J. Fischer, *The String-to-String Correction Problem*, Journal of the ACM 21(1), 1974

A lost or added note must not make all that follow look wrong.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

Found = TypeVar("Found")
Wanted = TypeVar("Wanted")

_EVEN = 1e-9  # costs are sums of a few tenths


def aligned(
    found: Sequence[Found],
    wanted: Sequence[Wanted],
    same: Callable[[Found, Wanted], bool],
    spare: Callable[[Found], bool],
) -> list[tuple[Found | None, Wanted | None]]:
    """Return pairs in order; None where one side lacks its partner. What is *spare* may lack one for nothing."""
    if len(found) == len(wanted) and all(map(same, found, wanted)):
        return list(zip(found, wanted, strict=True))
    kept = [one for one in found if not spare(one)]
    if len(kept) == len(wanted) and all(map(same, kept, wanted)):
        return list(zip(kept, wanted, strict=True))
    return _cheapest(found, wanted, same, spare)


def _cheapest(
    found: Sequence[Found],
    wanted: Sequence[Wanted],
    same: Callable[[Found, Wanted], bool],
    spare: Callable[[Found], bool],
) -> list[tuple[Found | None, Wanted | None]]:
    wide = len(wanted) + 1
    drop = [0.0 if spare(one) else 1.0 for one in found]
    costs = [[float(column) for column in range(wide)]]
    for row, one in enumerate(found):
        before = costs[-1]
        line = [before[0] + drop[row]]
        for column, other in enumerate(wanted):
            # A change costs a hair less than a loss and an addition together, and more than either.
            change = before[column] + (0.0 if same(one, other) else 1.1)
            line.append(min(change, before[column + 1] + drop[row], line[column] + 1.0))
        costs.append(line)
    pairs: list[tuple[Found | None, Wanted | None]] = []
    row, column = len(found), len(wanted)
    while row or column:
        here = costs[row][column]
        # Of equal ways the one that drops the later ones: what was added most often stands behind what it repeats.
        if row and abs(here - costs[row - 1][column] - drop[row - 1]) < _EVEN:
            row -= 1
            if drop[row]:
                pairs.append((found[row], None))
        elif column and abs(here - costs[row][column - 1] - 1.0) < _EVEN:
            column -= 1
            pairs.append((None, wanted[column]))
        else:
            row, column = row - 1, column - 1
            pairs.append((found[row], wanted[column]))
    return pairs[::-1]
