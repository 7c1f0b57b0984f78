"""Few strokes: the other notes are hammered on or pulled off.

Stage:    compose, answer 5 (pure)
Source:   common practice: a hammer-on goes to a higher fret of the same string, a pull-off to a lower one, 0 included;
          the first note of a slur is struck
Not here: whether the fretting fingers can do it (`compose`)
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.errors import NoSolution
from builder.strokes.stroke_kind import Given, StrokeKind, Struck, beginning, other
from builder.theory.practice import StrokeRule
from builder.theory.score import Stroke, Technique

EXAMPLE = """\
strokes: {rule: legato, pluck: [1], pluck-in: string, first: down}
"""


def strokes(struck: Sequence[Struck], rule: StrokeRule) -> tuple[Given, ...]:
    """Strike the notes `pluck` numbers, what opens or ends a burst, and where the hand shifts; slur the others."""
    given: list[Given] = []
    previous: Stroke | None = None
    before: Struck | None = None
    number = 0
    for k, one in enumerate(struck):
        number = 1 if _begins(before, one, rule) else number + 1
        moved = before is not None and one.notes[0].position != before.notes[0].position
        if before is None or moved or number in rule.pluck or one.first or one.lands or one.after_rest:
            previous = _stroke(one, previous, rule)
            given.append(Given((previous,) * len(one.notes)))
        else:
            given.append(Given((None,) * len(one.notes), True, _technique(k, before, one)))
        before = one
    return tuple(given)


def _begins(before: Struck | None, one: Struck, rule: StrokeRule) -> bool:
    """Whether the count of `pluck` begins anew with *one*."""
    if before is None or one.first or one.after_rest:
        return True
    if rule.pluck_in == "beat":
        return one.beat
    return rule.pluck_in == "string" and before.string != one.string


def _stroke(one: Struck, previous: Stroke | None, rule: StrokeRule) -> Stroke:
    """Down and up in turn, struck notes only counted; on the grid the slot says it."""
    if rule.after_rest == "grid":
        return "up" if one.slot % 2 else "down"
    return beginning(one, previous, rule) or other(previous or rule.first)


def _technique(moment: int, before: Struck, one: Struck) -> Technique:
    """How the note of this *moment* is reached from the one before."""
    if len(before.notes) > 1 or len(one.notes) > 1:
        raise NoSolution("notes that sound together can't be slurred", ("strokes", "rule"), (moment,))
    if before.string != one.string:
        raise NoSolution(
            f"a slur would go from string {before.string} to string {one.string}; pluck the first note on each string",
            ("strokes", "pluck"),
            (moment,),
        )
    low, high = before.notes[0].fret, one.notes[0].fret
    if low == high:
        reason = f"a slur would stay on fret {low}; pluck a note that is played again"
        raise NoSolution(reason, ("strokes", "pluck"), (moment,))
    return "hammer-on" if high > low else "pull-off"


STROKES = StrokeKind(
    kind="legato",
    summary="Few notes struck, the others hammered on or pulled off.",
    strokes=strokes,
    ends_alike=False,
    example=EXAMPLE,
    used=frozenset({"pluck", "pluck-in"}),
)
