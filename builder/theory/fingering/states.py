"""What the fretting hand is asked for and what it answers: stops, slices of time, fingerings.

Stage:    theory (pure)
In, Out:  `Stop`s of a passage; the `Slice`s the search walks through, one an onset
Units:    onsets and durations are fractions of a whole note; string 1 sounds highest; finger 0 = open string
Source:   the three classes of reach come from the hand profiles of the product contract, our own choice until a
          published percentile of fretting reach is found
Not here: prices (`costs`), which fingers can sound together (`chords`), the choice itself (`search`)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from builder.errors import NoSolution
from builder.theory.fretboard import Hand

ReachClass = Literal["comfortable", "stretch", "refused"]


@dataclass(frozen=True, slots=True)
class Stop:
    """A sounding note to finger; its string and fret are settled already.

    *index* is the caller's own number for the note; *finger* is fixed where someone wrote it, else None;
    *new_hand* says that a burst begins with this note: the hand may take a new place before it.
    """

    index: int
    onset: Fraction
    duration: Fraction
    string: int
    fret: int
    finger: int | None = None
    new_hand: bool = False

    @property
    def end(self) -> Fraction:
        """When the note stops sounding."""
        return self.onset + self.duration


@dataclass(frozen=True, slots=True)
class Barre:
    """A finger that lies over *strings* (the highest-sounding and the lowest) while notes of both sound.

    *notes* are the numbers of the stops it presses, in order of onset.
    """

    finger: int
    fret: int
    strings: tuple[int, int]
    notes: tuple[int, ...]
    onset: Fraction
    until: Fraction


@dataclass(frozen=True, slots=True)
class Fingering:
    """The least-cost fingering of a passage; the tuples stand in the order of the stops that were given.

    *positions* holds the fret under finger 1 while the note sounds; with an open note, the place the hand keeps.
    *shapes* numbers the hand's shapes (position, frets and their fingers) in order of first appearance: equal
    numbers, equal fingers. *shifts_in_burst* counts moves to another position with no silence to make them in.
    *guides* are pairs of notes between which a finger slides along its string into a new position; *stretches* the
    notes that open the hand wider than one finger a fret; all are numbers of stops.
    """

    fingers: tuple[int, ...]
    positions: tuple[int, ...]
    shapes: tuple[int, ...]
    cost: float
    widest_reach_mm: float
    shifts_in_burst: int
    guides: tuple[tuple[int, int], ...] = ()
    stretches: tuple[int, ...] = ()
    barres: tuple[Barre, ...] = ()

    @property
    def first_uses(self) -> tuple[int, ...]:
        """The notes at which a hand shape is taken for the first time.

        >>> Fingering((1, 2, 1, 2), (5, 5, 7, 7), (0, 0, 1, 1), 0.0, 0.0, 1).first_uses
        (0, 2)
        """
        return tuple(self.shapes.index(shape) for shape in sorted(set(self.shapes)))


@dataclass(frozen=True, slots=True)
class Slice:
    """One onset: the stops struck and those held over from before, as numbers of stops, with what lies before it.

    *burst* counts from 0; *lifted* are the stopped notes of the slice before whose end is the last event before
    this onset; *line* says that no two notes of the burst overlap; *visit* numbers a line's runs on one string;
    *stopped* says that some string is stopped now. *silence* and *after_open*: since the last slice with a stopped
    string, nothing sounded for a while; only open strings were struck.
    """

    struck: tuple[int, ...]
    held: tuple[int, ...]
    lifted: tuple[int, ...]
    burst: int
    line: bool
    visit: int
    stopped: bool
    silence: bool
    after_open: bool

    @property
    def sounding(self) -> tuple[int, ...]:
        """All stops that sound at this onset, those struck first."""
        return self.struck + self.held


def reach_class(reach_mm: float, hand: Hand) -> ReachClass:
    """Say how *hand* takes a reach: at ease, by a stretch, or not at all.

    >>> medium = Hand("medium", 98, 127)
    >>> [reach_class(reach, medium) for reach in (97.31, 126.18, 129.69)]
    ['comfortable', 'stretch', 'refused']
    """
    if reach_mm <= hand.comfort_mm:
        return "comfortable"
    return "stretch" if reach_mm <= hand.limit_mm else "refused"


def time_slices(stops: Sequence[Stop]) -> tuple[Slice, ...]:
    """Return a slice for every onset, in order of time.

    Raises NoSolution where a string would sound two notes at once or a written finger contradicts its fret.
    """
    onsets = sorted({stop.onset for stop in stops})
    for stop in stops:
        _check_finger(stop, onsets.index(stop.onset))
    groups = _onsets(stops)
    bursts = _bursts(stops, groups)
    return _linked(stops, groups, bursts, _crossed_bursts(stops, groups, bursts))


@dataclass(frozen=True, slots=True)
class _Onset:
    """The stops struck and held at one moment, before it is known what lies between the onsets."""

    struck: tuple[int, ...]
    held: tuple[int, ...]


def _check_finger(stop: Stop, moment: int) -> None:
    """A stopped string needs one of four fingers, an open one none."""
    if stop.finger is None:
        return
    if (stop.finger == 0) != (stop.fret == 0):
        where = "an open string" if stop.fret == 0 else f"fret {stop.fret}"
        raise NoSolution(f"finger {stop.finger} can't play {where} on string {stop.string}", (), (moment,))


def _onsets(stops: Sequence[Stop]) -> tuple[_Onset, ...]:
    """Group the stops by onset; a note is held while it sounds past a later onset."""
    found: list[_Onset] = []
    sounding: list[int] = []
    order = sorted(range(len(stops)), key=lambda i: (stops[i].onset, i))
    at = 0
    while at < len(order):
        struck = _same_onset(order, at, stops)
        now = stops[struck[0]].onset
        held = [i for i in sounding if stops[i].end > now]
        sounding = struck + held
        _check_strings(stops, sounding)
        found.append(_Onset(tuple(struck), tuple(held)))
        at += len(struck)
    return tuple(found)


def _same_onset(order: Sequence[int], at: int, stops: Sequence[Stop]) -> list[int]:
    """The stops from *at* on that begin together."""
    end = at
    while end < len(order) and stops[order[end]].onset == stops[order[at]].onset:
        end += 1
    return list(order[at:end])


def _check_strings(stops: Sequence[Stop], sounding: Sequence[int]) -> None:
    """One string sounds one fret at a time; two voices may share a place."""
    frets: dict[int, int] = {}
    for i in sounding:
        string, fret = stops[i].string, stops[i].fret
        if frets.setdefault(string, fret) != fret:
            raise NoSolution(f"string {string} would have to sound frets {frets[string]} and {fret} at once")


def _bursts(stops: Sequence[Stop], groups: Sequence[_Onset]) -> tuple[int, ...]:
    """The number of the burst each onset belongs to."""
    numbers: list[int] = []
    for group in groups:
        begins = any(stops[i].new_hand for i in group.struck)
        numbers.append(numbers[-1] + begins if numbers else 0)
    return tuple(numbers)


def _crossed_bursts(stops: Sequence[Stop], groups: Sequence[_Onset], bursts: Sequence[int]) -> frozenset[int]:
    """The bursts in which notes overlap, counting both ends of an overlap so that the reverse says the same."""
    home = {i: burst for group, burst in zip(groups, bursts, strict=True) for i in group.struck}
    return frozenset(
        home[i] for group in groups if len(group.struck + group.held) > 1 for i in group.struck + group.held
    )


def _lifted(stops: Sequence[Stop], before: _Onset, now: Fraction) -> tuple[int, ...]:
    """Those of the notes sounding *before* that end last, if they end by *now*: the hand goes from them to the next."""
    ended = [i for i in before.struck + before.held if stops[i].end <= now]
    last = max((stops[i].end for i in ended), default=now)
    return tuple(i for i in ended if stops[i].end == last and stops[i].fret)


def _linked(
    stops: Sequence[Stop], groups: Sequence[_Onset], bursts: Sequence[int], crossed: frozenset[int]
) -> tuple[Slice, ...]:
    """Turn onsets into slices, remembering what the passed-over open strings leave for the next one."""
    found: list[Slice] = []
    visit, silence, after_open = 0, False, False
    last_end = stops[groups[0].struck[0]].onset if groups else Fraction(0)
    for number, group in enumerate(groups):
        now = stops[group.struck[0]].onset
        before = groups[number - 1] if number else None
        silence = silence or now > last_end
        if before and _leaves_string(stops, before, group, bursts[number - 1] != bursts[number]):
            visit += 1
        last_end = max(last_end, *(stops[i].end for i in group.struck))
        lifted = _lifted(stops, before, now) if before and not after_open else ()
        line = bursts[number] not in crossed
        stopped = any(stops[i].fret for i in group.struck + group.held)
        found.append(Slice(group.struck, group.held, lifted, bursts[number], line, visit, stopped, silence, after_open))
        silence, after_open = silence and not stopped, not stopped
    return tuple(found)


def _leaves_string(stops: Sequence[Stop], before: _Onset, group: _Onset, new_burst: bool) -> bool:
    """Whether a single line changes string, or a burst ends, between two onsets."""
    return new_burst or stops[before.struck[-1]].string != stops[group.struck[0]].string
