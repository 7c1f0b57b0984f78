"""A line up a scale, and down again where asked.

Stage:    compose, answer 1 (pure)
In, Out:  a scale, how far to go, the start note; one set that is a line
Not here: windows moving over the line (`contour`)
"""

from __future__ import annotations

from functools import partial

from pydantic import Field, model_validator

from builder.errors import NoSolution
from builder.fields import Flag, SoundingPitch, Unreadable
from builder.materials.material import Material, NoteSet, Setting, Sound, singles
from builder.materials.on_strings import EACH_STRUCK
from builder.materials.parameters import (
    Complaint,
    NoteCount,
    Octaves,
    OfLine,
    Parameters,
    scale_in_key,
    there_and_back,
    walk_up,
)
from builder.theory.fretboard import Instrument
from builder.theory.harmony import Key, Scale, parse_key, printable
from builder.theory.pitch import NoteName, Pitch
from builder.theory.spelling import spell

_CHROMATIC = "chromatic"
_NO_KEY = parse_key("C major")  # nothing is sharp or flat until the spec says so


class ScaleLine(Parameters):
    """The parameters of `scale`."""

    scale: OfLine = Field(default="key", description="The scale: key, a scale's name, or its notes in a list.")
    octaves: Octaves | None = Field(default=None, description="How many octaves to climb; 1 if nothing else is said.")
    notes: NoteCount | None = Field(default=None, description="Instead of octaves: how many notes to climb.")
    from_: SoundingPitch | None = Field(default=None, alias="from", description="The lowest pitch, together with to.")
    to: SoundingPitch | None = Field(default=None, description="The highest pitch, together with from.")
    turn: Flag = Field(default=False, description="Whether to come down again, the top note played once.")

    @model_validator(mode="after")
    def _one_length(self) -> ScaleLine:
        if sum((self.octaves is not None, self.notes is not None, (self.from_ or self.to) is not None)) > 1:
            key = "notes" if self.notes is not None else "octaves"
            raise Unreadable("one of octaves, notes, or from and to", "leave the others out", at=(key,)).for_pydantic()
        if (self.from_ is None) != (self.to is None):
            key = "from" if self.from_ else "to"
            raise Unreadable("from and to together", "add the other one", at=(key,)).for_pydantic()
        if self.from_ and self.to and self.from_.midi >= self.to.midi:
            hint = "to come down again write turn: true"
            raise Unreadable(f"a pitch above {self.from_}", hint, at=("to",)).for_pydantic()
        return self


def note_sets(parameters: ScaleLine, setting: Setting) -> tuple[NoteSet, ...]:
    """Return the line from the start note on."""
    up, line = way_up(parameters, setting), line_of(parameters, setting)
    sounds = (
        Sound(pitch, back=down(pitch, parameters, setting) if number < len(up) else up[len(line) - 1 - number])
        for number, pitch in enumerate(line)
    )
    return (NoteSet(singles(sounds), "", True, (1,)),)


def line_of(parameters: ScaleLine, setting: Setting) -> tuple[Pitch, ...]:
    """The line from the start note on, up and where asked down again; raise NoSolution where the scale lacks it."""
    up = way_up(parameters, setting)
    line = there_and_back(up) if parameters.turn else up
    return tuple(pitch if number < len(up) else down(pitch, parameters, setting) for number, pitch in enumerate(line))


def down(pitch: Pitch, parameters: ScaleLine, setting: Setting) -> Pitch:
    """Return *pitch* as it is read on the way down: of a chromatic line in the key, else flat where it was sharp."""
    if scale_of(parameters, setting).name != _CHROMATIC:
        return pitch
    return spell(pitch.midi, setting.key or default_key(parameters), rising=False)


def scale_of(parameters: ScaleLine, setting: Setting) -> Scale:
    """The scale the line is taken from."""
    return scale_in_key(parameters.scale, setting.key or default_key(parameters))


def way_up(parameters: ScaleLine, setting: Setting) -> tuple[Pitch, ...]:
    """The climbing half of the line, spelled as in the scale, a chromatic one as in the key, else with sharps.

    Raises NoSolution where the scale lacks the start.
    """
    scale = scale_of(parameters, setting)
    first = scale.spelled(setting.first)
    if first is None:
        raise NoSolution(f"{setting.first.name} is not in {scale}; its notes are {scale.listed}")
    line = _climb(parameters, scale, first)
    if scale.name != _CHROMATIC:
        return line
    return tuple(spell(pitch.midi, setting.key or default_key(parameters), rising=True) for pitch in line)


def _climb(parameters: ScaleLine, scale: Scale, first: Pitch) -> tuple[Pitch, ...]:
    if parameters.from_ is None or parameters.to is None:
        return walk_up(scale, first, parameters.octaves, parameters.notes)
    # Pitches, so the line stays where it was written; other strings may play it, other octaves not.
    if first.midi != parameters.from_.midi:
        raise NoSolution(f"the line begins on {parameters.from_}, not on {first}")
    return scale.pitches_between(parameters.from_.midi, parameters.to.midi)


def default_key(parameters: ScaleLine) -> Key:
    """The scale's own key where it is one that can be printed, else C major."""
    scale = parameters.scale
    if not isinstance(scale, Scale):
        return _NO_KEY
    try:
        return printable(parse_key(str(scale)))
    except ValueError:  # notes of the teacher's own, or a tonic without a signature
        return _NO_KEY


def first_notes(parameters: ScaleLine, key: Key, instrument: Instrument) -> tuple[NoteName | Pitch, ...]:
    """The pitch written as from; else the tonic, then the other notes of the scale."""
    return (parameters.from_,) if parameters.from_ else scale_in_key(parameters.scale, key).notes


def check(parameters: ScaleLine, key: Key) -> tuple[Complaint, ...]:
    """Complain of ends that are not in the scale."""
    scale = scale_in_key(parameters.scale, key)
    ends = (("from", parameters.from_), ("to", parameters.to))
    return tuple(
        ((name,), str(pitch), f"a note of {scale}", f"its notes are {scale.listed}")
        for name, pitch in ends
        if pitch is not None and scale.spelled(pitch) is None
    )


EXAMPLE = """\
title: Tide Tables
aim: Up and down one octave without a bump at the string changes.
skills: [alternate-picking, string-crossing]
key: G major
material: {kind: scale, octaves: 1, turn: true}
contour: {order: [1]}
rhythm: {meter: 4/4, notes-per-beat: 2, rest: to-barline}
neck: {path: position, start: {note: G, places: each-string}}
strokes: {rule: alternate, first: down}
tempo: {from: 60, to: 96, steps: 4}
checkpoints: {at: rests, cues: rotate}
"""

MATERIAL = Material(
    kind="scale",
    summary="A line up a scale, and down again where asked.",
    parameters=ScaleLine,
    note_sets=note_sets,
    default_key=default_key,
    first_notes=first_notes,
    check=check,
    contour="optional",
    repeats=False,
    example=EXAMPLE,
)

# What kinds share that walk up and down a line on a string or a few, and place its notes there themselves.
line_material = partial(
    Material,
    default_key=default_key,
    first_notes=first_notes,
    check=check,
    contour="unused",
    repeats=False,
    paths=frozenset(),
    rules=EACH_STRUCK,
    shifts=True,
)
