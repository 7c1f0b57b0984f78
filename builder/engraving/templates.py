"""The templates that pages are made through: ours, or a book's own in place of some of them.

Stage:    5 engrave (in)
In, Out:  a folder the user trusts; the text of a template, what is wrong with one
Source:   1 MB is our own choice: twenty times our longest template
Not here: filters, and what templates are filled with (`lilypond_source`)

A template is code: LilyPond runs the Scheme that stands in it. So the folder is named on the command line only; no key
of a spec leads here, and a book got from somebody else brings none of its own.
"""

from __future__ import annotations

import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path

from jinja2 import (
    BaseLoader,
    ChoiceLoader,
    Environment,
    FileSystemLoader,
    StrictUndefined,
    TemplateError,
    TemplateSyntaxError,
)

from builder.errors import Location, Problem, SpecError
from builder.fields import near_miss
from builder.resources import folder

_SUFFIXES, _MOST_BYTES = (".ly", ".ily"), 1_000_000
_OPTION = "--trust-templates"
_trusted: ContextVar[Path | None] = ContextVar("trusted", default=None)


@contextmanager
def trusting(own: Path | None) -> Iterator[None]:
    """Take templates from the folder *own* first, as long as this lasts; None for ours alone."""
    token = _trusted.set(own)
    try:
        yield
    finally:
        _trusted.reset(token)


def trusted_folder() -> Path | None:
    """The folder whose templates are trusted now."""
    return _trusted.get()


def environment(loader: BaseLoader, autoescape: bool = False) -> Environment:
    """What renders templates: signs that LilyPond leaves free, and an error for an undefined name.

    *autoescape*: every value is escaped for HTML.
    """
    return Environment(
        loader=loader,
        variable_start_string="[[",
        variable_end_string="]]",
        block_start_string="[%",
        block_end_string="%]",
        comment_start_string="[#",
        comment_end_string="#]",
        undefined=StrictUndefined,
        autoescape=autoescape,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def template_loader(own: Path | None) -> BaseLoader:
    """What finds templates by name, those in *own* first."""
    return ChoiceLoader([FileSystemLoader(each) for each in (own, folder("templates")) if each])


def template_text(name: str) -> str:
    """The text of the template *name* as it stands."""
    own = trusted_folder()
    ours = folder("templates") / name
    return (own / name if own and (own / name).is_file() else ours).read_text("utf-8")


def trusted_files(own: Path) -> tuple[Path, ...]:
    """The templates in *own*; raise SpecError with every file there that takes the place of none of ours."""
    if not own.is_dir():
        raise SpecError([_problem(own, "no folder", "a folder of templates", "")])
    files = sorted(path for path in own.rglob("*") if path.is_file() and not _hidden(path, own))
    known = [path.relative_to(folder("templates")).as_posix() for path in folder("templates").rglob("*")]
    known = sorted(name for name in known if name.endswith(_SUFFIXES))
    problems = [found for path in files if (found := _checked(path, path.relative_to(own).as_posix(), known))]
    if problems or not files:
        raise SpecError(problems or [_problem(own, "an empty folder", "files named as those in templates/", "")])
    return tuple(files)


def template_problem(error: Exception, own: Path) -> Problem | None:
    """What *error* says of a template in *own*; None where none of them is at fault."""
    if isinstance(error, TemplateSyntaxError):
        places = [(error.filename or "", error.lineno)]
    else:
        places = [(frame.filename, frame.lineno or 0) for frame in traceback.extract_tb(error.__traceback__)]
    within = [(name, line) for name, line in places if Path(name).is_relative_to(own)]
    if not within:
        return None
    said = str(error) if isinstance(error, TemplateError) else f"{type(error).__name__}: {error}"
    expected, hint = "a template that can be filled", "compare it with the one of the same name in templates/"
    return Problem(Location(*within[-1]), "", said[:200], expected, hint)


def _hidden(path: Path, own: Path) -> bool:
    return any(part.startswith(".") for part in path.relative_to(own).parts)


def _checked(path: Path, name: str, known: list[str]) -> Problem | None:
    if name not in known:
        hint = near_miss(name, known) or "see templates/ in the etudebook folder for their names"
        return _problem(path, "a file that takes the place of no template", "a name that stands in templates/", hint)
    try:
        large = path.stat().st_size > _MOST_BYTES or not path.read_text("utf-8").strip()
    except (OSError, UnicodeDecodeError):
        return _problem(path, "a file that can't be read", "text in UTF-8", "")
    return _problem(path, "nothing, or more than 1 MB", "a template", "") if large else None


def _problem(path: Path, found: str, expected: str, hint: str) -> Problem:
    return Problem(Location(str(path)), _OPTION, found, expected, hint)
