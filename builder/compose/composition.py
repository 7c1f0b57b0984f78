"""An exercise's five answers in order: a study per start position, a reason per place that can't be played.

Stage:    3 compose (pure)
In, Out:  `ExercisePlan`, `Knowledge`; `Composition`
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from builder.compose.drafts import Draft, draft
from builder.compose.measures import Measures, measure
from builder.compose.overrides import overrides_at
from builder.compose.placing import Answer, finger_notes, place_notes, stroke_notes
from builder.compose.played import Played
from builder.compose.starts import Start, tries
from builder.compose.voices import barres_of, events_of
from builder.errors import NoSolution, Problem
from builder.materials import Material, Setting
from builder.paths import Path
from builder.registry import registered
from builder.spec.plan import ExercisePlan
from builder.strokes import StrokeKind
from builder.theory.chord_shapes import ShapePrices
from builder.theory.difficulty import DifficultyModel
from builder.theory.fingering import Weights
from builder.theory.fretboard import Place
from builder.theory.harmony import Key
from builder.theory.neck import Player
from builder.theory.pitch import Pitch
from builder.theory.practice import tempo_steps
from builder.theory.score import Skipped, Study

_FAST = 12  # notes a second: the contract's limit for a warning


@dataclass(frozen=True, slots=True)
class Knowledge:
    """What composing draws on: cue ids in file order, how difficulty, fingers and chord shapes are judged."""

    cues: tuple[str, ...]
    difficulty: DifficultyModel
    weights: Weights
    prices: ShapePrices


@dataclass(frozen=True, slots=True)
class Composition:
    """What became of one exercise."""

    plan: ExercisePlan
    studies: tuple[Study, ...]
    skipped: tuple[Skipped, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class _Kinds:
    """The registered answers an exercise chose."""

    material: Material
    path: Path
    strokes: StrokeKind


def compose(plan: ExercisePlan, knowledge: Knowledge) -> Composition:
    """Work the exercise out at every place where it can begin."""
    kinds = _Kinds(
        registered("builder.materials", "MATERIAL")[plan.material_kind],
        registered("builder.paths", "PATH")[plan.neck.path],
        registered("builder.strokes", "STROKES")[plan.strokes.rule],
    )
    key = plan.key or kinds.material.default_key(plan.material)
    wanted = tries(plan, key, kinds.material, kinds.path)
    if not wanted:
        problem = plan.places.problem(
            ("neck", "start"),
            "no first note",
            "a note or a list of places",
            "for example: start: {places: [{string: 6, fret: 5}]}",
        )
        return Composition(plan, (), (), (problem,))
    studies: list[Study] = []
    failures: list[tuple[Place, NoSolution]] = []
    for one in wanted:
        result = _first_playable(one.starts, plan, key, kinds, len(studies) + 1, knowledge)
        if not isinstance(result, Study):
            failures.append(result)
        elif result.id not in {study.id for study in studies}:
            studies.append(result)
    problems = () if studies else (_nowhere(plan, failures),)
    skipped = tuple(Skipped(plan.id, place, no.reason) for place, no in failures)
    return Composition(plan, tuple(studies), skipped, problems)


def _nowhere(plan: ExercisePlan, failures: list[tuple[Place, NoSolution]]) -> Problem:
    """The problem of an exercise that can be played nowhere; a mistake of one key is said there, and once."""
    blamed = next((no for _, no in failures if no.key), None)
    if blamed:
        return plan.places.problem(blamed.key, blamed.reason, "what can be played", "")
    reasons = list(dict.fromkeys(no.reason for _, no in failures))
    each = (f"string {place.string}, fret {place.fret}: {no.reason}" for place, no in failures[:8])
    found = reasons[0] if len(reasons) == 1 else "; ".join(each)
    hint = "try another start note, path, hand or range"
    expected = "at least one place that can be played"
    return plan.places.problem(("neck", "start"), f"no place to begin ({found})", expected, hint)


def _first_playable(
    starts: Iterable[Start], plan: ExercisePlan, key: Key, kinds: _Kinds, number: int, knowledge: Knowledge
) -> Study | tuple[Place, NoSolution]:
    """The study at the lowest start that can be played, or why the lowest try can't."""
    failed: tuple[Place, NoSolution] | None = None
    for start in starts:
        try:
            return _study(start, plan, key, kinds, number, knowledge)
        except NoSolution as no:
            failed = failed or (start.place, no)
    if failed is None:
        raise ValueError("a try without a start")
    return failed


def _check_on_neck(place: Place, plan: ExercisePlan) -> None:
    """Raise NoSolution where the start itself lies off the neck."""
    if place.fret < 0:
        raise NoSolution(f"needs fret {place.fret}")
    if place.fret > plan.instrument.last_fret:
        raise NoSolution(f"needs fret {place.fret}; the last one is {plan.instrument.last_fret}")


