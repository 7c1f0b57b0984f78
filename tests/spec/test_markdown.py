"""Markdown as pages to read: what is understood, and what is refused in which line."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from builder.spec import prose
from builder.spec.markdown import read_prose

CASES = Path(__file__).parent / "prose"
MARKER = "<!-- === problems ===\n"


def huge_png() -> bytes:
    """A file of a few bytes that says it holds ten thousand million dots."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", 100_000, 100_000, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0")) + chunk(b"IEND", b"")


@pytest.fixture
def book(tmp_path: Path) -> Path:
    folder = tmp_path / "book"
    folder.mkdir()
    Image.new("L", (40, 20), 200).save(folder / "good.png")
    Image.new("RGB", (40, 20), "red").save(folder / "good.jpg")
    Image.new("L", (4, 4)).save(tmp_path / "outside.png")
    (folder / "lie.png").write_text("#!/bin/sh\n", encoding="utf-8")
    (folder / "broken.png").write_bytes((folder / "good.png").read_bytes()[:40])
    (folder / "huge.png").write_bytes(huge_png())
    return folder


def read(text: str, folder: Path) -> prose.ProseText:
    found, problems = read_prose(text.encode("utf-8"), folder / "foreword.md", folder)
    assert problems == ()
    assert found is not None
    return found


def refused(text: str, folder: Path) -> list[str]:
    """The problems as printed, without the folder."""
    found, problems = read_prose(text.encode("utf-8"), folder / "foreword.md", folder)
    assert found is None
    return [str(problem).replace(f"{folder}/", "") for problem in problems]


@pytest.mark.parametrize("case", sorted(CASES.glob("*.md")), ids=lambda case: case.stem)
def test_what_is_no_page_to_read_gives_exactly_these_problems(case, golden, book):  # type: ignore[no-untyped-def]
    text = case.read_text(encoding="utf-8").partition(MARKER)[0]
    problems = refused(text, book)
    assert problems
    golden(case, text + MARKER + "".join(f"{problem}\n" for problem in problems) + "-->\n")


def test_every_block_is_understood(book: Path) -> None:
    text = read(
        "# The *title*\n\n## Two\n\n### Three\n\nOne\ntwo\\\nthree\n\n- a\n- b\n\n7. c\n\n> d\n\n***\n\n"
        "| x | y | z |\n|---|--:|:-:|\n| 1 | 2 | 3 |\n\n![A neck](good.png)\n\n"
        "```music\nstudy: ferry-steps-s3f7\nbars: 2 - 4\n```\n",
        book,
    )
    assert (text.name, text.title) == ("foreword", "The title")
    two, three, paragraph, dots, numbers, quotation, rule, table, picture, example = text.blocks
    assert (two, three) == (prose.Heading(2, (prose.Span("Two"),)), prose.Heading(3, (prose.Span("Three"),)))
    assert isinstance(paragraph, prose.Paragraph)
    assert [prose.plain(line) for line in paragraph.lines] == ["One two", "three"]
    assert isinstance(dots, prose.ItemList)
    assert (dots.first, len(dots.items)) == (None, 2)
    assert isinstance(numbers, prose.ItemList)
    assert numbers.first == 7
    assert quotation == prose.Quotation((prose.Paragraph(((prose.Span("d"),),)),))
    assert rule == prose.Break()
    assert isinstance(table, prose.Table)
    assert table.aligns == ("left", "right", "center")
    assert [prose.plain(cell) for cell in table.rows[0]] == ["1", "2", "3"]
    assert isinstance(picture, prose.Picture)
    assert (picture.caption, picture.wide_px, picture.high_px) == ("A neck", 40, 20)
    assert isinstance(example, prose.Example)
    assert (example.study, example.first, example.last, example.where.line) == ("ferry-steps-s3f7", 2, 4, 26)


def runs(text: str, folder: Path) -> prose.Run:
    (block,) = read(f"# T\n\n{text}\n", folder).blocks
    assert isinstance(block, prose.Paragraph)
    return block.lines[0]


def test_emphasis_nests(book: Path) -> None:
    assert runs("a **b *c*** `d`", book) == (
        prose.Span("a "),
        prose.Span("b ", bold=True),
        prose.Span("c", bold=True, italic=True),
        prose.Span(" "),
        prose.Span("d", code=True),
    )


@pytest.mark.parametrize(
    ("written", "printed"),
    [
        ("[our page](https://harbourlane.example/)", "our page (harbourlane.example)"),
        ("<https://harbourlane.example/a>", "https://harbourlane.example/a"),
        ("[harbourlane.example](http://harbourlane.example)", "harbourlane.example"),
    ],
)
def test_a_link_is_printed_with_its_address_once(written: str, printed: str, book: Path) -> None:
    found = runs(written, book)
    assert prose.plain(found) == printed
    assert all(span.address.startswith("http") for span in found)


def test_lines_are_counted_inside_a_paragraph(book: Path) -> None:
    (problem,) = refused("# T\n\none\ntwo\\\nthree ♭\n", book)
    assert problem.startswith("foreword.md:5:1: ")


def test_lines_are_counted_inside_a_table(book: Path) -> None:
    (problem,) = refused("# T\n\n| a |\n|---|\n| b |\n| ♭ |\n", book)
    assert problem.startswith("foreword.md:6:1: ")


def test_a_file_that_is_no_text_is_refused_at_its_line(book: Path) -> None:
    _, (problem,) = read_prose(b"# T\n\n\xff\n", book / "foreword.md", book)
    assert problem.where.line == 3
    _, (problem,) = read_prose(b"# T\n\0", book / "foreword.md", book)
    assert "zero byte" in problem.found
    _, (problem,) = read_prose(b"#" * 200_001, book / "foreword.md", book)
    assert "bytes" in problem.expected
    _, (problem,) = read_prose(b"", book / "foreword.md", book)
    assert problem.found == "no title"


def test_a_picture_is_known_by_its_content(book: Path) -> None:
    (book / "photo.txt").write_bytes((book / "good.jpg").read_bytes())
    (picture,) = read("# T\n\n![x](photo.txt)\n", book).pictures
    assert (picture.wide_px, picture.high_px) == (40, 20)


def test_a_link_out_of_the_folder_is_refused(book: Path) -> None:
    (book / "way-out.png").symlink_to(book.parent / "outside.png")
    (problem,) = refused("# T\n\n![x](way-out.png)\n", book)
    assert "leads outside" in problem


@settings(deadline=None, max_examples=150)
@given(st.text(alphabet="#*_`>-|[]()<!\\\n 12ab~.:/", max_size=120))
def test_no_text_makes_the_reader_stumble(text: str) -> None:
    folder = Path("/nowhere")
    found, problems = read_prose(f"# T\n\n{text}".encode(), folder / "foreword.md", folder)
    assert (found is None) == bool(problems)
    assert all(problem.where.line >= 1 and problem.expected for problem in problems)
