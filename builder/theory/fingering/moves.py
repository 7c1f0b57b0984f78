"""What it costs to go from one moment to the next while notes are held and chords ring on.

Stage:    theory (pure)
In, Out:  the hand after one moment and a posture for the next; points and the hand after that
Source:   fingers stay down while their note sounds and, in a broken chord, until they are needed elsewhere or the hand
          moves: common practice; terms: see the weights file
Not here: what a posture costs by itself (`postures`), the search (`free`)
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from builder.theory.fingering.free_weights import FreeWeights
from builder.theory.fingering.moments import Layer, Passage
from builder.theory.fingering.postures import Posture, Reach, Stopped, barres_clear

_LEAP_FRETS = 3
_STEP = 2
_LONGEST = 0.5  # the rest of a note that is let go counts up to half a whole note


class Down(NamedTuple):
    """A note under the hand: what it is stopped by, its number in the passage."""

    stopped: Stopped
    note: int


class Hand(NamedTuple):
    """Where the hand is after a moment; equal hands have equal futures.

    *down* holds the *struck* notes first, then those kept from before; *idle*: only open strings were struck.
    """

    position: int
    idle: bool
    down: tuple[Down, ...]
    struck: int


BEFORE_ALL = Hand(1, False, (), 0)
"""The hand before the first note."""


class _Ways(dict[int | None, float]):
    """Prices of ways, worked out when they are first asked for."""

    def __init__(self, price: Callable[[int], float]) -> None:
        self.price = price

    def __missing__(self, position: int | None) -> float:
        self[position] = self.price(position) if position is not None else 0.0
        return self[position]


class Outset(NamedTuple):
    """A hand before it goes on: its ways to other positions, the notes that may stay down (and whether they must), and
    what lies near (whether it was struck just now, whether it is held, its pitch)."""

    hand: Hand
    ways: dict[int | None, float]
    staying: tuple[tuple[Down, bool], ...]
    near: tuple[tuple[Stopped, bool, bool, int], ...]


class Moves:
    """One passage and the prices of its moves."""

    def __init__(self, passage: Passage, reach: Reach, weights: FreeWeights, lets_go: bool) -> None:
        self.passage, self.reach, self.weights, self.lets_go = passage, reach, weights, lets_go
        self.midi = tuple(note.midi for note in passage.notes)
        self.at = -1
        self.ways: dict[tuple[int, bool, bool], dict[int | None, float]] = {}

    def outset(self, hand: Hand, at: int) -> Outset:
        """Look at the *hand* before it goes on into layer *at*."""
        held_until, rings_until = self.passage.held_until, self.passage.rings_until
        known = [(down, held_until[down.note] >= at, self.midi[down.note]) for down in hand.down]
        return Outset(
            hand,
            self._ways(hand, at),
            tuple((down, held) for down, held, _ in known if held or rings_until[down.note] >= at),
            tuple((down.stopped, k < hand.struck, held, midi) for k, (down, held, midi) in enumerate(known)),
        )

    def _ways(self, hand: Hand, at: int) -> dict[int | None, float]:
        """What the hand's way to each position costs before layer *at*; the key None is for staying."""
        key = hand.position, hand.idle, not hand.down
        if self.at != at:
            self.at, self.ways = at, {}
        if key not in self.ways:
            layer = self.passage.layers[at]
            ways = _Ways(lambda position: self._shift(hand, position, layer) if hand.down else 0.0)
            ways.update({None: 0.0, hand.position: 0.0})
            self.ways[key] = ways
        return self.ways[key]

    def go(self, outset: Outset, posture: Posture, at: int) -> tuple[float, Hand] | None:
        """The points of going on to *posture* in layer *at*, and the hand then; None if a held note forbids it."""
        hand = outset.hand
        struck = self.passage.layers[at].struck
        position = hand.position if posture.position is None else posture.position
        shifts = bool(hand.down) and position != hand.position
        down = tuple(map(Down, posture.stopped, struck))
        points = outset.ways[posture.position]
        if outset.staying:
            kept = self._kept(outset, posture, at, position, shifts)
            if kept is None:
                return None
            points += kept[0]
            down += kept[1]
        points += self._fingers(outset, posture, struck, shifts)
        idle = not any(finger for _, _, finger in posture.stopped)
        return points, Hand(position, idle, down, len(struck))

    def _kept(
        self, outset: Outset, posture: Posture, at: int, position: int, shifts: bool
    ) -> tuple[float, tuple[Down, ...]] | None:
        """Keep what can stay down beside the posture; the price of that and of what is lifted."""
        points = 0.0
        stopped, kept = list(posture.stopped), []
        for down, held in outset.staying:
            was = down.stopped
            why = self._lifted(was, posture.stopped, stopped, position, shifts and not held)
            if why:
                if held and not self.lets_go:
                    return None
                points += self._let_go(was, down.note, at) if held else self._cut(was, why)
                continue
            kept.append(down)
            stopped.append(was)
            if was[2]:
                points += self._beside(was, posture.stopped, held)
        return points, tuple(kept)

    def _lifted(
        self, was: Stopped, struck: tuple[Stopped, ...], stopped: list[Stopped], position: int, moves: bool
    ) -> str:
        """Why a note can't stay down: its string or its finger is needed, or the hand can't; empty if it can."""
        for note in struck:
            if note[0] == was[0]:
                return "string"
            if not self.reach.fits(note, was):
                return "finger" if note[2] == was[2] else "hand"
        if was[2] and (moves or not self.reach.stands(position, was[1], was[2])):
            return "hand"
        return "" if barres_clear([*stopped, was]) else "hand"

    def _let_go(self, was: Stopped, number: int, at: int) -> float:
        """The price of ending a held note too early."""
        w, passage = self.weights, self.passage
        now = passage.onsets[passage.layers[at].struck[0]]
        left = float(passage.onsets[number] + passage.notes[number].duration - now)
        return w.let_go + w.let_go_early * min(left, _LONGEST) + (0 if was[2] else w.let_go_open)

    def _cut(self, was: Stopped, why: str) -> float:
        """The price of ending a note that only rings on."""
        w = self.weights
        if not was[2]:
            return w.cut_open if why == "string" else 0.0
        return {"string": w.cut_ringing, "finger": w.lift_ringing, "hand": 0.0}[why]

    def _beside(self, was: Stopped, struck: tuple[Stopped, ...], held: bool) -> float:
        """The price of stopping new notes beside one that stays down."""
        w, together = self.weights, self.reach.together
        if held:
            terms, points = (w.held_stretch, w.held_order, w.held_barre, w.held_barre_other), 0.0
        else:
            terms, points = (w.ringing_stretch, w.ringing_order, w.ringing_barre, w.ringing_barre_other), w.keep_ringing
        return points + sum(together(was, note, *terms) for note in struck if note[2])

    def _shift(self, hand: Hand, position: int, layer: Layer) -> float:
        """The price of the hand's way to another position."""
        w = self.weights
        points = w.shift + w.shift_way * abs(self.reach.mm[position] - self.reach.mm[hand.position]) / 30
        if layer.silence:
            points += w.shift_rest
        elif hand.idle:
            points += w.shift_open
        return points + (w.shift_off_beat if layer.off_beat else 0) + w.shift_leaps * layer.leaps

    def _fingers(self, outset: Outset, posture: Posture, struck: tuple[int, ...], shifts: bool) -> float:
        """The price of what single fingers and strings do from the notes before to those struck now."""
        w = self.weights
        points = 0.0
        alone = len(struck) == 1 == outset.hand.struck
        for note, number in zip(posture.stopped, struck, strict=True):
            pitch = self.midi[number]
            again = False
            for was, fresh, held, before in outset.near:
                if before == pitch and not again:
                    again = True
                    points += self._again(was, note)
                if fresh and note[2] and was[2] and was[2] != note[2] and not shifts:
                    points += self._other_finger(was, note)
                if not held:
                    if was[2] == note[2] and note[2]:
                        points += self._same_finger(was, note, fresh, shifts)
                    if was[0] == note[0] and was[1] != note[1]:
                        points += w.string_leap if abs(was[1] - note[1]) >= _LEAP_FRETS else w.string_step
                if alone and fresh:
                    points += self._melody(was, note, abs(pitch - before))
        return points

    def _again(self, was: Stopped, note: Stopped) -> float:
        """The price of striking a pitch that still lies under the hand."""
        w = self.weights
        if was[0] != note[0]:
            return w.again_elsewhere
        if was[2] != note[2]:
            return w.again_other_finger
        return w.again_same if note[2] else 0.0

    def _same_finger(self, was: Stopped, note: Stopped, fresh: bool, shifts: bool) -> float:
        """The price of a finger's going from one place to another."""
        w = self.weights
        if was[:2] == note[:2]:
            return 0.0
        if self.reach.lie.leans and abs(was[1] - note[1]) == 1:
            return w.hop  # of its two frets the other, on whatever string: no more than the roll to the next string
        if was[0] == note[0]:
            return 0.0 if shifts else w.slip if fresh else w.slide_ringing
        if was[1] == note[1]:
            return w.hop if fresh else w.hop_ringing
        return w.jump if fresh and not shifts else 0.0

    def _other_finger(self, was: Stopped, note: Stopped) -> float:
        """The price of two fingers' frets one after the other: crossed, or further apart than the fingers."""
        w = self.weights
        apart = (note[1] - was[1]) * (1 if note[2] > was[2] else -1)
        low, high = sorted((note[2], was[2]))
        spread = apart - (self.reach.lie.widest(low, high) if self.reach.lie.leans else high - low)
        return (w.cross if apart < 0 else 0.0) + w.spread * max(0, min(2, spread))

    def _melody(self, was: Stopped, note: Stopped, interval: int) -> float:
        """The price of how a single line goes from string to string."""
        w = self.weights
        if not interval:
            return 0.0
        if interval > _STEP:
            return w.leap_on_string if was[0] == note[0] else 0.0
        points = w.step_crosses if abs(was[0] - note[0]) == 1 else 0.0
        if not note[2]:
            points += w.open_step + (w.open_crossing if was[2] and was[0] != note[0] else 0.0)
        return points
