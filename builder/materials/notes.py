"""Notes written out by the teacher, voice by voice, with their lengths.

Stage:    compose, answer 1 (pure)
In, Out:  texts such as `E4 1/4, G4+C5 1/8@2+1 4, rest 1/4 | …`; written music, never transposed
Units:    lengths are fractions of a whole note, tuplets too (1/12 is an eighth of a triplet)
Source:   product contract, "material": pitch or pitches, length, @string, finger; a stroke checks the bar
Not here: cutting at barlines and ties (`rhythm`), strings the text leaves open (`paths`)
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from typing import Annotated

from pydantic import Field

from builder.errors import NoSolution
from builder.fields import Reads
from builder.materials.material import Material, Setting, Sound, WrittenItem, WrittenMusic
from builder.materials.parameters import Complaint, Parameters
from builder.theory.fretboard import Instrument
from builder.theory.harmony import Key, parse_key
from builder.theory.pitch import NoteName, Pitch

_LONGEST_TEXT = 8000  # some 800 notes: an etude of many pages
_LONGEST_NOTE = 4  # whole notes, a bar of the longest meters
_MOST_PARTS = 448  # 64 × 7: a septuplet of 256ths, finer than any printed etude
_ITEM = re.compile(r"(?P<what>\S+)\s+(?P<length>[^\s@]+)\s*(?:@\s*(?P<strings>\S+))?\s*(?P<fingers>\S+)?")
_LENGTH = re.compile(r"([0-9]{1,3})(?:/([1-9][0-9]{0,2}))?")
_GRAMMAR = "a pitch and a length, such as E4 1/4, G4+C5 1/8, G4+C5 1/8@2+1 4 or rest 1/4"


def _read_text(value: object) -> str:
    if not isinstance(value, str) or not value.strip() or len(value) > _LONGEST_TEXT:
        raise ValueError
    return value


_VOICE = Reads(
    _read_text,
    f'a text such as "E4 1/4, G4+C5 1/8@2+1 4, rest 1/4 | …", at most {_LONGEST_TEXT} characters',
    {"type": "string", "minLength": 1, "maxLength": _LONGEST_TEXT},
)


class Notes(Parameters):
    """The parameters of `notes`."""

    voices: tuple[Annotated[str, _VOICE], ...] = Field(
        min_length=1,
        max_length=4,
        description="One text a voice: items with commas between them, a stroke | where a bar ends. An item is a pitch "
        "(or pitches joined by +) or rest, a length, then if wanted @string and finger: G4+C5 1/8@2+1 4.",
    )


@dataclass(frozen=True, slots=True)
class _Barline:
    """A stroke in the text."""


@dataclass(frozen=True, slots=True)
class _Unreadable:
    """An item that can't be read: its number, its text, what was expected."""

    number: int
    text: str
    expected: str


@dataclass(frozen=True, slots=True)
class _Item:
    """A moment of a voice; no sounds are a rest."""

    duration: Fraction
    sounds: tuple[Sound, ...]


def _parts(text: str) -> Iterator[_Item | _Barline | _Unreadable]:
    """Read one voice; a comma before a barline or at the end is forgiven."""
    number = 0
    pieces = re.split(r"([,|])", text)
    for piece, separator in zip(pieces[::2], [*pieces[1::2], ""], strict=True):
        if piece.strip() or separator == ",":
            number += 1
            yield _read_item(number, " ".join(piece.split()))
        if separator == "|":
            yield _Barline()


def _read_item(number: int, text: str) -> _Item | _Unreadable:
    match = _ITEM.fullmatch(text)
    if not match:
        return _Unreadable(number, text, _GRAMMAR)
    try:
        duration = _duration(match["length"])
        if match["what"] == "rest":
            if match["strings"] or match["fingers"]:
                raise ValueError("a rest without string or finger")
            return _Item(duration, ())
        return _Item(duration, _sounds(match["what"], match["strings"], match["fingers"]))
    except ValueError as error:
        return _Unreadable(number, text, str(error))


