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
from builder.compose.overrides import overridden
from builder.compose.played import Played
from builder.compose.whereabouts import at_place, located
from builder.errors import NoSolution
from builder.paths import Group, Path, Places, Walk
from builder.spec.plan import ExercisePlan
from builder.strokes import StrokeKind, Struck, StruckNote
from builder.theory import rhythm
from builder.theory.fingering import Fingering, Stop, Weights, finger_passage, lie_of
from builder.theory.fretboard import Instrument, Place
from builder.theory.neck import Player
from builder.theory.score import Stroke, Technique

_NEAR = 8  # notes behind one in which another voice would strike while it is held


def place_notes(draft: Draft, start: Place, plan: ExercisePlan, path: Path, player: Player) -> tuple[Played, ...]:
    """Give every struck sound its string and fret, in order of onset, lowest sound first.

    Where the path keeps the hand in one position, notes get the finger that lies over their fret.
    """
    fixed = _fixed(draft)
    walk = Walk(fixed, None) if fixed else _walked(draft, start, plan, path, player)
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
            if (slot.run, slot.note) in draft.back and sound.back:
                sound = replace(sound, pitch=sound.back)
            place = places[group][moment][index]
            duration = lengths[v, slot.run, slot.note]
            played.append(Played(v + 1, slot, duration, sound, place, sound.finger, first, slot.lands, fresh, duration))
    played = _ringing(_staying(overridden(played, start, plan)), draft)
    _check_sustain(played, plan)
    if walk.position is not None:
        played = _in_position(played, walk.position, plan.instrument)
    return tuple(played)


def _walked(draft: Draft, start: Place, plan: ExercisePlan, path: Path, player: Player) -> Walk:
    """The path's answer; where it has none, the reason says which moment of the study is to blame."""
    try:
        return path.walk(_groups(draft), start, plan.neck, player)
    except NoSolution as no:
        moments = [(group, moment) for group, notes in enumerate(draft.groups) for moment in range(len(notes))]
        blamed = [moments[number] for number in no.moments]
        begins = [
            (slot.onset, draft.groups[group][moment])
            for v, voice in enumerate(draft.voices)
            for slot in voice
            if slot.note is not None and (v, slot.run, slot.note) in draft.sounding
            for group, moment in (draft.sounding[v, slot.run, slot.note][0],)
            if (group, moment) in blamed
        ]
        if not begins:
            raise
        onset, sounds = min(begins, key=lambda one: one[0])
        raise located(no, onset, plan.rhythm.meter, (str(sound.pitch) for sound in sounds)) from None


def _staying(played: list[Played]) -> list[Played]:
    """Keep the finger of a sound that stays down through the next one, which must follow at once on another string."""
    found = list(played)
    for k, (note, following) in enumerate(pairwise(played)):
        at_once = following.slot.onset == note.slot.onset + note.duration
        if note.sound.stays and at_once and following.place.string != note.place.string:
            found[k] = replace(note, held=note.duration + following.duration)
    return found


def _ringing(played: list[Played], draft: Draft) -> list[Played]:
    """Keep the fingers of ringing sounds down until their string is struck again or their set ends."""
    if not any(note.sound.rings for note in played):
        return played
    ends: dict[int, Fraction] = {}
    stretch: list[int] = []  # the stretch of one set that each note belongs to
    for note in played:
        before = played[len(stretch) - 1] if stretch else None
        opens = before is None or draft.group_of[note.slot.run] != draft.group_of[before.slot.run]
        anew = note.fresh and note.first and before is not None and before.slot.onset != note.slot.onset
        stretch.append((stretch[-1] if stretch else 0) + (opens or anew))
        ends[stretch[-1]] = max(ends.get(stretch[-1], Fraction(0)), note.slot.onset + note.duration)
    next_on: dict[int, Fraction] = {}
    found: list[Played] = []
    for note, number in zip(reversed(played), reversed(stretch), strict=True):
        until = min(ends[number], next_on.get(note.place.string, ends[number]))
        if note.sound.rings:
            note = replace(note, held=max(note.duration, until - note.slot.onset))
        next_on[note.place.string] = note.slot.onset
        found.append(note)
    return found[::-1]


