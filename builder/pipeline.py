"""The stages in order: read, expand, compose, lay out, engrave, assemble, write.

In, Out:  paths and options from the command line; files, and what the console and `--json` show
Not here: what any stage does
"""

from __future__ import annotations

import json
import os
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from builder.compose import Composition
from builder.composing import asked_for, chosen, composed, knowledge_from, quoted
from builder.curriculum.changes import changes, record_of
from builder.editions import edition, edition_plan, student_told, together, wanted_students
from builder.errors import EngravingError, Location, Problem, SpecError
from builder.outputs.study_json import document, study_json
from builder.request import BuildRequest
from builder.spec import BookSpec, Library, load_library, read_book, read_exercise
from builder.spec.earlier import earlier_file, read_earlier
from builder.spec.matter import prose_files
from builder.spec.plan import BookPlan, ExercisePlan, StudentPlan
from builder.summary import Outcome, Summary, study_line
from builder.teaching import Teaching, covered, in_order, teaching

if TYPE_CHECKING:  # the engraver and the outputs take long to import, and many commands do without them
    from builder.critic import Finding
    from builder.engraving import Store
    from builder.practice_tracks import TrackRequest
    from builder.result import BookResult, Companion
    from builder.unchanged import Inputs

Progress = Callable[[int, int], None]


def check(book: Path, strict: bool, layout: str | None = None) -> Outcome:
    """Everything but engraving; raise SpecError with every problem of every file."""
    began = time.monotonic()
    library = load_library()
    spec = read_book(book, library, layout)
    compositions = composed(spec, library, strict)
    if spec.plan is None:
        return _outcome("", compositions, began)
    found = teaching(spec.plan, compositions)
    if found.problems:
        raise SpecError(found.problems)
    read_earlier(spec.plan)
    quoted(spec, compositions, library)
    outcome = _outcome(spec.plan.title, compositions, began)
    notes = (*found.warnings, *found.coverage.worst())
    return replace(outcome, summary=replace(outcome.summary, notes=notes))


def check_pages(book: Path, out: Path | None, layout: str | None = None) -> None:
    """Read the finished book back; raise EngravingError with every finding, at its page and place."""
    from builder.beside import processes
    from builder.critic import read_book as read_pages
    from builder.printing import asked_of

    library = load_library()
    spec = read_book(book, library, layout)
    if spec.plan is None:
        raise SpecError(spec.problems)
    if spec.plan.press.impose != "none":
        hint = "check the book in a layout with the same paper and print keys, without impose"
        raise SpecError([Problem(Location("--layout"), "", f"'{layout}', a booklet", "pages one by one", hint)])
    name, where = spec.plan.name, out or book.parent / "out"
    pdf, data = where / f"{name}.pdf", where / f"{name}.json"
    if not pdf.is_file() or not data.is_file():
        hint = f"etudebook build {book}" + (f" --layout {layout}" if layout else "")
        raise SpecError([Problem(Location(str(pdf)), "--pages", "no finished book", "the book and its JSON", hint)])
    with processes(os.cpu_count() or 1) as executor:
        asked = asked_of(spec.plan, library, spec.exercises)
        findings = read_pages(pdf, json.loads(data.read_text(encoding="utf-8")), asked, executor)
    if findings:
        raise _faulty(findings, pdf)


def _faulty(findings: Sequence[Finding], pdf: Path) -> EngravingError:
    expected = "what the book's JSON says"
    return EngravingError([Problem(Location(str(pdf)), "", str(finding), expected) for finding in findings])


def studies_of(exercise: Path, instrument: str | None, hand: str | None) -> Outcome:
    """The studies of one exercise file; raise SpecError with every problem."""
    began = time.monotonic()
    library = load_library()
    spec = read_exercise(exercise, library, instrument, hand)
    compositions = composed(spec, library, strict=False)
    return _outcome(spec.exercises[0].title, compositions, began)


def build(request: BuildRequest, on_progress: Progress, on_tracks: Progress) -> Outcome:
    """Make the book, or editions of it for students, and all that goes with them.

    *on_progress* gets the number of pages engraved and of all, *on_tracks* that of studies with their tracks.

    Raises SpecError before anything is written, EngravingError with the earlier book untouched.
    """
    if request.templates is None:
        return _build_all(request, on_progress, on_tracks)
    from builder.engraving.templates import trusting

    with trusting(request.templates.resolve()):
        return _build_all(request, on_progress, on_tracks)


