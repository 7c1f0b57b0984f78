"""Why no hand can play a passage, in a player's words.

Stage:    theory (pure)
In, Out:  a passage and the layer no way leads into; a NoSolution with the numbers of the layers it is about
Not here: where in the music those are: who gave the moments can say that
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from builder.errors import NoSolution
from builder.theory.fingering.moments import Passage
from builder.theory.fingering.postures import Reach
from builder.theory.fretboard import Place


def why_not(
    passage: Passage, at: int, reach: Reach, places: Sequence[Sequence[Place]], held_alone: bool, steady: bool
) -> NoSolution:
    """Return the reason why nothing leads into layer *at*.

    *places* are those open to each note of the passage, *held_alone* says that a hand could take the layer by itself;
    *steady*: a burst is one hand position.
    """
    struck = passage.layers[at].struck
    if not all(places[number] for number in struck):
        return NoSolution("there is no place on the strings allowed", (), (at,))
    burst = _burst(passage, at)
    if all(len(places[number]) == 1 for layer in burst for number in passage.layers[layer].struck):
        return _settled(passage, at, reach, places, burst if steady else [at])
    return NoSolution(
        "no hand gets there with what it holds" if held_alone else "this can't be held by one hand", (), (at,)
    )


def _burst(passage: Passage, at: int) -> list[int]:
    """The layers of the burst that layer *at* belongs to."""
    starts = [k for k, layer in enumerate(passage.layers) if layer.new_hand]
    first = max(k for k in starts if k <= at)
    return list(range(first, min((k for k in starts if k > at), default=len(passage.layers))))


def _settled(
    passage: Passage, at: int, reach: Reach, places: Sequence[Sequence[Place]], scope: Sequence[int]
) -> NoSolution:
    """Why notes that lie where they lie can't be fingered: their reach, or how many fingers they need."""
    together, whole = _frets(passage, at, places), {}
    for layer in reversed(scope):
        whole.update(dict.fromkeys(_frets(passage, layer, places), layer))
    for frets in (dict.fromkeys(together, at), whole):
        mm = reach.instrument.reach_mm(min(frets), max(frets)) if frets else 0.0
        if mm > reach.hand.limit_mm:
            span = f"frets {min(frets)} to {max(frets)} reach {mm:.1f} mm"
            return NoSolution(f"{span}, the hand's limit is {reach.hand.limit_mm:g} mm", (), _blamed(frets))
    where = f"fret {min(whole)}" if len(whole) == 1 else f"frets {min(whole)} to {max(whole)}"
    if any(passage.notes[number].finger for layer in scope for number in _sounding(passage, layer)):
        return NoSolution(f"the fingers written for {where} can't be kept in one hand position", (), _blamed(whole))
    return NoSolution(f"{where} can't be held with four fingers", (), _blamed(whole))


def _blamed(frets: dict[int, int]) -> tuple[int, ...]:
    """The layers in which the lowest and the highest of *frets* first sound."""
    return tuple(sorted({frets[min(frets)], frets[max(frets)]}))


def _sounding(passage: Passage, at: int) -> Iterable[int]:
    """The notes struck in a layer or held into it."""
    for k in range(at + 1):
        yield from (number for number in passage.layers[k].struck if k == at or passage.held_until[number] >= at)


def _frets(passage: Passage, at: int, places: Sequence[Sequence[Place]]) -> list[int]:
    """The frets stopped in a layer."""
    return [places[number][0].fret for number in _sounding(passage, at) if places[number] and places[number][0].fret]
