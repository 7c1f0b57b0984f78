"""The finished PDF read back: pages, furniture, outline, labels, links, facts; the same bytes each time."""

from __future__ import annotations

import shutil
import subprocess

import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import DictionaryObject, NameObject, StreamObject

from builder.engraving import Store, engrave
from builder.errors import MachineError
from builder.outputs.book_pdf import BookInfo, BookPage, Link, OutlineEntry, find_marks, write_book
from tests.engraving.samples import STYLE, body, sheet

FACTS = BookInfo("Loose Hands & Quick", "Harbour Lane Music School", "Guitar technique", "en", ("guitar", "etudes"))


def blank(path, text="", font="/Helvetica", width=595.28):
    """A one-page PDF that shows *text* in a font every reader has."""
    writer = PdfWriter()
    page = writer.add_blank_page(width, 841.89)
    kind = {"/Type": "/Font", "/Subtype": "/Type1", "/BaseFont": font}
    face = DictionaryObject({NameObject(key): NameObject(value) for key, value in kind.items()})
    fonts = DictionaryObject({NameObject("/F1"): writer._add_object(face)})
    page[NameObject("/Resources")] = DictionaryObject({NameObject("/Font"): fonts})
    content = StreamObject()
    content.set_data(f"2 0 0 2 0 0 cm BT /F1 12 Tf 40 400 Td ({text}) Tj ET".encode())
    page[NameObject("/Contents")] = writer._add_object(content)
    writer.write(path)
    return path


@pytest.fixture
def pages(tmp_path):
    front = [
        BookPage(blank(tmp_path / f"front-{index}.pdf", f"front {index}"), numbering="roman") for index in range(2)
    ]
    furniture = [blank(tmp_path / f"furniture-{index}.pdf", f"page {index}", "/Courier") for index in range(4)]
    music = [BookPage(blank(tmp_path / f"music-{index}.pdf", f"study {index}"), furniture[index]) for index in range(4)]
    return [*front, *music]


def facts(**changes):
    known = {name: getattr(FACTS, name) for name in BookInfo.__dataclass_fields__}
    return BookInfo(**{**known, **changes})


def written(tmp_path, pages, info=FACTS):
    path = tmp_path / "out" / "book.pdf"
    write_book(path, pages, info)
    return PdfReader(path)


def target_page(reader, annotation):
    return reader.get_page_number(annotation.get_object()["/Dest"][0].get_object())


def test_pages_come_in_order_each_with_its_own_furniture(tmp_path, pages):
    texts = [page.extract_text().split("\n") for page in written(tmp_path, pages).pages]
    assert texts[:2] == [["front 0"], ["front 1"]]
    assert [sorted(words) for words in texts[2:]] == [[f"page {index}", f"study {index}"] for index in range(4)]


def test_furniture_is_not_moved_by_what_the_page_left_behind(tmp_path, pages):
    """The page scales its drawing and never restores it; the furniture's own scale must be the only one it has."""
    page = written(tmp_path, pages).pages[2]

    contents = b"".join(part.get_object().get_data() for part in page["/Contents"])
    assert contents.startswith(b"q\n")
    assert contents.rstrip().endswith(b"Q q /Furniture Do Q")
    assert page["/Resources"]["/XObject"]["/Furniture"]["/Resources"]["/Font"]["/F1"]["/BaseFont"] == "/Courier"
    assert page["/Resources"]["/Font"]["/F1"]["/BaseFont"] == "/Helvetica"


def test_page_labels_are_roman_in_front_and_start_again_at_one(tmp_path, pages):
    reader = written(tmp_path, pages)
    assert reader.page_labels == ["i", "ii", "1", "2", "3", "4"]
    assert reader.root_object["/PageLabels"]["/Nums"][0] == 0


def test_the_outline_is_a_folded_tree(tmp_path, pages):
    entries = (
        OutlineEntry(1, "Contents", 0),
        OutlineEntry(1, "Level 1", 2),
        OutlineEntry(2, "Ferry Steps", 2),
        OutlineEntry(3, "String 3", 3),
        OutlineEntry(2, "Pier", 4),
        OutlineEntry(1, "Level 2", 5),
    )
    reader = written(tmp_path, pages, facts(outline=entries))

    def tree(items):
        return [
            tree(item) if isinstance(item, list) else (item.title, reader.get_destination_page_number(item))
            for item in items
        ]

    level = [("Ferry Steps", 2), [("String 3", 3)], ("Pier", 4)]
    assert tree(reader.outline) == [("Contents", 0), ("Level 1", 2), level, ("Level 2", 5)]
    assert reader.outline[1]["/Count"] < 0
    assert reader.page_mode == "/UseOutlines"


