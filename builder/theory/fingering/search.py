"""The least-cost fingering of a passage, by exact dynamic programming over hand shapes.

Stage:    theory (pure)
In, Out:  `Stop`s, the instrument, the hand and the weights; a `Fingering`
Source:   shortest path through layers of states: S. Sayegh, Computer Music Journal 13(3), 1989; that a state is a
          whole hand shape, announced when the hand takes it, is our own choice: it lets a shape be judged by all its
          notes and still keeps the search linear in the notes
Not here: prices (`costs`), notes sounding together (`chords`)

A state names the shape the hand has taken, the fingers of the notes sounding, which of the shape's frets are still to
come, and which it has played since it came to the string. A shape may be left only when all its frets were played, so
every shape is priced for just the notes it holds and the least cost is exact.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import NamedTuple

from builder.errors import NoSolution
from builder.theory.fingering.chords import Placed, chord_fingers, chord_points
from builder.theory.fingering.costs import (
    Need,
    Pair,
    Weights,
    burst_points,
    follow_points,
    gaps_points,
    grips,
    move_points,
)
from builder.theory.fingering.lie import NARROW, lie_of
from builder.theory.fingering.marks import Motion, marked
from builder.theory.fingering.states import Fingering, ReachClass, Slice, Stop, reach_class, time_slices
from builder.theory.fretboard import Hand, Instrument


@dataclass(frozen=True, slots=True, eq=False)
class _Shape:
    """A hand shape at its place on the neck; *bits* numbers its pairs, *gestures* remembers prices of visits."""

    position: int
    settled: bool
    points: float
    pairs: tuple[Pair, ...]
    fingers: Mapping[int, tuple[int, ...]]
    frets: frozenset[int]
    bits: Mapping[Pair, int]
    gestures: dict[int, float] = field(default_factory=dict)

    @property
    def whole(self) -> int:
        """The bits of all its pairs."""
        return (1 << len(self.pairs)) - 1


class _State(NamedTuple):
    """Where the hand is after a slice; equal states have equal futures. Hashed often, hence a named tuple."""

    shape: _Shape
    fingers: tuple[int, ...]
    to_come: int
    on_string: int


class _Path(NamedTuple):
    """The cheapest way to a state: its points, and the way before."""

    points: float
    state: _State
    before: _Path | None


class _Way(NamedTuple):
    """One way to finger what is struck at a slice, its price, and the bits of the pairs it plays."""

    fingers: tuple[int, ...]
    points: float
    played: int


_Frontier = dict[_State, _Path]
_Held = tuple[int, ...]  # the fingers of the notes held over into a slice


def finger_passage(
    stops: Sequence[Stop], instrument: Instrument, hand: Hand, weights: Weights, shift_in_burst: bool
) -> Fingering:
    """Return the least-cost fingering of *stops*; without *shift_in_burst* every burst is one hand position.

    Raises NoSolution where the hand's limit, the number of fingers or the fingers written down forbid it.
    """
    slices = time_slices(stops)
    stopped = tuple(item for item in slices if item.stopped)
    if not stopped:
        return Fingering((0,) * len(stops), (1,) * len(stops), (0,) * len(stops), 0.0, 0.0, 0)
    search = _Search(tuple(stops), stopped, instrument, hand, weights, shift_in_burst)
    path = search.cheapest()
    found = _answer(stops, slices, stopped, path, instrument)
    return marked(found, _motions(stops, found), search.lie)


def _motions(stops: Sequence[Stop], found: Fingering) -> list[Motion]:
    """The stops as the hand plays them."""
    played = zip(stops, found.fingers, found.positions, strict=True)
    return [
        Motion(number, stop.onset, stop.duration, stop.string, stop.fret, finger, position)
        for number, (stop, finger, position) in enumerate(played)
    ]


class _Search:
    """One passage and what was worked out about it on the way."""

    def __init__(
        self,
        stops: tuple[Stop, ...],
        slices: tuple[Slice, ...],
        instrument: Instrument,
        hand: Hand,
        weights: Weights,
        shifts: bool,
    ) -> None:
        self.stops, self.slices, self.instrument, self.hand = stops, slices, instrument, hand
        self.weights, self.shifts = weights, shifts
        self.lie = lie_of(instrument)
        self.needs = [self._needs(item) for item in slices]
        self.chains = list(_chains(slices, self.needs)) if shifts else list(_whole_bursts(slices, self.needs))
        self.frets = [frozenset(need.fret for need in needs) for needs in self.needs]
        self.shapes: dict[tuple[tuple[Need, ...], bool], tuple[_Shape, ...]] = {}
        self.remembered: Slice | None = None
        self.ways: dict[tuple[_Shape, _Held], list[_Way]] = {}

    def cheapest(self) -> _Path:
        """Walk through the slices and return the best path to the last."""
        frontier: _Frontier = {}
        for number, here in enumerate(self.slices):
            following: _Frontier = {}
            begins = number == 0 or here.burst != self.slices[number - 1].burst
            if not begins:
                self._stay(number, frontier, following)
            if begins or self.shifts:
                self._enter(number, frontier, following)
            if not following:
                raise self._reason(number)
            frontier = following
        ends = [path for state, path in frontier.items() if not state.to_come]
        if not ends:
            raise self._reason(len(self.slices) - 1)
        return min(ends, key=lambda path: path.points)

    def _needs(self, here: Slice) -> tuple[Need, ...]:
        """What a shape must do to sound a slice, lowest fret first."""
        frets: dict[int, tuple[set[int], set[int]]] = {}
        for i in here.sounding:
            stop = self.stops[i]
            if stop.fret:
                strings, fixed = frets.setdefault(stop.fret, (set(), set()))
                strings.add(stop.string)
                fixed.update(() if stop.finger is None else (stop.finger,))
        return tuple(Need(fret, len(frets[fret][0]), tuple(sorted(frets[fret][1]))) for fret in sorted(frets))

    def _stay(self, number: int, frontier: _Frontier, following: _Frontier) -> None:
        """Play the slice in the shape the hand has."""
        here, before = self.slices[number], self.slices[number - 1]
        same_visit = here.line and here.visit == before.visit
        frets = self.frets[number]
        for state, path in frontier.items():
            shape, fingers, to_come, on_string = state
            if not frets <= shape.frets:
                continue
            held = _kept(here, before, fingers)
            for way in self._ways(here, shape, held):
                points = path.points + way.points + self._follow(here, before, fingers, way.fingers)
                visit = 0
                if here.line:
                    visited = on_string if same_visit else 0
                    visit = visited | way.played
                    if visit != visited:
                        points += self._gesture(shape, visit) - self._gesture(shape, visited)
                _offer(following, _State(shape, way.fingers + held, to_come & ~way.played, visit), points, path)

    def _enter(self, number: int, frontier: _Frontier, following: _Frontier) -> None:
        """Take a new shape for the slice and what follows it."""
        here = self.slices[number]
        shapes = [shape for needs in self.chains[number] for shape in self._shapes(needs, here.line)]
        for held, exits in self._exits(number, frontier).items():
            arrivals: dict[tuple[int, bool], tuple[float, _Path | None] | None] = {}
            for shape in shapes:
                place = (shape.position, shape.settled)
                if place not in arrivals:
                    arrivals[place] = self._arrival(number, exits, shape)
                arrival = arrivals[place]
                if arrival is None or not self._keeps(here, held, shape):
                    continue
                for way in self._ways(here, shape, held):
                    played = way.played | self._played(here.held, held, shape)
                    visit = played if here.line else 0
                    state = _State(shape, way.fingers + held, shape.whole & ~played, visit)
                    _offer(following, state, arrival[0] + shape.points + way.points, arrival[1])

    def _keeps(self, here: Slice, held: _Held, shape: _Shape) -> bool:
        """Whether *shape* leaves the fingers of held notes where they are."""
        return all(
            not finger or (self.stops[i].fret, finger) in shape.bits for i, finger in zip(here.held, held, strict=True)
        )

    def _exits(self, number: int, frontier: _Frontier) -> dict[_Held, list[_Path]]:
        """The best path to each way of leaving the shape before, by the fingers that stay down."""
        here, before = self.slices[number], self.slices[number - 1]
        if not number:
            return {(0,) * len(here.held): []}
        found: dict[_Held, dict[tuple[int, bool], _Path]] = {}
        for state, path in frontier.items():
            if state.to_come:
                continue
            exits = found.setdefault(_kept(here, before, state.fingers), {})
            known = exits.get((state.shape.position, state.shape.settled))
            if known is None or path.points < known.points:
                exits[state.shape.position, state.shape.settled] = path
        return {held: list(exits.values()) for held, exits in found.items()}

    def _arrival(self, number: int, exits: Sequence[_Path], shape: _Shape) -> tuple[float, _Path | None] | None:
        """The cheapest way to come to *shape*, and from where; the first shape of all is there for nothing."""
        if not number:
            return 0, None
        best: tuple[float, _Path | None] | None = None
        for path in exits:
            moved = self._move(number, path.state.shape, shape)
            if moved is not None and (best is None or path.points + moved < best[0]):
                best = path.points + moved, path
        return best

    def _move(self, number: int, left: _Shape, shape: _Shape) -> float | None:
        """The price of coming to *shape* from another."""
        here, before = self.slices[number], self.slices[number - 1]
        if here.burst != before.burst:
            return burst_points(left.position, shape.position, here, self.weights)
        same_visit = here.line and here.visit == before.visit
        return move_points(left.position, left.settled, shape.position, shape.settled, here, same_visit, self.weights)

    def _shapes(self, needs: tuple[Need, ...], line: bool) -> tuple[_Shape, ...]:
        """The hand shapes that meet *needs*; none where the hand can't reach."""
        if (needs, line) not in self.shapes:
            self.shapes[needs, line] = tuple(self._placed_shapes(needs, line))
        return self.shapes[needs, line]

    def _placed_shapes(self, needs: tuple[Need, ...], line: bool) -> Iterator[_Shape]:
        low = needs[0].fret
        reach = self._reach(low, needs[-1].fret)
        if reach == "refused":
            return
        dear = self.weights.stretched if reach == "stretch" else 0
        relative = tuple(Need(need.fret - low, need.most, need.fixed) for need in needs)
        for grip in grips(relative, self.lie, self.weights, not self.shifts, line):
            pairs = tuple((fret + low, finger) for fret, finger in grip.pairs)
            fingers = {fret: tuple(f for _, f in group) for fret, group in groupby(pairs, key=lambda pair: pair[0])}
            bits = {pair: 1 << bit for bit, pair in enumerate(pairs)}
            place = max(1, low + grip.place)
            yield _Shape(place, grip.settled, grip.points + dear, pairs, fingers, frozenset(fingers), bits)

    def _ways(self, here: Slice, shape: _Shape, held: _Held) -> list[_Way]:
        """The ways to finger what is struck beside what is held; the slice's own memory answers twice."""
        if self.remembered is not here:
            self.remembered = here
            self.ways = {}
        known = self.ways.get((shape, held))
        if known is None:
            known = self.ways[shape, held] = list(self._new_ways(here, shape, held))
        return known

    def _new_ways(self, here: Slice, shape: _Shape, held: _Held) -> Iterator[_Way]:
        if len(here.struck) == 1 and not here.held:
            stop = self.stops[here.struck[0]]
            for finger in shape.fingers[stop.fret]:
                if stop.finger in (None, finger):
                    yield _Way((finger,), 0, shape.bits[stop.fret, finger])
            return
        kept = self._placed(here.held, held)
        for chosen in chord_fingers(self._placed(here.struck, None), kept, shape.fingers):
            points = chord_points(self._placed(here.struck, chosen), kept, self.lie, self.weights)
            yield _Way(chosen, points, self._played(here.struck, chosen, shape))

    def _placed(self, numbers: Sequence[int], fingers: Sequence[int] | None) -> tuple[Placed, ...]:
        """The stops as places on the neck, with *fingers* or those written down."""
        stops = [self.stops[i] for i in numbers]
        if fingers is None:
            return tuple(Placed(stop.string, stop.fret, stop.finger) for stop in stops)
        return tuple(Placed(s.string, s.fret, finger) for s, finger in zip(stops, fingers, strict=True))

    def _follow(self, here: Slice, before: Slice, was: tuple[int, ...], chosen: tuple[int, ...]) -> int:
        """The price of fingers that come straight from one note to another."""
        if here.line:
            if not here.lifted or was[0] != chosen[0]:
                return 0
            a, b = self.stops[here.lifted[0]], self.stops[here.struck[0]]
            return follow_points(a.string, a.fret, b.string, b.fret, self.lie, self.weights)
        points = 0
        for i in here.lifted:
            for k, finger in zip(here.struck, chosen, strict=True):
                if finger and was[before.sounding.index(i)] == finger:
                    a, b = self.stops[i], self.stops[k]
                    points += follow_points(a.string, a.fret, b.string, b.fret, self.lie, self.weights)
        return points

    def _played(self, numbers: Sequence[int], fingers: Sequence[int], shape: _Shape) -> int:
        """The bits of the pairs of *shape* that these notes play; a held note may stem from another shape."""
        played = 0
        for i, finger in zip(numbers, fingers, strict=True):
            played |= shape.bits.get((self.stops[i].fret, finger), 0)
        return played

    def _gesture(self, shape: _Shape, played: int) -> float:
        """The price of the gaps between the pairs *played* on one string in one go, and of a reach beyond comfort."""
        if played not in shape.gestures:
            pairs = [pair for pair, bit in shape.bits.items() if played & bit]
            points = self.weights.gesture * gaps_points(pairs, self.lie, self.weights)
            if self.lie == NARROW and pairs and self._reach(pairs[0][0], pairs[-1][0]) == "stretch":
                points += self.weights.narrow_stretched
            shape.gestures[played] = points
        return shape.gestures[played]

    def _reach(self, low: int, high: int) -> ReachClass:
        """The class of the reach from one fret to another."""
        return reach_class(self.instrument.reach_mm(low, high), self.hand)

    def _reason(self, number: int) -> NoSolution:
        """Why no hand shape was left at a slice, in a player's words, with the moments it is about."""
        burst = self.slices[number].burst
        together = [need.fret for need in self.needs[number]]
        whole = [need.fret for k, needs in enumerate(self.needs) if self.slices[k].burst == burst for need in needs]
        for frets in (together, together if self.shifts else whole):
            reach = self.instrument.reach_mm(min(frets), max(frets))
            if reach > self.hand.limit_mm:
                span = f"frets {min(frets)} to {max(frets)} reach {reach:.1f} mm"
                blamed = self._blamed(number, frets is whole, min(frets), max(frets))
                return NoSolution(f"{span}, the hand's limit is {self.hand.limit_mm:g} mm", (), blamed)
        scope = together if self.shifts else whole
        where = f"fret {scope[0]}" if len(set(scope)) == 1 else f"frets {min(scope)} to {max(scope)}"
        blamed = self._blamed(number, not self.shifts, min(scope), max(scope))
        if any(need.fixed for k, needs in enumerate(self.needs) if self.slices[k].burst == burst for need in needs):
            return NoSolution(f"the fingers written for {where} can't be kept in one hand position", (), blamed)
        return NoSolution(f"{where} can't be held with four fingers", (), blamed)

    def _blamed(self, number: int, whole_burst: bool, *frets: int) -> tuple[int, ...]:
        """When these *frets* first sound, in a slice or in its burst, as numbers of onsets."""
        burst = self.slices[number].burst
        slices = [one for one in self.slices if one.burst == burst] if whole_burst else [self.slices[number]]
        sounding = [self.stops[i] for one in slices for i in one.sounding]
        onsets = sorted({stop.onset for stop in self.stops})
        firsts = {next(stop.onset for stop in sounding if stop.fret == fret) for fret in frets}
        return tuple(sorted(map(onsets.index, firsts)))


