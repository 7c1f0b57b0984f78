"""The prices of the fretting hand.

Stage:    theory (pure)
In, Out:  a mapping read from the weights file; `Weights`
Units:    points; those of lengths for every 30 mm. Negative points are preferences
Source:   the weights file says what each is for and where its size comes from
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields

from builder.theory.points import points_in


@dataclass(frozen=True, slots=True)
class Weights:
    """Points for each thing a hand does; the weights file says why."""

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
    figure_2: float
    figure_3: float
    figure_4: float
    figure_12: float
    figure_23: float
    figure_34: float
    figure_squeeze: float
    figure_gesture: float
    figure_together: float
    figure_stretched: float
    figure_off: float
    figure_narrow: float
    figure_walk: float
    figure_lean: float
    figure_slide: float
    figure_jump: float
    figure_roll: float
    figure_hop: float
    figure_shift: float
    figure_shift_fret: float
    figure_shift_on_string: float
    figure_shift_open: float
    figure_regrip: float
    figure_rest_fret: float
    grip_above: float
    grip_below: float
    grip_tip: float
    grip_fifth: float
    grip_fifth_other: float
    grip_barre: float
    grip_barre_string: float
    grip_barre_other: float
    grip_arched: float
    grip_against: float
    grip_spread: float
    grip_away: float
    grip_travel: float
    grip_kept: float
    grip_slid: float


NAMES = tuple(item.name for item in fields(Weights))


def weights_from(mapping: Mapping[str, object]) -> Weights:
    """Return the weights a file's *mapping* holds: `name: points` or `name: {points, reason}`, hyphens in names.

    Raises ValueError naming every key that is missing, unknown or no number.

    >>> weights_from({"stretch": "wide"})
    Traceback (most recent call last):
    ...
    ValueError: stretch: found wide, expected a number; missing: again-elsewhere, again-other-finger, again-same, ...
    """
    found = points_in(mapping, NAMES, _expected)
    return Weights(**{name: float(value) for name, value in found.items() if isinstance(value, int | float)})


def _expected(name: str, value: object) -> str | None:
    """What is wrong with a weight. Shapes and grips are only ever paid for, never a preference."""
    counts_up = name.startswith(("figure_", "grip_"))
    if isinstance(value, int | float) and not isinstance(value, bool) and (value >= 0 or not counts_up):
        return None
    return f"a number{' of at least 0' if counts_up else ''}"
