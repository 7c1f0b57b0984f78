"""What it costs to go from one moment to the next while notes are held and chords ring on.

Stage:    theory (pure)
In, Out:  the hand after one moment and a posture for the next; points and the hand after that
Source:   fingers stay down while their note sounds and, in a broken chord, until they are needed elsewhere or the hand
          moves: common practice; terms: see the weights file
Not here: what a posture costs by itself (`postures`), the search (`free`)
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from builder.theory.fingering.figures import NO_SHAPE, Figures, Shape, Taken, pairs_of
from builder.theory.fingering.grips import CHORD_NOTES
from builder.theory.fingering.moments import Passage
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

    *down* holds the *struck* notes first, then those kept from before; *idle*: only open strings were struck; *shape*
    is what a figure's hand has kept to so far.
    """

    position: int
    idle: bool
    down: tuple[Down, ...]
    struck: int
    shape: Shape = NO_SHAPE


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
    """A hand before it goes on: whether the hand keeps a shape there, what a line's last moment stopped (an open string
    struck alone, too), its ways to other positions, the notes that may stay down (and whether they must), and
    what lies near (whether it was struck just now, whether it is held, its pitch); *crossings* remembers what a single
    line of a figure pays for its way to a string and fret."""

    hand: Hand
    figure: bool
    before: tuple[Stopped, ...]
    ways: dict[int | None, float]
    staying: tuple[tuple[Down, bool], ...]
    near: tuple[tuple[Stopped, bool, bool, int], ...]
    crossings: dict[tuple[int, int], float]


def _dearer(taken: Taken, points: float) -> Taken:
    return tuple((more + points, shape) for more, shape in taken) if points else taken


