"""Broken chords: a line up the tones of each chord, and down again where asked.

Stage:    compose, answer 1 (pure)
In, Out:  chords, how far to climb, the start note; one line a chord
Source:   tones stand in order of pitch within each octave (close position), our own choice: a ninth then lies under the
          third, where one hand position reaches it
Not here: chords struck together
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from builder.errors import NoSolution
from builder.fields import Flag, Unreadable, choice
from builder.materials.material import Material, NoteSet, Setting, Sound, singles
from builder.materials.parameters import (
    Chords,
    Complaint,
    NoteCount,
    Octaves,
    Parameters,
    there_and_back,
    walk_up,
)
from builder.theory.chord_scales import key_of_chord
from builder.theory.fretboard import Instrument
from builder.theory.harmony import Chord, Key, Scale
from builder.theory.pitch import NoteName, Pitch, lowest_at_or_above


class Arpeggio(Parameters):
    """The parameters of `arpeggio`."""

    chords: Chords = Field(description="The chords in turn; a scale beside one plays no part here.")
    octaves: Octaves | None = Field(default=None, description="How many octaves to climb; 1 if nothing else is said.")
    notes: NoteCount | None = Field(default=None, description="Instead of octaves: how many notes to climb.")
    voicing: Annotated[Literal["root", "nearest"], choice("root", "nearest")] = Field(
        default="root",
        description="Begin each line on the chord's root (or bass), or on the tone nearest the last line.",
    )
    turn: Flag = Field(default=False, description="Whether each line comes down again, its top note played once.")

    @model_validator(mode="after")
    def _one_length(self) -> Arpeggio:
        if self.octaves is not None and self.notes is not None:
            raise Unreadable("one of octaves, notes", "leave the other out", at=("notes",)).for_pydantic()
        return self


def note_sets(parameters: Arpeggio, setting: Setting) -> tuple[NoteSet, ...]:
    """Return one line a chord; with `nearest` each begins as close as it can to the one before."""
    chords = [item.chord for item in parameters.chords]
    lowest = _first_lowest(parameters, chords[0], setting.first)
    sets: list[NoteSet] = []
    for number, chord in enumerate(chords):
        if number:
            lowest = _next_lowest(parameters, chord, lowest, sets[0].sounds[0].pitch)
        line = walk_up(_tones(chord), lowest, parameters.octaves, parameters.notes)
        moments = singles(map(Sound, there_and_back(line) if parameters.turn else line))
        sets.append(NoteSet(moments, chord.symbol, True, (1,)))
    return tuple(sets)


def _tones(chord: Chord) -> Scale:
    """The chord's tones as a scale to walk up, each sound once."""
    by_sound = {tone.pitch_class: tone for tone in reversed(chord.notes)}
    rising = sorted(by_sound.values(), key=lambda tone: (tone.pitch_class - chord.root.pitch_class) % 12)
    return Scale(chord.root, chord.symbol, tuple(rising))


def _first_lowest(parameters: Arpeggio, chord: Chord, first: Pitch) -> Pitch:
    allowed = _allowed(parameters, chord)
    same = (name for name in allowed if name.pitch_class == first.name.pitch_class)
    name = next(same, None)
    if name is None:
        raise NoSolution(f"{chord.symbol} can't begin on {first.name}; these would do: {' '.join(map(str, allowed))}")
    return lowest_at_or_above(name, first.midi)


def _next_lowest(parameters: Arpeggio, chord: Chord, last: Pitch, anchor: Pitch) -> Pitch:
    """The lowest note of a later chord: near the last one's, or its root near the first line's.

    Roots keep to the first line (our own choice): from root to root, a circle of fourths would climb off the neck.
    """
    near = last if parameters.voicing == "nearest" else anchor
    choices = [lowest_at_or_above(name, near.midi - shift) for name in _allowed(parameters, chord) for shift in (11, 0)]
    return min(choices, key=lambda pitch: (abs(pitch.midi - near.midi), pitch.midi))


def _allowed(parameters: Arpeggio, chord: Chord) -> tuple[NoteName, ...]:
    """The names a line over *chord* may begin on, best first."""
    others = tuple(note for note in chord.notes if note != chord.lowest)
    return (chord.lowest, *others) if parameters.voicing == "nearest" else (chord.lowest,)


def default_key(parameters: Arpeggio) -> Key:
    """The first chord's root, minor if its third is."""
    return key_of_chord(parameters.chords[0].chord)


def first_notes(parameters: Arpeggio, key: Key, instrument: Instrument) -> tuple[NoteName | Pitch, ...]:
    """The root (or bass) of the first chord; with `nearest` its other tones too."""
    return _allowed(parameters, parameters.chords[0].chord)


def check(parameters: Arpeggio, key: Key) -> tuple[Complaint, ...]:
    """Nothing: every chord has tones to walk up."""
    return ()


EXAMPLE = """\
title: Mooring Lines
aim: Chord tones in a row, the hand ready before the chord changes.
skills: [arpeggios, position-playing]
key: A minor
material: {kind: arpeggio, chords: [Am, Dm, E7, Am], octaves: 1, voicing: nearest, turn: true}
rhythm: {meter: 4/4, notes-per-beat: 2, rest: to-barline}
neck: {path: position, start: {note: A, places: each-string}}
strokes: {rule: alternate, first: down}
tempo: {from: 56, to: 88, steps: 4}
checkpoints: {at: rests, cues: rotate}
"""

MATERIAL = Material(
    kind="arpeggio",
    summary="Broken chords: a line up the tones of each chord, and down again where asked.",
    parameters=Arpeggio,
    note_sets=note_sets,
    default_key=default_key,
    first_notes=first_notes,
    check=check,
    contour="optional",
    repeats=False,
    example=EXAMPLE,
)
