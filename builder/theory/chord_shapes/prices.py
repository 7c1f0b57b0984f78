"""The prices of chord shapes besides those of the fingers that hold them.

Stage:    theory (pure)
In, Out:  a mapping read from the prices' file; `ShapePrices`
Units:    points, those of the fingering weights, none below 0
Source:   the file says what each is for and where its size comes from
Not here: what the fretting hand pays (`fingering.weights`)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields

from builder.theory.points import points_in


@dataclass(frozen=True, slots=True)
class ShapePrices:
    """Points for each thing that makes a chord shape worse; the prices' file says why."""

    off_position: float
    off_place: float
    no_open: float
    missing: float
    thin: float
    spared: float
    unison: float
    blurred_second: float
    blurred_third: float
    fourth: float
    inverted: float


NAMES = tuple(item.name for item in fields(ShapePrices))


def shape_prices_from(mapping: Mapping[str, object]) -> ShapePrices:
    """Return the prices a file's *mapping* holds; raise ValueError naming every key missing, unknown or wrong.

    >>> shape_prices_from({"missing": -1})
    Traceback (most recent call last):
    ...
    ValueError: missing: found -1, expected a number of at least 0; missing: blurred-second, blurred-third, fourth, ...
    """
    found = points_in(mapping, NAMES, lambda _, value: None if _is_price(value) else "a number of at least 0")
    return ShapePrices(**{name: float(value) for name, value in found.items() if isinstance(value, int | float)})


def _is_price(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and value >= 0
