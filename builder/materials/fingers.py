"""Finger patterns: the same few frets on string after string, finger by finger.

Stage:    compose, answer 1 (pure)
In, Out:  patterns of fretting fingers, the strings to visit, the start place; one set a string, all places fixed
Units:    fingers 1 to 4; frets counted from the capo
Source:   one finger a fret (common practice): finger f lies f − 1 frets above finger 1;
          where every finger has two frets (mandolin), each on the upper one: the first four notes of a major scale
Not here: the files of named patterns (`spec.library`, handed over in the validation context under `patterns`)
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import Field, ValidationInfo, field_validator, model_validator

from builder.errors import NoSolution
from builder.fields import Flag, StringNumber, Unreadable, near_miss, one_of, whole_number
from builder.materials.material import Material, NoteSet, Setting, Sound, singles
from builder.materials.parameters import Complaint, Parameters
from builder.theory.fingering import lie_of
from builder.theory.fretboard import Instrument, Place
from builder.theory.harmony import Key, parse_key
from builder.theory.pitch import NoteName, Pitch
from builder.theory.spelling import spell

Pattern = tuple[int, ...]
_LONGEST_PATTERN = 16  # a bar of sixteenths: longer figures are no longer felt as one
_MOST_PATTERNS = 32  # room for all 24 orders of four fingers
_EXPECTED = "fingers 1 to 4 in a list such as [1, 4, 2, 3], a list of such lists, or the name of a pattern"


class Fingers(Parameters):
    """The parameters of `fingers`."""

    pattern: tuple[Pattern, ...] = Field(
        default=((1, 4, 2, 3),),
        description="The fingers in turn, a list of such patterns (string by string in turn), or a pattern's name.",
    )
    strings: tuple[StringNumber, ...] | None = Field(
        default=None, min_length=1, max_length=24, description="The strings to visit; else from the start to string 1."
    )
    shift: Annotated[int, whole_number(-6, 6)] = Field(
        default=0, description="Frets the hand moves up (negative: down) before each further round."
    )
    back: Flag = Field(default=False, description="Whether each round walks back over the strings, the last one once.")
    rounds: Annotated[int, whole_number(1, 12)] = Field(
        default=1, description="How often the strings are gone through."
    )

    @field_validator("pattern", mode="before")
    @classmethod
    def _read_patterns(cls, value: Any, info: ValidationInfo) -> tuple[Pattern, ...]:
        known: Mapping[str, Any] = (info.context or {}).get("patterns", {})
        if isinstance(value, str):
            value = _named(value, known)
        if not isinstance(value, list | tuple) or not value:
            raise Unreadable(_EXPECTED).for_pydantic()
        patterns = value if isinstance(value[0], list | tuple) else [value]
        if len(patterns) > _MOST_PATTERNS:
            raise Unreadable(f"at most {_MOST_PATTERNS} patterns").for_pydantic()
        return tuple(_read_pattern(pattern) for pattern in patterns)

    @model_validator(mode="after")
    def _shift_is_used(self) -> Fingers:
        if self.shift and self.rounds == 1:
            raise Unreadable("a shift together with two rounds or more", "add rounds: 2", at=("shift",)).for_pydantic()
        return self


def _named(name: str, known: Mapping[str, Any]) -> Any:
    if name not in known:
        expected = f"{one_of(known)}, or the fingers themselves" if known else _EXPECTED
        raise Unreadable(expected, near_miss(name, known)).for_pydantic()
    return known[name]


def _read_pattern(given: Any) -> Pattern:
    good = isinstance(given, list | tuple) and 1 <= len(given) <= _LONGEST_PATTERN
    if not good or not all(type(finger) is int and 1 <= finger <= 4 for finger in given):
        raise Unreadable(f"{_EXPECTED}; at most {_LONGEST_PATTERN} fingers each").for_pydantic()
    return tuple(given)


def note_sets(parameters: Fingers, setting: Setting) -> tuple[NoteSet, ...]:
    """Return one set a string; the lowest finger of the first pattern lies on the start fret."""
    start, instrument = setting.place, setting.instrument
    strings = parameters.strings or tuple(range(start.string, 0, -1))
    if strings[0] != start.string:
        raise NoSolution(f"the figure begins on string {strings[0]}")
    if missing := [string for string in strings if string > instrument.strings]:
        raise NoSolution(f"there is no string {missing[0]} on the {instrument.name}")
    lowest = _above_first(min(parameters.pattern[0]), instrument)
    walk = strings + strings[-2::-1] if parameters.back else strings
    return tuple(
        _set(
            parameters.pattern[(round_ * len(walk) + step) % len(parameters.pattern)],
            Place(string, start.fret - lowest + parameters.shift * round_),
            setting,
        )
        for round_ in range(parameters.rounds)
        for step, string in enumerate(walk)
    )


def _set(pattern: Pattern, under: Place, setting: Setting) -> NoteSet:
    """The notes of *pattern* on one string; *under* is the place under finger 1."""
    fingers = sorted(set(pattern))
    sounds = (
        _sound(finger, Place(under.string, under.fret + _above_first(finger, setting.instrument)), setting)
        for finger in fingers
    )
    return NoteSet(singles(sounds), "", False, tuple(fingers.index(finger) + 1 for finger in pattern))


def _above_first(finger: int, instrument: Instrument) -> int:
    """How many frets above finger 1 a finger lies."""
    return int(lie_of(instrument).high[finger]) if instrument.frets_per_finger > 1 else finger - 1


def _sound(finger: int, place: Place, setting: Setting) -> Sound:
    last = setting.instrument.last_fret
    if place.fret < 1:
        raise NoSolution(
            f"finger {finger} needs fret {place.fret} on string {place.string}, the first to stop is fret 1"
        )
    if place.fret > last:
        raise NoSolution(f"finger {finger} needs fret {place.fret} on string {place.string}, the last is fret {last}")
    midi = setting.instrument.sound(place)
    # The start keeps the name it was given, so that the page agrees with the spec.
    pitch = setting.first if midi == setting.first.midi else spell(midi, setting.key, rising=True)
    return Sound(pitch, place.string, place.fret, finger)


def default_key(parameters: Fingers) -> Key:
    """C major: a figure of the hand has no key, so nothing is sharp or flat in its signature."""
    return parse_key("C major")


def first_notes(parameters: Fingers, key: Key, instrument: Instrument) -> tuple[NoteName | Pitch, ...]:
    """None: the hand begins at a place, or on a note the spec names."""
    return ()


def check(parameters: Fingers, key: Key) -> tuple[Complaint, ...]:
    """Nothing can be said before the instrument is known."""
    return ()


EXAMPLE = """\
title: Winch Drill
aim: Four fingers, one after the other, each lifted only when it must be.
skills: [finger-independence, hand-synchrony]
material: {kind: fingers, pattern: [1, 4, 2, 3], strings: [6, 5, 4, 3, 2, 1], rounds: 2, shift: 1}
rhythm: {meter: 4/4, notes-per-beat: 2, rest: to-barline}
neck: {path: position, start: {places: [{string: 6, fret: 5}]}}
strokes: {rule: alternate, first: down}
tempo: {from: 60, to: 100, steps: 5}
checkpoints: {at: rests, cues: rotate}
"""

MATERIAL = Material(
    kind="fingers",
    summary="Finger patterns: the same few frets on string after string, finger by finger.",
    parameters=Fingers,
    note_sets=note_sets,
    default_key=default_key,
    first_notes=first_notes,
    check=check,
    contour="optional",
    repeats=False,
    example=EXAMPLE,
)
