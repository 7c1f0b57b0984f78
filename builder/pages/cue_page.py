"""The cues of a book with what each asks for, and room to write down what one notices.

Stage:    6 assemble (pure)
In, Out:  ids of cues, their words and sentences; a `ScanPage` with its rows dealt to sides
Units:    millimetres
Not here: the cues under the rests of a study (`study_page`), how the table is drawn (templates/book/scan.ly)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from builder.pages.page import Paper
from builder.pages.phrases import Phrases
from builder.pages.sides import pieces

_CUE_MM, _SAY_MM = 38.0, 68.0  # columns of the cues: 18 letters at 11 pt bold; a sentence on two lines at 9 pt
# The same in large print: a row of two lines, a line; letters of a cue in bold and of a sentence, as measured; the
# share of the line beside the cues that the sentences take (our own choice).
_LARGE_CUE_ROW_MM, _LARGE_CUE_LINE_MM, _LARGE_CUE_LETTER_MM, _LARGE_SAY_LETTER_MM = 18.0, 7.0, 3.3, 3.0
_LARGE_SAY_SHARE = 0.6
_CUE_ROW_MM = (12.0, 24.0)  # least to write a line in, most that still looks like a table
_SCAN_HEAD_MM, _LARGE_SCAN_HEAD_MM = 78.0, 94.0  # title, lead, head row and margins; measured on trial pages


@dataclass(frozen=True, slots=True)
class ScanPage:
    """The cues of the book: the printed words, what to do, and room to write what one notices."""

    title: str
    lead: str
    heads: tuple[str, str, str]
    cues: tuple[tuple[str, str], ...]
    widths_mm: tuple[float, float, float]
    row_mm: float
    cues_a_side: int


def scan_page(
    used: Sequence[str], paper: Paper, phrases: Phrases, cues: Mapping[str, str], says: Mapping[str, str]
) -> ScanPage:
    """The cues with these ids, or all when none is used; the rows share the height of the side."""
    ids = [cue for cue in cues if cue in used] or list(cues)
    listed = tuple((cues[cue], says.get(cue, "")) for cue in ids)
    widths = _large_cue_widths_mm(listed, paper) if paper.large else (_CUE_MM, _SAY_MM)
    free = paper.height_mm - (_LARGE_SCAN_HEAD_MM if paper.large else _SCAN_HEAD_MM)
    rows = _large_cues_a_side(listed, widths[1], free) if paper.large else _cues_a_side(len(ids), free)
    return ScanPage(
        title=phrases("scan.title"),
        lead=phrases("scan.lead"),
        heads=(phrases("scan.place"), phrases("scan.do"), phrases("scan.notice")),
        cues=listed,
        widths_mm=(*widths, round(paper.line_mm - sum(widths), 1)),
        row_mm=_LARGE_CUE_ROW_MM if paper.large else round(min(_CUE_ROW_MM[1], free / rows), 1),
        cues_a_side=rows,
    )


def _cues_a_side(cues: int, free_mm: float) -> int:
    """How many rows a side has, all sides about as many."""
    return max(1, ceil(cues / max(1, ceil(cues * _CUE_ROW_MM[0] / free_mm))))


def _large_cue_widths_mm(cues: Sequence[tuple[str, str]], paper: Paper) -> tuple[float, float]:
    """The columns of cues and sentences in large print: no word of a cue is wider than its own."""
    longest = max((len(word) for words, _ in cues for word in words.split()), default=0)
    cue_mm = max(_CUE_MM, longest * _LARGE_CUE_LETTER_MM + 4)
    return round(cue_mm, 1), round((paper.line_mm - cue_mm) * _LARGE_SAY_SHARE, 1)


def _large_cues_a_side(cues: Sequence[tuple[str, str]], say_mm: float, free_mm: float) -> int:
    """As many rows as every side holds, however long their sentences are."""
    letters = (say_mm - 3) / _LARGE_SAY_LETTER_MM
    heights = [max(_LARGE_CUE_ROW_MM, ceil(len(say) / letters + 0.4) * _LARGE_CUE_LINE_MM + 4) for _, say in cues]
    tries = range(len(cues), 1, -1)
    return next((rows for rows in tries if all(sum(some) <= free_mm for some in pieces(heights, rows))), 1)


def _one_or_many(count: int) -> str:
    return "one" if count == 1 else "many"
