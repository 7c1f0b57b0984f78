"""Strings, frets and fingers of least cost over the whole neck.

Stage:    theory (pure)
In, Out:  `Moment`s, the instrument, the hand and the weights; a `FreeFingering`, or NoSolution with a reason
Source:   shortest path through layers of states: S. Sayegh, Computer Music Journal 13(3), 1989; a state is all that
          lies under the hand, so that a broken chord is judged as one shape
Not here: prices (`postures`, `moves`), notes whose places are settled (`search`)

Up to `_EXACT_NOTES` notes every state is followed and the least cost is exact. In longer passages only the cheapest
are, so that the time grows with the length alone.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from builder.errors import NoSolution
from builder.theory.fingering.figures import figures_of
from builder.theory.fingering.marks import Motion, fingering_of
from builder.theory.fingering.moments import FreeNote, Moment, Passage, passage_of
from builder.theory.fingering.moves import BEFORE_ALL, Hand, Moves
from builder.theory.fingering.postures import Posture, Reach, postures
from builder.theory.fingering.reasons import why_not
from builder.theory.fingering.states import Fingering
from builder.theory.fingering.weights import Weights
from builder.theory.fretboard import Hand as Player
from builder.theory.fretboard import Instrument, Place, fret_positions

_EXACT_NOTES = 6
_POSTURES = 120  # of one onset, in longer passages
# In figures, where strings are settled and where they are free: paths kept of all, or in each position where the hand
# may not move; those of them that may move within a burst.
_SETTLED_PATHS, _FREE_PATHS = (28, 8, 8), (12, 5, 4)
_PATHS = 24  # kept from onset to onset; the agreement with the benchmark's etudes is the same at 20 and 100
_WINDOW = 0.7  # points by which a path that is kept may be dearer than the best
_STRING_WINDOW, _FIGURE_WINDOW = (
    6.5,
    2.5,
)  # the same in figures, while a line stays on its string and where it leaves it
_SAVING = 0.5  # what a move may save against the posture's own price
_FAR = float("inf")


@dataclass(frozen=True, slots=True)
class NeckLimits:
    """What the neck is asked to leave out.

    *open_strings*: True, False, None = only while the hand is in position 1. *first*: where the lowest note of the
    first moment lies. *shift_in_burst*: the hand may move within a burst; *shift_on*: only between two notes on one of
    these strings. *lets_go*: a note that no hand can hold to its end may be let go, at a price.
    *figures*: the bursts that are marked are figures, in which the hand keeps a shape.
    """

    open_strings: bool | None = None
    first: Place | None = None
    shift_in_burst: bool = False
    shift_on: tuple[int, ...] | None = None
    lets_go: bool = False
    figures: bool = True


@dataclass(frozen=True, slots=True)
class FreeFingering:
    """Where everything is played and by which finger; *places* stand as the moments' notes do, *fingering* runs
    through them in order."""

    places: tuple[tuple[Place, ...], ...]
    fingering: Fingering


class Step(NamedTuple):
    """A posture on the cheapest way to it: the points so far, the hand then, the step before."""

    points: float
    hand: Hand
    posture: Posture
    before: Step | None


Extra = Callable[[int, Posture], float]
"""Points added to a posture of a layer: for learning weights."""


def finger_freely(
    moments: Sequence[Moment], instrument: Instrument, hand: Player, weights: Weights, limits: NeckLimits
) -> FreeFingering:
    """Return the least-cost places and fingers of *moments*.

    Raises NoSolution where a note is not on the neck, or no hand can do what is asked.
    """
    passage = passage_of(moments)
    if not passage.layers:
        return FreeFingering(tuple(() for _ in moments), Fingering((), (), (), 0.0, 0.0, 0))
    figures = limits.figures and any(moment.new_hand for moment in moments)
    reach = Reach(instrument, hand, weights, figures)
    return _answer(moments, passage, cheapest_steps(passage, reach, limits), reach)


def cheapest_steps(
    passage: Passage, reach: Reach, limits: NeckLimits, extra: Extra | None = None, paths: int = _PATHS
) -> list[Step]:
    """Return the steps of the least-cost path, with *extra* points where they are asked for.

    *paths* are kept from onset to onset in a passage too long to follow all.
    """
    return _Search(passage, reach, limits, extra, paths).cheapest()


def price_of(passage: Passage, chosen: Sequence[Posture], reach: Reach, limits: NeckLimits) -> float:
    """Return the points of a path through written music that is known already."""
    moves, hand, total = _moves(passage, reach, limits), BEFORE_ALL, 0.0
    for at, (layer, posture) in enumerate(zip(passage.layers, chosen, strict=True)):
        moved = moves.go(moves.outset(hand, at), posture, at)
        if not moved:
            raise NoSolution("a note can't be held to its end")
        total += reach.points(posture.stopped, posture.position, layer.leaps, False) + moved[0][0]
        hand = moved[0][1]
    return total


def _moves(passage: Passage, reach: Reach, limits: NeckLimits) -> Moves:
    figures = None
    if limits.figures and any(layer.in_burst for layer in passage.layers):
        figures = figures_of(reach.instrument, reach.hand, reach.weights, not limits.shift_in_burst)
        figures.forget()
    return Moves(passage, reach, limits.lets_go, figures)


class _Search:
    """One passage on its way through the layers."""

    def __init__(self, passage: Passage, reach: Reach, limits: NeckLimits, extra: Extra | None, paths: int) -> None:
        self.passage, self.reach, self.limits, self.extra = passage, reach, limits, extra
        self.moves = _moves(passage, reach, limits)
        self.goes_anywhere = limits.shift_in_burst and limits.shift_on is None
        figures = limits.figures and any(layer.in_burst for layer in passage.layers)
        settled = all(note.strings and len(note.strings) == 1 for note in passage.notes)
        anywhere, steady, self.moving = _SETTLED_PATHS if settled else _FREE_PATHS
        kept = paths if not figures else anywhere if self.goes_anywhere else steady
        self.paths = None if len(passage.notes) <= _EXACT_NOTES else kept
        self.restricts = limits.shift_on is not None or limits.open_strings is None
        self.known: dict[tuple[object, ...], list[Posture]] = {}

    def cheapest(self) -> list[Step]:
        """Return the steps of the best path."""
        paths: list[Step] = []
        for at in range(len(self.passage.layers)):
            paths = self._next(at, paths)
            if not paths:
                raise self._reason(at)
        ends = [path for path in paths if not path.hand.shape.owes]
        if not ends:
            raise self._reason(len(self.passage.layers) - 1)
        steps: list[Step] = []
        step: Step | None = ends[0]
        while step:
            steps.append(step)
            step = step.before
        return steps[::-1]

    def _next(self, at: int, paths: Sequence[Step]) -> list[Step]:
        """All ways on into layer *at*, cheapest first, the best for each hand that can come of it."""
        found: dict[Hand, Step] = {}
        bars: dict[int, _Bar] = {}
        choices = self._postures(at)
        if not paths:
            self._go_on(None, at, choices, bars, found, {})
        layer, staying, outlines = self.passage.layers[at], dict[int, list[Posture]](), set[Hand]()
        reached: dict[int, float] = {}
        for path in paths:
            position = path.hand.position
            moves = layer.new_hand or self.limits.shift_in_burst
            if self.limits.figures and layer.in_burst and moves:
                # A hand that moves forgets its shape: of those that differ in nothing else only the cheapest moves.
                outline = Hand(position, path.hand.idle, path.hand.down, path.hand.struck)
                moves = outline not in outlines and (layer.new_hand or len(outlines) < self.moving)
                outlines.add(outline)
                if layer.new_hand and not moves:
                    continue
            if not moves and position not in staying:
                staying[position] = [posture for posture in choices if posture.position in (None, position)]
            self._go_on(path, at, choices if moves else staying[position], bars, found, reached)
        return self._kept(sorted(found.values(), key=lambda one: one.points))

    def _go_on(
        self,
        path: Step | None,
        at: int,
        choices: Sequence[Posture],
        bars: dict[int, _Bar],
        found: dict[Hand, Step],
        reached: dict[int, float],
    ) -> None:
        """Go on from one path in every way worth it; *choices* stand cheapest first.

        *reached* holds for every posture the least points for which a hand has come to it: in a figure, where a move
        makes it forget all else, a dearer way there is lost.
        """
        hand, so_far = (path.hand, path.points) if path else (BEFORE_ALL, 0.0)
        outset, together = self.moves.outset(hand, at), self.goes_anywhere
        forgets = outset.figure and not outset.staying
        alone = forgets and len(self.passage.layers[at].struck) == 1
        for posture in choices:
            # Where the hand may not move, a path is compared only with others in its position: the cheapest of all may
            # be one from which there is no way on.
            kind = 0 if together else hand.position if posture.position is None else posture.position
            if kind not in bars:
                bars[kind] = _Bar(self.paths, self._window(at))
            bar = bars[kind]
            least = so_far + posture.points - _SAVING
            if least > bar.height and together:
                break
            moves = forgets and posture.position not in (None, hand.position)
            if moves and alone:
                come = so_far + self.moves.approach(outset, posture, at)
                least = come + posture.points
            else:
                least += outset.ways[posture.position]
                come = least - posture.points
            if least > bar.height or (moves and reached.get(id(posture), _FAR) <= come):
                continue
            if self.restricts and not self._allowed(hand, posture):
                continue
            for more, moved in self.moves.go(outset, posture, at):
                points = so_far + posture.points + more
                if points > bar.height:
                    continue
                if moves:
                    came = points - posture.points - (self.moves.arrival(posture) if alone else 0.0)
                    reached[id(posture)] = min(came, reached.get(id(posture), _FAR))
                known = found.get(moved)
                if known is None or points < known.points:
                    found[moved] = Step(points, moved, posture, path)
                    bar.add(points)

    def _window(self, at: int) -> float:
        """The points by which a path into layer *at* may be dearer than the best.

        In a figure the best can take the other's place by a move, dear only on one string; where no move is allowed,
        any path may turn out to be the only one.
        """
        layers = self.passage.layers
        if not self.limits.figures or not layers[at].in_burst:
            return _WINDOW
        if at + 1 == len(layers) or layers[at + 1].new_hand:
            return _FIGURE_WINDOW
        if not self.goes_anywhere:
            return float("inf")
        here, following = ([self.passage.notes[k].strings for k in layers[i].struck] for i in (at, at + 1))
        leaves = len(here) == len(following) == 1 and here[0] and following[0] and here[0] != following[0]
        return _FIGURE_WINDOW if leaves else _STRING_WINDOW

    def _kept(self, ranked: Sequence[Step]) -> list[Step]:
        """The paths that are followed, of each kind as many."""
        counts = Counter[int]()
        kept = []
        for step in ranked:
            kind = 0 if self.goes_anywhere else step.hand.position
            counts[kind] += 1
            if self.paths is None or counts[kind] <= self.paths:
                kept.append(step)
        return kept

    def _allowed(self, hand: Hand, posture: Posture) -> bool:
        """Whether the neck's limits let the hand go on so."""
        position = hand.position if posture.position is None else posture.position
        opened = any(not finger for _, _, finger in posture.stopped)
        if self.limits.open_strings is None and opened and position > 1:
            return False
        if self.limits.shift_on is None or position == hand.position or not hand.down:
            return True
        left = {was[0] for was, _ in hand.down[: hand.struck] if was[2]} or set(self.limits.shift_on)
        return any(
            string in left and finger and string in self.limits.shift_on for string, _, finger in posture.stopped
        )

    def _postures(self, at: int) -> list[Posture]:
        """The postures of a layer; equal chords in equal surroundings are worked out once."""
        layer = self.passage.layers[at]
        notes = [self.passage.notes[number] for number in layer.struck]
        first = self.limits.first if at == 0 else None
        steady = not self.limits.shift_in_burst
        figure = self.limits.figures and layer.in_burst
        alone = steady and layer.alone and not figure
        key = (
            tuple((note.midi, note.strings, note.finger) for note in notes),
            layer.leaps,
            first,
            alone,
            layer.new_hand,
            layer.in_burst,
        )
        if key not in self.known:
            choices = [self._places(note) for note in notes]
            if first:
                lowest = min(range(len(notes)), key=lambda k: notes[k].midi)
                choices[lowest] = [place for place in choices[lowest] if place == first]
            found = postures(choices, [note.finger for note in notes], layer.leaps, self.reach, figure)
            if alone:
                found = [posture for posture in found if self._a_finger_a_fret(posture, notes[0].finger)]
            if layer.new_hand and (steady or figure):
                found = [other for posture in found for other in self._anywhere(posture)]
            self.known[key] = found
        if self.extra:
            extra = self.extra
            dearer = [p._replace(points=p.points + extra(at, p)) for p in self.known[key]]
            return sorted(dearer, key=lambda posture: posture.points)[: self.paths and _POSTURES]
        return self.known[key][: self.paths and _POSTURES]

    def _a_finger_a_fret(self, posture: Posture, written: int | None) -> bool:
        """Whether a line's note lies under the finger that has its fret, or the little finger stretches for it.

        Source: a finger a fret is common practice in one position; so none ever crosses another.
        """
        ((_, fret, finger),) = posture.stopped
        if posture.position is None or not finger or written is not None:
            return True
        return fret - posture.position in self.reach.lie.settled[finger]

    def _anywhere(self, posture: Posture) -> Iterator[Posture]:
        """Open strings at the beginning of a burst leave the hand any place for what comes."""
        if posture.position is not None:
            yield posture
            return
        for position in range(1, self.reach.instrument.last_fret + 1):
            yield posture._replace(position=position)

    def _places(self, note: FreeNote) -> list[Place]:
        """Where a note may lie."""
        return [
            place
            for place in fret_positions(note.midi, self.reach.instrument)
            if note.strings is None or place.string in note.strings
            if place.fret or self.limits.open_strings is not False
        ]

    def _reason(self, at: int) -> NoSolution:
        """Why there is no way on into layer *at*."""
        places = [self._places(note) for note in self.passage.notes]
        return why_not(self.passage, at, self.reach, places, bool(self._postures(at)), not self.limits.shift_in_burst)


