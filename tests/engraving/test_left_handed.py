"""Pictures of the neck for left-handed players: turned round on paper, while staff and tablature stay as they are.

Source:   ISO 32000-1:2008, read through the critic's own walk of the finished page
Units:    millimetres from the upper left corner of the paper
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from pypdf import PdfReader

from builder.critic.content import read_ink
from builder.critic.fonts import Font
from builder.critic.ink import Ink
from builder.curriculum.coverage import cover, coverage_rule
from builder.engraving import Sheet, Store, engrave
from builder.engraving.lilypond_back import last_sheets
from builder.engraving.lilypond_curriculum import coverage_sheets, places_sheet
from builder.engraving.lilypond_source import back_sheets, study_sheet, style_text
from builder.spec.plan import BookPlan
from tests.engraving.test_lilypond_curriculum import PLANNING, WHERE, matter
from tests.pages import samples
from tests.pages.technique_samples import strums

RIGHT = samples.book()
LEFT = replace(RIGHT, left_handed=True)
PICTURED = {
    "study:ferry-steps-s3f7",
    "study:harbour-lights-s6f3",
    "back:neck",
    "back:index",
    "coverage:neck",
    "places:ferry-steps",
}


def sheets(book: BookPlan) -> dict[str, Sheet]:
    """Every kind of page with a picture of the neck."""
    study, other = samples.ferry_steps(), strums()
    given = replace(matter((study, other)), book=book)
    found = [
        *(study_sheet(each, book, WHERE, samples.phrases(), samples.CUES) for each in (study, other)),
        *back_sheets(replace(book, back=()), (study, other), {}, WHERE, samples.phrases()),
        *(one.sheet for one in last_sheets(given, {})),
        *(one.sheet for one in coverage_sheets(given, cover((study, other), coverage_rule(PLANNING)))),
        places_sheet(given, (study, other)).sheet,
    ]
    return {sheet.key: sheet for sheet in found}


def test_only_pages_with_a_picture_of_the_neck_differ() -> None:
    right, left = sheets(RIGHT), sheets(LEFT)
    differing = {key for key, sheet in right.items() if sheet.bodies[0].text != left[key].bodies[0].text}
    assert differing == PICTURED


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[str, bool], Ink]:
    """The first side of each page as ink, by its key and whether it is for a left-handed player."""
    store = Store(tmp_path_factory.mktemp("store"))
    found = {}
    for book in (RIGHT, LEFT):
        wanted = [sheet for key, sheet in sheets(book).items() if key in PICTURED]
        done = engrave(wanted, style_text(book), store, 1, lambda done, total: None)
        assert done.problems == ()
        for key, sheet in done.sheets.items():
            page = PdfReader(sheet.pdfs[0]).pages[0]
            found[key, book.left_handed] = read_ink(page, Font)
    return found


def middles(ink: Ink) -> dict[tuple[str, float], list[float]]:
    """Where each text stands: the middles of all that read the same on one line, from left to right."""
    found: dict[tuple[str, float], list[float]] = {}
    for each in ink.texts:
        found.setdefault((each.text, round(each.y, 1)), []).append((each.x + each.end) / 2)
    return {key: sorted(places) for key, places in found.items()}


@pytest.mark.engraves
@pytest.mark.parametrize("key", ["study:ferry-steps-s3f7", "coverage:neck"])
def test_what_moves_is_mirrored_on_one_line(printed: dict[tuple[str, bool], Ink], key: str) -> None:
    right, left = middles(printed[key, False]), middles(printed[key, True])
    assert right.keys() == left.keys()
    moved = {
        round(one + other, 0)
        for text, places in right.items()
        for one, other in zip(places, reversed(left[text]), strict=True)
        if text in left and places != pytest.approx(left[text], abs=0.05)
    }
    assert 1 <= len(moved) <= 2  # one axis; a sum on the edge of rounding counts twice
    assert max(moved) - min(moved) <= 1


@pytest.mark.engraves
@pytest.mark.parametrize("key", ["study:ferry-steps-s3f7", "study:harbour-lights-s6f3"])
def test_staff_and_tablature_are_never_turned(printed: dict[tuple[str, bool], Ink], key: str) -> None:
    right, left = printed[key, False], printed[key, True]
    top = min(sign.y for sign in right.signs if sign.sign.startswith("clefs."))
    below = [
        sorted((each.sign or each.text, each.y, each.x) for each in (*ink.signs, *ink.texts) if each.y > top)
        for ink in (right, left)
    ]
    assert [(name, y) for name, y, _ in below[0]] == [(name, y) for name, y, _ in below[1]]
    # A disc on the first string and none on the last gives a diagram another width, and music next to it moves with it.
    assert max(abs(one[2] - other[2]) for one, other in zip(*below, strict=True)) < 2


@pytest.mark.engraves
def test_chord_diagrams_have_their_low_strings_on_the_right(printed: dict[tuple[str, bool], Ink]) -> None:
    def fingers(ink: Ink) -> str:
        """The fingers of the first diagram, from left to right: it stands over the first C of the names of chords."""
        name = min((text for text in ink.texts if text.text == "G7"), key=lambda text: text.y)
        over = [text for text in ink.texts if name.y - 20 < text.y < name.y - 5 and text.text in "1234"]
        digits = sorted(over, key=lambda text: text.x)
        return "".join(text.text for text in digits if text.x < digits[0].x + 14)

    assert fingers(printed["study:harbour-lights-s6f3", False]) == "321"
    assert fingers(printed["study:harbour-lights-s6f3", True]) == "123"
