"""Faults in the letters of the plucking hand are found where a staff stands alone."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from builder.critic import read_book
from tests.critic.conftest import ROOT, Finished, build
from tests.critic.planting import Stream, planted

pytestmark = pytest.mark.engraves


@pytest.fixture(scope="module")
def plucked(tmp_path_factory: pytest.TempPathFactory) -> Finished:
    """An exercise of p i m a on a staff without tablature."""
    folder = tmp_path_factory.mktemp("staff-only")
    (folder / "exercises").mkdir()
    shutil.copy(ROOT / "books" / "harbour-lane" / "exercises" / "paddle-wheel.yaml", folder / "exercises")
    text = (ROOT / "books" / "first-page" / "book.yaml").read_text(encoding="utf-8")
    (folder / "plucked.yaml").write_text(f"{text}print: {{notation: staff}}\n", encoding="utf-8")
    return build(folder / "plucked.yaml", folder / "out")


def test_letters_on_a_staff_alone_are_read(plucked: Finished, tmp_path: Path):
    def other(stream: Stream) -> None:
        stream.write(stream.words("m", "Schola-Italic")[-1], "i")

    def none(stream: Stream) -> None:
        stream.erase(stream.words("m", "Schola-Italic")[-1])

    assert read_book(plucked.pdf, plucked.document) == ()
    for change, says in ((other, "reads i, not m"), (none, "the letter m is missing")):
        pdf = planted(plucked.pdf, tmp_path / "planted.pdf", plucked.page("paddle-wheel"), change)
        assert any(one.kind == "stroke" and says in one.message for one in read_book(pdf, plucked.document))
