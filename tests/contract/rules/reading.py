"""A study as the JSON tells it and its exercise as the YAML asks for it, read without the engine.

In, Out:  one study of `studies --json`, the plain data of its exercise file; moments, bursts, answers
Units:    onsets and durations are fractions of a whole note, lengths mm, frets count from the capo
Source:   product contract, sections 2, 4 and 7; check values c (frets)
Not here: what has to hold (the other modules of this package)
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Any

Json = dict[str, Any]

LETTERS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
# Place of a mode's tonic in its parent major scale, counted in fifths above the parent's tonic.
MODE_FIFTHS = {
    "major": 0, "ionian": 0, "minor": 3, "aeolian": 3, "dorian": 2, "phrygian": 4, "lydian": -1, "mixolydian": 1,
    "locrian": 5, "harmonic minor": 3, "melodic minor": 3,
}  # fmt: skip


def midi_of(pitch: str) -> int:
    """Return the MIDI number of a spelled pitch, worked out letter by letter.

    >>> midi_of("C4"), midi_of("C#4"), midi_of("Bb3"), midi_of("Cb4"), midi_of("B#3"), midi_of("F##4")
    (60, 61, 58, 59, 60, 67)
    """
    match = re.fullmatch(r"([A-G])(#*|b*)(-?\d+)", pitch)
    if not match:
        raise ValueError(f"not a pitch: {pitch}")
    return LETTERS[match[1]] + len(match[2]) * (-1 if "b" in match[2] else 1) + 12 * (int(match[3]) + 1)


def pitch_class(name: str) -> int:
    """Return 0 to 11 for a note name."""
    return midi_of(name + "4") % 12


def signs_of(key: str) -> int:
    """Return the number of sharps or flats of a key's signature.

    >>> signs_of("D minor"), signs_of("F# dorian"), signs_of("Bb major"), signs_of("C lydian")
    (1, 4, 2, 1)
    """
    name, mode = key.split(" ", 1)
    fifths = "FCGDAEB".index(name[0]) - 1 + 7 * (name.count("#") - name[1:].count("b"))
    return abs(fifths - MODE_FIFTHS[mode])


@dataclass(frozen=True, slots=True)
class Moment:
    """The notes of one voice that sound from *onset* to *end*; *tied* = all of them continue."""

    onset: Fraction
    end: Fraction
    notes: tuple[Json, ...]

    @property
    def tied(self) -> bool:
        return all(note["tied"] for note in self.notes)


Burst = tuple[Moment, ...]


@dataclass(frozen=True)
class Reading:
    """A study with its fractions read and its events in order."""

    study: Json

    @cached_property
    def bar(self) -> Fraction:
        count, unit = re.match(r"(\d+)/(\d+)", self.study["meter"]).groups()  # type: ignore[union-attr]
        return Fraction(int(count), int(unit))

    @cached_property
    def beat(self) -> Fraction:
        return Fraction(self.study["beat"])

    @cached_property
    def notes(self) -> tuple[Json, ...]:
        return tuple(event for event in self.study["events"] if event["kind"] == "note")

    @cached_property
    def voices(self) -> dict[int, list[tuple[Fraction, Fraction, list[Json]]]]:
        """Voice → moments in order: onset, end, the events that begin there."""
        found: dict[int, dict[Fraction, list[Json]]] = {}
        for event in self.study["events"]:
            found.setdefault(event["voice"], {}).setdefault(Fraction(event["onset"]), []).append(event)
        return {
            voice: [(onset, onset + Fraction(events[0]["duration"]), events) for onset, events in sorted(at.items())]
            for voice, at in sorted(found.items())
        }

    @cached_property
    def bursts(self) -> tuple[Burst, ...]:
        """The runs of voice 1 between rests, ties merged into the note they continue."""
        runs: list[list[Moment]] = [[]]
        for onset, end, events in self.voices[1]:
            notes = tuple(event for event in events if event["kind"] == "note")
            if not notes:
                runs.append([])
            elif runs[-1] and all(note["tied"] for note in notes):
                held = runs[-1][-1]
                runs[-1][-1] = Moment(held.onset, end, held.notes)
            else:
                runs[-1].append(Moment(onset, end, notes))
        return tuple(tuple(run) for run in runs if run)

    @cached_property
    def moments(self) -> tuple[Moment, ...]:
        return tuple(moment for burst in self.bursts for moment in burst)

    @cached_property
    def sounding(self) -> tuple[tuple[Fraction, list[Json]], ...]:
        """Each onset of a note, with all notes that sound there, held ones included."""
        held: list[tuple[Fraction, Json]] = []
        found: list[tuple[Fraction, list[Json]]] = []
        for note in sorted(self.notes, key=lambda note: Fraction(note["onset"])):
            at = Fraction(note["onset"])
            held = [*((end, one) for end, one in held if end > at), (at + Fraction(note["duration"]), note)]
            if found and found[-1][0] == at:
                found.pop()
            found.append((at, [one for _, one in held]))
        return tuple(found)

    @cached_property
    def struck(self) -> tuple[tuple[Moment, ...], ...]:
        """The bursts of voice 1 without the notes reached by a slur."""
        runs = (tuple(one for one in burst if not one.notes[0]["slurred"]) for burst in self.bursts)
        return tuple(run for run in runs if run)

    @property
    def single(self) -> bool:
        """Whether one voice plays one note at a time."""
        return len(self.voices) == 1 and all(len(moment.notes) == 1 for moment in self.moments)

    def place_mm(self, fret: int) -> float:
        """The distance of a fret from the nut, check values c; *fret* counts from the capo."""
        instrument = self.study["instrument"]
        return float(instrument["scale_length_mm"] * (1 - 2 ** (-(fret + instrument["capo"]) / 12)))

    def reach_mm(self, frets: Sequence[int]) -> float:
        return self.place_mm(max(frets)) - self.place_mm(min(frets))

    @cached_property
    def hand_positions(self) -> tuple[tuple[Json, ...], ...]:
        """The fretted notes of each run, cut where `position` changes and where a chord begins the next burst."""
        chords = {Fraction(chord["onset"]) for chord in self.study["chords"]}
        groups: list[list[Json]] = []
        for burst in self.bursts if len(self.voices) == 1 else ():
            last = None
            for note in (note for moment in burst for note in moment.notes if note["fret"]):
                if note["position"] != last or Fraction(note["onset"]) in chords:
                    groups.append([])
                groups[-1].append(note)
                last = note["position"]
        return tuple(map(tuple, groups))

    @property
    def stays(self) -> tuple[tuple[Json, ...], ...]:
        """The fretted notes of each run, cut only where `position` changes: no silence lets the hand leave."""
        groups: list[list[Json]] = []
        for burst in self.bursts if len(self.voices) == 1 else ():
            last = None
            for note in (note for moment in burst for note in moment.notes if note["fret"]):
                if note["position"] != last:
                    groups.append([])
                groups[-1].append(note)
                last = note["position"]
        return tuple(map(tuple, groups))


def label(event: Json) -> str:
    return f"bar {event['bar']} onset {event['onset']} voice {event['voice']} {event.get('pitch', 'rest')}"


def differs(metrics: Json, name: str, expected: float, tolerance: float = 0.0) -> Iterator[str]:
    if abs(metrics[name] - expected) > tolerance:
        yield f"{name} {metrics[name]}, counted {expected}"


def passes_of(spec: Json) -> list[Json]:
    contour = spec.get("contour") or {}
    return contour.get("passes") or [contour]


def lands(reading: Reading, spec: Json, number: int) -> bool:
    """Whether burst *number* (from 0) is to end on a landing note."""
    several = passes_of(spec)
    return "land" in several[number * len(several) // len(reading.bursts)]


def kind_of(spec: Json) -> str:
    return str(spec["material"]["kind"])


def of_rhythm(spec: Json, key: str, default: Any) -> Any:
    """What the exercise answers to *key* of `rhythm`."""
    return spec.get("rhythm", {}).get(key, default)


def each_beat(spec: Json) -> list[int]:
    """How many notes fill each beat in turn; empty where the exercise gives lengths instead."""
    asked = of_rhythm(spec, "notes-per-beat", [] if "durations" in spec.get("rhythm", {}) else 4)
    return list(asked) if isinstance(asked, list) else [asked]


def steady(spec: Json) -> int | None:
    """The one number of equal notes that fills every beat, None where there is no such number."""
    found = each_beat(spec)
    return found[0] if len(found) == 1 and not of_rhythm(spec, "swing", False) else None


def displaced(reading: Reading, spec: Json, number: int) -> Fraction:
    """How much later than it would burst *number* (from 0) is to begin."""
    asked = of_rhythm(spec, "displace", [0])
    shifts = asked if isinstance(asked, list) else [asked]
    return Fraction(shifts[number % len(shifts)]) * reading.beat


def rests_divide(spec: Json) -> bool:
    """Whether silence stands between all bursts, so that they can be read off the JSON."""
    rest = of_rhythm(spec, "rest", "to-barline")
    if kind_of(spec) in ("notes", "right-hand", "chord-changes") or rest in ("none", "to-beat"):
        return False
    if isinstance(spec.get("checkpoints", {}).get("at"), dict):
        return False  # a bar of rest after every so many bars falls where it falls, inside a burst too
    return rest != "to-barline" or bool(of_rhythm(spec, "rest-at-least", 1))


def dense_ranks(values: Sequence[int]) -> list[int]:
    """Return the place of each value among the distinct values.

    >>> dense_ranks([62, 64, 65, 64]), dense_ranks([1, 5, 1])
    ([0, 1, 2, 1], [0, 1, 0])
    """
    places = sorted(set(values))
    return [places.index(value) for value in values]