class Moves:
    """One passage and the prices of its moves."""

    def __init__(self, passage: Passage, reach: Reach, lets_go: bool, figures: Figures | None) -> None:
        self.passage, self.reach, self.weights, self.lets_go = passage, reach, reach.weights, lets_go
        self.figures = figures
        self.midi = tuple(note.midi for note in passage.notes)
        self.at = -1
        self.ways: dict[tuple[int, bool, bool], dict[int | None, float]] = {}

    def outset(self, hand: Hand, at: int) -> Outset:
        """Look at the *hand* before it goes on into layer *at*."""
        held_until, rings_until = self.passage.held_until, self.passage.rings_until
        figure = self._in_figure(at)
        known = [(down, held_until[down.note] >= at, self.midi[down.note]) for down in hand.down]
        return Outset(
            hand,
            figure,
            tuple(down.stopped for down in hand.down[: hand.struck] if down.stopped[2] or hand.struck == 1),
            self._ways(hand, at),
            tuple((down, held) for down, held, _ in known if held or (not figure and rings_until[down.note] >= at)),
            tuple((down.stopped, k < hand.struck, held, midi) for k, (down, held, midi) in enumerate(known)),
            {},
        )

    def _in_figure(self, at: int) -> bool:
        """Whether the hand keeps a shape in layer *at*, and no note rings on after its end."""
        return self.figures is not None and self.passage.layers[at].in_burst

    def _ways(self, hand: Hand, at: int) -> dict[int | None, float]:
        """What the hand's way to each position costs before layer *at*; the key None is for staying."""
        key = hand.position, hand.idle, not hand.down
        if self.at != at:
            self.at, self.ways = at, {}
        if key not in self.ways:
            ways = _Ways(lambda position: self._shift(hand, position, at) if hand.down else 0.0)
            ways.update({None: 0.0, hand.position: 0.0})
            self.ways[key] = ways
        return self.ways[key]

    def go(self, outset: Outset, posture: Posture, at: int) -> list[tuple[float, Hand]]:
        """The points of going on to *posture* in layer *at*, and the hand then; nothing if what it holds forbids it."""
        hand = outset.hand
        struck = self.passage.layers[at].struck
        position = hand.position if posture.position is None else posture.position
        shifts = bool(hand.down) and position != hand.position
        down = tuple(map(Down, posture.stopped, struck))
        points = outset.ways[posture.position]
        staying: tuple[Down, ...] = ()
        if outset.staying:
            kept = self._kept(outset, posture, at, position, shifts)
            if kept is None:
                return []
            points += kept[0]
            staying = kept[1]
            down += staying
        if outset.figure and len(struck) == 1:
            points += self._crossing(outset, posture, struck)
        else:
            points += self._fingers(outset, posture, struck, shifts)
        idle = not posture.pressed
        if not self.figures or not outset.figure:
            return [(points, Hand(position, idle, down, len(struck)))]
        shaped = self._shaped(self.figures, outset, posture, staying, at, position)
        return [(points + more, Hand(position, idle, down, len(struck), shape)) for more, shape in shaped]

    def approach(self, outset: Outset, posture: Posture, at: int) -> float:
        """The least points of a single line's way to *posture* in a figure, before its shape is priced."""
        return outset.ways[posture.position] + self._crossing(outset, posture, self.passage.layers[at].struck)

    def arrival(self, posture: Posture) -> float:
        """The price of the shape that a hand takes which comes to a single note of a figure."""
        if not self.figures or posture.position is None or not posture.pressed:
            return 0.0
        return self.figures.arrive(posture.pressed, posture.position, True)[0][0]

    def _shaped(
        self, figures: Figures, outset: Outset, posture: Posture, kept: Sequence[Down], at: int, position: int
    ) -> Taken:
        """The shapes that a figure's hand may keep or take, each with its price."""
        hand, new_hand = outset.hand, self.passage.layers[at].new_hand
        pressed, before = posture.pressed, outset.before
        held = tuple(down.stopped for down in kept if down.stopped[2]) if kept else ()
        if not pressed and not held:
            return () if new_hand and hand.shape.owes else ((0.0, self._rested(hand, posture, new_hand)),)
        moved = bool(hand.down) and position != hand.position
        if hand.shape.owes and (new_hand or moved):
            return ()
        if len(posture.stopped) >= CHORD_NOTES:
            return self._taken(outset, pressed, held)
        line = not held and len(pressed) == 1
        same_string = not new_hand and line and len(before) == 1 and before[0][0] == pressed[0][0]
        on_string = self.weights.figure_shift_on_string if same_string and not hand.idle else 0.0
        if new_hand or moved or not hand.shape.pairs:
            return _dearer(figures.arrive(pressed + held, position, line), on_string if moved else 0.0)
        staying, regripped = figures.stay(hand.shape, pressed + held, position, line, same_string)
        if line and len(before) == 1 and before[0][2]:
            staying = _dearer(staying, self._follow(before[0], pressed[0]))
        return staying + _dearer(regripped, on_string)

    def _taken(self, outset: Outset, pressed: tuple[Stopped, ...], held: tuple[Stopped, ...]) -> Taken:
        """The shape of a chord: its grip has paid for it, and the hand takes it anew."""
        shape, down = outset.hand.shape, pairs_of(pressed + held)
        if shape.owes and shape.pairs[0] not in down:
            return ()
        saved = self._saved(outset.before, pressed) if outset.hand.struck >= CHORD_NOTES else 0.0
        return ((-saved, Shape(down, ())),)

    def _saved(self, before: Sequence[Stopped], pressed: Sequence[Stopped]) -> float:
        """What is saved from chord to chord by fingers that stay down or slide along their string."""
        kept = {finger for string, fret, finger in pressed if (string, fret, finger) in before}
        strings = {(string, finger) for string, _, finger in before}
        slid = {finger for string, _, finger in pressed if (string, finger) in strings} - kept
        return self.weights.grip_kept * len(kept) + self.weights.grip_slid * len(slid)

    def _rested(self, hand: Hand, posture: Posture, new_hand: bool) -> Shape:
        """The shape while only open strings sound."""
        if new_hand:
            return NO_SHAPE
        same = hand.struck == 1 == len(posture.stopped) and hand.down[0].stopped[0] == posture.stopped[0][0]
        return hand.shape._replace(visit=hand.shape.visit if same else ())

    def _follow(self, was: Stopped, note: Stopped) -> float:
        """The price of one finger's playing two notes of a line one right after the other."""
        w = self.weights
        if was[2] != note[2] or was[:2] == note[:2]:
            return 0.0
        if self.reach.lie.leans and abs(was[1] - note[1]) == 1:
            return w.figure_lean
        if was[0] == note[0]:
            return w.figure_slide
        if was[1] != note[1]:
            return w.figure_jump
        return w.figure_roll if abs(was[0] - note[0]) == 1 else w.figure_hop

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
        return "" if barres_clear([*stopped, was], False) else "hand"

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

    def _shift(self, hand: Hand, position: int, at: int) -> float:
        """The price of the hand's way to another position."""
        w, layer = self.weights, self.passage.layers[at]
        if self._in_figure(at):
            frets = abs(position - hand.position)
            if len(layer.struck) >= CHORD_NOTES:
                return w.grip_travel * frets
            if layer.new_hand and layer.silence:
                return w.figure_rest_fret * frets
            return (w.figure_shift_open if hand.idle else w.figure_shift) + w.figure_shift_fret * frets
        points = w.shift + w.shift_way * abs(self.reach.mm[position] - self.reach.mm[hand.position]) / 30
        if layer.silence:
            points += w.shift_rest
        elif hand.idle:
            points += w.shift_open
        return points + (w.shift_off_beat if layer.off_beat else 0) + w.shift_leaps * layer.leaps

    def _crossing(self, outset: Outset, posture: Posture, struck: tuple[int, ...]) -> float:
        """The price of a single line's way to a string and fret of a figure, whichever finger plays there."""
        string, fret, _ = posture.stopped[0]
        if (string, fret) not in outset.crossings:
            outset.crossings[string, fret] = self._fingers(outset, posture, struck, False)
        return outset.crossings[string, fret]

    def _fingers(self, outset: Outset, posture: Posture, struck: tuple[int, ...], shifts: bool) -> float:
        """The price of what single fingers and strings do from the notes before to those struck now.

        In a figure the hand's shape prices the fingers.
        """
        w, figure = self.weights, outset.figure
        points = 0.0
        alone = len(struck) == 1 == outset.hand.struck
        for note, number in zip(posture.stopped, struck, strict=True):
            pitch = self.midi[number]
            again = False
            for was, fresh, held, before in outset.near:
                if before == pitch and not again:
                    again = True
                    points += self._again(was, note, figure)
                if fresh and note[2] and was[2] and was[2] != note[2] and not shifts and not figure:
                    points += self._other_finger(was, note)
                if not held:
                    if was[2] == note[2] and note[2] and not figure:
                        points += self._same_finger(was, note, fresh, shifts)
                    if was[0] == note[0] and was[1] != note[1]:
                        points += w.string_leap if abs(was[1] - note[1]) >= _LEAP_FRETS else w.string_step
                if alone and fresh:
                    points += self._melody(was, note, abs(pitch - before))
        return points

    def _again(self, was: Stopped, note: Stopped, figure: bool) -> float:
        """The price of striking a pitch that still lies under the hand."""
        w = self.weights
        if was[0] != note[0]:
            return w.again_elsewhere
        if was[2] != note[2]:
            return 0.0 if figure else w.again_other_finger
        return w.again_same if note[2] and not figure else 0.0

    def _same_finger(self, was: Stopped, note: Stopped, fresh: bool, shifts: bool) -> float:
        """The price of a finger's going from one place to another."""
        w = self.weights
        if was[:2] == note[:2]:
            return 0.0
        if was[0] == note[0]:
            return 0.0 if shifts else w.slip if fresh else w.slide_ringing
        if was[1] == note[1]:
            return w.hop if fresh else w.hop_ringing
        return w.jump if fresh and not shifts else 0.0

    def _other_finger(self, was: Stopped, note: Stopped) -> float:
        """The price of two fingers' frets one after the other: crossed, or further apart than the fingers."""
        w = self.weights
        apart = (note[1] - was[1]) * (1 if note[2] > was[2] else -1)
        spread = apart - abs(note[2] - was[2])
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
