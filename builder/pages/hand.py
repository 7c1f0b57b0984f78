"""What the fretting hand is told over the staff: chord diagrams, barres, shifts.

Stage:    4 lay out (pure)
In, Out:  a `Study`; `Diagram`s, `Barre`s and `Shift`s; the study without the fingers a diagram tells already
Source:   Roman numerals for positions and a C before the fret of a barre: common practice of guitar editions, where
          letters differ from country to country; a ring for a finger that stays down is our own choice
Not here: finding shapes, barres and positions (`theory`), drawing them (templates/style.ily)
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, pairwise

from builder.theory.score import BarreMark, Note, ShapeMark, Study

_LEAST_ROWS = 4  # a grid of fewer rows does not look like a neck
_TENS, _ONES = ("", "X", "XX"), ("", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX")


@dataclass(frozen=True, slots=True)
class GridDot:
    """A finger on a diagram, *row* counted from 1; *finger* 0 where none is named; *kept*: it stays from before."""

    string: int
    row: int
    finger: int
    kept: bool


@dataclass(frozen=True, slots=True)
class GridBarre:
    """One finger over several strings of a diagram."""

    from_string: int
    to_string: int
    row: int


@dataclass(frozen=True, slots=True)
class Diagram:
    """A chord shape as a grid; *first* is the fret of its first row."""

    strings: int
    first: int
    rows: int
    dots: tuple[GridDot, ...]
    barres: tuple[GridBarre, ...]
    open: tuple[int, ...]
    muted: tuple[int, ...]

    @property
    def left_mm(self) -> float:
        """How far it reaches left of its notes, as style.ily draws it: half a disc, the number of its first fret."""
        return 1.3 + (4.4 if self.first > 1 else 0.0)

    @property
    def right_mm(self) -> float:
        """How far it reaches to their right: its strings, half a disc."""
        return 2.75 * (self.strings - 1) + 1.3

    @property
    def height_mm(self) -> float:
        """How high it is, open strings and air included."""
        return 2.9 * self.rows + 4.7


@dataclass(frozen=True, slots=True)
class Barre:
    """A barre from the notes at *onset* to those at *last*; `full` over all strings, `half` over fewer."""

    onset: Fraction
    last: Fraction
    fret: str
    full: bool


@dataclass(frozen=True, slots=True)
class Shift:
    """Where the hand moves without a rest to do it in: the fret the first finger comes to."""

    onset: Fraction
    fret: str


def roman(number: int) -> str:
    """A fret as a Roman numeral.

    >>> roman(1), roman(4), roman(9), roman(12), roman(24)
    ('I', 'IV', 'IX', 'XII', 'XXIV')
    """
    return _TENS[number // 10] + _ONES[number % 10]


# --- diagrams ---------------------------------------------------------------------------------------------------------


def diagrams(study: Study) -> dict[Fraction, Diagram]:
    """The diagrams to print, by onset: each shape where it is met first, with the fingers that stay down in it."""
    found: dict[Fraction, Diagram] = {}
    for mark, notes in zip(study.shapes, _played_in(study), strict=True):
        made = diagram(mark, frozenset(note.string for note in notes if note.kept))
        if made not in found.values():
            found[mark.onset] = made
    return found


def _played_in(study: Study) -> tuple[list[Note], ...]:
    """The notes that begin while each shape is held."""
    held: tuple[list[Note], ...] = tuple([] for _ in study.shapes)
    starts = [mark.onset for mark in study.shapes]
    for event in study.events:
        place = bisect_right(starts, event.onset) - 1
        if isinstance(event, Note) and place >= 0:
            held[place].append(event)
    return held


def diagram(mark: ShapeMark, kept: frozenset[int]) -> Diagram:
    """Draw *mark*; *kept* are the strings whose fingers stay down from the shape before."""
    stopped = {string: fret for string, fret in enumerate(mark.frets, start=1) if fret}
    top = max(stopped.values(), default=1)
    first = 1 if top <= _LEAST_ROWS else min(stopped.values())
    fingers = {string: mark.fingers[string - 1] or 0 for string in stopped}
    barres = tuple(_barres(stopped, fingers, first))
    # A barre's number stands once, at its low end.
    covered = {(string, barre.row) for barre in barres for string in range(barre.to_string, barre.from_string)}
    dots = (
        GridDot(string, fret - first + 1, fingers[string], string in kept)
        for string, fret in stopped.items()
        if (string, fret - first + 1) not in covered
    )
    return Diagram(
        strings=len(mark.frets),
        first=first,
        rows=max(_LEAST_ROWS, top - first + 1),
        dots=tuple(dots),
        barres=barres,
        open=tuple(string for string, fret in enumerate(mark.frets, start=1) if fret == 0),
        muted=tuple(string for string, fret in enumerate(mark.frets, start=1) if fret is None),
    )


def _barres(stopped: dict[int, int], fingers: dict[int, int], first: int) -> Iterator[GridBarre]:
    """Fingers that stop several strings at one fret."""
    held: defaultdict[tuple[int, int], list[int]] = defaultdict(list)
    for string, fret in stopped.items():
        if fingers[string]:
            held[fingers[string], fret].append(string)
    for (_, fret), strings in sorted(held.items()):
        if len(strings) > 1:
            yield GridBarre(max(strings), min(strings), fret - first + 1)


def without_told_fingers(study: Study) -> Study:
    """Return *study* with no number at a note whose finger the diagram over it tells, or a slide that leads to it."""
    starts = [mark.onset for mark in study.shapes]

    def told(note: Note) -> bool:
        if note.technique == "slide":
            return True
        place = bisect_right(starts, note.onset) - 1
        if place < 0:
            return False
        mark, string = study.shapes[place], note.string - 1
        return (mark.frets[string], mark.fingers[string] or 0) == (note.fret, note.finger)

    events = (
        replace(event, finger_printed=False)
        if isinstance(event, Note) and event.finger_printed and told(event)
        else event
        for event in study.events
    )
    return replace(study, events=tuple(events))


# --- barres and shifts ------------------------------------------------------------------------------------------------


def barres(study: Study) -> tuple[Barre, ...]:
    """The barres of *study*, each up to the last note struck under it, none reaching into the next one.

    Of two that begin together the larger one is shown; where a diagram shows it, none.
    """
    drawn = {onset for onset, grid in diagrams(study).items() if grid.barres}
    struck = sorted({event.onset for event in study.events if isinstance(event, Note) and not event.tied})
    largest: dict[Fraction, BarreMark] = {}
    for mark in study.barres:
        if mark.onset in drawn:
            continue
        if mark.onset not in largest or largest[mark.onset].strings < mark.strings:
            largest[mark.onset] = mark
    marks = [largest[onset] for onset in sorted(largest)]
    ends = [min(mark.end, after.onset) for mark, after in pairwise(marks)] + [mark.end for mark in marks[-1:]]
    return tuple(_barre(mark, end, struck, study.instrument.strings) for mark, end in zip(marks, ends, strict=True))


def _barre(mark: BarreMark, end: Fraction, struck: Sequence[Fraction], strings: int) -> Barre:
    under = [onset for onset in struck if mark.onset <= onset < end]
    return Barre(mark.onset, under[-1] if under else mark.onset, roman(mark.fret), mark.strings >= strings)


def shifts(study: Study) -> tuple[Shift, ...]:
    """Where the position changes between notes that follow each other without a rest.

    Open strings and harmonics have no position. A diagram, a barre or a slide tells the new one itself, and so does
    a finger that goes on along the string it slid on.
    """
    told = {mark.onset for mark in study.shapes} | {mark.onset for mark in study.barres}
    notes = sorted((event for event in study.events if isinstance(event, Note)), key=lambda note: note.onset)
    found: list[Shift] = []
    position, sounding, rested = 0, Fraction(0), True
    slid: tuple[int, int] | None = None
    for onset, group in groupby(notes, key=lambda note: note.onset):
        together = list(group)
        rested = rested or onset > sounding
        fretted = [note for note in together if note.fret and not note.tied and note.technique != "harmonic"]
        if fretted:
            moved = fretted[0].position != position and fretted[0].technique != "slide"
            finger = (fretted[0].string, fretted[0].finger)
            if moved and not rested and finger != slid and onset not in told:
                found.append(Shift(onset, roman(fretted[0].position)))
            position, rested = fretted[0].position, False
            slid = finger if fretted[0].technique == "slide" else None
        sounding = max([sounding, *(note.onset + note.duration for note in together)])
    return tuple(found)
