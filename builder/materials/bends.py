"""Bends: a fretted note is pushed up to the next note of the scale, and let down again where asked.

Stage:    compose, answer 1 (pure)
In, Out:  a scale, how far to bend, a finger; one line of figures, all on the start string
Units:    half steps; a bend keeps its string, fret and finger, its pitch is the target; `notes` counts bends
Source:   common practice: finger 3 bends and the fingers behind it help, so the hand needs their frets; a bend of three
          half steps is the widest in general use
Not here: arrows and letters on the page (`engraving`)
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from builder.errors import NoSolution
from builder.fields import Flag, number_or_word, whole_number
from builder.materials import scale as lines
from builder.materials.material import NoteSet, Setting, Sound, singles
from builder.materials.on_strings import check_whole_figures, place_on
from builder.materials.scale import ScaleLine
from builder.theory.pitch import Pitch
from builder.theory.spelling import spell

_WIDEST = 3


class Bends(ScaleLine):
    """The parameters of `bends`."""

    by: Annotated[int | Literal["scale"], number_or_word(whole_number(1, _WIDEST, "half steps"), "scale")] = Field(
        default="scale", description="How far: scale = to the next note of the scale, or so many half steps, 1 to 3."
    )
    release: Flag = Field(default=False, description="Whether each bend is let down to the fretted note again.")
    finger: Annotated[int, whole_number(1, 4)] = Field(
        default=3, description="The finger that bends; those behind it help."
    )


def note_sets(parameters: Bends, setting: Setting) -> tuple[NoteSet, ...]:
    """Return the line: each note struck, bent and, where asked, released."""
    size = 3 if parameters.release else 2
    check_whole_figures(size, "a note and its bend", setting)
    line = [
        sound for pitch in lines.line_of(parameters, setting) for sound in _figure(parameters, pitch, setting)[:size]
    ]
    return (NoteSet(singles(line), "", True, (1,)),)


def _figure(parameters: Bends, pitch: Pitch, setting: Setting) -> tuple[Sound, ...]:
    """A note, its bend, its release."""
    place, finger = place_on(pitch, setting.place.string, setting), parameters.finger
    if place.fret < finger:
        raise NoSolution(
            f"{pitch} lies at fret {place.fret} of string {place.string}: finger {finger} and those behind it need"
            f" fret {finger} or higher to bend"
        )
    target = _target(parameters, pitch, setting)
    return (
        Sound(pitch, place.string, place.fret, finger),
        Sound(target, place.string, place.fret, finger, technique="bend", slurred=True),
        Sound(pitch, place.string, place.fret, finger, technique="bend", slurred=True),
    )


def _target(parameters: Bends, pitch: Pitch, setting: Setting) -> Pitch:
    """What the bend arrives on."""
    if parameters.by != "scale":
        return spell(pitch.midi + parameters.by, setting.key, rising=True)
    scale = lines.scale_of(parameters, setting)
    spelled = scale.spelled(pitch) or pitch  # a chromatic line is spelled on its way, not as its scale is
    target = scale.pitches_from(spelled, 2)[-1]
    if target.midi - pitch.midi > _WIDEST:
        reason = f"from {pitch} to {target} is more than {_WIDEST} half steps, the widest bend; write by: {_WIDEST}"
        raise NoSolution(reason, ("material", "by"))
    return target


EXAMPLE = """\
title: Halyard Bends
aim: Hear the goal first, then push until the string gets there; three fingers share the work.
skills: [bends, intonation]
key: A minor
material: {kind: bends, scale: A minor pentatonic, notes: 4, release: true}
rhythm: {meter: 4/4, notes-per-beat: 1, burst: 3, rest: to-barline}
neck: {start: {places: [{string: 3, fret: 5}, {string: 2, fret: 8}]}}
strokes: {rule: down}
tempo: {from: 50, to: 76, steps: 4}
checkpoints: {at: rests, cues: rotate}
"""

MATERIAL = lines.line_material(
    kind="bends",
    summary="A note is pushed up to the next one of the scale, on one string.",
    parameters=Bends,
    note_sets=note_sets,
    example=EXAMPLE,
    stressed=False,
)
