"""Holds: a barre or a stretch is set note by note, held, and let go for at least as long.

Stage:    compose, answer 1 (pure)
In, Out:  a shape, how long it is held, how it moves along the neck; one set a shape, places, fingers and times fixed
Units:    `hold` counts beats from the first note of a shape to its release; the frets of a stretch count from its
          first finger
Source:   a rest no shorter than the hold is our own choice, on the side of caution: static force tires a hand within
          seconds, and pages must never ask for it without relief
Not here: how far a hand reaches (`theory.fingering` refuses what lies beyond its limit)
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from math import ceil
from typing import Annotated, Any, Literal

from pydantic import Field, field_validator, model_validator

from builder.errors import NoSolution
from builder.fields import StringNumber, Unreadable, beats, choice, whole_number
from builder.materials.material import Material, NoteSet, Setting, Sound, singles
from builder.materials.on_strings import EACH_STRUCK, onsets
from builder.materials.parameters import Complaint, Parameters
from builder.theory import rhythm
from builder.theory.fingering import Lie, lie_of
from builder.theory.fretboard import Instrument, Place
from builder.theory.harmony import Key, parse_key
from builder.theory.pitch import NoteName, Pitch
from builder.theory.spelling import spell

_MOST_STRINGS = 12
_WIDEST = 7  # frets; the longest reach a hand has on the smallest neck of the library, high up
# Of each interval up to a major seventh, in half steps: how many letters apart its notes are (theory of music).
_LETTERS = ((0,), (1,), (1,), (2,), (2,), (3,), (3, 4), (4,), (5,), (5,), (6,), (6,))
_HOLD = beats(Fraction(1), 16)


@dataclass(frozen=True, slots=True)
class _Stop:
    """A finger on a string; *fret* is counted from the first finger's until the shape has its place."""

    string: int
    fret: int
    finger: int


class Holds(Parameters):
    """The parameters of `holds`."""

    shape: Annotated[Literal["barre", "stretch"], choice("barre", "stretch")] = Field(
        description="What is held: barre = finger 1 across several strings, stretch = fingers spread over frets."
    )
    strings: tuple[StringNumber, ...] | int | None = Field(
        default=None,
        description="A barre: how many strings from the start string on (all of them if nothing is said), or a list. A "
        "stretch: a list, one string for each finger or one for all; else the start string.",
    )
    fingers: tuple[Annotated[int, whole_number(1, 4)], ...] | None = Field(
        default=None,
        min_length=2,
        max_length=4,
        description="The fingers of a stretch, rising; [1, 4] if none are named.",
    )
    frets: tuple[Annotated[int, whole_number(0, _WIDEST)], ...] | None = Field(
        default=None,
        min_length=2,
        max_length=4,
        description="How many frets above the first finger each finger of a stretch lies; else as the "
        "fingers lie at ease on the instrument, the last one a fret further.",
    )
    hold: Annotated[Fraction, _HOLD] = Field(
        default=Fraction(4), description="How many beats a shape is held, from its first note to its release."
    )
    rounds: Annotated[int, whole_number(1, 12)] = Field(default=1, description="How many shapes, one after the other.")
    shift: Annotated[int, whole_number(-4, 4)] = Field(
        default=-1, description="Frets the hand moves up (negative: down) before each further round."
    )

    @field_validator("strings", mode="before")
    @classmethod
    def _number_or_list(cls, value: Any) -> Any:
        if isinstance(value, list | tuple) and 1 <= len(value) <= _MOST_STRINGS:
            if len({str(string) for string in value}) == len(value):
                return value
            raise Unreadable("every string once").for_pydantic()
        try:
            return whole_number(2, _MOST_STRINGS).parse(value)
        except ValueError:
            expected = f"how many strings, from 2 to {_MOST_STRINGS}, or a list such as [3, 2, 1]"
            raise Unreadable(expected).for_pydantic() from None

    @model_validator(mode="after")
    def _fits_the_shape(self) -> Holds:
        if self.shape == "barre":
            for name, value in (("fingers", self.fingers), ("frets", self.frets)):
                if value is not None:
                    hint = "a barre is finger 1 at the start fret"
                    raise Unreadable(f"no {name} with shape: barre", hint, at=(name,)).for_pydantic()
            return self
        self._check_stretch()
        return self

    def _check_stretch(self) -> None:
        fingers, frets, strings = self.spread, self.frets, self.strings
        if any(low >= high for low, high in pairwise(fingers)):
            raise Unreadable("rising fingers such as [1, 4]", at=("fingers",)).for_pydantic()
        if frets and (len(frets) != len(fingers) or frets[0] != 0 or any(low >= high for low, high in pairwise(frets))):
            expected = f"{len(fingers)} rising frets, one a finger, the first 0"
            raise Unreadable(expected, "for example frets: [0, 4]", at=("frets",)).for_pydantic()
        if isinstance(strings, int) or (strings is not None and len(strings) not in (1, len(fingers))):
            expected = f"a list of one string, or of {len(fingers)}, one a finger"
            raise Unreadable(expected, "for example strings: [3]", at=("strings",)).for_pydantic()

    @property
    def spread(self) -> tuple[int, ...]:
        """The fingers of a stretch."""
        return self.fingers or (1, 4)

    def reach(self, lie: Lie) -> tuple[int, ...]:
        """How far each of them lies from the first; without a word the last one stretches by a fret."""
        plain = tuple(ceil(lie.high[finger]) - ceil(lie.high[self.spread[0]]) for finger in self.spread)
        return self.frets or (*plain[:-1], plain[-1] + 1)


