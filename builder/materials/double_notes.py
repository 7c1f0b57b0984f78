"""Two notes at a time: thirds, sixths, octaves and their like over a scale, on pairs of strings.

Stage:    compose, answer 1 (pure)
In, Out:  an interval, a scale and pairs of strings; one line with all places fixed
Units:    a pair is written lower note's string first; `notes` counts double notes
Source:   an interval spans so many letters (theory of music, common practice), so its size changes along the scale
Not here: the fingers (`theory.fingering`); the choice among pairs is `on_strings`
"""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any, Literal

from pydantic import Field, field_validator

from builder.errors import NoSolution
from builder.fields import Unreadable, choice, whole_number
from builder.materials import scale as lines
from builder.materials.material import Material, Moment, NoteSet, Setting, Sound
from builder.materials.on_strings import check_one_stroke, least_movement, ways
from builder.materials.parameters import Complaint, scale_in_key
from builder.materials.scale import ScaleLine
from builder.theory.fretboard import Instrument
from builder.theory.harmony import Key, Scale
from builder.theory.pitch import NoteName, Pitch

Pair = tuple[int, int]
"""The strings of the lower and the upper note."""

_LETTERS_UP = {"third": 2, "fourth": 3, "fifth": 4, "sixth": 5, "octave": 7, "tenth": 9}
_USUAL_HALF_STEPS = {"third": 4, "fourth": 5, "fifth": 7, "sixth": 9, "octave": 12, "tenth": 16}  # major or perfect
# In frets, our own choice: it makes octaves 6/4, 5/3, 4/2, 3/1 and tenths 6/3, 5/2, 4/1, as guitarists play them.
_SKIPPED = 1.5
_PAIRS = "a pair of strings such as [3, 2], the lower note's first, or a list of pairs"
_MOST_PAIRS = 12  # more than any instrument we know has neighbours and skips of one


class DoubleNotes(ScaleLine):
    """The parameters of `double-notes`."""

    interval: Annotated[
        Literal["third", "fourth", "fifth", "sixth", "octave", "tenth"],
        choice("third", "fourth", "fifth", "sixth", "octave", "tenth"),
    ] = Field(description="The interval, as wide as the scale makes it: third, fourth, fifth, sixth, octave or tenth.")
    strings: tuple[Pair, ...] | None = Field(
        default=None,
        description="The pair of strings, such as [3, 2], or a list of pairs to choose from; the line begins on the "
        "first. Else from the start string upward the pair on which the interval lies closest.",
    )
    play: Annotated[Literal["together", "broken-up", "broken-down"], choice("together", "broken-up", "broken-down")] = (
        Field(
            default="together",
            description="Both notes together, or one after the other: broken-up begins with the lower, broken-down "
            "with the upper one.",
        )
    )

    @field_validator("strings", mode="before")
    @classmethod
    def _read_strings(cls, value: Any) -> Any:
        if value is None or not isinstance(value, list | tuple) or not value:
            raise Unreadable(_PAIRS).for_pydantic()
        pairs = value if all(isinstance(pair, list | tuple) for pair in value) else [value]
        if len(pairs) > _MOST_PAIRS:
            raise Unreadable(f"at most {_MOST_PAIRS} pairs").for_pydantic()
        return tuple(_read_pair(pair) for pair in pairs)


def _read_pair(given: Any) -> Pair:
    string = whole_number(1, 12)
    try:
        low, high = (string.parse(number) for number in given)
    except (TypeError, ValueError):
        raise Unreadable(_PAIRS).for_pydantic() from None
    if low == high:
        raise Unreadable("two different strings", "one string sounds one note at a time").for_pydantic()
    return low, high


