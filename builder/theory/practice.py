"""What an exercise says about the other hand, the tempo and the checkpoints; tempo steps.

Stage:    theory (pure)
Units:    tempo is beats a minute, a beat is the meter's
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from builder.theory.fretboard import Place
from builder.theory.score import Stroke


@dataclass(frozen=True, slots=True)
class StrokeRule:
    """The answer to "how does the other hand play": *rule* is a registered kind.

    *pluck* numbers the notes that `legato` plucks, counted anew in each *pluck_in*; *order* are the letters that
    `fingers` takes in turn; *pattern* is one entry a slot of `strum`, `miss` = the hand passes without touching.
    """

    rule: str = "alternate"
    first: Literal["down", "up"] = "down"
    after_rest: Literal["reset", "carry", "grid"] = "reset"
    ends_same: bool = False
    pluck: tuple[int, ...] = (1,)
    pluck_in: Literal["string", "beat", "burst"] = "string"
    order: tuple[Literal["p", "i", "m", "a"], ...] = ("i", "m")
    pattern: tuple[Literal["down", "up", "miss"], ...] = ("down",)


@dataclass(frozen=True, slots=True)
class Override:
    """What the exercise prescribes for one note: the *note*-th of its voice in *bar*, both from 1.

    *start* None = in every study; *number* is the override's own, from 0, to find it in the spec.
    """

    number: int
    bar: int
    note: int
    voice: int = 1
    start: Place | None = None
    finger: int | None = None
    string: int | None = None
    stroke: Stroke | None = None

    def key(self, part: str) -> tuple[str | int, ...]:
        """The path of one of its keys in the spec."""
        return ("overrides", self.number, part)


@dataclass(frozen=True, slots=True)
class TempoRule:
    """*steps* marks from *low* to *high*, evenly spaced or in equal ratios."""

    low: int = 60
    high: int = 108
    steps: int = 5
    spacing: Literal["even", "ratio"] = "even"


@dataclass(frozen=True, slots=True)
class CheckpointRule:
    """Where cues stand: at the rests, in a bar of rest after every *bars* bars, or nowhere; *cues* None = rotate."""

    at: Literal["rests", "bars", "none"] = "rests"
    bars: int | None = None
    cues: tuple[str, ...] | None = None


def half_up(value: Fraction) -> int:
    """Round to the nearest whole number, halves upwards."""
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


def tempo_steps(rule: TempoRule) -> tuple[int, ...]:
    """Return the metronome marks, slow to fast; the first and last are exact.

    >>> tempo_steps(TempoRule(60, 120, 7, "ratio"))
    (60, 67, 76, 85, 95, 107, 120)
    """
    if rule.steps == 1:
        return (rule.low,)
    gaps = rule.steps - 1
    if rule.spacing == "even":
        return tuple(half_up(rule.low + Fraction((rule.high - rule.low) * k, gaps)) for k in range(rule.steps))
    return tuple(int(rule.low * (rule.high / rule.low) ** (k / gaps) + 0.5) for k in range(rule.steps))
