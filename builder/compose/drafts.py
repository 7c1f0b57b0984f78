"""Notes in time before they have strings: material, contour and rhythm answered.

Stage:    compose (pure)
In, Out:  an `ExercisePlan`, a start; a `Draft` of voices of slots and what each slot sounds
Units:    fractions of a whole note
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from builder.compose.whereabouts import located
from builder.errors import NoSolution
from builder.materials import Material, NoteSet, Setting, Sound, WrittenMusic
from builder.spec.plan import ExercisePlan
from builder.theory import contour, rhythm
from builder.theory.rhythm import Meter, Slot, Timing
from builder.theory.score import ChordMark, ShapeMark

Sounding = tuple[int, int]
"""A group and the number of a moment in it."""


@dataclass(frozen=True, slots=True)
class Draft:
    """*groups* holds the moments the path will place; *voices* the slots; *sounding* what a (voice, run, note) sounds.

    *chords*, *shapes* and *section_starts* as in `Study`; *pass_onsets* are when each pass begins to sound.
    *group_of* names the group of each run; *back* names the notes (run, note) that a contour plays on the way down;
    *times* are the onset and length of each moment of written music.
    """

    groups: tuple[tuple[tuple[Sound, ...], ...], ...]
    lines: tuple[bool, ...]
    voices: tuple[tuple[Slot, ...], ...]
    sounding: Mapping[tuple[int, int, int], tuple[Sounding, tuple[int, ...]]]
    chords: tuple[ChordMark, ...]
    section_starts: tuple[int, ...]
    pass_onsets: tuple[Fraction, ...]
    group_of: tuple[int, ...]
    back: frozenset[tuple[int, int]] = frozenset()
    shapes: tuple[ShapeMark, ...] = ()
    times: tuple[tuple[Fraction, Fraction], ...] = ()


def draft(plan: ExercisePlan, material: Material, setting: Setting) -> Draft:
    """Answer which notes, in what order and when; raise NoSolution where the answers do not go together."""
    given = material.note_sets(plan.material, setting)
    found = _written(given, plan) if isinstance(given, WrittenMusic) else _played(given, plan)
    if plan.checkpoints.at != "bars":
        return found
    meter = plan.rhythm.meter
    voices = rhythm.with_bars_of_rest(found.voices, meter, plan.checkpoints.bars or 1)
    before, after = _run_onsets(*found.voices), _run_onsets(*voices)
    moved = {before[run]: after[run] for run in before}
    chords = tuple(replace(chord, onset=moved[chord.onset]) for chord in found.chords)
    shapes = tuple(replace(shape, onset=moved[shape.onset]) for shape in found.shapes)
    starts = tuple(_bar_of(moved[onset], meter) for onset in found.pass_onsets)
    sections = starts if len(starts) > 1 else ()
    return replace(found, voices=voices, chords=chords, shapes=shapes, section_starts=sections)


def _bar_of(onset: Fraction, meter: Meter) -> int:
    """The bar, from 1, in which *onset* lies."""
    return int(onset // meter.bar) + 1


@dataclass(frozen=True, slots=True)
class _Run:
    """A run of the piece: its pass, its set, whether it opens that set, and the moments it plays (the landing last).

    *back* as in `contour.Run`.
    """

    number_of_pass: int
    set: int
    opens: bool
    moments: tuple[int, ...]
    timing: Timing
    back: tuple[bool, ...]


def _played(sets: tuple[NoteSet, ...], plan: ExercisePlan) -> Draft:
    """Sets taken through the contour and the rhythm."""
    answer = plan.contour or contour.Contour((contour.Pass(None),))
    desk = [_Bench(notes) for notes in sets]
    runs = [
        run
        for number, step in enumerate(answer.passes)
        for k, bench in enumerate(desk)
        for run in _runs_of(number, step, k, bench, answer, plan)
    ]
    runs, sets = _without_idle(runs, desk)
    slots = rhythm.time_line(tuple(run.timing for run in runs), plan.rhythm)
    voices, sounding = _in_voices(slots, runs, sets, plan.rhythm.meter)
    begins = _run_onsets(slots)
    openings = [(begins[r], sets[run.set]) for r, run in enumerate(runs) if run.opens]
    passes = tuple(
        begins[next(r for r, run in enumerate(runs) if run.number_of_pass == p)] for p in range(len(answer.passes))
    )
    bars = tuple(_bar_of(onset, plan.rhythm.meter) for onset in passes)
    return Draft(
        groups=tuple(notes.moments for notes in sets),
        lines=tuple(notes.line for notes in sets),
        voices=voices,
        sounding=sounding,
        chords=tuple(ChordMark(onset, notes.symbol) for onset, notes in openings if notes.symbol),
        section_starts=bars if len(bars) > 1 else (),
        pass_onsets=passes,
        group_of=tuple(run.set for run in runs),
        back=frozenset((r, n) for r, run in enumerate(runs) for n, back in enumerate(run.back) if back),
        shapes=tuple(
            ShapeMark(onset, notes.symbol, notes.diagram.frets, notes.diagram.fingers)
            for onset, notes in openings
            if notes.diagram
        ),
    )


class _Bench:
    """A set whose notes get strings from the contour: a note asked for on two strings becomes two moments."""

    def __init__(self, notes: NoteSet) -> None:
        self.notes = notes
        self.moments = list(notes.moments)
        self.index_of = list(range(len(notes.moments)))
        self._known: dict[tuple[int, int], int] = {}

    @property
    def stringed(self) -> bool:
        """Whether a contour gave any note its string."""
        return bool(self._known)

    def on(self, index: int, step: int | None, strings: tuple[int, ...]) -> int:
        """The moment that is note *index* on the string of number *step* of the order."""
        if not strings or step is None:
            return index
        string = strings[step]
        if (index, string) not in self._known:
            self._known[index, string] = len(self.moments)
            self.index_of.append(index)
            self.moments.append(tuple(replace(sound, string=string) for sound in self.notes.moments[index]))
        return self._known[index, string]


def _without_idle(runs: Sequence[_Run], desk: Sequence[_Bench]) -> tuple[list[_Run], tuple[NoteSet, ...]]:
    """Drop the moments that were given strings elsewhere, so that no path has to place what nobody plays."""
    numbers: list[dict[int, int]] = []
    sets = []
    for k, bench in enumerate(desk):
        used = {moment for run in runs if run.set == k for moment in run.moments} if bench.stringed else set()
        kept = sorted(used, key=lambda moment: (bench.index_of[moment], moment)) or list(range(len(bench.moments)))
        if bench.index_of[kept[0]]:
            kept.insert(0, 0)  # the lowest note marks the start position, even if nobody plays it
        numbers.append({moment: number for number, moment in enumerate(kept)})
        durations = bench.notes.durations and tuple(bench.notes.durations[bench.index_of[moment]] for moment in kept)
        moments = tuple(bench.moments[moment] for moment in kept)
        sets.append(replace(bench.notes, moments=moments, durations=durations))
    renumbered = [replace(run, moments=tuple(numbers[run.set][moment] for moment in run.moments)) for run in runs]
    return renumbered, tuple(sets)


def _runs_of(
    number: int, step: contour.Pass, k: int, bench: _Bench, answer: contour.Contour, plan: ExercisePlan
) -> Iterator[_Run]:
    """The runs of set *k* in pass *number*."""
    notes = bench.notes
    cut = contour.runs(len(notes.moments), step.order or notes.order, step, answer, notes.line, plan.rhythm.burst)
    for piece, run in enumerate(cut):
        timing = rhythm.timing(plan.rhythm, len(run.notes), run.landing is not None)
        if notes.durations:
            timing = Timing(tuple(notes.durations[index] for index in run.notes), timing.lands)
        moments = [bench.on(index, at, step.strings) for index, at in zip(run.notes, run.steps, strict=True)]
        if run.landing is not None:
            moments.append(bench.on(run.landing, run.landing_step, step.strings))
        yield _Run(number, k, piece == 0, tuple(moments), timing, run.back)


def _in_voices(
    slots: tuple[Slot, ...], runs: Sequence[_Run], sets: tuple[NoteSet, ...], meter: Meter
) -> tuple[tuple[tuple[Slot, ...], ...], dict[tuple[int, int, int], tuple[Sounding, tuple[int, ...]]]]:
    """The slots of each voice, and what sounds in them."""
    count = max(sound.voice for notes in sets for sound in notes.sounds)
    sounding: dict[tuple[int, int, int], tuple[Sounding, tuple[int, ...]]] = {}
    for r, run in enumerate(runs):
        for n, index in enumerate(run.moments):
            moment = sets[run.set].moments[index]
            for v in range(count):
                which = tuple(i for i, sound in enumerate(moment) if sound.voice == v + 1)
                if which:
                    sounding[v, r, n] = ((run.set, index), which)
    upper = tuple(
        slot if slot.note is None or (0, slot.run, slot.note) in sounding else _silenced(slot) for slot in slots
    )
    return (upper, *(_lower(slots, v, sounding, meter) for v in range(1, count))), sounding


def _silenced(slot: Slot) -> Slot:
    return replace(slot, note=None, lands=False, continued=False)


def _lower(
    slots: tuple[Slot, ...], voice: int, sounding: Mapping[tuple[int, int, int], object], meter: Meter
) -> tuple[Slot, ...]:
    """A lower voice: each of its notes sounds until its next one, or to the end of its run."""
    found: list[Slot] = []
    open_: Slot | None = None
    for slot in (*slots, None):
        starts = slot is not None and slot.note is not None and (voice, slot.run, slot.note) in sounding
        goes_on = open_ is not None and slot is not None and slot.note is not None and slot.run == open_.run
        if open_ is not None and (slot is None or not goes_on or (starts and not slot.continued)):
            found += rhythm.split_at_barlines(open_, meter)
            open_, goes_on = None, False
        if slot is None:
            break
        if starts and not slot.continued:
            open_ = slot
        elif goes_on and open_ is not None:
            open_ = replace(open_, duration=slot.onset + slot.duration - open_.onset)
        else:
            found.append(_silenced(slot))
    return tuple(found)


def _run_onsets(*voices: tuple[Slot, ...]) -> dict[int, Fraction]:
    """When the first note of each run sounds, in whichever voice it stands."""
    begins: dict[int, Fraction] = {}
    for slot in (slot for voice in voices for slot in voice if slot.note is not None):
        begins[slot.run] = min(begins.get(slot.run, slot.onset), slot.onset)
    return begins


def _written(music: WrittenMusic, plan: ExercisePlan) -> Draft:
    """Music with its own rhythm: what begins together is one moment, so that the path sees whole chords."""
    meter = plan.rhythm.meter
    onsets = sorted({item.onset for voice in music.voices for item in voice if item.sounds})
    if not onsets:
        raise NoSolution("there is no note", ("material",))
    moments: dict[Fraction, list[Sound]] = {onset: [] for onset in onsets}
    for voice in music.voices:
        for item in voice:
            if item.sounds:
                moments[item.onset] += item.sounds
    ordered = {onset: tuple(sorted(sounds, key=lambda sound: sound.pitch.midi)) for onset, sounds in moments.items()}
    for onset, sounds in ordered.items():
        if len({sound.pitch.midi for sound in sounds}) < len(sounds):
            no = NoSolution("two voices strike the same pitch at once", ("material", "voices"))
            raise located(no, onset, meter, (str(sound.pitch) for sound in sounds))
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
        group_of=(0,),
        times=tuple((onset, _longest(music, onset)) for onset in onsets),
    )


def _longest(music: WrittenMusic, onset: Fraction) -> Fraction:
    """How long the longest of the sounds that begin at *onset* lasts."""
    return max(item.duration for voice in music.voices for item in voice if item.sounds and item.onset == onset)
