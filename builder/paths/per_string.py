"""So many notes a string, string after string.

Stage:    compose, answer 4 (pure)
"""

from __future__ import annotations

from builder.errors import NoSolution
from builder.paths.path import Group, Path, Walk, check_open_strings, each_moment, first_string, out_of_neck
from builder.theory.fretboard import Instrument, Place
from builder.theory.neck import NeckRule, Player

EXAMPLE = """\
neck: {path: {per-string: 3}, shift-in-burst: true, start: {note: G, places: [{string: 6, fret: 3}]}}
"""


def walk(groups: tuple[Group, ...], start: Place, rule: NeckRule, player: Player) -> Walk:
    """Fill strings from the start string on, N notes each, lowest pitches first; the same pitch keeps its place.

    A later set or line begins on the string that keeps its first note nearest to the fret of the one before.
    """
    instrument = player.instrument
    placed, fret = [], start.fret
    for number, (moment, _) in enumerate(each_moment(groups)):
        if len(moment) > 1:
            raise NoSolution("notes sounding together do not go string by string", (), (number,))
    for number, group in enumerate(groups):
        pitches = sorted({moment[0] for moment in group.moments})
        first = start.string if number == 0 or rule.strings else _nearest_string(pitches, fret, rule, instrument)
        where = _fill(pitches, _strings_from(first, rule, instrument), rule, instrument)
        fret = where[pitches[0]].fret
        _check_fixed(group, where)
        placed.append(tuple((where[moment[0]],) for moment in group.moments))
    return Walk(tuple(placed), None)


def _strings_from(first: int, rule: NeckRule, instrument: Instrument) -> tuple[int, ...]:
    """The strings in the order they are filled: as the rule lists them, else upwards in pitch from *first*."""
    return rule.strings or tuple(range(first, 0, -1))


def _fill(pitches: list[int], strings: tuple[int, ...], rule: NeckRule, instrument: Instrument) -> dict[int, Place]:
    """Place ascending *pitches* on *strings*, N each."""
    each = rule.count or 1
    needed = -(-len(pitches) // each)
    if needed > len(strings):
        raise NoSolution(f"needs {needed} strings; {len(strings)} are left from string {strings[0]} on")
    where = {}
    for k, pitch in enumerate(pitches):
        string = strings[k // each]
        where[pitch] = Place(string, pitch - instrument.open_midi(string))
    if wrong := out_of_neck((place.fret for place in where.values()), instrument):
        raise wrong
    check_open_strings((place.fret for place in where.values()), rule, instrument, stretch=1)
    return where


def _nearest_string(pitches: list[int], fret: int, rule: NeckRule, instrument: Instrument) -> int:
    """The string from which *pitches* fit and begin nearest to *fret*; the lower string of two."""
    tried = []
    for string in range(1, instrument.strings + 1):
        try:
            where = _fill(pitches, _strings_from(string, rule, instrument), rule, instrument)
        except NoSolution:
            continue
        tried.append((abs(where[pitches[0]].fret - fret), -string))
    if not tried:
        raise NoSolution(f"a later set does not fit on the neck with {rule.count} notes a string")
    return -min(tried)[1]


def _check_fixed(group: Group, where: dict[int, Place]) -> None:
    """Raise NoSolution where the material itself asks for another string."""
    for moment, fixes in zip(group.moments, group.strings, strict=True):
        if fixes[0] not in (None, where[moment[0]].string):
            raise NoSolution(f"a note is written on string {fixes[0]}, the path puts it on {where[moment[0]].string}")


PATH = Path(
    kind="per-string",
    summary="So many notes on each string, from the start string towards the highest.",
    counted=True,
    walk=walk,
    start_strings=first_string,
    example=EXAMPLE,
)
