"""Points out of a data file in which every price has its name and its reason.

Stage:    theory (pure)
In, Out:  a mapping `name: points` or `name: {points, reason}`, hyphens in names; points by field name, or ValueError
Not here: what the points are for (the files), which ones there are (`fingering.weights`, `chord_shapes.prices`)
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping

Expected = Callable[[str, object], str | None]
"""What is expected of a name's points in words; None when they are right."""


def points_in(mapping: Mapping[str, object], names: Collection[str], expected: Expected) -> dict[str, object]:
    """Return the points of each of *names*, checked; raise ValueError naming all that is wrong, missing or unknown.

    >>> points_in({"barre-tip": {"points": 14, "reason": "the index lies flat"}}, ("barre_tip",), lambda *_: None)
    {'barre_tip': 14}
    """
    found = {
        str(key).replace("-", "_"): value["points"] if isinstance(value, Mapping) and "points" in value else value
        for key, value in mapping.items()
    }
    wrong = [
        f"{_written(name)}: found {value}, expected {words}"
        for name, value in found.items()
        if name in names and (words := expected(name, value))
    ]
    for word, keys in (("missing", set(names) - found.keys()), ("unknown", found.keys() - set(names))):
        if keys:
            wrong.append(f"{word}: {', '.join(sorted(map(_written, keys)))}")
    if wrong:
        raise ValueError("; ".join(wrong))
    return found


def _written(name: str) -> str:
    return name.replace("_", "-")
