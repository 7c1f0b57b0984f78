"""Everything on the string the study starts on.

Stage:    compose, answer 4 (pure)
"""

from __future__ import annotations

from builder.errors import NoSolution
from builder.paths.path import Group, Path, Walk, check_open_strings, each_moment, first_string, out_of_neck
from builder.theory.fretboard import Place
from builder.theory.neck import NeckRule, Player

EXAMPLE = """\
neck: {path: one-string, start: {note: D, places: each-string}}
"""


def walk(groups: tuple[Group, ...], start: Place, rule: NeckRule, player: Player) -> Walk:
    """Place every note on the start string."""
    instrument = player.instrument
    string, open_midi = start.string, instrument.open_midi(start.string)
    for number, (moment, fixes) in enumerate(each_moment(groups)):
        if len(moment) > 1:
            raise NoSolution("notes sounding together do not go on one string", (), (number,))
        if fixes[0] not in (None, string):
            raise NoSolution(f"is written on string {fixes[0]}, the path keeps to string {string}", (), (number,))
    frets = [[moment[0] - open_midi for moment in group.moments] for group in groups]
    if wrong := out_of_neck((fret for group in frets for fret in group), instrument):
        raise wrong
    for group in frets:
        check_open_strings(group, rule, instrument)
    return Walk(tuple(tuple((Place(string, fret),) for fret in group) for group in frets), None)


PATH = Path(
    kind="one-string",
    summary="Every note on the string the study starts on; the hand moves along it during the rests.",
    counted=False,
    walk=walk,
    start_strings=first_string,
    example=EXAMPLE,
)
