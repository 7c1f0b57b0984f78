"""How practice tracks sound: programs, loudness and times, from shared/sound.yaml.

Stage:    7 write (in)
In, Out:  the plain data of the file; a `Sound`
Units:    programs are General MIDI's, from 1; velocities and keys MIDI's; times in seconds
Not here: what sounds when (`performance`), the files (`midi`, `audio`)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from builder.resources import table
from builder.theory.fretboard import Instrument


@dataclass(frozen=True, slots=True)
class Hit:
    """One sound of the click: a percussion key and how hard."""

    key: int
    velocity: int


@dataclass(frozen=True, slots=True)
class Voicing:
    """How a part of the backing sounds."""

    program: int
    velocity: int


@dataclass(frozen=True, slots=True)
class Velocities:
    """How hard a note of the study is struck."""

    plain: int
    stressed: int
    slurred: int
    harmonic: int


@dataclass(frozen=True, slots=True)
class Click:
    """The sounds of the click, by what they mark."""

    downbeat: Hit
    group: Hit
    beat: Hit
    division: Hit


@dataclass(frozen=True, slots=True)
class Sound:
    """Everything of shared/sound.yaml."""

    programs: Mapping[str, int]
    chords: Voicing
    bass: Voicing
    drone: Voicing
    velocities: Velocities
    click: Click
    count_in_bars: int
    bars_between: int
    strum_s: float
    slide_s: float
    bend_s: float

    @classmethod
    def from_data(cls, data: Mapping[str, Any]) -> Sound:
        """Read the plain data of the file; a missing key is our bug."""
        backing, times = data["backing"], data["milliseconds"]
        return cls(
            programs=data["programs"],
            chords=Voicing(**backing["chords"]),
            bass=Voicing(**backing["bass"]),
            drone=Voicing(**backing["drone"]),
            velocities=Velocities(**data["velocities"]),
            click=Click(**{name: Hit(**hit) for name, hit in data["click"].items()}),
            count_in_bars=data["bars"]["count-in"],
            bars_between=data["bars"]["between-tempos"],
            strum_s=times["strum"] / 1000,
            slide_s=times["slide"] / 1000,
            bend_s=times["bend"] / 1000,
        )

    def program(self, instrument: Instrument) -> int:
        """The program of *instrument*; one of a book's own sounds by its clef."""
        family = "bass" if instrument.clef.startswith("bass") else "other"
        return self.programs.get(instrument.name, self.programs[family])


@cache
def load_sound() -> Sound:
    """Read the file that travels with the package."""
    return Sound.from_data(table("sound.yaml"))
