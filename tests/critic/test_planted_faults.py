"""Every planted fault is found, on its page and by its kind."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    Destination,
    FloatObject,
    NameObject,
    NumberObject,
    RectangleObject,
)

from builder.critic import Finding, read_book
from tests.critic.conftest import Finished
from tests.critic.planting import Change, Stream, planted, rewritten

pytestmark = pytest.mark.engraves

LANDING = "first-landing"
STRING = 6.72  # points from string to string on a staff of size 18
STEP = 2.24  # points from a line to the space over it


def found(book: Finished, pdf: Path) -> tuple[Finding, ...]:
    return read_book(pdf, book.document)


def on_page(
    book: Finished, target: Path, change: Change, exercise: str = LANDING, layer: str = "page"
) -> dict[str, str]:
    """The kinds found on the first page of *exercise* after *change*, each with its first message."""
    page = book.page(exercise)
    kinds: dict[str, str] = {}
    for finding in found(book, planted(book.pdf, target / "planted.pdf", page, change, layer)):
        if finding.page == page:
            kinds.setdefault(finding.kind, finding.message)
    return kinds


def other_fret(stream: Stream) -> None:
    stream.write(stream.frets()[3], "11")


def fret_on_next_string(stream: Stream) -> None:
    stream.move(stream.frets()[3], 0, -STRING)


def fret_beside_its_line(stream: Stream) -> None:
    stream.move(stream.frets()[3], 0, -0.4 * STRING)


def no_fret(stream: Stream) -> None:
    stream.erase(stream.frets()[3])


def one_fret_more(stream: Stream) -> None:
    stream.copy(stream.frets()[-1], 18, 0)


def fret_far_from_its_note(stream: Stream) -> None:
    stream.move(stream.frets()[4], 15, 0)


def head_a_step_higher(stream: Stream) -> None:
    stream.move(stream.sign("noteheads.s2"), 0, STEP)


def head_between_two_steps(stream: Stream) -> None:
    stream.move(stream.sign("noteheads.s2"), 0, STEP / 2)


def no_head(stream: Stream) -> None:
    stream.erase(stream.sign("noteheads.s2"))


def one_head_more(stream: Stream) -> None:
    stream.copy(stream.sign("noteheads.s2"), 20, 0)


def no_accidental(stream: Stream) -> None:
    stream.erase(stream.sign("accidentals.sharp"))


def no_clef(stream: Stream) -> None:
    stream.erase(stream.sign("clefs.G"))


def no_octave_under_clef(stream: Stream) -> None:
    stream.erase(stream.words("8", "Schola-Italic")[0])


def other_finger(stream: Stream) -> None:
    stream.rename(stream.sign("fattened.one"), "fattened.two")


def no_finger(stream: Stream) -> None:
    stream.erase(stream.sign("fattened.two"))


def one_finger_more(stream: Stream) -> None:
    stream.copy(stream.sign("fattened.two"), 24, 0)


def other_stroke(stream: Stream) -> None:
    stream.rename(stream.sign("scripts.downbow"), "scripts.upbow")


def no_stroke_where_a_burst_lands(stream: Stream) -> None:
    stream.erase(stream.sign("scripts.downbow"))


def no_accent(stream: Stream) -> None:
    stream.erase(stream.sign("scripts.sforzato"))


def accent_on_another_note(stream: Stream) -> None:
    stream.move(stream.sign("scripts.sforzato"), 21, 0)


def no_rest(stream: Stream) -> None:
    stream.erase(stream.sign("rests.2"))


def one_rest_more(stream: Stream) -> None:
    stream.copy(stream.sign("rests.2"), 16, 0)


def other_chord(stream: Stream) -> None:
    stream.write(stream.words("G", "Heros-Bold")[-1], "D")


def no_chord(stream: Stream) -> None:
    stream.erase(stream.words("G", "Heros-Bold")[-1])


def other_bar_number(stream: Stream) -> None:
    stream.write(stream.words("4", "Heros-Regular")[-1], "5")


def no_bar_number(stream: Stream) -> None:
    stream.erase(stream.words("4", "Heros-Regular")[-1])


def other_title(stream: Stream) -> None:
    stream.write(stream.words("First Landing")[0], "First Hanging")


def other_tempo(stream: Stream) -> None:
    stream.write(stream.words("76", "Heros-Bold")[0], "67")


def no_staff_line(stream: Stream) -> None:
    index = stream.level_lines()[8]
    stream.operations[index : index + 3] = []


def text_off_the_sheet(stream: Stream) -> None:
    stream.move(stream.words("First Landing")[0], -80, 0)


def text_near_the_edge(stream: Stream) -> None:
    stream.move(stream.words("First Landing")[0], -45, 0)


def text_in_the_margin(stream: Stream) -> None:
    stream.move(stream.words("First Landing")[0], -12, 0)


def small_text(stream: Stream) -> None:
    stream.resize(stream.words("Practice log")[0], 5)


def text_on_text(stream: Stream) -> None:
    stream.copy(stream.words("First Landing")[0], 9, 3)


def sign_on_sign(stream: Stream) -> None:
    stream.copy(stream.sign("rests.2"), 2, 2)


def empty_half(stream: Stream) -> None:
    shrink = [FloatObject(side) for side in (0.4, 0, 0, 0.4, 40, 480)]
    stream.operations[:0] = [([], b"q"), (shrink, b"cm")]
    stream.operations.append(([], b"Q"))


def no_barline(stream: Stream) -> None:
    """The strokes at one place, through staff, tablature and the space between."""
    upright = stream.upright_lines()
    x = max(float(stream.operations[index][0][0]) for index in upright if stream.is_inside(index))
    for index in reversed([one for one in upright if float(stream.operations[one][0][0]) == x]):
        stream.operations[index : index + 3] = []


def other_meter(stream: Stream) -> None:
    stream.rename(stream.sign("five"), "four")


def open_head(stream: Stream) -> None:
    stream.rename(stream.sign("noteheads.s2"), "noteheads.s1")


def white_fret(stream: Stream) -> None:
    stream.colour(stream.frets()[3], 1.0)


def pale_word(stream: Stream) -> None:
    stream.colour(stream.words("Practice log")[0], 0.8)


def invisible_fret(stream: Stream) -> None:
    show = stream.frets()[3]
    stream.operations[show.index : show.index + 1] = [
        ([NumberObject(3)], b"Tr"),
        stream.operations[show.index],
        ([NumberObject(0)], b"Tr"),
    ]


def furniture_number(stream: Stream) -> None:
    stream.write(stream.words("2", "Heros-Bold")[-1], "5")


def furniture_id(stream: Stream) -> None:
    line = next(show for show in stream.shows() if "first-landing" in show.text)
    stream.write(line, line.text.replace("first-landing-s3f14", "first-landing-s5f12"))


MUSIC: list[tuple[Change, str]] = [
    (other_fret, "fret"),
    (fret_on_next_string, "string"),
    (fret_beside_its_line, "string"),
    (no_fret, "missing-fret"),
    (fret_far_from_its_note, "column"),
    (head_a_step_higher, "pitch"),
    (head_between_two_steps, "pitch"),
    (no_head, "missing-note"),
    (one_head_more, "extra-note"),
    (no_accidental, "pitch"),
    (no_clef, "system"),
    (no_octave_under_clef, "pitch"),
    (other_finger, "finger"),
    (no_finger, "finger"),
    (one_finger_more, "finger"),
    (other_stroke, "stroke"),
    (no_stroke_where_a_burst_lands, "stroke"),
    (no_accent, "accent"),
    (accent_on_another_note, "accent"),
    (no_rest, "rest"),
    (one_rest_more, "rest"),
    (other_chord, "chord"),
    (no_chord, "chord"),
    (other_bar_number, "bar-number"),
    (no_bar_number, "bar-number"),
    (no_barline, "barline"),
    (white_fret, "missing-fret"),
    (invisible_fret, "missing-fret"),
    (pale_word, "pale"),
    (other_title, "title"),
    (other_tempo, "tempo"),
    (no_staff_line, "lines"),
    (text_off_the_sheet, "cut"),
    (text_near_the_edge, "margin"),
    (text_in_the_margin, "margin"),
    (small_text, "small-text"),
    (text_on_text, "overlap"),
    (sign_on_sign, "overlap"),
    (empty_half, "half-empty"),
]


@pytest.mark.parametrize(("change", "kind"), MUSIC, ids=lambda value: getattr(value, "__name__", value))
def test_a_fault_on_a_page_is_found(small: Finished, tmp_path: Path, change: Change, kind: str):
    assert kind in on_page(small, tmp_path, change)


ONE_FAULT: list[tuple[Change, str]] = [
    (other_fret, "fret"),
    (no_fret, "missing-fret"),
    (no_accidental, "pitch"),
    (other_finger, "finger"),
    (other_stroke, "stroke"),
    (no_accent, "accent"),
    (no_rest, "rest"),
    (other_chord, "chord"),
    (other_bar_number, "bar-number"),
    (other_title, "title"),
    (small_text, "small-text"),
]


@pytest.mark.parametrize(("change", "kind"), ONE_FAULT, ids=lambda value: getattr(value, "__name__", value))
def test_one_fault_is_one_finding(small: Finished, tmp_path: Path, change: Change, kind: str):
    findings = found(small, planted(small.pdf, tmp_path / "planted.pdf", small.page(LANDING), change))
    assert [finding.kind for finding in findings] == [kind]


def test_a_fret_more_is_found_and_that_its_string_goes_through_it(small: Finished, tmp_path: Path):
    assert {*on_page(small, tmp_path, one_fret_more)} == {"extra-fret", "ground"}


def test_a_finding_tells_what_is_read_and_what_is_meant(small: Finished, tmp_path: Path):
    assert "string 3 fret 11, not string 3 fret" in on_page(small, tmp_path, other_fret)["fret"]
    assert "'First Hanging', not 'First Landing'" in on_page(small, tmp_path, other_title)["title"]


# --- furniture -------------------------------------------------------------------------------------------------------


def test_a_wrong_page_number_is_found(small: Finished, tmp_path: Path):
    assert "page-label" in on_page(small, tmp_path, furniture_number, layer="furniture")


def test_a_foot_with_the_number_of_another_study_is_found(small: Finished, tmp_path: Path):
    assert "order" in on_page(small, tmp_path, furniture_id, layer="furniture")


# --- signs that only some exercises have -----------------------------------------------------------------------------


def no_flat_in_signature(stream: Stream) -> None:
    stream.erase(stream.sign("accidentals.flat"))


def other_plucking_letter(stream: Stream) -> None:
    stream.write(stream.words("m", "Schola-Italic")[-1], "a")


def other_thumb_letter(stream: Stream) -> None:
    stream.write(stream.words("p", "Schola-Italic")[-1], "i")


def lower_voice_a_step_off(stream: Stream) -> None:
    stream.move(stream.sign("noteheads.s1"), 0, STEP)


def no_octave_line(stream: Stream) -> None:
    stream.erase(stream.words("8", "Schola-BoldItalic")[-1])


def harmonic_at_another_fret(stream: Stream) -> None:
    stream.write(stream.frets()[-1], "4")


def no_rest_in_one_voice(stream: Stream) -> None:
    stream.erase(stream.sign("rests.3"))


SOME: list[tuple[str, Change, str]] = [
    ("net-mending", no_flat_in_signature, "key-signature"),
    ("paddle-wheel", other_plucking_letter, "stroke"),
    ("paddle-wheel", other_thumb_letter, "stroke"),
    ("barge-in-five", other_meter, "meter"),
    ("fog-bell-and-footsteps", open_head, "value"),
    ("paddle-wheel", no_rest_in_one_voice, "rest"),
    ("fog-bell-and-footsteps", lower_voice_a_step_off, "pitch"),
    ("barge-in-five", no_octave_line, "pitch"),
    ("ships-bells", harmonic_at_another_fret, "fret"),
    ("bowsprit-bends", no_fret, "missing-fret"),
    ("rope-glide", no_head, "missing-note"),
]


@pytest.mark.parametrize(("exercise", "change", "kind"), SOME, ids=lambda value: getattr(value, "__name__", value))
def test_a_fault_in_a_technique_is_found(
    techniques: Finished, tmp_path: Path, exercise: str, change: Change, kind: str
):
    assert kind in on_page(techniques, tmp_path, change, exercise)


# --- the file --------------------------------------------------------------------------------------------------------


def letter_paper(writer: PdfWriter) -> None:
    for name in ("/MediaBox", "/BleedBox", "/TrimBox"):
        writer.pages[6][NameObject(name)] = RectangleObject((0, 0, 612, 792))


def turned_page(writer: PdfWriter) -> None:
    writer.pages[6].rotate(90)


def trim_out_of_the_page(writer: PdfWriter) -> None:
    writer.pages[6][NameObject("/TrimBox")] = RectangleObject((-2, 0, 593.28, 841.89))


def narrow_bleed(writer: PdfWriter) -> None:
    writer.pages[6][NameObject("/TrimBox")] = RectangleObject((4, 4, 591.28, 837.89))


def swapped_pages(writer: PdfWriter) -> None:
    kids = writer.root_object["/Pages"]["/Kids"]
    kids[6], kids[7] = kids[7], kids[6]


def lost_page(writer: PdfWriter) -> None:
    writer.remove_page(7)


def links(writer: PdfWriter) -> list[ArrayObject]:
    entries = [entry.get_object() for page in writer.pages for entry in page.get("/Annots", ())]
    return [entry["/Dest"] for entry in entries if "/Dest" in entry]


def link_to_another_page(writer: PdfWriter) -> None:
    links(writer)[-1][0] = writer.pages[4].indirect_reference


def link_to_nowhere(writer: PdfWriter) -> None:
    links(writer)[-1][0] = NumberObject(99)


def link_over_nothing(writer: PdfWriter) -> None:
    entry = next(entry.get_object() for page in writer.pages for entry in page.get("/Annots", ()))
    entry[NameObject("/Rect")] = RectangleObject((60, 60, 200, 80))


def swapped_outline(writer: PdfWriter) -> None:
    first, second = (entry for entry in entries(writer) if str(entry.title).startswith("string "))
    a, b = goal(first), goal(second)
    a[0], b[0] = b[0], a[0]


def entries(writer: PdfWriter) -> list[Destination]:
    def flat(outline: list[object]) -> list[Destination]:
        return [
            one
            for entry in outline
            for one in (flat(entry) if isinstance(entry, list) else [entry])  # type: ignore[misc]
        ]

    return flat(writer.outline)


def goal(entry: Destination) -> ArrayObject:
    node = entry.node
    assert node is not None
    return node["/A"]["/D"] if "/A" in node else node["/Dest"]  # type: ignore[index,return-value]


def outline_to_another_page(writer: PdfWriter) -> None:
    entry = next(entry for entry in entries(writer) if entry.title == "First Landing")
    goal(entry)[0] = writer.pages[3].indirect_reference


def study_without_outline(writer: PdfWriter) -> None:
    for entry in entries(writer):
        if goal(entry)[0].get_object() == writer.pages[7]:
            goal(entry)[0] = writer.pages[3].indirect_reference


def other_labels(writer: PdfWriter) -> None:
    writer.set_page_label(5, 8, style="/D", start=2)


def fonts(writer: PdfWriter) -> list[dict[str, object]]:
    found = writer.pages[6]["/Resources"]["/Font"]  # type: ignore[index]
    return [font.get_object() for font in found.values()]


def foreign_font(writer: PdfWriter) -> None:
    font = next(font for font in fonts(writer) if "Schola-Italic" in str(font["/BaseFont"]))
    font[NameObject("/BaseFont")] = NameObject("/ABCDEF+DejaVuSans")


def font_left_out(writer: PdfWriter) -> None:
    font = next(font for font in fonts(writer) if "Schola-Italic" in str(font["/BaseFont"]))
    del font["/FontDescriptor"].get_object()["/FontFile3"]  # type: ignore[attr-defined]


FILE: list[tuple[Callable[[PdfWriter], None], str]] = [
    (letter_paper, "page-size"),
    (turned_page, "page-size"),
    (trim_out_of_the_page, "box"),
    (narrow_bleed, "box"),
    (swapped_pages, "order"),
    (lost_page, "order"),
    (link_to_another_page, "link"),
    (link_to_nowhere, "link"),
    (link_over_nothing, "link"),
    (swapped_outline, "outline"),
    (outline_to_another_page, "outline"),
    (study_without_outline, "outline"),
    (other_labels, "page-label"),
    (foreign_font, "font"),
    (font_left_out, "font"),
]


@pytest.mark.parametrize(("change", "kind"), FILE, ids=lambda value: getattr(value, "__name__", value))
def test_a_fault_of_the_file_is_found(small: Finished, tmp_path: Path, change: Callable[[PdfWriter], None], kind: str):
    findings = found(small, rewritten(small.pdf, tmp_path / "planted.pdf", change))
    assert kind in {finding.kind for finding in findings}


def test_pages_missing_at_the_end_are_counted(small: Finished, tmp_path: Path):
    reader, writer = PdfReader(small.pdf), PdfWriter()
    for page in reader.pages[:7]:
        writer.add_page(page)
    writer.write(tmp_path / "short.pdf")
    assert "count" in {finding.kind for finding in found(small, tmp_path / "short.pdf")}
