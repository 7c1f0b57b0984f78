"""What a material is: its parameters, and the sets of notes it gives.

Stage:    compose, answer 1 (pure)
Not here: the kinds themselves; each is a module of this package with one constant MATERIAL
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Literal

from pydantic import BaseModel

from builder.theory.fretboard import Instrument, Place
from builder.theory.harmony import Key
from builder.theory.pitch import NoteName, Pitch


@dataclass(frozen=True, slots=True)
class Sound:
    """One note a material gives; *string*, *fret* and *finger* only where the material itself fixes them."""

    pitch: Pitch
    string: int | None = None
    fret: int | None = None
    finger: int | None = None


@dataclass(frozen=True, slots=True)
class NoteSet:
    """The notes the contour counts, lowest first (a line: in its own order).

    *symbol* is the chord printed over it, empty for none; *line* = a long run that windows move over;
    *order* is the contour this set asks for when the spec names none (counted from 1).
    """

    sounds: tuple[Sound, ...]
    symbol: str
    line: bool
    order: tuple[int, ...]


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
    """What a material may know: the exercise's key, the instrument, the length of a bar, and where it begins.

    *first* is the sounding, spelled pitch of the lowest note of the first set; *place* the start position tried.
    """

    key: Key
    instrument: Instrument
    bar: Fraction
    first: Pitch
    place: Place


@dataclass(frozen=True, slots=True)
class Material:
    """A kind of material.

    `note_sets(parameters, setting)` gives the sets in playing order, or written music; it raises `NoSolution` when
    this start can't be done, worded for the reader. `default_key(parameters)` is the key where the spec names none.
    `first_notes(parameters, key)` names the notes the first set may start on when `neck.start.note` is not given:
    names (any octave) or pitches, best first; empty = the spec must give places. *repeats*: the study is a loop.
    `check(parameters, key)` returns complaints `(path below material, found, expected, hint)` that need no start.
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
