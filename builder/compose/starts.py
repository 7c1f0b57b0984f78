"""Where a study may begin: the places to try, string by string.

Stage:    compose (pure)
In, Out:  an `ExercisePlan` and its key; `Try`s
"""

from __future__ import annotations

from dataclasses import dataclass

from builder.materials import Material
from builder.paths import Path
from builder.spec.plan import ExercisePlan
from builder.theory.fretboard import Place, places_of
from builder.theory.harmony import Key
from builder.theory.pitch import NoteName, Pitch, lowest_at_or_above
from builder.theory.spelling import spell


@dataclass(frozen=True, slots=True)
class Start:
    """A place and what it sounds, spelled; *place* may lie off the neck, which the caller refuses."""

    place: Place
    pitch: Pitch


@dataclass(frozen=True, slots=True)
class Try:
    """Starts of which the first that can be played is taken."""

    starts: tuple[Start, ...]


def tries(plan: ExercisePlan, key: Key, material: Material, path: Path) -> tuple[Try, ...]:
    """Every try the exercise asks for; empty when neither it nor its material names a first note."""
    rule, instrument = plan.neck, plan.instrument
    names = material.first_notes(plan.material, key, instrument)
    note = rule.note or (names[0] if names else None)
    if isinstance(rule.places, tuple):
        return tuple(Try((_start_at(place, names, key, plan),)) for place in rule.places)
    strings = path.start_strings(rule, instrument)
    if note is None:
        if rule.position is None:
            return ()
        places = [Place(string, rule.position) for string in strings]
        return tuple(Try((_start_at(place, (), key, plan),)) for place in places)
    each = [_starts_on(string, note, plan) for string in strings]
    if rule.places == "every-place":
        return tuple(Try((start,)) for starts in each for start in starts)
    return tuple(Try(starts) for starts in each)


def _starts_on(string: int, note: NoteName | Pitch, plan: ExercisePlan) -> tuple[Start, ...]:
    """The starts on one string, lowest fret first; at least one, even if it lies off the neck."""
    open_midi = plan.instrument.open_midi(string)
    if isinstance(note, Pitch):
        return (Start(Place(string, note.midi - open_midi), note),)
    places = places_of(note, string, plan.instrument) or (Place(string, (note.pitch_class - open_midi) % 12),)
    return tuple(Start(place, lowest_at_or_above(note, open_midi + place.fret)) for place in places)


def _start_at(place: Place, names: tuple[NoteName | Pitch, ...], key: Key, plan: ExercisePlan) -> Start:
    """The start at a given place, spelled like the material's own first note where that sounds there."""
    midi = plan.instrument.sound(place)
    for name in names:
        spelled = lowest_at_or_above(name.name if isinstance(name, Pitch) else name, midi)
        if spelled.midi == midi:
            return Start(place, spelled)
    return Start(place, spell(midi, key, rising=True))
