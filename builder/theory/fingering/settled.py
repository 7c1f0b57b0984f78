"""Fingers for notes whose strings and frets are settled.

Stage:    theory (pure)
In, Out:  `Stop`s, the instrument, the hand and the weights; a `Fingering`
Not here: the search (`search`), which takes a settled note as one with a single string to lie on
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from builder.errors import NoSolution
from builder.theory.fingering.moments import FreeNote, Moment
from builder.theory.fingering.search import NeckLimits, finger_freely
from builder.theory.fingering.states import Barre, Fingering, Stop
from builder.theory.fingering.weights import Weights
from builder.theory.fretboard import Hand, Instrument


def finger_passage(
    stops: Sequence[Stop],
    instrument: Instrument,
    hand: Hand,
    weights: Weights,
    shift_in_burst: bool,
    figures: bool = True,
) -> Fingering:
    """Return the least-cost fingering of *stops*; without *shift_in_burst* every burst is one hand position.

    Raises NoSolution where the hand's limit, the number of fingers or the fingers written down forbid it.
    """
    moment_at = {onset: k for k, onset in enumerate(sorted({stop.onset for stop in stops}))}
    for stop in stops:
        _check_finger(stop, moment_at[stop.onset])
    order = sorted(range(len(stops)), key=lambda i: (stops[i].onset, i))
    _check_strings([stops[i] for i in order])
    groups: dict[Fraction, list[Stop]] = {}
    for i in order:
        groups.setdefault(stops[i].onset, []).append(stops[i])
    moments = [
        Moment(
            onset,
            tuple(FreeNote(instrument.open_midi(s.string) + s.fret, s.duration, (s.string,), s.finger) for s in group),
            k == 0 or any(s.new_hand for s in group),
        )
        for k, (onset, group) in enumerate(groups.items())
    ]
    limits = NeckLimits(open_strings=True, shift_in_burst=shift_in_burst, figures=figures)
    return _in_order_given(finger_freely(moments, instrument, hand, weights, limits).fingering, order)


def _in_order_given(found: Fingering, order: Sequence[int]) -> Fingering:
    """The fingering of sorted notes for the notes as they were given."""
    back = sorted(range(len(order)), key=order.__getitem__)
    return replace(
        found,
        fingers=tuple(found.fingers[k] for k in back),
        positions=tuple(found.positions[k] for k in back),
        shapes=tuple(found.shapes[k] for k in back),
        guides=tuple((order[a], order[b]) for a, b in found.guides),
        stretches=tuple(order[k] for k in found.stretches),
        barres=tuple(_barre(barre, order) for barre in found.barres),
    )


def _barre(barre: Barre, order: Sequence[int]) -> Barre:
    return replace(barre, notes=tuple(order[k] for k in barre.notes))


def _check_finger(stop: Stop, moment: int) -> None:
    """A stopped string needs one of four fingers, an open one none."""
    if stop.finger is not None and (stop.finger == 0) != (stop.fret == 0):
        where = "an open string" if stop.fret == 0 else f"fret {stop.fret}"
        raise NoSolution(f"finger {stop.finger} can't play {where} on string {stop.string}", (), (moment,))


def _check_strings(order: Sequence[Stop]) -> None:
    """One string sounds one fret at a time; two voices may share a place."""
    last: dict[int, Stop] = {}
    for stop in order:
        was = last.get(stop.string)
        if was and was.end > stop.onset and was.fret != stop.fret:
            raise NoSolution(f"string {stop.string} would have to sound frets {was.fret} and {stop.fret} at once")
        if not was or stop.end > was.end or was.fret != stop.fret:
            last[stop.string] = stop