def note_sets(parameters: DoubleNotes, setting: Setting) -> tuple[NoteSet, ...]:
    """Return the line of double notes; the lower note of the first one lies on the start."""
    if parameters.play == "together":
        check_one_stroke(setting)
    lower = lines.way_up(parameters, setting)
    scale = lines.scale_of(parameters, setting)
    both = [(pitch, _above(pitch, scale, parameters.interval)) for pitch in lower]
    pairs = parameters.strings or _usual_pairs(parameters.interval, setting)
    if pairs[0][0] != setting.place.string:
        raise NoSolution(f"the double notes begin on string {pairs[0][0]}")
    # The pair that holds the start comes first, and the line must begin there.
    choices = [ways(pitches, pairs if number else pairs[:1], setting) for number, pitches in enumerate(both)]
    grips = least_movement(choices, setting.instrument.position_width, bool(setting.neck.open_strings))
    up = tuple(
        tuple(
            Sound(pitch, place.string, place.fret, back=lines.down(pitch, parameters, setting))
            for pitch, place in zip(pitches, grip, strict=True)
        )
        for pitches, grip in zip(both, grips, strict=True)
    )
    back = tuple(tuple(replace(s, pitch=s.back or s.pitch, back=s.pitch) for s in sounds) for sounds in up[-2::-1])
    line = up + back if parameters.turn else up
    moments = tuple(moment for sounds in line for moment in _played(sounds, parameters.play))
    return (NoteSet(moments, "", True, (1,)),)


def _above(pitch: Pitch, scale: Scale, interval: str) -> Pitch:
    """The upper note, spelled in the scale."""
    return pitch.octaves_up(1) if interval == "octave" else scale.pitches_from(pitch, _LETTERS_UP[interval] + 1)[-1]


def _usual_pairs(interval: str, setting: Setting) -> tuple[Pair, ...]:
    """From the start string to the highest: the pair on which the interval needs the least reach."""
    instrument, wanted = setting.instrument, _USUAL_HALF_STEPS[interval]
    if setting.place.string == 1:
        raise NoSolution("there is no string above string 1 for the upper note")
    return tuple(
        (low, min(range(low - 1, 0, -1), key=lambda high: _distance(low, high, wanted, instrument)))
        for low in range(setting.place.string, 1, -1)
    )


def _distance(low: int, high: int, wanted: int, instrument: Instrument) -> float:
    """How many frets apart an interval of *wanted* half steps lies on two strings, strings skipped counted in."""
    apart = instrument.open_midi(high) - instrument.open_midi(low)
    return abs(wanted - apart) + _SKIPPED * (low - high - 1)


def _played(sounds: Moment, how: str) -> tuple[Moment, ...]:
    """The moments of one double note."""
    if how == "together":
        return (sounds,)
    first, second = sounds if how == "broken-up" else reversed(sounds)
    # The hand takes both notes as one grip, as it would together.
    return ((replace(first, stays=True),), (second,))


def default_key(parameters: DoubleNotes) -> Key:
    """As for a line of single notes."""
    return lines.default_key(parameters)


def first_notes(parameters: DoubleNotes, key: Key, instrument: Instrument) -> tuple[NoteName | Pitch, ...]:
    """As for a line of single notes: the lower line begins on the tonic if nothing else is said."""
    return lines.first_notes(parameters, key, instrument)


def check(parameters: DoubleNotes, key: Key) -> tuple[Complaint, ...]:
    """Complain of ends outside the scale, and of an interval that the scale can't spell."""
    scale = scale_in_key(parameters.scale, key)
    complaints = lines.check(parameters, key)
    if parameters.interval == "octave" or len(scale.notes) == len({note.letter for note in scale.notes}) == 7:
        return complaints
    hint = "or take a scale of seven letters"
    return (*complaints, (("interval",), f"'{parameters.interval}'", f"octave over {scale}", hint))


EXAMPLE = """\
title: Paired Oars
aim: Both strings speak at one moment; slide the hand, do not lift it.
skills: [double-notes, position-shifts]
key: C major
material: {kind: double-notes, interval: third, notes: 5, strings: [3, 2], turn: true}
rhythm: {meter: 4/4, notes-per-beat: 1, rest: to-barline}
neck: {start: {note: C, places: each-string}}
strokes: {rule: down}
tempo: {from: 50, to: 84, steps: 4}
checkpoints: {at: rests, cues: rotate}
"""

MATERIAL = Material(
    kind="double-notes",
    summary="Thirds, sixths, octaves and their like over a scale, together or broken.",
    parameters=DoubleNotes,
    note_sets=note_sets,
    default_key=default_key,
    first_notes=first_notes,
    check=check,
    contour="optional",
    repeats=False,
    example=EXAMPLE,
    paths=frozenset(),
    shifts=True,
)
