"""Faults planted in the LilyPond source of a study are found once its page is engraved and put into the book."""

from __future__ import annotations

import os
import re
import subprocess
from pathlib import Path

import pytest
from pypdf import PdfReader, PdfWriter

from builder.critic import read_book
from builder.engraving.engine import find_lilypond
from tests.critic.conftest import Finished

pytestmark = pytest.mark.engraves

STUDY = "first-landing-s3f14"
# A page engraved by itself has no foot and no trim, no link leads to it, and its greys are mixed of three colours.
BARE = {"head", "foot", "order", "page-label", "link", "ink", "box"}

# A pattern that is replaced where it is met first, staff before tablature; what for; the kinds that must be found.
# Fingers are left open: the search for them may choose others.
FAULTS = [
    (r"\Z", "", set()),
    (r"gis'8", "g'8", {"pitch"}),
    (r"a'8", "b'8", {"pitch"}),
    (r"c''8", "cis''8", {"pitch"}),
    (r"a'8-\d", "a'8-5", {"finger"}),
    (r"->\[", "[", {"accent"}),
    (r"f'4-> r4 \|", "f'2-> |", {"rest", "value"}),
    (r"f'4-> r4 \|", "f'4-> r8 r8 |", set()),
    (r"f'4-> r4 \|", "f'4-> c'4 |", {"extra-note", "rest"}),
    (r"\\key c \\major", r"\\key g \\major", {"key-signature"}),
    (r"\\time 4/4", r"\\time 2/2", {"meter"}),
    (r"c''8\\3", r"c''8\\2", {"string"}),
    (r"gis'8\\3", r"a'8\\3", {"fret"}),
    (r"\\strokeDown ", r"\\strokeUp ", {"stroke"}),
    (r"#'\(\"F\"\)", '#\'("F" "#")', {"chord"}),
    (r"\\break", "", set()),
]


@pytest.fixture(scope="module")
def engraved(small: Finished, tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """One page for each fault, all in one run."""
    folder = tmp_path_factory.mktemp("sources")
    source = (small.sources / f"{STUDY}.ly").read_text(encoding="utf-8")
    head, music = source.split(r"\score {", 1)
    names = []
    for number, (old, new, _) in enumerate(FAULTS):
        assert re.search(old, music), f"{old} is not in the source of {STUDY}"
        name = f"fault{number}"
        (folder / f"{name}.ly").write_text(head + r"\score {" + re.sub(old, new, music, count=1), encoding="utf-8")
        names.append(name)
    subprocess.run(
        [str(find_lilypond().lilypond), "--loglevel=NONE", *(f"{name}.ly" for name in names)],
        cwd=folder,
        env={**os.environ, "XDG_CACHE_HOME": str(folder), "LC_ALL": "C"},
        timeout=240,
        check=True,
    )
    return [folder / f"{name}.pdf" for name in names]


@pytest.mark.parametrize("number", range(len(FAULTS)), ids=lambda number: f"{FAULTS[number][0]} to {FAULTS[number][1]}")
def test_a_fault_in_the_source_is_found(small: Finished, engraved: list[Path], tmp_path: Path, number: int):
    page = next(study["page"] for study in small.document["studies"] if study["id"] == STUDY)
    writer = PdfWriter()
    for place, sound in enumerate(PdfReader(small.pdf).pages, 1):
        writer.add_page(PdfReader(engraved[number]).pages[0] if place == page else sound)
    writer.write(tmp_path / "planted.pdf")
    kinds = {finding.kind for finding in read_book(tmp_path / "planted.pdf", small.document) if finding.page == page}
    assert kinds - BARE == FAULTS[number][2]