def test_an_outline_that_jumps_a_level_is_our_bug(tmp_path, pages):
    with pytest.raises(ValueError, match="jumps to level 3"):
        written(tmp_path, pages, facts(outline=(OutlineEntry(1, "A", 0), OutlineEntry(3, "B", 1))))


def test_links_lead_to_their_pages(tmp_path, pages):
    reader = written(tmp_path, pages, facts(links=(Link(0, (10, 20, 110, 40), 3), Link(0, (10, 50, 110, 70), 5))))
    annotations = reader.pages[0]["/Annots"]
    assert [target_page(reader, one) for one in annotations] == [3, 5]
    assert [list(map(float, one.get_object()["/Rect"])) for one in annotations] == [
        [10, 20, 110, 40],
        [10, 50, 110, 70],
    ]


def test_targets_can_be_named_from_outside(tmp_path, pages):
    reader = written(tmp_path, pages, facts(targets={"ferry-steps-s3f7": 4}))
    assert reader.get_destination_page_number(reader.named_destinations["ferry-steps-s3f7"]) == 4


def test_facts_are_in_both_places_readers_look(tmp_path, pages):
    reader = written(tmp_path, pages)
    known = reader.metadata
    assert (known.title, known.author, known.subject) == (FACTS.title, FACTS.author, FACTS.subject)
    assert known["/Keywords"] == "guitar, etudes"
    assert "/CreationDate" not in known
    packet = reader.xmp_metadata
    assert packet.dc_title == {"x-default": FACTS.title}
    assert (packet.dc_creator, packet.dc_language) == ([FACTS.author], ["en"])
    assert packet.dc_subject == ["guitar", "etudes"]
    assert reader.root_object["/Lang"] == "en"
    assert reader.root_object["/ViewerPreferences"]["/DisplayDocTitle"]


def test_the_same_book_has_the_same_bytes(tmp_path, pages):
    one, two, other = tmp_path / "one.pdf", tmp_path / "two.pdf", tmp_path / "other.pdf"
    write_book(one, pages, FACTS)
    write_book(two, pages, FACTS)
    write_book(other, pages[:-1], FACTS)
    assert one.read_bytes() == two.read_bytes()
    first, second = (PdfReader(path).trailer["/ID"][0] for path in (one, other))
    assert first != second
    assert len(first.original_bytes) == len(second.original_bytes) == 16
    assert any(first.original_bytes)


def test_the_order_in_which_a_page_lists_its_fonts_changes_no_byte(tmp_path):
    books = []
    for order in (("/Helvetica", "/Courier"), ("/Courier", "/Helvetica")):
        writer = PdfWriter()
        page, fonts = writer.add_blank_page(595.28, 841.89), DictionaryObject()
        for base in order:
            kind = {"/Type": "/Font", "/Subtype": "/Type1", "/BaseFont": base}
            face = DictionaryObject({NameObject(key): NameObject(value) for key, value in kind.items()})
            fonts[NameObject(f"/F{base[1]}")] = writer._add_object(face)
        page[NameObject("/Resources")] = DictionaryObject({NameObject("/Font"): fonts})
        path = tmp_path / f"{order[0][1:]}.pdf"
        writer.write(path)
        write_book(tmp_path / "book.pdf", [BookPage(path)], FACTS)
        books.append((path.read_bytes(), (tmp_path / "book.pdf").read_bytes()))
    assert books[0][0] != books[1][0]
    assert books[0][1] == books[1][1]


def test_equal_pages_are_held_once(tmp_path):
    page = BookPage(blank(tmp_path / "page.pdf", "word " * 2000))
    write_book(tmp_path / "one.pdf", [page], FACTS)
    write_book(tmp_path / "ten.pdf", [page] * 10, FACTS)
    assert (tmp_path / "ten.pdf").stat().st_size < 1.5 * (tmp_path / "one.pdf").stat().st_size


def test_each_page_keeps_its_own_size(tmp_path):
    widths = [400.0, 595.28]
    book = [BookPage(blank(tmp_path / f"{width}.pdf", "x", width=width)) for width in widths]
    assert [float(page.mediabox.width) for page in written(tmp_path, book).pages] == widths


def test_a_failure_leaves_the_earlier_book(tmp_path, pages):
    path = tmp_path / "book.pdf"
    path.write_bytes(b"the earlier one")
    with pytest.raises(ValueError, match="jumps"):
        write_book(path, pages, facts(outline=(OutlineEntry(2, "A", 0),)))
    assert path.read_bytes() == b"the earlier one"