def _in_position(played: Sequence[Played], position: int, instrument: Instrument) -> list[Played]:
    """Fix the fingers of single lines that stay on the position's own frets; stretches and chords are left to the hand.

    A finger that has two frets and would go straight from one to the other is left to the hand as well.
    """
    lie = lie_of(instrument)
    found: list[Played] = []
    for _, group in groupby(played, key=lambda note: note.slot.run):
        burst = list(group)
        over = {note.place.fret - position for note in burst if note.place.fret}
        alone = all(a.slot.onset + a.duration <= b.slot.onset for a, b in pairwise(burst))
        if alone and all(lie.own_finger(fret) for fret in over):
            fingers = [lie.own_finger(note.place.fret - position) if note.place.fret else 0 for note in burst]
            if lie.leans and any(_slips(a, b) for a, b in pairwise(zip(burst, fingers, strict=True))):
                found += burst
                continue
            # Where the exercise asks for another finger the hand has to work round it: all is left to it.
            if all(note.finger in (None, finger) for note, finger in zip(burst, fingers, strict=True)):
                burst = [replace(note, finger=finger) for note, finger in zip(burst, fingers, strict=True)]
        found += burst
    return found


def _slips(before: tuple[Played, int | None], after: tuple[Played, int | None]) -> bool:
    """Whether one finger goes along its string from one note to the next."""
    (one, finger), (other, following) = before, after
    return finger == following and one.place.string == other.place.string and one.place.fret != other.place.fret


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
            times=draft.times,
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


def _check_sustain(played: Sequence[Played], plan: ExercisePlan) -> None:
    """Raise NoSolution where a string is asked for two notes at once."""
    until: dict[int, Fraction] = {}
    for note in played:
        string = note.place.string
        if until.get(string, Fraction(0)) > note.slot.onset:
            raise _at(NoSolution(f"string {string} still sounds the note before"), plan, note)
        until[string] = note.slot.onset + note.duration


def finger_notes(played: Sequence[Played], plan: ExercisePlan, weights: Weights) -> Fingering:
    """The fretting fingers of all notes; each burst, and each phrase behind a silence, begins with a free hand."""
    stops = [
        Stop(
            index=k,
            onset=note.slot.onset,
            duration=note.held,
            string=note.place.string,
            fret=note.place.fret,
            finger=note.finger,
            new_hand=note.first,
        )
        for k, note in enumerate(played)
    ]
    try:
        hand = finger_passage(stops, plan.instrument, plan.hand, weights, plan.neck.shift_in_burst, _is_figure(played))
    except NoSolution as no:
        onsets = sorted({stop.onset for stop in stops})
        blamed = {onsets[number] for number in no.moments}
        raise _at(no, plan, *(note for note in played if note.slot.onset in blamed)) from None
    _check_shifts(played, hand, plan)
    return hand


def _is_figure(played: Sequence[Played]) -> bool:
    """Whether the hand keeps a shape: not where one voice stops notes while another holds its own, as music does."""
    stopped = [note for note in played if note.place.fret]
    return not any(
        note.voice != other.voice and note.slot.onset < other.slot.onset < note.slot.onset + note.held
        for k, note in enumerate(stopped)
        for other in stopped[k + 1 : k + 1 + _NEAR]
    )


def _check_shifts(played: Sequence[Played], hand: Fingering, plan: ExercisePlan) -> None:
    """Raise NoSolution where the hand would move within a burst on a string that the exercise does not name."""
    allowed = plan.neck.shift_on
    held = [(note, position) for note, position in zip(played, hand.positions, strict=True) if note.place.fret]
    for (_, before), (note, position) in pairwise(held):
        if allowed is not None and position != before and not note.first and note.place.string not in allowed:
            reason = f"the hand would have to shift on string {note.place.string}, to position {position}"
            raise _at(NoSolution(reason), plan, note)


