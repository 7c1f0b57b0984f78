"""Files into checked models: a book with the exercises it names, or one exercise.

Stage:    1 read
In, Out:  a path; models, where their keys stand, and every problem of every file
Not here: what a model's values mean together with an instrument or the library (`expand`)
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from typing import Any, Generic, TypeVar

from pydantic import BaseModel, ValidationError

from builder.errors import Location, MachineError, Problem
from builder.fields import Unreadable, also_printable, near_miss
from builder.materials import Material, materials
from builder.spec.fonts import FontsModel, own_fonts
from builder.spec.library import Library
from builder.spec.markdown import read_prose
from builder.spec.models import BookModel, ExerciseModel, parse_material_kind
from builder.spec.part import Part
from builder.spec.plan import NO_FONTS, KeyPath, OwnFonts, Places
from builder.spec.prose import ProseText
from builder.spec.students import NeedsModel, StudentsModel
from builder.spec.wording import complaints_of, written
from builder.spec.yaml_reader import Complaint, Document, read_yaml

M = TypeVar("M", bound=Part)
MOST_FILES = 1000  # our own choice: more exercises than any book holds, so a wrong pattern is noticed


@dataclass(frozen=True, slots=True)
class Loaded(Generic[M]):
    """A file as a model; *doubtful* names its top-level keys that have problems and hold a stand-in.

    *model* is None when nothing could be read.
    """

    document: Document
    model: M | None
    doubtful: frozenset[str]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class LoadedExercise:
    """An exercise file; *material* and *parameters* are None where the material is not understood."""

    stem: str
    file: Loaded[ExerciseModel]
    material: Material | None
    parameters: BaseModel | None


@dataclass(frozen=True, slots=True)
class LoadedBook:
    """A book file and its exercises in order of their paths; *file* None = it could not be opened."""

    path: Path
    file: Loaded[BookModel] | None
    exercises: tuple[LoadedExercise, ...]
    problems: tuple[Problem, ...]
    students: Loaded[StudentsModel] | None = None
    needs: Loaded[NeedsModel] | None = None
    prose: Mapping[str, ProseText] = field(default_factory=dict)
    fonts: OwnFonts = NO_FONTS


def load_book(path: Path, library: Library) -> LoadedBook:
    """Read the book at *path* and every exercise it names; raise MachineError only where permission is missing."""
    raw = _read_file(path)
    if isinstance(raw, Problem):
        return LoadedBook(path, None, (), (raw,))
    document = read_yaml(raw, str(path))
    fonts, refused = _fonts(path, document, library)
    with also_printable(frozenset[int]().union(*(font.characters for font in fonts.every))):
        return _book(path, document, fonts, refused, library)


def _fonts(path: Path, document: Document, library: Library) -> tuple[OwnFonts, tuple[Problem, ...]]:
    """The book's own fonts, before anything else: they decide which characters its texts may hold."""
    named = document.data.get("fonts") if document.readable else None
    try:
        model = FontsModel.model_validate(named, context=library.known_names())
    except ValidationError:
        return NO_FONTS, ()  # none, or a mapping that the book's own model will complain of
    files, problems = {}, []
    for key, pattern in model.files:
        matches = matching_files(path, pattern)
        if isinstance(matches, list):
            files[key] = matches[0]
        else:
            found, expected, hint = matches
            expected = expected.replace("exercises/*.yaml", "fonts/text.otf")
            problems.append(document.places.problem(key, found, expected, hint))
    fonts, refused = own_fonts(document, files)
    return fonts, (*problems, *refused)


def _book(path: Path, document: Document, fonts: OwnFonts, refused: Iterable[Problem], library: Library) -> LoadedBook:
    stand_ins = {"title": "x", "instrument": "x", "exercises": ["x"]}
    book = load_model(document, BookModel, stand_ins, library)
    problems = [*book.problems, *refused]
    if book.model is None or "exercises" in book.doubtful:
        return LoadedBook(path, book, (), tuple(problems))
    exercises = []
    for file in _exercise_files(path, book.model.exercises, book.document.places, problems):
        exercise = load_exercise(file, library)
        if isinstance(exercise, Problem):
            problems.append(exercise)
        else:
            exercises.append(exercise)
            problems.extend(exercise.file.problems)
    students = _load_beside(book, "students", path, StudentsModel, library, problems)
    needs = _load_beside(book, "needs", path, NeedsModel, library, problems)
    prose = _load_prose(book, path, problems)
    return LoadedBook(path, book, tuple(exercises), tuple(problems), students, needs, prose, fonts)


