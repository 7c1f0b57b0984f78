"""What sounds: places and pitches by the physics of the string, full bars, ties, ids, chords.

In, Out:  a `Reading`; violations in words, none = good
Units:    frets count from the capo
Source:   product contract, section 7; a string touched at k/n of its length sounds its n-th partial (M. Mersenne,
          Harmonie universelle, 1636); three half steps as the widest bend: the project's own choice, common practice
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import log2

from tests.contract.rules.reading import Json, Reading, label, midi_of


def sounding_places(reading: Reading) -> Iterator[str]:
    """Open string + capo + fret = MIDI = the pitch as spelled, on a string and fret there is."""
    instrument = reading.study["instrument"]
    reached: dict[tuple[int, int], str | None] = {}
    for note in reading.notes:
        # What a tie continues was bent or touched where it began.
        technique = reached.get((note["string"], note["midi"])) if note["tied"] else note["technique"]
        reached[note["string"], note["midi"]] = technique
        if not 1 <= note["string"] <= len(instrument["strings"]):
            yield f"{label(note)}: no string {note['string']}"
            continue
        sounds = sounds_at(instrument, {**note, "technique": technique})
        if note["midi"] not in sounds or note["midi"] != midi_of(note["pitch"]):
            yield f"{label(note)}: string {note['string']} fret {note['fret']} sounds {sounds}, midi {note['midi']}"
        if not 0 <= note["fret"] <= instrument["frets"] - instrument["capo"]:
            yield f"{label(note)}: no fret {note['fret']}"


def sounds_at(instrument: Json, note: Json) -> list[int]:
    """The MIDI numbers a place can sound: one if it is stopped, a partial if it is touched, up to three higher if bent.

    >>> guitar = {"strings": [64, 59, 55, 50, 45, 40], "capo": 0}
    >>> sounds_at(guitar, {"string": 6, "fret": 7, "technique": "harmonic"})
    [59]
    >>> sounds_at(guitar, {"string": 6, "fret": 7, "technique": "bend"})
    [47, 48, 49, 50]
    """
    open_string = instrument["strings"][note["string"] - 1] + instrument["capo"]
    if note["technique"] == "harmonic":
        return [open_string + round(12 * log2(number)) for number in partials_over(note["fret"])[:1]]
    stopped = open_string + note["fret"]
    return list(range(stopped, stopped + (4 if note["technique"] == "bend" else 1)))


def partials_over(fret: int) -> list[int]:
    """The partials up to the fifth, which still speak, that have a node within a hundredth of the string of *fret*.

    >>> [partials_over(fret)[:1] for fret in (12, 7, 19, 5, 24, 4, 9, 16, 6)]
    [[2], [3], [3], [4], [4], [5], [5], [5], []]
    """
    place = 1 - 2 ** (-fret / 12)
    return [n for n in range(2, 6) if any(abs(place - k / n) < 0.01 for k in range(1, n))]


def full_bars(reading: Reading) -> Iterator[str]:
    """Every voice is contiguous from 0 to one common barline; nothing crosses a barline; chords are equally long."""
    ends = {}
    for voice, moments in reading.voices.items():
        at = Fraction(0)
        for onset, end, events in moments:
            first = events[0]
            if onset != at:
                yield f"{label(first)}: begins at {onset}, the voice has come to {at}"
            if len({event["duration"] for event in events}) > 1 or len({event["kind"] for event in events}) > 1:
                yield f"{label(first)}: events of one onset differ in kind or length"
            if len(events) > 1 and first["kind"] == "rest":
                yield f"{label(first)}: two rests at once"
            if end <= onset or onset // reading.bar != -(-end // reading.bar) - 1:
                yield f"{label(first)}: from {onset} to {end} crosses a barline"
            if first["bar"] != onset // reading.bar + 1:
                yield f"{label(first)}: counted as bar {first['bar']}"
            at = end
        ends[voice] = at
        if at % reading.bar:
            yield f"voice {voice}: ends at {at}, inside a bar of {reading.bar}"
    if len(set(ends.values())) > 1:
        yield f"voices end apart: {ends}"


def ties(reading: Reading) -> Iterator[str]:
    """A tied note continues the very note before it, is not struck again and not stressed."""
    for moments in reading.voices.values():
        before: list[Json] = []
        for _, _, events in moments:
            for event in events:
                if event["kind"] == "note" and event["tied"]:
                    if (event["string"], event["midi"]) not in {(one.get("string"), one.get("midi")) for one in before}:
                        yield f"{label(event)}: tied to nothing"
                    if event["stroke"] is not None or event["accent"]:
                        yield f"{label(event)}: tied, yet struck or stressed"
            before = events


def identity(reading: Reading) -> Iterator[str]:
    """The id is `<exercise>-s<string>f<fret>`; the start's pitch sounds there."""
    study, start = reading.study, reading.study["start"]
    if study["id"] != f"{study['exercise']}-s{start['string']}f{start['fret']}":
        yield f"id {study['id']} with start {start}"
    touched = all(note["technique"] == "harmonic" for note in reading.notes if not note["tied"])
    sounds = sounds_at(study["instrument"], {**start, "technique": "harmonic" if touched else None})
    if [midi_of(start["pitch"])] != sounds:
        yield f"start {start} sounds {sounds}"


def chords_in_order(reading: Reading) -> Iterator[str]:
    """Each chord begins with a burst, later than the one before."""
    onsets = [Fraction(chord["onset"]) for chord in reading.study["chords"]]
    if onsets != sorted(set(onsets)):
        yield f"chord onsets {[str(onset) for onset in onsets]}"
    struck = {Fraction(note["onset"]) for note in reading.notes if not note["tied"]}
    yield from (f"chord at {onset}, where no note begins" for onset in onsets if onset not in struck)
