"""What a study's document says must stand on paper, in the order in which it is read.

Stage:    page critic
In, Out:  one study of the book's JSON; `Expected`
Units:    onsets and durations in whole notes from the start of the study
Not here: reading the page (`music`), comparing the two (`study`)
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import groupby
from typing import Any

Entry = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Moment:
    """What begins at one onset: notes struck or reached, and notes that only go on.

    *after_rest* says that it begins a run of its only voice; *told* are the fingers that a chord diagram over it or a
    slide to it may tell instead of numbers. *lengths* are how long its new notes sound, ties followed to their end.
    """

    onset: Fraction
    bar: int
    struck: tuple[Entry, ...]
    going_on: tuple[Entry, ...]
    after_rest: bool
    told: tuple[str, ...]
    lengths: tuple[Fraction, ...]

    @property
    def pitches(self) -> tuple[str, ...]:
        """The pitches of its new notes, sorted."""
        return tuple(sorted(str(note["pitch"]) for note in self.struck))

    @property
    def fingers(self) -> tuple[str, ...]:
        """The fingers printed at it, sorted."""
        return tuple(sorted(str(note["finger"]) for note in self.struck if note["finger_printed"]))

    @property
    def strokes(self) -> frozenset[str]:
        """What the other hand does."""
        return frozenset(str(note["stroke"]) for note in self.struck if note["stroke"])

    @property
    def accent(self) -> bool:
        """Whether it is stressed."""
        return any(note["accent"] for note in self.struck)


@dataclass(frozen=True, slots=True)
class Silence:
    """All rest between two notes of one voice: where it begins and how long it is."""

    onset: Fraction
    length: Fraction


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """A rest with a cue."""

    onset: Fraction
    bar: int
    cue: str


@dataclass(frozen=True, slots=True)
class Shape:
    """A chord shape, string 1 first: 0 open, None not played; *kept* are strings whose fingers stay from before."""

    symbol: str
    frets: tuple[int | None, ...]
    fingers: tuple[int | None, ...]
    kept: frozenset[int]


@dataclass(frozen=True, slots=True)
class Expected:
    """A study as it must be read: *fretted* holds for each moment its (string, fret) pairs in tablature.

    *signature* is None where it can't be told; *shapes* are symbols that may stand over the staff beside the *chords*;
    *diagrams* are the shapes that are shown, each where it is met first;
    *tempos* are tempo steps with their levels, *notes_per_second* is at the first of them,
    *start* the string and fret to begin at,
    *opens* the pitches of open strings.
    """

    title: str
    id: str
    exercise: str
    voices: int
    signature: int | None
    moments: tuple[Moment, ...]
    fretted: tuple[tuple[Moment, tuple[tuple[int, int], ...]], ...]
    silences: tuple[Silence, ...]
    chords: tuple[tuple[Fraction, str], ...]
    shapes: frozenset[str]
    diagrams: tuple[Shape, ...]
    meter: str
    beat: Fraction
    bar_length: Fraction
    bars: int
    strings: int
    start: tuple[int, int] | None
    opens: tuple[int, ...]
    tempos: tuple[tuple[int, int], ...]
    notes_per_second: float | None
    checkpoints: tuple[Checkpoint, ...]


def expected(study: Entry, german: bool = False) -> Expected:
    """Return what *study* must look like; where chords are called *german*, H stands for B."""
    named = _in_german if german else str
    events: list[Entry] = list(study["events"])
    voices = len({event["voice"] for event in events})
    moments = tuple(_moments(study, events, voices))
    return Expected(
        str(study["title"]),
        str(study["id"]),
        str(study.get("exercise", "")),
        voices,
        _signature(study),
        moments,
        tuple(_fretted(study, moments)),
        tuple(_silences(events)),
        tuple((Fraction(chord["onset"]), named(chord["symbol"])) for chord in study["chords"] if chord["symbol"]),
        frozenset(named(shape["symbol"]).replace(" ", "") for shape in study["shapes"]),
        tuple(_diagrams(study, events, named)),
        str(study["meter"]),
        Fraction(study["beat"]),
        Fraction(study["meter"]),
        max(int(event["bar"]) for event in events),
        len(study["instrument"]["strings"]),
        (int(study["start"]["string"]), int(study["start"]["fret"])) if "start" in study else None,
        _opens(study),
        tuple(zip(map(int, study["tempo_steps"]), map(int, study["levels"]), strict=True)),
        study["metrics"]["notes_per_second"] if "metrics" in study else None,
        tuple(
            Checkpoint(_onset(event), int(event["bar"]), str(event["checkpoint"]))
            for event in sorted(events, key=_onset)
            if event["kind"] == "rest" and event["checkpoint"]
        ),
    )


def _diagrams(study: Entry, events: list[Entry], named: Callable[[str], str]) -> Iterator[Shape]:
    shapes = list(study["shapes"])
    starts = [_fraction(shape["onset"]) for shape in shapes]
    kept: list[set[int]] = [set() for _ in shapes]
    for event in events:
        place = bisect_right(starts, _onset(event)) - 1
        if place >= 0 and event["kind"] == "note" and event.get("kept"):
            kept[place].add(int(event["string"]))
    met = set()
    for shape, strings in zip(shapes, kept, strict=True):
        name = tuple(shape["frets"]), tuple(shape["fingers"]), frozenset(strings)
        if name not in met:
            met.add(name)
            yield Shape(named(shape["symbol"]), *name)


def _opens(study: Entry) -> tuple[int, ...]:
    instrument = study["instrument"]
    return tuple(int(midi) + int(instrument["capo"]) for midi in instrument["strings"])


def _in_german(symbol: str) -> str:
    """A chord symbol where H stands for B: `B7` is H7, `G/B` is G/H, `Bbmaj7` stays."""
    return re.sub(r"(^|/)B(?!b)", r"\1H", symbol)


def _moments(study: Entry, events: list[Entry], voices: int) -> list[Moment]:
    shapes = [(Fraction(shape["onset"]), shape) for shape in study["shapes"]]
    starts = [start for start, _ in shapes]
    found = []
    rested = True
    sounding = _sounding(events)
    for onset, group in groupby(sorted(events, key=_onset), key=_onset):
        together = list(group)
        notes = [event for event in together if event["kind"] == "note"]
        struck = tuple(note for note in notes if not note["tied"])
        going_on = tuple(note for note in notes if note["tied"])
        if notes:
            held = shapes[bisect_right(starts, onset) - 1][1] if starts and starts[0] <= onset else None
            told = tuple(str(note["finger"]) for note in struck if _told(note, held))
            lengths = tuple(sounding[id(note)] for note in struck)
            found.append(
                Moment(onset, int(together[0]["bar"]), struck, going_on, rested and voices == 1, told, lengths)
            )
        rested = not notes
    return [moment for moment in found if moment.struck]


def _sounding(events: list[Entry]) -> dict[int, Fraction]:
    """How long each struck note sounds, by its identity: its own duration and those of the notes tied to it."""
    found: dict[int, Fraction] = {}
    struck: dict[tuple[Any, ...], int] = {}
    for event in sorted(events, key=_onset):
        if event["kind"] != "note":
            continue
        name = event["voice"], event["pitch"], event["string"]
        if not event["tied"]:
            struck[name] = id(event)
            found[id(event)] = Fraction(0)
        if name in struck:
            found[struck[name]] += _fraction(event["duration"])
    return found


def _told(note: Entry, shape: Entry | None) -> bool:
    """Whether the finger of *note* needs no number: a slide leads to it, or the diagram of *shape* shows it."""
    if note["technique"] == "slide" or shape is None:
        return bool(note["technique"] == "slide")
    string = int(note["string"]) - 1
    return bool(shape["frets"][string] == note["fret"] and shape["fingers"][string] == note["finger"])


def _onset(event: Entry) -> Fraction:
    return _fraction(event["onset"])


@lru_cache(maxsize=4096)
def _fraction(text: str) -> Fraction:
    """Reading fractions costs more than all else here, and the studies of a book share most of theirs."""
    return Fraction(text)


def _fretted(study: Entry, moments: tuple[Moment, ...]) -> list[tuple[Moment, tuple[tuple[int, int], ...]]]:
    """A bent note has no number of its own: an arrow leads to its pitch."""
    opens = _opens(study)
    found = []
    for moment in moments:
        shown = [
            (int(note["string"]), int(note["fret"]))
            for note in moment.struck
            if note["technique"] != "bend" or int(note["midi"]) == opens[int(note["string"]) - 1] + int(note["fret"])
        ]
        if shown:
            found.append((moment, tuple(sorted(shown))))
    return found


def _silences(events: list[Entry]) -> list[Silence]:
    """All rest between two notes of a voice, voice by voice."""
    found: list[Silence] = []
    for voice in sorted({event["voice"] for event in events}):
        own = sorted((event for event in events if event["voice"] == voice), key=_onset)
        for rests, group in groupby(own, key=lambda event: event["kind"] == "rest"):
            if rests:
                together = list(group)
                length = sum((_fraction(rest["duration"]) for rest in together), Fraction(0))
                found.append(Silence(_onset(together[0]), length))
    return found


_MODES = {
    "ionian": 0,
    "major": 0,
    "mixolydian": -1,
    "dorian": -2,
    "aeolian": -3,
    "minor": -3,
    "phrygian": -4,
    "locrian": -5,
    "lydian": 1,
}
_FIFTHS = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}


def _signature(study: Entry) -> int | None:
    """Return the signature of the key, sharps up; None for a mode whose signature is the engraver's choice.

    Source: a mode has the signature of the major scale on which it stands, common practice.
    """
    tonic, _, mode = str(study["key"]).partition(" ")
    if mode not in _MODES or tonic[:1] not in _FIFTHS:
        return None
    return _FIFTHS[tonic[0]] + 7 * (tonic.count("#") - tonic.count("b")) + _MODES[mode]
