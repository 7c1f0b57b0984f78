"""Metre, beats and the rule that says when notes sound.

Stage:    theory (pure)
Units:    fractions of a whole note
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import accumulate
from typing import Literal


@dataclass(frozen=True, slots=True)
class Meter:
    """*count*/*unit*; *groups* are the beats' lengths in units where they differ (5/8, 7/8), else empty.

    >>> Meter(6, 8).beat, Meter(7, 8, (2, 2, 3)).bar
    (Fraction(3, 8), Fraction(7, 8))
    """

    count: int
    unit: int
    groups: tuple[int, ...] = ()

    @property
    def beat(self) -> Fraction:
        """The counted beat: the lower number's note, dotted for 6, 9, 12 over 8."""
        return Fraction(3 if self.unit == 8 and self.count in (6, 9, 12) else 1, self.unit)

    @property
    def bar(self) -> Fraction:
        """The length of a bar."""
        return Fraction(self.count, self.unit)

    def on_beat(self, within: Fraction) -> bool:
        """Whether a time counted from the barline is the beginning of a beat, or of a group where beats differ.

        >>> seven = Meter(7, 8, (2, 2, 3))
        >>> [n for n in range(7) if seven.on_beat(Fraction(n, 8))]
        [0, 2, 4]
        """
        if not self.groups:
            return within % self.beat == 0
        return within * self.unit in (0, *accumulate(self.groups))

    def __str__(self) -> str:
        return f"{self.count}/{self.unit}"


@dataclass(frozen=True, slots=True)
class RhythmRule:
    """The answer to "when": either *notes_per_beat* or *durations* in turn; *landing* and *rest_at_least* in beats.

    *rest* is `to-barline`, `to-beat`, `none`, or at least so many beats; *burst* cuts a long line, None = don't.
    *notes_per_beat* are taken in turn, beat by beat; *swing* makes two notes a beat long and short. *displace* holds
    how many beats later than it would each burst begins, in turn. *accents*: `bursts` = each burst's first and last
    note, `beats`, `none`, or every so many notes.
    """

    meter: Meter
    notes_per_beat: tuple[int, ...] | None = (4,)
    durations: tuple[Fraction, ...] | None = None
    burst: int | None = None
    landing: Fraction = Fraction(1)
    rest: Literal["to-barline", "to-beat", "none"] | Fraction = "to-barline"
    rest_at_least: Fraction = Fraction(1)
    swing: bool = False
    displace: tuple[Fraction, ...] = (Fraction(0),)
    accents: Literal["bursts", "beats", "none"] | int = "bursts"


@dataclass(frozen=True, slots=True)
class Slot:
    """A stretch of time: note *note* of run *run* (its landing when *lands*), or a rest when *note* is None.

    Never crosses a barline: *continued* marks what goes on from the slot before.
    """

    onset: Fraction
    duration: Fraction
    run: int
    note: int | None
    lands: bool = False
    continued: bool = False


@dataclass(frozen=True, slots=True)
class Timing:
    """What a run needs of time: how long each note lasts, and whether a landing note follows."""

    durations: tuple[Fraction, ...]
    lands: bool


def time_line(runs: tuple[Timing, ...], rule: RhythmRule) -> tuple[Slot, ...]:
    """Place runs in time, every bar full.

    The rest behind a run belongs to that run. Raises nothing: any run meets any rule.
    """
    slots: list[Slot] = []
    now = Fraction(0)
    for number, run in enumerate(runs):
        early = -(now + sum(run.durations, Fraction(0))) % rule.meter.beat if run.lands else Fraction(0)
        late = rule.displace[number % len(rule.displace)] * rule.meter.beat
        now = _add(slots, now, early + late, number, None)
        for k, duration in enumerate(run.durations):
            now = _add(slots, now, duration, number, k)
        if run.lands:
            now = _add(slots, now, rule.landing * rule.meter.beat, number, len(run.durations), lands=True)
        last = number == len(runs) - 1
        now = _add(slots, now, _rest_after(now, rule, last), number, None)
    return tuple(piece for slot in slots for piece in split_at_barlines(slot, rule.meter))


def _add(
    slots: list[Slot], now: Fraction, duration: Fraction, run: int, note: int | None, lands: bool = False
) -> Fraction:
    """Append a slot unless it is empty; return the time behind it."""
    if duration:
        slots.append(Slot(now, duration, run, note, lands))
    return now + duration


def note_lengths(rule: RhythmRule) -> tuple[Fraction, ...]:
    """The lengths that the notes of a run take in turn.

    >>> note_lengths(RhythmRule(Meter(4, 4), (1, 2), swing=True))
    (Fraction(1, 4), Fraction(1, 6), Fraction(1, 12))
    """
    return rule.durations or tuple(length for beat in _beats(rule) for length in beat)


def _beats(rule: RhythmRule) -> list[list[Fraction]]:
    """The lengths of the notes beat by beat, in turn."""
    beat = rule.meter.beat
    # Two notes swung are the outer ones of a triplet: common practice.
    return [
        [beat * 2 / 3, beat / 3] if rule.swing and count == 2 else [beat / count] * count
        for count in rule.notes_per_beat or (1,)
    ]


def timing(rule: RhythmRule, notes: int, lands: bool) -> Timing:
    """The timing of a run of so many notes."""
    if rule.durations or not lands:
        each = note_lengths(rule)
        return Timing(tuple(each[number % len(each)] for number in range(notes)), lands)
    beats = _beats(rule)
    for first in range(len(beats)):
        # The run ends with a beat, so that no tuplet is torn: it begins inside the first beat it can begin in.
        filled: list[Fraction] = []
        number = first
        while len(filled) < notes:
            filled += beats[number % len(beats)]
            number += 1
        late = len(filled) - notes
        if late < len(beats[first]):
            return Timing(tuple(filled[late:]), lands)
    raise ValueError("a beat with the most notes takes every remainder")


def unit(rule: RhythmRule) -> Fraction:
    """The shortest note of a run."""
    return min(note_lengths(rule))


def grid_slot(within: Fraction, lengths: Sequence[Fraction]) -> int:
    """The slot of the stroke grid that a time, counted from the barline, falls in; *lengths* are the slots' in turn.

    >>> swung = (Fraction(1, 6), Fraction(1, 12))
    >>> [grid_slot(Fraction(n, 12), swung) for n in (0, 2, 3, 5)]
    [0, 1, 2, 3]
    """
    whole, rest = divmod(within, sum(lengths, Fraction(0)))
    return int(whole) * len(lengths) + sum(end <= rest for end in accumulate(lengths))


def _rest_after(now: Fraction, rule: RhythmRule, last: bool) -> Fraction:
    """How long the rest behind a run lasts; behind the *last* one the bar is filled in any case."""
    bar, beat = rule.meter.bar, rule.meter.beat
    left = -now % bar
    if rule.rest == "to-barline":
        return left if left >= rule.rest_at_least * beat else left + bar
    if rule.rest == "none":
        rest = Fraction(0)
    elif rule.rest == "to-beat":
        rest = -now % beat
    else:
        least = rule.rest * beat
        rest = least + -(now + least) % beat
    return rest + -(now + rest) % bar if last else rest


def split_at_barlines(slot: Slot, meter: Meter) -> tuple[Slot, ...]:
    """Cut a slot at barlines; a rest also where its first beat ends, so that a tuplet is filled before it closes."""
    pieces, onset, end = [], slot.onset, slot.onset + slot.duration
    while onset < end:
        stop = min(end, onset + meter.bar - onset % meter.bar)
        if slot.note is None and onset % meter.beat:
            stop = min(stop, onset + -onset % meter.beat)
        pieces.append(
            Slot(onset, stop - onset, slot.run, slot.note, slot.lands, onset > slot.onset and slot.note is not None)
        )
        onset = stop
    return tuple(pieces)


def with_bars_of_rest(voices: tuple[tuple[Slot, ...], ...], meter: Meter, every: int) -> tuple[tuple[Slot, ...], ...]:
    """Put a bar of rest in after *every* bars, at the next barline that cuts neither a note nor a burst.

    A run longer than *every* bars is cut between two notes: there is no other place for the rest.
    """
    slots = [slot for voice in voices for slot in voice]
    held = {slot.onset for slot in slots if slot.continued}
    cut = _inside_runs(slots, every * meter.bar)
    bars = max(slot.onset + slot.duration for slot in slots) / meter.bar
    inserted: list[Fraction] = []
    since = 0
    for number in range(1, int(bars) + 1):
        since += 1
        line = number * meter.bar
        if since >= every and line not in held and not any(first < line < last for first, last in cut):
            inserted.append(line)
            since = 0
    return tuple(_pushed_apart(voice, inserted, meter.bar) for voice in voices)


def _inside_runs(slots: list[Slot], longest: Fraction) -> list[tuple[Fraction, Fraction]]:
    """When each run begins and ends, runs that last more than *longest* left out."""
    spans: dict[int, tuple[Fraction, Fraction]] = {}
    for slot in slots:
        if slot.note is not None:
            first, last = spans.get(slot.run, (slot.onset, slot.onset))
            spans[slot.run] = min(first, slot.onset), max(last, slot.onset + slot.duration)
    return [(first, last) for first, last in spans.values() if last - first <= longest]


def _pushed_apart(voice: tuple[Slot, ...], inserted: list[Fraction], bar: Fraction) -> tuple[Slot, ...]:
    """One voice with a bar of rest at each of the barlines *inserted*."""
    moved = [replace(slot, onset=slot.onset + bar * sum(line <= slot.onset for line in inserted)) for slot in voice]
    rests = []
    for k, line in enumerate(inserted):
        before = [slot for slot in voice if slot.onset < line]
        rests.append(Slot(line + k * bar, bar, before[-1].run, None))
    return tuple(sorted([*moved, *rests], key=lambda slot: slot.onset))


def rhythm_class(slots: tuple[Slot, ...], meter: Meter) -> int:
    """How hard the note values are to read, 0 to 4.

    Source: our own scale (the difficulty model's): 0 even values, 1 rests or dots, 2 triplets, 3 sextuplets or mixed
    values with rests, 4 quintuplets and septuplets.
    """
    played = {slot.duration for slot in slots if slot.note is not None and not slot.lands and not slot.continued}
    odd = {_odd_part(meter.beat / duration) for duration in played}
    rests = any(slot.note is None for slot in slots)
    sixths = any((meter.beat / duration).numerator % 6 == 0 for duration in played) and meter.beat.numerator != 3
    if odd & {5, 7}:
        return 4
    if sixths or (rests and len(played) > 1):
        return 3
    if 3 in odd and meter.beat.numerator != 3:
        return 2
    return 1 if rests or any(duration.numerator != 1 for duration in played) else 0


def _odd_part(ratio: Fraction) -> int:
    """The largest odd factor of a ratio's numerator.

    >>> _odd_part(Fraction(6)), _odd_part(Fraction(4))
    (3, 1)
    """
    number = ratio.numerator
    while number % 2 == 0:
        number //= 2
    return number
