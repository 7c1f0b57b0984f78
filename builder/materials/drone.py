"""A line over open strings that sound on: a drone.

Stage:    compose, answer 1 (pure)
In, Out:  a scale, the open strings, when they are struck; one line of moments with all places fixed
Source:   common practice of drone and pedal-point studies; that the drone must be a note of the scale is our own
          choice: the line may rub against it, as it does in that music, but a foreign drone is mostly a slip
Not here: the ring of the open string on the page: voice 2, each note until its next
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import Field, field_validator

from builder.errors import NoSolution
from builder.fields import StringNumber, Unreadable, choice
from builder.materials import scale as lines
from builder.materials.material import Moment, NoteSet, Setting, Sound
from builder.materials.on_strings import (
    Grip,
    bursts,
    check_one_stroke,
    check_whole_figures,
    least_movement,
    onsets,
    ways,
)
from builder.materials.parameters import Complaint, there_and_back
from builder.materials.scale import ScaleLine
from builder.theory.harmony import Key
from builder.theory.pitch import lowest_at_or_above
from builder.theory.score import Stroke
from builder.theory.spelling import spell

_LAST_TREBLE = 3  # strings 1 to 3 are those of i m a: common practice
_FINGERS: tuple[Stroke, Stroke] = ("i", "m")


class Drone(ScaleLine):
    """The parameters of `drone`."""

    drone: tuple[StringNumber, ...] = Field(
        min_length=1, max_length=3, description="The open string that drones, or a list of up to three."
    )
    strike: Annotated[Literal["together", "alternate", "on-beats"], choice("together", "alternate", "on-beats")] = (
        Field(
            default="together",
            description="When the drone is struck: together with every note of the line, after each (alternate), or "
            "with those on a beat.",
        )
    )
    strings: tuple[StringNumber, ...] | None = Field(
        default=None,
        min_length=1,
        max_length=12,
        description="The strings the line may use; else the one it begins on.",
    )

    @field_validator("drone", mode="before")
    @classmethod
    def _one_or_several(cls, value: Any) -> Any:
        if isinstance(value, str | bool) or value is None:
            raise Unreadable("the number of an open string, or a list of up to three").for_pydantic()
        return value if isinstance(value, list | tuple) else (value,)


def note_sets(parameters: Drone, setting: Setting) -> tuple[NoteSet, ...]:
    """Return the line with its drone; the line's first note lies on the start."""
    if parameters.strike != "alternate" or len(parameters.drone) > 1:
        check_one_stroke(setting)
    drone = tuple(_open_string(string, parameters, setting) for string in sorted(set(parameters.drone)))
    line = lines.line_of(parameters, setting)
    grips = _grips(parameters, setting)
    melody = tuple(Sound(pitch, place.string, place.fret) for pitch, (place,) in zip(line, grips, strict=True))
    lowest = max(parameters.strings or (setting.place.string,))
    if len(drone) == 1 and parameters.drone[0] > max(lowest, _LAST_TREBLE):
        # On a bass string below the line the drone is the thumb's; i and m take turns above it, on bass strings too.
        drone = (replace(drone[0], pluck="p"),)
        melody = tuple(replace(sound, pluck=_FINGERS[number % 2]) for number, sound in enumerate(melody))
    if parameters.strike == "alternate":
        check_whole_figures(2, "a note from its drone", setting)
        answer = _moment(replace(sound, voice=1) for sound in drone)  # one after the other is one voice
        moments = [moment for sound in melody for moment in ((sound,), answer)]
    else:
        struck = _struck(len(melody), parameters, setting)
        both = zip(melody, struck, strict=True)
        moments = [_moment((sound, *drone)) if with_drone else (sound,) for sound, with_drone in both]
    return (NoteSet(tuple(moments), "", True, (1,)),)


def _moment(sounds: Iterable[Sound]) -> Moment:
    return tuple(sorted(sounds, key=lambda sound: sound.pitch.midi))


def _open_string(string: int, parameters: Drone, setting: Setting) -> Sound:
    """The drone of one string, spelled in the scale."""
    instrument, scale = setting.instrument, lines.scale_of(parameters, setting)
    if string > instrument.strings:
        raise NoSolution(f"there is no string {string} on the {instrument.name}", ("material", "drone"))
    midi = instrument.open_midi(string)
    name = next((note for note in scale.notes if note.pitch_class == midi % 12), None)
    if name is None:
        sounding = spell(midi, setting.key, rising=True).name
        reason = f"open string {string} sounds {sounding}, which is not in {scale}; its notes are {scale.listed}"
        raise NoSolution(reason, ("material", "drone"))
    return Sound(lowest_at_or_above(name, midi), string, 0, voice=2, rings=True)


def _grips(parameters: Drone, setting: Setting) -> tuple[Grip, ...]:
    """The places of the line: on the string it begins on, or on its strings with the least movement."""
    start = setting.place
    own = parameters.strings or (start.string,)
    if start.string in parameters.drone:
        raise NoSolution(f"string {start.string} is the drone's")
    if start.string not in own:
        raise NoSolution(f"the line keeps to string {' and '.join(map(str, own))}")
    choices = [(string,) for string in own]
    found = [ways((pitch,), choices, setting) for pitch in lines.way_up(parameters, setting)]
    up = least_movement([[(start,)], *found[1:]], setting.instrument.position_width, bool(setting.neck.open_strings))
    return there_and_back(up) if parameters.turn else up


def _struck(count: int, parameters: Drone, setting: Setting) -> tuple[bool, ...]:
    """With which of *count* notes the drone is struck."""
    if parameters.strike == "together":
        return (True,) * count
    meter = setting.rhythm.meter
    beats = {sum(meter.groups[:k]) * Fraction(1, meter.unit) for k in range(len(meter.groups))}
    within = [onset % meter.bar for run in onsets(bursts(count, setting), setting) for onset in run]
    struck = tuple(onset in beats if beats else onset % meter.beat == 0 for onset in within)
    if not any(struck):
        raise NoSolution("no note of the line falls on a beat", ("material", "strike"))
    return struck


def check(parameters: Drone, key: Key) -> tuple[Complaint, ...]:
    """Complain of ends outside the scale, and of a string that would be the drone's and the line's."""
    shared = [
        (("strings", index), str(string), "a string that does not drone", "take it out of one of the two lists")
        for index, string in enumerate(parameters.strings or ())
        if string in parameters.drone
    ]
    return (*lines.check(parameters, key), *shared)


EXAMPLE = """\
title: Distant Lamp
aim: The open string glows on while the line climbs below it; fingers stand high, off the ringing string.
skills: [drones, tone, one-string-playing]
key: A minor
material: {kind: drone, drone: 1, strike: alternate, from: A3, to: A4, turn: true}
rhythm: {meter: 6/8, notes-per-beat: 6, rest: to-barline}
neck: {start: {places: [{string: 3, fret: 2}]}}
strokes: {rule: alternate, first: down}
tempo: {from: 40, to: 66, steps: 4}
checkpoints: {at: rests, cues: rotate}
"""

MATERIAL = lines.line_material(
    kind="drone",
    summary="A line on one string or a few, over open strings that go on sounding.",
    parameters=Drone,
    note_sets=note_sets,
    check=check,
    example=EXAMPLE,
    stressed=False,
)
