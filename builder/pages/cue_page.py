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
from textwrap import wrap

from builder.pages.page import Paper
from builder.pages.phrases import Phrases
from builder.pages.sides import pieces

_CUE_MM, _SAY_MM = 38.0, 68.0  # columns of the cues: 18 letters at 11 pt bold; a sentence on two lines at 9 pt
# The same in large print: a row of two lines and the most of a row; a line; letters of a cue in bold and of a sentence,
# as measured; the share of the line beside the cues that the sentences take (our own choice).
_LARGE_CUE_ROW_MM = (18.0, 36.0)
_LARGE_CUE_LINE_MM, _LARGE_CUE_LETTER_MM, _LARGE_SAY_LETTER_MM = 7.0, 3.3, 2.9
_LARGE_SAY_SHARE = 0.6
_CUE_ROW_MM = (12.0, 24.0)  # least to write a line in, most that still looks like a table
_SCAN_HEAD_MM, _LARGE_SCAN_HEAD_MM = 78.0, 92.0  # title, lead, head row and margins; measured on trial pages


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
    if paper.large:
        rows, row_mm = _large_rows(listed, widths[1], free)
    else:
        rows = _cues_a_side(len(ids), free)
        row_mm = min(_CUE_ROW_MM[1], free / rows)
    return ScanPage(
        title=phrases("scan.title"),
        lead=phrases("scan.lead"),
        heads=(phrases("scan.place"), phrases("scan.do"), phrases("scan.notice")),
        cues=listed,
        widths_mm=(*widths, round(paper.line_mm - sum(widths), 1)),
        row_mm=round(row_mm, 1),
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


def _large_rows(cues: Sequence[tuple[str, str]], say_mm: float, free_mm: float) -> tuple[int, float]:
    """How many rows a side has and how high they are at least, however long their sentences are.

    They stand on as few sides as hold them, all about as full, and are as high as that allows: room to write.
    """
    letters = int((say_mm - 3) / _LARGE_SAY_LETTER_MM)
    said = [len(wrap(say, letters)) * _LARGE_CUE_LINE_MM + 4 for _, say in cues]

    def fits(rows: int, row_mm: float) -> bool:
        return all(sum(max(row_mm, height) for height in side) <= free_mm for side in pieces(said, rows))

    least, most = _LARGE_CUE_ROW_MM
    counts = (ceil(len(cues) / sides) for sides in range(1, len(cues) + 1))
    rows = next((rows for rows in counts if fits(rows, least)), 1)
    heights = (float(height) for height in range(int(most), int(least), -1))
    return rows, next((height for height in heights if fits(rows, height)), least)
