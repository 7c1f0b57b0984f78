"""What materials that hold chord shapes share: how a spec writes the chords, which shapes they get, their sounds.

Stage:    compose, answer 1 (pure)
In, Out:  chords of a spec, the start, what the neck answers; one shape a chord, moving as little as they can
Units:    written frets stand as on a chord chart: lowest string first, x = not played
Source:   product contract, start positions: of notes sounding together, the lowest
Not here: how shapes are found (`theory.chord_shapes`), what is played on them (`right_hand`, `chord_changes`)
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Annotated, Any, get_args

from pydantic import Field

from builder.errors import NoSolution
from builder.fields import Reads, Unreadable, choice, near_miss, one_of, whole_number
from builder.materials.material import Diagram, Setting, Sound
from builder.materials.parameters import Parameters
from builder.theory.chord_scales import key_of_chord
from builder.theory.chord_shapes import (
    Bass,
    ChordShape,
    Frets,
    ShapeRequest,
    chord_shapes,
    given_shapes,
    kept_fingers,
    shape_chain,
)
from builder.theory.fingering import Stop, finger_passage
from builder.theory.fretboard import Instrument, Place
from builder.theory.harmony import Chord, Key, parse_chord
from builder.theory.pitch import NoteName, Pitch, lowest_at_or_above

_BASSES: tuple[str, ...] = get_args(Bass)
_MOST_CHOICES = 10  # shapes of a chord to choose among: beyond them none is played for the sake of a smoother change
_HIGHEST_FRET = 36  # as for the frets of a start
_CHORD = "a chord symbol such as Dm, F#m7b5 or C/E, or {chord: …} with its own frets or voicing"
_FRETS = "a fret for each string, lowest string first, x for a silent one, such as x32010 or [x, 10, 12, 12, 11, 10]"


@dataclass(frozen=True, slots=True)
class HeldChord:
    """One chord of a list; *voicing* None = as the rest; *frets*, string 1 first, where the spec writes the shape."""

    chord: Chord
    voicing: Bass | None = None
    frets: Frets | None = None


def _read_held(value: Any) -> HeldChord:
    if isinstance(value, str):
        return HeldChord(_read_symbol(value, ()))
    if not isinstance(value, Mapping) or not isinstance(value.get("chord"), str):
        raise Unreadable(_CHORD)
    keys = ("chord", "frets", "voicing")
    for name in value:
        if name not in keys:
            raise Unreadable(one_of(keys), near_miss(str(name), keys), "an unknown key", (name,))
    if "frets" in value and "voicing" in value:
        raise Unreadable("frets or voicing", "the frets settle the voicing", "both", ("voicing",))
    chord = _read_symbol(value["chord"], ("chord",))
    voicing = _read_voicing(value["voicing"]) if "voicing" in value else None
    return HeldChord(chord, voicing, _read_frets(value["frets"]) if "frets" in value else None)


def _read_symbol(symbol: str, at: tuple[str, ...]) -> Chord:
    try:
        return parse_chord(symbol)
    except ValueError as error:
        raise Unreadable("a chord symbol such as Dm, F#m7b5 or C/E", str(error), at=at) from None


def _read_voicing(value: Any) -> Bass:
    if value not in _BASSES:
        raise Unreadable(one_of(_BASSES), near_miss(str(value), _BASSES), at=("voicing",))
    found: Bass = next(bass for bass in get_args(Bass) if bass == value)
    return found


def _read_frets(value: Any) -> Frets:
    given = list(value) if isinstance(value, str | list) else []
    frets = tuple(_read_fret(one) for one in reversed(given))
    if not any(fret is not None for fret in frets):
        raise Unreadable(_FRETS, at=("frets",))
    return frets


def _read_fret(value: Any) -> int | None:
    if value == "x":
        return None
    if isinstance(value, str) and value in "0123456789" and value:
        return int(value)
    if type(value) is int and 0 <= value <= _HIGHEST_FRET:
        return value
    raise Unreadable(_FRETS, at=("frets",))


_HELD_SCHEMA = {
    "anyOf": [
        {"type": "string"},
        {
            "type": "object",
            "properties": {
                "chord": {"type": "string"},
                "voicing": {"enum": list(_BASSES)},
                "frets": {"anyOf": [{"type": "string"}, {"type": "array"}]},
            },
            "required": ["chord"],
            "additionalProperties": False,
        },
    ]
}
HeldChords = Annotated[
    tuple[Annotated[HeldChord, Reads(_read_held, _CHORD, _HELD_SCHEMA)], ...], Field(min_length=1, max_length=32)
]


class HeldParameters(Parameters):
    """The parameters of every material that holds chord shapes."""

    chords: HeldChords = Field(description="The chords in turn: symbols, or mappings of chord with voicing or frets.")
    voicing: Annotated[Bass, choice(*_BASSES)] = Field(
        default="root", description="What lies lowest: the root (or written bass), an inversion's tone, or any."
    )
    notes: Annotated[int, whole_number(2, 8)] | None = Field(
        default=None, description="How many strings of a shape sound; else as many as lie well."
    )


Fits = Callable[[ChordShape], NoSolution | None]
"""What is wrong with a shape for what is to be played on it; None when nothing is."""


def any_shape(shape: ChordShape) -> NoSolution | None:
    """Take every shape."""
    return None


def held_shapes(parameters: HeldParameters, setting: Setting, fits: Fits, plucked: bool) -> tuple[ChordShape, ...]:
    """Choose a shape for each chord so that the whole loop is easy to hold and to change; the first one at the start.

    *plucked* strings may have silent ones between them where nothing else fits. Raises NoSolution.
    """
    usual = ShapeRequest(
        strings=setting.neck.strings,
        notes=parameters.notes,
        bass=parameters.voicing,
        open_strings=setting.neck.open_strings is not False,
        position=setting.neck.position,
    )
    first, *others = parameters.chords
    choices = [_choices(first, replace(usual, lowest=setting.place), setting, fits, plucked)]
    frets = choices[0][0].frets
    # Open chords belong together near the nut; a shape without open strings stays where the study begins.
    near = 1 if 0 in frets else min(fret for fret in frets if fret)
    choices += [_choices(held, replace(usual, near=near), setting, fits, plucked) for held in others]
    return shape_chain(choices, loop=True, weights=setting.player.weights)


def _choices(
    held: HeldChord, usual: ShapeRequest, setting: Setting, fits: Fits, plucked: bool
) -> tuple[ChordShape, ...]:
    """The shapes that a chord may take, best first."""
    if held.frets is not None:
        return _given(held, held.frets, usual.lowest, setting, fits)
    request = replace(usual, bass=held.voicing or usual.bass)
    wrong: NoSolution | None = None
    for asked in (request, replace(request, inner_mutes=True)) if plucked else (request,):
        player = setting.player
        try:
            every = chord_shapes(
                held.chord, player.instrument, player.hand, asked, player.prices, player.weights, 4 * _MOST_CHOICES
            )
            return _fitting(every, setting, lambda shape: fits(shape) or _opened_high(shape, setting))
        except NoSolution as no:
            wrong = wrong or no
    raise wrong or NoSolution(f"{held.chord.symbol} can't be held")


def _opened_high(shape: ChordShape, setting: Setting) -> NoSolution | None:
    """Without a word about open strings they belong to position 1, as on every path."""
    highest = max(fret for fret in shape.frets if fret is not None)
    if setting.neck.open_strings or 0 not in shape.frets or highest <= setting.instrument.position_width:
        return None
    return NoSolution(f"{shape.symbol} needs an open string next to fret {highest}")


def _given(held: HeldChord, frets: Frets, start: Place | None, setting: Setting, fits: Fits) -> tuple[ChordShape, ...]:
    """The shape that the spec writes, in the ways it can be fingered; the first one must lie at the *start*."""
    player = setting.player
    try:
        every = given_shapes(held.chord, frets, player.instrument, player.hand, player.prices, player.weights)
    except NoSolution as no:
        raise NoSolution(no.reason, ("material", "chords")) from None
    shapes = _fitting(every, setting, fits)
    lowest = Place(shapes[0].strings[0], shapes[0].frets[shapes[0].strings[0] - 1] or 0)
    if start is not None and start != lowest:
        raise NoSolution(f"{held.chord.symbol} as written begins on string {lowest.string}, fret {lowest.fret}")
    return shapes


def _fitting(every: tuple[ChordShape, ...], setting: Setting, fits: Fits) -> tuple[ChordShape, ...]:
    """The first of *every* that can be fingered and played; NoSolution with the first reason when there is none."""
    good: list[ChordShape] = []
    wrong: NoSolution | None = None
    for shape in every:
        no = fits(shape) or _not_fingered(shape, setting)
        if no is None:
            good.append(shape)
        wrong = wrong or no
        if len(good) == _MOST_CHOICES:
            break
    if not good and wrong:
        raise wrong
    return tuple(good)


def _not_fingered(shape: ChordShape, setting: Setting) -> NoSolution | None:
    """What the fingering of passages has against the shape: the study would fail there, so it is not chosen here."""
    stops = [
        Stop(string, Fraction(0), Fraction(1), string, fret, finger, new_hand=True)
        for string, (fret, finger) in enumerate(zip(shape.frets, shape.fingers, strict=True), start=1)
        if fret is not None
    ]
    player = setting.player
    try:
        finger_passage(stops, player.instrument, player.hand, player.weights, False)
    except NoSolution as no:
        return no
    return None


def default_key(parameters: HeldParameters) -> Key:
    """The first chord's root, minor if its third is."""
    return key_of_chord(parameters.chords[0].chord)


