"""Faults planted in the lines of a neck map are found: strings, frets, the nut, inlays, the band, names, numbers."""

from __future__ import annotations

from pathlib import Path

import pytest
from pypdf.generic import FloatObject

from builder.critic import read_book
from tests.critic.conftest import Finished
from tests.critic.planting import Change, Drawn, Stream, planted

pytestmark = pytest.mark.engraves

TOP = 6200  # all of a map stands higher, in units of the stream


def strokes(stream: Stream, upright: bool) -> list[int]:
    """The numbers of the operators that begin the frets of the map (upright) or its strings, as they are drawn."""
    found = []
    for index in range(len(stream.operations) - 2):
        (start, move), (end, to), (_, paint) = stream.operations[index : index + 3]
        if (move, to, paint) != (b"m", b"l", b"S") or float(min(start[1], end[1])) < TOP:
            continue
        width, height = (abs(float(one) - float(other)) for one, other in zip(start, end, strict=True))
        if (width < 1 and height > 500) if upright else (height < 1 and 1500 < width < 3000):
            found.append(index)
    return found


def leave_out(stream: Stream, index: int) -> None:
    del stream.operations[index : index + 3]


def shift(stream: Stream, index: int, x: float, y: float) -> None:
    for one in (index, index + 1):
        (h, v), operator = stream.operations[one]
        stream.operations[one] = ([FloatObject(float(h) + x), FloatObject(float(v) + y)], operator)


def no_string(stream: Stream) -> None:
    leave_out(stream, [index for index in strokes(stream, False) if stream.operations[index][0][0] < 1000][1])


def string_lower(stream: Stream) -> None:
    shift(stream, [index for index in strokes(stream, False) if stream.operations[index][0][0] < 1000][1], 0, -20)


def no_fret(stream: Stream) -> None:
    leave_out(stream, strokes(stream, True)[4])


def no_last_fret(stream: Stream) -> None:
    leave_out(stream, strokes(stream, True)[-1])


def fret_aside(stream: Stream) -> None:
    shift(stream, strokes(stream, True)[4], 25, 0)


def thin_nut(stream: Stream) -> None:
    nut = strokes(stream, True)[0]
    width = max(index for index in range(nut) if stream.operations[index][1] == b"w")
    stream.operations[width] = ([FloatObject(6.2)], b"w")


def inlay(stream: Stream, which: int = 0) -> Drawn:
    return [one for one in stream.drawn() if one.operator == b"c" and 40 < one.width < 45 and one.y0 > TOP][which]


def no_inlay(stream: Stream) -> None:
    stream.undraw(inlay(stream))


def inlay_on_another_fret(stream: Stream) -> None:
    stream.shift(inlay(stream), -190, 0)


def no_name_of_a_string(stream: Stream) -> None:
    names = [show for show in stream.words("[A-G]") if show.x < 56 and show.y > TOP / 10]
    stream.erase(names[1])


def other_name_of_a_string(stream: Stream) -> None:
    names = [show for show in stream.words("[A-G]") if show.x < 56 and show.y > TOP / 10]
    stream.write(names[1], "C" if names[1].text != "C" else "D")


def no_number_of_a_fret(stream: Stream) -> None:
    numbers = [show for show in stream.words(r"\d{1,2}") if show.y > TOP / 10 - 20 and show.x < 280 and show.size < 9]
    stream.erase(numbers[-1])


def no_band(stream: Stream) -> None:
    grounds = [
        one for one in stream.drawn() if one.operator in (b"re", b"m") and one.height > 700 and one.y0 > TOP - 99
    ]
    stream.undraw(grounds[0])


MAPS: list[tuple[str, Change]] = [
    *(
        ("ships-bells", change)
        for change in (
            *(no_string, string_lower, no_fret, no_last_fret, fret_aside, no_inlay, inlay_on_another_fret),
            *(no_name_of_a_string, other_name_of_a_string, no_number_of_a_fret, no_band),
        )
    ),
    ("paddle-wheel", thin_nut),
]


@pytest.mark.parametrize(("exercise", "change"), MAPS, ids=lambda value: getattr(value, "__name__", value))
def test_a_fault_in_the_lines_of_a_map_is_found(techniques: Finished, tmp_path: Path, exercise: str, change: Change):
    page = techniques.page(exercise)
    pdf = planted(techniques.pdf, tmp_path / "planted.pdf", page, change)
    assert (page, "neck") in {(one.page, one.kind) for one in read_book(pdf, techniques.document)}
