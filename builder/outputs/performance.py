"""What a practice track plays: count-in, click, the study, its backing, and marks, at no tempo yet.

Stage:    7 write
In, Out:  a `Study` and a `Sound`; a `Performance` that MIDI files and sound files are made from alike
Units:    fractions of a whole note from the start of the track; MIDI note numbers; what no tempo changes, in seconds
Source:   a pick falls through a chord from the low string on a down stroke, from the high one on an up stroke: common
          practice
Not here: which notes the backing has (`backing`), how any of it sounds (`sound`), tempo, ticks and samples (`midi`,
          `audio`)
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby
from typing import Literal

from builder.outputs.backing import bass_tones, chord_tones, drone_tones
from builder.outputs.sound import Hit, Sound
from builder.outputs.tone import Tone
from builder.theory.rhythm import Meter
from builder.theory.score import Note, Rest, Study

Role = Literal["count-in", "click", "study", "chords", "bass", "drone"]


@dataclass(frozen=True, slots=True)
class TrackRule:
    """What a teacher may choose: *division* clicks a beat, and whether a drone on the key's tonic and fifth sounds."""

    division: int = 1
    drone: bool = False


@dataclass(frozen=True, slots=True)
class MarkWords:
    """How marks are worded in the language of the book; `{number}`, `{cue}` and `{tempo}` stand for what they name."""

    burst: str = "Burst {number}"
    cue: str = "Let go: {cue}"
    tempo: str = "Tempo {tempo}"


@dataclass(frozen=True, slots=True)
class Part:
    """What can be muted alone; *program* counts from 1, None = percussion. *name* is what a player shows."""

    role: Role
    name: str
    program: int | None
    tones: tuple[Tone, ...]


@dataclass(frozen=True, slots=True)
class Mark:
    """A word at a time: a burst begins, or a part of the body is to be let go of."""

    onset: Fraction
    words: str


@dataclass(frozen=True, slots=True)
class Performance:
    """One time through a study, from the count-in to its last barline; *begins* is where the study itself does."""

    study: Study
    begins: Fraction
    length: Fraction
    between: Fraction
    parts: tuple[Part, ...]
    marks: tuple[Mark, ...]
    words: MarkWords


def perform(
    study: Study,
    sound: Sound,
    cues: Mapping[str, str],
    rule: TrackRule | None = None,
    words: MarkWords | None = None,
) -> Performance:
    """Return what a track of *study* plays; *cues* holds the printed words of each cue."""
    rule, words = rule or TrackRule(), words or MarkWords()
    bar = study.meter.bar
    begins = sound.count_in_bars * bar
    end = begins + study.bars * bar
    parts = (
        Part("count-in", "Count-in", None, tuple(_clicks(study.meter, 0, sound.count_in_bars, sound, 1))),
        Part("click", "Click", None, tuple(_clicks(study.meter, begins, study.bars, sound, rule.division))),
        Part("study", "Study", sound.program(study.instrument), tuple(_later(study_tones(study, sound), begins))),
        Part("chords", "Chords", sound.chords.program, tuple(_later(chord_tones(study, sound.chords), begins))),
        Part("bass", "Bass", sound.bass.program, tuple(_later(bass_tones(study, sound.bass), begins))),
        Part("drone", "Drone", sound.drone.program, tuple(_later(drone_tones(study, sound.drone), begins))),
    )
    heard = tuple(part for part in parts if part.tones and (part.role != "drone" or rule.drone))
    marks = tuple(Mark(mark.onset + begins, mark.words) for mark in marks_of(study, cues, words))
    return Performance(study, begins, end, sound.bars_between * bar, heard, marks, words)


def looped(performance: Performance, rounds: int) -> Performance:
    """Return the study with its click and backing *rounds* times without a gap, and without a count-in."""
    once = performance.length - performance.begins

    def again(part: Part) -> Part:
        shifts = (number * once - performance.begins for number in range(rounds))
        return replace(part, tones=tuple(tone for by in shifts for tone in _later(part.tones, by)))

    parts = tuple(again(part) for part in performance.parts if part.role != "count-in")
    return replace(performance, begins=Fraction(0), length=rounds * once, parts=parts, marks=())


def _later(tones: Sequence[Tone], by: Fraction) -> Iterator[Tone]:
    return (replace(tone, onset=tone.onset + by) for tone in tones)


# --- the click --------------------------------------------------------------------------------------------------------


def _clicks(meter: Meter, start: Fraction | int, bars: int, sound: Sound, division: int) -> Iterator[Tone]:
    """A click at every beat and *division* of it; the barline and the groups of an uneven meter stand out."""
    step = meter.beat / division
    groups = {Fraction(sum(meter.groups[:k]), meter.unit) for k in range(len(meter.groups))}
    for bar in range(bars):
        for number in range(int(meter.bar / step)):
            place = number * step
            hit = _hit(place, meter, groups, sound)
            yield Tone(start + bar * meter.bar + place, step, hit.key, hit.velocity)