class _Bar:
    """The height a path's points may not pass: what is kept lies close to the cheapest path and is not too much."""

    def __init__(self, paths: int | None, window: float) -> None:
        self.paths, self.window = paths, window
        self.best, self.points = float("inf"), list[float]()
        self.height = float("inf")

    def add(self, points: float) -> None:
        """Take notice of a path found; with no limit to the *paths* the bar stays up."""
        if self.paths is None:
            return
        if points < self.best:
            self.best = points
            self.height = min(self.height, points + self.window)
        self.points.append(points)
        if len(self.points) >= 3 * self.paths:
            self.points = sorted(self.points)[: 2 * self.paths]
            self.height = min(self.height, self.points[-1])


def _answer(moments: Sequence[Moment], passage: Passage, steps: Sequence[Step], reach: Reach) -> FreeFingering:
    """Read the steps back as places and fingers."""
    motion: dict[int, Motion] = {}
    burst = 0
    for at, (layer, step) in enumerate(zip(passage.layers, steps, strict=True)):
        burst += at > 0 and layer.new_hand
        for number, (string, fret, finger) in zip(layer.struck, step.posture.stopped, strict=True):
            note, hand = passage.notes[number], step.hand
            motion[number] = Motion(
                number,
                passage.onsets[number],
                note.duration,
                string,
                fret,
                finger,
                hand.position,
                burst,
                hand.shape.pairs,
            )
    motions = [motion[same] for same in passage.same_as]
    places = iter(motions)
    return FreeFingering(
        tuple(
            tuple(Place(one.string, one.fret) for _, one in zip(moment.notes, places, strict=False))
            for moment in moments
        ),
        fingering_of(motions, steps[-1].points, reach.instrument, reach.lie),
    )
