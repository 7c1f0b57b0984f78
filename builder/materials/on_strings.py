"""Where the notes of a line lie when a material chooses their strings itself, and when they will sound.

Stage:    compose, answer 1 (pure)
In, Out:  for each moment the ways to play it, string by string; one way each, chosen for a quiet hand
Units:    positions and frets are counted from the capo, 0 = open
Source:   that the hand should travel little is the first factor of Heijink and Meulenbroek (Journal of Motor Behavior
          34(4), 2002, 339-351); the prices below are our own choice, in frets of travel
Not here: paths a spec may choose (`paths`), fingers (`theory.fingering`)
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from builder.errors import NoSolution
from builder.materials.material import Setting
from builder.theory import rhythm
from builder.theory.fretboard import Place
from builder.theory.pitch import Pitch
from builder.theory.rhythm import Timing

EACH_STRUCK = frozenset({"alternate", "down", "economy", "fingers", "none", "pima"})
"""The stroke rules that slur nothing of their own accord."""

_ONE_AT_A_TIME = ("fingers", "legato")

Grip = tuple[Place, ...]
"""The places of one moment."""

_MOVE = 0.5  # every move costs this besides its frets, so that one long move beats two short ones
_STRETCH = 1.0  # a fret beyond the position costs as much as a move by that fret …
_CROSS = 0.2  # … and strings are changed rather than the hand moved


class _Path(NamedTuple):
    """The cheapest way to a state: its cost, the grip, the way before."""

    cost: float
    grip: Grip
    before: _Path | None


def place_on(pitch: Pitch, string: int, setting: Setting) -> Place:
    """Where *pitch* lies on *string*; raise NoSolution where the string does not have it."""
    instrument = setting.instrument
    if string > instrument.strings:
        raise NoSolution(f"there is no string {string} on the {instrument.name}")
    fret = pitch.midi - instrument.open_midi(string)
    if fret < 0:
        raise NoSolution(f"{pitch} lies below string {string}")
    if fret > instrument.last_fret:
        raise NoSolution(f"{pitch} on string {string} needs fret {fret}; the last one is {instrument.last_fret}")
    return Place(string, fret)


def ways(pitches: Sequence[Pitch], choices: Iterable[tuple[int, ...]], setting: Setting) -> list[Grip]:
    """Where *pitches* can sound together, for each choice of strings that can play them.

    Raises NoSolution, with the reason of the last choice, where none can.
    """
    found: list[Grip] = []
    reason: NoSolution | None = None
    for strings in choices:
        try:
            grip = tuple(place_on(pitch, string, setting) for pitch, string in zip(pitches, strings, strict=True))
            _check_open(grip, setting)
            found.append(grip)
        except NoSolution as no:
            reason = no
    if reason and not found:
        raise reason
    return found


def _check_open(grip: Grip, setting: Setting) -> None:
    """Raise NoSolution where `neck.open-strings` forbids an open string; by default it may be in position 1 only."""
    allowed, highest = setting.neck.open_strings, max(place.fret for place in grip)
    if allowed or all(place.fret for place in grip):
        return
    if allowed is False:
        raise NoSolution("needs an open string")
    if highest > setting.instrument.position_width:
        raise NoSolution(f"needs an open string next to fret {highest}")


def least_movement(choices: Sequence[Sequence[Grip]], width: int, open_anywhere: bool) -> tuple[Grip, ...]:
    """Take one choice a moment so that the hand travels least; *width* is how many frets it covers at ease.

    Unless *open_anywhere*, the hand goes to position 1 for an open string.

    >>> C, D = (Place(2, 1), Place(3, 5)), (Place(2, 3), Place(3, 7))
    >>> least_movement([[C[:1], C[1:]], [D[:1], D[1:]], [(Place(3, 4),)]], 4, False)
    ((Place(string=3, fret=5),), (Place(string=3, fret=7),), (Place(string=3, fret=4),))
    """
    frontier: dict[tuple[int, int], _Path] = {}
    for moment in choices:
        following: dict[tuple[int, int], _Path] = {}
        for number, grip in enumerate(moment):
            for position, price in _positions(grip, width, open_anywhere, {position for position, _ in frontier}):
                best = min(_arrivals(frontier, position, grip, price), key=lambda path: path.cost)
                following[position, number] = best
        frontier = following
    path: _Path | None = min(frontier.values(), key=lambda path: path.cost)
    found = []
    while path is not None:
        found.append(path.grip)
        path = path.before
    return tuple(reversed(found))


def _positions(grip: Grip, width: int, open_anywhere: bool, before: set[int]) -> Iterator[tuple[int, float]]:
    """The positions from which *grip* can be taken, and what it costs there."""
    stopped = [place.fret for place in grip if place.fret]
    low, high = min(stopped, default=1), max(stopped, default=1)
    every: Iterable[int] = range(min(low, max(1, high - width)), low + 1)
    if len(stopped) < len(grip) and not open_anywhere:
        every = (1,)
    elif not stopped:
        every = sorted(before or {1})
    for position in every:
        yield position, _STRETCH * max(0, high - position - width + 1)


def _arrivals(frontier: Mapping[tuple[int, int], _Path], position: int, grip: Grip, price: float) -> Iterator[_Path]:
    if not frontier:
        yield _Path(price, grip, None)
    for (earlier, _), path in frontier.items():
        moved = abs(position - earlier)
        crossed = abs(path.grip[0].string - grip[0].string)
        yield _Path(path.cost + price + moved + _MOVE * bool(moved) + _CROSS * crossed, grip, path)


def onsets(runs: Iterable[tuple[Fraction, ...]], setting: Setting) -> tuple[tuple[Fraction, ...], ...]:
    """When each note of each run begins, given how long the notes last.

    Only for materials that no contour reorders: these are the runs as they will be played.
    """
    lengths = tuple(runs)
    slots = rhythm.time_line(tuple(Timing(each, False) for each in lengths), setting.rhythm)
    begins = {(slot.run, slot.note): slot.onset for slot in slots if slot.note is not None and not slot.continued}
    return tuple(tuple(begins[run, note] for note in range(len(each))) for run, each in enumerate(lengths))


def bursts(count: int, setting: Setting) -> tuple[tuple[Fraction, ...], ...]:
    """How long the notes of each burst last, where a line of *count* notes is played once through."""
    length = setting.rhythm.burst or count
    sizes = [min(length, count - first) for first in range(0, count, length)]
    return tuple(rhythm.timing(setting.rhythm, size, False).durations for size in sizes)


def check_one_stroke(setting: Setting) -> None:
    """Raise NoSolution under a stroke rule that can't strike several strings at once."""
    if setting.strokes.rule in _ONE_AT_A_TIME:
        reason = f"{setting.strokes.rule} plays one note at a time, here several sound together; write rule: none"
        raise NoSolution(reason, ("strokes", "rule"))


def check_whole_figures(size: int, what: str, setting: Setting) -> None:
    """Raise NoSolution where `rhythm.burst` would cut figures of *size* notes in two."""
    burst = setting.rhythm.burst
    if burst and burst % size:
        raise NoSolution(f"a burst of {burst} notes parts {what}; write a multiple of {size}", ("rhythm", "burst"))
