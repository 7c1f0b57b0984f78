"""Fingered pieces of a file, and how often the free fretting hand agrees with them.

In, Out:  a JSON file of pieces (see `data/README.md`); notes, moments, counts
Counted:  every note with a printed finger, one vote a note; whole pieces are solved, and neither strings nor fingers
          are given away. Right = the same finger; a printed 0 is right only where the string is open. Notes below the
          lowest string are left out. A piece no hand can play is cut where the hand fails, and the notes of the onset
          that could not be played count as wrong
Source:   data/README.md names the editions and their licences
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import yaml

from builder.errors import NoSolution
from builder.resources import folder
from builder.theory.fingering import FreeFingering, FreeNote, Moment, NeckLimits, Weights, finger_freely, weights_from
from builder.theory.fretboard import Hand, Instrument
from builder.theory.pitch import Pitch

DATA = Path(__file__).parent / "data" / "fingered-etudes.json"
HAND = Hand("medium", 98, 130)  # the limit the first measurement used
FRETS, SCALE_MM = 19, 650.0
LIMITS = NeckLimits(open_strings=True, shift_in_burst=True, lets_go=True)


@dataclass(frozen=True, slots=True)
class Printed:
    """A note of an edition; *finger* is None where none is printed."""

    onset: Fraction
    duration: Fraction
    midi: int
    finger: int | None


@dataclass(frozen=True, slots=True)
class Piece:
    """An edition's name and notes."""

    name: str
    notes: tuple[Printed, ...]

    @property
    def counted(self) -> int:
        """How many notes have a printed finger."""
        return sum(note.finger is not None for note in self.notes)


def read(path: Path) -> tuple[Instrument, list[Piece]]:
    """The instrument and the pieces of a file."""
    data = json.loads(path.read_text(encoding="utf-8"))
    tuning = tuple(pitch_of(midi) for midi in data.get("tuning", (64, 59, 55, 50, 45, 40)))
    instrument = Instrument("guitar", tuning, FRETS, SCALE_MM)
    return instrument, [piece_of(entry, instrument) for entry in data["pieces"]]


def piece_of(entry: dict[str, Any], instrument: Instrument) -> Piece:
    """A piece without the notes that are not on the neck."""
    lowest = min(pitch.midi for pitch in instrument.open_strings)
    events = sorted((Fraction(e[0]), Fraction(e[1]), int(e[2]), e[3]) for e in entry["events"] if int(e[2]) >= lowest)
    return Piece(str(entry["piece"]), tuple(Printed(*event) for event in events))


def pitch_of(midi: int) -> Pitch:
    """A pitch that sounds *midi*, spelled anyhow."""
    names = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
    return Pitch.parse(f"{names[midi % 12]}{midi // 12 - 1}")


def moments_of(notes: Sequence[Printed]) -> list[Moment]:
    """The notes as moments, nothing printed given away."""
    struck: dict[Fraction, list[FreeNote]] = {}
    for note in notes:
        struck.setdefault(note.onset, []).append(FreeNote(note.midi, note.duration))
    return [Moment(onset, tuple(group)) for onset, group in struck.items()]


def fingers_of(notes: Sequence[Printed], instrument: Instrument, weights: Weights) -> list[int | None]:
    """The fingers of a piece; None for notes that could not be played."""
    moments = moments_of(notes)
    found: list[int | None] = []
    while moments:
        solved, played = _as_far_as_it_goes(moments, instrument, weights)
        if solved:
            found += solved.fingering.fingers
        failed = moments[played : played + 1]
        found += [None for moment in failed for _ in moment.notes]
        moments = moments[played + 1 :]
    return found


def _as_far_as_it_goes(
    moments: Sequence[Moment], instrument: Instrument, weights: Weights
) -> tuple[FreeFingering | None, int]:
    """The longest beginning that can be played, and how many moments it has."""
    low, high, best = 0, len(moments), None
    while low < high or best is None:
        tried = high if best is None and low == 0 and high == len(moments) else (low + high + 1) // 2
        if not tried:
            return None, 0
        try:
            best = finger_freely(moments[:tried], instrument, HAND, weights, LIMITS)
            low = tried
        except NoSolution:
            high = tried - 1
    return best, low


def agreement(piece: Piece, instrument: Instrument, weights: Weights) -> int:
    """How many printed fingers the hand takes too."""
    fingers = fingers_of(piece.notes, instrument, weights)
    return sum(note.finger is not None and note.finger == mine for note, mine in zip(piece.notes, fingers, strict=True))


def shipped() -> Weights:
    """The weights of the shared file."""
    return weights_from(yaml.safe_load((folder("shared") / "fingering.yaml").read_text(encoding="utf-8")))
