"""Faults planted in words, speeds, the file's own entries and its links are found."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfWriter
from pypdf.generic import ArrayObject, DictionaryObject, NameObject, RectangleObject, TextStringObject

from builder.critic import Asked, read_book
from builder.printing import asked_of
from builder.spec import load_library
from builder.spec import read_book as read_spec
from tests.critic.conftest import ROOT, Finished
from tests.critic.planting import Change, Stream, planted, rewritten

pytestmark = pytest.mark.engraves

LANDING = "first-landing"


@pytest.fixture(scope="module")
def asked() -> Asked:
    library = load_library()
    spec = read_spec(ROOT / "books" / "first-page" / "book.yaml", library)
    assert spec.plan is not None
    return asked_of(spec.plan, library, spec.exercises)


def test_a_sound_book_has_its_own_words_alone(small: Finished, asked: Asked):
    assert read_book(small.pdf, small.document, asked) == ()


def spelled(find: str, new: str) -> Change:
    def change(stream: Stream) -> None:
        show = next(show for show in stream.shows() if find in show.text and "Emmentaler" not in show.family)
        stream.write(show, show.text.replace(find, new, 1))

    change.__name__ = f"{find} to {new}"
    return change


def other_speed(stream: Stream) -> None:
    stream.write(stream.words(r"\d\.\d")[0], "9.9")


WORDS: list[tuple[Change, str]] = [
    (spelled("Practice", "Practoce"), "word"),
    (spelled("pain", "pein"), "word"),
    (spelled("circle", "cirle"), "word"),
    (spelled("Play without pain.", "Play with pain."), "words"),
    (spelled("Play without pain.", ""), "words"),
    (other_speed, "tempo"),
]


@pytest.mark.parametrize(("change", "kind"), WORDS, ids=lambda value: getattr(value, "__name__", value))
def test_a_fault_in_words_is_found(small: Finished, tmp_path: Path, asked: Asked, change: Change, kind: str):
    page = small.page(LANDING)
    pdf = planted(small.pdf, tmp_path / "planted.pdf", page, change)
    assert (page, kind) in {(one.page, one.kind) for one in read_book(pdf, small.document, asked)}


def test_an_aim_without_a_word_is_found(small: Finished, tmp_path: Path, asked: Asked):
    page = small.page(LANDING)
    aim = dict(asked.aims)[LANDING]
    pdf = planted(small.pdf, tmp_path / "planted.pdf", page, spelled(aim.split()[1], ""))
    assert (page, "words") in {(one.page, one.kind) for one in read_book(pdf, small.document, asked)}


# --- the file --------------------------------------------------------------------------------------------------------


def pinned(writer: PdfWriter) -> None:
    note = DictionaryObject(
        {
            NameObject("/Type"): NameObject("/Annot"),
            NameObject("/Subtype"): NameObject("/Square"),
            NameObject("/Rect"): RectangleObject((100, 300, 300, 500)),
        }
    )
    writer.pages[6][NameObject("/Annots")] = ArrayObject([writer._add_object(note)])


def script(writer: PdfWriter) -> None:
    action = {NameObject("/S"): NameObject("/JavaScript"), NameObject("/JS"): TextStringObject("1")}
    writer.root_object[NameObject("/OpenAction")] = DictionaryObject(action)


def attached(writer: PdfWriter) -> None:
    writer.add_attachment("note.txt", b"ahoy")


def other_name(writer: PdfWriter) -> None:
    writer.add_metadata({"/Title": "Another Book"})


def other_language(writer: PdfWriter) -> None:
    writer.root_object[NameObject("/Lang")] = TextStringObject("de")


def no_outline(writer: PdfWriter) -> None:
    del writer.root_object["/Outlines"]


def link_out_of_the_book(writer: PdfWriter) -> None:
    link = next(entry.get_object() for page in writer.pages for entry in page.get("/Annots", ()))
    del link["/Dest"]
    action = {NameObject("/S"): NameObject("/URI"), NameObject("/URI"): TextStringObject("https://example.org")}
    link[NameObject("/A")] = DictionaryObject(action)


def one_link_less(writer: PdfWriter) -> None:
    page = next(page for page in writer.pages if len(page.get("/Annots", ())) > 2)
    del page["/Annots"][-1]  # type: ignore[attr-defined]


def no_links(writer: PdfWriter) -> None:
    for page in writer.pages:
        page.pop("/Annots", None)


FILE: list[tuple[Callable[[PdfWriter], None], str]] = [
    (pinned, "file"),
    (script, "file"),
    (attached, "file"),
    (other_name, "file"),
    (other_language, "file"),
    (no_outline, "outline"),
    (link_out_of_the_book, "link"),
    (one_link_less, "link"),
]


@pytest.mark.parametrize(("change", "kind"), FILE, ids=lambda value: getattr(value, "__name__", value))
def test_a_fault_of_the_file_is_found(
    small: Finished, tmp_path: Path, asked: Asked, change: Callable[[PdfWriter], None], kind: str
):
    pdf = rewritten(small.pdf, tmp_path / "planted.pdf", change)
    assert kind in {one.kind for one in read_book(pdf, small.document, asked)}


def test_a_book_without_links_is_found(techniques: Finished, tmp_path: Path):
    pdf = rewritten(techniques.pdf, tmp_path / "planted.pdf", no_links)
    assert "link" in {one.kind for one in read_book(pdf, techniques.document)}
