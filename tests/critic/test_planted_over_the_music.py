"""Faults planted between the title and the music are found: circles to fill, names of rows, the line of signs."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from builder.critic import read_book
from builder.critic.asked import Asked
from tests.critic.conftest import Finished
from tests.critic.planting import Change, Drawn, Stream, planted

pytestmark = pytest.mark.engraves

HEADS = ("notes a second", "level", "five clean")
ASKED = Asked(
    tempo_heads=HEADS,
    signs=(("down", "down"), ("finger", "finger"), ("harmonic", "harmonic"), ("guide", "guide finger")),
)


def circle(stream: Stream, which: int) -> Drawn:
    """A ring as wide as a circle to fill, from the left, over the music."""
    return [one for one in stream.drawn() if one.operator == b"c" and 57 < one.width < 62 and one.y0 > 6200][which]


def no_circle(stream: Stream) -> None:
    stream.undraw(circle(stream, 4))


def circle_aside(stream: Stream) -> None:
    stream.shift(circle(stream, 4), 30, 0)


def circle_higher(stream: Stream) -> None:
    stream.shift(circle(stream, 0), 0, 60)


def no_name_of_a_row(stream: Stream) -> None:
    stream.erase(stream.words("level")[0])


def names_of_rows_exchanged(stream: Stream) -> None:
    level, clean = stream.words("level")[0], stream.words("five clean")[0]
    stream.write(level, "five clean")
    stream.write(clean, "level")


def name_of_a_row_higher(stream: Stream) -> None:
    stream.move(stream.words("notes a second")[0], 0, 9)


def no_words_of_a_sign(stream: Stream) -> None:
    stream.erase(stream.words("harmonic")[0])


def words_without_their_sign(stream: Stream) -> None:
    words = stream.words("down")[0]
    sign = next(show for show in stream.shows() if show.names == ("scripts.downbow",) and abs(show.y - words.y) < 5)
    stream.erase(sign)


OVER: list[tuple[str, Change, str]] = [
    ("ships-bells", no_circle, "circles"),
    ("ships-bells", circle_aside, "circles"),
    ("ships-bells", circle_higher, "circles"),
    ("paddle-wheel", no_circle, "circles"),
    ("ships-bells", no_name_of_a_row, "tempo"),
    ("ships-bells", names_of_rows_exchanged, "tempo"),
    ("ships-bells", name_of_a_row_higher, "tempo"),
    ("ships-bells", no_words_of_a_sign, "legend"),
    ("ships-bells", words_without_their_sign, "legend"),
]


@pytest.mark.parametrize(("exercise", "change", "kind"), OVER, ids=lambda value: getattr(value, "__name__", value))
def test_a_fault_over_the_music_is_found(
    techniques: Finished, tmp_path: Path, exercise: str, change: Change, kind: str
):
    page = techniques.page(exercise)
    pdf = planted(techniques.pdf, tmp_path / "planted.pdf", page, change)
    assert (page, kind) in {(one.page, one.kind) for one in read_book(pdf, techniques.document, ASKED)}


def test_signs_are_told_in_the_words_of_the_book(techniques: Finished):
    assert not read_book(techniques.pdf, techniques.document, ASKED)
    asked = replace(ASKED, signs=(("harmonic", "bell"),))
    assert {one.kind for one in read_book(techniques.pdf, techniques.document, asked)} == {"legend"}
