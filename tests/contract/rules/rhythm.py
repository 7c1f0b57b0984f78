"""When the notes sound: lengths, beats, landings, rests, accents, checkpoints.

In, Out:  a `Reading`, the exercise; violations in words, none = good
Units:    fractions of a whole note
Source:   product contract, section 4; check values f (rests)
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from tests.contract.rules.reading import (
    Burst,
    Json,
    Reading,
    displaced,
    each_beat,
    kind_of,
    label,
    lands,
    of_rhythm,
    rests_divide,
)

# The materials whose bursts are stressed where the exercise does not say.
STRESSED = ("chord-loop", "scale", "arpeggio", "fingers", "double-notes", "slides")


def note_lengths(reading: Reading, spec: Json) -> Iterator[str]:
    """Run notes last a beat divided by `notes-per-beat`, or one of `durations`; landing notes `landing` beats."""
    if not rests_divide(spec) or kind_of(spec) == "holds":
        return
    allowed = _lengths(reading, spec)
    for number, burst in enumerate(reading.bursts):
        landing = lands(reading, spec, number)
        run = burst[:-1] if landing else burst
        for moment in run:
            if moment.end - moment.onset not in allowed:
                wanted = sorted(map(str, allowed))
                yield f"{label(moment.notes[0])}: lasts {moment.end - moment.onset}, expected {wanted}"
        last = burst[-1]
        if landing and last.end - last.onset != of_rhythm(spec, "landing", 1) * reading.beat:
            yield f"{label(last.notes[0])}: landing lasts {last.end - last.onset}"


def _lengths(reading: Reading, spec: Json) -> set[Fraction]:
    """The lengths a run note may have."""
    found = {Fraction(length) for length in of_rhythm(spec, "durations", [])}
    for count in each_beat(spec):
        parts = (
            (Fraction(2, 3), Fraction(1, 3))
            if count == 2 and of_rhythm(spec, "swing", False)
            else (1 / Fraction(count),)
        )
        found.update(part * reading.beat for part in parts)
    return found


def swing(reading: Reading, spec: Json) -> Iterator[str]:
    """Of two notes that swing, the one on the beat lasts two thirds of it, the other one third, triplet feel."""
    if not of_rhythm(spec, "swing", False) or each_beat(spec) != [2] or not rests_divide(spec):
        return
    for number, burst in enumerate(reading.bursts):
        for moment in burst[: -1 if lands(reading, spec, number) else None]:
            place = (moment.onset - displaced(reading, spec, number)) % reading.bar % reading.beat / reading.beat
            length = (moment.end - moment.onset) / reading.beat
            if (place, length) not in ((0, Fraction(2, 3)), (Fraction(2, 3), Fraction(1, 3))):
                yield f"{label(moment.notes[0])}: at {place} of its beat for {length} of it"


def beats_in_turn(reading: Reading, spec: Json) -> Iterator[str]:
    """A list of `notes-per-beat` fills the beats of a burst in turn, from the first; no note lies over two beats."""
    counts = each_beat(spec)
    if len(counts) < 2 or of_rhythm(spec, "swing", False) or not rests_divide(spec):
        return
    for number, burst in enumerate(reading.bursts):
        landing, shift = lands(reading, spec, number), displaced(reading, spec, number)
        for moment in burst[: -1 if landing else None]:
            begin = (moment.onset - shift) / reading.beat
            if -(-(moment.end - shift) // reading.beat) - 1 != begin // 1:
                yield f"{label(moment.notes[0])}: from {begin} beats over the next one"
        if landing:
            continue  # a pick-up may shorten the first beat; the lengths are held against the list in note_lengths
        wanted = [Fraction(1, count) for count in _beat_by_beat(counts, len(burst))]
        found = [(moment.end - moment.onset) / reading.beat for moment in burst]
        if found != wanted:
            yield f"{label(burst[0].notes[0])}: {list(map(str, found))} of a beat, expected {list(map(str, wanted))}"


def _beat_by_beat(counts: list[int], notes: int) -> list[int]:
    """How the beat of each note is divided."""
    found: list[int] = []
    while len(found) < notes:
        for count in counts:
            found += [count] * count
    return found[:notes]


def landings(reading: Reading, spec: Json) -> Iterator[str]:
    """The landing note stands on a beat, displaced with its burst where the exercise asks for that."""
    if rests_divide(spec):
        for number, burst in enumerate(reading.bursts):
            onset = burst[-1].onset - displaced(reading, spec, number)
            if lands(reading, spec, number) and onset % reading.bar % reading.beat:
                yield f"{label(burst[-1].notes[0])}: landing inside a beat"


def accents(reading: Reading, spec: Json) -> Iterator[str]:
    """Stressed are each burst's first note and landing, every so many notes of it, what is on a beat, or nothing."""
    asked = of_rhythm(spec, "accents", "bursts" if kind_of(spec) in STRESSED else "none")
    if asked == "none":
        yield from (f"{label(note)}: stressed, no accents asked" for note in reading.notes if note["accent"])
        return
    if asked == "beats" and not of_rhythm(spec, "groups", None):
        for note in reading.notes:
            if not note["tied"] and note["accent"] != (Fraction(note["onset"]) % reading.bar % reading.beat == 0):
                yield f"{label(note)}: accent {note['accent']}, stressed are the beats"
        return
    if asked == "beats" or not rests_divide(spec):
        return
    for number, burst in enumerate(reading.bursts):
        stressed = _stressed(asked, len(burst), lands(reading, spec, number))
        for index, moment in enumerate(burst):
            if any(note["accent"] != (index in stressed) for note in moment.notes):
                yield f"{label(moment.notes[0])}: note {index + 1} of {len(burst)}, accent {moment.notes[0]['accent']}"


