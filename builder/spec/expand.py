"""Checked models into plans: defaults filled in, names looked up, and what no single key could tell.

Stage:    2 expand
In, Out:  a `LoadedBook` or `LoadedExercise` and the `Library`; a `BookSpec` of plans and problems
Not here: the notes (`compose`); whether a place can be played is known only then
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Literal, TypeVar

from builder.errors import Location, Problem
from builder.fields import ID_LENGTH, Unreadable, identifier, one_of
from builder.materials import Material
from builder.spec.combinations import Finding, off_the_neck, senseless
from builder.spec.layouts import LaidOut, laid_out
from builder.spec.library import Library, find_hand, find_instrument
from builder.spec.load import Loaded, LoadedBook, LoadedExercise, load_book, load_exercise
from builder.spec.look import NO_LOOK, read_look
from builder.spec.matter import with_texts
from builder.spec.models import HANDS, BookModel, ExerciseModel, InstrumentModel
from builder.spec.plan import USUAL_BACK, BookPlan, ExercisePlan, Places, StudentPlan, TrackPlan
from builder.spec.press import press_findings, press_plan
from builder.theory.fretboard import Hand, Instrument
from builder.theory.neck import NeckRule
from builder.theory.rhythm import RhythmRule

# What `studies` takes where neither the file nor an option says: the instrument and hand most readers have.
USUAL_INSTRUMENT = "guitar"
USUAL_HAND = HANDS["medium"]

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class BookSpec:
    """What reading gave: the book (None for a lone exercise or a wrong book), its sound exercises, every problem."""

    plan: BookPlan | None
    exercises: tuple[ExercisePlan, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class _Surroundings:
    """What an exercise takes from its book; *instrument* None = the book's is not understood."""

    library: Library
    instrument: Instrument | None
    hand: Hand
    fingering: Literal["hints", "all", "none"]


def read_book(path: Path, library: Library, layout: str | None = None) -> BookSpec:
    """Read the book at *path* with all its exercises; *layout* names print settings to take in place of its own."""
    return expand_book(load_book(path, library), library, layout)


def read_exercise(path: Path, library: Library, instrument: str | None, hand: str | None) -> BookSpec:
    """Read one exercise outside any book; *instrument* and *hand* (name or mm) come first where they are given."""
    problems: list[Problem] = []
    wanted = _option("--instrument", lambda text: find_instrument(text, library), instrument, problems)
    chosen_hand = _option("--hand", lambda text: find_hand(text, library), hand, problems) or USUAL_HAND
    loaded = load_exercise(path, library)
    if isinstance(loaded, Problem):
        return BookSpec(None, (), (*problems, loaded))
    usual = wanted or library.instruments[USUAL_INSTRUMENT]
    plan, found = _expand_exercise(loaded, _Surroundings(library, usual, chosen_hand, "hints"), wanted)
    every = (*problems, *_by_place([*loaded.file.problems, *found]))
    return BookSpec(None, () if every or plan is None else (plan,), every)


def expand_book(book: LoadedBook, library: Library, layout: str | None = None) -> BookSpec:
    """Return the plans of *book* and its sound exercises, and the problems of all files, the book's first."""
    if book.file is None or book.file.model is None:
        return BookSpec(None, (), book.problems)
    model, places = book.file.model, book.file.document.places
    problems = list(book.problems)
    unknown: list[Problem] = []
    chosen = _option("--layout", partial(laid_out, model, shared=library.layouts), layout, unknown)
    if unknown:
        return BookSpec(None, (), (*problems, *unknown))
    if chosen:
        model = chosen.book
    if "print" not in book.file.doubtful and "paper" not in book.file.doubtful:
        problems += [places.problem(*finding) for finding in press_findings(chosen or LaidOut(model))]
    look = NO_LOOK
    try:
        look = read_look(model.look, book.path.parent)
    except Unreadable as wrong:
        problems.append(
            places.problem(("look", *wrong.at), wrong.found or f"'{model.look}'", wrong.expected, wrong.hint)
        )
    instrument = _instrument(book.file, model, library, None)
    surroundings = _Surroundings(library, instrument, model.hand, model.print_.fingering)
    plans = _expand_exercises(book.exercises, surroundings, problems)
    in_book = [problem for problem in problems if problem.where.file == places.file]
    students = () if instrument is None else _students(book, model, instrument, library, problems)
    plan = None if in_book or instrument is None else _book_plan(book, model, instrument, places, students)
    plan = plan and replace(plan, fonts=book.fonts, look=look)
    if plan and layout and chosen:
        plan = replace(plan, name=f"{plan.name}-{layout}", layout=layout, press=press_plan(model, chosen.impose))
    order = {places.file: -1} | {each.file.document.places.file: n for n, each in enumerate(book.exercises)}
    problems.sort(key=lambda problem: (order.get(problem.where.file, len(order)), problem.where))
    return BookSpec(plan, plans, tuple(dict.fromkeys(problems)))


