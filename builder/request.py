"""What a build was asked for.

In, Out:  values
Not here: the options that ask for it (`cli`), what is done (`pipeline`)
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class BuildRequest:
    """What `etudebook build` was asked for; *out* None = beside the book, *only* empty = everything.

    *students* are those an edition is wanted for, by id or name; empty = everybody, None = the common book. *audio* and
    *exchange* ask for sound and MusicXML beside the MIDI files; a *soundfont* asks for sound, too. *layout* names print
    settings in place of the book's. *syllabus* and *teacher* ask for the small books beside the book.
    *templates* is a folder of page templates that are trusted in place of ours.
    """

    book: Path
    out: Path | None
    only: tuple[str, ...]
    pages_only: bool
    jobs: int
    strict: bool
    students: tuple[str, ...] | None = None
    audio: bool = False
    exchange: bool = False
    layout: str | None = None
    soundfont: Path | None = None
    syllabus: bool = False
    teacher: bool = False
    templates: Path | None = None

    @property
    def folder(self) -> Path:
        """Where the files go."""
        return self.out or self.book.parent / "out"