def _offer(frontier: _Frontier, state: _State, points: float, before: _Path | None) -> None:
    """Keep the cheapest path to a state, the first found among equals."""
    known = frontier.get(state)
    if known is None or points < known.points:
        frontier[state] = _Path(points, state, before)


def _kept(here: Slice, before: Slice, fingers: tuple[int, ...]) -> _Held:
    """The fingers that stay down into a slice; an open string rings without one."""
    if not here.held:
        return ()
    was = dict(zip(before.sounding, fingers, strict=True))
    return tuple(was.get(i, 0) for i in here.held)


def _merged(needs: Mapping[int, Need], more: Sequence[Need]) -> dict[int, Need]:
    """The needs of a shape that has to do both."""
    both = dict(needs)
    for need in more:
        known = both.get(need.fret, need)
        fixed = tuple(sorted({*known.fixed, *need.fixed}))
        both[need.fret] = Need(need.fret, max(known.most, need.most), fixed)
    return both


def _sorted_needs(needs: Mapping[int, Need]) -> tuple[Need, ...]:
    return tuple(needs[fret] for fret in sorted(needs))


def _whole_bursts(slices: Sequence[Slice], needs: Sequence[tuple[Need, ...]]) -> Iterator[tuple[tuple[Need, ...], ...]]:
    """For every slice, the needs of its whole burst: the one shape that may be taken there."""
    for _, group in groupby(range(len(slices)), key=lambda number: slices[number].burst):
        numbers = list(group)
        whole: dict[int, Need] = {}
        for number in numbers:
            whole = _merged(whole, needs[number])
        yield from [(_sorted_needs(whole),)] * len(numbers)


