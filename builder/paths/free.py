"""The whole neck: every note where hand and ear find it easiest.

Stage:    compose, answer 4 (pure)
Source:   the least-cost path of `theory.fingering`
Not here: prices and the search (`theory.fingering`)
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from builder.errors import NoSolution
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
    """Place every note at least cost; without shifts within a burst, the hand moves in silence only.

    A line's bursts are not known here: where no hand can stay for all of it, it may move, and the fingers will tell.
    """
    if rule.shift_in_burst or not any(group.line for group in groups):
        return Walk(_placed(groups, start, rule, player, rule.shift_in_burst), None)
    try:
        return Walk(_placed(groups, start, rule, player, False), None)
    except NoSolution:
        return Walk(_placed(groups, start, rule, player, True), None)


def _placed(groups: Sequence[Group], first: Place, rule: NeckRule, player: Player, shifts: bool) -> Places:
    """The places of *groups* as one passage, sets parted by a rest."""
    moments = [moment for group in _timed(groups, rule, player) for moment in group]
    limits = NeckLimits(
        open_strings=rule.open_strings,
        first=first,
        shift_in_burst=shifts,
        shift_on=rule.shift_on,
        lets_go=True,
        figures=not _holds_over(moments),
    )
    found = iter(finger_freely(moments, player.instrument, player.hand, player.weights, limits).places)
    return tuple(tuple(next(found) for _ in group.moments) for group in groups)


def _holds_over(moments: Sequence[Moment]) -> bool:
    """Whether a note is held while others begin: music of several voices, whose hand keeps no shape."""
    onsets = sorted(moment.onset for moment in moments)
    return any(
        moment.onset < onset < moment.onset + note.duration
        for moment in moments
        for note in moment.notes
        for onset in onsets
    )


def _timed(groups: Sequence[Group], rule: NeckRule, player: Player) -> list[list[Moment]]:
    """The moments of each group as the hand's engine takes them."""
    now = Fraction(0)
    found = []
    for group in groups:
        times = group.times or tuple((now + k * _USUAL, _USUAL) for k in range(len(group.moments)))
        given = zip(group.moments, group.strings, times, strict=True)
        found.append(
            [
                Moment(
                    onset, tuple(_note(*note, length, rule, player) for note in zip(midis, fixed, strict=True)), k == 0
                )
                for k, (midis, fixed, (onset, length)) in enumerate(given)
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
