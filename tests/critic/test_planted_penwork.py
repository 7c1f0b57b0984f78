"""Faults planted in what is drawn at notes are found: ledger lines, stems and beams, the ground of digits."""

from __future__ import annotations

from pathlib import Path

import pytest
from pypdf.generic import FloatObject, NumberObject

from builder.critic import read_book
from tests.critic.conftest import Finished
from tests.critic.planting import Change, Stream, planted

pytestmark = pytest.mark.engraves


def ledgers(stream: Stream) -> list[int]:
    """The numbers of the operators that begin ledger lines: level, a little wider than a head."""
    found = []
    for index in range(len(stream.operations) - 2):
        (start, move), (end, to), (_, paint) = stream.operations[index : index + 3]
        if (move, to, paint) == (b"m", b"l", b"S") and start[1] == end[1] and 70 < abs(end[0] - start[0]) < 90:
            found.append(index)
    return found


def shift_line(stream: Stream, index: int, x: float, y: float) -> None:
    for one in (index, index + 1):
        (h, v), operator = stream.operations[one]
        stream.operations[one] = ([FloatObject(float(h) + x), FloatObject(float(v) + y)], operator)


def no_ledger_line(stream: Stream) -> None:
    index = ledgers(stream)[0]
    del stream.operations[index : index + 3]


def ledger_line_aside(stream: Stream) -> None:
    shift_line(stream, ledgers(stream)[-1], -80, 0)


def ledger_line_higher(stream: Stream) -> None:
    shift_line(stream, ledgers(stream)[0], 0, 20)


def one_ledger_line_more(stream: Stream) -> None:
    index = ledgers(stream)[0]
    stream.operations[index:index] = stream.operations[index : index + 3]
    shift_line(stream, index, 120, 0)


def stem_in_part(stream: Stream) -> None:
    start, end = stream.stems()[3].spans[0]
    del stream.operations[start:end]


def edge_of_a_stem_aside(stream: Stream) -> None:
    start, _ = stream.stems()[3].spans[0]
    (x, *others), operator = stream.operations[start]
    stream.operations[start] = ([FloatObject(float(x) + 80), *others], operator)


def edge_of_a_beam_aside(stream: Stream) -> None:
    start, end = stream.beams()[0].spans[0]
    for index in range(start, end):
        operands, operator = stream.operations[index]
        if operator in (b"m", b"l"):
            stream.operations[index] = ([FloatObject(float(operands[0]) + 80), operands[1]], operator)


def ground(stream: Stream) -> int:
    """The white ground of a digit: what is filled last before it."""
    show = stream.frets()[5]
    return max(index for index in range(show.index) if stream.operations[index][1] == b"re")


def no_ground(stream: Stream) -> None:
    index = ground(stream)
    del stream.operations[index : index + 2]


def ground_aside(stream: Stream) -> None:
    index = ground(stream)
    (x, *others), operator = stream.operations[index]
    stream.operations[index] = ([FloatObject(float(x) + 80), *others], operator)


def ground_too_small(stream: Stream) -> None:
    index = ground(stream)
    (x, y, width, _), operator = stream.operations[index]
    stream.operations[index] = ([x, y, width, NumberObject(10)], operator)


PENWORK: list[tuple[str, Change, str]] = [
    ("ships-bells", no_ledger_line, "ledger"),
    ("ships-bells", ledger_line_aside, "ledger"),
    ("ships-bells", ledger_line_higher, "ledger"),
    ("ships-bells", one_ledger_line_more, "ledger"),
    ("locks-and-sluices", stem_in_part, "stem"),
    ("locks-and-sluices", edge_of_a_stem_aside, "stem"),
    ("locks-and-sluices", edge_of_a_beam_aside, "stem"),
    ("locks-and-sluices", no_ground, "ground"),
    ("locks-and-sluices", ground_aside, "ground"),
    ("paddle-wheel", ground_too_small, "ground"),
]


@pytest.mark.parametrize(("exercise", "change", "kind"), PENWORK, ids=lambda value: getattr(value, "__name__", value))
def test_a_fault_of_the_pen_is_found(techniques: Finished, tmp_path: Path, exercise: str, change: Change, kind: str):
    page = techniques.page(exercise)
    pdf = planted(techniques.pdf, tmp_path / "planted.pdf", page, change)
    assert (page, kind) in {(one.page, one.kind) for one in read_book(pdf, techniques.document)}