def _expand_exercises(
    exercises: Iterable[LoadedExercise], surroundings: _Surroundings, problems: list[Problem]
) -> tuple[ExercisePlan, ...]:
    """The plans of the sound exercises; what is wrong with the others is added to *problems*."""
    first_with: dict[str, str] = {}
    plans: list[ExercisePlan] = []
    for exercise in exercises:
        plan, found = _expand_exercise(exercise, surroundings, None)
        places = exercise.file.document.places
        if exercise.file.model is not None and "id" not in exercise.file.doubtful:
            first = first_with.setdefault(_id(exercise), places.file)
            if first != places.file:
                expected, hint = "an id that no other exercise has", f"{first} has it too"
                found.append(places.problem(("id",), f"'{_id(exercise)}'", expected, hint))
        problems.extend(found)
        if plan is not None and not found and not exercise.file.problems:
            plans.append(plan)
    return tuple(plans)


def _expand_exercise(
    exercise: LoadedExercise, surroundings: _Surroundings, wanted: Instrument | None
) -> tuple[ExercisePlan | None, list[Problem]]:
    """The plan, and the problems that the file alone did not show; *wanted* replaces the exercise's own instrument."""
    model, places = exercise.file.model, exercise.file.document.places
    if model is None:
        return None, []
    problems: list[Problem] = []
    instrument = wanted or _instrument(exercise.file, model, surroundings.library, surroundings.instrument)
    doubtful = exercise.file.doubtful
    for path, found, expected, hint in _findings(exercise, model, instrument):
        if path[0] not in doubtful:
            problems.append(places.problem(path, found, expected, hint))
    if instrument is None:
        return None, problems
    return _exercise_plan(exercise, model, instrument, surroundings), problems


def _findings(exercise: LoadedExercise, model: ExerciseModel, instrument: Instrument | None) -> Iterator[Finding]:
    """Everything that only several keys, or the instrument with them, can show."""
    yield from _id_findings(exercise, model)
    yield from _skill_findings(model)
    yield from senseless(exercise, model)
    if instrument is not None:
        yield from off_the_neck(model, instrument)
    if exercise.material is not None and exercise.parameters is not None and "key" not in exercise.file.doubtful:
        key = model.key or exercise.material.default_key(exercise.parameters)
        for path, found, expected, hint in exercise.material.check(exercise.parameters, key):
            yield ("material", *path), found, expected, hint


def _id_findings(exercise: LoadedExercise, model: ExerciseModel) -> Iterator[Finding]:
    if model.id is not None or "id" in exercise.file.doubtful:
        return
    try:
        identifier("a file name").parse(exercise.stem)
    except Unreadable as error:
        hint = f"rename the file, or give it an id, {error.hint}" if error.hint else "give it an id"
        yield ("id",), f"none, and the file name '{exercise.stem[: 2 * ID_LENGTH]}'", error.expected, hint


def _skill_findings(model: ExerciseModel) -> Iterator[Finding]:
    skills = model.skills or []
    for index, skill in enumerate(skills):
        if skill in skills[:index]:
            yield ("skills", index), f"'{skill}' again", "every skill once", ""


def _instrument(
    file: Loaded[BookModel] | Loaded[ExerciseModel],
    model: BookModel | ExerciseModel,
    library: Library,
    default: Instrument | None,
) -> Instrument | None:
    """The instrument *model* names, *default* where it names none, None where it is not understood."""
    if "instrument" in file.doubtful:
        return None
    if model.instrument is None:
        return default
    return _chosen_instrument(model.instrument, library)


def _option(name: str, find: Callable[[str], T], text: str | None, problems: list[Problem]) -> T | None:
    """What *find* gives for the text of a command's option; None when there is none or it is wrong."""
    if text is None:
        return None
    try:
        return find(text)
    except Unreadable as error:
        problems.append(Problem(Location(name), "", f"'{text}'", error.expected, error.hint))
    return None


