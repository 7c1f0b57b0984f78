"""Patterns of the plucking hand on held chords: p i m a, the thumb on the bass.

Stage:    compose, answer 1 (pure)
In, Out:  chords, a pattern of plucking fingers; one set a chord, thumb notes in voice 2
Units:    p thumb, i index, m middle, a ring finger; a moment of the pattern may be several of them
Source:   common practice: the thumb takes the bass, i m a strings 3 2 1; no finger twice running, the step from the
          pattern's end to its beginning included; tremolo is a m i on one string
Not here: the shapes (`held_chords`), other materials' plucking fingers (`strokes.pima`)
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from itertools import pairwise
from typing import Annotated, Any

from pydantic import Field, model_validator

from builder.errors import NoSolution
from builder.fields import Flag, Reads, StringNumber, Times, Unreadable, near_miss, one_of
from builder.materials.held_chords import HeldParameters, default_key, diagram, first_notes, held_shapes, sounds_on
from builder.materials.material import Material, Moment, NoteSet, Setting, Sound
from builder.materials.parameters import Complaint
from builder.theory.chord_shapes import ChordShape
from builder.theory.fretboard import Instrument
from builder.theory.harmony import Key, parse_chord
from builder.theory.score import Stroke

_LETTERS: tuple[Stroke, ...] = ("p", "i", "m", "a")
_FINGERS: tuple[Stroke, ...] = ("i", "m", "a")
_LONGEST_PATTERN = 32  # two bars of sixteenths: longer ones are no longer felt as a pattern
_MOMENT = "a finger p, i, m or a, or several such as pa or [p, m, a], each once"
_HOMES = "a mapping of plucking fingers to strings, such as {i: 4, m: 3, a: 2}"


def _read_moment(value: Any) -> tuple[Stroke, ...]:
    given = list(value) if isinstance(value, str | list) else []
    found = tuple(letter for letter in _LETTERS if letter in given)
    if not found or len(found) < len(given):
        raise Unreadable(_MOMENT)
    return found


@dataclass(frozen=True, slots=True)
class Homes:
    """The string each plucking finger rests on; None where the shape decides."""

    p: int | None = None
    i: int | None = None
    m: int | None = None
    a: int | None = None

    def string(self, letter: Stroke) -> int | None:
        """The string of the finger *letter*."""
        strings = dict(zip(_LETTERS, (self.p, self.i, self.m, self.a), strict=True))
        return strings[letter]


def _read_homes(value: Any) -> Homes:
    if not isinstance(value, Mapping) or not value:
        raise Unreadable(_HOMES)
    names = tuple(field.name for field in fields(Homes))
    for name, string in value.items():
        if name not in names:
            raise Unreadable(one_of(names), near_miss(str(name), names), "an unknown key", (name,))
        if type(string) is not int or not 1 <= string <= 12:
            raise Unreadable("a string from 1 to 12", at=(name,))
    if len(set(value.values())) < len(value):
        raise Unreadable("a string of its own for each finger", "for one string under i m a write tremolo: 1")
    return Homes(**value)


_HOMES_SCHEMA = {
    "type": "object",
    "properties": {letter: {"type": "integer", "minimum": 1, "maximum": 12} for letter in _LETTERS},
    "additionalProperties": False,
}
_MOMENT_SCHEMA = {"anyOf": [{"type": "string"}, {"type": "array", "items": {"enum": list(_LETTERS)}}]}


class RightHand(HeldParameters):
    """The parameters of `right-hand`."""

    pattern: tuple[Annotated[tuple[Stroke, ...], Reads(_read_moment, _MOMENT, _MOMENT_SCHEMA)], ...] = Field(
        min_length=1,
        max_length=_LONGEST_PATTERN,
        description="The plucking fingers in turn; several at once as pa or [p, a].",
    )
    times: Times = Field(default=1, description="How often each chord plays the pattern.")
    fingers_on: Annotated[Homes, Reads(_read_homes, _HOMES, _HOMES_SCHEMA)] | None = Field(
        default=None, description="The strings of the plucking fingers; else p the bass, i m a the highest three."
    )
    tremolo: StringNumber | None = Field(default=None, description="The one string that i, m and a all play.")
    alternate_bass: Flag = Field(
        default=False, description="Whether the thumb alternates between the bass and the next string it can play."
    )

    @model_validator(mode="after")
    def _tremolo_alone(self) -> RightHand:
        if self.tremolo is not None and any(self.home(letter) for letter in _FINGERS):
            expected, hint = "tremolo or strings for i, m and a", "take one of them out"
            raise Unreadable(expected, hint, at=("fingers-on",)).for_pydantic()
        return self

    def home(self, letter: Stroke) -> int | None:
        """The string that the spec gives the finger *letter*, if it does."""
        return self.fingers_on.string(letter) if self.fingers_on else None

    @property
    def used(self) -> tuple[Stroke, ...]:
        """The fingers i, m, a that the pattern uses."""
        return tuple(letter for letter in _FINGERS if any(letter in moment for moment in self.pattern))


@dataclass(frozen=True, slots=True)
class _Hand:
    """Where the plucking hand lies on a shape: *thumb* takes its strings in turn."""

    thumb: tuple[int, ...]
    fingers: Mapping[Stroke, int]


def note_sets(parameters: RightHand, setting: Setting) -> tuple[NoteSet, ...]:
    """Return one set a chord: the pattern, so many times."""

    def fits(shape: ChordShape) -> NoSolution | None:
        try:
            _hand_on(shape, parameters, setting.instrument)
        except NoSolution as no:
            return no
        return None

    shapes = held_shapes(parameters, setting, fits, plucked=True)
    return tuple(
        _set(shape, before, parameters, setting) for before, shape in zip((None, *shapes), shapes, strict=False)
    )


def _hand_on(shape: ChordShape, parameters: RightHand, instrument: Instrument) -> _Hand:
    """Lay the plucking fingers on the strings of *shape*; NoSolution where they find none."""
    thumb = parameters.home("p") or _bass_string(shape, instrument)
    above = sorted(string for string in shape.strings if string < thumb)
    fingers = _finger_strings(shape, above, parameters)
    for letter, string in {"p": thumb, **fingers}.items():
        if string not in shape.strings:
            raise NoSolution(f"{letter} plays string {string}, which {shape.symbol} leaves silent")
    if thumb in fingers.values():
        raise NoSolution(f"string {thumb} is both the thumb's and a finger's in {shape.symbol}")
    return _Hand(_thumb_strings(shape, thumb, fingers, parameters), fingers)


def _bass_string(shape: ChordShape, instrument: Instrument) -> int:
    """The thumb's string: the bass note's; where strings are not in order of pitch, the one nearest the thumb.

    The ukulele's fourth string is the thumb's although the third sounds lower (common practice).
    """
    opens = [pitch.midi for pitch in instrument.open_strings]
    in_order = all(high >= low for high, low in pairwise(opens))
    return shape.strings[0] if in_order else max(shape.strings)


def _finger_strings(shape: ChordShape, above: Sequence[int], parameters: RightHand) -> dict[Stroke, int]:
    """The strings of i, m and a: those written, else the highest three; where there are fewer, for those used."""
    used = parameters.used
    if parameters.tremolo is not None:
        return dict.fromkeys(used, parameters.tremolo)
    homes = {letter: parameters.home(letter) for letter in used}
    if any(homes.values()):
        usual = {"i": 3, "m": 2, "a": 1}
        return {letter: home or usual[letter] for letter, home in homes.items()}
    letters = _FINGERS if len(above) >= len(_FINGERS) else used
    if len(letters) > len(above):
        raise NoSolution(f"{' '.join(letters)} need a string each above the bass, {shape.symbol} has {len(above)}")
    on = dict(zip(reversed(letters), above, strict=False))
    return {letter: on[letter] for letter in used}


def _thumb_strings(
    shape: ChordShape, thumb: int, fingers: Mapping[Stroke, int], parameters: RightHand
) -> tuple[int, ...]:
    """The thumb's strings in turn: alternating, also the fifth's, else the lowest that the fingers leave free."""
    if not parameters.alternate_bass:
        return (thumb,)
    lowest_finger = max(fingers.values(), default=0)
    free = [string for string in shape.strings if string > lowest_finger and string != thumb]
    root = parse_chord(shape.symbol).root
    fifth = root.up(4, 7)
    fifths = [string for string in free if (pitch := shape.pitches[string - 1]) and pitch.name == fifth]
    return (thumb, *(fifths or free)[:1])


def _set(shape: ChordShape, before: ChordShape | None, parameters: RightHand, setting: Setting) -> NoteSet:
    hand = _hand_on(shape, parameters, setting.instrument)
    moments = tuple(_moments(sounds_on(shape, before), hand, parameters.pattern * parameters.times))
    return NoteSet(moments, shape.symbol, True, (1,), diagram=diagram(shape))


def _moments(sounds: Mapping[int, Sound], hand: _Hand, pattern: Sequence[tuple[Stroke, ...]]) -> Iterator[Moment]:
    """What the pattern sounds; a finger that stayed down shows it where its string is heard first."""
    heard: set[int] = set()
    thumbs = 0
    for letters in pattern:
        moment = []
        for letter in letters:
            string = hand.thumb[thumbs % len(hand.thumb)] if letter == "p" else hand.fingers[letter]
            thumbs += letter == "p"
            sound = sounds[string]
            moment.append(
                replace(sound, voice=2 if letter == "p" else 1, pluck=letter, kept=sound.kept and string not in heard)
            )
            heard.add(string)
        yield tuple(sorted(moment, key=lambda sound: sound.pitch.midi))


def check(parameters: RightHand, key: Key) -> tuple[Complaint, ...]:
    """Complain of a finger that plays twice running, round the loop too, and of two fingers on one string at once."""
    return (*_repeats(parameters), *_crowded(parameters))


def _repeats(parameters: RightHand) -> Iterator[Complaint]:
    pattern = parameters.pattern
    for number, letters in enumerate(pattern):
        following = pattern[(number + 1) % len(pattern)]
        twice = [letter for letter in letters if letter in following]
        if twice:
            seam = number == len(pattern) - 1
            found = f"{twice[0]} at the end and again at the beginning" if seam else f"{twice[0]} twice running"
            yield (
                ("pattern", number),
                found,
                "another finger next, round the loop too",
                "for example [p, i, m, a, m, i]",
            )


def _crowded(parameters: RightHand) -> Iterator[Complaint]:
    if parameters.tremolo is None:
        return
    for number, letters in enumerate(parameters.pattern):
        if len(set(letters) - {"p"}) > 1:
            yield ("pattern", number), "".join(letters), "one finger at a time on the tremolo's string", ""


EXAMPLE = """\
title: Rain on the Slipway
aim: The thumb leads, the fingers fall in behind it; no finger waits on another.
skills: [arpeggios, tone]
key: C major
material: {kind: right-hand, chords: [C, Am, Dm, G7], pattern: [p, i, m, a, m, i], times: 2}
rhythm: {meter: 6/8, notes-per-beat: 3, rest: to-barline}
neck: {start: {places: [{string: 5, fret: 3}]}}
strokes: {rule: pima}
tempo: {from: 40, to: 72, steps: 4}
checkpoints: {at: rests, cues: rotate}
"""

MATERIAL = Material(
    kind="right-hand",
    summary="Patterns of p, i, m and a on held chords, the thumb on the bass.",
    parameters=RightHand,
    note_sets=note_sets,
    default_key=default_key,
    first_notes=first_notes,
    check=check,
    contour="unused",
    repeats=True,
    example=EXAMPLE,
    paths=frozenset(),
    rules=frozenset({"pima"}),
    stressed=False,
    shifts=True,
)