def note_sets(parameters: Holds, setting: Setting) -> tuple[NoteSet, ...]:
    """Return one set a shape, its last note held on; raise NoSolution where the rests are too short."""
    if setting.rhythm.burst:
        raise NoSolution("a burst would cut a hold in two; take burst out", ("rhythm", "burst"))
    shape = _at_start(
        _barre(parameters, setting) if parameters.shape == "barre" else _stretch(parameters, setting), setting
    )
    durations = _durations(len(shape), parameters, setting)
    _check_rests(durations, parameters, setting)
    return tuple(
        _set(
            [replace(stop, fret=stop.fret + parameters.shift * number) for stop in shape],
            durations,
            parameters,
            setting,
        )
        for number in range(parameters.rounds)
    )


def _barre(parameters: Holds, setting: Setting) -> list[_Stop]:
    """Finger 1 on each of its strings, in the order they are plucked."""
    given, instrument, start = parameters.strings, setting.instrument, setting.place.string
    if isinstance(given, tuple):
        return [_Stop(string, 0, 1) for string in given]
    count = given or instrument.strings
    for lowest in range(start, min(instrument.strings, start + count - 1) + 1):
        strings = range(lowest, lowest - count, -1)
        # On an instrument strung out of order the start need not be the outermost string of the barre.
        if strings[-1] >= 1 and min(strings, key=instrument.open_midi) == start:
            return [_Stop(string, 0, 1) for string in strings]
    raise NoSolution(f"no barre over {count} strings has its lowest note on string {start}")


def _stretch(parameters: Holds, setting: Setting) -> list[_Stop]:
    """Each finger at its fret, in order of the fingers."""
    given, fingers = parameters.strings, parameters.spread
    strings = given if isinstance(given, tuple) else (setting.place.string,)
    strings = strings * len(fingers) if len(strings) == 1 else strings
    return [_Stop(*stop) for stop in zip(strings, parameters.reach(lie_of(setting.instrument)), fingers, strict=True)]


def _at_start(shape: list[_Stop], setting: Setting) -> list[_Stop]:
    """The shape moved to where its lowest note is the start."""
    instrument, start = setting.instrument, setting.place
    if missing := [stop.string for stop in shape if stop.string > instrument.strings]:
        raise NoSolution(f"there is no string {missing[0]} on the {instrument.name}", ("material", "strings"))
    lowest = min(shape, key=lambda stop: instrument.open_midi(stop.string) + stop.fret)
    if lowest.string != start.string:
        raise NoSolution(f"the lowest note of the shape lies on string {lowest.string}")
    return [replace(stop, fret=stop.fret + start.fret - lowest.fret) for stop in shape]


def _durations(count: int, parameters: Holds, setting: Setting) -> tuple[Fraction, ...]:
    """The notes' lengths: as the rhythm has them, the last one until the release."""
    usual = rhythm.timing(setting.rhythm, count, False).durations
    last = parameters.hold * setting.rhythm.meter.beat - sum(usual[:-1], Fraction(0))
    if last < usual[-1]:
        reason = f"setting {count} notes takes longer than the hold of {_in_beats(parameters.hold)}"
        raise NoSolution(reason, ("material", "hold"))
    return (*usual[:-1], last)