def _by_place(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    return tuple(dict.fromkeys(sorted(problems, key=lambda problem: problem.where)))


def _id(exercise: LoadedExercise) -> str:
    return (exercise.file.model.id if exercise.file.model else None) or exercise.stem


def _students(
    book: LoadedBook, model: BookModel, instrument: Instrument, library: Library, problems: list[Problem]
) -> tuple[StudentPlan, ...]:
    """The students of the book; a need of somebody who is no student is a problem."""
    if book.students is None or book.students.model is None:
        return ()
    listed = book.students.model.students
    needs = None if book.needs is None else book.needs.model
    for number, each in enumerate(needs.needs if needs else ()):
        if book.needs is not None and each.student not in {student.id for student in listed}:
            known = one_of(student.id for student in listed)
            problems.append(
                book.needs.document.places.problem(("needs", number, "student"), f"'{each.student}'", known, "")
            )
    return tuple(
        StudentPlan(
            number=number,
            id=student.id,
            name=student.name,
            hand=student.hand or model.hand,
            instrument=_chosen_instrument(student.instrument, library) or instrument,
            left_handed=model.print_.left_handed if student.handedness is None else student.handedness == "left",
            minutes=student.minutes,
            learner=student.student(needs.of(student.id, library.needs) if needs else ()),
        )
        for number, student in enumerate(listed)
    )


def _chosen_instrument(chosen: str | InstrumentModel | None, library: Library) -> Instrument | None:
    """The instrument that is named or spelled out."""
    if isinstance(chosen, InstrumentModel):
        return chosen.instrument()
    return None if chosen is None else library.instruments[chosen]


def _book_plan(
    book: LoadedBook,
    model: BookModel,
    instrument: Instrument,
    places: Places,
    students: tuple[StudentPlan, ...],
) -> BookPlan:
    path = book.path
    name = path.resolve().parent.name if path.stem == "book" else path.stem
    levels = () if model.levels is None else model.levels.rules()
    required = (asked.study for level in levels for asked in level.requires)
    return BookPlan(
        name=name or "book",
        folder=str(path.parent),
        title=model.title,
        subtitle=model.subtitle or "",
        school=model.school or "",
        author=model.author or "",
        edition=model.edition or "",
        licence=model.licence or "",
        language=model.language,
        paper=model.paper,
        staff_size=model.print_.largest_staff,
        fingering=model.print_.fingering,
        notation=model.print_.notation,
        large_print=model.print_.large_print,
        low_ink=model.print_.low_ink,
        print_places=model.print_.places,
        left_handed=model.print_.left_handed,
        instrument=instrument,
        hand=model.hand,
        places=places,
        note_names=model.print_.note_names or "",
        levels=levels,
        term=None if model.term is None else model.term.rule(tuple(dict.fromkeys(required))),
        seed=(model.syllabus.seed if model.syllabus else None) or model.edition or model.title,
        earlier=(model.syllabus.earlier if model.syllabus else None) or "",
        students=students,
        tracks=_tracks(model),
        press=press_plan(model, "none"),
        front=with_texts(model.front or (), book.prose),
        back=with_texts(USUAL_BACK if model.back is None else model.back, book.prose),
        hints=tuple(model.breaks or ()),
    )


def _tracks(model: BookModel) -> TrackPlan | None:
    tracks = model.tracks
    if tracks is None:
        return None
    return TrackPlan(tracks.base_url or "", tracks.clicks_per_beat, tracks.drone, tracks.soundfont or "")


def _rhythm(model: ExerciseModel, material: Material) -> RhythmRule:
    """The rhythm; without a word about accents, a material decides whether its bursts are stressed."""
    rule = model.rhythm.rule()
    stressed = model.rhythm.accents is not None or material.stressed
    return rule if stressed else replace(rule, accents="none")


def _neck(model: ExerciseModel, material: Material) -> NeckRule:
    """The neck; where moving along it is what the material practises, a burst is not held to one position."""
    rule = model.neck.rule()
    return replace(rule, shift_in_burst=True) if material.shifts else rule


def _exercise_plan(
    exercise: LoadedExercise, model: ExerciseModel, instrument: Instrument, surroundings: _Surroundings
) -> ExercisePlan | None:
    if exercise.material is None or exercise.parameters is None:
        return None
    return ExercisePlan(
        id=_id(exercise),
        title=model.title,
        aim=model.aim or "",
        skills=tuple(model.skills or ()),
        instrument=instrument,
        hand=surroundings.hand,
        key=model.key,
        level=model.level,
        material_kind=exercise.material.kind,
        material=exercise.parameters,
        contour=None if model.contour is None else model.contour.contour(),
        rhythm=_rhythm(model, exercise.material),
        neck=_neck(model, exercise.material),
        strokes=model.strokes.rule(),
        tempo=model.tempo.rule(),
        checkpoints=model.checkpoints.rule(),
        fingering=model.fingering or surroundings.fingering,
        overrides=tuple(one.override(number) for number, one in enumerate(model.overrides or ())),
        places=exercise.file.document.places,
    )
