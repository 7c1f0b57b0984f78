"""How time is written: note values, dots, ties, tuplets, rests and beams of every bar.

Stage:    4 lay out (pure)
In, Out:  a `Study`; for every bar and voice the `Item`s to print, each one written note, chord or rest
Units:    fractions of a whole note; onsets from the start of the study
Source:   values that show the beat, rests that never hide it: E. Gould, *Behind Bars*, 2011, chapters on grouping,
          as far as common practice agrees; the choices in doubtful cases are our own and say so
Not here: slurs, slides and bends (`joining`), the text LilyPond reads (`engraving.lilypond_notes`), where systems
          break (`layout`)
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from itertools import groupby, pairwise
from math import lcm
from typing import Literal

from builder.theory.rhythm import Meter
from builder.theory.score import Note, Rest, Study

Ratio = tuple[int, int]
Arc = Literal["", "(", ")"]
Stretch = tuple[Fraction, Fraction, bool]  # start and end of a moment, counted from the barline; whether it sounds
_REMEMBERED = 4096  # bars of a study are much alike: what was worked out for one serves the others


@dataclass(frozen=True, slots=True)
class Value:
    """A written value: 1, 2, 4, … of a whole note, with dots."""

    base: int
    dots: int = 0


@dataclass(frozen=True, slots=True)
class Join:
    """How a written note hangs together with its neighbours.

    *staff*, *tab*: a slur that begins or ends here; *slides*: a line leads on to the next note; *source*: the onset of
    the note a slurred one was reached from, None where it is struck or comes out of silence.
    """

    staff: Arc = ""
    tab: Arc = ""
    slides: bool = False
    source: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Item:
    """One written note, chord (several notes) or rest (no notes).

    *fresh* = begins here; *held* says of each note whether a tie leads on; *opens* begins a tuplet, *closes* ends it;
    *beam* is the LilyPond sign; *checkpoint* is the cue id printed under a rest; *join* is filled in by `joining`.
    """

    onset: Fraction
    length: Fraction
    value: Value
    notes: tuple[Note, ...] = ()
    fresh: bool = False
    held: tuple[bool, ...] = ()
    full_bar: bool = False
    opens: Ratio | None = None
    closes: bool = False
    beam: Literal["", "[", "]"] = ""
    checkpoint: str | None = None
    join: Join = Join()


Voice = tuple[Item, ...]
WrittenBar = tuple[Voice, ...]


@dataclass(frozen=True, slots=True)
class _Moment:
    """What one voice does from *start* to *end*, counted from the barline."""

    start: Fraction
    end: Fraction
    notes: tuple[Note, ...]
    held: tuple[bool, ...]
    fresh: bool = True
    checkpoint: str | None = None


@dataclass(frozen=True, slots=True)
class _Span:
    """Whole beats under one tuplet bracket, counted from the barline."""

    start: Fraction
    end: Fraction
    ratio: Ratio


def written_bars(study: Study) -> tuple[WrittenBar, ...]:
    """Return every bar of *study* as written, voice by voice; each voice fills the bar."""
    numbers = sorted({event.voice for event in study.events})
    voices = {number: _moments(study, number) for number in numbers}
    return tuple(
        tuple(_write_bar(voices[number].get(bar, ()), bar, study.meter) for number in numbers)
        for bar in range(1, study.bars + 1)
    )


def _moments(study: Study, voice: int) -> dict[int, tuple[_Moment, ...]]:
    """What happens in *voice*, by bar; ties look across the barline."""
    events = [event for event in study.events if event.voice == voice]
    groups = [tuple(group) for _, group in groupby(events, key=lambda event: event.onset)]
    found: dict[int, list[_Moment]] = {}
    for group, after in zip(groups, [*groups[1:], ()], strict=True):
        first = group[0]
        start = first.onset - (first.bar - 1) * study.meter.bar
        notes = tuple(sorted((e for e in group if isinstance(e, Note)), key=lambda note: note.pitch.midi))
        going_on = {(e.pitch, e.string) for e in after if isinstance(e, Note) and e.tied}
        held = tuple((note.pitch, note.string) in going_on for note in notes)
        fresh = not all(note.tied for note in notes)
        cue = first.checkpoint if isinstance(first, Rest) else None
        moment = _Moment(start, start + first.duration, notes, held, fresh, cue)
        found.setdefault(first.bar, []).append(moment)
    return {bar: tuple(moments) for bar, moments in found.items()}


def _write_bar(moments: tuple[_Moment, ...], bar: int, meter: Meter) -> Voice:
    began = (bar - 1) * meter.bar
    if len(moments) == 1 and not moments[0].notes:
        return (Item(began, meter.bar, Value(1), full_bar=True, checkpoint=moments[0].checkpoint),)
    shape = tuple((moment.start, moment.end, bool(moment.notes)) for moment in moments)
    return tuple(_dressed(piece, moments[piece.moment], began) for piece in _shaped(shape, meter))


@dataclass(frozen=True, slots=True)
class _Piece:
    """A written piece of moment number *moment*, *first* and *last* among its pieces; the rest as in `Item`."""

    moment: int
    first: bool
    last: bool
    onset: Fraction
    length: Fraction
    value: Value
    sounds: bool
    opens: Ratio | None = None
    closes: bool = False
    beam: Literal["", "[", "]"] = ""


def _dressed(piece: _Piece, moment: _Moment, began: Fraction) -> Item:
    """The item of *piece* with the notes of its moment."""
    return Item(
        onset=piece.onset + began,
        length=piece.length,
        value=piece.value,
        notes=moment.notes,
        fresh=moment.fresh and piece.first,
        held=moment.held if piece.last else (True,) * len(moment.notes),
        opens=piece.opens,
        closes=piece.closes,
        beam=piece.beam,
        checkpoint=moment.checkpoint if piece.first else None,
    )


@lru_cache(maxsize=_REMEMBERED)
def _shaped(shape: tuple[Stretch, ...], meter: Meter) -> tuple[_Piece, ...]:
    """How a bar of this rhythm is written, whatever its notes."""
    spans = _tuplet_spans(shape, meter)
    pieces = [piece for number in range(len(shape)) for piece in _write_moment(shape, number, spans, meter)]
    return tuple(_beamed(_bracketed(pieces, spans), spans, meter))


# --- tuplets --------------------------------------------------------------------------------------------------------


def dyadic(value: Fraction) -> bool:
    """Whether *value* can be reached by halving whole notes, so that it needs no tuplet."""
    return value.denominator & (value.denominator - 1) == 0


def _tuplet_spans(shape: tuple[Stretch, ...], meter: Meter) -> tuple[_Span, ...]:
    """The beats that need a bracket, joined where a note with no plain end leads from one into the next."""
    beats = [k * meter.beat for k in range(int(meter.bar / meter.beat) + 1)]
    spans, k = [], 0
    while k < len(beats) - 1:
        last = k + 1
        if _ratio(shape, beats[k], beats[last], meter):
            while last < len(beats) - 1 and any(
                start < beats[last] < end and sounds and not dyadic(end) for start, end, sounds in shape
            ):
                last += 1
            ratio = _ratio(shape, beats[k], beats[last], meter)
            if ratio:
                spans.append(_Span(beats[k], beats[last], ratio))
        k = last
    return tuple(spans)


def _ratio(shape: tuple[Stretch, ...], start: Fraction, end: Fraction, meter: Meter) -> Ratio | None:
    """The tuplet that the edges between *start* and *end* ask for; None when plain values do."""
    length = end - start
    inside = [(edge - start) / length for a, b, _ in shape for edge in (a, b) if start < edge < end]
    parts = lcm(*(edge.denominator for edge in inside)) if inside else 1
    struck = [b - a for a, b, sounds in shape if sounds and start <= a and b <= end]
    even = bool(struck) and all(duration == length / parts for duration in struck)
    odd = parts // (parts & -parts)
    ternary = length.numerator % 3 == 0
    if (odd == 1 and not (ternary and parts >= 4 and even)) or (ternary and odd == 3):
        return None
    # 6 in the time of 4 only where the notes are sextuplet notes throughout; mixed values read better as 3 in 2.
    count = parts if even or ternary else odd
    return count, _usual(count, ternary)


def _usual(count: int, ternary: bool) -> int:
    """How many plain notes stand in the place of *count*: the next smaller 2^k, in ternary beats 3·2^k."""
    usual = 3 if ternary else 1
    while usual * 2 <= count:
        usual *= 2
    return usual


def _bracketed(items: list[_Piece], spans: tuple[_Span, ...]) -> list[_Piece]:
    """Open and close each span at its first and last item."""
    for span in spans:
        inside = [k for k, item in enumerate(items) if span.start <= item.onset < span.end]
        items[inside[0]] = replace(items[inside[0]], opens=span.ratio)
        items[inside[-1]] = replace(items[inside[-1]], closes=True)
    return items


# --- values -----------------------------------------------------------------------------------------------------------


def _write_moment(shape: tuple[Stretch, ...], number: int, spans: tuple[_Span, ...], meter: Meter) -> Iterator[_Piece]:
    """The written pieces of one note, chord or rest, tied where it is a note."""
    begin, stop, sounds = shape[number]
    cuts = {edge for span in spans for edge in (span.start, span.end) if begin < edge < stop}
    edges = sorted({begin, stop, *cuts})
    pieces: list[tuple[Fraction, Fraction, Value]] = []
    for start, end in pairwise(edges):
        span = next((s for s in spans if s.start <= start < s.end), None)
        pieces += _in_tuplet(start, end, span) if span else _plain(start, end, sounds, meter)
    for k, (start, end, value) in enumerate(pieces):
        yield _Piece(number, k == 0, k == len(pieces) - 1, start, end - start, value, sounds)


def _in_tuplet(start: Fraction, end: Fraction, span: _Span) -> Iterator[tuple[Fraction, Fraction, Value]]:
    """The longest values first: inside a bracket there is no beat to show."""
    scale = Fraction(*span.ratio)
    while start < end:
        length = end - start
        while (value := _value(length * scale)) is None:
            length -= _smallest_bit(length * scale) / scale
        yield start, start + length, value
        start += length


def _smallest_bit(length: Fraction) -> Fraction:
    return Fraction(length.numerator & -length.numerator, length.denominator)


def _value(length: Fraction) -> Value | None:
    """The note value of this length, plain or with one dot; None where there is none."""
    if not dyadic(length) or length > Fraction(3, 2):
        return None
    if length.numerator == 1:
        return Value(length.denominator)
    return Value(length.denominator // 2, 1) if length.numerator == 3 and length.denominator > 1 else None


def _plain(start: Fraction, end: Fraction, sounds: bool, meter: Meter) -> Iterator[tuple[Fraction, Fraction, Value]]:
    """Pieces that show the meter: a note may run over a beat only when it begins on an equal or stronger one."""
    while start < end:
        stop = _note_stop(start, end, meter) if sounds else _rest_stop(start, end, meter)
        value = _value(stop - start)
        if value is None:
            raise ValueError(f"no note value for {stop - start} of a whole note in {meter}")
        yield start, stop, value
        start = stop


@lru_cache(maxsize=_REMEMBERED)
def _note_stop(start: Fraction, end: Fraction, meter: Meter) -> Fraction:
    """Where the first written piece of a note ends."""
    inner = _inner_points(start, end, meter)
    strongest = min((_strength(point, meter) for point in inner), default=99)
    within_beat = strongest > _BEAT
    if _value(end - start) and (within_beat or _strength(start, meter) <= strongest):
        return end
    cut = [point for point in inner if _strength(point, meter) == strongest][-1]
    return _note_stop(start, cut, meter)


_BAR, _HALF_BAR, _BEAT = 0, 1, 2


@lru_cache(maxsize=_REMEMBERED)
def _strength(point: Fraction, meter: Meter) -> int:
    """How strong *point* is in the bar: 0 the barline, 1 the middle of four beats, 2 a beat, then ever weaker."""
    if point % meter.bar == 0:
        return _BAR
    if meter.count in (4, 12) and point == meter.bar / 2:
        return _HALF_BAR
    if point in beat_starts(meter):
        return _BEAT
    step, level = _first_division(meter), _BEAT + 1
    while point % step:
        step, level = step / 2, level + 1
    return level


def _inner_points(start: Fraction, end: Fraction, meter: Meter) -> list[Fraction]:
    """The points between *start* and *end* on the finest grid either of them needs."""
    step = _first_division(meter)
    while start % step or end % step:
        step /= 2
    count = int((end - start) / step)
    return [start + k * step for k in range(1, count)]


@lru_cache(maxsize=_REMEMBERED)
def _rest_stop(start: Fraction, end: Fraction, meter: Meter) -> Fraction:
    """Where the first rest ends: the largest part of the meter that begins here and fits."""
    for size in _rest_sizes(start, meter):
        if start + size <= end and _value(size):
            return start + size
    raise ValueError(f"no rest from {start} to {end} in {meter}")


def _rest_sizes(start: Fraction, meter: Meter) -> Iterator[Fraction]:
    if meter.count in (4, 12) and start % (meter.bar / 2) == 0:
        yield meter.bar / 2
    starts = beat_starts(meter)
    if start in starts:
        later = [point for point in (*starts, meter.bar) if point > start]
        yield later[0] - start
    step = _first_division(meter)
    while True:
        if start % step == 0:
            yield step
        step /= 2


def _first_division(meter: Meter) -> Fraction:
    """The first parts of a beat: thirds of a dotted one, units of grouped beats, halves of any other."""
    if meter.groups or meter.beat.numerator == 3:
        return Fraction(1, meter.unit)
    return meter.beat / 2


# --- beams ------------------------------------------------------------------------------------------------------------


@lru_cache(maxsize=_REMEMBERED)
def beat_starts(meter: Meter) -> tuple[Fraction, ...]:
    """Where the felt beats of a bar begin, counted from the barline.

    Without groups an odd number of eighths is felt in twos with a three at the end (our own choice).

    >>> [str(start) for start in beat_starts(Meter(7, 8, (2, 2, 3)))]
    ['0', '1/4', '1/2']
    """
    if meter.unit >= 8 and meter.beat.numerator != 3:
        threes = meter.count % 2
        groups = meter.groups or (
            (3,) if meter.count == 3 else (2,) * ((meter.count - 3 * threes) // 2) + (3,) * threes
        )
        lengths = [Fraction(group, meter.unit) for group in groups]
    else:
        lengths = [meter.beat] * int(meter.bar / meter.beat)
    return tuple(sum(lengths[:k], Fraction(0)) for k in range(len(lengths)))


def _beamed(items: list[_Piece], spans: tuple[_Span, ...], meter: Meter) -> list[_Piece]:
    """Join flagged notes of one beat or one bracket; a rest or a longer note ends the beam."""
    starts = list(beat_starts(meter))
    if meter.unit < 4:
        starts = [k * Fraction(1, 4) for k in range(int(meter.bar * 4))]

    def place(item: _Piece) -> tuple[bool, bool, Fraction]:
        span = next((s for s in spans if s.start <= item.onset < s.end), None)
        start = span.start if span else max(point for point in starts if point <= item.onset)
        return item.sounds and item.value.base >= 8, span is not None, start

    beamed: list[_Piece] = []
    for (flagged, _, _), group in groupby(items, key=place):
        run = list(group)
        if flagged and len(run) > 1:
            run[0], run[-1] = replace(run[0], beam="["), replace(run[-1], beam="]")
        beamed += run
    return beamed
