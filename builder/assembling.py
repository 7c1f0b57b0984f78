"""How many sides each sheet takes: guessed, engraved, and numbered anew until pages and numbers agree.

Stage:    6 assemble
In, Out:  the `Steps` of a book, and the sides its sheets are thought to take; every side in order, every sheet on paper
Not here: which sheets a book has and in what order (`book_sheets`), engraving them (`engraving`)

Numbers change texts (a contents page says where a study stands), texts may take more sides, and sides change numbers.
From the second round on a sheet's room only grows, and what it leaves blank becomes a page for notes. So the order, on
which all texts depend, comes to rest; a round costs only the pages whose numbers changed, as the rest is in the store.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from builder.engraving import EngravedSheet, Sheet
from builder.pages.order import NOTES, Leaf

FURNITURE = "furniture"  # the key of what is laid over the pages; it takes no side of its own

# Our own choice: the demo books settle in two or three. Sides that grow past this are a fault of ours, to be told.
MOST_ROUNDS = 12

Order = tuple[Leaf, ...]


@dataclass(frozen=True, slots=True)
class Steps:
    """What assembling asks of a book: the order for given sides, the sheets for an order, their engraving.

    *engraved* answers with the sheets it is given and with those that depend on no number.
    """

    order: Callable[[Mapping[str, int]], Order]
    sheets: Callable[[Order], Sequence[Sheet]]
    engraved: Callable[[Sequence[Sheet]], Mapping[str, EngravedSheet]]


def assemble(steps: Steps, sides: Mapping[str, int]) -> tuple[Order, Mapping[str, EngravedSheet]]:
    """Engrave everything at once, and again where a sheet took other sides than it had page numbers for.

    *sides* are those that every sheet is thought to take, as far as that is known. Raise RuntimeError for sheets whose
    sides grow on and on.
    """
    room, order, sheets = _guessed(steps, sides)
    for number in range(MOST_ROUNDS):
        pages = steps.engraved(sheets)
        found = {key: sheet.sides for key, sheet in pages.items() if key != FURNITURE}
        # A guess may have been too high: only what was seen on paper is kept free.
        needed = found if number == 0 else {key: max(room.get(key, 0), taken) for key, taken in found.items()}
        before, room = room, {**room, **needed}
        settled = _with_notes(steps.order(room), found)
        if settled == order:
            return order, pages
        order, sheets = settled, steps.sheets(settled)
    growing = ", ".join(f"{key} {before[key]} to {taken}" for key, taken in room.items() if taken != before.get(key))
    raise RuntimeError(f"page numbers did not settle in {MOST_ROUNDS} rounds; still changing: {growing or 'none'}")


def _guessed(steps: Steps, sides: Mapping[str, int]) -> tuple[dict[str, int], Order, Sequence[Sheet]]:
    """The sides each sheet says it will take before it is engraved; the order for these, and its sheets."""
    room = dict(sides)
    for _ in range(MOST_ROUNDS):
        order = steps.order(room)
        sheets = steps.sheets(order)
        said = {sheet.key: sheet.bodies[0].sides or sheet.bodies[0].likely for sheet in sheets}
        said = {key: max(room.get(key, 1), taken) for key, taken in said.items() if key != FURNITURE}
        if said.items() <= room.items():
            break
        room |= said
    return room, order, sheets


def _with_notes(order: Order, found: Mapping[str, int]) -> Order:
    """*order* with a page for notes on every side that its sheet was given and does not fill."""
    return tuple(
        replace(leaf, sheet=NOTES, part=0) if leaf.part >= found.get(leaf.sheet, leaf.part + 1) else leaf
        for leaf in order
    )