def test_a_place_that_cannot_be_written_is_a_machine_error(tmp_path, pages):
    (tmp_path / "out").write_text("a file, not a folder")
    with pytest.raises(MachineError):
        write_book(tmp_path / "out" / "book.pdf", pages, FACTS)


@pytest.mark.skipif(shutil.which("qpdf") is None, reason="qpdf is not installed")
def test_a_strict_reader_finds_no_fault(tmp_path, pages):
    entries = (OutlineEntry(1, "Front", 0), OutlineEntry(2, "Pier", 2))
    write_book(
        tmp_path / "book.pdf", pages, facts(outline=entries, targets={"pier": 2}, links=(Link(0, (1, 1, 9, 9), 2),))
    )
    done = subprocess.run(["qpdf", "--check", tmp_path / "book.pdf"], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.fixture(scope="module")
def engraved(tmp_path_factory):
    """Contents with marks, and six pages with different words and music."""
    studies = [f"study-{index}" for index in range(6)]
    lines = " ".join(f'\\line {{ \\with-url #"mark:{name}" "go to {name}" }}' for name in studies)
    contents = f"\\bookpart {{ \\paper {{ }} \\markup \\column {{ {lines} }} }}\n"
    names = ("Ferry", "Jetty", "Lantern", "Mole", "Quay", "Zinc")
    music = [
        body(name, rf"d'16\2-{index % 4 + 1} e'8.\2 f'4\2 {'r2' if index % 2 else 'fis2'} |")
        for index, name in enumerate(names)
    ]
    sheets = [sheet("contents", contents), *(sheet(name, text) for name, text in zip(studies, music, strict=True))]
    result = engrave(sheets, STYLE, Store(tmp_path_factory.mktemp("store")), 2, lambda done, total: None)
    assert result.problems == ()
    return {key: one.pdfs[0] for key, one in result.sheets.items()}


@pytest.fixture
def book(engraved, tmp_path):
    keys = list(engraved)
    path = tmp_path / "book.pdf"
    pages = [BookPage(engraved[key], numbering="roman" if key == "contents" else "decimal") for key in keys]
    write_book(path, pages, facts(targets={key: index for index, key in enumerate(keys)}))
    return path


@pytest.mark.engraves
def test_every_font_is_embedded_once_however_many_pages_use_it(book):
    programs, objects = {}, {}
    for page in PdfReader(book).pages:
        for font in page["/Resources"]["/Font"].values():
            name = font["/BaseFont"].split("+")[1]
            programs.setdefault(name, set()).add(font["/FontDescriptor"].raw_get("/FontFile3").idnum)
            objects.setdefault(name, set()).add(font.indirect_reference.idnum)
    assert {"TeXGyreSchola-Bold", "TeXGyreSchola-Regular", "Emmentaler-18"} <= set(programs)
    assert {len(numbers) for numbers in (*programs.values(), *objects.values())} == {1}


@pytest.mark.engraves
def test_text_and_music_read_the_same_as_before_joining(book, engraved):
    for page, source in zip(PdfReader(book).pages, engraved.values(), strict=True):
        assert page.extract_text() == PdfReader(source).pages[0].extract_text()


@pytest.mark.engraves
def test_marks_become_links_where_the_words_are(book, engraved):
    marks = find_marks(engraved["contents"])
    assert list(marks) == [f"study-{index}" for index in range(6)]
    reader = PdfReader(book)
    annotations = [one.get_object() for one in reader.pages[0]["/Annots"]]
    assert [target_page(reader, one) for one in annotations] == [1, 2, 3, 4, 5, 6]
    assert [tuple(map(float, one["/Rect"])) for one in annotations] == list(marks.values())
    assert all("/A" not in one for one in annotations)


@pytest.mark.engraves
def test_a_mark_without_a_target_is_our_bug(engraved, tmp_path):
    with pytest.raises(ValueError, match="'study-0'"):
        write_book(tmp_path / "book.pdf", [BookPage(engraved["contents"])], FACTS)


@pytest.mark.engraves
@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="poppler is not installed")
def test_joined_pages_look_exactly_as_engraved(book, engraved, tmp_path):
    def raster(path, page=1):
        command = ["pdftoppm", "-r", "60", "-f", str(page), "-l", str(page), path]
        return subprocess.run(command, capture_output=True, check=True).stdout

    for number, source in enumerate(engraved.values(), start=1):
        assert raster(book, number) == raster(source)
