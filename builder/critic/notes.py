"""What is read from a system: heads with their pitches, digits with their strings, the signs around them.

Stage:    page critic (values)
Units:    millimetres, y downwards; durations in fractions of a whole note
Not here: reading them (`music`), whether they are right (`study`)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from builder.critic.ink import Box
from builder.critic.staves import System


@dataclass(frozen=True, slots=True)
class Head:
    """A note head; *pitch* is spelled and sounding, *step* counts from the bottom line.

    *off* is how far it stands from a line or space, in steps; *may_go_on*: a tie may lead to it, so that nothing is
    struck; *sign* says whether it has an accidental of its own; *kind* is the name of its glyph.
    """

    box: Box
    y: float
    step: int
    off: float
    pitch: str
    sign: bool
    may_go_on: bool
    kind: str


@dataclass(frozen=True, slots=True)
class Chord:
    """Heads that sound together."""

    x: float
    heads: tuple[Head, ...]

    @property
    def left(self) -> float:
        """Where its first head begins."""
        return min(head.box.x0 for head in self.heads)

    @property
    def place(self) -> tuple[float, float]:
        """Where to look for it."""
        return self.x, min(head.y for head in self.heads)


@dataclass(frozen=True, slots=True)
class Digit:
    """A fret number on string *string*; *off* is how far it stands from the line, in gaps."""

    x: float
    y: float
    string: int
    fret: int
    off: float


@dataclass(frozen=True, slots=True)
class Digits:
    """Fret numbers that sound together."""

    x: float
    digits: tuple[Digit, ...]

    @property
    def place(self) -> tuple[float, float]:
        """Where to look for it."""
        return self.x, min(digit.y for digit in self.digits)


@dataclass(frozen=True, slots=True)
class Mark:
    """A sign at a place: a finger, a stroke, an accent, a letter, a rest; *value* says which."""

    x: float
    y: float
    value: str


@dataclass(frozen=True, slots=True)
class RestSign:
    """A rest by the value it is written with; *whole* may fill a bar of any length."""

    x: float
    y: float
    length: Fraction
    whole: bool


@dataclass(frozen=True, slots=True)
class Written:
    """What a head is worth by one of its stems.

    *direction* is empty where it has none; *open* heads of harmonics hide whether they are halves.
    """

    direction: Literal["up", "down", ""]
    length: Fraction
    open: bool = False


Values = Mapping[tuple[float, float], tuple[Written, ...]]  # by the left edge and the height of a head


@dataclass(frozen=True, slots=True)
class Reading:
    """All read from one system; *signature* counts sharps up, flats down; *meter* is empty where none stands.

    *strays* are accidentals and clefs that belong to nothing, *broken* upright lines that are no whole barline,
    *half_signs* repeats that lack dots.
    """

    system: System
    signature: int
    chords: tuple[Chord, ...]
    digits: tuple[Digits, ...]
    fingers: tuple[Mark, ...]
    accents: tuple[Mark, ...]
    strokes: tuple[Mark, ...]
    letters: tuple[Mark, ...]
    rests: tuple[RestSign, ...]
    bar_number: Mark | None
    barlines: tuple[float, ...]
    meter: str
    strays: tuple[Mark, ...]
    broken: tuple[tuple[float, float], ...]
    half_signs: tuple[tuple[float, float], ...]
    values: Values