def _build_all(request: BuildRequest, on_progress: Progress, on_tracks: Progress) -> Outcome:
    from builder.unchanged import inputs_of

    before = inputs_of(request)
    library = load_library()
    spec = read_book(request.book, library, request.layout)
    if spec.plan is None or spec.problems:
        composed(spec, library, request.strict)
        raise SpecError(spec.problems)
    out = request.folder
    _check_request(request, spec.plan)
    steps = on_progress, on_tracks
    if request.students is None:
        return _build(request, spec, spec.plan, library, out, lambda: _common(spec, library, request), before, *steps)
    knowledge, built = knowledge_from(library), []
    for student in wanted_students(request.students, spec.plan, request.book):
        plan = edition_plan(spec.plan, student)

        def compositions(student: StudentPlan = student, book: BookPlan = spec.plan) -> tuple[Composition, ...]:
            return edition(book, student, spec.exercises, knowledge).compositions

        built.append(_build(request, spec, plan, library, out / "students" / student.id, compositions, None, *steps))
    return together(built, spec.plan)


def _common(spec: BookSpec, library: Library, request: BuildRequest) -> tuple[Composition, ...]:
    """The compositions of the book for everybody; raise SpecError with what its term and levels get wrong, too."""
    compositions = chosen(composed(asked_for(spec, request.only), library, request.strict), request.only, request.book)
    return compositions


def _taught(plan: BookPlan, compositions: Sequence[Composition], request: BuildRequest) -> Teaching | None:
    """The book as a curriculum, None for a part of one; raise SpecError with what its term and levels get wrong."""
    if request.only:
        return None
    found = teaching(plan, compositions)
    if found.problems:
        raise SpecError(found.problems)
    return found


def _check_request(request: BuildRequest, plan: BookPlan) -> None:
    """Raise SpecError where a syllabus is asked for and can't be made."""
    if not request.syllabus:
        return
    where, key = plan.places.where(), "--syllabus"
    if request.students is not None:
        raise SpecError([Problem(where, key, "an edition for a student", "the common book", "leave out --student")])
    if request.only:
        raise SpecError([Problem(where, key, "a part of the book (--only)", "the whole book", "leave out --only")])
    if not plan.levels:
        raise SpecError([Problem(where, "levels", "no levels", "what each level asks for, as --syllabus prints it")])


def _build(
    request: BuildRequest,
    spec: BookSpec,
    plan: BookPlan,
    library: Library,
    out: Path,
    compositions: Callable[[], tuple[Composition, ...]],
    before: Inputs | None,
    on_progress: Progress,
    on_tracks: Progress,
) -> Outcome:
    """Make one edition, unless it stands there finished."""
    from builder.engraving import Store, default_folder
    from builder.unchanged import build_key, finished, keep, keep_standing

    began = time.monotonic()
    store = Store(default_folder())
    wanted = _track_request(request, plan, spec)
    flags = (request.pages_only, request.strict, wanted.sound, request.exchange, request.syllabus, request.teacher)
    own = _own_templates(request)
    names = (path.as_posix() for path in own)
    options = (*request.only, *map(str, flags), *names, plan.name, plan.layout, student_told(plan, spec))
    files_read = [file for file in (earlier_file(plan),) if file and request.syllabus]
    files_read += [*prose_files(plan), *([wanted.soundfont] if wanted.soundfont else [])]
    files_read += own
    key = build_key(spec, request.book, options, files_read)
    known = finished(key, store, out, time.monotonic() - began)
    read = [*files_read, *(Path(font.file) for font in plan.fonts.every)]
    read += (Path(exercise.places.file) for exercise in spec.exercises)
    if known:
        keep_standing(request, before, read, key, f"{plan.name}.json", store)
        return Outcome(json.loads((out / f"{plan.name}.json").read_text(encoding="utf-8")), known)
    composed = compositions()
    taught = _taught(plan, composed, request)
    cited = quoted(spec, composed, library)
    from builder.printing import print_book

    try:
        result = print_book(
            plan, composed, library, request.pages_only, request.jobs, on_progress, taught, cited, _import_writers
        )
        companions = _companions(request, result, taught, composed, library, on_progress)
        exercises = [one.plan for one in composed]
        files, faults, tracks = _written(request, result, library, exercises, out, companions, wanted, store, on_tracks)
    except EngravingError as error:
        from builder.outputs.book_files import write_failure

        write_failure(out, plan, error.problems)
        raise
    summary = Summary(
        title=plan.title,
        studies=tuple(study_line(study, result.first_side[study.id]) for study in result.studies),
        skipped=result.skipped,
        pages=len(result.pages),
        files=files,
        seconds=time.monotonic() - began,
        faults=faults,
    )
    from builder.outputs.book_files import sources_folder

    sources = (out / sources_folder(plan) / f"{study}.ly" for study in result.sources)
    keep(key, store, out, summary, sources, tracks)
    keep_standing(request, before, read, key, f"{plan.name}.json", store)
    return Outcome(result.document, summary)


def _own_templates(request: BuildRequest) -> tuple[Path, ...]:
    """The templates the user trusts; raise SpecError where they can't take the place of ours."""
    if request.templates is None:
        return ()
    from builder.engraving.templates import trusted_files  # takes long to import, and few builds have any

    return trusted_files(request.templates)


