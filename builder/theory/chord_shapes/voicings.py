"""The ways to lay a chord over strings and frets, priced for how they sound and where they lie.

Stage:    theory (pure)
In, Out:  a chord's tones, an instrument, a request; `Voicing`s, each once
Units:    points as in `prices`; frets count from the capo
Not here: what the prices are for (their file), fingers (`fingering.grips`), the choice (`search`)
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise, product

from builder.theory.chord_shapes.prices import ShapePrices
from builder.theory.chord_shapes.shape import Frets, ShapeRequest
from builder.theory.chord_shapes.tones import Tones
from builder.theory.fingering import NARROW_WIDTH, Grips
from builder.theory.fretboard import Instrument, Place

_BASS_NOTES = 3  # on a bass more than three notes together blur, so a fourth string is never missed there

_THIN_AT = 4  # fewer notes than these sound thin
# Two notes so close and so low that they blur: by the interval in semitones, the lowest note over which it sounds
# clear, as arrangers' low interval limits have it within a semitone or two of each other (minor second E3, major second
# Eb3, minor third C3, major third Bb2).
_CLEAR_FROM = {1: 52, 2: 51, 3: 48, 4: 46}
_WIDEST_SECOND = 2
_PERFECT_FOURTH = 5
_OPEN_FRETS = 4  # a start up to here leaves the choice between an open shape and a closed one


@dataclass(frozen=True, slots=True)
class Voicing:
    """Frets of a chord before fingers; *least* is a price no grip of it goes below, its own *points* included."""

    least: float
    points: float
    frets: Frets


@dataclass(frozen=True, slots=True)
class _Choice:
    """One fret on one string and what sounds there."""

    string: int
    fret: int
    midi: int


def usable_strings(instrument: Instrument, request: ShapeRequest) -> tuple[int, ...]:
    """The strings that may sound, rising numbers."""
    return tuple(sorted(set(request.strings or range(1, instrument.strings + 1))))


def voicings(
    tones: Tones, instrument: Instrument, request: ShapeRequest, prices: ShapePrices, grips: Grips
) -> Iterator[Voicing]:
    """Yield every way to lay the chord over the strings within one hand's frets, once each."""
    strings = usable_strings(instrument, request)
    wanted = min(len(strings), _BASS_NOTES) if instrument.position_width <= NARROW_WIDTH else len(strings)
    for low, high in _windows(instrument, request):
        every = {string: _choices(string, low, high, tones, instrument, request) for string in strings}
        for bass, others in _over_each_bass(every, tones, request):
            for chosen in _laid_out(bass, others, strings, tones, request):
                stopped = [choice.fret for choice in chosen if choice.fret]
                if min(stopped, default=0) == low:
                    points = _points(chosen, stopped, wanted, tones, request, prices)
                    yield Voicing(points + grips.least(stopped), points, _row(chosen, instrument))


def _windows(instrument: Instrument, request: ShapeRequest) -> Iterator[tuple[int, int]]:
    """The lowest and highest fret of each place of the hand; 0, 0 for open strings alone."""
    width = instrument.position_width  # frets from the lowest to the highest: one more than lie under the hand at ease
    first, last = 1, instrument.last_fret
    if request.position is not None:
        first, last = max(1, request.position), min(request.position + width, last)
    if request.open_strings and first == 1:
        yield 0, 0
    for low in range(first, last + 1):
        yield low, min(low + width, last)


def _choices(
    string: int, low: int, high: int, tones: Tones, instrument: Instrument, request: ShapeRequest
) -> list[_Choice]:
    """Every tone of the chord, or of its bass, on a string."""
    frets = (*([0] if request.open_strings else []), *range(max(1, low), high + 1))
    found = (_Choice(string, fret, instrument.sound(Place(string, fret))) for fret in frets)
    return [choice for choice in found if choice.midi % 12 in tones.own or choice.midi % 12 in tones.basses]


