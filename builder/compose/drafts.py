"""Notes in time before they have strings: material, contour and rhythm answered.

Stage:    compose (pure)
In, Out:  an `ExercisePlan`, a start; a `Draft` of voices of slots and what each slot sounds
Units:    fractions of a whole note
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from builder.errors import NoSolution
from builder.materials import Material, NoteSet, Setting, Sound, WrittenMusic
from builder.spec.plan import ExercisePlan
from builder.theory import contour, rhythm
from builder.theory.rhythm import Meter, Slot
from builder.theory.score import ChordMark

Sounding = tuple[int, int]
"""A group and the number of a moment in it."""


@dataclass(frozen=True, slots=True)
class Draft:
    """*groups* holds the moments the path will place; *voices* the slots; *sounding* what a (voice, run, note) sounds.

    *chords* and *section_starts* as in `Study`; *pass_onsets* are when each pass begins to sound.
    """

    groups: tuple[tuple[tuple[Sound, ...], ...], ...]
    lines: tuple[bool, ...]
    voices: tuple[tuple[Slot, ...], ...]
    sounding: Mapping[tuple[int, int, int], tuple[Sounding, tuple[int, ...]]]
    chords: tuple[ChordMark, ...]
    section_starts: tuple[int, ...]
    pass_onsets: tuple[Fraction, ...]
    written: bool


def draft(plan: ExercisePlan, material: Material, setting: Setting) -> Draft:
    """Answer which notes, in what order and when; raise NoSolution where the answers do not go together."""
    given = material.note_sets(plan.material, setting)
    found = _written(given, plan) if isinstance(given, WrittenMusic) else _played(given, plan)
    if plan.checkpoints.at != "bars":
        return found
    meter = plan.rhythm.meter
    voices = rhythm.with_bars_of_rest(found.voices, meter, plan.checkpoints.bars or 1)
    before, after = _run_onsets(found.voices[0]), _run_onsets(voices[0])
    moved = {before[run]: after[run] for run in before}
    chords = tuple(ChordMark(moved[chord.onset], chord.symbol) for chord in found.chords)
    starts = tuple(_bar_of(moved[onset], meter) for onset in found.pass_onsets)
    return replace(found, voices=voices, chords=chords, section_starts=starts if len(starts) > 1 else ())


def _bar_of(onset: Fraction, meter: Meter) -> int:
    """The bar, from 1, in which *onset* lies."""
    return int(onset // meter.bar) + 1


def _played(sets: tuple[NoteSet, ...], plan: ExercisePlan) -> Draft:
    """Sets taken through the contour and the rhythm."""
    answer = plan.contour or contour.Contour((contour.Pass(None),))
    runs: list[tuple[int, int, bool, contour.Run]] = []  # pass, set, first of its set, run
    for number, step in enumerate(answer.passes):
        for k, notes in enumerate(sets):
            order = step.order or notes.order
            cut = contour.runs(len(notes.sounds), order, step, answer, notes.line, plan.rhythm.burst)
            runs += [(number, k, piece == 0, run) for piece, run in enumerate(cut)]
    lengths = tuple((len(run.notes), run.landing is not None) for *_, run in runs)
    slots = rhythm.time_line(lengths, plan.rhythm)
    sounding = {
        (0, r, n): ((k, index), (0,))
        for r, (_, k, _, run) in enumerate(runs)
        for n, index in enumerate([*run.notes, *([] if run.landing is None else [run.landing])])
    }
    begins = _run_onsets(slots)
    chords = tuple(
        ChordMark(begins[r], sets[k].symbol) for r, (_, k, first, _) in enumerate(runs) if first and sets[k].symbol
    )
    passes = tuple(begins[next(r for r, run in enumerate(runs) if run[0] == p)] for p in range(len(answer.passes)))
    bars = tuple(_bar_of(onset, plan.rhythm.meter) for onset in passes)
    return Draft(
        groups=tuple(tuple((sound,) for sound in notes.sounds) for notes in sets),
        lines=tuple(notes.line for notes in sets),
        voices=(slots,),
        sounding=sounding,
        chords=chords,
        section_starts=bars if len(bars) > 1 else (),
        pass_onsets=passes,
        written=False,
    )


def _run_onsets(slots: tuple[Slot, ...]) -> dict[int, Fraction]:
    """When the first note of each run sounds."""
    begins: dict[int, Fraction] = {}
    for slot in slots:
        if slot.note is not None:
            begins.setdefault(slot.run, slot.onset)
    return begins


def _written(music: WrittenMusic, plan: ExercisePlan) -> Draft:
    """Music with its own rhythm: what begins together is one moment, so that the path sees whole chords."""
    meter = plan.rhythm.meter
    onsets = sorted({item.onset for voice in music.voices for item in voice if item.sounds})
    if not onsets:
        raise NoSolution("there is no note")
    moments: dict[Fraction, list[Sound]] = {onset: [] for onset in onsets}
    for voice in music.voices:
        for item in voice:
            if item.sounds:
                moments[item.onset] += item.sounds
    ordered = {onset: tuple(sorted(sounds, key=lambda sound: sound.pitch.midi)) for onset, sounds in moments.items()}
    if any(len({sound.pitch.midi for sound in sounds}) < len(sounds) for sounds in ordered.values()):
        raise NoSolution("two voices strike the same pitch at once")
    sounding: dict[tuple[int, int, int], tuple[Sounding, tuple[int, ...]]] = {}
    voices = []
    end = max(item.onset + item.duration for voice in music.voices for item in voice)
    end += -end % meter.bar
    for v, voice in enumerate(music.voices):
        slots: list[Slot] = []
        for n, item in enumerate(voice):
            slot = Slot(item.onset, item.duration, 0, n if item.sounds else None)
            slots += rhythm.split_at_barlines(slot, meter)
            if item.sounds:
                moment = ordered[item.onset]
                sounding[v, 0, n] = ((0, onsets.index(item.onset)), tuple(moment.index(s) for s in item.sounds))
        stop = voice[-1].onset + voice[-1].duration
        if stop < end:
            slots += rhythm.split_at_barlines(Slot(stop, end - stop, 0, None), meter)
        voices.append(tuple(slots))
    return Draft(
        groups=(tuple(ordered[onset] for onset in onsets),),
        lines=(True,),
        voices=tuple(voices),
        sounding=sounding,
        chords=(),
        section_starts=(),
        pass_onsets=(),
        written=True,
    )