def _import_writers() -> None:
    """Import the PDF libraries, which take a quarter of a second: let that pass while LilyPond works."""
    for name in ("builder.outputs.book_files", "builder.critic"):
        import_module(name)


def _written(
    request: BuildRequest,
    result: BookResult,
    library: Library,
    exercises: Sequence[ExercisePlan],
    out: Path,
    companions: tuple[Companion, ...],
    wanted: TrackRequest,
    store: Store,
    on_tracks: Progress,
) -> tuple[tuple[Path, ...], tuple[str, ...], tuple[Path, ...]]:
    """Write everything, tracks beside the book; return the main files, what is wrong with its pages, the tracks.

    Where warnings count as problems, a book with faulty pages is not written: raises EngravingError.
    """
    from builder.beside import beside
    from builder.critic import read_book as read_pages
    from builder.outputs.book_files import write_files
    from builder.outputs.track_ledger import enter, studies_of
    from builder.practice_tracks import write_beside_book
    from builder.printing import asked_of

    before = studies_of(out / f"{result.book.name}.json")

    def tracks() -> tuple[Path, ...]:
        return write_beside_book(out, result, library, wanted, store, on_tracks)

    with beside(tracks, request.jobs) as begun:

        def read_back(book: bytes) -> tuple[Finding, ...]:
            found = read_pages(book, result.document, asked_of(result.book, library, exercises), begun.executor, store)
            if found and request.strict:
                raise _faulty(found, out / f"{result.book.name}.pdf")
            return found

        files, findings = write_files(out, result, covered(result.studies), companions, read_back)
        paths = begun.result()
    # Last of all: a build that fails leaves the tracks of the book that stands there.
    enter(out, result.book.name, (study.id for study in result.studies), not request.only, before, store)
    return files, tuple(map(str, findings)), paths


def _companions(
    request: BuildRequest,
    result: BookResult,
    taught: Teaching | None,
    compositions: Sequence[Composition],
    library: Library,
    on_progress: Progress,
) -> tuple[Companion, ...]:
    """The small books that were asked for."""
    if not (request.syllabus or request.teacher):
        return ()
    from builder.companions import print_syllabus, print_teachers

    made = []
    if request.syllabus and taught is not None:
        earlier = read_earlier(result.book)
        found = None if earlier is None else changes(earlier, [record_of(study) for study in result.studies])
        made.append(print_syllabus(result, taught, found, library, request.jobs, on_progress))
    if request.teacher:
        plans = [one.plan for one in compositions]
        made.append(print_teachers(result, plans, library, request.jobs, on_progress))
    return tuple(made)


def make_tracks(request: BuildRequest, on_progress: Progress, on_tracks: Progress) -> Outcome:
    """Make the folder that is put on the web: a page, sound and music for every study."""
    from builder.engraving import Store, default_folder
    from builder.practice_tracks import write_for_web
    from builder.printing import print_book

    began = time.monotonic()
    library = load_library()
    spec = read_book(request.book, library)
    compositions = _common(spec, library, request)
    if spec.plan is None:
        raise SpecError(spec.problems)
    _taught(spec.plan, compositions, request)
    wanted = _track_request(request, spec.plan, spec)
    every = replace(spec.plan, print_places="each")  # on the web, each study has a page of its own
    cited = quoted(spec, compositions, library)
    result = print_book(every, compositions, library, request.pages_only, request.jobs, on_progress, quoted=cited)
    out = request.out or request.book.parent / "out" / "site"
    index = write_for_web(out, result, library, wanted, Store(default_folder()), on_tracks)
    lines = tuple(study_line(study, result.first_side[study.id]) for study in result.studies)
    summary = Summary(spec.plan.title, lines, (), 0, (index,), time.monotonic() - began)
    return Outcome(result.document, summary)


def _track_request(request: BuildRequest, plan: BookPlan, spec: BookSpec) -> TrackRequest:
    """What tracks are made of; SpecError for a soundfont that can't be played."""
    from builder.practice_tracks import TrackRequest, checked_soundfont

    sound = request.audio or request.soundfont is not None
    instruments = (exercise.instrument for exercise in spec.exercises)
    soundfont = checked_soundfont(plan, request.soundfont, instruments) if sound else None
    return TrackRequest(sound, request.exchange, soundfont, request.jobs)


def _outcome(title: str, compositions: Sequence[Composition], began: float) -> Outcome:
    """The end of a command that prints nothing."""
    studies = in_order(compositions)
    skipped = tuple(one for composition in compositions for one in composition.skipped)
    lines = tuple(study_line(study, 0) for study in studies)
    summary = Summary(title, lines, skipped, 0, (), time.monotonic() - began)
    return Outcome(document([study_json(study) for study in studies], skipped, ()), summary)