def _over_each_bass(
    every: Mapping[int, list[_Choice]], tones: Tones, request: ShapeRequest
) -> Iterator[tuple[_Choice, dict[int, list[_Choice]]]]:
    """Each note that may be the lowest, with what may sound above it on the other strings."""
    for bass in (choice for choices in every.values() for choice in choices):
        if bass.midi % 12 not in tones.basses or request.lowest not in (None, Place(bass.string, bass.fret)):
            continue
        yield (
            bass,
            {
                string: [choice for choice in choices if choice.midi % 12 in tones.own and _above(choice, bass)]
                for string, choices in every.items()
                if string != bass.string
            },
        )


def _above(choice: _Choice, bass: _Choice) -> bool:
    """Whether *choice* may sound over the *bass*; of a unison the string with the higher number counts as the bass."""
    return choice.midi > bass.midi or (choice.midi == bass.midi and choice.string < bass.string)


def _laid_out(
    bass: _Choice,
    others: Mapping[int, list[_Choice]],
    strings: tuple[int, ...],
    tones: Tones,
    request: ShapeRequest,
) -> Iterator[tuple[_Choice, ...]]:
    """Every way to sound all the needed tones over one bass note, that note first."""
    for sounding in _sounding(strings, bass.string, request):
        rest = [others[string] for string in sounding if string != bass.string]
        if len(sounding) < len(tones.needed) or not all(rest):
            continue
        for chosen in product(*rest):
            if tones.needed <= {bass.midi % 12, *(choice.midi % 12 for choice in chosen)}:
                yield (bass, *chosen)


def _sounding(strings: tuple[int, ...], bass: int, request: ShapeRequest) -> Iterator[tuple[int, ...]]:
    """The sets of strings that may sound together, *bass* among them."""
    counts = range(2, len(strings) + 1) if request.notes is None else (request.notes,)
    for count in counts:
        if request.inner_mutes:
            yield from (chosen for chosen in combinations(strings, count) if bass in chosen)
            continue
        for first in range(len(strings) - count + 1):
            if bass in strings[first : first + count]:
                yield strings[first : first + count]


def _row(chosen: Sequence[_Choice], instrument: Instrument) -> Frets:
    frets = {choice.string: choice.fret for choice in chosen}
    return tuple(frets.get(string) for string in range(1, instrument.strings + 1))


def _points(
    chosen: Sequence[_Choice],
    stopped: Sequence[int],
    wanted: int,
    tones: Tones,
    request: ShapeRequest,
    prices: ShapePrices,
) -> float:
    """The price of what sounds and where, whichever fingers hold it."""
    high_up = request.lowest is not None and request.lowest.fret > _OPEN_FRETS
    placed = request.position is not None or high_up or not stopped
    points = 0.0 if placed else prices.off_place * abs(min(stopped) - request.near)
    if request.notes is None:
        points += prices.missing * max(0, wanted - len(chosen))
        points += prices.thin * max(0, min(wanted, _THIN_AT) - len(chosen))
    if request.open_strings and len(stopped) == len(chosen):
        points += prices.no_open
    return points + _sound_points(chosen, tones, request, prices)


def _sound_points(chosen: Sequence[_Choice], tones: Tones, request: ShapeRequest, prices: ShapePrices) -> float:
    """The price of missing tones, of unisons, of intervals that blur, of another bass than the root."""
    midis = sorted(choice.midi for choice in chosen)
    steps = [(low, high - low) for low, high in pairwise(midis)]
    on_root = midis[0] % 12 == tones.root
    return (
        prices.spared * len(tones.own - {midi % 12 for midi in midis})
        + prices.unison * _unisons(chosen)
        + sum(_blur_points(low, interval, prices) for low, interval in steps)
        + prices.fourth * (on_root and steps[0][1] == _PERFECT_FOURTH)
        + prices.inverted * (request.bass == "any" and not on_root)
    )


def _blur_points(low: int, interval: int, prices: ShapePrices) -> float:
    if low >= _CLEAR_FROM.get(interval, 0):
        return 0.0
    return prices.blurred_second if interval <= _WIDEST_SECOND else prices.blurred_third


def _unisons(chosen: Sequence[_Choice]) -> int:
    sounds = {choice.string: choice.midi for choice in chosen}
    return sum(midi == sounds.get(string + 1) for string, midi in sounds.items())
