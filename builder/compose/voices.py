"""The finished events of a study: notes with both hands' marks, rests with their cues.

Stage:    compose (pure)
In, Out:  a `Draft`, `Played` notes, fingers and strokes; `Event`s voice by voice
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from builder.compose.drafts import Draft
from builder.compose.placing import Answer
from builder.compose.played import Played
from builder.spec.plan import ExercisePlan
from builder.theory.fingering import Fingering
from builder.theory.rhythm import Slot
from builder.theory.score import BarreMark, Event, Note, Rest


def events_of(
    draft: Draft,
    played: Sequence[Played],
    hand: Fingering,
    answers: Sequence[Answer],
    plan: ExercisePlan,
    number: int,
    cues: tuple[str, ...],
) -> tuple[Event, ...]:
    """Write the events out; *number* is the study's within its exercise, from 1, and turns the cues on."""
    printed, accents = _printed(played, hand, draft, plan), _accents(played, plan)
    guided = _guided(played, hand)
    at: dict[tuple[int, int, int], list[int]] = {}
    for k, note in enumerate(played):
        at.setdefault((note.voice, note.slot.run, note.slot.note or 0), []).append(k)
    cue_at = _cues(draft, plan, number, cues)
    events: list[Event] = []
    for v, voice in enumerate(draft.voices, start=1):
        for slot in voice:
            bar = int(slot.onset // plan.rhythm.meter.bar) + 1
            if slot.note is None:
                cue = cue_at.get(slot.onset) if v == 1 else None
                events.append(Rest(bar, slot.onset, slot.duration, v, cue))
                continue
            for k in at[v, slot.run, slot.note]:
                events.append(_note(slot, bar, played[k], hand, k, answers[k], k in printed, k in accents, k in guided))
    return tuple(events)


def _note(
    slot: Slot,
    bar: int,
    played: Played,
    hand: Fingering,
    k: int,
    answer: Answer,
    printed: bool,
    accent: bool,
    guided: bool,
) -> Note:
    """One note, or the part of it that stands in one bar."""
    tied = slot.continued
    return Note(
        bar=bar,
        onset=slot.onset,
        duration=slot.duration,
        voice=played.voice,
        pitch=played.pitch,
        string=played.place.string,
        fret=played.place.fret,
        finger=hand.fingers[k],
        finger_printed=printed and not tied,
        position=hand.positions[k],
        stroke=None if tied else answer.stroke,
        accent=accent and not tied,
        slurred=answer.slurred and not tied,
        tied=tied,
        technique=None if tied else answer.technique,
        guide=guided and printed and not tied,
        kept=played.sound.kept and not tied,
    )


def _accents(played: Sequence[Played], plan: ExercisePlan) -> set[int]:
    """The notes to stress."""
    rule, meter = plan.rhythm.accents, plan.rhythm.meter
    if rule == "bursts":
        return {k for k, note in enumerate(played) if note.first or note.lands}
    if rule == "beats":
        return {k for k, note in enumerate(played) if meter.on_beat(note.slot.onset % meter.bar)}
    if rule == "none":
        return set()
    return {k for k, note in enumerate(played) if (note.slot.note or 0) % rule == 0}


def _printed(played: Sequence[Played], hand: Fingering, draft: Draft, plan: ExercisePlan) -> set[int]:
    """The notes whose finger is printed: all, none, or hints for what a player can't guess.

    A hint marks each note of a hand shape when the shape comes for the first time in a pass, wherever on the neck it
    lies; later the first note in every new position, and a finger that is guided there along its string.
    """
    if plan.fingering == "none":
        return set()
    if plan.fingering == "all":
        return set(range(len(played)))
    bar = plan.rhythm.meter.bar
    passes = [(start - 1) * bar for start in draft.section_starts]
    shown: set[tuple[int, int, int]] = set()
    printed = _guided(played, hand)
    position: int | None = None
    for k, note in enumerate(played):
        if passes and note.slot.onset >= passes[0]:
            passes.pop(0)
            shown.clear()
        if not note.place.fret:
            continue
        seen = (note.place.string, note.place.fret - hand.positions[k], hand.fingers[k])
        if seen not in shown or hand.positions[k] != position:
            printed.add(k)
        shown.add(seen)
        position = hand.positions[k]
    return printed


def _cues(draft: Draft, plan: ExercisePlan, number: int, cues: tuple[str, ...]) -> dict[Fraction, str]:
    """The onset of every rest that carries a cue, and the cue."""
    rule = plan.checkpoints
    if rule.at == "none":
        return {}
    ids = rule.cues or cues
    first = 0 if rule.cues else number - 1
    rests = _bars_of_rest(draft, plan) if rule.at == "bars" else _rests(draft, plan)
    return {onset: ids[(first + k) % len(ids)] for k, onset in enumerate(rests)}


def _bars_of_rest(draft: Draft, plan: ExercisePlan) -> list[Fraction]:
    """The full bars of rest."""
    bar = plan.rhythm.meter.bar
    full = [{slot.onset for slot in voice if slot.note is None and slot.duration == bar} for voice in draft.voices]
    return sorted(set.intersection(*full))


def _rests(draft: Draft, plan: ExercisePlan) -> list[Fraction]:
    """The first rest of a beat or more behind each burst, nothing else sounding in it."""
    found: list[Fraction] = []
    waiting = False
    for slot in draft.voices[0]:
        if slot.note is not None:
            waiting = True
        elif waiting and slot.duration >= plan.rhythm.meter.beat and _silent(draft, slot):
            found.append(slot.onset)
            waiting = False
    return found


def _silent(draft: Draft, rest: Slot) -> bool:
    """Whether no other voice sounds during *rest*."""
    return not any(
        slot.note is not None and slot.onset < rest.onset + rest.duration and slot.onset + slot.duration > rest.onset
        for voice in draft.voices[1:]
        for slot in voice
    )


def _guided(played: Sequence[Played], hand: Fingering) -> set[int]:
    """The notes to which a finger is guided along its string; in a rest the hand lets go instead."""
    return {k for _, k in hand.guides if not played[k].fresh}


def barres_of(hand: Fingering) -> tuple[BarreMark, ...]:
    """Where the index lies across strings; other fingers over two strings are no barre to a reader.

    A barre that is struck again and again stays one barre.
    """
    found: list[BarreMark] = []
    lying: tuple[int, int] | None = None  # the strings of the last one
    for barre in hand.barres:
        if barre.finger != 1:
            continue
        mark = BarreMark(barre.onset, barre.until, barre.fret, barre.strings[1] - barre.strings[0] + 1)
        last = found[-1] if found else None
        if last and (last.end, last.fret, lying) == (mark.onset, mark.fret, barre.strings):
            found[-1] = replace(last, end=mark.end)
        else:
            found.append(mark)
        lying = barre.strings
    return tuple(found)