def _check_rests(durations: tuple[Fraction, ...], parameters: Holds, setting: Setting) -> None:
    """Raise NoSolution where a rest between two holds is shorter than the hold."""
    beat, hold = setting.rhythm.meter.beat, sum(durations, Fraction(0))
    rounds = max(2, parameters.rounds)  # one round is played again, too
    begins = [run[0] for run in onsets([durations] * rounds, setting)]
    shortest = min((after - before - hold for before, after in pairwise(begins)), default=hold)
    if shortest < hold:
        raise NoSolution(
            f"a hold of {_in_beats(parameters.hold)} is followed by a rest of {_in_beats(shortest / beat)}, and no rest"
            f" may be shorter than its hold; write rest: {parameters.hold}",
            ("rhythm", "rest"),
        )


def _in_beats(count: Fraction) -> str:
    return f"{count} beat" if count == 1 else f"{count} beats"


def _set(shape: list[_Stop], durations: tuple[Fraction, ...], parameters: Holds, setting: Setting) -> NoteSet:
    """The notes of one shape, lowest first, and the order in which they are plucked."""
    midis = [_midi(stop, setting) for stop in shape]
    rising = sorted(range(len(shape)), key=midis.__getitem__)
    pitches = _spelled([midis[k] for k in rising], parameters.shift > 0, setting)
    sounds = [
        Sound(pitch, shape[k].string, shape[k].fret, shape[k].finger, rings=True)
        for pitch, k in zip(pitches, rising, strict=True)
    ]
    order = tuple(rising.index(k) + 1 for k in range(len(shape)))
    return NoteSet(singles(sounds), "", False, order, tuple(durations[k] for k in rising))


def _midi(stop: _Stop, setting: Setting) -> int:
    last = setting.instrument.last_fret
    if not 1 <= stop.fret <= last:
        reason = f"finger {stop.finger} needs fret {stop.fret} on string {stop.string}; frets go from 1 to {last}"
        raise NoSolution(reason)
    return setting.instrument.sound(Place(stop.string, stop.fret))


def _spelled(midis: list[int], rising: bool, setting: Setting) -> tuple[Pitch, ...]:
    """The notes of a shape with sharps or with flats, whichever makes more plain intervals above its lowest note."""
    choices = [tuple(_spell(midi, sharp, setting) for midi in midis) for sharp in (rising, not rising)]
    return max(choices, key=lambda pitches: sum(_plain(pitches[0], pitch) for pitch in pitches))


def _spell(midi: int, rising: bool, setting: Setting) -> Pitch:
    # The start keeps the name it was given, so that the page agrees with the spec.
    return setting.first if midi == setting.first.midi else spell(midi, setting.key, rising)


def _plain(low: Pitch, high: Pitch) -> bool:
    """Whether an interval is major, minor, perfect or a tritone: spelled with the letters its size is known by."""
    return (high.step - low.step) % 7 in _LETTERS[(high.midi - low.midi) % 12]


def default_key(parameters: Holds) -> Key:
    """C major: a shape of the hand has no key, so nothing is sharp or flat in its signature."""
    return parse_key("C major")


def first_notes(parameters: Holds, key: Key, instrument: Instrument) -> tuple[NoteName | Pitch, ...]:
    """None: the hand begins at a place, or on a note the spec names."""
    return ()


def check(parameters: Holds, key: Key) -> tuple[Complaint, ...]:
    """Nothing can be said before the instrument is known."""
    return ()


EXAMPLE = """\
title: Dock Gate
aim: Set the barre with the weight of the arm; rest for as long as you held.
skills: [barre, relaxation]
material: {kind: holds, shape: barre, strings: 4, hold: 4, rounds: 4, shift: -1}
rhythm: {meter: 4/4, notes-per-beat: 2, rest: 4}
neck: {start: {places: [{string: 4, fret: 7}]}}
strokes: {rule: down}
tempo: {from: 50, to: 66, steps: 3}
checkpoints: {at: rests, cues: rotate}
"""

MATERIAL = Material(
    kind="holds",
    summary="A barre or a stretch set note by note, held, and let go for at least as long.",
    parameters=Holds,
    note_sets=note_sets,
    default_key=default_key,
    first_notes=first_notes,
    check=check,
    contour="unused",
    repeats=False,
    example=EXAMPLE,
    paths=frozenset(),
    rules=EACH_STRUCK,
    stressed=False,
)
