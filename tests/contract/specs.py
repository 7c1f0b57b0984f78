"""Random exercise specs: every material on every path under every stroke rule, from a number alone.

In, Out:  a number; a `Case`: the plain data of an exercise file and the hand it is played by
Source:   product contract, section 4; ranges are our own choice, kept where a player would find music worth playing,
          so that most specs give studies and the rest give a reason
Not here: what has to hold for the studies (`rules`)
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from pathlib import Path
from random import Random
from typing import Any

import yaml

Json = dict[str, Any]

MATERIALS = ("chord-loop", "scale", "arpeggio", "fingers", "notes")
PATHS = ("one-string", "position", "per-string", "free")
STROKES = ("alternate", "economy", "down", "none", "legato", "fingers", "pima", "strum")
CELLS = tuple(product(MATERIALS, PATHS, STROKES))
# Five exercises a cell on instruments by chance, then one each on those that chance leaves out, in turn.
BY_CHANCE = 5 * len(CELLS)
COUNT = BY_CHANCE + len(CELLS)

# Plain numbers so that this module, like `rules`, takes nothing from the engine.
TUNINGS = {
    "guitar": (64, 59, 55, 50, 45, 40),
    "drop-d": (64, 59, 55, 50, 45, 38),
    "seven-string": (64, 59, 55, 50, 45, 40, 35),
    "bass": (43, 38, 33, 28),
    "five-string-bass": (43, 38, 33, 28, 23),
    "ukulele": (69, 64, 60, 67),
}
OTHERS = {
    "mandolin": (76, 69, 62, 55),
    "nylon-guitar": (64, 59, 55, 50, 45, 40),
    "short-scale-guitar": (64, 59, 55, 50, 45, 40),
}
OWN_INSTRUMENTS = (
    {"name": "open D", "strings": ["D4", "A3", "F#3", "D3", "A2", "D2"], "frets": 20, "scale-length": 650},
    {"strings": ["E4", "B3", "G3", "D3", "A2", "E2"], "frets": 22, "scale-length": 628.65, "capo": 3},
    {"strings": ["D4", "A3", "G3", "D3", "A2", "D2"], "frets": 20, "scale-length": 648, "capo": 2},
)
METERS = ("2/4", "3/4", "4/4", "4/4", "6/8", "9/8", "12/8", "5/8", "7/8")
GROUPS = {"5/8": ([2, 3], [3, 2]), "7/8": ([2, 2, 3], [3, 2, 2])}
SHARPS = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
MAJOR_LOOPS = {
    "C": ("C", "Am", "F", "G", "Dm", "Em"),
    "G": ("G", "Em", "C", "D", "Am", "Bm"),
    "D": ("D", "Bm", "G", "A", "Em", "F#m"),
    "A": ("A", "F#m", "D", "E", "Bm", "C#m"),
    "F": ("F", "Dm", "Bb", "C", "Gm", "Am"),
    "Bb": ("Bb", "Gm", "Eb", "F", "Cm", "Dm"),
    "Eb": ("Eb", "Cm", "Ab", "Bb", "Fm", "Gm"),
}
MINOR_LOOPS = {
    "A": ("Am", "Dm", "F", "G", "E", "C"),
    "D": ("Dm", "Gm", "Bb", "C", "A", "F"),
    "E": ("Em", "Am", "C", "D", "B", "G"),
    "B": ("Bm", "Em", "G", "A", "F#", "D"),
    "F#": ("F#m", "Bm", "D", "E", "C#", "A"),
    "G": ("Gm", "Cm", "Eb", "F", "D", "Bb"),
}
ORDERS = ([1, 2, 3], [1, 2, 3, 2], [3, 2, 1], [2, 1, 3], [1, 3, 2, 3], [1, 2, 1, 3])
PATTERNS = ([1, 2, 3, 4], [1, 4, 2, 3], [4, 3, 2, 1], [1, 3, 2, 4], [2, 4, 1, 3], [1, 2, 4])
STRUMS = (
    ("down", "up"), ("down", "down", "up"), ("down", "miss", "down", "up"), ("down", "up", "miss", "up"),
    ("up", "down"),
)  # fmt: skip
CUES = ("jaw", "shoulders", "breath", "neck", "feet", "tongue")


@dataclass(frozen=True, slots=True)
class Case:
    """One random exercise: its number, its plain data, the hand that plays it."""

    number: int
    spec: Json
    hand: str

    def write(self, folder: Path) -> Path:
        """Write the exercise file; *folder* exists."""
        path = folder / f"case-{self.number}.yaml"
        path.write_text(as_yaml(self.spec), encoding="utf-8")
        return path


class _Plain(yaml.SafeDumper):
    """A dumper without anchors: specs refuse aliases, and random data shares its lists."""

    def ignore_aliases(self, data: object) -> bool:
        return True


def as_yaml(data: object) -> str:
    """Return plain data as YAML text without anchors."""
    return yaml.dump(data, Dumper=_Plain, sort_keys=False, allow_unicode=True)


def case(number: int) -> Case:
    """Return the exercise of a number; the same number gives the same exercise, each cell comes up in turn."""
    chance = Random(number)
    material, path, rule = CELLS[number % len(CELLS)]
    instrument = _instrument(chance, material) if number < BY_CHANCE else list(OTHERS)[number % len(OTHERS)]
    spec: Json = {"id": f"case-{number}", "title": f"Case {number}"}
    if instrument != "guitar" or chance.random() < 0.5:
        spec["instrument"] = instrument
    spec |= {"rhythm": _rhythm(chance), "neck": {"path": _path(chance, path)}, "strokes": strokes_of(chance, rule)}
    # Where a run changes strings, its first note on each must be struck; and only held chords ring on in a miss.
    if path != "one-string":
        spec["strokes"].pop("pluck", None)
        spec["strokes"].pop("pluck-in", None)
    if rule == "strum" and chance.random() < 0.8:
        spec["strokes"]["pattern"] = ["down", "up"]
    spec |= {"tempo": tempo_of(chance), "checkpoints": _checkpoints(chance)}
    _FILL[material](chance, spec, path, _open_strings(instrument))
    return Case(number, spec, chance.choice(("small", "medium", "medium", "large", "105")))


def _instrument(chance: Random, material: str) -> str | Json:
    own = chance.random() < 0.2
    if own:
        return dict(chance.choice(OWN_INSTRUMENTS))
    return chance.choice(("guitar", "guitar", "guitar", *TUNINGS))


def _open_strings(instrument: str | Json) -> list[int]:
    """Sounding open strings, capo included."""
    if isinstance(instrument, str):
        return list((TUNINGS | OTHERS)[instrument])
    octave_of = {name: number for number, name in enumerate(SHARPS)}
    return [
        octave_of[name[:-1]] + 12 * (int(name[-1]) + 1) + int(instrument.get("capo", 0))
        for name in instrument["strings"]
    ]


def _path(chance: Random, path: str) -> str | Json:
    return {"per-string": chance.choice((2, 3, 3))} if path == "per-string" else path


def strokes_of(chance: Random, rule: str) -> Json:
    """The strokes of a rule, with some of the keys that go with it."""
    strokes: Json = {"rule": rule}
    if rule in ("alternate", "economy", "legato"):
        strokes["first"] = chance.choice(("down", "down", "up"))
    if rule == "legato" and chance.random() < 0.7:
        strokes["pluck"] = chance.choice(([1], [1, 3], [2], [1, 2, 4]))
        strokes["pluck-in"] = chance.choice(("string", "beat", "burst"))
    if rule == "fingers" and chance.random() < 0.5:
        strokes["order"] = list(chance.choice(("im", "mi", "ami", "ma")))
    if rule == "strum":
        strokes["pattern"] = list(chance.choice(STRUMS))
    if chance.random() < 0.5:
        strokes["after-rest"] = chance.choice(("reset", "carry", "grid"))
    return strokes


def tempo_of(chance: Random) -> Json:
    """Tempo steps a player could take."""
    low = chance.randint(40, 80)
    tempo: Json = {"from": low, "to": low + chance.randint(20, 80), "steps": chance.randint(1, 7)}
    if chance.random() < 0.3:
        tempo["spacing"] = "ratio"
    return tempo


def _checkpoints(chance: Random) -> Json:
    at = chance.choice(("rests", "rests", "rests", "none", {"bars": chance.randint(1, 4)}))
    cues = "rotate" if chance.random() < 0.7 else chance.sample(CUES, 3)
    return {"at": at, "cues": cues}


def _rhythm(chance: Random) -> Json:
    meter = chance.choice(METERS)
    rhythm: Json = {"meter": meter}
    if meter in GROUPS:
        rhythm["groups"] = list(chance.choice(GROUPS[meter]))
    # With a beat of an eighth, more than four notes to it are shorter than a 32nd and nothing a page should ask for.
    rhythm["notes-per-beat"] = chance.randint(1, 4 if meter in GROUPS else 8)
    rest = chance.choice(("to-barline", "to-barline", "to-barline", "to-beat", 1, 2, "none"))
    if rest != "to-barline" or chance.random() < 0.3:
        rhythm["rest"] = rest
    if rest == "to-barline" and chance.random() < 0.3:
        rhythm["rest-at-least"] = chance.choice((0.5, 1, 2))
    if chance.random() < 0.3:
        rhythm["landing"] = chance.choice((1, 2))
    if chance.random() < 0.15 and meter.endswith("/4"):
        del rhythm["notes-per-beat"]
        rhythm["durations"] = list(chance.choice((["1/8", "1/16", "1/16"], ["1/16", "1/8"], ["1/8", "1/8", "1/4"])))
    if meter not in GROUPS and chance.random() < 0.4:
        rhythm |= _feel(chance, rhythm)
    return rhythm


def _feel(chance: Random, rhythm: Json) -> Json:
    """One of the ways to play evenly written notes otherwise, for a rhythm that counts notes to the beat."""
    if "durations" in rhythm:
        return {"accents": chance.choice(("none", 3))}
    return dict(
        chance.choice((
            {"notes-per-beat": 2, "swing": True},
            {"notes-per-beat": list(chance.choice(([4, 3], [2, 3, 4], [1, 2])))},
            {"displace": chance.choice(([0, "1/2"], ["1/4", 0, "1/2"], 1))},
            {"accents": chance.choice(("beats", "none", "bursts", 2, 3, 4))},
        ))
    )  # fmt: skip


def _contour(chance: Random, size: int) -> Json:
    order = [number for number in chance.choice(ORDERS) if number <= size]
    if size > 3 and chance.random() < 0.5:
        order = chance.sample(range(1, size + 1), size)
    contour: Json = {"order": order, "times": chance.randint(1, 2)}
    if chance.random() < 0.8:
        contour["land"] = chance.randint(1, size)
    return contour


def _loop(chance: Random) -> tuple[str, list[str]]:
    """A key and some of its chords, the tonic first."""
    mode, loops = chance.choice((("major", MAJOR_LOOPS), ("minor", MINOR_LOOPS)))
    tonic = chance.choice(sorted(loops))
    first, *others = loops[tonic]
    return f"{tonic} {mode}", [first, *chance.sample(others, chance.randint(1, 3))]


def _chord_loop(chance: Random, spec: Json, path: str, strings: list[int]) -> None:
    key, chords = _loop(chance)
    size = chance.choice((3, 3, 3, 4))
    spec["key"] = key
    spec["material"] = {"kind": "chord-loop", "chords": chords, "set-size": size}
    if chance.random() < 0.3:
        spec["material"]["choose"] = "round-trip"
    if chance.random() < 0.2:
        spec["material"]["may-stay"] = True
    spec["contour"] = _contour(chance, size)
    if chance.random() < 0.25:
        spec["contour"] = {"passes": [spec["contour"], _contour(chance, size)]}
    spec["neck"]["start"] = {"note": key.split()[0], "places": _places(chance)}
    if path in ("position", "free") and size == 3 and chance.random() < 0.3:
        _cross(chance, spec, len(strings))
    if path == "free" and chance.random() < 0.5:
        spec["neck"] |= {"shift-in-burst": True, "shift-on": chance.sample(range(1, len(strings) + 1), 2)}
    # Four notes of a scale span six frets of one string, more than a hand; the hand then moves on the way.
    if size == 4 and path == "one-string":
        spec["neck"]["shift-in-burst"] = True


def _cross(chance: Random, spec: Json, strings: int) -> None:
    """Put the highest of three notes on the next string, whatever the order."""
    low = chance.randint(2, strings)
    order = chance.choice(ORDERS)
    spec["contour"] = {"order": order, "strings": [low - 1 if number == 3 else low for number in order]}


def _places(chance: Random) -> str:
    return chance.choice((*["each-string"] * 5, "every-place"))


def _scale(chance: Random, spec: Json, path: str, strings: list[int]) -> None:
    key, _ = _loop(chance)
    spec["key"] = key
    spec["material"] = {"kind": "scale", "turn": chance.random() < 0.5}
    if path == "one-string" or chance.random() < 0.3:
        spec["material"]["notes"] = chance.randint(4, 7)
    else:
        spec["material"]["octaves"] = 1
    _line_order(chance, spec)
    spec["neck"]["start"] = {"note": key.split()[0], "places": _places(chance)}
    spec["neck"]["shift-in-burst"] = path != "position" or chance.random() < 0.3


def _line_order(chance: Random, spec: Json) -> None:
    """Leave a line as it is, move a window over it, or cut it into bursts."""
    kind = chance.choice(("plain", "window", "burst"))
    if kind == "window":
        spec["contour"] = {"order": chance.choice(ORDERS), "turn": chance.random() < 0.3}
        if chance.random() < 0.5:
            spec["contour"]["land"] = 1
    if kind == "burst" and spec["rhythm"].get("rest") != "none":
        spec["rhythm"]["burst"] = chance.choice((3, 4, 5, 8))


def _arpeggio(chance: Random, spec: Json, path: str, strings: list[int]) -> None:
    key, chords = _loop(chance)
    spec["key"] = key
    spec["material"] = {"kind": "arpeggio", "chords": chords, "turn": chance.random() < 0.5}
    spec["material"]["voicing"] = chance.choice(("root", "nearest"))
    spec["material"]["notes"] = chance.randint(3, 5) if path != "one-string" else 3
    spec["neck"]["start"] = {"note": key.split()[0], "places": "each-string"}
    # Broken chords leap; on one string, and mostly elsewhere, the hand has to travel with them.
    spec["neck"]["shift-in-burst"] = path != "position" or chance.random() < 0.7


def _fingers(chance: Random, spec: Json, path: str, strings: list[int]) -> None:
    count = len(strings)
    first = chance.randint(1, count)
    walk = [first] if path == "one-string" else list(range(first, 0, -1))
    pattern = list(chance.choice(PATTERNS))
    spec["material"] = {"kind": "fingers", "pattern": pattern, "strings": walk}
    if chance.random() < 0.4 and len(walk) > 1:
        spec["material"]["back"] = True
    if chance.random() < 0.4:
        spec["material"] |= {"rounds": chance.randint(2, 3), "shift": chance.choice((0, 1))}
    fret = min(pattern) + chance.randint(3, 5)
    # Where a set is cut by a bar of rest, it is open which of its frets the hand reaches at once.
    if isinstance(spec["checkpoints"]["at"], dict):
        spec["checkpoints"]["at"] = "rests"
    spec["neck"]["start"] = {"places": [{"string": first, "fret": fret}]}
    spec["neck"]["shift-in-burst"] = chance.random() < 0.5


def _notes(chance: Random, spec: Json, path: str, strings: list[int]) -> None:
    """One or two voices under one hand; two are a melody over long basses, each on strings of its own."""
    spec["key"] = "C major"
    rhythm = spec["rhythm"]
    for key in set(rhythm) - {"meter", "groups"}:
        del rhythm[key]
    count, unit = map(int, rhythm["meter"].split("/"))
    bar, step = Fraction(count, unit), Fraction(1, 8 if unit == 8 else chance.choice((4, 8)))
    bars, hand = chance.randint(1, 4), chance.randint(4, 7)
    two = (
        path == "position" and len(strings) >= 4 and strings == sorted(strings, reverse=True) and chance.random() < 0.5
    )
    where = [chance.randint(1, len(strings))] if path == "one-string" else list(range(1, len(strings) // 2 + 1))
    spec["material"] = {"kind": "notes", "voices": [_voice(chance, strings, where, hand, bars, bar, step)]}
    first = spec["material"]["voices"][0].split()[0]
    if two:
        basses = " | ".join(f"{_spelled(strings[-1])} {bar}@{len(strings)}" for _ in range(bars))
        spec["material"]["voices"].append(basses)
        first = _spelled(strings[-1])
    spec["neck"]["start"] = {"note": first}


def _voice(
    chance: Random, strings: list[int], where: list[int], hand: int, bars: int, bar: Fraction, step: Fraction
) -> str:
    """The text of a voice: bars of notes of one length, under a hand that lies still."""
    written = []
    for number in range(bars):
        items = []
        for place in range(int(bar / step)):
            string = chance.choice(where)
            pitch = _spelled(strings[string - 1] + hand + chance.randint(0, 3))
            kind = chance.random() if (number, place) != (0, 0) else 1.0
            if kind < 0.15:
                items.append(f"rest {step}")
            elif kind < 0.25 and string + 1 in where and strings[string] < strings[string - 1]:
                # Two strings at one fret: the lower string sounds lower, so the text rises as it is read.
                both = [_spelled(strings[one - 1] + hand + 1) for one in (string + 1, string)]
                items.append(f"{'+'.join(both)} {step}@{string + 1}+{string}")
            else:
                items.append(f"{pitch} {step}@{string}")
        written.append(", ".join(items))
    return " | ".join(written)


def _spelled(midi: int) -> str:
    return f"{SHARPS[midi % 12]}{midi // 12 - 1}"


_FILL: dict[str, Callable[[Random, Json, str, list[int]], None]] = {
    "chord-loop": _chord_loop,
    "scale": _scale,
    "arpeggio": _arpeggio,
    "fingers": _fingers,
    "notes": _notes,
}
