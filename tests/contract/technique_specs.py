"""Random exercises of one technique each: every kind under every stroke rule that goes with it, on every instrument.

In, Out:  a number; a `Case` as in `specs`
Source:   the keys as the page of each kind describes them; ranges are our own choice, kept where a player would find
          music worth playing, so that most specs give studies and the rest give a reason
Not here: the materials that any path can walk (`specs`), what has to hold (`rules`)
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import cycle, islice
from random import Random

from tests.contract.specs import CUES, MAJOR_LOOPS, MINOR_LOOPS, SHARPS, TUNINGS, Case, Json, strokes_of, tempo_of

STROKES: dict[str, tuple[str, ...]] = {
    "double-notes": ("alternate", "down", "economy", "fingers", "legato", "none", "pima", "strum"),
    "right-hand": ("pima",),
    "chord-changes": ("alternate", "down", "none", "pima", "strum"),
    "slides": ("alternate", "down", "economy", "fingers", "none", "pima"),
    "bends": ("alternate", "down", "economy", "fingers", "none", "pima"),
    "harmonics": ("alternate", "down", "economy", "fingers", "none", "pima"),
    "drone": ("alternate", "down", "economy", "fingers", "none", "pima"),
    "holds": ("alternate", "down", "economy", "fingers", "none", "pima"),
}
# A kind with few rules comes up with each of them more often.
CELLS = tuple((kind, rule) for kind, rules in STROKES.items() for rule in islice(cycle(rules), max(3, len(rules))))
# An instrument of the shared list, one spelled out, one with a capo; open strings sounding, then frets over the capo.
INSTRUMENTS: tuple[tuple[str | Json, tuple[int, ...], int], ...] = (
    ("guitar", TUNINGS["guitar"], 22),
    ("nylon-guitar", TUNINGS["guitar"], 19),
    ("seven-string", TUNINGS["seven-string"], 24),
    ("bass", TUNINGS["bass"], 24),
    ("five-string-bass", TUNINGS["five-string-bass"], 24),
    ("ukulele", TUNINGS["ukulele"], 12),
    ("mandolin", (76, 69, 62, 55), 20),
    ("short-scale-guitar", TUNINGS["guitar"], 22),
    ("drop-d", TUNINGS["drop-d"], 22),
    (
        {"name": "open G", "strings": ["D4", "B3", "G3", "D3", "G2", "D2"], "frets": 21, "scale-length": 640},
        (62, 59, 55, 50, 43, 38),
        21,
    ),
    (
        {"strings": ["E4", "B3", "G3", "D3", "A2", "E2"], "frets": 22, "scale-length": 648, "capo": 3},
        (67, 62, 58, 53, 48, 43),
        19,
    ),
)
ROUNDS = 2
COUNT = len(CELLS) * len(INSTRUMENTS) * ROUNDS
METERS = ("4/4", "4/4", "3/4", "2/4", "6/8", "12/8")
# With these no mode needs more than seven signs.
TONICS = ("C", "D", "E", "F", "F#", "G", "A", "Bb", "B")
MODES = ("major", "minor", "dorian", "mixolydian", "phrygian", "lydian")


def cell(number: int) -> tuple[str, str, str]:
    """Kind, stroke rule and instrument of a number; each cell comes up on every instrument in turn."""
    kind, rule = CELLS[number % len(CELLS)]
    instrument = INSTRUMENTS[number // len(CELLS) % len(INSTRUMENTS)][0]
    return kind, rule, instrument if isinstance(instrument, str) else instrument.get("name", "capo")


def case(number: int) -> Case:
    """Return the exercise of a number; the same number gives the same exercise."""
    chance = Random(number)
    kind, rule = CELLS[number % len(CELLS)]
    instrument, strings, frets = INSTRUMENTS[number // len(CELLS) % len(INSTRUMENTS)]
    spec: Json = {
        "id": f"technique-{number}",
        "title": f"Technique {number}",
        "instrument": instrument if isinstance(instrument, str) else dict(instrument),
        "key": f"{chance.choice(TONICS)} {chance.choice(MODES)}",
        "rhythm": {"meter": chance.choice(METERS), "notes-per-beat": chance.randint(1, 4)},
        "neck": {},
        "strokes": strokes_of(chance, rule),
        "tempo": tempo_of(chance),
        "checkpoints": {"at": chance.choice(("rests", "rests", "none")), "cues": chance.sample(CUES, 3)},
    }
    spec["neck"]["start"] = {"note": spec["key"].split()[0]}
    if chance.random() < 0.3:
        spec["rhythm"]["accents"] = chance.choice(("bursts", "beats", "none", 2, 3))
    # Pairs are never on one string, and only a held chord rings on where a strum misses.
    if kind == "double-notes":
        spec["strokes"].pop("pluck", None)
        spec["strokes"].pop("pluck-in", None)
    if rule == "strum" and kind != "chord-changes":
        spec["strokes"]["pattern"] = chance.choice((["down", "up"], ["down", "down", "up"], ["up", "down"]))
    _FILL[kind](chance, spec, strings, frets)
    return Case(number, spec, chance.choice(("small", "medium", "medium", "large")))


def _length(chance: Random, material: Json, most: int) -> None:
    material["notes"] = chance.randint(3, most)
    if chance.random() < 0.4:
        material["turn"] = True


def _burst(chance: Random, spec: Json, figure: int) -> None:
    """Cut the line into whole figures, with silence between."""
    if chance.random() < 0.7:
        spec["rhythm"]["burst"] = figure * chance.randint(1, 3)
    if chance.random() < 0.4:
        spec["rhythm"]["rest"] = chance.choice((1, 2, "to-barline"))
    if chance.random() < 0.2:
        spec["rhythm"]["displace"] = chance.choice((["1/2", 0], [0, "1/2", 1]))


def _double_notes(chance: Random, spec: Json, strings: tuple[int, ...], frets: int) -> None:
    interval = chance.choice(("third", "fourth", "fifth", "sixth", "octave", "tenth"))
    rule = spec["strokes"]["rule"]
    broken = rule in ("legato", "fingers") or chance.random() < 0.3
    spec["material"] = {"kind": "double-notes", "interval": interval}
    if broken:
        spec["material"]["play"] = chance.choice(("broken-up", "broken-down"))
    _length(chance, spec["material"], 6)
    if chance.random() < 0.4:
        apart = {"third": 1, "fourth": 1, "fifth": 1, "sixth": 2, "octave": 2, "tenth": 3}[interval]
        lower = chance.randint(apart + 1, len(strings))
        pairs = [[lower, lower - apart], [lower - 1, lower - 1 - apart]]
        spec["material"]["strings"] = pairs[0] if lower - 1 - apart < 1 or chance.random() < 0.5 else pairs
    if chance.random() < 0.2 and not broken:
        spec["contour"] = {"order": chance.choice(([1, 2, 1], [1, 3, 2], [2, 1]))}
    _burst(chance, spec, 2)


def _loop(chance: Random, spec: Json, most: int) -> list[str]:
    """Chords of a key, its tonic first; the key and the start are set to match."""
    mode, loops = chance.choice((("major", MAJOR_LOOPS), ("minor", MINOR_LOOPS)))
    tonic = chance.choice(sorted(loops))
    spec["key"], spec["neck"]["start"] = f"{tonic} {mode}", {"note": tonic}
    first, *others = loops[tonic]
    return [first, *chance.sample(others, chance.randint(1, most - 1))]


def _held(chance: Random, spec: Json, strings: tuple[int, ...], most: int) -> Json:
    """What both kinds say that hold chords."""
    material: Json = {"chords": _loop(chance, spec, most)}
    if chance.random() < 0.4:
        material["notes"] = chance.randint(3, min(4, len(strings)))
    if chance.random() < 0.3:
        material["voicing"] = "any"
        del spec["neck"]["start"]
    if chance.random() < 0.2:
        spec["neck"]["open-strings"] = False
    return material


def _right_hand(chance: Random, spec: Json, strings: tuple[int, ...], frets: int) -> None:
    material: Json = {"kind": "right-hand", **_held(chance, spec, strings, 3)}
    pattern = chance.choice((
        ["p", "i", "m", "a"], ["p", "i", "m", "a", "m", "i"], ["p", "m", "i"], ["pa", "i", "m"], ["p", ["i", "m"]],
        ["p", "i", "p", "m"], ["p", "ima"], ["pm", "i", "a", "i"],
    ))  # fmt: skip
    if material.get("notes") == 3 and any("a" in item for item in pattern):
        del material["notes"]
    material |= {"pattern": pattern, "times": chance.randint(1, 3)}
    if chance.random() < 0.2:
        material |= {"pattern": ["p", "a", "m", "i"], "tremolo": 1}
    elif chance.random() < 0.3:
        material["alternate-bass"] = True
    spec["material"] = material
    spec["rhythm"]["rest"] = chance.choice(("none", "none", "to-barline"))
    spec["strokes"] = {"rule": "pima"}


def _chord_changes(chance: Random, spec: Json, strings: tuple[int, ...], frets: int) -> None:
    spec["material"] = {"kind": "chord-changes", **_held(chance, spec, strings, 3)}
    if chance.random() < 0.7:
        spec["material"]["beats"] = chance.choice((2, 3, 4, [4, 2], [2, 2, 4]))
    spec["rhythm"]["rest"] = chance.choice(("none", "none", "to-barline"))


def _slides(chance: Random, spec: Json, strings: tuple[int, ...], frets: int) -> None:
    material: Json = {"kind": "slides", "finger": chance.randint(1, 4)}
    material["steps"] = chance.choice((1, 2, 3, [1, 2], [1, 3]))
    material["arrive"] = chance.choice(("slurred", "struck"))
    _length(chance, material, 5 if frets > 15 else 3)
    spec["material"] = material
    _burst(chance, spec, 2)
    _swing(chance, spec)


def _swing(chance: Random, spec: Json) -> None:
    if chance.random() < 0.2:
        spec["rhythm"] |= {"notes-per-beat": 2, "swing": True}
        spec["rhythm"].pop("displace", None)


def _bends(chance: Random, spec: Json, strings: tuple[int, ...], frets: int) -> None:
    material: Json = {"kind": "bends", "finger": chance.choice((1, 2, 3, 3, 4)), "release": chance.random() < 0.4}
    if chance.random() < 0.5:
        material["scale"] = f"{spec['key'].split()[0]} minor pentatonic"
    else:
        material["by"] = chance.randint(1, 3)
    _length(chance, material, 4)
    spec["material"] = material
    _burst(chance, spec, 3 if material["release"] else 2)
    _swing(chance, spec)


def _harmonics(chance: Random, spec: Json, strings: tuple[int, ...], frets: int) -> None:
    nodes = [node for node in (12, 7, 5, 4, 9, 16, 19) if node <= frets]
    count = chance.randint(1, 4)
    chosen = [12, 7, 5, 4][:count] if chance.random() < 0.7 else chance.sample(nodes, count)
    low = chance.randint(1, len(strings))
    spec["material"] = {"kind": "harmonics", "frets": chosen, "strings": list(range(low, 0, -1))}
    if chance.random() < 0.3:
        spec["material"]["finger"] = 4
    if chance.random() < 0.4:
        order = chance.sample(range(1, count + 1), count)
        spec["contour"] = {"order": order, "times": chance.randint(1, 2), "land": 1}
    del spec["neck"]["start"]


def _drone(chance: Random, spec: Json, strings: tuple[int, ...], frets: int) -> None:
    drone = chance.randint(1, len(strings))
    tonic = SHARPS[strings[drone - 1] % 12].replace("A#", "Bb").replace("D#", "Eb").replace("G#", "Ab")
    spec["key"] = f"{tonic} {chance.choice(('major', 'minor', 'dorian', 'mixolydian'))}"
    strike = chance.choice(("together", "alternate", "on-beats"))
    if spec["strokes"]["rule"] == "fingers":
        strike = "alternate"
    spec["material"] = {"kind": "drone", "drone": drone, "strike": strike}
    _length(chance, spec["material"], 7)
    spec["neck"]["start"] = {"note": spec["key"].split()[0]}
    if chance.random() < 0.3:
        line = drone + 1 if drone == 1 else drone - 1
        spec["material"]["strings"] = [line, *([line + 1] if drone == 1 and line < len(strings) else [])]
    if chance.random() < 0.7:
        spec["rhythm"]["burst"] = 2 * chance.randint(2, 4)


def _holds(chance: Random, spec: Json, strings: tuple[int, ...], frets: int) -> None:
    count, hold = len(strings), chance.randint(3, 8)
    string, fret = chance.randint(2, count), chance.randint(6, min(9, frets - 4))
    if chance.random() < 0.5:
        material: Json = {"shape": "barre", "strings": chance.randint(2, min(string, hold))}
    else:
        material = {"shape": "stretch", "fingers": chance.choice(([1, 4], [1, 2, 4], [1, 3], [2, 4], [1, 2, 3, 4]))}
        if chance.random() < 0.5:
            material["frets"] = [finger - material["fingers"][0] for finger in material["fingers"]]
    per_beat = 2 if hold < 5 else spec["rhythm"]["notes-per-beat"]
    spec["material"] = {"kind": "holds", **material, "hold": hold, "rounds": chance.randint(1, 3)}
    spec["material"]["shift"] = chance.choice((-2, -1, 1))
    spec["rhythm"] |= {"notes-per-beat": per_beat, "rest": hold + chance.randint(0, 2)}
    spec["neck"]["start"] = {"places": [{"string": string, "fret": fret}]}


_FILL: dict[str, Callable[[Random, Json, tuple[int, ...], int], None]] = {
    "double-notes": _double_notes,
    "right-hand": _right_hand,
    "chord-changes": _chord_changes,
    "slides": _slides,
    "bends": _bends,
    "harmonics": _harmonics,
    "drone": _drone,
    "holds": _holds,
}
