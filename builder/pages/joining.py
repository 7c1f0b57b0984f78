"""How written notes hang together: slurs, slides, bends.

Stage:    4 lay out (pure)
In, Out:  the written bars of a study; the same bars, every item that is joined to another saying so
Source:   a slur runs from the struck note to the last one reached without a stroke: common practice of both notations;
          no slur over a bend in tablature, where the arrow says it already: our own choice
Not here: which notes are slurred (`strokes`), how a slur is written (`engraving.lilypond_notes`)
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction

from builder.pages.notation import Arc, Item, Join, WrittenBar


def joined(bars: tuple[WrittenBar, ...]) -> tuple[WrittenBar, ...]:
    """Return *bars* with the joins of every voice; the bars themselves where nothing is joined."""
    voices = [[item for bar in bars for item in bar[number]] for number in range(len(bars[0]))] if bars else []
    if not any(_slurred(item) or _slides(item) for voice in voices for item in voice):
        return bars
    made = [{item.onset: join for item, join in zip(voice, _joins(voice), strict=True)} for voice in voices]
    return tuple(
        tuple(tuple(replace(item, join=made[number][item.onset]) for item in voice) for number, voice in enumerate(bar))
        for bar in bars
    )


def _slurred(item: Item) -> bool:
    return item.fresh and any(note.slurred for note in item.notes)


def _slides(item: Item) -> bool:
    return item.fresh and any(note.technique == "slide" for note in item.notes)


def _drawn_as_slur(item: Item) -> bool:
    """Whether the tablature shows by a slur that *item* is not struck."""
    return _slurred(item) and all(note.technique != "bend" for note in item.notes)


def _joins(items: Sequence[Item]) -> tuple[Join, ...]:
    """The join of each item of one voice, in order of time."""
    staff, tab = _arcs(items, _slurred), _arcs(items, _drawn_as_slur)
    found = []
    for k, item in enumerate(items):
        after = items[k + 1] if k + 1 < len(items) else None
        found.append(
            Join(
                staff=staff.get(item.onset, ""),
                tab=tab.get(item.onset, ""),
                slides=bool(item.notes) and after is not None and _slides(after),
                source=items[k - 1].onset if k and _slurred(item) and items[k - 1].notes else None,
            )
        )
    return tuple(found)


def _arcs(items: Sequence[Item], reached: Callable[[Item], bool]) -> dict[Fraction, Arc]:
    """Where slurs begin and end: from a struck note over all that are *reached* from it. A rest ends everything."""
    arcs: dict[Fraction, Arc] = {}
    head: Fraction | None = None  # the note a slur could begin at, or has come to
    under = False
    for item in items:
        if item.notes and not item.fresh:
            continue
        slurred = bool(item.notes) and reached(item) and head is not None
        if head is not None and slurred != under:
            arcs[head] = "(" if slurred else ")"
        under, head = slurred, item.onset if item.notes else None
    if under and head is not None:
        arcs[head] = ")"
    return arcs
