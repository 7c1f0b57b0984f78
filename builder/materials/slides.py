"""Slides: one finger glides along its string from a note of a scale to another.

Stage:    compose, answer 1 (pure)
In, Out:  a scale, how many of its steps each slide takes, a finger; one line of pairs, all on the start string
Units:    steps are notes of the scale, `notes` counts slides
Source:   common practice: the finger keeps its pressure, the arrival is struck again (shift) or not (legato slide)
Not here: the line between the two notes (`engraving`)
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, field_validator

from builder.errors import NoSolution
from builder.fields import Unreadable, choice, whole_number
from builder.materials import scale as lines
from builder.materials.material import NoteSet, Setting, Sound, singles
from builder.materials.on_strings import check_whole_figures, place_on
from builder.materials.scale import ScaleLine
from builder.theory.pitch import Pitch

_STEPS = whole_number(1, 7)  # an octave of a seven-note scale: further is a leap, no longer heard as a slide


class Slides(ScaleLine):
    """The parameters of `slides`."""

    steps: tuple[Annotated[int, _STEPS], ...] = Field(
        default=(1,),
        max_length=16,
        description="How many notes of the scale each slide climbs, or a list taken in turn.",
    )
    finger: Annotated[int, whole_number(1, 4)] = Field(default=1, description="The finger that slides.")
    arrive: Annotated[Literal["struck", "slurred"], choice("struck", "slurred")] = Field(
        default="slurred", description="Whether the note a slide arrives on is struck again, or slurred."
    )

    @field_validator("steps", mode="before")
    @classmethod
    def _one_or_several(cls, value: Any) -> Any:
        if value == [] or isinstance(value, str | bool) or value is None:
            raise Unreadable(f"{_STEPS.expected}, or a list of such numbers").for_pydantic()
        return value if isinstance(value, list | tuple) else (value,)


def note_sets(parameters: Slides, setting: Setting) -> tuple[NoteSet, ...]:
    """Return the slides as a line of pairs; on the way back each goes down again."""
    check_whole_figures(2, "the two notes of a slide", setting)
    scale = lines.scale_of(parameters, setting)
    pairs: list[tuple[Pitch, Pitch]] = []
    for number, pitch in enumerate(lines.way_up(parameters, setting)):
        steps = parameters.steps[number % len(parameters.steps)]
        pairs.append((pitch, scale.pitches_from(pitch, steps + 1)[-1]))
    if parameters.turn:
        pairs += [
            (lines.down(high, parameters, setting), lines.down(low, parameters, setting))
            for low, high in reversed(pairs)
        ]
    slurred = parameters.arrive == "slurred"
    line = [
        sound
        for leaves, arrives in pairs
        for sound in (
            _sound(leaves, parameters.finger, setting),
            _sound(arrives, parameters.finger, setting, arriving=True, slurred=slurred),
        )
    ]
    return (NoteSet(singles(line), "", True, (1,)),)


def _sound(pitch: Pitch, finger: int, setting: Setting, arriving: bool = False, slurred: bool = False) -> Sound:
    place = place_on(pitch, setting.place.string, setting)
    if place.fret == 0:
        raise NoSolution(f"{pitch} is the open string {place.string}: no finger slides there")
    return Sound(
        pitch, place.string, place.fret, finger, technique="slide" if arriving else None, slurred=arriving and slurred
    )


EXAMPLE = """\
title: Chain Glide
aim: One finger, one pressure; let the ear decide where the slide ends.
skills: [slides, position-shifts, one-string-playing]
key: A minor
material: {kind: slides, notes: 6, steps: 2, finger: 2, arrive: slurred}
rhythm: {meter: 4/4, notes-per-beat: 2, burst: 4, rest: to-barline}
neck: {start: {places: [{string: 3, fret: 2}, {string: 2, fret: 1}]}}
strokes: {rule: down}
tempo: {from: 50, to: 84, steps: 4}
checkpoints: {at: rests, cues: rotate}
"""

MATERIAL = lines.line_material(
    kind="slides",
    summary="One finger slides along its string from note to note of a scale.",
    parameters=Slides,
    note_sets=note_sets,
    example=EXAMPLE,
)
