"""Scales, chords and intervals as plain numbers, for rules that must not ask the engine.

In, Out:  names as a spec writes them; pitch classes and MIDI numbers, none where a name is not in our small tables
Source:   check values g (intervals of chords, steps of modes)
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from tests.contract.rules.reading import Json, pitch_class

SCALES = {
    "major": (0, 2, 4, 5, 7, 9, 11),
    "minor": (0, 2, 3, 5, 7, 8, 10),
    "dorian": (0, 2, 3, 5, 7, 9, 10),
    "phrygian": (0, 1, 3, 5, 7, 8, 10),
    "lydian": (0, 2, 4, 6, 7, 9, 11),
    "mixolydian": (0, 2, 4, 5, 7, 9, 10),
    "harmonic minor": (0, 2, 3, 5, 7, 8, 11),
    "minor pentatonic": (0, 3, 5, 7, 10),
    "major pentatonic": (0, 2, 4, 7, 9),
}
CHORDS = {
    "": (0, 4, 7), "m": (0, 3, 7), "7": (0, 4, 7, 10), "m7": (0, 3, 7, 10), "maj7": (0, 4, 7, 11), "sus4": (0, 5, 7),
    "dim": (0, 3, 6), "6": (0, 4, 7, 9),
}  # fmt: skip


def degrees_of(spec: Json) -> set[int]:
    """Return the pitch classes of the scale of a material.

    >>> sorted(degrees_of({"key": "A minor", "material": {"scale": "A minor pentatonic"}}))
    [0, 2, 4, 7, 9]
    """
    name = spec["material"].get("scale", "key")
    name = spec.get("key", "C major") if name == "key" else name
    if isinstance(name, list):
        return {pitch_class(note) for note in name}
    tonic, mode = name.split(" ", 1)
    return {(pitch_class(tonic) + step) % 12 for step in SCALES.get(mode, ())}


def climbing(low: int, degrees: set[int], count: int) -> list[int]:
    """Return *count* notes of a scale as MIDI numbers, from *low* upward.

    >>> climbing(60, {0, 2, 4, 5, 7, 9, 11}, 4)
    [60, 62, 64, 65]
    """
    return [midi for midi in range(low, low + 14 * count) if midi % 12 in degrees][:count]


def line_of(spec: Json, low: int) -> list[int]:
    """Return a line up a scale from *low*, as long as `notes`, `octaves` or `from` and `to` say; the way back left out.

    Empty where the scale is not in our tables.
    """
    material, degrees = spec["material"], degrees_of(spec)
    if not degrees:
        return []
    if "notes" in material:
        return climbing(low, degrees, material["notes"])
    if "to" in material:
        return []
    return [midi for midi in climbing(low, degrees, 64) if midi <= low + 12 * material.get("octaves", 1)]


def there_and_back(line: Sequence[int], turn: bool) -> list[int]:
    """Return a line, and the way down again with the top note once."""
    return [*line, *line[-2::-1]] if turn else list(line)


def chord_tones(symbol: str) -> set[int]:
    """Return the pitch classes of a plain chord symbol, none of one that is not in our small table.

    >>> sorted(chord_tones("Bb")), sorted(chord_tones("F#m7"))
    ([2, 5, 10], [1, 4, 6, 9])
    """
    match = re.fullmatch(r"([A-G][#b]?)(.*)", symbol)
    if not match:
        raise ValueError(symbol)
    return {(pitch_class(match[1]) + step) % 12 for step in CHORDS.get(match[2], ())}


def bass_of(symbol: str, voicing: str) -> set[int]:
    """Return the pitch classes that may lie lowest in a chord under a voicing; none where our table has no such tone.

    >>> bass_of("Am", "root"), bass_of("Am", "first"), sorted(bass_of("Am", "any"))
    ({9}, {0}, [0, 4, 9])
    """
    match = re.fullmatch(r"([A-G][#b]?)(.*)", symbol)
    if not match:
        raise ValueError(symbol)
    steps = CHORDS.get(match[2], ())
    number = {"root": 0, "first": 1, "second": 2, "third": 3}.get(voicing)
    wanted = steps if number is None else steps[number : number + 1]
    return {(pitch_class(match[1]) + step) % 12 for step in wanted}
