"""Natural harmonics: the open string touched over a fret where one of its partials has a node.

Stage:    compose, answer 1 (pure)
In, Out:  the frets to touch and the strings to visit; one set a string, all places fixed
Units:    frets are counted from the capo, as the capo shortens the open string; pitches are those that sound
Source:   a string touched at k/n of its length sounds its n-th partial (M. Mersenne, Harmonie universelle, 1636); fret
          f lies at 1 − 2^(−f/12) of it, so 12, 7, 5 and 4 are the nodes nearest the nut of partials 2 to 5
Not here: the sign over the note (`engraving`); artificial harmonics, which move with the fretting hand
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from builder.errors import NoSolution
from builder.fields import Reads, StringNumber, one_of, whole_number
from builder.materials.material import Material, NoteSet, Setting, Sound, singles
from builder.materials.on_strings import EACH_STRUCK
from builder.materials.parameters import Complaint, Parameters
from builder.theory.fretboard import Instrument, Place
from builder.theory.harmony import Key, parse_key
from builder.theory.pitch import NoteName, Pitch
from builder.theory.spelling import spell

# The half steps above the open string that sound at each fret, to the nearest: partial n is 12·log2(n) above it. The
# fifth partial sounds 14 cents below the printed note. Fret 9 is 2/5 of the string, 16 is 3/5, 19 is 2/3, 24 is 3/4.
NODES = {4: 28, 5: 24, 7: 19, 9: 28, 12: 12, 16: 28, 19: 19, 24: 24}
_USUAL_FRETS = (12, 7, 5)  # common practice: those that speak at once


def _read_fret(value: object) -> int:
    if type(value) is not int or value not in NODES:
        raise ValueError
    return value


_NODE = Reads(_read_fret, f"a fret over a node: {one_of(map(str, NODES))}", {"enum": list(NODES)})


class Harmonics(Parameters):
    """The parameters of `harmonics`."""

    frets: tuple[Annotated[int, _NODE], ...] = Field(
        default=_USUAL_FRETS,
        min_length=1,
        max_length=8,
        description="The frets to touch on each string, in the order played.",
    )
    strings: tuple[StringNumber, ...] | None = Field(
        default=None, min_length=1, max_length=24, description="The strings to visit; else from the start to string 1."
    )
    finger: Annotated[int, whole_number(1, 4)] = Field(default=3, description="The finger that touches the string.")


def note_sets(parameters: Harmonics, setting: Setting) -> tuple[NoteSet, ...]:
    """Return one set a string, lowest harmonic first; that of the first string is touched at the start fret."""
    start, instrument = setting.place, setting.instrument
    strings = parameters.strings or tuple(range(start.string, 0, -1))
    if missing := [string for string in strings if string > instrument.strings]:
        raise NoSolution(f"there is no string {missing[0]} on the {instrument.name}")
    if max(parameters.frets) > instrument.last_fret:
        raise NoSolution(f"touches fret {max(parameters.frets)}; the last one is {instrument.last_fret}")
    lowest = _by_height(parameters)[0]
    if start != Place(strings[0], lowest):
        raise NoSolution(f"the harmonics begin on string {strings[0]} at fret {lowest}")
    return tuple(_set(string, parameters, setting) for string in strings)


def _by_height(parameters: Harmonics) -> tuple[int, ...]:
    """The frets by what sounds there, lowest first; of two that sound the same, only the one named first."""
    sounding = {NODES[fret]: fret for fret in reversed(parameters.frets)}
    return tuple(sounding[half_steps] for half_steps in sorted(sounding))


def _set(string: int, parameters: Harmonics, setting: Setting) -> NoteSet:
    frets = tuple(sorted(set(parameters.frets), key=lambda fret: (NODES[fret], fret)))
    sounds = [
        Sound(
            spell(setting.instrument.open_midi(string) + NODES[fret], setting.key, rising=True),
            string,
            fret,
            parameters.finger,
            technique="harmonic",
        )
        for fret in frets
    ]
    return NoteSet(singles(sounds), "", False, tuple(frets.index(fret) + 1 for fret in parameters.frets))


def default_key(parameters: Harmonics) -> Key:
    """C major: open strings belong to no key."""
    return parse_key("C major")


def first_notes(parameters: Harmonics, key: Key, instrument: Instrument) -> tuple[NoteName | Pitch, ...]:
    """What the first string would sound where it is touched first, were it stopped there."""
    string = min(parameters.strings[0] if parameters.strings else instrument.strings, instrument.strings)
    lowest = _by_height(parameters)[0]
    return (spell(instrument.open_midi(string) + lowest, key, rising=True),)


def check(parameters: Harmonics, key: Key) -> tuple[Complaint, ...]:
    """Nothing can be said before the instrument is known."""
    return ()


EXAMPLE = """\
title: Glass Bells
aim: Touch, pluck, lift at once; the string rings alone.
skills: [harmonics, tone]
material: {kind: harmonics, frets: [12, 7, 5], strings: [6, 5, 4, 3, 2, 1]}
contour: {order: [1, 2, 3], land: 1}
rhythm: {meter: 4/4, notes-per-beat: 1, rest: none}
strokes: {rule: down}
tempo: {from: 48, to: 72, steps: 4}
checkpoints: {at: {bars: 4}, cues: rotate}
"""

MATERIAL = Material(
    kind="harmonics",
    summary="Natural harmonics: the open strings touched at their nodes, string by string.",
    parameters=Harmonics,
    note_sets=note_sets,
    default_key=default_key,
    first_notes=first_notes,
    check=check,
    contour="optional",
    repeats=False,
    example=EXAMPLE,
    paths=frozenset(),
    rules=EACH_STRUCK,
    stressed=False,
    shifts=True,
)
