"""Chord changes: from shape to shape with the least movement, strummed or struck once a change.

Stage:    compose, answer 1 (pure)
In, Out:  chords, how long each lasts, the strum pattern; one set of whole chords each
Units:    `beats` are the meter's; an entry of the strum pattern is a note of `notes-per-beat`
Source:   common practice: the hand keeps moving down and up, and where it misses the strings the chord rings on; a
          pattern begins anew with each chord, our own choice, so that every change falls on its first stroke
Not here: the shapes (`held_chords`), the strokes (`strokes.strum`)
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from typing import Annotated, Any

from pydantic import Field

from builder.errors import NoSolution
from builder.fields import Reads, Unreadable, beats
from builder.materials.held_chords import (
    HeldParameters,
    any_shape,
    default_key,
    diagram,
    first_notes,
    held_shapes,
    sounds_on,
)
from builder.materials.material import Material, NoteSet, Setting, Sound
from builder.materials.parameters import Complaint
from builder.theory import rhythm
from builder.theory.chord_shapes import ChordShape
from builder.theory.harmony import Key
from builder.theory.score import Stroke

_LENGTH = beats(Fraction(1, 2), 16)
_MOST_LENGTHS = 32  # as many as chords
_BEATS = f"{_LENGTH.expected}, or a list of up to {_MOST_LENGTHS} such numbers"


def _read_beats(value: Any) -> tuple[Fraction, ...]:
    given = value if isinstance(value, list | tuple) else [value]
    if not 1 <= len(given) <= _MOST_LENGTHS:
        raise Unreadable(_BEATS)
    return tuple(_LENGTH.parse(each) for each in given)


_BEATS_SCHEMA = {"anyOf": [dict(_LENGTH.schema), {"type": "array", "items": dict(_LENGTH.schema), "minItems": 1}]}


class ChordChanges(HeldParameters):
    """The parameters of `chord-changes`."""

    beats: Annotated[tuple[Fraction, ...], Reads(_read_beats, _BEATS, _BEATS_SCHEMA)] | None = Field(
        default=None, description="How many beats each chord lasts: a number, or a list taken in turn; else a bar."
    )


def note_sets(parameters: ChordChanges, setting: Setting) -> tuple[NoteSet, ...]:
    """Return one set a chord, its moments all strings of the shape together."""
    shapes = held_shapes(parameters, setting, any_shape, plucked=False)
    beat = setting.rhythm.meter.beat
    lengths = [each * beat for each in parameters.beats or ()] or [setting.bar]
    return tuple(
        _set(shape, before, lengths[k % len(lengths)], setting)
        for k, (before, shape) in enumerate(zip((None, *shapes), shapes, strict=False))
    )


def _set(shape: ChordShape, before: ChordShape | None, length: Fraction, setting: Setting) -> NoteSet:
    sounds = sounds_on(shape, before)
    chord = tuple(sounds[string] for string in shape.strings)
    strokes = list(_strokes(length, setting))
    moments = tuple(_struck(chord, stroke, first=k == 0) for k, (stroke, _) in enumerate(strokes))
    return NoteSet(moments, shape.symbol, True, (1,), tuple(lasts for _, lasts in strokes), diagram(shape))


def _struck(chord: tuple[Sound, ...], stroke: Stroke | None, first: bool) -> tuple[Sound, ...]:
    """The chord once more; only its first stroke shows which fingers stayed."""
    return tuple(replace(sound, pluck=stroke, kept=sound.kept and first) for sound in chord)


def _strokes(length: Fraction, setting: Setting) -> Iterator[tuple[Stroke | None, Fraction]]:
    """The strokes of one chord and how long each rings; without a strum it is struck once."""
    if setting.strokes.rule != "strum":
        yield None, length
        return
    pattern, slot = setting.strokes.pattern, rhythm.unit(setting.rhythm)
    if pattern[0] == "miss":
        raise NoSolution("the strum pattern misses where the chord changes", ("strokes", "pattern"))
    if length % slot:
        raise NoSolution(
            f"{length / setting.rhythm.meter.beat} beats are no whole number of strums", ("material", "beats")
        )
    slots = [pattern[number % len(pattern)] for number in range(int(length / slot))]
    struck = [number for number, stroke in enumerate(slots) if stroke != "miss"]
    for number, following in zip(struck, [*struck[1:], len(slots)], strict=True):
        stroke = slots[number]
        yield "up" if stroke == "up" else "down", slot * (following - number)


def check(parameters: ChordChanges, key: Key) -> tuple[Complaint, ...]:
    """Nothing: whether a chord can be held is known with the instrument."""
    return ()


EXAMPLE = """\
title: Shifting Ballast
aim: The new shape is ready before the beat; what can stay down stays down.
skills: [muting, timing]
key: C major
material: {kind: chord-changes, chords: [C, Am, F, G], beats: 4}
rhythm: {meter: 4/4, notes-per-beat: 2, rest: none}
neck: {start: {places: [{string: 5, fret: 3}]}}
strokes: {rule: strum, pattern: [down, miss, down, up, miss, up, down, up]}
tempo: {from: 56, to: 92, steps: 4}
checkpoints: {at: {bars: 4}, cues: rotate}
"""

MATERIAL = Material(
    kind="chord-changes",
    summary="From chord shape to chord shape with the least movement, strummed or struck once a change.",
    parameters=ChordChanges,
    note_sets=note_sets,
    default_key=default_key,
    first_notes=first_notes,
    check=check,
    contour="unused",
    repeats=True,
    example=EXAMPLE,
    paths=frozenset(),
    rules=frozenset({"strum", "down", "alternate", "pima", "none"}),
    stressed=False,
    shifts=True,
)