def _study(start: Start, plan: ExercisePlan, key: Key, kinds: _Kinds, number: int, knowledge: Knowledge) -> Study:
    """Work the exercise out at one start; raise NoSolution where it can't be played there."""
    _check_on_neck(start.place, plan)
    meter = plan.rhythm.meter
    player = Player(plan.instrument, plan.hand, knowledge.weights, knowledge.prices)
    setting = Setting(key, player, plan.rhythm, plan.neck, plan.strokes, start.pitch, start.place)
    music = draft(plan, kinds.material, setting)
    played = place_notes(music, start.place, plan, kinds.path, player)
    hand = finger_notes(played, plan, knowledge.weights)
    answers, broken = _with_overrides(stroke_notes(played, hand, plan, kinds.strokes), played, start.place, plan)
    measures = measure(music, played, hand, answers, key, plan, knowledge.difficulty)
    study_id = f"{plan.id}-s{start.place.string}f{start.place.fret}"
    steps = plan.marks.get(study_id) or tempo_steps(plan.tempo)
    scores = tuple(measures.score(tempo, knowledge.difficulty) for tempo in steps)
    levels = tuple(map(knowledge.difficulty.level, scores))
    end = max(slot.onset + slot.duration for slot in music.voices[0])
    return Study(
        id=study_id,
        exercise=plan.id,
        title=plan.title,
        aim=plan.aim,
        skills=plan.skills,
        instrument=plan.instrument,
        hand=plan.hand,
        start=start.place,
        start_pitch=_start_pitch(music, start),
        meter=meter,
        key=key,
        stroke_rule=plan.strokes.rule,
        after_rest=plan.strokes.after_rest,
        tempo_steps=steps,
        levels=levels,
        chords=music.chords,
        events=events_of(music, played, hand, answers, plan, number, knowledge.cues),
        bars=int(end / meter.bar),
        metrics=measures.metrics(steps[0], knowledge.difficulty),
        level=plan.level or levels[0],
        level_pinned=plan.level is not None,
        warnings=(*_warnings(plan, played, answers, kinds.strokes, measures, levels[0]), *broken),
        rates=tuple(round(measures.notes_per_second(tempo), 2) for tempo in steps),
        section_starts=music.section_starts,
        repeats=kinds.material.repeats,
        shapes=music.shapes,
        barres=barres_of(hand),
        scores=scores,
    )


def _start_pitch(music: Draft, start: Start) -> Pitch:
    """What the start sounds: a harmonic's partial, elsewhere the note of its string and fret."""
    first = music.groups[0][0][0]
    return first.pitch if first.technique == "harmonic" else start.pitch


def _with_overrides(
    answers: tuple[Answer, ...], played: Sequence[Played], start: Place, plan: ExercisePlan
) -> tuple[tuple[Answer, ...], list[str]]:
    """The strokes with those the exercise prescribes, and a warning for each that breaks the rule."""
    found, broken = list(answers), []
    for k, override in overrides_at(played, start, plan):
        if override.stroke is None or override.stroke == answers[k].stroke:
            continue
        was = answers[k].stroke or ("a slurred note" if answers[k].slurred else "no stroke")
        broken.append(
            f"bar {override.bar}, note {override.note}: the exercise asks for {override.stroke},"
            f" the rule {plan.strokes.rule} gives {was}"
        )
        found[k] = Answer(override.stroke, False, None)
    return tuple(found), broken


def _warnings(
    plan: ExercisePlan,
    played: tuple[Played, ...],
    answers: tuple[Answer, ...],
    kind: StrokeKind,
    measures: Measures,
    level: int,
) -> tuple[str, ...]:
    """What the player and the teacher should know."""
    found = []
    if measures.widest_reach_mm > plan.hand.comfort_mm:
        found.append(
            f"reaches {measures.widest_reach_mm:.0f} mm, over the {plan.hand.comfort_mm:g} mm"
            f" that are comfortable for a {plan.hand.name} hand"
        )
    unlike = _unlike_ends(played, answers)
    if unlike and (kind.ends_alike or plan.strokes.ends_same):
        one, many = "1 burst lands on another stroke than it", f"{unlike} bursts land on another stroke than they"
        found.append(f"{one} begins with" if unlike == 1 else f"{many} begin with")
    fastest = measures.notes_per_second(max(plan.tempo.low, plan.tempo.high))
    if fastest > _FAST:
        found.append(f"the last tempo step asks for {fastest:.1f} notes a second, more than {_FAST}")
    if plan.level is not None and abs(plan.level - level) >= 2:
        found.append(f"is pinned to level {plan.level}, its computed level is {level}")
    return tuple(found)


def _unlike_ends(played: tuple[Played, ...], answers: tuple[Answer, ...]) -> int:
    """How many bursts land on another stroke than they begin with."""
    unlike, first = 0, None
    onset: Fraction | None = None
    for note, answer in zip(played, answers, strict=True):
        if note.first and note.slot.onset != onset:
            first, onset = answer.stroke, note.slot.onset
        unlike += note.lands and answer.stroke != first
    return unlike