def _duration(text: str) -> Fraction:
    match = _LENGTH.fullmatch(text)
    length = Fraction(int(match[1]), int(match[2] or 1)) if match else Fraction(0)
    if not 0 < length <= _LONGEST_NOTE or not _printable(length.denominator):
        raise ValueError(
            f"a length such as 1/4, 3/8 or 1/12, at most {_LONGEST_NOTE} whole notes, in place of {text!r}"
        )
    return length


def _printable(parts: int) -> bool:
    """Whether *parts* of a whole note are plain, or a triplet, quintuplet or septuplet of plain ones."""
    odd = parts // (parts & -parts)
    return odd in (1, 3, 5, 7) and parts <= _MOST_PARTS


def _sounds(what: str, strings: str | None, fingers: str | None) -> tuple[Sound, ...]:
    pitches = [_pitch(name) for name in what.split("+")]
    on = _numbers(strings, range(1, 13), "string", len(pitches))
    if len(set(on)) < len(on) and strings:
        raise ValueError("every note of a chord on a string of its own")
    with_ = _numbers(fingers, range(5), "finger from 0 to 4", len(pitches))
    sounds = (Sound(*one) for one in zip(pitches, on, [None] * len(pitches), with_, strict=True))
    return tuple(sorted(sounds, key=lambda sound: sound.pitch.midi))


def _pitch(name: str) -> Pitch:
    try:
        return Pitch.parse(name)
    except ValueError:
        raise ValueError(f"a pitch such as E4, Bb3 or F#4, or the word rest, in place of {name!r}") from None


def _numbers(text: str | None, allowed: range, what: str, count: int) -> list[int | None]:
    """One number a note; a single finger may hold several strings down at once."""
    if text is None:
        return [None] * count
    numbers = [int(part) if re.fullmatch("[0-9]{1,2}", part) else -1 for part in text.split("+")]
    if any(number not in allowed for number in numbers):
        raise ValueError(f"a {what} in place of {text!r}")
    if len(numbers) == 1 and what.startswith("finger"):
        numbers *= count
    if len(numbers) != count:
        raise ValueError(f"one {what} for each of {count} notes in place of {text!r}")
    return [*numbers]


def check(parameters: Notes, key: Key) -> tuple[Complaint, ...]:
    """Complain of every item that can't be read, then of voices that are not equally long, and of silence."""
    complaints: list[Complaint] = []
    lengths: list[Fraction] = []
    for number, text in enumerate(parameters.voices):
        parts = list(_parts(text))
        complaints += [
            (("voices", number), f"{part.text!r} as item {part.number} of voice {number + 1}", part.expected, "")
            for part in parts
            if isinstance(part, _Unreadable)
        ]
        lengths.append(sum((part.duration for part in parts if isinstance(part, _Item)), Fraction(0)))
    return tuple(complaints) or _length_complaints(lengths) or _silence(parameters)


def _length_complaints(lengths: list[Fraction]) -> tuple[Complaint, ...]:
    return tuple(
        (
            ("voices", number),
            f"voice {number + 1} that lasts {_in_quarters(length)}",
            f"{_in_quarters(lengths[0])}, as voice 1",
            "fill it with rests",
        )
        for number, length in enumerate(lengths)
        if length != lengths[0]
    )


def _in_quarters(length: Fraction) -> str:
    """A length as players count it; what is left of the last quarter note in the text's own way."""
    whole, rest = divmod(length * 4, 1)
    counted = f"{whole} quarter note{'' if whole == 1 else 's'}"
    return counted if not rest else f"{counted} and {rest / 4}" if whole else f"{rest / 4} of a whole note"


def _silence(parameters: Notes) -> tuple[Complaint, ...]:
    if any(item.sounds for text in parameters.voices for item in _items(text)):
        return ()
    return ((("voices",), "nothing but rests", "at least one note", "write a pitch and a length, such as E4 1/4"),)


def _items(text: str) -> Iterator[WrittenItem]:
    """The items of a voice, each with its onset; what can't be read is left to `check`."""
    onset = Fraction(0)
    for part in _parts(text):
        if isinstance(part, _Item):
            yield WrittenItem(onset, part.duration, part.sounds)
            onset += part.duration


