"""A sound book has no finding, and reading one is quick."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from builder.critic import read_book
from tests.critic.conftest import Finished
from tests.critic.planting import planted, rewritten

pytestmark = pytest.mark.engraves


def test_the_first_page_has_no_finding(small: Finished):
    assert read_book(small.pdf, small.document) == ()


def test_a_book_of_all_techniques_has_no_finding(techniques: Finished):
    assert read_book(techniques.pdf, techniques.document) == ()


def test_a_book_written_anew_has_no_finding(small: Finished, tmp_path: Path):
    """Planting itself changes nothing: what is found afterwards is the fault."""
    page = small.page("first-landing")
    assert read_book(rewritten(small.pdf, tmp_path / "a.pdf", lambda writer: None), small.document) == ()
    for layer in ("page", "furniture"):
        again = planted(small.pdf, tmp_path / f"{layer}.pdf", page, lambda stream: None, layer)
        assert read_book(again, small.document) == ()


def test_a_page_is_read_in_a_blink(techniques: Finished):
    began = time.process_time()
    read_book(techniques.pdf, techniques.document)
    pages = sum(study["pages"] for study in techniques.document["studies"])
    assert (time.process_time() - began) / pages < 0.1  # a tenth of what engraving it takes, on a slow machine too
