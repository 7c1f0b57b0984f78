"""The prices of a hand that is free to choose its strings.

Stage:    theory (pure)
In, Out:  a mapping read from the weights file; `FreeWeights`
Units:    points; those of lengths for every 30 mm. Negative points are preferences
Source:   fitted to published etudes and to technique figures; the weights file says how and what each is for
Not here: prices of notes whose strings and frets are settled (`costs`)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields


@dataclass(frozen=True, slots=True)
class FreeWeights:
    """Points for each thing a free hand does; the weights file says why."""

    off_2: float
    off_2_leaps: float
    off_3: float
    off_4_up: float
    off_4_down: float
    stretch: float
    order: float
    barre: float
    barre_other: float
    finger_2: float
    finger_3: float
    finger_4: float
    slant_3: float
    slant_4: float
    treble_3: float
    treble_3_low: float
    treble_4: float
    treble_4_low: float
    open: float
    open_high: float
    high_fret: float
    first_position: float
    high_position: float
    shift: float
    shift_way: float
    shift_rest: float
    shift_open: float
    shift_off_beat: float
    shift_leaps: float
    let_go: float
    let_go_early: float
    let_go_open: float
    held_stretch: float
    held_order: float
    held_barre: float
    held_barre_other: float
    keep_ringing: float
    cut_ringing: float
    cut_open: float
    lift_ringing: float
    ringing_stretch: float
    ringing_order: float
    ringing_barre: float
    ringing_barre_other: float
    again_same: float
    again_elsewhere: float
    again_other_finger: float
    slip: float
    slide_ringing: float
    hop: float
    hop_ringing: float
    jump: float
    cross: float
    spread: float
    string_leap: float
    string_step: float
    step_crosses: float
    leap_on_string: float
    open_step: float
    open_crossing: float


NAMES = tuple(item.name for item in fields(FreeWeights))


def free_weights_from(mapping: Mapping[str, object]) -> FreeWeights:
    """Return the weights a file's *mapping* holds: `name: points` or `name: {points, reason}`, hyphens in names.

    Raises ValueError naming every key that is missing, unknown or no number.

    >>> free_weights_from({"stretch": "wide"})
    Traceback (most recent call last):
    ...
    ValueError: stretch: found wide, expected a number; missing: again-elsewhere, again-other-finger, again-same, ...
    """
    found = {
        key.replace("-", "_"): value["points"] if isinstance(value, Mapping) and "points" in value else value
        for key, value in mapping.items()
    }
    wrong = [
        f"{name.replace('_', '-')}: found {value}, expected a number"
        for name, value in found.items()
        if name in NAMES and (isinstance(value, bool) or not isinstance(value, int | float))
    ]
    for word, keys in (("missing", set(NAMES) - found.keys()), ("unknown", found.keys() - set(NAMES))):
        if keys:
            wrong.append(f"{word}: {', '.join(sorted(key.replace('_', '-') for key in keys))}")
    if wrong:
        raise ValueError("; ".join(wrong))
    return FreeWeights(**{name: float(value) for name, value in found.items() if isinstance(value, int | float)})
