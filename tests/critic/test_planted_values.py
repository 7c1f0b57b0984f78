"""Faults planted in how long notes and rests are written are found: heads, stems, beams, flags, dots."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from builder.critic import read_book
from tests.critic.conftest import Finished
from tests.critic.planting import Change, Show, Stream, planted

pytestmark = pytest.mark.engraves


def sign(stream: Stream, pattern: str, which: int = 0) -> Show:
    return [show for show in stream.shows() if show.names[0] and re.fullmatch(pattern, show.names[0])][which]


def no_beam(stream: Stream) -> None:
    stream.undraw(stream.beams()[0])


def no_beam_at_the_end(stream: Stream) -> None:
    stream.undraw(stream.beams()[-1])


def one_beam_more(stream: Stream) -> None:
    stream.draw_again(stream.beams()[0], 20)


def short_beam(stream: Stream) -> None:
    """A beam that ends halfway: its last note is left with none."""
    beam = stream.beams()[0]
    middle = (beam.x0 + beam.x1) / 2
    for start, end in beam.spans:
        for index in range(start, end):
            operands, operator = stream.operations[index]
            if operands and float(operands[0]) > middle:
                stream.operations[index] = ([type(operands[0])(middle), operands[1]], operator)


def no_stem(stream: Stream) -> None:
    stream.undraw(stream.stems()[3])


def no_flag(stream: Stream) -> None:
    stream.erase(sign(stream, r"flags\..*"))


def half_becomes_black(stream: Stream) -> None:
    stream.rename(sign(stream, r"noteheads\.s1"), "noteheads.s2")


def black_becomes_half(stream: Stream) -> None:
    stream.rename(stream.sign("noteheads.s2"), "noteheads.s1")


def no_dot(stream: Stream) -> None:
    stream.erase(sign(stream, r"dots\.dot"))


def one_dot_more(stream: Stream) -> None:
    stream.copy(sign(stream, r"dots\.dot"), 3, 0)


VALUES: list[tuple[str, Change]] = [
    ("locks-and-sluices", no_beam),
    ("locks-and-sluices", no_beam_at_the_end),
    ("locks-and-sluices", one_beam_more),
    ("locks-and-sluices", short_beam),
    ("locks-and-sluices", no_stem),
    ("paddle-wheel", no_stem),
    ("barge-in-five", no_flag),
    ("fog-bell-and-footsteps", half_becomes_black),
    ("fog-bell-and-footsteps", black_becomes_half),
    ("fog-bell-and-footsteps", no_dot),
    ("fog-bell-and-footsteps", one_dot_more),
]


def longer_rest(stream: Stream) -> None:
    stream.rename(sign(stream, r"rests\.3"), "rests.0")


def test_a_rest_of_one_of_two_voices_is_found_by_its_length(techniques: Finished, tmp_path: Path):
    page = techniques.page("paddle-wheel")
    pdf = planted(techniques.pdf, tmp_path / "planted.pdf", page, longer_rest)
    assert (page, "rest") in {(one.page, one.kind) for one in read_book(pdf, techniques.document)}


@pytest.mark.parametrize(("exercise", "change"), VALUES, ids=lambda value: getattr(value, "__name__", value))
def test_a_note_of_another_length_is_found(techniques: Finished, tmp_path: Path, exercise: str, change: Change):
    page = techniques.page(exercise)
    pdf = planted(techniques.pdf, tmp_path / "planted.pdf", page, change)
    assert (page, "value") in {(one.page, one.kind) for one in read_book(pdf, techniques.document)}
