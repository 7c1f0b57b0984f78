"""Faults planted in chord diagrams and neck maps are found."""

from __future__ import annotations

from pathlib import Path

import pytest

from builder.critic import read_book
from tests.critic.conftest import Finished
from tests.critic.planting import Change, Drawn, Show, Stream, planted

pytestmark = pytest.mark.engraves

STRING, FRET = 78, 82  # from string to string and from fret to fret, in units of the stream


def finger(stream: Stream) -> tuple[list[Drawn], Show]:
    """A finger of a diagram: its disc, with its ring where it has one, and its number."""
    discs = stream.discs(58, 85)
    first = max(discs[:2], key=lambda disc: disc.width)
    own = [one for one in discs if abs(one.x0 - first.x0) < 10 and abs(one.y0 - first.y0) < 10]
    near = [
        show
        for show in stream.words("[1-5]", "Heros-Bold")
        if first.x0 < 10 * show.x < first.x1 and first.y0 < 10 * show.y < first.y1
    ]
    return own, near[0]


def finger_on_another_fret(stream: Stream) -> None:
    discs, number = finger(stream)
    for disc in discs:
        stream.shift(disc, 0, -FRET)
    stream.move(number, 0, -FRET / 10)


def finger_on_another_string(stream: Stream) -> None:
    discs, number = finger(stream)
    for disc in discs:
        stream.shift(disc, STRING, 0)
    stream.move(number, STRING / 10, 0)


def disc_without_its_number(stream: Stream) -> None:
    stream.shift(finger(stream)[0][0], 0, -FRET)


def no_disc(stream: Stream) -> None:
    for disc in reversed(finger(stream)[0]):
        stream.undraw(disc)


def other_number(stream: Stream) -> None:
    stream.write(finger(stream)[1], "4")


def no_number(stream: Stream) -> None:
    stream.erase(finger(stream)[1])


def no_open_string(stream: Stream) -> None:
    stream.undraw(stream.discs(40, 50)[0])


def other_open_string(stream: Stream) -> None:
    stream.shift(stream.discs(40, 50)[0], STRING, 0)


def no_unplayed_string(stream: Stream) -> None:
    index = stream.slanted()[0]
    del stream.operations[index : index + 3]


def no_line_of_the_grid(stream: Stream) -> None:
    disc = finger(stream)[0][0]
    near = [
        index
        for index in range(len(stream.operations) - 2)
        if [name for _, name in stream.operations[index : index + 3]] == [b"m", b"l", b"S"]
        and stream.operations[index][0][0] == stream.operations[index + 1][0][0]
        and disc.x0 - 5 < float(stream.operations[index][0][0]) < disc.x1 + 5
        and disc.y0 - 300 < float(stream.operations[index][0][1]) < disc.y1 + 300
    ]
    del stream.operations[near[0] : near[0] + 3]


DIAGRAMS: list[tuple[str, Change]] = [
    *(
        ("paddle-wheel", change)
        for change in (
            *(finger_on_another_fret, finger_on_another_string, disc_without_its_number, no_disc, other_number),
            *(no_number, no_open_string, other_open_string, no_unplayed_string, no_line_of_the_grid),
        )
    ),
]


@pytest.mark.parametrize(("exercise", "change"), DIAGRAMS, ids=lambda value: getattr(value, "__name__", value))
def test_a_fault_in_a_diagram_is_found(techniques: Finished, tmp_path: Path, exercise: str, change: Change):
    page = techniques.page(exercise)
    pdf = planted(techniques.pdf, tmp_path / "planted.pdf", page, change)
    assert (page, "diagram") in {(one.page, one.kind) for one in read_book(pdf, techniques.document)}


# --- the map of the neck ---------------------------------------------------------------------------------------------


def on_map(stream: Stream, which: int) -> Drawn:
    """A disc of the neck map, from the left: what is wide, and over the music."""
    return [one for one in stream.drawn() if one.operator == b"c" and 110 < one.width < 145 and one.y0 > 6200][which]


def no_disc_on_the_map(stream: Stream) -> None:
    stream.undraw(on_map(stream, 3))


def disc_on_another_string(stream: Stream) -> None:
    stream.shift(on_map(stream, 3), 0, 127)


def disc_on_another_fret(stream: Stream) -> None:
    stream.shift(on_map(stream, 3), 180, 0)


def other_name_on_the_map(stream: Stream) -> None:
    disc = on_map(stream, 3)
    show = next(
        show for show in stream.words("[A-G]") if disc.x0 < 10 * show.x < disc.x1 and disc.y0 < 10 * show.y < disc.y1
    )
    stream.write(show, "C" if show.text != "C" else "D")


def no_name_on_the_map(stream: Stream) -> None:
    disc = on_map(stream, 3)
    for show in stream.words("[A-G]"):
        if disc.x0 < 10 * show.x < disc.x1 and disc.y0 < 10 * show.y < disc.y1:
            stream.erase(show)


def other_fret_number(stream: Stream) -> None:
    lowest = min(one.y0 for one in stream.drawn() if one.operator == b"c" and 110 < one.width < 145 and one.y0 > 6200)
    numbers = [show for show in stream.words(r"\d{1,2}") if lowest - 200 < 10 * show.y < lowest and show.x < 280]
    stream.write(numbers[0], "19")


@pytest.mark.parametrize(
    "change",
    [
        *(no_disc_on_the_map, disc_on_another_string, disc_on_another_fret),
        *(other_name_on_the_map, no_name_on_the_map, other_fret_number),
    ],
    ids=lambda value: value.__name__,
)
def test_a_fault_in_a_neck_map_is_found(techniques: Finished, tmp_path: Path, change: Change):
    page = techniques.page("paddle-wheel")
    pdf = planted(techniques.pdf, tmp_path / "planted.pdf", page, change)
    assert (page, "neck") in {(one.page, one.kind) for one in read_book(pdf, techniques.document)}
