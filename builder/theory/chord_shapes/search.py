"""Find the shapes of a chord, best first.

Stage:    theory (pure)
In, Out:  a chord, an instrument, a hand, a request; `ChordShape`s, or NoSolution with a reason for the player
Units:    points as in `prices`
Not here: what sounds (`voicings`), which finger goes where (`fingering.postures`), from shape to shape (`changes`)
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from heapq import heappush, heapreplace
from itertools import islice

from builder.errors import NoSolution
from builder.theory.chord_shapes.prices import ShapePrices
from builder.theory.chord_shapes.shape import DECIMALS, ChordShape, Frets, ShapeRequest
from builder.theory.chord_shapes.tones import Tones, chord_tones, listed
from builder.theory.chord_shapes.voicings import Voicing, usable_strings, voicings
from builder.theory.fingering import Reach, Weights
from builder.theory.fretboard import Hand, Instrument, Place
from builder.theory.harmony import Chord
from builder.theory.pitch import Pitch, lowest_at_or_above

_MOST_GRIPS = 4  # fingerings of one shape among those a player would think of

_Rank = tuple[float, tuple[int, ...], tuple[int, ...]]


@dataclass(frozen=True, slots=True)
class _Wanted:
    """What every step of a search needs to know."""

    chord: Chord
    instrument: Instrument
    hand: Hand
    request: ShapeRequest
    prices: ShapePrices
    weights: Weights
    reach: Reach


def _wanted(
    chord: Chord, instrument: Instrument, hand: Hand, request: ShapeRequest, prices: ShapePrices, weights: Weights
) -> _Wanted:
    return _Wanted(chord, instrument, hand, request, prices, weights, Reach(instrument, hand, weights))


def chord_shapes(
    chord: Chord,
    instrument: Instrument,
    hand: Hand,
    request: ShapeRequest,
    prices: ShapePrices,
    weights: Weights,
    most: int = 12,
) -> tuple[ChordShape, ...]:
    """Return the *most* best shapes, best first; ties go to the lower frets from string 1 on, then to the fingers.

    Raises NoSolution when the chord can't be held so.
    """
    tones = chord_tones(chord, request)
    _check_request(chord, tones, instrument, request)
    wanted = _wanted(chord, instrument, hand, request, prices, weights)
    best: list[tuple[_Rank, ChordShape]] = []  # a heap of negated ranks: its root is the worst one kept
    laid = voicings(tones, instrument, request, prices, wanted.reach.grips)
    for voicing in sorted(laid, key=lambda one: (one.least, _order(one.frets))):
        if len(best) == most and voicing.least > -best[0][0][0]:
            break  # all that follow cost more than the worst one kept
        for shape in islice(_held(voicing, wanted), _MOST_GRIPS):
            rank = (-shape.points, _negated(shape.frets), _negated(shape.fingers))
            if len(best) < most:
                heappush(best, (rank, shape))
            elif rank > best[0][0]:
                heapreplace(best, (rank, shape))
    if not best:
        raise _nothing_found(tones, wanted)
    return tuple(shape for _, shape in sorted(best, key=lambda pair: pair[0], reverse=True))


def given_shapes(
    chord: Chord, frets: Frets, instrument: Instrument, hand: Hand, prices: ShapePrices, weights: Weights
) -> tuple[ChordShape, ...]:
    """Return the shape with these *frets* in its best fingerings; NoSolution when a note is foreign or no hand can."""
    if len(frets) != instrument.strings:
        raise NoSolution(f"{chord.symbol} names {_counted(len(frets), 'fret')} for {instrument.strings} strings")
    for string, fret in enumerate(frets, start=1):
        if fret is not None and fret > instrument.last_fret:
            raise NoSolution(f"{chord.symbol} needs fret {fret}; the last one is {instrument.last_fret}")
        if fret is not None and not _named(chord, instrument.sound(Place(string, fret))):
            raise NoSolution(f"string {string}, fret {fret} is no tone of {chord.symbol} ({listed(chord.notes)})")
    if all(fret is None for fret in frets):
        raise NoSolution(f"{chord.symbol} has no string that sounds")
    shapes = _held(Voicing(0, 0, frets), _wanted(chord, instrument, hand, ShapeRequest(), prices, weights))
    found = tuple(sorted(shapes, key=lambda shape: (shape.points, _order(shape.fingers))))
    if not found:
        raise NoSolution(f"no four fingers hold {chord.symbol} as written within {hand.limit_mm:g} mm")
    return found


def _check_request(chord: Chord, tones: Tones, instrument: Instrument, request: ShapeRequest) -> None:
    """Raise NoSolution where no search is needed to see that nothing will be found."""
    strings = usable_strings(instrument, request)
    if missing := [string for string in strings if not 1 <= string <= instrument.strings]:
        raise NoSolution(f"there is no string {missing[0]} on the {instrument.name}")
    if request.notes is not None and request.notes > len(strings):
        raise NoSolution(f"{_counted(request.notes, 'note')} do not go on {_counted(len(strings), 'string')}")
    room = request.notes or len(strings)
    if len(tones.needed) > room:
        raise NoSolution(f"{chord.symbol} needs {tones.listed}, and only {_counted(room, 'note')} can sound")
    if request.lowest is not None:
        _check_lowest(request.lowest, strings, chord, tones, instrument)


def _check_lowest(lowest: Place, strings: Sequence[int], chord: Chord, tones: Tones, instrument: Instrument) -> None:
    if lowest.string not in strings:
        raise NoSolution(f"{chord.symbol} may not use string {lowest.string}")
    if instrument.sound(lowest) % 12 not in tones.basses:
        raise NoSolution(f"string {lowest.string}, fret {lowest.fret} is not the bass that {chord.symbol} asks for")


def _counted(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def _held(voicing: Voicing, wanted: _Wanted) -> Iterator[ChordShape]:
    """The voicing under a hand's fingers, in every way it can be held."""
    places = [Place(string, fret) for string, fret in enumerate(voicing.frets, start=1) if fret is not None]
    for held in wanted.reach.held(places):
        asked = held.position if wanted.request.position is None or not any(held.fingers) else wanted.request.position
        points = voicing.points + held.points + wanted.prices.off_position * abs(held.position - asked)
        fingers = {place.string: finger for place, finger in zip(places, held.fingers, strict=True)}
        yield _shape(voicing, wanted, fingers, held.position, round(points, DECIMALS))