def _chains(slices: Sequence[Slice], needs: Sequence[tuple[Need, ...]]) -> Iterator[tuple[tuple[Need, ...], ...]]:
    """For every slice, the growing needs of a shape taken there and kept for longer and longer within the burst."""
    found: list[tuple[tuple[Need, ...], ...]] = []
    ahead: dict[Need, int] = {}  # where each need comes next, counted from the end of the passage
    for number in reversed(range(len(slices))):
        if number + 1 < len(slices) and slices[number + 1].burst != slices[number].burst:
            ahead = {}
        ahead.update((need, number) for need in needs[number])
        chain: list[tuple[Need, ...]] = []
        growing: dict[int, Need] = {}
        for _, group in groupby(sorted(ahead, key=lambda need: (ahead[need], need)), key=ahead.__getitem__):
            growing = _merged(growing, list(group))
            if not chain or chain[-1] != _sorted_needs(growing):
                chain.append(_sorted_needs(growing))
        found.append(tuple(chain))
    yield from reversed(found)


def _answer(
    stops: Sequence[Stop], slices: Sequence[Slice], stopped: Sequence[Slice], path: _Path, instrument: Instrument
) -> Fingering:
    """Read the path back, give open strings the hand's place, and measure what the path asks of the hand."""
    states: list[_State] = []
    step: _Path | None = path
    while step:
        states.append(step.state)
        step = step.before
    states.reverse()
    fingers = [0] * len(stops)
    for here, state in zip(stopped, states, strict=True):
        for i, finger in zip(here.struck, state.fingers, strict=False):
            fingers[i] = finger
    shapes = _shape_of_each(len(stops), slices, stopped, states)
    numbers: dict[tuple[int, tuple[Pair, ...]], int] = {}
    ids = tuple(numbers.setdefault((shape.position, shape.pairs), len(numbers)) for shape in shapes)
    positions = tuple(shape.position for shape in shapes)
    moved = zip(states, states[1:], stopped[1:], strict=False)
    shifts = sum(a.shape.position != b.shape.position and not here.silence for a, b, here in moved)
    return Fingering(tuple(fingers), positions, ids, path.points, _widest(stopped, states, stops, instrument), shifts)


