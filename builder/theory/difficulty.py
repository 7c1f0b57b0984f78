"""Measured difficulty, score and level.

Stage:    theory (pure)
Units:    score 0…100, level 1…8; reach in mm, speed in onsets a second, holds in seconds
Source:   our own model; its inputs follow what published work finds to matter (hand travel, spread and position:
          Heijink & Meulenbroek, J. Motor Behavior 34(4), 2002; the index moves most on its own of all fingers: Ingram,
          Körding, Howard & Wolpert, Exp. Brain Research 188, 2008); the weights are data and not validated
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

BASIC_TERMS = ("speed", "reach", "shifts", "string_changes", "rhythm", "notes_at_once", "longest_run", "key_signs")
"""What every study is judged by."""

HAND_TERMS = (
    "weak_pairs",
    "held",
    "finger_moves",
    "inside_crossings",
    "outside_crossings",
    "string_skips",
    "thumb_moves",
    "finger_repeats",
    "slurs",
    "bends",
    "slides",
    "harmonics",
)
"""What one hand does besides; worth nothing where it doesn't, so that the basic terms alone still give their score."""

TERMS = BASIC_TERMS + HAND_TERMS

_MOST = 100.0


@dataclass(frozen=True, slots=True)
class Term:
    """Points grow from 0 at *zero* to *points* at *full* and stay there."""

    points: float
    zero: float
    full: float

    def value(self, amount: float) -> float:
        """The points for *amount*."""
        return self.points * min(1.0, max(0.0, (amount - self.zero) / (self.full - self.zero)))


@dataclass(frozen=True, slots=True)
class Part:
    """What one term adds to a score."""

    term: str
    points: float


@dataclass(frozen=True, slots=True)
class DifficultyModel:
    """A term for each of `TERMS`, the lowest score of each level from 1 on, and how weak pairs of fingers are.

    *pairs* holds 0…1 for each two fingers, the lower first; *onward* is what is left of it where the fingers go on in
    the direction they came from.
    """

    terms: Mapping[str, Term]
    level_bounds: tuple[float, ...]
    pairs: Mapping[tuple[int, int], float]
    onward: float

    def parts(self, amounts: Mapping[str, float]) -> tuple[Part, ...]:
        """What each term adds, in the order of `TERMS`; a hand's term without an amount adds nothing."""
        given = dict.fromkeys(HAND_TERMS, 0.0) | dict(amounts)
        return tuple(Part(name, self.terms[name].value(given[name])) for name in TERMS)

    def score(self, amounts: Mapping[str, float]) -> float:
        """The score of a study whose measured *amounts* are given for all `BASIC_TERMS`."""
        return total(self.parts(amounts))

    def level(self, score: float) -> int:
        """The level a score belongs to."""
        return sum(score >= bound for bound in self.level_bounds)

    def weakness(self, finger: int, other: int, turns: bool) -> float:
        """How weak *other* is right after *finger*, 0…1; *turns*: the fingers change direction between them."""
        if finger == other:
            return 0.0
        return self.pairs[min(finger, other), max(finger, other)] * (1.0 if turns else self.onward)


def total(parts: tuple[Part, ...]) -> float:
    """The score that *parts* add up to; the hands' terms can't lift it over 100."""
    return min(_MOST, round(sum(part.points for part in parts), 2))


def model_from(table: Mapping[str, Any]) -> DifficultyModel:
    """Build the model from the data file's plain values; raise KeyError or TypeError when the file is not whole."""
    terms = {name: Term(**table["terms"][name]) for name in TERMS}
    pairs = {(a, b): float(table["finger-pairs"][f"{a}-{b}"]) for a in range(1, 4) for b in range(a + 1, 5)}
    bounds = tuple(float(bound) for bound in table["levels"])
    return DifficultyModel(terms, bounds, pairs, float(table["onward"]))
