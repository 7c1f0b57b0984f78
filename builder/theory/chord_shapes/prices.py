"""The prices of holding, sounding and changing chords.

Stage:    theory (pure)
In, Out:  a mapping read from the prices' file; `ShapePrices`
Units:    whole points, none below 0; `kept` and `slid` are saved, all others are paid
Source:   the file says what each is for and where its size comes from
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields

from builder.theory.points import points_in


@dataclass(frozen=True, slots=True)
class ShapePrices:
    """Points for each thing that makes a chord shape harder or worse; the prices' file says why."""

    finger_2: int
    finger_3: int
    finger_4: int
    above: int
    below: int
    barre_tip: int
    barre_fifth: int
    barre_fifth_other: int
    barre: int
    barre_string: int
    barre_other: int
    arched: int
    against: int
    spread: int
    stretched: int
    away_from_open: int
    off_position: int
    off_place: int
    no_open: int
    missing: int
    thin: int
    spared: int
    unison: int
    blurred_second: int
    blurred_third: int
    fourth: int
    inverted: int
    travel: int
    kept: int
    slid: int

    def finger(self, number: int) -> int:
        """Return the price of a finger; the index, which all are counted against, has none."""
        return (0, self.finger_2, self.finger_3, self.finger_4)[number - 1]


NAMES = tuple(item.name for item in fields(ShapePrices))


def shape_prices_from(mapping: Mapping[str, object]) -> ShapePrices:
    """Return the prices a file's *mapping* holds; raise ValueError naming every key missing, unknown or wrong.

    >>> shape_prices_from({"barre": -1})
    Traceback (most recent call last):
    ...
    ValueError: barre: found -1, expected a whole number of at least 0; missing: above, against, arched, ...
    """
    found = points_in(mapping, NAMES, lambda _, value: None if _is_price(value) else "a whole number of at least 0")
    return ShapePrices(**{name: value for name, value in found.items() if isinstance(value, int)})


def _is_price(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and value >= 0
