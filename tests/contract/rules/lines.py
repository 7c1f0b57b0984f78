"""What sets, lines, patterns and written music have to play.

In, Out:  a `Reading`, the exercise; violations in words, none = good
Source:   product contract, section 4
Not here: techniques (`techniques`) and held chords (`chords`)
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from tests.contract.rules.hand import TWO_FRETS_A_FINGER
from tests.contract.rules.reading import Json, Reading, dense_ranks, kind_of, label, midi_of, passes_of, rests_divide
from tests.contract.rules.theory import chord_tones, line_of, there_and_back


def start_note(reading: Reading, spec: Json) -> Iterator[str]:
    """The start is the lowest note of the first set, wherever in the set the contour begins."""
    start = reading.study["start"]
    if kind_of(spec) in ("double-notes", "right-hand", "harmonics"):
        return
    if kind_of(spec) == "notes":
        first = min(Fraction(note["onset"]) for note in reading.notes)
        sounding = [note for note in reading.notes if Fraction(note["onset"]) == first]
    elif any(1 not in one.get("order", [1]) for one in passes_of(spec)[:1]):
        return
    else:
        count = _first_set_notes(reading, spec)
        sounding = [note for moment in reading.moments[:count] for note in moment.notes]
    lowest = min(sounding, key=lambda note: note["midi"])
    if (lowest["string"], lowest["fret"]) != (start["string"], start["fret"]):
        yield f"start {start}, the first set's lowest note on string {lowest['string']} fret {lowest['fret']}"


def _first_set_notes(reading: Reading, spec: Json) -> int:
    """How many notes of the study play the first set."""
    if "order" in passes_of(spec)[0]:
        return len(passes_of(spec)[0]["order"])
    pattern = spec["material"].get("pattern")
    if isinstance(pattern, list):
        return len(pattern[0]) if isinstance(pattern[0], list) else len(pattern)
    return 1


def contour_followed(reading: Reading, spec: Json) -> Iterator[str]:
    """Over chords, each burst plays its set in the contour's order, as often as asked, and lands where asked."""
    if kind_of(spec) != "chord-loop" or not rests_divide(spec):
        return
    chords, several = spec["material"]["chords"], passes_of(spec)
    if len(reading.bursts) != len(chords) * len(several):
        yield f"{len(reading.bursts)} bursts for {len(chords)} chords and {len(several)} passes"
        return
    for number, burst in enumerate(reading.bursts):
        one = several[number // len(chords)]
        asked = one["order"] * one.get("times", 1) + ([one["land"]] if "land" in one else [])
        midi = [moment.notes[0]["midi"] for moment in burst]
        if dense_ranks(midi) != dense_ranks(asked):
            yield f"{label(burst[0].notes[0])}: plays {midi} for order {asked}"


def chords_over_bursts(reading: Reading, spec: Json) -> Iterator[str]:
    """Each burst of a loop stands under its chord, holds two of its tones, and no set follows itself."""
    if kind_of(spec) != "chord-loop" or not rests_divide(spec):
        return
    written = [chord if isinstance(chord, str) else chord["chord"] for chord in spec["material"]["chords"]]
    symbols = written * len(passes_of(spec))
    found = [(Fraction(chord["onset"]), chord["symbol"]) for chord in reading.study["chords"]]
    expected = [(burst[0].onset, symbol) for burst, symbol in zip(reading.bursts, symbols, strict=False)]
    if found != expected:
        yield f"chords {reading.study['chords']}, expected {[(str(onset), symbol) for onset, symbol in expected]}"
    if set(passes_of(spec)[0]["order"]) != set(range(1, spec["material"].get("set-size", 3) + 1)):
        return
    once = reading.bursts[: len(written)]
    sets = [sorted({moment.notes[0]["midi"] for moment in burst}) for burst in once]
    for symbol, one in zip(symbols, sets, strict=False):
        tones = chord_tones(symbol)
        if tones and len([midi for midi in one if midi % 12 in tones]) < 2:
            yield f"{one} over {symbol}: less than two chord tones"
    if not spec["material"].get("may-stay"):
        yield from (f"{one} follows itself" for one, other in pairwise(sets) if one == other)


def scale_followed(reading: Reading, spec: Json) -> Iterator[str]:
    """A scale without a contour is played note by note from the start, up and, where asked, down."""
    if kind_of(spec) != "scale" or (spec.get("contour") or {"order": [1]}) != {"order": [1]}:
        return
    line = line_of(spec, midi_of(reading.study["start"]["pitch"]))
    expected = there_and_back(line, spec["material"].get("turn", False))
    found = [moment.notes[0]["midi"] for moment in reading.moments]
    if line and found != expected:
        yield f"plays {found}, expected {expected}"


def fingers_followed(reading: Reading, spec: Json) -> Iterator[str]:
    """A finger pattern is played with the fingers it names, on the strings it names, one finger a fret.

    Where each finger has two, it takes the upper one.
    """
    material = spec["material"]
    if material["kind"] != "fingers" or spec.get("contour") or not {"strings", "pattern"} <= set(material):
        return
    if not all(isinstance(finger, int) for finger in material["pattern"]):
        return
    strings, fret = material["strings"], reading.study["start"]["fret"]
    walk = strings + strings[-2::-1] if material.get("back") else strings
    pattern, shift = material["pattern"], material.get("shift", 0)
    paired = reading.study["instrument"]["name"] in TWO_FRETS_A_FINGER
    above = {1: 0, 2: 2, 3: 4, 4: 5} if paired else {1: 0, 2: 1, 3: 2, 4: 3}
    expected = [
        (string, fret - above[min(pattern)] + above[finger] + shift * turn, finger)
        for turn in range(material.get("rounds", 1))
        for string in walk
        for finger in pattern
    ]
    notes = [moment.notes[0] for moment in reading.moments]
    found = [(note["string"], note["fret"], note["finger"]) for note in notes]
    if found != expected:
        yield f"plays (string, fret, finger) {found}, expected {expected}"


def written_notes(reading: Reading, spec: Json) -> Iterator[str]:
    """Written music comes back as it was written: pitches, lengths, strings."""
    if kind_of(spec) != "notes":
        return
    for voice, text in enumerate(spec["material"]["voices"], start=1):
        expected = [item.split("@")[0].split() + item.split("@")[1:] for item in re.split("[,|]", text)]
        found: list[list[str]] = []
        for onset, end, events in reading.voices.get(voice, []):
            if found and events[0]["kind"] == "note" and all(event.get("tied") for event in events):
                found[-1][1] = str(Fraction(found[-1][1]) + end - onset)
                continue
            events = sorted(events, key=lambda event: event.get("midi", 0))
            if any(event["kind"] == "rest" for event in events):
                found.append(["rest", str(end - onset)])
            else:
                strings = "+".join(str(event["string"]) for event in events)
                found.append(["+".join(event["pitch"] for event in events), str(end - onset), strings])
        wanted = [[part.strip() for part in item] for item in expected]
        if [_without_rests(found)] != [_without_rests(wanted)]:
            yield f"voice {voice}: {found}, written {wanted}"


def _without_rests(items: list[list[str]]) -> list[list[str]]:
    return [item for item in items if item[0] != "rest"]


def contour_strings(reading: Reading, spec: Json) -> Iterator[str]:
    """Where the contour gives each note its string, the runs are played on these strings in turn."""
    if not rests_divide(spec) or kind_of(spec) != "chord-loop":
        return
    chords, several = spec["material"]["chords"], passes_of(spec)
    for number, burst in enumerate(reading.bursts):
        one = several[min(number // len(chords), len(several) - 1)]
        if "strings" in one:
            found = [moment.notes[0]["string"] for moment in burst[: len(one["order"]) * one.get("times", 1)]]
            if found != one["strings"] * one.get("times", 1):
                yield f"{label(burst[0].notes[0])}: on strings {found}, asked {one['strings']}"
