"""What a material is: its parameters, and the sets of notes it gives.

Stage:    compose, answer 1 (pure)
Not here: the kinds themselves; each is a module of this package with one constant MATERIAL
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Literal

from pydantic import BaseModel

from builder.theory.fretboard import Instrument, Place
from builder.theory.harmony import Key
from builder.theory.neck import NeckRule, Player
from builder.theory.pitch import NoteName, Pitch
from builder.theory.practice import StrokeRule
from builder.theory.rhythm import RhythmRule
from builder.theory.score import Stroke, Technique


@dataclass(frozen=True, slots=True)
class Sound:
    """One note a material gives; *string*, *fret* and *finger* only where the material itself fixes them.

    *voice* 2 is printed with stems down (the thumb's notes); *pluck* is the letter the material asks for. A *slurred*
    sound is reached from the one before without a stroke, *technique* says how. One that *rings* keeps its finger down
    until its string is struck again or its set ends, one that *stays* through the next sound, as two notes of one
    grip do that are played one after the other; *kept*: the finger was down already in the set before. *back* is its
    name where a contour walks the line the other way: D flat for a C sharp.
    """

    pitch: Pitch
    string: int | None = None
    fret: int | None = None
    finger: int | None = None
    voice: Literal[1, 2] = 1
    pluck: Stroke | None = None
    technique: Technique | None = None
    slurred: bool = False
    rings: bool = False
    stays: bool = False
    kept: bool = False
    back: Pitch | None = None


Moment = tuple[Sound, ...]
"""Sounds struck together, lowest first; mostly one."""


@dataclass(frozen=True, slots=True)
class Diagram:
    """A chord shape as a picture shows it, string 1 first: frets (0 open, None silent), fingers (None or 0: none)."""

    frets: tuple[int | None, ...]
    fingers: tuple[int | None, ...]


@dataclass(frozen=True, slots=True)
class NoteSet:
    """The moments the contour counts, lowest first (a line: in its own order).

    *symbol* is the chord printed over it, empty for none; *line* = a long run that windows move over;
    *order* is the contour this set asks for when the spec names none (counted from 1). *durations* are the moments'
    own lengths in whole notes where the material, not the rhythm, knows them; *diagram* is a shape to print.
    """

    moments: tuple[Moment, ...]
    symbol: str
    line: bool
    order: tuple[int, ...]
    durations: tuple[Fraction, ...] = ()
    diagram: Diagram | None = None

    @property
    def sounds(self) -> tuple[Sound, ...]:
        """Every sound, moment by moment."""
        return tuple(sound for moment in self.moments for sound in moment)


def singles(sounds: Iterable[Sound]) -> tuple[Moment, ...]:
    """Moments of one sound each."""
    return tuple((sound,) for sound in sounds)


@dataclass(frozen=True, slots=True)
class WrittenItem:
    """A moment of one voice as the spec wrote it: sounds together, or a rest when there are none."""

    onset: Fraction
    duration: Fraction
    sounds: tuple[Sound, ...]


@dataclass(frozen=True, slots=True)
class WrittenMusic:
    """Music that brings its own rhythm: voices of items, first voice first."""

    voices: tuple[tuple[WrittenItem, ...], ...]


@dataclass(frozen=True, slots=True)
class Setting:
    """What a material may know: the exercise's key, who plays what, its other answers, and where it begins.

    *first* is the sounding, spelled pitch of the lowest note of the first set; *place* the start position tried.
    """

    key: Key
    player: Player
    rhythm: RhythmRule
    neck: NeckRule
    strokes: StrokeRule
    first: Pitch
    place: Place

    @property
    def instrument(self) -> Instrument:
        """The player's instrument."""
        return self.player.instrument

    @property
    def bar(self) -> Fraction:
        """The length of a bar."""
        return self.rhythm.meter.bar


@dataclass(frozen=True, slots=True)
class Material:
    """A kind of material.

    `note_sets(parameters, setting)` gives the sets in playing order, or written music; it raises `NoSolution` when
    this start can't be done, worded for the reader. `default_key(parameters)` is the key where the spec names none.
    `first_notes(parameters, key)` names the notes the first set may start on when `neck.start.note` is not given:
    names (any octave) or pitches, best first; empty = the spec must give places. *repeats*: the study is a loop.
    `check(parameters, key)` returns complaints `(path below material, found, expected, hint)` that need no start.
    *paths* and *rules* are the neck paths and stroke rules that make sense: None = any, no path at all = the material
    places its notes itself. *stressed*: a burst's first and last note are accented where the spec does not say.
    *rhythm* names the keys of `rhythm` that are read, None = all. *shifts*: moving along the neck is what it practises,
    so its bursts are not held to one position.
    """

    kind: str
    summary: str
    parameters: type[BaseModel]
    note_sets: Callable[[Any, Setting], tuple[NoteSet, ...] | WrittenMusic]
    default_key: Callable[[Any], Key]
    first_notes: Callable[[Any, Key, Instrument], tuple[NoteName | Pitch, ...]]
    check: Callable[[Any, Key], tuple[tuple[tuple[str | int, ...], str, str, str], ...]]
    contour: Literal["needed", "optional", "unused"]
    repeats: bool
    example: str
    paths: frozenset[str] | None = None
    rules: frozenset[str] | None = None
    stressed: bool = True
    shifts: bool = False
    rhythm: frozenset[str] | None = None
