"""The shared/ folder as values: instruments, cues, skills, finger patterns, languages.

Stage:    1 read
In, Out:  a folder of YAML files; a `Library`
Not here: fingering and difficulty weights (read where they are used), the reader's words for mistakes
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Any, TypeVar

from pydantic import Field, ValidationError

from builder import fields, resources
from builder.curriculum.choice import Advice
from builder.errors import Location, MachineError, Problem, SpecError
from builder.fields import Unreadable, line_of_text, look_up, whole_number
from builder.spec.models import HANDS, InstrumentModel, LayoutModel, parse_hand
from builder.spec.part import Part
from builder.spec.students import NeedModel
from builder.spec.wording import complaints_of
from builder.spec.yaml_reader import Document, read_yaml
from builder.theory.fretboard import Hand, Instrument

FingerPattern = tuple[tuple[int, ...], ...]
M = TypeVar("M", bound=Part)


@dataclass(frozen=True, slots=True)
class Cue:
    """What to let go of at a checkpoint: *words* are printed under the rest, *say* is the whole instruction."""

    id: str
    words: str
    say: str
    area: str


@dataclass(frozen=True, slots=True)
class Library:
    """What specs may name; every mapping and *cues* in the order of the files."""

    instruments: Mapping[str, Instrument]
    cues: tuple[Cue, ...]
    skills: Mapping[str, str]
    patterns: Mapping[str, FingerPattern]
    languages: tuple[str, ...]
    hands: Mapping[str, Hand]
    needs: Mapping[str, Advice]
    layouts: Mapping[str, LayoutModel]

    def known_names(self) -> dict[str, Any]:
        """What the fields of a spec look their names up in: pydantic's validation context."""
        return {
            "instruments": self.instruments,
            "cues": {cue.id: cue for cue in self.cues},
            "skills": self.skills,
            "patterns": self.patterns,
            "languages": self.languages,
            "needs": self.needs,
        }

    def cue(self, cue_id: str) -> Cue:
        """Return the cue called *cue_id*; a KeyError is our bug, as specs are checked against the library."""
        return next(cue for cue in self.cues if cue.id == cue_id)


class _CueModel(Part):
    # 18 characters of 8.5 pt sans with their box stay within the 24 mm a bar's checkpoint has on the page.
    words: Annotated[str, line_of_text(18)]
    say: fields.Sentence
    area: Annotated[str, line_of_text(40)]


class _SkillModel(Part):
    phrase: fields.Name


class _PatternModel(Part):
    fingers: Annotated[list[list[Annotated[int, whole_number(1, 4)]]], Field(min_length=1, max_length=24)]


def load_library(folder: Path | None = None) -> Library:
    """Read *folder*, by default the one that travels with the package; raise SpecError with every mistake in it."""
    base = resources.folder("shared") if folder is None else folder
    problems: list[Problem] = []
    instruments = _entries(base, "instruments", InstrumentModel, problems)
    cues = _entries(base, "cues", _CueModel, problems)
    skills = _entries(base, "skills", _SkillModel, problems)
    patterns = _entries(base, "patterns", _PatternModel, problems)
    names = {"skills": skills, "cues": cues}
    needs = _entries(base, "needs", NeedModel, problems, names)
    layouts = _entries(base, "layouts", LayoutModel, problems)
    if problems:
        raise SpecError(problems)
    return Library(
        instruments={name: replace(model.instrument(), name=name) for name, model in instruments.items()},
        cues=tuple(Cue(name, cue.words, cue.say, cue.area) for name, cue in cues.items()),
        skills={name: skill.phrase for name, skill in skills.items()},
        patterns={name: tuple(tuple(each) for each in model.fingers) for name, model in patterns.items()},
        languages=tuple(sorted(path.stem for path in (base / "phrases").glob("*.yaml"))),
        hands=HANDS,
        needs={name: model.advice() for name, model in needs.items()},
        layouts=layouts,
    )


def load_words(language: str) -> Mapping[str, object]:
    """The printed words of *language* as plain data; one of `Library.languages`."""
    words: Mapping[str, object] = resources.table(f"phrases/{language}.yaml")
    return words


def find_instrument(name: str, library: Library) -> Instrument:
    """Return the library's instrument; raise Unreadable for an unknown name."""
    return library.instruments[look_up(name, library.instruments)]


def find_hand(text: str, library: Library) -> Hand:
    """Return a hand by its name, or by its comfortable reach in mm; raise Unreadable otherwise."""
    if text in library.hands:
        return library.hands[text]
    return parse_hand(float(text) if re.fullmatch(r"[0-9]{1,4}(\.[0-9]{1,4})?", text) else text)


def _entries(
    base: Path, name: str, model: type[M], problems: list[Problem], known: Mapping[str, Any] | None = None
) -> dict[str, M]:
    """Every entry of <name>.yaml and <name>/*.yaml by its id; the files in order of their names.

    *known* holds the names that an entry may look up.
    """
    found: dict[str, M] = {}
    files = [path for path in (base / f"{name}.yaml", *sorted((base / name).glob("*.yaml"))) if path.is_file()]
    if not files:
        problems.append(Problem(Location(str(base)), name, "no file", f"{name}.yaml or {name}/*.yaml"))
    for path in files:
        document = read_yaml(_bytes(path), str(path))
        problems.extend(complaint.problem for complaint in document.complaints)
        for key in document.data:
            if key in found:
                problems.append(document.places.problem((key,), "an id that another file has too", "every id once"))
            found |= _entry(key, model, document, problems, known)
    return found


def _entry(
    key: str, model: type[M], document: Document, problems: list[Problem], known: Mapping[str, Any] | None
) -> dict[str, M]:
    try:
        fields.ENTRY_ID.parse(key)
        return {key: model.model_validate(document.data[key], context=known)}
    except Unreadable as error:
        problems.append(document.places.problem((key,), f"'{key}'", error.expected, error.hint))
    except ValidationError as error:
        problems.extend(complaint.problem for complaint in complaints_of(error, model, document, (key,)))
    return {}


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise MachineError(f"{path} can't be read: {error.strerror}", "look at its permissions") from error
