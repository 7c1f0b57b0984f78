"""A loop of chords: over each, a few neighbouring notes of its scale, moving as little as they can.

Stage:    compose, answer 1 (pure)
In, Out:  chords, their scales and the start note; one set a chord
Source:   product contract, "material"; least motion as in `voice_leading`
Not here: which scale goes with a chord (`harmony`), the order the notes are played in (`contour`)
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

from pydantic import Field, field_validator

from builder.errors import NoSolution
from builder.fields import Flag, SoundingPitch, Unreadable, choice, whole_number
from builder.materials.material import Material, NoteSet, Setting, Sound, singles
from builder.materials.parameters import Chords, Complaint, OverChords, Parameters
from builder.theory.chord_scales import chord_scale, chord_scales, key_of_chord
from builder.theory.fretboard import Instrument
from builder.theory.harmony import Chord, Key, Scale
from builder.theory.pitch import NoteName, Pitch
from builder.theory.voice_leading import PitchSet, candidates, nearest_sets, round_trip

_OCTAVE = 12
_ANY_OCTAVE = (36, 71)  # wide enough for one of each candidate, and seven notes of a five-note scale above it


class ChordLoop(Parameters):
    """The parameters of `chord-loop`."""

    chords: Chords = Field(description="The chords in turn: symbols, or mappings of chord and scale.")
    set_size: Annotated[int, whole_number(2, 7)] = Field(
        default=3, description="How many neighbouring notes of the scale lie over each chord."
    )
    scale: OverChords = Field(
        default="auto", description="The scale over the chords: auto, key, chord, a scale's name, or its notes."
    )
    choose: Annotated[Literal["nearest", "round-trip"], choice("nearest", "round-trip")] = Field(
        default="nearest", description="Take the nearest set from chord to chord, or the loop that moves least in all."
    )
    may_stay: Flag = Field(default=False, description="Whether a chord may keep the notes of the one before it.")
    range: tuple[SoundingPitch, SoundingPitch] | None = Field(
        default=None,
        description="Lowest and highest pitch; without it an octave below to an octave above the first set.",
    )

    @field_validator("range")
    @classmethod
    def _rises(cls, value: tuple[Pitch, Pitch] | None) -> tuple[Pitch, Pitch] | None:
        if value and value[0].midi >= value[1].midi:
            raise Unreadable("the lowest pitch, then the highest", "change them round").for_pydantic()
        return value


def note_sets(parameters: ChordLoop, setting: Setting) -> tuple[NoteSet, ...]:
    """Return one set a chord; the chain is the same at every start, moved by whole octaves."""
    chords = _chords(parameters)
    scales = _scales(parameters, setting.key or default_key(parameters))
    first = _first_set(parameters, chords[0], scales[0], setting.first)
    low, high = _limits(parameters) or (first[0].midi - _OCTAVE, first[-1].midi + _OCTAVE)
    choices = [
        candidates(chord, scale, parameters.set_size, low, high)
        for chord, scale in zip(chords[1:], scales[1:], strict=True)
    ]
    chain = (nearest_sets if parameters.choose == "nearest" else round_trip)(first, choices, parameters.may_stay)
    octaves = (setting.first.midi - first[0].midi) // _OCTAVE
    return tuple(
        NoteSet(singles(Sound(pitch.octaves_up(octaves)) for pitch in pitches), chord.symbol, False, _rising(pitches))
        for chord, pitches in zip(chords, chain, strict=True)
    )


def _rising(pitches: PitchSet) -> tuple[int, ...]:
    return tuple(range(1, len(pitches) + 1))


def _chords(parameters: ChordLoop) -> tuple[Chord, ...]:
    return tuple(item.chord for item in parameters.chords)


def _scales(parameters: ChordLoop, key: Key) -> tuple[Scale, ...]:
    """The scale of each chord; one that names its own takes that, whatever the rest do."""
    chords = _chords(parameters)
    return tuple(
        scale if item.scale is None else chord_scale(chord, key, item.scale)
        for item, chord, scale in zip(
            parameters.chords, chords, chord_scales(chords, key, parameters.scale), strict=True
        )
    )


def _limits(parameters: ChordLoop) -> tuple[int, int] | None:
    if parameters.range is None:
        return None
    return parameters.range[0].midi, parameters.range[1].midi


def _first_set(parameters: ChordLoop, chord: Chord, scale: Scale, first: Pitch) -> PitchSet:
    """The set that begins on *first*; with a range, the lowest such set inside it, whatever its octave."""
    limits = _limits(parameters)
    low, high = limits or (first.midi, first.midi + _ANY_OCTAVE[1])
    sets = candidates(chord, scale, parameters.set_size, low, high)
    for pitches in sets:
        if pitches[0].midi % _OCTAVE == first.midi % _OCTAVE:
            return pitches
    would_do = " ".join(dict.fromkeys(str(pitches[0].name) for pitches in sets))
    raise NoSolution(
        f"no set of {parameters.set_size} notes over {chord.symbol} begins on {first.name}; "
        + (f"these would do: {would_do}" if would_do else "none begins anywhere, take a larger set-size")
    )


def default_key(parameters: ChordLoop) -> Key:
    """The first chord's root, minor if its third is."""
    return key_of_chord(parameters.chords[0].chord)


def first_notes(parameters: ChordLoop, key: Key, instrument: Instrument) -> tuple[NoteName | Pitch, ...]:
    """The root of the first chord if a set may begin on it, then the other notes that would do."""
    chord = parameters.chords[0].chord
    names = _beginnings(parameters, chord, _scales(parameters, key)[0])
    return tuple(sorted(names, key=lambda name: name.pitch_class != chord.root.pitch_class))


def _beginnings(parameters: ChordLoop, chord: Chord, scale: Scale) -> Iterable[NoteName]:
    sets = candidates(chord, scale, parameters.set_size, *(_limits(parameters) or _ANY_OCTAVE))
    return dict.fromkeys(pitches[0].name for pitches in sets)


def check(parameters: ChordLoop, key: Key) -> tuple[Complaint, ...]:
    """Complain of each chord that has no set at all."""
    return tuple(
        (
            ("chords", number),
            f"{item.chord.symbol} over {scale}",
            f"{parameters.set_size} neighbouring notes of the scale with two chord tones among them",
            "take a larger set-size, another scale or a wider range",
        )
        for number, (item, scale) in enumerate(zip(parameters.chords, _scales(parameters, key), strict=True))
        if not _beginnings(parameters, item.chord, scale)
    )


EXAMPLE = """\
title: Ferry Steps
aim: Eight even notes, land, let go.
skills: [alternate-picking, hand-synchrony]
key: D minor
material: {kind: chord-loop, chords: [Dm, Gm, Bb, A], set-size: 3}
contour: {order: [1, 2, 3, 2], times: 2, land: 1}
rhythm: {meter: 4/4, notes-per-beat: 4, rest: to-barline}
neck: {path: one-string, start: {note: D, places: each-string}}
strokes: {rule: alternate, first: down}
tempo: {from: 60, to: 108, steps: 5}
checkpoints: {at: rests, cues: rotate}
"""

MATERIAL = Material(
    kind="chord-loop",
    summary="A few neighbouring notes over each chord of a loop, moving as little as they can.",
    parameters=ChordLoop,
    note_sets=note_sets,
    default_key=default_key,
    first_notes=first_notes,
    check=check,
    contour="needed",
    repeats=True,
    example=EXAMPLE,
)
