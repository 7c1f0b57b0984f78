"""The whole neck: every note where hand and ear find it easiest.

Stage:    compose, answer 4 (pure)
Source:   the least-cost path of `theory.fingering`
Not here: prices and the search (`theory.fingering`)
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from builder.paths.path import Group, Path, Places, Walk, any_string
from builder.theory.fingering import FreeNote, Moment, NeckLimits, finger_freely
from builder.theory.fretboard import Place
from builder.theory.neck import NeckRule, Player

EXAMPLE = """\
neck: {path: free, shift-in-burst: true, shift-on: [4], start: {note: G, places: each-string}}
"""

# Notes whose times the material does not know are taken as eighths in a row, sets as parted by a rest: our own choice,
# only their order and the rests matter to the hand.
_USUAL = Fraction(1, 8)
_BETWEEN_SETS = Fraction(1, 2)


def walk(groups: tuple[Group, ...], start: Place, rule: NeckRule, player: Player) -> Walk:
    """Place every note at least cost; without shifts within a burst, each set lies in one position where it can."""
    together = _together(groups, start, rule, player)
    if rule.shift_in_burst or any(group.line for group in groups):
        return Walk(together, None)
    # From where the whole passage would begin it, a set is placed again for a hand that stays.
    stayed = (
        _together((group,), min(places[0], key=player.instrument.sound), rule, player, shift_on=())[0]
        for group, places in zip(groups, together, strict=True)
    )
    return Walk(tuple(stayed), None)


def _together(
    groups: Sequence[Group], first: Place | None, rule: NeckRule, player: Player, shift_on: tuple[int, ...] | None = None
) -> Places:
    """The places of *groups* as one passage."""
    moments = [moment for group in _timed(groups, rule, player) for moment in group]
    limits = NeckLimits(rule.open_strings, first, rule.shift_on if shift_on is None else shift_on, lets_go=True)
    found = iter(finger_freely(moments, player.instrument, player.hand, player.weights, limits).places)
    return tuple(tuple(next(found) for _ in group.moments) for group in groups)


def _timed(groups: Sequence[Group], rule: NeckRule, player: Player) -> list[list[Moment]]:
    """The moments of each group as the hand's engine takes them."""
    now = Fraction(0)
    found = []
    for group in groups:
        times = group.times or tuple((now + k * _USUAL, _USUAL) for k in range(len(group.moments)))
        found.append(
            [
                Moment(onset, tuple(_note(midi, fixed, length, rule, player) for midi, fixed in zip(*pair, strict=True)))
                for pair, (onset, length) in zip(zip(group.moments, group.strings, strict=True), times, strict=True)
            ]
        )
        now = max(onset + length for onset, length in times) + _BETWEEN_SETS
    return found


def _note(midi: int, fixed: int | None, length: Fraction, rule: NeckRule, player: Player) -> FreeNote:
    strings = any_string(rule, player.instrument) if fixed is None else (fixed,)
    return FreeNote(midi, length, strings)


PATH = Path(
    kind="free",
    summary="Over the whole neck: every note where the least-cost path of the hand leads.",
    counted=False,
    walk=walk,
    start_strings=any_string,
    example=EXAMPLE,
)
