"""What a path is: a way to walk the neck from a start position.

Stage:    compose, answer 4 (pure)
Not here: the kinds themselves; each is a module of this package with one constant PATH
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction

from builder.errors import NoSolution
from builder.theory.fretboard import Instrument, Place
from builder.theory.neck import NeckRule, Player

Moment = tuple[int, ...]
"""MIDI numbers that sound together, lowest first; mostly one."""


@dataclass(frozen=True, slots=True)
class Group:
    """The moments of one set, one line or one voice, in their order; *line* = they run on past one hand position.

    *strings* fixes the string of single sounds, parallel to *moments*: None where the path is free. *times* are the
    onset and the length of each moment where the material itself knows them, else empty.
    """

    moments: tuple[Moment, ...]
    line: bool
    strings: tuple[tuple[int | None, ...], ...]
    times: tuple[tuple[Fraction, Fraction], ...] = ()


Places = tuple[tuple[tuple[Place, ...], ...], ...]
"""A place for every sound of every moment of every group."""


@dataclass(frozen=True, slots=True)
class Walk:
    """Where everything is played; *position* is where the hand stays throughout, None = the fingers decide."""

    places: Places
    position: int | None


@dataclass(frozen=True, slots=True)
class Path:
    """A kind of path. `walk(groups, start, rule, player)` raises `NoSolution`, worded for the reader of the report.

    *counted*: the spec writes `{kind: N}`. `start_strings(rule, instrument)` are those a study may begin on.
    """

    kind: str
    summary: str
    counted: bool
    walk: Callable[[tuple[Group, ...], Place, NeckRule, Player], Walk]
    start_strings: Callable[[NeckRule, Instrument], tuple[int, ...]]
    example: str


def each_moment(groups: Iterable[Group]) -> list[tuple[Moment, tuple[int | None, ...]]]:
    """Every moment of *groups* in turn with the strings it asks for; `NoSolution` counts them so."""
    return [pair for group in groups for pair in zip(group.moments, group.strings, strict=True)]


def any_string(rule: NeckRule, instrument: Instrument) -> tuple[int, ...]:
    """Every string that the rule leaves free."""
    return rule.strings or tuple(range(1, instrument.strings + 1))


def first_string(rule: NeckRule, instrument: Instrument) -> tuple[int, ...]:
    """The first string of a rule that fixes them, else every string."""
    return rule.strings[:1] if rule.strings else tuple(range(1, instrument.strings + 1))


def out_of_neck(frets: Iterable[int], instrument: Instrument) -> NoSolution | None:
    """The complaint about a fret that does not exist, if there is one among *frets*."""
    every = sorted(frets)
    if every[0] < 0:
        return NoSolution(f"needs fret {every[0]}")
    if every[-1] > instrument.last_fret:
        return NoSolution(f"needs fret {every[-1]}; the last one is {instrument.last_fret}")
    return None


def check_open_strings(frets: Iterable[int], rule: NeckRule, instrument: Instrument, stretch: int = 0) -> None:
    """Raise NoSolution where a string is played open against the rule; by default it may be in position 1 only.

    Position 1 is as wide as the hand, and *stretch* frets wider.
    """
    every = set(frets)
    if 0 not in every or rule.open_strings:
        return
    if rule.open_strings is False:
        raise NoSolution("needs an open string")
    if max(every) > instrument.position_width + stretch:
        raise NoSolution(f"needs an open string next to fret {max(every)}")
