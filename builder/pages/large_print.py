"""The first side of a study in large print: title, map, tempo, what to listen for, log; the music has its own sides.

Stage:    4 lay out (pure)
In, Out:  the rungs of a study; the same rungs with notes and as many rows of log as the first side holds
Units:    millimetres
Source:   letters of 16 points and their lines as measured on trial pages
Not here: the music on its sides (`layout`), the sizes of words (templates/large_print.ily)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

from builder.pages.layout import LOG_ROWS, Room
from builder.pages.page import NeckMap, Paper, Rung
from builder.theory.score import Study

LARGE_STRING_GAP_MM = 7.5  # a disc with a letter of 16 points
_LETTER_MM, _LINE_MM = 3.1, 7.0  # of running text
_TITLE_LETTER_MM, _TITLE_LINE_MM = 5.6, 11.5
_TEMPO_MM, _MAP_AROUND_MM, _GAPS_MM = 34.0, 12.0, 10.0
_INSTRUCTION_LINES = 2
_LOG_MM, _ROW_MM, _HIGH_ROW_MM = 26.0, 11.0, 13.0  # label and head row; a row, the highest
_NOTES_HEAD_MM, _NOTE_AIR_MM = 14.0, 1.5
_LEAST_ROWS, _MOST_ROWS = 2, 8
_HOPE_MM = 17.0  # on 89 first sides of the demonstration book all this is 28 to 49 mm too high


def large_head_mm(study: Study, neck_map: NeckMap, facts: str, paper: Paper) -> float:
    """How high everything over the log is on the first side."""
    title = _TITLE_LINE_MM * ceil(len(study.title) * _TITLE_LETTER_MM / (paper.line_mm - 40))
    words = sum(_lines(text, paper) for text in (study.aim, facts)) + _INSTRUCTION_LINES + 1
    neck = neck_map.gap_mm * (len(neck_map.strings) - 1) + _MAP_AROUND_MM
    return title + words * _LINE_MM + neck + _TEMPO_MM + _GAPS_MM


def with_large_head(rungs: Sequence[Rung], room: Room, head_mm: float, notes: Sequence[str]) -> tuple[Rung, ...]:
    """The *rungs* with what the first side holds below the tempo: rows of a log, and notes where there is room.

    The first one trusts that all is as high as on trial pages, those behind it that it is as high as it may be.
    """
    free = room.body_mm - head_mm - room.caution_mm - _LOG_MM - room.warnings * 2 * _LINE_MM
    filled = [_filled(rungs[0], free + _HOPE_MM, notes, room), *(_filled(rung, free, notes, room) for rung in rungs)]
    return tuple(dict.fromkeys(filled))


def _filled(rung: Rung, free: float, notes: Sequence[str], room: Room) -> Rung:
    """The *rung* with what *free* millimetres hold."""
    told = _NOTES_HEAD_MM + sum(_LINE_MM * _lines(note, room.paper) + _NOTE_AIR_MM for note in notes)
    noted = bool(notes) and free - told >= LOG_ROWS * _ROW_MM
    left = free - (told if noted else 0.0)
    rows = min(_MOST_ROWS, max(_LEAST_ROWS, int(left / _ROW_MM)))
    row_mm = round(min(_HIGH_ROW_MM, max(_ROW_MM, left / rows)), 2)
    return replace(rung, log_rows=rows, log_row_mm=row_mm, notes_side=0 if noted else None)


def _lines(text: str, paper: Paper) -> int:
    """How many lines a text takes."""
    return ceil(len(text) * _LETTER_MM / paper.line_mm)