def _shape_of_each(
    count: int, slices: Sequence[Slice], stopped: Sequence[Slice], states: Sequence[_State]
) -> list[_Shape]:
    """The shape in which each stop is struck; open strings alone take the burst's, else that before, else the next."""
    own = dict(zip(stopped, states, strict=True))
    first: dict[int, _Shape] = {}
    for here, state in zip(stopped, states, strict=True):
        first.setdefault(here.burst, state.shape)
    found = [states[0].shape] * count
    last, burst = states[0].shape, -1
    for here in slices:
        if here.burst != burst:
            last, burst = first.get(here.burst, last), here.burst
        if here in own:
            last = own[here].shape
        for i in here.struck:
            found[i] = last
    return found


def _widest(stopped: Sequence[Slice], states: Sequence[_State], stops: Sequence[Stop], instrument: Instrument) -> float:
    """The widest reach of any hand position, from its lowest stopped fret to its highest."""
    widest = 0.0
    pairs = zip(stopped, states, strict=True)
    for _, group in groupby(pairs, key=lambda pair: (pair[0].burst, pair[1].shape.position)):
        frets = [stops[i].fret for here, _ in group for i in here.sounding if stops[i].fret]
        widest = max(widest, instrument.reach_mm(min(frets), max(frets)))
    return widest