def _load_prose(book: Loaded[BookModel], path: Path, problems: list[Problem]) -> dict[str, ProseText]:
    """The pages to read that the book names before and behind its studies, by the names it gives them."""
    found: dict[str, ProseText] = {}
    for key in ("front", "back"):
        parts = (getattr(book.model, key) or ()) if key not in book.doubtful else ()
        for number, part in enumerate(parts):
            if part.kind == "prose":
                read = _read_beside(path, part.file, "foreword.md", (key, number), book.document.places, problems)
                text, wrong = read_prose(*read, path.parent) if read else (None, ())
                problems += wrong
                found |= {part.file: text} if text else {}
    return found


def _read_beside(
    path: Path, named: str, example: str, key: KeyPath, places: Places, problems: list[Problem]
) -> tuple[bytes, Path] | None:
    """The one file inside the book's folder that is *named* at *key*, and where it lies; None with a problem."""
    matches = matching_files(path, named)
    if not isinstance(matches, list) or len(matches) > 1:
        one = (f"'{named}'", f"one file, such as {example}", "")
        found, expected, hint = one if isinstance(matches, list) else matches
        problems.append(places.problem(key, found, expected.replace("exercises/*.yaml", example), hint))
        return None
    raw = _read_file(matches[0])
    if isinstance(raw, Problem):
        problems.append(raw)
        return None
    return raw, matches[0]


def _load_beside(
    book: Loaded[BookModel], key: str, path: Path, model: type[M], library: Library, problems: list[Problem]
) -> Loaded[M] | None:
    """The file that the book names under *key*, inside its folder; None where it names none that can be read."""
    named = None if book.model is None or key in book.doubtful else getattr(book.model, key)
    if named is None:
        return None
    read = _read_beside(path, named, f"{key}.yaml", (key,), book.document.places, problems)
    if read is None:
        return None
    raw, file = read
    loaded = load_model(read_yaml(raw, str(file)), model, {key: _ONE_OF[key]}, library)
    problems.extend(loaded.problems)
    return loaded


# What stands in for a list that is wrong, so that the rest of its file is still checked.
_ONE_OF: dict[str, list[dict[str, Any]]] = {
    "students": [{"id": "x", "name": "x", "level": 1}],
    "needs": [{"student": "x", "needs": ["x"]}],
}


def load_exercise(path: Path, library: Library) -> LoadedExercise | Problem:
    """Read the exercise at *path*; a Problem when the file can't be opened."""
    raw = _read_file(path)
    if isinstance(raw, Problem):
        return raw
    document = read_yaml(raw, str(path))
    loaded = load_model(document, ExerciseModel, {"title": "x", "material": {}}, library)
    if loaded.model is None or "material" in loaded.doubtful:
        return LoadedExercise(path.stem, loaded, None, None)
    material, parameters, complaints = _load_material(document, loaded.model.material, library)
    found = [complaint.problem for complaint in _fresh(complaints, document.complaints)]
    problems = tuple(sorted([*loaded.problems, *found], key=lambda problem: problem.where))
    doubtful = loaded.doubtful if parameters is not None else loaded.doubtful | {"material"}
    return LoadedExercise(path.stem, Loaded(document, loaded.model, doubtful, problems), material, parameters)


def load_model(document: Document, model: type[M], stand_ins: dict[str, Any], library: Library) -> Loaded[M]:
    """Check *document* against *model*; what fails is left out or replaced by its stand-in, so that the rest counts."""
    if not document.readable:
        return Loaded(document, None, frozenset(), tuple(each.problem for each in document.complaints))
    complaints: tuple[Complaint, ...] = ()
    data = document.data
    try:
        checked = model.model_validate(data, context=library.known_names())
    except ValidationError as error:
        complaints = _fresh(complaints_of(error, model, document), document.complaints)
        failing = {str(item["loc"][0]) for item in error.errors(include_url=False) if item["loc"]}
        checked = model.model_validate(
            {key: value for key, value in data.items() if key not in failing}
            | {key: value for key, value in stand_ins.items() if key in failing}
        )
    every = [*document.complaints, *complaints]
    doubtful = frozenset(str(complaint.path[0]) for complaint in every if complaint.path)
    return Loaded(document, checked, doubtful, _in_order(every))


