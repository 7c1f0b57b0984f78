"""What a book plays, where and in what, and what it leaves out.

Stage:    curriculum (pure)
In, Out:  studies in the order of the book; counts, tables, holes, the curve of difficulty and its jumps
Units:    counts are notes struck or slurred, each once: the continuation of a tied note is not counted; scores 0…100
Source:   the expected count of a cell, row total × column total / all, is K. Pearson's (On the Theory of Contingency,
          1904); that a cell is the worse a hole the more its row and column lead one to expect is our own choice; so
          are the zones of the neck and the size of a jump, with their reasons in shared/planning.yaml
Not here: the neck map and the curve as pictures (`pages`)
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Literal

from builder.theory.score import Note, Study

Axis = Literal["string", "zone", "key", "meter"]
AXES: tuple[Axis, ...] = ("string", "zone", "key", "meter")


@dataclass(frozen=True, slots=True)
class CoverageRule:
    """How a book is looked at: the last position of each zone but the highest; a *jump* in points.

    *apart* names the axis that says nothing about a skill, such as meters about a skill for uneven ones.
    """

    zones: tuple[int, ...]
    jump: float
    apart: Mapping[str, Axis]

    @property
    def zone_names(self) -> tuple[str, ...]:
        """The zones as their positions, low to high: 1, 2–4, 5–8, 9–12, 13+."""
        firsts = (1, *(last + 1 for last in self.zones))
        inner = zip(firsts, self.zones, strict=False)
        return (*(f"{first}–{last}" if first < last else str(last) for first, last in inner), f"{firsts[-1]}+")

    def zone(self, position: int) -> str:
        """The zone that *position* belongs to."""
        return self.zone_names[bisect_left(self.zones, position)]


@dataclass(frozen=True, slots=True)
class PlaceCount:
    """How often *string* is played at *fret*."""

    string: int
    fret: int
    times: int


@dataclass(frozen=True, slots=True)
class Cell:
    """How much of *skill* is played in one *column* of an axis; *expected* is what the rest of the table leads to."""

    skill: str
    axis: Axis
    column: str
    notes: int
    studies: int
    expected: float


@dataclass(frozen=True, slots=True)
class Table:
    """One axis of an instrument: *cells* row by row, as many in each as there are *columns*."""

    axis: Axis
    skills: tuple[str, ...]
    columns: tuple[str, ...]
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class InstrumentCoverage:
    """What is played on one instrument: every place of its neck, string 1 first, and a table for each axis."""

    instrument: str
    places: tuple[PlaceCount, ...]
    tables: tuple[Table, ...]


@dataclass(frozen=True, slots=True)
class Point:
    """A study on the curve of difficulty."""

    study: str
    level: int
    score: float


@dataclass(frozen=True, slots=True)
class Jump:
    """A step from one study to the next that is steeper than the rule allows."""

    before: Point
    after: Point

    @property
    def points(self) -> float:
        """How steep it is."""
        return round(self.after.score - self.before.score, 2)

    @property
    def sentence(self) -> str:
        """The same in words."""
        scores = f"from {self.before.score:g} to {self.after.score:g}"
        return f"Difficulty jumps by {self.points:g}, {scores}, between {self.before.study} and {self.after.study}."


@dataclass(frozen=True, slots=True)
class Hole:
    """Something a book could be expected to have and has not: *cell* on *instrument*."""

    instrument: str
    cell: Cell

    @property
    def sentence(self) -> str:
        """The same in words."""
        cell = self.cell
        place = {
            "string": f"on string {cell.column}",
            "zone": f"in position {cell.column}",
            "key": f"in {cell.column}",
            "meter": f"in {cell.column}",
        }[cell.axis]
        rest = f"notes expected from the rest of the book: {cell.expected:.0f}"
        return f"No {cell.skill} {place} ({self.instrument}); {rest}."


@dataclass(frozen=True, slots=True)
class Coverage:
    """What a book covers: each instrument, most played first; holes and jumps, the worst first."""

    instruments: tuple[InstrumentCoverage, ...]
    holes: tuple[Hole, ...]
    curve: tuple[Point, ...]
    jumps: tuple[Jump, ...]

    def worst(self, count: int = 3) -> tuple[str, ...]:
        """The worst *count* holes and as many jumps in words, holes first."""
        holes = [hole.sentence for hole in self.holes[:count]]
        return (*holes, *(jump.sentence for jump in self.jumps[:count]))


def coverage_rule(table: Mapping[str, Any]) -> CoverageRule:
    """Build the rule from the plain values of shared/planning.yaml; raise KeyError where the file is not whole."""
    values = table["coverage"]
    return CoverageRule(tuple(values["zones"]), float(values["jump"]), values["apart"])


def cover(studies: Sequence[Study], rule: CoverageRule) -> Coverage:
    """Look at *studies*, which stand in the order of the book."""
    by_instrument: dict[str, list[Study]] = {}
    for study in studies:
        by_instrument.setdefault(study.instrument.name, []).append(study)
    found = [_on_instrument(group, rule) for group in by_instrument.values()]
    found.sort(key=lambda each: (-sum(place.times for place in each.places), each.instrument))
    curve = tuple(Point(study.id, study.level, study.metrics.score) for study in studies)
    return Coverage(tuple(found), _holes(found, rule), curve, jumps(curve, rule.jump))


def jumps(curve: Sequence[Point], most: float) -> tuple[Jump, ...]:
    """Return the steps upwards of more than *most* points, the steepest first."""
    found = [Jump(before, after) for before, after in pairwise(curve)]
    steep = [jump for jump in found if jump.points > most]
    return tuple(sorted(steep, key=lambda jump: -jump.points))


def notes_of(study: Study) -> tuple[Note, ...]:
    """Return the notes that are struck or slurred."""
    return tuple(event for event in study.events if isinstance(event, Note) and not event.tied)


def _on_instrument(studies: Sequence[Study], rule: CoverageRule) -> InstrumentCoverage:
    instrument = studies[0].instrument
    times = Counter((note.string, note.fret) for study in studies for note in notes_of(study))
    places = tuple(
        PlaceCount(string, fret, times[string, fret])
        for string in range(1, instrument.strings + 1)
        for fret in range(instrument.last_fret + 1)
    )
    columns = {
        "string": [str(string) for string in range(1, instrument.strings + 1)],
        "zone": list(rule.zone_names),
        "key": sorted({str(study.key) for study in studies}),
        "meter": sorted({str(study.meter) for study in studies}),
    }
    tables = tuple(_table(studies, axis, columns[axis], rule) for axis in AXES)
    return InstrumentCoverage(instrument.name, places, tables)


def _table(studies: Sequence[Study], axis: Axis, columns: Sequence[str], rule: CoverageRule) -> Table:
    skills = sorted({skill for study in studies for skill in study.skills})
    notes, held = Counter[tuple[str, str]](), Counter[tuple[str, str]]()
    for study in studies:
        here = Counter(_column(study, note, axis, rule) for note in notes_of(study))
        for skill in study.skills:
            notes.update({(skill, column): count for column, count in here.items()})
            held.update((skill, column) for column in here)
    rows = {skill: sum(notes[skill, column] for column in columns) for skill in skills}
    sums = {column: sum(notes[skill, column] for skill in skills) for column in columns}
    every = sum(rows.values()) or 1
    cells = tuple(
        Cell(skill, axis, column, notes[skill, column], held[skill, column], rows[skill] * sums[column] / every)
        for skill in skills
        for column in columns
    )
    return Table(axis, tuple(skills), tuple(columns), cells)


def _column(study: Study, note: Note, axis: Axis, rule: CoverageRule) -> str:
    """Which column of *axis* a note belongs to."""
    match axis:
        case "string":
            return str(note.string)
        case "zone":
            return rule.zone(note.position)
        case "key":
            return str(study.key)
        case "meter":
            return str(study.meter)


def _holes(found: Iterable[InstrumentCoverage], rule: CoverageRule) -> tuple[Hole, ...]:
    """The empty cells of skills and columns that are used elsewhere, the most expected first."""
    holes = [
        Hole(each.instrument, cell)
        for each in found
        for table in each.tables
        for cell in table.cells
        if not cell.notes and cell.expected > 0 and rule.apart.get(cell.skill) != cell.axis
    ]
    return tuple(sorted(holes, key=lambda hole: (-hole.cell.expected, hole.sentence)))


def coverage_json(coverage: Coverage) -> dict[str, Any]:
    """Return the same as plain data: neck and tables as rows of counts, what is missing and what jumps as sentences."""
    return {
        "instruments": [
            {
                "name": each.instrument,
                "neck": _rows([place.times for place in each.places], len({place.fret for place in each.places})),
                "tables": [
                    {
                        "axis": table.axis,
                        "skills": list(table.skills),
                        "columns": list(table.columns),
                        "notes": _rows([cell.notes for cell in table.cells], len(table.columns)),
                        "studies": _rows([cell.studies for cell in table.cells], len(table.columns)),
                    }
                    for table in each.tables
                ],
            }
            for each in coverage.instruments
        ],
        "holes": [hole.sentence for hole in coverage.holes],
        "curve": [{"study": point.study, "level": point.level, "score": point.score} for point in coverage.curve],
        "jumps": [jump.sentence for jump in coverage.jumps],
    }


def _rows(values: Sequence[int], width: int) -> list[list[int]]:
    return [list(values[start : start + width]) for start in range(0, len(values), width)]