def _shape(voicing: Voicing, wanted: _Wanted, fingers: Mapping[int, int], position: int, points: float) -> ChordShape:
    sounds = [
        None if fret is None else wanted.instrument.sound(Place(string, fret))
        for string, fret in enumerate(voicing.frets, start=1)
    ]
    return ChordShape(
        wanted.chord.symbol,
        voicing.frets,
        tuple(None if midi is None else fingers.get(string, 0) for string, midi in enumerate(sounds, start=1)),
        tuple(None if midi is None else _named(wanted.chord, midi) for midi in sounds),
        position,
        points,
    )


def _named(chord: Chord, midi: int) -> Pitch | None:
    """The sound as the chord spells it; None when it is no tone of it."""
    names = (note for note in chord.notes if note.pitch_class == midi % 12)
    return next((lowest_at_or_above(name, midi) for name in names), None)


def _order(row: Iterable[int | None]) -> tuple[int, ...]:
    """A row of frets or fingers so that it compares, silent strings last."""
    return tuple(99 if one is None else one for one in row)


def _negated(row: Iterable[int | None]) -> tuple[int, ...]:
    return tuple(-one for one in _order(row))


def _nothing_found(tones: Tones, wanted: _Wanted) -> NoSolution:
    """Why there is no shape: the hand's reach, its fingers, or the strings."""
    chord, request = wanted.chord, wanted.request
    asked = _asked(request)
    wide = replace(wanted.hand, limit_mm=wanted.instrument.scale_length_mm)
    endless = replace(wanted, hand=wide, reach=Reach(wanted.instrument, wide, wanted.weights))
    laid = list(voicings(tones, wanted.instrument, request, wanted.prices, wanted.reach.grips))
    if any(next(_held(voicing, endless), None) for voicing in laid):
        return NoSolution(f"no shape of {chord.symbol}{asked} lies within the hand's {wanted.hand.limit_mm:g} mm")
    if laid:
        return NoSolution(f"four fingers do not hold {chord.symbol}{asked}")
    return NoSolution(f"{tones.listed} of {chord.symbol} do not lie together on the strings{asked}")


def _asked(request: ShapeRequest) -> str:
    """The wishes that narrow a search, in words."""
    lowest = request.lowest
    wishes = (
        f" with {request.notes} notes" if request.notes is not None else "",
        f" from string {lowest.string}, fret {lowest.fret}" if lowest else "",
        f" in position {request.position}" if request.position is not None else "",
        "" if request.open_strings else " without open strings",
    )
    return "".join(wishes)