def note_sets(parameters: Notes, setting: Setting) -> WrittenMusic:
    """Return the music as it was written; raise NoSolution where a stroke is no barline or a string can't play it."""
    if complaints := check(parameters, setting.key or default_key(parameters)):
        _, found, expected, _ = complaints[0]
        raise NoSolution(f"found {found}, expected {expected}", ("material", "voices"))
    for number, text in enumerate(parameters.voices, start=1):
        _check_barlines(number, text, setting.bar)
    _check_start(parameters, setting)
    return WrittenMusic(
        tuple(
            tuple(
                WrittenItem(item.onset, item.duration, tuple(_fretted(sound, setting) for sound in item.sounds))
                for item in _items(text)
            )
            for text in parameters.voices
        )
    )


def _check_barlines(voice: int, text: str, bar: Fraction) -> None:
    at = Fraction(0)
    for part in _parts(text):
        if isinstance(part, _Item):
            at += part.duration
        elif at % bar:
            number, filled = int(at // bar) + 1, at % bar
            raise NoSolution(
                f"voice {voice}, bar {number}: the | stands after {filled} of a bar that lasts {bar}",
                ("material", "voices"),
            )


def _check_start(parameters: Notes, setting: Setting) -> None:
    """The music begins where it was written; other starts have nothing to play."""
    sound = _first_sound(parameters)
    if sound.pitch.midi != setting.first.midi:
        raise NoSolution(f"the notes begin on {sound.pitch}")
    if sound.string not in (None, setting.place.string):
        raise NoSolution(f"the notes begin on string {sound.string}")


def _first_sound(parameters: Notes) -> Sound:
    """The lowest of what sounds first."""
    items = sorted(
        (item for text in parameters.voices for item in _items(text) if item.sounds), key=lambda item: item.onset
    )
    _, first = next(groupby(items, key=lambda item: item.onset))
    return min((sound for item in first for sound in item.sounds), key=lambda sound: sound.pitch.midi)


def _fretted(sound: Sound, setting: Setting) -> Sound:
    """The sound with its fret where the text fixes the string."""
    if sound.string is None:
        return sound
    instrument = setting.instrument
    if sound.string > instrument.strings:
        raise NoSolution(f"there is no string {sound.string} on the {instrument.name}", ("material", "voices"))
    fret = sound.pitch.midi - instrument.open_midi(sound.string)
    if not 0 <= fret <= instrument.last_fret:
        raise NoSolution(
            f"{sound.pitch} on string {sound.string} needs fret {fret}; the last one is {instrument.last_fret}"
        )
    return Sound(sound.pitch, sound.string, fret, sound.finger)


def default_key(parameters: Notes) -> Key:
    """C major: accidentals stand where they were written."""
    return parse_key("C major")


def first_notes(parameters: Notes, key: Key, instrument: Instrument) -> tuple[NoteName | Pitch, ...]:
    """The lowest of what sounds first; none where nothing can be read."""
    return () if check(parameters, key) else (_first_sound(parameters).pitch,)


EXAMPLE = """\
title: Low Water
aim: A melody over held basses; let every bass ring its full length.
skills: [position-playing, reading]
key: E minor
material:
  kind: notes
  voices:
    - "rest 1/4, B3 1/4@2 0, E4 1/4@1 0, B3 1/4@2 0 | G3 1/2@3 0, E4 1/2@1 0"
    - "E2 1@6 0 | B2 1@5 2"
rhythm: {meter: 4/4}
neck: {path: position, start: {note: E2, places: each-string}}
strokes: {rule: none}
tempo: {from: 50, to: 80, steps: 4}
checkpoints: {at: none}
"""

MATERIAL = Material(
    kind="notes",
    summary="Notes written out by the teacher, voice by voice, with their lengths.",
    parameters=Notes,
    note_sets=note_sets,
    default_key=default_key,
    first_notes=first_notes,
    check=check,
    contour="unused",
    repeats=False,
    example=EXAMPLE,
    stressed=False,
    rhythm=frozenset({"meter", "groups", "accents"}),
)
