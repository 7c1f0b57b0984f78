"""Some bars of a study, to be quoted in a text.

Stage:    6 assemble (pure)
In, Out:  a `Study` and the numbers of bars; a shorter `Study`, and its `Music` on a `Rung` as wide as the text
Units:    millimetres
Source:   a staff of 16 points at most beside text of 11: the smallest that studies are printed at (`layout`)
Not here: the text around it (`spec.prose`)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TypeVar

from builder.pages.dealing import deals
from builder.pages.hand import without_told_fingers
from builder.pages.measure import SHORTEST_UNITS, Measure
from builder.pages.page import Music, Rung
from builder.pages.phrases import Phrases
from builder.pages.staff import space_mm
from builder.pages.study_page import music_of
from builder.spec.plan import BookPlan
from builder.theory.score import ChordMark, Event, Note, ShapeMark, Study

M = TypeVar("M", ChordMark, ShapeMark)
_LARGEST_STAFF = 16.0
_WIDEST_NOTE_MM = 9.0  # notes further apart than this look lost: the line then ends before the text does


@dataclass(frozen=True, slots=True)
class Excerpt:
    """Music to quote; *short*: its one line ends before the text does."""

    music: Music
    rung: Rung
    shortest: Fraction
    short: bool


def excerpt(
    study: Study, first: int, last: int, width_mm: float, book: BookPlan, phrases: Phrases, cues: Mapping[str, str]
) -> Excerpt:
    """Bars *first* to *last* of *study* on lines of *width_mm*."""
    part = without_told_fingers(bars_of(study, first, last))
    music = replace(music_of(part, book, phrases, cues), whole=last == study.bars and not study.repeats)
    measure = Measure(music, part.meter, part.key.signature, width_mm)
    size = book.staff_size if book.large_print else min(_LARGEST_STAFF, book.staff_size)
    deal = deals(measure, size)[0]
    short = len(deal.rows) == 1 and deal.most_note_mm > _WIDEST_NOTE_MM
    way = min(deal.least_note_mm, _WIDEST_NOTE_MM)
    rung = Rung(
        staff_size=size,
        system_starts=tuple(row[0].start for row in deal.rows),
        turns=(),
        increment=round(way / SHORTEST_UNITS / space_mm(size) * 0.94, 3),
        ragged=False,
        head_alone=False,
        cues_kept=tuple(row.cue_kept for row in deal.widths),
        reach_mm=0.0,
        log_rows=0,
        log_row_mm=0.0,
        notes_side=None,
        foot_mm=0.0,
        pads_mm=(0.0,),
    )
    return Excerpt(music, rung, measure.shortest, short)


def bars_of(study: Study, first: int, last: int) -> Study:
    """The study of these bars alone, counted anew; what hangs on a note before them stands by itself."""
    began, end = (first - 1) * study.meter.bar, last * study.meter.bar
    events = tuple(_moved(event, first, began) for event in study.events if first <= event.bar <= last)
    chords = _from(study.chords, began, end)
    shapes = _from(study.shapes, began, end)
    barres = tuple(
        replace(mark, onset=max(mark.onset, began) - began, end=min(mark.end, end) - began)
        for mark in study.barres
        if mark.onset < end and mark.end > began
    )
    return replace(
        study,
        events=events,
        bars=last - first + 1,
        chords=chords,
        shapes=shapes,
        barres=barres,
        section_starts=(),
        repeats=False,
    )


def _moved(event: Event, first: int, began: Fraction) -> Event:
    """*event* counted from the first quoted bar; a note at its very beginning is reached from nowhere."""
    moved = replace(event, bar=event.bar - first + 1, onset=event.onset - began)
    if isinstance(moved, Note) and moved.onset == 0 and (moved.tied or moved.slurred or moved.guide or moved.technique):
        technique = moved.technique if moved.technique == "harmonic" else None
        return replace(moved, tied=False, slurred=False, guide=False, technique=technique)
    return moved


def _from(marks: tuple[M, ...], began: Fraction, end: Fraction) -> tuple[M, ...]:
    """The marks between, and what still holds when they begin."""
    before: list[M] = [mark for mark in marks if mark.onset <= began]
    held: list[M] = [replace(mark, onset=Fraction(0)) for mark in before[-1:]]
    inside: list[M] = [replace(mark, onset=mark.onset - began) for mark in marks if began < mark.onset < end]
    return tuple(held + inside)
