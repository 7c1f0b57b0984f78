"""Down and up over the strings as a pattern says; where it misses, the hand passes and the chord rings on.

Stage:    compose, answer 5 (pure)
Source:   common practice; one entry of the pattern is a slot of `notes-per-beat`
Not here: which slots are struck: `chord-changes` takes them from the same pattern
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.errors import NoSolution
from builder.strokes.stroke_kind import Given, StrokeKind, Struck
from builder.theory.practice import StrokeRule
from builder.theory.score import Stroke

EXAMPLE = """\
strokes: {rule: strum, pattern: [down, down, up, miss, up, down, up, miss]}
"""


def strokes(struck: Sequence[Struck], rule: StrokeRule) -> tuple[Given, ...]:
    """Take the stroke that the material already has, else the pattern's entry of the slot, counted from the barline."""
    return tuple(Given((_stroke(k, one, rule),) * len(one.notes)) for k, one in enumerate(struck))


def _stroke(moment: int, one: Struck, rule: StrokeRule) -> Stroke:
    planned = one.notes[0].pluck
    if planned in ("down", "up"):
        return planned
    entry = rule.pattern[one.slot % len(rule.pattern)]
    if entry == "miss":
        number = one.slot % len(rule.pattern) + 1
        raise NoSolution(
            f"entry {number} of the pattern misses where a note is struck", ("strokes", "pattern"), (moment,)
        )
    return entry


STROKES = StrokeKind(
    kind="strum",
    summary="Down and up over the strings as a pattern says.",
    strokes=strokes,
    ends_alike=False,
    example=EXAMPLE,
    needed=("pattern",),
    used=frozenset({"pattern"}),
)
