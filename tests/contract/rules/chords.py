"""What has to hold where a chord shape is held: shapes, plucking patterns, strums.

In, Out:  a `Reading`, the exercise; violations in words, none = good
Units:    shapes list string 1 first; frets count from the capo, 0 = open, None = silent
Source:   product contract, section 4; the pages of `right-hand` and `chord-changes`; check values d and e
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from tests.contract.rules.reading import Json, Reading, kind_of, label, of_rhythm, steady
from tests.contract.rules.theory import bass_of, chord_tones

KINDS = ("right-hand", "chord-changes")


def _at(reading: Reading, onset: Fraction) -> Json:
    """The shape held at *onset*."""
    return next(shape for shape in reversed(reading.study["shapes"]) if Fraction(shape["onset"]) <= onset)


def _chords(spec: Json) -> list[Json]:
    """The chords as mappings."""
    return [one if isinstance(one, dict) else {"chord": one} for one in spec["material"]["chords"]]


def _stops(shape: Json) -> list[tuple[int, int, int]]:
    """String, fret and finger of the sounding strings of a shape."""
    pairs = enumerate(zip(shape["frets"], shape["fingers"], strict=True), start=1)
    return [(string, fret, finger or 0) for string, (fret, finger) in pairs if fret is not None]


def _sounds(reading: Reading, shape: Json) -> dict[int, int]:
    """The MIDI number of each sounding string of a shape."""
    instrument = reading.study["instrument"]
    return {string: instrument["strings"][string - 1] + instrument["capo"] + fret for string, fret, _ in _stops(shape)}


def shapes_are_chords(reading: Reading, spec: Json) -> Iterator[str]:
    """Each chord has its shape: its tones only, the asked tone lowest, as many strings as asked."""
    if kind_of(spec) not in KINDS:
        return
    shapes, material = reading.study["shapes"], spec["material"]
    chords = _chords(spec)
    if [shape["symbol"] for shape in shapes] != [chord["chord"] for chord in chords]:
        yield f"shapes {[shape['symbol'] for shape in shapes]}"
        return
    for shape, chord in zip(shapes, chords, strict=True):
        sounds, tones = _sounds(reading, shape), chord_tones(chord["chord"])
        foreign = [midi for midi in sounds.values() if tones and midi % 12 not in tones]
        if foreign:
            yield f"{shape}: {foreign} are no tones of it"
        bass = bass_of(chord["chord"], chord.get("voicing", material.get("voicing", "root")))
        if "frets" not in chord and bass and min(sounds.values()) % 12 not in bass:
            yield f"{shape}: {min(sounds.values())} lies lowest, expected one of {sorted(bass)}"
        if "notes" in material and "frets" not in chord and len(sounds) != material["notes"]:
            yield f"{shape}: {len(sounds)} strings, expected {material['notes']}"
        allowed = spec["neck"].get("strings", range(1, 13))
        yield from (f"{shape}: string {string}" for string in sounds if string not in allowed)
        if "frets" in chord and list(reversed(shape["frets"])) != _written(chord["frets"]):
            yield f"{shape}: written {chord['frets']}"


def _written(frets: object) -> list[int | None]:
    """Frets as a spec writes them, lowest string first."""
    items = list(frets) if isinstance(frets, str) else frets if isinstance(frets, list) else []
    return [None if item == "x" else int(item) for item in items]


def shapes_can_be_held(reading: Reading, spec: Json) -> Iterator[str]:
    """Four fingers, each at one fret, higher frets by higher fingers, under a barre nothing open, within the reach."""
    for shape in reading.study["shapes"]:
        stopped = [stop for stop in _stops(shape) if stop[1]]
        if any(finger not in (1, 2, 3, 4) for _, _, finger in stopped):
            yield f"{shape}: a stopped string without a finger"
            continue
        if any(finger for _, fret, finger in _stops(shape) if not fret):
            yield f"{shape}: an open string with a finger"
        for finger in {finger for _, _, finger in stopped}:
            yield from _one_finger(shape, [stop for stop in stopped if stop[2] == finger])
        used = sorted({(fret, finger) for _, fret, finger in stopped})
        yield from (
            f"{shape}: fingers cross" for one, other in pairwise(used) if one[0] < other[0] and one[1] > other[1]
        )
        if stopped and reading.reach_mm([fret for _, fret, _ in stopped]) > reading.study["hand"]["limit_mm"] + 0.005:
            yield f"{shape}: reach over the limit"


def _one_finger(shape: Json, stops: list[tuple[int, int, int]]) -> Iterator[str]:
    """One fret a finger; no sounding string under a barre lies nearer the nut."""
    frets, strings = {fret for _, fret, _ in stops}, [string for string, _, _ in stops]
    if len(frets) > 1:
        yield f"{shape}: finger {stops[0][2]} on frets {sorted(frets)}"
    below = [string for string, fret, _ in _stops(shape) if fret < max(frets)]
    if len(strings) > 1 and any(min(strings) < string < max(strings) for string in below):
        yield f"{shape}: finger {stops[0][2]} lies across a string that sounds open"


def notes_of_the_shape(reading: Reading, spec: Json) -> Iterator[str]:
    """While a shape is held, every note is one of its strings, at its fret, under its finger."""
    if kind_of(spec) not in KINDS:
        return
    for note in reading.notes:
        place = (note["string"], note["fret"], note["finger"])
        if place not in _stops(_at(reading, Fraction(note["onset"]))):
            yield f"{label(note)}: (string, fret, finger) {place} is not in the shape"


def kept_fingers(reading: Reading, spec: Json) -> Iterator[str]:
    """A note is marked as kept if its finger was there in the shape before, once a shape, and not otherwise."""
    if kind_of(spec) not in KINDS:
        return
    shapes = [(Fraction(shape["onset"]), _stops(shape)) for shape in reading.study["shapes"]]
    heard: set[tuple[Fraction, int]] = set()
    for note in sorted(reading.notes, key=lambda note: Fraction(note["onset"])):
        number = sum(onset <= Fraction(note["onset"]) for onset, _ in shapes) - 1
        place = (note["string"], note["fret"], note["finger"])
        first = (shapes[number][0], note["string"]) not in heard
        heard.add((shapes[number][0], note["string"]))
        stays = first and number > 0 and note["fret"] > 0 and place in shapes[number - 1][1]
        if note["kept"] != stays:
            yield f"{label(note)}: kept {note['kept']}, the shape before {shapes[number - 1][1] if number else None}"


# --- plucking patterns -----------------------------------------------------------------------------------------------


def _letters(item: object) -> list[str]:
    """The plucking fingers of a moment of a pattern, `pa` or [p, a]."""
    return list(item) if isinstance(item, (str, list)) else []


def pattern_plucked(reading: Reading, spec: Json) -> Iterator[str]:
    """Each chord plays the pattern as often as asked, slot by slot; the thumb is voice 2."""
    if kind_of(spec) != "right-hand":
        return
    material, per_beat = spec["material"], steady(spec)
    wanted = [sorted(_letters(item)) for item in material["pattern"]] * material.get("times", 1)
    onsets = [Fraction(shape["onset"]) for shape in reading.study["shapes"]]
    for number, begin in enumerate(onsets):
        end = onsets[number + 1] if number + 1 < len(onsets) else Fraction(10**6)
        plucked: dict[Fraction, list[str]] = {}
        for note in reading.notes:
            if begin <= Fraction(note["onset"]) < end and not note["tied"]:
                plucked.setdefault(Fraction(note["onset"]), []).append(note["stroke"])
        found = [sorted(letters) for _, letters in sorted(plucked.items())]
        if found != wanted:
            yield f"chord {number + 1} plucks {found}, expected {wanted}"
        gaps = {other - one for one, other in pairwise(sorted(plucked))}
        if per_beat and gaps - {reading.beat / per_beat}:
            yield f"chord {number + 1}: plucked in steps of {sorted(map(str, gaps))}"
    for note in reading.notes:
        if not note["tied"] and (note["voice"] == 2) != (note["stroke"] == "p"):
            yield f"{label(note)}: plucked by {note['stroke']}"


def no_finger_twice_running(reading: Reading, spec: Json) -> Iterator[str]:
    """No finger plucks twice running, the seam of the pattern included; the thumb may, as in an alternating bass."""
    if kind_of(spec) != "right-hand":
        return
    onsets = sorted({Fraction(note["onset"]) for note in reading.notes if not note["tied"]})
    plucks = [
        {note["stroke"] for note in reading.notes if Fraction(note["onset"]) == onset and not note["tied"]}
        for onset in onsets
    ]
    for (onset, one), other in zip(zip(onsets, plucks, strict=True), [*plucks[1:], plucks[0]], strict=True):
        if one & other - {"p"} and len(plucks) > 1:
            yield f"at {onset}: {sorted(one & other)} twice running"


def plucked_strings(reading: Reading, spec: Json) -> Iterator[str]:
    """The thumb has the last sounding string; i m a the first three, or the strings the exercise gives them."""
    if kind_of(spec) != "right-hand":
        return
    for number, shape in enumerate(reading.study["shapes"]):
        begin = Fraction(shape["onset"])
        later = [Fraction(one["onset"]) for one in reading.study["shapes"][number + 1 :]]
        notes = [
            note
            for note in reading.notes
            if not note["tied"] and begin <= Fraction(note["onset"]) < min(later, default=Fraction(10**6))
        ]
        strings = [string for string, _, _ in _stops(shape)]
        for note in notes:
            if note["string"] not in _allowed(note["stroke"], spec["material"], strings):
                yield f"{label(note)}: {note['stroke']} on string {note['string']} of {strings}"
        yield from _thumb(notes, strings, spec["material"])


def _allowed(letter: str, material: Json, strings: list[int]) -> list[int]:
    """The strings, of those of a shape, that a plucking finger may have."""
    own = material.get("fingers-on", {})
    if letter in own:
        return [own[letter]]
    if letter == "p":
        return strings if material.get("alternate-bass") else strings[-1:]
    return [material["tremolo"]] if "tremolo" in material else strings[:3]


def _thumb(notes: list[Json], strings: list[int], material: Json) -> Iterator[str]:
    """Under the fingers lies the thumb, on the bass first; where it has a second string it alternates if asked."""
    thumbs = [note for note in notes if note["stroke"] == "p"]
    fingers = {note["string"] for note in notes if note["stroke"] != "p"}
    for note in thumbs:
        if any(string >= note["string"] for string in fingers):
            yield f"{label(note)}: the thumb over strings {sorted(fingers)}"
    if thumbs and "p" not in material.get("fingers-on", {}) and thumbs[0]["string"] != strings[-1]:
        yield f"{label(thumbs[0])}: the thumb begins on string {thumbs[0]['string']}, the bass is {strings[-1]}"
    free = [string for string in strings if string > max(fingers, default=0)]
    for one, other in pairwise(thumbs if material.get("alternate-bass") and len(free) > 1 else ()):
        if one["string"] == other["string"]:
            yield f"{label(other)}: the thumb stays on string {other['string']}, free are {free}"


def starts_in_the_first_shape(reading: Reading, spec: Json) -> Iterator[str]:
    """The start position is the place of the lowest note of the first shape."""
    if kind_of(spec) in KINDS:
        start, shape = reading.study["start"], reading.study["shapes"][0]
        sounds = _sounds(reading, shape)
        lowest = min(sounds, key=lambda string: sounds[string])
        if (start["string"], start["fret"]) != (lowest, shape["frets"][lowest - 1]):
            yield f"start {start}, the first shape {shape}"


# --- chord changes ---------------------------------------------------------------------------------------------------


def strums(reading: Reading, spec: Json) -> Iterator[str]:
    """The pattern begins anew with each chord; a miss lets it ring; every strum takes all strings of the shape."""
    if kind_of(spec) != "chord-changes":
        return
    shapes = reading.study["shapes"]
    onsets = [Fraction(shape["onset"]) for shape in shapes]
    struck: dict[Fraction, list[Json]] = {}
    for note in reading.notes:
        if not note["tied"]:
            struck.setdefault(Fraction(note["onset"]), []).append(note)
    for onset, notes in struck.items():
        if {note["string"] for note in notes} != {string for string, _, _ in _stops(_at(reading, onset))}:
            yield f"at {onset}: strings {sorted(note['string'] for note in notes)} of {_at(reading, onset)}"
    for number, begin in enumerate(onsets):
        length = _beats(reading, spec, number) * reading.beat
        mine = {onset: notes for onset, notes in struck.items() if begin <= onset < begin + length}
        found = [(onset - begin, notes[0]["stroke"]) for onset, notes in sorted(mine.items())]
        expected = _expected_strums(reading, spec, length)
        if reading.study["stroke_rule"] != "strum":
            found, expected = [(onset, None) for onset, _ in found], [(Fraction(0), None)]
        if found != expected:
            yield f"chord {number + 1}: strums {[(str(at), stroke) for at, stroke in found]}, expected {expected}"
    gaps = [other - one for one, other in pairwise(onsets)]
    lengths = [_beats(reading, spec, number) * reading.beat for number in range(len(gaps))]
    at = spec.get("checkpoints", {}).get("at")
    if of_rhythm(spec, "rest", "to-barline") == "none" and not isinstance(at, dict) and gaps != lengths:
        yield f"chords change after {list(map(str, gaps))}, expected {list(map(str, lengths))}"


def _beats(reading: Reading, spec: Json, number: int) -> Fraction:
    """How many beats chord *number* (from 0) lasts: a bar where the exercise does not say."""
    asked = spec["material"].get("beats", reading.bar / reading.beat)
    return Fraction(asked[number % len(asked)] if isinstance(asked, list) else asked)


def _expected_strums(reading: Reading, spec: Json, length: Fraction) -> list[tuple[Fraction, str | None]]:
    """When, from its change, a chord is struck, and how."""
    slot = reading.beat / (steady(spec) or 1)
    pattern = spec["strokes"].get("pattern", ["down"])
    planned = [(number * slot, pattern[number % len(pattern)]) for number in range(int(length / slot))]
    return [(at, stroke) for at, stroke in planned if stroke != "miss"]
