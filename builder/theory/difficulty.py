"""Measured difficulty, score and level.

Stage:    theory (pure)
Units:    score 0…100, level 1…8; reach in mm, speed in onsets a second
Source:   our own model; its inputs follow what published work finds to matter (hand travel, spread and position:
          Heijink & Meulenbroek, J. Motor Behavior 34(4), 2002); the weights are data and not validated
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

TERMS = ("speed", "reach", "shifts", "string_changes", "rhythm", "notes_at_once", "longest_run", "key_signs")


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
class DifficultyModel:
    """A term for each of `TERMS`, and the lowest score of each level from 1 on."""

    terms: Mapping[str, Term]
    level_bounds: tuple[float, ...]

    def score(self, amounts: Mapping[str, float]) -> float:
        """The score of a study whose measured *amounts* are given for every term."""
        return round(sum(self.terms[name].value(amounts[name]) for name in TERMS), 2)

    def level(self, score: float) -> int:
        """The level a score belongs to."""
        return sum(score >= bound for bound in self.level_bounds)


def model_from(table: Mapping[str, Any]) -> DifficultyModel:
    """Build the model from the data file's plain values; raise KeyError or TypeError when the file is not whole."""
    terms = {name: Term(**table["terms"][name]) for name in TERMS}
    return DifficultyModel(terms, tuple(float(bound) for bound in table["levels"]))