def _load_material(
    document: Document, data: dict[str, Any], library: Library
) -> tuple[Material | None, BaseModel | None, tuple[Complaint, ...]]:
    """The material's kind and checked parameters, or what is wrong with them."""
    path: KeyPath = ("material", "kind")
    try:
        material = materials()[parse_material_kind(data.get("kind"))]
    except Unreadable as error:
        found = error.found or written(document, path)
        return None, None, (Complaint(path, document.places.problem(path, found, error.expected, error.hint)),)
    rest = {key: value for key, value in data.items() if key != "kind"}
    try:
        return material, material.parameters.model_validate(rest, context=library.known_names()), ()
    except ValidationError as error:
        return material, None, complaints_of(error, material.parameters, document, ("material",))


def _fresh(complaints: Iterable[Complaint], earlier: Iterable[Complaint]) -> tuple[Complaint, ...]:
    """*complaints* without those about a value that the reader has refused already, or what stands below it."""
    refused = [complaint.path for complaint in earlier if complaint.path]
    return tuple(new for new in complaints if not any(new.path[: len(path)] == path for path in refused))


def _in_order(complaints: Iterable[Complaint]) -> tuple[Problem, ...]:
    """The problems from the top of the file down, without those below a key that is unknown as a whole."""
    listed = list(complaints)
    whole = {each.path for each in listed if each.whole}
    kept = [each for each in listed if not any(each.path[:n] in whole for n in range(1, len(each.path)))]
    return tuple(dict.fromkeys(each.problem for each in sorted(kept, key=lambda each: each.problem.where)))


def _read_file(path: Path) -> bytes | Problem:
    where = Location(str(path))
    try:
        if path.is_dir():
            inside = path / "book.yaml"
            hint = f"did you mean '{inside}'?" if inside.is_file() else ""
            return Problem(where, "", "a folder", "a YAML file", hint)
        if path.exists() and not path.is_file():
            return Problem(where, "", "something that is not a file", "a YAML file")
        return path.read_bytes()
    except FileNotFoundError:
        return Problem(where, "", "no such file", "a YAML file", _similar_file(path))
    except PermissionError as error:
        raise MachineError(f"{path} can't be read: no permission", "look at the permissions of the file") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        return Problem(where, "", f"a file that can't be read ({reason.lower()})", "a YAML file")


def _similar_file(path: Path) -> str:
    try:
        return near_miss(path.name, sorted(os.listdir(path.parent)))
    except OSError:
        return ""


def _exercise_files(book: Path, patterns: list[str], places: Places, problems: list[Problem]) -> Iterator[Path]:
    """The files that *patterns* name, each once, in order of path; what is wrong with a pattern goes to *problems*."""
    found: dict[Path, Path] = {}
    for index, pattern in enumerate(patterns):
        matches = matching_files(book, pattern)
        if isinstance(matches, list):
            found |= {file.resolve(): file for file in matches if file.resolve() not in found}
            continue
        wrong, expected, hint = matches
        problems.append(places.problem(("exercises", index), wrong, expected, hint))
    if len(found) > MOST_FILES:
        expected = f"at most {MOST_FILES} exercises"
        problems.append(places.problem(("exercises",), f"patterns that match {len(found)} files", expected))
        return
    yield from sorted(found.values(), key=lambda file: file.as_posix())


def matching_files(book: Path, pattern: str) -> list[Path] | tuple[str, str, str]:
    """The files of one pattern, or what is wrong with it: found, expected, hint."""
    inside = "a path inside the book's folder, such as exercises/*.yaml"
    parts = PurePosixPath(pattern).parts
    if (
        pattern.startswith(("/", "~"))
        or "\\" in pattern
        or ".." in parts
        or not parts
        or (len(pattern) > 1 and pattern[1] == ":")
    ):
        return f"'{pattern}'", inside, "use '/' and no '..'" if ".." in parts or "\\" in pattern else ""
    try:
        files = [file for file in book.parent.glob(pattern) if not file.is_dir() and not _same(file, book)]
        outside = [file for file in files if not file.resolve().is_relative_to(book.parent.resolve())]
    except (ValueError, NotImplementedError, OSError, RuntimeError) as error:
        return f"'{pattern}'", inside, str(error)[:80]
    if outside:
        return f"'{outside[0].name}', a link that leads outside", inside, "copy the file into the book's folder"
    if not files:
        return f"'{pattern}', which matches no file", inside, _similar_pattern(book, pattern)
    return files


def _same(file: Path, other: Path) -> bool:
    return file.resolve() == other.resolve()


def _similar_pattern(book: Path, pattern: str) -> str:
    """Suggest a file that is there for a plain name that isn't."""
    if any(sign in pattern for sign in "*?["):
        return ""
    nearby = (book.parent / pattern).parent
    names = {file.name: file for file in nearby.iterdir()} if nearby.is_dir() else {}
    return near_miss(PurePosixPath(pattern).name, names)