def _hit(place: Fraction, meter: Meter, groups: set[Fraction], sound: Sound) -> Hit:
    if place == 0:
        return sound.click.downbeat
    if place in groups:
        return sound.click.group
    return sound.click.beat if place % meter.beat == 0 else sound.click.division


# --- the study --------------------------------------------------------------------------------------------------------


def study_tones(study: Study, sound: Sound) -> tuple[Tone, ...]:
    """Return every sounding note of *study* in order of time, ties joined, from the start of the study."""
    tones: list[Tone] = []
    before: dict[int, tuple[int, Note]] = {}  # the last note of each string, and its number
    for note, length in _tied_together(study):
        number, last = before.get(note.string, (0, None))
        arrives = _way(note, last) if note.slurred else 0
        if not note.slurred and (leaves := _way(note, last)):
            tones[number] = replace(tones[number], leaves=-leaves, glide_s=sound.slide_s)
        tones.append(
            Tone(
                onset=note.onset,
                duration=_ringing(note, length, study),
                midi=note.pitch.midi,
                velocity=_velocity(note, sound),
                string=note.string,
                soft=note.slurred,
                arrives=arrives,
                glide_s=(sound.bend_s if note.technique == "bend" else sound.slide_s) if arrives else 0.0,
            )
        )
        before[note.string] = len(tones) - 1, note
    return tuple(_strummed(tones, study, sound))


def _tied_together(study: Study) -> list[tuple[Note, Fraction]]:
    """Every struck or slurred note with its whole length, in order of time."""
    found: list[tuple[Note, Fraction]] = []
    last: dict[tuple[int, int, int], int] = {}
    for event in study.events:
        if not isinstance(event, Note):
            continue
        key = (event.voice, event.string, event.pitch.midi)
        if event.tied and key in last:
            note, length = found[last[key]]
            found[last[key]] = (note, length + event.duration)
        else:
            last[key] = len(found)
            found.append((event, event.duration))
    return sorted(found, key=lambda pair: (pair[0].onset, pair[0].pitch.midi))


def _ringing(note: Note, length: Fraction, study: Study) -> Fraction:
    """How long a note sounds: as written, and under a held shape until its string, the shape or a rest ends it."""
    shapes = [shape for shape in study.shapes if shape.onset <= note.onset]
    if not shapes or shapes[-1].frets[note.string - 1] != note.fret:
        return length
    end = note.onset + length
    stops = [shape.onset for shape in study.shapes if shape.onset >= end]
    for event in study.events:
        if event.onset < end:
            continue
        silence = isinstance(event, Rest) and event.voice == note.voice and event.duration >= study.meter.beat
        if silence or (isinstance(event, Note) and event.string == note.string):
            stops.append(event.onset)
    return min(stops, default=study.bars * study.meter.bar) - note.onset


def _velocity(note: Note, sound: Sound) -> int:
    if note.slurred:
        return sound.velocities.slurred
    if note.accent:
        return sound.velocities.stressed
    return sound.velocities.harmonic if note.technique == "harmonic" else sound.velocities.plain


def _way(note: Note, before: Note | None) -> int:
    """Where a bend or a slide comes from, in semitones from its own pitch; 0 for every other note."""
    if before is None or note.technique not in ("bend", "slide"):
        return 0
    return before.pitch.midi - note.pitch.midi


def _strummed(tones: Sequence[Tone], study: Study, sound: Sound) -> Iterator[Tone]:
    """Let the pick reach the strings of a chord one after the other."""
    strokes = {(event.onset, event.string): event.stroke for event in study.events if isinstance(event, Note)}
    for onset, group in groupby(tones, key=lambda tone: tone.onset):
        together = sorted(group, key=lambda tone: -tone.string)
        stroke = strokes.get((onset, together[0].string))
        if stroke == "up":
            together.reverse()
        picked = len(together) > 1 and stroke in ("down", "up") and not any(tone.soft for tone in together)
        for place, tone in enumerate(together):
            yield replace(tone, delay_s=place * sound.strum_s) if picked else tone


# --- marks ------------------------------------------------------------------------------------------------------------


def marks_of(study: Study, cues: Mapping[str, str], words: MarkWords) -> tuple[Mark, ...]:
    """Return a mark wherever a burst begins and a cue is printed, from the start of the study, in order of time.

    A burst begins with the first note after silence of the first voice.
    """
    marks: list[Mark] = []
    silent, bursts = True, 0
    for event in study.events:
        if event.voice != 1:
            continue
        if isinstance(event, Rest):
            silent = True
            if event.checkpoint:
                marks.append(Mark(event.onset, words.cue.format(cue=cues[event.checkpoint])))
        elif silent:
            silent, bursts = False, bursts + 1
            marks.append(Mark(event.onset, words.burst.format(number=bursts)))
    return tuple(marks)
