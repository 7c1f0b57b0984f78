"""Faults planted in signs of technique, around the music, and in what a page is printed with are found."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfWriter
from pypdf.generic import ArrayObject, FloatObject, NameObject, NumberObject

from builder.critic import Asked, read_book
from builder.pages.phrases import Phrases
from builder.printed_words import cues_of
from builder.spec import load_library
from builder.spec.library import load_words
from tests.critic.conftest import Finished
from tests.critic.planting import Change, Stream, planted, rewritten

pytestmark = pytest.mark.engraves

CUES = tuple(cues_of(Phrases.from_data(load_words("en")), load_library()).items())
ASKED = Asked(cues=CUES)
SCANNED = Asked(cues=CUES, codes=True)
LANDING = "first-landing"


def on_page(book: Finished, target: Path, change: Change, exercise: str, asked: Asked) -> dict[str, str]:
    """The kinds found on the first page of *exercise* after *change*, each with its first message."""
    page = book.page(exercise)
    pdf = planted(book.pdf, target / "planted.pdf", page, change)
    return {one.kind: one.message for one in reversed(read_book(pdf, book.document, asked)) if one.page == page}


def test_a_sound_book_has_none_of_these_faults(small: Finished, techniques: Finished):
    assert read_book(small.pdf, small.document, ASKED) == ()
    assert read_book(techniques.pdf, techniques.document, SCANNED) == ()


# --- around the music ------------------------------------------------------------------------------------------------


def cue(stream: Stream):
    names = {words for _, words in CUES}
    return next(show for show in stream.shows() if show.text in names)


def other_cue(stream: Stream) -> None:
    show = cue(stream)
    stream.write(show, next(words for _, words in CUES if words != show.text))


def garbled_cue(stream: Stream) -> None:
    stream.write(cue(stream), "jam")


def no_cue(stream: Stream) -> None:
    stream.erase(cue(stream))


def one_cue_more(stream: Stream) -> None:
    stream.copy(cue(stream), -90, 0)


def no_tempo(stream: Stream) -> None:
    stream.erase(stream.words("76", "Heros-Bold")[0])


def levels(stream: Stream):
    """The row of levels: figures in the type of the table, under the tempo marks."""
    marks = stream.words(r"\d{2,3}", "Heros-Bold")
    row = next(show for show in marks if show.text == "76")
    return [show for show in stream.words("[1-8]", "Heros-Regular") if 0 < row.y - show.y < 60 and show.x > row.x - 60]


def other_level(stream: Stream) -> None:
    show = levels(stream)[0]
    stream.write(show, str(int(show.text) + 2))


def word_on_the_staff(stream: Stream) -> None:
    stream.move(cue(stream), 0, 38)


def inner_stroke(stream: Stream) -> None:
    """A stroke between the first and the last of a burst, in the first bar of the study."""
    stream.erase(stream.sign("scripts.upbow", 1))  # the first one is explained over the music


SMALL: list[tuple[Change, str]] = [
    (other_cue, "cue"),
    (garbled_cue, "cue"),
    (no_cue, "cue"),
    (one_cue_more, "cue"),
    (no_tempo, "tempo"),
    (other_level, "level"),
    (word_on_the_staff, "overlap"),
    (inner_stroke, "stroke"),
]


@pytest.mark.parametrize(("change", "kind"), SMALL, ids=lambda value: getattr(value, "__name__", value))
def test_a_fault_around_the_music_is_found(small: Finished, tmp_path: Path, change: Change, kind: str):
    assert kind in on_page(small, tmp_path, change, LANDING, ASKED)


# --- signs of technique ----------------------------------------------------------------------------------------------


def letters(stream: Stream):
    """The letters between staff and tablature; the first H of a page is the one that is explained."""
    return stream.words("H", "Heros-Bold")[1:]


def other_slur_letter(stream: Stream) -> None:
    stream.write(letters(stream)[2], "P")


def no_slur_letter(stream: Stream) -> None:
    stream.erase(letters(stream)[2])


def other_tuplet(stream: Stream) -> None:
    stream.write(stream.words("3", "Schola-Italic")[0], "5")


def no_tuplet(stream: Stream) -> None:
    stream.erase(stream.words("6", "Schola-Italic")[0])


def amounts(stream: Stream):
    frets = {show.index for show in stream.frets()}
    return [show for show in stream.words("1", "Heros-Bold") if show.index not in frets]


def other_bend(stream: Stream) -> None:
    stream.write(amounts(stream)[-1], "2")


def no_bend(stream: Stream) -> None:
    stream.erase(amounts(stream)[-1])


def plain_head(stream: Stream) -> None:
    stream.rename(stream.sign("noteheads.s0harmonic", 4), "noteheads.s2")


def no_plucking_letter(stream: Stream) -> None:
    stream.erase(stream.words("m", "Schola-Italic")[1])


TECHNIQUES: list[tuple[str, Change, str]] = [
    ("hauling-hand", other_slur_letter, "slur"),
    ("hauling-hand", no_slur_letter, "slur"),
    ("net-mending", other_tuplet, "tuplet"),
    ("locks-and-sluices", no_tuplet, "tuplet"),
    ("bowsprit-bends", other_bend, "bend"),
    ("bowsprit-bends", no_bend, "bend"),
    ("ships-bells", plain_head, "harmonic"),
    ("paddle-wheel", no_plucking_letter, "stroke"),
]


@pytest.mark.parametrize(
    ("exercise", "change", "kind"), TECHNIQUES, ids=lambda value: getattr(value, "__name__", value)
)
def test_a_fault_in_a_sign_of_technique_is_found(
    techniques: Finished, tmp_path: Path, exercise: str, change: Change, kind: str
):
    assert kind in on_page(techniques, tmp_path, change, exercise, SCANNED)


# --- the code to scan ------------------------------------------------------------------------------------------------


def modules(stream: Stream) -> list[int]:
    """The operators that draw the rows of the code: the many rectangles of one height."""
    found = [k for k, (_, operator) in enumerate(stream.operations) if operator == b"re"]
    heights = [round(float(stream.operations[k][0][3]), 2) for k in found]
    usual = max(set(heights), key=heights.count)
    return [k for k, height in zip(found, heights, strict=True) if height == usual]


def no_code(stream: Stream) -> None:
    for index in reversed(modules(stream)):
        del stream.operations[index]


def code_without_its_first_rows(stream: Stream) -> None:
    rows = modules(stream)
    top = max(float(stream.operations[k][0][1]) for k in rows)
    for index in reversed([k for k in rows if top - float(stream.operations[k][0][1]) < 30]):
        del stream.operations[index]


def small_code(stream: Stream) -> None:
    for index in modules(stream):
        operands, operator = stream.operations[index]
        stream.operations[index] = ([FloatObject(float(number) * 0.8) for number in operands], operator)


def mirrored_code(stream: Stream) -> None:
    rows = modules(stream)
    sides = [(float(a[0]), float(a[0]) + float(a[2])) for a, _ in (stream.operations[k] for k in rows)]
    both = min(map(min, sides)) + max(map(max, sides))
    for index in rows:
        (x, y, width, height), operator = stream.operations[index]
        flipped = [FloatObject(both - float(x)), y, FloatObject(-float(width)), height]
        stream.operations[index] = (flipped, operator)


def words_near_the_code(stream: Stream) -> None:
    stream.move(stream.words("Scan")[0], 9, 0)


CODES: list[Change] = [no_code, code_without_its_first_rows, small_code, mirrored_code, words_near_the_code]


@pytest.mark.parametrize("change", CODES, ids=lambda value: value.__name__)
def test_a_fault_in_the_code_is_found(techniques: Finished, tmp_path: Path, change: Change):
    assert "code" in on_page(techniques, tmp_path, change, "rope-glide", SCANNED)


# --- how it is printed -----------------------------------------------------------------------------------------------


def red(stream: Stream) -> None:
    stream.operations.insert(0, ([FloatObject(0.8), FloatObject(0), FloatObject(0)], b"rg"))


def four_inks(stream: Stream) -> None:
    stream.operations.insert(0, ([FloatObject(1)] * 4, b"k"))


def shade_over_the_edge(stream: Stream) -> None:
    stream.operations[:0] = [([NumberObject(k) for k in (-20, 300, 60, 40)], b"re"), ([], b"f")]


PRINT: list[tuple[Change, str]] = [(red, "ink"), (four_inks, "ink"), (shade_over_the_edge, "cut")]


@pytest.mark.parametrize(("change", "kind"), PRINT, ids=lambda value: getattr(value, "__name__", value))
def test_a_fault_in_print_is_found(small: Finished, tmp_path: Path, change: Change, kind: str):
    assert kind in on_page(small, tmp_path, change, LANDING, ASKED)


# --- the file --------------------------------------------------------------------------------------------------------


def study_without_a_link(book: Finished) -> Callable[[PdfWriter], None]:
    def change(writer: PdfWriter) -> None:
        lost = writer.pages[book.page(LANDING) - 1].indirect_reference
        for page in writer.pages:
            kept = [one for one in page.get("/Annots", ()) if one.get_object().get("/Dest", [None])[0] != lost]
            page[NameObject("/Annots")] = ArrayObject(kept)

    return change


def test_a_study_that_no_link_leads_to_is_found(small: Finished, tmp_path: Path):
    pdf = rewritten(small.pdf, tmp_path / "planted.pdf", study_without_a_link(small))
    found = read_book(pdf, small.document)
    assert {one.kind for one in found} == {"link"}
    assert small.page(LANDING) in {one.page for one in found}


def test_pages_of_another_paper_than_asked_for_are_found(small: Finished):
    assert {one.kind for one in read_book(small.pdf, small.document, Asked(paper="letter"))} == {"page-size"}
    assert {one.kind for one in read_book(small.pdf, small.document, Asked(bleed_mm=3))} == {"box"}
