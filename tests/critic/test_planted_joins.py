"""Faults planted in slurs, the lines of slides and the dashes of guide fingers are found."""

from __future__ import annotations

from pathlib import Path

import pytest
from pypdf.generic import FloatObject

from builder.critic import read_book
from tests.critic.conftest import Finished
from tests.critic.planting import Change, Drawn, Stream, planted

pytestmark = pytest.mark.engraves


def curve(stream: Stream, which: int) -> Drawn:
    return stream.curves()[which]


def no_slur(stream: Stream) -> None:
    stream.undraw(curve(stream, 0))


def no_other_slur(stream: Stream) -> None:
    stream.undraw(curve(stream, 1))


def slur_elsewhere(stream: Stream) -> None:
    stream.shift(curve(stream, 0), 350, 0)


def slur_far_over_its_notes(stream: Stream) -> None:
    stream.shift(curve(stream, 0), 0, 250)


def one_slur_more(stream: Stream) -> None:
    stream.draw_again(curve(stream, 0), 160)


def no_slide(stream: Stream) -> None:
    index = stream.slants(30, 400)[0]
    del stream.operations[index : index + 3]


def slide_lower(stream: Stream) -> None:
    index = stream.slants(30, 400)[0]
    for one in (index, index + 1):
        (x, y), operator = stream.operations[one]
        stream.operations[one] = ([x, FloatObject(float(y) - 80)], operator)


def slide_aside(stream: Stream) -> None:
    index = stream.slants(30, 400)[0]
    for one in (index, index + 1):
        (x, y), operator = stream.operations[one]
        stream.operations[one] = ([FloatObject(float(x) + 60), y], operator)


def slur_in_part(stream: Stream) -> None:
    start, end = curve(stream, 0).spans[0]
    del stream.operations[start:end]


def no_bracket(stream: Stream) -> None:
    """An angle beside a digit: three points, then painted; the first two stand in the line of signs."""
    names = [operator for _, operator in stream.operations]
    index = max(k for k in range(len(names)) if names[k : k + 4] == [b"m", b"l", b"l", b"S"])
    del stream.operations[index : index + 4]


JOINS: list[tuple[str, Change, str]] = [
    ("hauling-hand", no_slur, "slur"),
    ("hauling-hand", no_other_slur, "slur"),
    ("hauling-hand", slur_elsewhere, "slur"),
    ("hauling-hand", slur_far_over_its_notes, "slur"),
    ("hauling-hand", one_slur_more, "slur"),
    ("bowsprit-bends", no_slur, "slur"),
    ("rope-glide", no_slide, "slide"),
    ("rope-glide", slide_lower, "slide"),
    ("rope-glide", slide_aside, "slide"),
    ("hauling-hand", slur_in_part, "stem"),
    ("ships-bells", no_bracket, "harmonic"),
]


@pytest.mark.parametrize(("exercise", "change", "kind"), JOINS, ids=lambda value: getattr(value, "__name__", value))
def test_a_fault_between_notes_is_found(techniques: Finished, tmp_path: Path, exercise: str, change: Change, kind: str):
    page = techniques.page(exercise)
    pdf = planted(techniques.pdf, tmp_path / "planted.pdf", page, change)
    assert (page, kind) in {(one.page, one.kind) for one in read_book(pdf, techniques.document)}


def no_dash(stream: Stream) -> None:
    """The dash before the number of a guide finger: level, half as wide as a head, under the line of signs."""
    found = []
    for index in range(len(stream.operations) - 2):
        (start, move), (end, to), (_, paint) = stream.operations[index : index + 3]
        if (move, to, paint) == (b"m", b"l", b"S") and start[1] == end[1] and 30 < abs(end[0] - start[0]) < 45:
            found.append(index)
    del stream.operations[found[-1] : found[-1] + 3]


def test_a_guide_finger_without_its_dash_is_found(techniques: Finished, tmp_path: Path):
    page = techniques.page("ships-bells")
    pdf = planted(techniques.pdf, tmp_path / "planted.pdf", page, no_dash)
    assert (page, "guide") in {(one.page, one.kind) for one in read_book(pdf, techniques.document)}
