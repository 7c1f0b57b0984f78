"""Staff alone and tablature alone as LilyPond text: whatever the other one would have said is still said."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from builder.engraving import Sheet, Store, engrave
from builder.engraving.lilypond_source import study_sheet, style_text
from builder.errors import Location
from builder.theory.score import Note, Study
from tests.pages import samples
from tests.pages.technique_samples import TECHNIQUES

CASES = Path(__file__).parent / "cases"
WHERE = Location("books/harbour-lane/exercises/ferry-steps.yaml")
EVERY = {**samples.ALL, **TECHNIQUES}
REVIEWED = ["ferry", "voices", "slides", "harmonics", "plucked", "shifting"]


def sheet_of(study: Study, notation: str) -> Sheet:
    book = samples.book(notation=notation)
    return study_sheet(study, book, WHERE, samples.phrases(), samples.CUES)


def text_of(study: Study, notation: str) -> str:
    return sheet_of(study, notation).bodies[0].text


def music_of(study: Study, notation: str) -> str:
    return text_of(study, notation).split("\\score {")[1]


@pytest.mark.parametrize("notation", ["staff", "tab"])
@pytest.mark.parametrize("name", REVIEWED)
def test_pages_are_as_reviewed(name: str, notation: str, golden: Callable[[Path, str], None]) -> None:
    golden(CASES / f"{name}-{notation}-only.ly", text_of(EVERY[name](), notation))


@pytest.mark.parametrize("name", EVERY)
def test_only_one_staff_is_there(name: str) -> None:
    study = EVERY[name]()
    assert "TabStaff" not in music_of(study, "staff")
    assert "\\new Staff " not in music_of(study, "tab")


@pytest.mark.parametrize("notation", ["staff", "tab"])
@pytest.mark.parametrize("name", EVERY)
def test_strokes_accents_and_letters_are_those_of_both_staves_together(name: str, notation: str) -> None:
    both, alone = (music_of(EVERY[name](), each) for each in ("both", notation))
    # Letters of the first bar of a system alone depend on where systems break.
    for sign in (r"\\stroke(?:Down|Up)\b", r"->", r"\\slurLetter", r"\\sectionLabel"):
        assert len(re.findall(sign, alone)) == len(re.findall(sign, both)), sign
    assert ("\\pluck" in alone) == ("\\pluck" in both)


@pytest.mark.parametrize("name", EVERY)
def test_a_tablature_alone_has_every_finger_and_beam(name: str) -> None:
    both, alone = music_of(EVERY[name](), "both"), music_of(EVERY[name](), "tab")
    for sign in (r"(?<=[\d.>])-\d", r"\\guideFinger", r"\w\[| \[|\[(?= )", r"\\tuplet"):
        of_both = len(re.findall(sign, both.split("\\new TabStaff")[0]))
        assert len(re.findall(sign, alone)) >= of_both, sign


@pytest.mark.parametrize("name", EVERY)
def test_a_staff_alone_names_a_string_at_the_first_note_of_every_position(name: str) -> None:
    study = EVERY[name]()
    if study.shapes or all(e.fret == 0 or e.technique for e in study.events if isinstance(e, Note)):
        return
    first = next(e for e in study.events if isinstance(e, Note) and e.fret and e.technique is None)
    assert rf"\{first.string}" in music_of(study, "staff").split("\\new Staff ")[1]


@pytest.mark.engraves
@pytest.mark.parametrize("notation", ["staff", "tab"])
def test_every_sample_engraves(notation: str, tmp_path: Path) -> None:
    sheets = [sheet_of(make(), notation) for make in EVERY.values()]
    sheets = [Sheet(f"{sheet.key}-{n}", sheet.where, sheet.bodies) for n, sheet in enumerate(sheets)]
    style = style_text(samples.book(notation=notation))
    done = engrave(sheets, style, Store(tmp_path), 1, lambda done, total: None)
    assert done.problems == ()
    assert sum(sheet.rung > 0 for sheet in done.sheets.values()) <= 5