@dataclass(frozen=True, slots=True)
class Answer:
    """What the other hand does for one note."""

    stroke: Stroke | None
    slurred: bool
    technique: Technique | None


def stroke_notes(played: Sequence[Played], hand: Fingering, plan: ExercisePlan, kind: StrokeKind) -> tuple[Answer, ...]:
    """The other hand's stroke for every note; what the material slurs is not struck."""
    answers = [Answer(None, note.sound.slurred, note.sound.technique) for note in played]
    struck: dict[Fraction, list[int]] = {}
    for k, note in enumerate(played):
        if not note.sound.slurred:
            struck.setdefault(note.slot.onset, []).append(k)
    ordered = [sorted(ks, key=lambda k: played[k].pitch.midi) for ks in struck.values()]
    moments = tuple(_struck(ks, played, hand, plan) for ks in ordered)
    try:
        strokes = kind.strokes(moments, plan.strokes)
    except NoSolution as no:
        raise _at(no, plan, *(played[k] for number in no.moments for k in ordered[number])) from None
    for ks, given in zip(ordered, strokes, strict=True):
        for k, stroke in zip(ks, given.strokes, strict=True):
            technique = given.technique or played[k].sound.technique
            answers[k] = Answer(None if given.slurred else stroke, given.slurred, technique)
    _check_slurs(played, hand, answers, plan)
    return tuple(answers)


def _struck(ks: Sequence[int], played: Sequence[Played], hand: Fingering, plan: ExercisePlan) -> Struck:
    """What a stroke rule may know of the notes *ks*, which begin together."""
    meter, first = plan.rhythm.meter, played[ks[0]]
    within = first.slot.onset % meter.bar
    return Struck(
        notes=tuple(
            StruckNote(
                note.place.string,
                note.place.fret,
                hand.fingers[k],
                note.pitch.midi,
                note.voice,
                note.sound.pluck,
                hand.positions[k],
            )
            for k, note in ((k, played[k]) for k in ks)
        ),
        pitch_of_string=plan.instrument.open_midi(first.place.string),
        slot=rhythm.grid_slot(within, _grid(played, plan)),
        after_rest=first.fresh,
        first=any(played[k].first for k in ks),
        lands=first.lands,
        beat=meter.on_beat(within),
    )


def _check_slurs(played: Sequence[Played], hand: Fingering, answers: Sequence[Answer], plan: ExercisePlan) -> None:
    """Raise NoSolution where a finger would have to hammer on or pull off itself, or a slur crosses the strings."""
    last: dict[int, int] = {}  # the last note of each voice
    for k, (note, answer) in enumerate(zip(played, answers, strict=True)):
        before = last.get(note.voice)
        last[note.voice] = k
        if not answer.slurred:
            continue
        if before is None or note.fresh:
            raise _at(NoSolution("a slur begins behind a rest", ("strokes",)), plan, note)
        if played[before].place.string != note.place.string:
            reason = f"a slur goes from string {played[before].place.string} to string {note.place.string}"
            raise _at(NoSolution(reason), plan, note)
        finger = hand.fingers[k]
        if answer.technique in ("hammer-on", "pull-off") and finger and finger == hand.fingers[before]:
            reason = f"finger {finger} would have to play both notes of a {answer.technique}"
            raise _at(NoSolution(reason), plan, note)


def _at(no: NoSolution, plan: ExercisePlan, *notes: Played) -> NoSolution:
    """The reason with the place of the *notes* it is about in front; without them as it was."""
    if not notes:
        return no
    return located(no, notes[0].slot.onset, plan.rhythm.meter, (at_place(note.pitch, note.place) for note in notes))


def _grid(played: Sequence[Played], plan: ExercisePlan) -> tuple[Fraction, ...]:
    """The slots of the stroke grid in turn: a run's note values beat by beat, else its shortest note."""
    if plan.contour is None and plan.material_kind == "notes":
        return (min(note.duration for note in played),)
    lengths = rhythm.note_lengths(plan.rhythm)
    return (min(lengths),) if plan.rhythm.durations else lengths
