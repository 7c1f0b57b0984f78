"""Faults planted in running heads, feet and page numbers are found, on pages without music, too."""

from __future__ import annotations

from pathlib import Path

import pytest

from builder.critic import Asked, read_book
from builder.printing import asked_of
from builder.spec import load_library
from builder.spec import read_book as read_spec
from tests.critic.conftest import ROOT, Finished
from tests.critic.planting import Change, Show, Stream, planted

pytestmark = pytest.mark.engraves

SCHOOL, LICENCE, EDITION = "Harbour Lane Music School", "Free to copy for teaching", "Autumn 2026"


@pytest.fixture(scope="module")
def asked() -> Asked:
    spec = read_spec(ROOT / "books" / "first-page" / "book.yaml", load_library())
    assert spec.plan
    return asked_of(spec.plan, load_library(), spec.exercises)


def found(book: Finished, target: Path, page: int, change: Change, asked: Asked) -> dict[str, str]:
    """The kinds found on *page* after *change* to its furniture, each with a message."""
    pdf = planted(book.pdf, target / "planted.pdf", page, change, layer="furniture")
    return {one.kind: one.message for one in read_book(pdf, book.document, asked) if one.page == page}


def first_of(stream: Stream, text: str) -> Show:
    return next(show for show in stream.shows() if text in show.text)


def no_school(stream: Stream) -> None:
    stream.erase(first_of(stream, "Harbour"))


def other_level(stream: Stream) -> None:
    show = first_of(stream, "Level")
    level = int(show.text.split()[-1])
    stream.write(show, f"Level {level % 8 + 1}")


def no_level(stream: Stream) -> None:
    stream.erase(first_of(stream, "Level"))


def level_elsewhere(stream: Stream) -> None:
    stream.move(first_of(stream, "Level"), -60, 0)


def no_rule(stream: Stream) -> None:
    for index in reversed(stream.level_lines()):
        del stream.operations[index : index + 3]


def no_number(stream: Stream) -> None:
    stream.erase([show for show in stream.shows() if show.text.strip().isalnum() and len(show.text.strip()) < 5][-1])


def number_twice(stream: Stream) -> None:
    stream.copy([show for show in stream.shows() if show.text.strip().isalnum()][-1], -60, 0)


def number_elsewhere(stream: Stream) -> None:
    stream.move([show for show in stream.shows() if show.text.strip().isalnum()][-1], -60, 0)


FAULTS = [
    (no_school, "head", SCHOOL),
    (no_level, "head", "Level"),
    (other_level, "head", "Level"),
    (level_elsewhere, "head", "stand"),
    (no_rule, "head", "no rule"),
    (no_number, "page-label", "no page number"),
    (number_twice, "page-label", "2 times"),
    (number_elsewhere, "page-label", "stand"),
]


def test_a_sound_book_has_none_of_these_faults(small: Finished, asked: Asked):
    assert read_book(small.pdf, small.document, asked) == ()


@pytest.mark.parametrize(("change", "kind", "says"), FAULTS, ids=lambda value: getattr(value, "__name__", value))
def test_a_fault_in_the_frame_of_a_study_is_found(
    small: Finished, tmp_path: Path, asked: Asked, change: Change, kind: str, says: str
):
    assert says in found(small, tmp_path, small.page("first-landing"), change, asked)[kind]


@pytest.mark.parametrize("change", [no_school, no_rule, no_number])
def test_a_page_to_read_is_framed_like_all_others(small: Finished, tmp_path: Path, asked: Asked, change: Change):
    assert found(small, tmp_path, 2, change, asked)


def no_licence(stream: Stream) -> None:
    stream.erase(first_of(stream, "teaching"))


def no_edition(stream: Stream) -> None:
    stream.erase(first_of(stream, "Autumn"))


@pytest.mark.parametrize("change", [no_licence, no_edition])
def test_what_every_foot_says_is_missed(small: Finished, tmp_path: Path, asked: Asked, change: Change):
    assert "missing" in found(small, tmp_path, small.page("first-landing"), change, asked)["foot"]
