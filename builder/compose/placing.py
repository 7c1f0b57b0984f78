"""Strings, frets, fingers and strokes for a draft.

Stage:    compose (pure)
In, Out:  a `Draft`; `Played` notes with everything the two hands do
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, pairwise

from builder.compose.drafts import Draft
from builder.errors import NoSolution
from builder.paths import Group, Path, Places, Walk
from builder.spec.plan import ExercisePlan
from builder.strokes import StrokeKind, Struck
from builder.theory import rhythm
from builder.theory.fingering import NARROW_WIDTH, Fingering, Stop, Weights, finger_passage
from builder.theory.fretboard import Instrument, Place
from builder.theory.pitch import Pitch
from builder.theory.rhythm import Slot
from builder.theory.score import Stroke


@dataclass(frozen=True, slots=True)
class Played:
    """A sound that is struck: the first slot it fills, how long it sounds in all, where it lies.

    *first* and *lands* say whether it opens or ends a burst; *fresh* that nothing sounded just before it.
    """

    voice: int
    slot: Slot
    duration: Fraction
    pitch: Pitch
    place: Place
    finger: int | None
    first: bool
    lands: bool
    fresh: bool


def place_notes(draft: Draft, start: Place, plan: ExercisePlan, path: Path) -> tuple[Played, ...]:
    """Give every struck sound its string and fret, in order of onset, lowest sound first.

    Where the path keeps the hand in one position, notes get the finger that lies over their fret.
    """
    fixed = _fixed(draft)
    walk = Walk(fixed, None) if fixed else path.walk(_groups(draft), start, plan.neck, plan.instrument)
    places = walk.places
    lengths: dict[tuple[int, int, int], Fraction] = {}
    for v, voice in enumerate(draft.voices):
        for slot in voice:
            if slot.note is not None:
                key = v, slot.run, slot.note
                lengths[key] = lengths.get(key, Fraction(0)) + slot.duration
    silent = _silences(draft)
    opened: set[int] = set()
    played = []
    for onset, v, slot in sorted(
        ((slot.onset, v, slot) for v, voice in enumerate(draft.voices) for slot in voice), key=lambda one: one[:2]
    ):
        if slot.note is None or slot.continued:
            continue
        (group, moment), which = draft.sounding[v, slot.run, slot.note]
        fresh = onset in silent
        first = slot.run not in opened or fresh
        opened.add(slot.run)
        for index in which:
            sound = draft.groups[group][moment][index]
            place = places[group][moment][index]
            duration = lengths[v, slot.run, slot.note]
            played.append(Played(v + 1, slot, duration, sound.pitch, place, sound.finger, first, slot.lands, fresh))
    _check_sustain(played)
    if walk.position is not None:
        played = _in_position(played, walk.position, plan.instrument)
    return tuple(played)


def _in_position(played: Sequence[Played], position: int, instrument: Instrument) -> list[Played]:
    """Fix the fingers of single lines that stay on the position's own frets; stretches and chords are left to the hand.

    Source: a finger a fret, on instruments with positions of three frets 1-2-4: common practice.
    """
    own = (1, 2, 4) if instrument.position_width <= NARROW_WIDTH else (1, 2, 3, 4)
    found: list[Played] = []
    for _, group in groupby(played, key=lambda note: note.slot.run):
        burst = list(group)
        over = [note.place.fret - position for note in burst if note.place.fret]
        alone = all(a.slot.onset + a.duration <= b.slot.onset for a, b in pairwise(burst))
        if alone and all(0 <= fret < len(own) for fret in over):
            burst = [replace(note, finger=note.finger or _own_finger(note, position, own)) for note in burst]
        found += burst
    return found


def _own_finger(note: Played, position: int, own: Sequence[int]) -> int:
    return own[note.place.fret - position] if note.place.fret else 0


def _fixed(draft: Draft) -> Places | None:
    """The places of a material that fixes them all, else None."""
    sounds = [sound for group in draft.groups for moment in group for sound in moment]
    if any(sound.string is None or sound.fret is None for sound in sounds):
        return None
    return tuple(
        tuple(tuple(Place(sound.string or 0, sound.fret or 0) for sound in moment) for moment in group)
        for group in draft.groups
    )


def _groups(draft: Draft) -> tuple[Group, ...]:
    """What the path has to place."""
    return tuple(
        Group(
            moments=tuple(tuple(sound.pitch.midi for sound in moment) for moment in group),
            line=line,
            strings=tuple(tuple(sound.string for sound in moment) for moment in group),
        )
        for group, line in zip(draft.groups, draft.lines, strict=True)
    )


def _silences(draft: Draft) -> set[Fraction]:
    """The onsets before which nothing sounds, the very first one included."""
    notes = sorted(
        (slot.onset, slot.onset + slot.duration) for voice in draft.voices for slot in voice if slot.note is not None
    )
    found, sounding_until = set(), Fraction(-1)
    for onset, end in notes:
        if onset > sounding_until:
            found.add(onset)
        sounding_until = max(sounding_until, end)
    return found


def _check_sustain(played: Sequence[Played]) -> None:
    """Raise NoSolution where a string is asked for two notes at once."""
    until: dict[int, Fraction] = {}
    for note in played:
        string = note.place.string
        if until.get(string, Fraction(0)) > note.slot.onset:
            raise NoSolution(f"string {string} would have to sound two notes at once ({note.pitch} comes too early)")
        until[string] = note.slot.onset + note.duration


def finger_notes(played: Sequence[Played], plan: ExercisePlan, weights: Weights) -> Fingering:
    """The fretting fingers of all notes; each burst, and each phrase behind a silence, begins with a free hand."""
    stops = [
        Stop(
            index=k,
            onset=note.slot.onset,
            duration=note.duration,
            string=note.place.string,
            fret=note.place.fret,
            finger=note.finger,
            new_hand=note.first,
        )
        for k, note in enumerate(played)
    ]
    return finger_passage(stops, plan.instrument, plan.hand, weights, plan.neck.shift_in_burst)


def stroke_notes(played: Sequence[Played], plan: ExercisePlan, kind: StrokeKind) -> tuple[Stroke | None, ...]:
    """The other hand's stroke for every note; notes struck together share one."""
    meter = plan.rhythm.meter
    step = _grid_step(played, plan)
    struck: dict[Fraction, Struck] = {}
    for note in played:
        onset, string = note.slot.onset, note.place.string
        slot = int((onset % meter.bar) / step)
        struck.setdefault(onset, Struck(string, plan.instrument.open_midi(string), slot, note.fresh))
    given = dict(zip(struck, kind.strokes(tuple(struck.values()), plan.strokes), strict=True))
    return tuple(given[note.slot.onset] for note in played)


def _grid_step(played: Sequence[Played], plan: ExercisePlan) -> Fraction:
    """The length of a slot of the stroke grid: the run's note value, in written music the shortest note."""
    if plan.contour is None and plan.material_kind == "notes":
        return min(note.duration for note in played)
    return rhythm.unit(plan.rhythm)
