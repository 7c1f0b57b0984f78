"""Everything in one position of the hand.

Stage:    compose, answer 4 (pure)
Source:   a position is a finger a fret, and one fret beside it by stretch: common practice; where every finger has two
          frets, a first position has finger 1 on the second and draws it back for the first
"""

from __future__ import annotations

from itertools import combinations, pairwise, product

from builder.errors import NoSolution
from builder.paths.path import Group, Moment, Path, Places, Walk, any_string, each_moment
from builder.theory.fretboard import Instrument, Place
from builder.theory.neck import NeckRule, Player

EXAMPLE = """\
neck: {path: position, position: auto, start: {note: C, places: each-string}}
"""

_STRETCH = 1.0  # our own choice: leaving the four frets costs more than …
_SKIP = 0.4  # … jumping over a string, which costs more than …
_CROSS = 0.1  # … going to the next one
_OPEN = 0.2  # of two positions without a stretch the closed one is printed: it can be moved along the neck
_USUAL_OPEN = -0.05  # but within a first position a note that can be open is open
_REACH_MM = 50.0  # a reach of so many millimetres costs as much as a stretch

_Chord = tuple[Place, ...]


def walk(groups: tuple[Group, ...], start: Place, rule: NeckRule, player: Player) -> Walk:
    """Place every note within one position that holds *start*: the asked one, or the one with the fewest stretches."""
    instrument = player.instrument
    first = instrument.frets_per_finger
    lowest = max(1, start.fret - instrument.position_width) if start.fret else first
    tries = [rule.position] if rule.position else range(lowest, max(first, start.fret + 1) + 1)
    found: list[tuple[float, int, Places]] = []
    reasons = []
    for position in tries:
        try:
            found.append(_in_position(groups, start, position, rule, instrument))
        except NoSolution as reason:
            reasons.append((abs(position - start.fret), reason))
    if not found:
        raise min(reasons, key=lambda pair: pair[0])[1]
    _, position, places = min(found, key=lambda entry: entry[:2])
    return Walk(places, position)


def _in_position(
    groups: tuple[Group, ...], start: Place, position: int, rule: NeckRule, instrument: Instrument
) -> tuple[float, int, Places]:
    """The cost of the best places in *position*, the position, and the places."""
    moments = each_moment(groups)
    if start not in _places(instrument.sound(start), None, position, rule, instrument):
        raise NoSolution(f"string {start.string}, fret {start.fret} does not lie in position {position}")
    layers = [_chords(k, moment, fixes, position, rule, instrument) for k, (moment, fixes) in enumerate(moments)]
    layers[0] = [chord for chord in layers[0] if chord[0] == start]
    if not layers[0]:
        raise NoSolution(f"the first notes do not lie in position {position} from string {start.string}")
    cost, chords = _cheapest(layers, position, instrument)
    frets = [place.fret for chord in chords for place in chord if place.fret]
    if frets:
        cost += instrument.reach_mm(min(frets), max(frets)) / _REACH_MM
    cost += _OPEN * sum(not place.fret for chord in chords for place in chord)
    places = iter(chords)
    return cost, position, tuple(tuple(next(places) for _ in group.moments) for group in groups)


def _chords(
    number: int, moment: Moment, fixes: tuple[int | None, ...], position: int, rule: NeckRule, instrument: Instrument
) -> list[_Chord]:
    """Every way to play *moment*, the one of that *number*, in *position*, one string a note."""
    choices = [_places(midi, fixed, position, rule, instrument) for midi, fixed in zip(moment, fixes, strict=True)]
    chords = [chord for chord in product(*choices) if len({place.string for place in chord}) == len(chord)]
    if not chords:
        raise NoSolution(_why(moment, choices, position, instrument), (), (number,))
    return chords


def _places(midi: int, fixed: int | None, position: int, rule: NeckRule, instrument: Instrument) -> list[Place]:
    """Where *midi* lies under the hand: its frets, one beside them, and the open string where it may be used."""
    allowed = rule.open_strings if rule.open_strings is not None else position <= instrument.frets_per_finger
    last = min(position + instrument.position_width, instrument.last_fret)
    found = []
    for string in any_string(rule, instrument):
        fret = midi - instrument.open_midi(string)
        under = max(1, position - 1) <= fret <= last or (fret == 0 and allowed)
        if under and fixed in (None, string):
            found.append(Place(string, fret))
    return found


def _why(moment: Moment, choices: list[list[Place]], position: int, instrument: Instrument) -> str:
    """The reason why a moment can't be played in *position*."""
    low, high = instrument.open_midi(1), instrument.open_midi(1)
    for string in range(1, instrument.strings + 1):
        low = min(low, instrument.open_midi(string))
        high = max(high, instrument.open_midi(string))
    for midi, places in zip(moment, choices, strict=True):
        if not places and midi < low + position - 1:
            return f"goes {low + position - midi} half steps below position {position}"
        if not places and midi > high + position + instrument.position_width:
            return f"goes {midi - high - position - instrument.position_width + 1} half steps above position {position}"
        if not places:
            return f"this does not lie in position {position}"
    return f"{len(moment)} notes at once do not lie in position {position}"


def _cheapest(layers: list[list[_Chord]], position: int, instrument: Instrument) -> tuple[float, list[_Chord]]:
    """The least-cost path through the layers (dynamic programming)."""
    best = [{k: (_stretches(chord, position, instrument), -1) for k, chord in enumerate(layers[0])}]
    for before, layer in pairwise(layers):
        costs = best[-1]
        best.append(
            {
                k: min(
                    (costs[j][0] + _stretches(chord, position, instrument) + _jump(before[j], chord), j) for j in costs
                )
                for k, chord in enumerate(layer)
            }
        )
    at = min(best[-1], key=lambda k: best[-1][k])
    cost, chords = best[-1][at][0], []
    for layer, costs in zip(reversed(layers), reversed(best), strict=True):
        chords.append(layer[at])
        at = costs[at][1]
    return cost, chords[::-1]


def _stretches(chord: _Chord, position: int, instrument: Instrument) -> float:
    """The price of open strings and of frets outside the position's own."""
    back = instrument.frets_per_finger - 1
    inside = range(position - back, position + instrument.position_width)
    spread = sum(abs(a.fret - b.fret) for a, b in combinations(chord, 2) if a.fret and b.fret)
    outside = sum(_STRETCH for place in chord if place.fret and place.fret not in inside)
    opened = _USUAL_OPEN if position <= instrument.frets_per_finger else _OPEN
    return outside + 0.01 * spread + sum(opened for place in chord if not place.fret)


def _jump(before: _Chord, chord: _Chord) -> float:
    """The price of going from string to string."""
    strings = abs(before[0].string - chord[0].string)
    return _CROSS * strings + _SKIP * max(0, strings - 1)


PATH = Path(
    kind="position",
    summary="Every note under a hand that stays where it is; one fret beside it by a stretch.",
    counted=False,
    walk=walk,
    start_strings=any_string,
    example=EXAMPLE,
)
