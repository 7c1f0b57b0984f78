"""What a student takes home from a term: a slip for each week, to cut out, and a log of what was practised.

Stage:    6 assemble (pure)
In, Out:  a `TermPlan`, the studies, page labels; values for the templates, side by side of paper
Units:    minutes of playing, lengths in `_mm`
Not here: the plan itself and its weeks (`term_pages`)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from builder.curriculum.term import Sitting, TermPlan
from builder.pages.front import Labels
from builder.pages.order import study_key
from builder.pages.page import Paper, paper_of
from builder.pages.phrases import Phrases
from builder.pages.sides import dealt, even_pieces, room_mm
from builder.pages.term_pages import MOST_TURNS, by_week
from builder.spec.plan import BookPlan
from builder.theory.score import Study

# Heights as templates/book/slips.ly draws them; a box to tick needs a little more than a line (our own choice).
_SLIP_MM, _SLIP_LEAD_MM = 36.0, 8.0
_SLIP_PITCHES_MM = (7.0, 6.6, 6.2, 5.8, 5.4, 5.0)
_SLIPS_A_SIDE = 4
# Title, lead, name line, head row, caution, foot of the log as the log of days has them; the same in large print.
_LOG_MM, _LARGE_LOG_MM = 93.0, 140.0


@dataclass(frozen=True, slots=True)
class SlipRow:
    """A study of a slip; *days* tells of each practice day whether it comes up."""

    study: str
    title: str
    label: str
    tempo: str
    days: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class Slip:
    """What one student takes home for a week."""

    heading: str
    minutes: str
    days: tuple[str, ...]
    rows: tuple[SlipRow, ...]


@dataclass(frozen=True, slots=True)
class SlipSide:
    """The slips of one side, and the way from line to line."""

    slips: tuple[Slip, ...]
    pitch_mm: float


@dataclass(frozen=True, slots=True)
class SlipSides:
    """Slips dealt on sides; *student* is printed where it is known, else there is a line to write it on."""

    name: str
    student: str
    sign: str
    lead: str
    heads: tuple[str, str, str, str]
    sides: tuple[SlipSide, ...]


@dataclass(frozen=True, slots=True)
class PracticeLog:
    """A ruled page: what was practised, how often it was clean, how easy it felt, what changed."""

    title: str
    lead: str
    name: str
    heads: tuple[str, ...]
    widths_mm: tuple[float, ...]
    row_mm: float
    rows: int


def slip_sides(plan: TermPlan, book: BookPlan, studies: Sequence[Study], labels: Labels, phrases: Phrases) -> SlipSides:
    """A slip a week, up to four on a side: every study once, with a box to tick for each day on which it comes up."""
    titles = {study.id: study.title for study in studies}
    slips = [slip for number, week in by_week(plan) for slip in _slips(number, week, titles, labels, phrases)]
    room = room_mm(paper_of(book)) - _SLIP_LEAD_MM
    blocks = [(slip, _SLIP_MM + _SLIP_PITCHES_MM[-1] * len(slip.rows)) for slip in slips]
    heads = tuple(phrases(f"plan.head.{name}") for name in ("study", "page", "tempo"))
    return SlipSides(
        name=phrases("term-log.name"),
        student=book.student,
        sign=phrases("slip.sign"),
        lead=phrases("slip.lead"),
        heads=(*heads, phrases("slip.tick")),  # type: ignore[arg-type]  # three of them
        sides=tuple(_slip_side(side, room) for side in dealt(blocks, room, most=_SLIPS_A_SIDE)),
    )


def _slips(
    number: int, week: Sequence[Sitting], titles: Mapping[str, str], labels: Labels, phrases: Phrases
) -> tuple[Slip, ...]:
    """The slip of a week; several where one would be longer than a side."""
    names = phrases.lines("slip.days")
    tempos: dict[str, dict[str, None]] = {}
    for sitting in week:
        for turn in sitting.turns:
            tempos.setdefault(turn.study, {})[str(turn.tempo)] = None
    rows = [
        SlipRow(
            study=study,
            title=titles.get(study, study),
            label=labels.get(study_key(study), ""),
            tempo=", ".join(marks),
            days=tuple(any(turn.study == study for turn in sitting.turns) for sitting in week),
        )
        for study, marks in tempos.items()
    ]
    heading = phrases("plan.heading", week=number)
    continued = phrases("page.continued", title=heading)
    minutes = phrases("slip.minutes", minutes=", ".join(str(sitting.minutes) for sitting in week))
    days = tuple(names[sitting.day - 1] for sitting in week)
    return tuple(
        Slip(continued if place else heading, minutes, days, piece)
        for place, piece in enumerate(even_pieces(rows, MOST_TURNS))
    )


def _slip_side(slips: tuple[Slip, ...], room: float) -> SlipSide:
    rows = sum(len(slip.rows) for slip in slips)
    left = room - _SLIP_MM * len(slips)
    return SlipSide(slips, next((p for p in _SLIP_PITCHES_MM if p * rows <= left), _SLIP_PITCHES_MM[-1]))


def practice_log(paper: Paper, phrases: Phrases) -> PracticeLog:
    """A page to write a line of after every turn that taught something."""
    widths = (14.5, 26.0, 13.5, 21.5, 20.5) if paper.narrow else (22.0, 50.0, 18.0, 24.0, 20.0)
    if paper.large:
        widths = (25.0, 40.0, 24.0, 25.0, 24.0)
    free = paper.height_mm - (_LARGE_LOG_MM if paper.large else _LOG_MM)
    rows = int(free / (11.0 if paper.large else 7.5))
    return PracticeLog(
        title=phrases("turn-log.title"),
        lead=phrases("turn-log.lead"),
        name=phrases("term-log.name"),
        heads=phrases.lines("turn-log.heads"),
        widths_mm=(*widths, round(paper.line_mm - sum(widths), 1)),
        row_mm=round(free / rows, 2),
        rows=rows,
    )
