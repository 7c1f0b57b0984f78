"""Rests, barlines, bar numbers and the meter against a study's document.

Stage:    page critic
In, Out:  places of notes and the `Reading`s they are in; `Finding`s
Units:    durations in whole notes; places in millimetres from the upper left corner
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from builder.critic.expected import Expected, Moment, Silence
from builder.critic.finding import Finding
from builder.critic.notes import Reading
from builder.critic.places import Heads, Systems, of_reading, space

_REST_REACH = 2.5  # staff spaces: a rest of one voice stands this near to the note another voice begins


def bar_findings(wanted: Expected, places: Heads, systems: Systems) -> Iterator[Finding]:
    """Return what is wrong with rests and bars."""
    yield from (_rests if wanted.voices == 1 else _rests_of_voices)(wanted, places, systems)
    yield from _bar_numbers(wanted, places, systems)
    yield from _barlines(wanted, systems)
    yield from _strokes(systems)
    yield from _between(wanted, places, systems)
    yield from _meter(wanted, systems)


def _barlines(wanted: Expected, systems: Systems) -> Iterator[Finding]:
    """As many bars end as the study has; the sign that opens a repeat ends none."""
    count = 0
    for _, reading in systems:
        signs = [chord.left for chord in reading.chords] + [column.x for column in reading.digits]
        first = min([*signs, *(rest.x for rest in reading.rests)], default=reading.system.x1)
        count += sum(x > first for x in reading.barlines)
    if count != wanted.bars:
        page, reading = systems[-1]
        message = f"{count} bars end with a barline, the study has {wanted.bars}"
        yield Finding(page.number, (reading.system.x1, reading.system.top), "barline", message)


def _strokes(systems: Systems) -> Iterator[Finding]:
    """A barline goes through all staves of its system, and no other upright line stands in one."""
    for page, reading in systems:
        for x, y in reading.broken:
            yield Finding(page.number, (x, y), "barline", "an upright line that is no whole barline")
        for x, y in reading.half_signs:
            yield Finding(page.number, (x, y), "barline", "a repeat sign without all of its dots")


def _between(wanted: Expected, places: Heads, systems: Systems) -> Iterator[Finding]:
    """A barline stands between the notes of two bars, none within a bar."""
    for page, reading in systems:
        here = [(seen.notes.x, seen.notes.place, moment.bar) for seen, moment in of_reading(reading, places)]
        if wanted.voices == 1:
            here = sorted([*here, *_rests_in_bars(wanted, reading, of_reading(reading, places))])
        for (x, _, bar), (beyond, place, later) in pairwise(here):
            count = sum(x < line < beyond for line in reading.barlines)
            if count != later - bar:
                message = f"{count} barlines between a note or rest of bar {bar} and one of bar {later}"
                yield Finding(page.number, place, "barline", message)


def _rests_in_bars(wanted: Expected, reading: Reading, here: Heads) -> Iterator[tuple[float, tuple[float, float], int]]:
    """Rests with the bar that each must stand in, as long as what is before them in their system adds up."""
    xs = [seen.notes.x for seen, _ in here]
    ends = [moment.onset + max(moment.lengths) for _, moment in here]
    for index in range(1, len(here) + 1):
        onset = ends[index - 1]
        beyond = xs[index] if index < len(xs) else reading.system.x1
        for rest in reading.rests:
            if xs[index - 1] < rest.x < beyond:
                yield rest.x, (rest.x, rest.y), int(onset // wanted.bar_length) + 1
                onset += wanted.bar_length if rest.whole and _alone(rest.x, xs, reading) else rest.length


def _meter(wanted: Expected, systems: Systems) -> Iterator[Finding]:
    """The first system says how bars are counted."""
    page, reading = systems[0]
    if reading.system.staff is not None and reading.meter != wanted.meter:
        place = reading.system.staff.clef.x, reading.system.top
        yield Finding(page.number, place, "meter", f"reads {reading.meter or 'none'}, not {wanted.meter}")
    for page, reading in systems[1:]:
        if reading.meter:
            yield Finding(page.number, (reading.system.x0, reading.system.top), "meter", f"reads {reading.meter} again")


def _rests(wanted: Expected, places: Heads, systems: Systems) -> Iterator[Finding]:
    """All rests between one note and the next, added up, against the silence there."""
    onsets = [moment.onset for _, moment in places]
    if onsets != [moment.onset for moment in wanted.moments]:
        return  # notes are wrong already: what lies between them can't be told
    read = _read_rests(wanted, places, systems)
    silences = {bisect_left(onsets, silence.onset): silence for silence in wanted.silences}
    for index in sorted({*read, *silences}):
        total, place, count = read.get(index, (Fraction(0), None, 0))
        silence = silences.get(index)
        page, where = place or _before(places, index)
        if silence is None:
            yield Finding(page, where, "rest", "a rest where the study has none")
        elif not count:
            yield Finding(page, where, "rest", f"the rest of {silence.length} is missing")
        elif _even(silence) and total != silence.length:
            yield Finding(page, where, "rest", f"rests add up to {total}, not {silence.length}")


def _rests_of_voices(wanted: Expected, places: Heads, systems: Systems) -> Iterator[Finding]:
    """With several voices: where one falls silent while another begins, a rest stands; all rests add up."""
    if wanted.silences and all(map(_even, wanted.silences)):
        read = [rest for _, reading in systems for rest in reading.rests]
        total = sum((wanted.bar_length if rest.whole else rest.length for rest in read), Fraction(0))
        silent = sum((silence.length for silence in wanted.silences), Fraction(0)) - _shared(wanted)
        if total != silent:
            page, reading = systems[0]
            place = reading.system.x0, reading.system.top
            yield Finding(page.number, place, "rest", f"the rests of all voices add up to {total}, not {silent}")
    begun = {moment.onset: (seen, moment) for seen, moment in places}
    for silence in wanted.silences:
        if silence.onset not in begun:
            continue
        seen, moment = begun[silence.onset]
        reach = _REST_REACH * space(seen.reading)
        if not any(abs(rest.x - seen.notes.x) < reach for rest in seen.reading.rests):
            yield seen.finding("rest", f"bar {moment.bar}: the rest of {silence.length} is missing")


def _shared(wanted: Expected) -> Fraction:
    """Voices that fall silent together for as long, or for a whole bar, have one rest: what the others would add."""
    alike = Counter((silence.onset, silence.onset + silence.length) for silence in wanted.silences)
    together = sum(((end - begin) * (count - 1) for (begin, end), count in alike.items()), Fraction(0))
    spans = list(alike)
    starts = [number * wanted.bar_length for number in range(wanted.bars)]
    counts = [sum(a <= start and start + wanted.bar_length <= b for a, b in spans) for start in starts]
    return together + wanted.bar_length * sum(count - 1 for count in counts if count > 1)


def _read_rests(
    wanted: Expected, places: Heads, systems: Systems
) -> dict[int, tuple[Fraction, tuple[int, tuple[float, float]], int]]:
    """The sum of rests before each note by its number, where the first one stands, and how many there are."""
    read: dict[int, tuple[Fraction, tuple[int, tuple[float, float]], int]] = {}
    index = 0
    for page, reading in systems:
        xs = [seen.notes.x for seen, _ in of_reading(reading, places)]
        for rest in reading.rests:
            number = index + bisect_left(xs, rest.x)
            length = wanted.bar_length if rest.whole and _alone(rest.x, xs, reading) else rest.length
            total, place, count = read.get(number, (Fraction(0), (page.number, (rest.x, rest.y)), 0))
            read[number] = (total + length, place, count + 1)
        index += len(xs)
    return read


def _alone(x: float, xs: Sequence[float], reading: Reading) -> bool:
    """Whether nothing else stands between two barlines: then a whole rest fills the bar."""
    bar = bisect_left(reading.barlines, x)
    others = [*xs, *(rest.x for rest in reading.rests if rest.x != x)]
    return all(bisect_left(reading.barlines, other) != bar for other in others)


def _even(silence: Silence) -> bool:
    """Whether plain values can write it: rests under a tuplet bracket are shorter than they look."""
    lower = silence.length.denominator
    return not lower & (lower - 1)


def _before(places: Heads, index: int) -> tuple[int, tuple[float, float]]:
    seen = places[min(index, len(places) - 1)][0]
    return seen.page.number, seen.notes.place


def _bar_numbers(wanted: Expected, places: Heads, systems: Systems) -> Iterator[Finding]:
    # The very first system has no number: what stands there is a fret under a map turned round.
    ended = False
    for page, reading in systems:
        here = of_reading(reading, places)
        if here:
            first = here[0][1]
            number = reading.bar_number
            bar = _first_bar(first, here[0][0].notes.x, reading, wanted)
            place = reading.system.x0, reading.system.top
            if number is None and ended:
                yield Finding(page.number, place, "bar-number", f"the number of bar {bar} is missing")
            elif number is not None and reading is not systems[0][1] and int(number.value) != bar:
                message = f"reads {number.value}, but the system begins with bar {bar}"
                yield Finding(page.number, (number.x, number.y), "bar-number", message)
        bars = reading.barlines
        ended = bool(bars) and reading.system.x1 - bars[-1] < 2 * space(reading)


def _first_bar(first: Moment, x: float, reading: Reading, wanted: Expected) -> int:
    """The bar in which a system begins: bars of rest may come before its first note."""
    rests = [rest.x for rest in reading.rests]
    return first.bar - sum(line < x and any(rest < line for rest in rests) for line in reading.barlines)
