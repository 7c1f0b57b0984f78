"""What can go wrong and where: locations, problems and the few error classes.

Not here: deciding whether something is wrong; every stage does that for itself and hands over `Problem`s.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Location:
    """A place in a file a user wrote; line and column count from 1, 0 means the file as a whole."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file


@dataclass(frozen=True, slots=True)
class Problem:
    """One mistake a user can mend: where, which key, what was found, what was expected, what to type.

    *found* is the value as written; *expected* lists the choices or the range; *hint* may be empty.

    >>> where = Location("pier.yaml", 7, 1)
    >>> print(Problem(where, "rythm", "an unknown key", "one of neck, rhythm", "did you mean 'rhythm'?"))
    pier.yaml:7:1: rythm: found an unknown key, expected one of neck, rhythm
      hint: did you mean 'rhythm'?
    """

    where: Location
    key: str
    found: str
    expected: str
    hint: str = ""

    def __str__(self) -> str:
        key = f"{self.key}: " if self.key else ""
        hint = f"\n  hint: {self.hint}" if self.hint else ""
        return f"{self.where}: {key}found {self.found}, expected {self.expected}{hint}"


class BuilderError(Exception):
    """The base of every error a user can mend; anything else that escapes is our bug."""

    exit_code = 1


class SpecError(BuilderError):
    """The spec is wrong; carries every problem found."""

    exit_code = 2

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__(self.problems)

    def __str__(self) -> str:
        return "\n".join(str(problem) for problem in self.problems)


class EngravingError(BuilderError):
    """One or more pages could not be engraved; carries a problem for each, at its place in the YAML."""

    exit_code = 3

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__(self.problems)

    def __str__(self) -> str:
        return "\n".join(str(problem) for problem in self.problems)


class MachineError(BuilderError):
    """The machine stands in the way: a tool is missing, the disk is full, there is no permission."""

    exit_code = 4

    def __init__(self, message: str, hint: str = "") -> None:
        self.message, self.hint = message, hint
        super().__init__(message, hint)

    def __str__(self) -> str:
        return f"{self.message}\n  hint: {self.hint}" if self.hint else self.message


class NoSolution(Exception):
    """A request of theory that can't be fulfilled; *reason* is worded for the reader of the report.

    *key* is the part of the exercise that is to blame at every place alike, empty where the place itself is. *moments*
    are those to blame, counted from 0 as the raiser was given them: who gave them can say where they stand.
    """

    def __init__(self, reason: str, key: tuple[str | int, ...] = (), moments: tuple[int, ...] = ()) -> None:
        self.reason, self.key, self.moments = reason, key, moments
        super().__init__(reason, key, moments)

    def __str__(self) -> str:
        return self.reason
