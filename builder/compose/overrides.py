"""What an exercise itself prescribes for single notes: strings and fingers, and which notes are meant.

Stage:    compose (pure)
In, Out:  `Played` notes; the same with what is prescribed
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from builder.compose.played import Played
from builder.errors import NoSolution
from builder.spec.plan import ExercisePlan
from builder.theory.fretboard import Place
from builder.theory.practice import Override


def overridden(played: list[Played], start: Place, plan: ExercisePlan) -> list[Played]:
    """The notes with the strings and fingers that the exercise itself prescribes at single places."""
    found = list(played)
    for k, override in overrides_at(played, start, plan):
        note = found[k]
        if override.string is not None:
            note = replace(note, place=_moved(note, override, plan))
        found[k] = replace(note, finger=note.finger if override.finger is None else override.finger)
    return found


def _moved(note: Played, override: Override, plan: ExercisePlan) -> Place:
    """The place on the string that *override* asks for."""
    string, instrument = override.string or note.place.string, plan.instrument
    sounding = instrument.sound(note.place)
    if string > instrument.strings:
        raise NoSolution(f"there is no string {string} on the {instrument.name}", override.key("string"))
    fret = sounding - instrument.open_midi(string)
    if not 0 <= fret <= instrument.last_fret:
        raise NoSolution(f"{note.pitch} on string {string} needs fret {fret}", override.key("string"))
    return Place(string, fret)


def overrides_at(played: Sequence[Played], start: Place, plan: ExercisePlan) -> Iterator[tuple[int, Override]]:
    """Each override that concerns the study at *start*, with the number of its note.

    Raises NoSolution where there is no such note.
    """
    bar = plan.rhythm.meter.bar
    counted: dict[tuple[int, int], list[int]] = {}
    for k, note in enumerate(played):
        counted.setdefault((note.voice, int(note.slot.onset // bar) + 1), []).append(k)
    for override in plan.overrides:
        if override.start is not None and override.start != start:
            continue
        notes = counted.get((override.voice, override.bar), [])
        if override.note > len(notes):
            raise NoSolution(
                f"bar {override.bar} of voice {override.voice} has {len(notes)} notes, not {override.note}",
                override.key("note"),
            )
        yield notes[override.note - 1], override