def _stressed(asked: str | int, notes: int, landing: bool) -> set[int]:
    """The numbers, from 0, of the stressed notes of a burst."""
    if isinstance(asked, int):
        return set(range(0, notes, asked))
    return {0, notes - 1} if landing else {0}


def bursts_cut(reading: Reading, spec: Json) -> Iterator[str]:
    """A scale is one run, or cut into bursts of `burst` notes, the last one shorter where they don't come out even."""
    if kind_of(spec) != "scale" or spec.get("contour") or not rests_divide(spec):
        return
    count = len(reading.moments)
    size = of_rhythm(spec, "burst", count)
    expected = [min(size, count - first) for first in range(0, count, size)]
    if [len(burst) for burst in reading.bursts] != expected:
        yield f"bursts of {[len(burst) for burst in reading.bursts]} notes, expected {expected}"


def rests_by_rule(reading: Reading, spec: Json) -> Iterator[str]:
    """The next burst begins where `rest` says, or within its first beat as a pick-up that ends on a beat."""
    if not rests_divide(spec):
        return
    for number, burst in enumerate(reading.bursts):
        end = reading.bursts[number - 1][-1].end if number else None
        slot = Fraction(0) if end is None else _next_slot(reading, spec, end)
        late, expected = (
            burst[0].onset - slot,
            displaced(reading, spec, number) + _pick_up(reading, spec, number, burst),
        )
        if late != expected:
            yield f"{label(burst[0].notes[0])}: begins {late} after {slot}, expected {expected}; the last ended {end}"


def _pick_up(reading: Reading, spec: Json, number: int, burst: Burst) -> Fraction:
    """How much later than on a beat a run begins so that its landing is on one."""
    return (burst[0].onset - burst[-1].onset) % reading.beat if lands(reading, spec, number) else Fraction(0)


def _next_slot(reading: Reading, spec: Json, end: Fraction) -> Fraction:
    """Where the next burst's first beat begins, check values f."""
    rest = of_rhythm(spec, "rest", "to-barline")
    if rest != "to-barline":
        return -(-(end + Fraction(rest) * reading.beat) // reading.beat) * reading.beat
    barline = -(-end // reading.bar) * reading.bar
    short = barline - end < Fraction(of_rhythm(spec, "rest-at-least", 1)) * reading.beat
    return barline + (reading.bar if short else 0)


def checkpoints(reading: Reading) -> Iterator[str]:
    """Cues stand on rests of a beat or more, and never the same twice running."""
    rests = [event for event in reading.study["events"] if event["kind"] == "rest" and event["checkpoint"]]
    for rest in rests:
        if Fraction(rest["duration"]) < reading.beat:
            yield f"{label(rest)}: cue {rest['checkpoint']} on a rest of {rest['duration']}"
    for one, other in pairwise(rests):
        if one["checkpoint"] == other["checkpoint"]:
            yield f"{label(other)}: cue {one['checkpoint']} twice running"


def cues_after_landings(reading: Reading, spec: Json) -> Iterator[str]:
    """`at: rests` marks the first rest of a beat or more after each landing; `none` marks nothing."""
    at = spec.get("checkpoints", {}).get("at", "rests")
    marked = [event for event in reading.study["events"] if event.get("checkpoint")]
    if at == "none" and marked:
        yield f"{label(marked[0])}: a checkpoint where none was asked"
    if at != "rests" or not rests_divide(spec):
        return
    rests = [event for event in reading.study["events"] if event["kind"] == "rest"]
    ends = [*(burst[0].onset for burst in reading.bursts[1:]), Fraction(10**6)]
    for number, (burst, until) in enumerate(zip(reading.bursts, ends, strict=True)):
        after = [rest for rest in rests if burst[-1].end <= Fraction(rest["onset"]) < until]
        first = [rest for rest in after if Fraction(rest["duration"]) >= reading.beat][:1]
        cues = [rest for rest in after if rest["checkpoint"]]
        if cues != first and (cues or lands(reading, spec, number)):
            shown = ", ".join(f"{rest['onset']}+{rest['duration']} {rest['checkpoint']}" for rest in after)
            yield f"after {burst[-1].end}, rests {shown or 'none'}"
