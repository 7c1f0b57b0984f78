"""What the reader hands on: a book and its exercises, checked, with every default filled in.

Stage:    2 expand (out)
Not here: reading (`yaml_reader`, `load`), the pydantic models (`models`)
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from pydantic import BaseModel

from builder.curriculum.choice import Student
from builder.curriculum.syllabus import LevelRule
from builder.curriculum.timetable import TermRule
from builder.errors import Location, Problem
from builder.spec.look import NO_LOOK, Look
from builder.spec.prose import ProseText
from builder.theory.contour import Contour
from builder.theory.fretboard import Hand, Instrument
from builder.theory.harmony import Key
from builder.theory.neck import NeckRule
from builder.theory.practice import CheckpointRule, Override, StrokeRule, TempoRule
from builder.theory.rhythm import RhythmRule

KeyPath = tuple[str | int, ...]
Notation = Literal["both", "staff", "tab"]
"""Staff and tablature, or one of them alone."""


@dataclass(frozen=True, slots=True)
class Places:
    """Where every key of one file stands; keys are paths such as `("neck", "start", "note")`, items count from 0."""

    file: str
    keys: Mapping[KeyPath, Location]

    def where(self, *path: str | int) -> Location:
        """The location of *path*, or of the nearest key above it that was written."""
        for length in range(len(path), -1, -1):
            if path[:length] in self.keys:
                return self.keys[path[:length]]
        return Location(self.file)

    def problem(self, path: KeyPath, found: str, expected: str, hint: str = "") -> Problem:
        """A problem at *path*; its key is printed as `neck.start.note`, items counted from 1."""
        key = ".".join(str(part + 1) if isinstance(part, int) else part for part in path)
        return Problem(self.where(*path), key, *(_LONG_WORD.sub(_cut, text) for text in (found, expected, hint)))


_LONG_WORD = re.compile(r"[^\s/\\]{80,}")  # our own choice: longer than any name, shorter than a line; no paths


def _cut(word: re.Match[str]) -> str:
    """A word that would fill the screen, cut short."""
    return word[0][:60] + "…"


@dataclass(frozen=True, slots=True)
class TrackPlan:
    """How practice tracks sound, and the address that the code on a page leads to (empty = no code).

    *soundfont* is a path as written, seen from the book's folder; empty = our own strings.
    """

    base_url: str = ""
    clicks_per_beat: int = 1
    drone: bool = False
    soundfont: str = ""


@dataclass(frozen=True, slots=True)
class StudentPlan:
    """A student an edition is made for; *minutes* None = the term's. *number* is their place in the file, from 0."""

    number: int
    id: str
    name: str
    hand: Hand
    instrument: Instrument
    left_handed: bool
    minutes: int | None
    learner: Student


MatterKind = Literal["prose", "index", "glossary", "blank-paper", "imprint"]
MATTER_WORDS: tuple[MatterKind, ...] = ("index", "glossary", "blank-paper", "imprint")


@dataclass(frozen=True, slots=True)
class MatterPart:
    """A part of the pages before or behind the studies: so many *sides* of blank paper, the *file* of prose.

    *text* is what that file holds; None until it is read.
    """

    kind: MatterKind
    sides: int = 1
    file: str = ""
    text: ProseText | None = None


# What stands at the back of a book that says nothing of it: all but paper to write on (our own choice).
USUAL_BACK = (MatterPart("index"), MatterPart("glossary"), MatterPart("imprint"))


@dataclass(frozen=True, slots=True)
class PressPlan:
    """How pages stand on the sheets that are printed.

    *gutter_mm* is how far they move away from the spine, *bleed_mm* what is trimmed off around them, *creep_mm* how far
    each sheet folded into a booklet moves its pages towards the spine.
    """

    sides: Literal["one", "two"] = "one"
    gutter_mm: float = 0.0
    bleed_mm: float = 0.0
    thumb_index: bool = False
    creep_mm: float = 0.0
    impose: Literal["none", "booklet"] = "none"


@dataclass(frozen=True, slots=True)
class OwnFont:
    """A font file of the book: its family, its PostScript name, a digest of its bytes, the characters it prints."""

    file: str
    family: str
    printed_name: str
    digest: str
    characters: frozenset[int] = field(repr=False)


@dataclass(frozen=True, slots=True)
class OwnFonts:
    """The book's own fonts for titles and prose, and for labels and tables; either may be empty."""

    text: tuple[OwnFont, ...] = ()
    labels: tuple[OwnFont, ...] = ()

    @property
    def every(self) -> tuple[OwnFont, ...]:
        """All files, each once."""
        return tuple(dict.fromkeys((*self.text, *self.labels)))


NO_FONTS = OwnFonts()


@dataclass(frozen=True, slots=True)
class BookPlan:
    """What is printed around the exercises. *name* is the stem that output files take; *places* locates book keys.

    *levels*, *term*, *seed* (of alternates) and *earlier* (the JSON of the edition to compare with, a path) are the
    syllabus; *note_names* is how notes are called, empty for the custom of the language; *students* those whom editions
    can be made for. *student* is whom this very edition is for, empty for the common book. *layout* names the print
    settings taken in place of the book's own, empty for none. *front* are the pages to read before the studies,
    *back* the parts at the end, in this order. *hints* are words with hyphens where they may break.
    """

    name: str
    folder: str
    title: str
    subtitle: str
    school: str
    author: str
    edition: str
    licence: str
    language: str
    paper: Literal["a4", "a5", "letter"]
    staff_size: float
    fingering: Literal["hints", "all", "none"]
    instrument: Instrument
    hand: Hand
    places: Places
    note_names: Literal["letters", "german", "solfege", ""] = ""
    fonts: OwnFonts = NO_FONTS
    levels: tuple[LevelRule, ...] = ()
    term: TermRule | None = None
    seed: str = ""
    earlier: str = ""
    students: tuple[StudentPlan, ...] = ()
    student: str = ""
    look: Look = NO_LOOK
    notation: Notation = "both"
    large_print: bool = False
    low_ink: bool = False
    print_places: Literal["each", "one"] = "each"
    left_handed: bool = False
    tracks: TrackPlan | None = None
    layout: str = ""
    press: PressPlan = PressPlan()
    front: tuple[MatterPart, ...] = ()
    back: tuple[MatterPart, ...] = USUAL_BACK
    hints: tuple[str, ...] = ()

    @property
    def prose(self) -> tuple[ProseText, ...]:
        """All pages to read, in order."""
        return tuple(part.text for part in (*self.front, *self.back) if part.text is not None)


@dataclass(frozen=True, slots=True)
class ExercisePlan:
    """One exercise with its five answers. *material* holds the parameters of `material_kind`; *key* None = default.

    *marks* are the metronome marks of single studies, by id, where they are not those of *tempo*.
    """

    id: str
    title: str
    aim: str
    skills: tuple[str, ...]
    instrument: Instrument
    hand: Hand
    key: Key | None
    level: int | None
    material_kind: str
    material: BaseModel
    contour: Contour | None
    rhythm: RhythmRule
    neck: NeckRule
    strokes: StrokeRule
    tempo: TempoRule
    checkpoints: CheckpointRule
    fingering: Literal["hints", "all", "none"]
    places: Places
    overrides: tuple[Override, ...] = ()
    marks: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
