"""The rules of planning as values, with what speaks for each.

Stage:    curriculum (pure)
In, Out:  the plain values of shared/planning.yaml; `Limits`
Units:    minutes of playing, practice days, score points
Source:   beside each rule in the data file, and how strong it is
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

RULES = (
    "spacing",
    "fresh",
    "interference",
    "growing",
    "turns",
    "rows",
    "frame",
    "load",
    "breaks",
    "free",
    "steps",
)
"""The rules in the order in which a plan prints them."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """A rule of the plan in words, what speaks for it and how strongly."""

    id: str
    rule: str
    evidence: str
    strength: str


@dataclass(frozen=True, slots=True)
class Limits:
    """The numbers a plan goes by; the names follow the rules of the data file."""

    days_each: int
    fresh: int
    alike_within: float
    longest_gap: int
    turn_minutes: int
    row: int
    rise: Fraction
    stretch_minutes: int
    break_minutes: int
    free_days: int
    growth: int
    turns_each: int
    ramp_loss: Fraction
    used_share: Fraction
    evidence: tuple[Evidence, ...]


def limits_from(table: Mapping[str, Any]) -> Limits:
    """Build the limits from the data file's plain values; raise KeyError where the file is not whole."""
    rules = table["rules"]
    value = {name: rule["value"] for name, rule in rules.items() if "value" in rule}
    return Limits(
        days_each=value["spacing"],
        fresh=value["fresh"],
        alike_within=float(value["interference"]),
        longest_gap=value["growing"],
        turn_minutes=value["turns"],
        row=value["rows"],
        rise=Fraction(value["load"], 100),
        stretch_minutes=value["breaks"],
        break_minutes=table["break-minutes"],
        free_days=value["free"],
        growth=table["growth"],
        turns_each=table["turns-each"],
        ramp_loss=Fraction(str(table["ramp-loss"])),
        used_share=Fraction(str(table["used-share"])),
        evidence=tuple(
            Evidence(name, rules[name]["rule"], rules[name]["evidence"], rules[name]["strength"]) for name in RULES
        ),
    )