def first_notes(parameters: HeldParameters, key: Key, instrument: Instrument) -> tuple[NoteName | Pitch, ...]:
    """What may lie lowest in the first chord, best first."""
    held = parameters.chords[0]
    chord = held.chord
    if held.frets is not None:
        return _written_bass(chord, held.frets, instrument)
    own = parse_chord(f"{chord.root}{chord.quality}").notes
    asked = held.voicing or parameters.voicing
    if asked == "any":
        return own
    if asked == "root":
        return (chord.lowest,)
    return own[_BASSES.index(asked) :][:1] or (chord.lowest,)


def _written_bass(chord: Chord, frets: Frets, instrument: Instrument) -> tuple[Pitch, ...]:
    """What a written shape sounds lowest; nothing where it has too many strings, which the start will say."""
    strings = enumerate(frets[: instrument.strings], start=1)
    sounds = [instrument.sound(Place(string, fret)) for string, fret in strings if fret is not None]
    names = [note for note in chord.notes if sounds and note.pitch_class == min(sounds) % 12]
    return tuple(lowest_at_or_above(name, min(sounds)) for name in names[:1])


def sounds_on(shape: ChordShape, before: ChordShape | None) -> dict[int, Sound]:
    """What each string of *shape* sounds, ringing while it is held; fingers that stay down from *before* are marked."""
    stays = kept_fingers(before, shape) if before else ()
    return {
        string: Sound(pitch, string, fret, finger, rings=True, kept=string in stays)
        for string, (pitch, fret, finger) in enumerate(
            zip(shape.pitches, shape.frets, shape.fingers, strict=True), start=1
        )
        if pitch is not None
    }


def diagram(shape: ChordShape) -> Diagram:
    """The shape as a picture shows it."""
    return Diagram(shape.frets, shape.fingers)
