"""Pages to read as LilyPond text: one file exactly, texts that try to run code, and pages engraved for real."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from pypdf import PdfReader

from builder.engraving import Store, engrave
from builder.engraving.lilypond_curriculum import TitledSheet
from builder.engraving.lilypond_prose import likely_sides, prose_sheet
from builder.engraving.lilypond_source import style_text
from builder.engraving.picture_text import picture_text
from builder.pages.page import paper_of
from builder.spec import load_library, read_book
from builder.spec.markdown import read_prose
from builder.spec.picture import read_picture
from tests.engraving.test_lilypond_curriculum import LABELS, matter
from tests.engraving.test_lilypond_source import strings_removed
from tests.pages import samples

FERRY = samples.ferry_steps()
QUOTED = {FERRY.id: FERRY}
CASE = Path(__file__).parent / "prose" / "foreword"
NASTY = ('" } #(system "ls") \\markup { "', "\\\\", "%{", "#{ #}", "~$@^", '\\include "x"', "'", "((", "»“")


def sheet(text: str, folder: Path, paper: str = "a4", quoted: bool = True) -> TitledSheet:
    found, problems = read_prose(text.encode("utf-8"), folder / "foreword.md", folder)
    assert problems == ()
    assert found is not None
    given_matter = matter(paper=paper, labels=LABELS if quoted else {})
    return prose_sheet(given_matter, "front-prose:foreword.md", found, QUOTED)


def body(text: str, folder: Path, paper: str = "a4") -> str:
    return sheet(text, folder, paper).sheet.bodies[0].text


def test_a_page_is_written_exactly_so(golden, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    golden(CASE.with_suffix(".ly"), body(CASE.with_suffix(".md").read_text("utf-8"), tmp_path))


@settings(deadline=None, max_examples=60)
@given(st.lists(st.sampled_from([*NASTY, "word", "**b**", "*i*", "`c`", "- ", "> ", "\n\n"]), max_size=14))
def test_no_text_ever_leaves_its_quotes(parts: list[str]) -> None:
    folder = Path("/nowhere")
    found, problems = read_prose(("# T\n\n" + " ".join(parts)).encode(), folder / "foreword.md", folder)
    if found is None:
        assert problems
        return
    left = strings_removed(prose_sheet(matter(), "x", found, QUOTED).sheet.bodies[0].text)
    assert left.count("{") == left.count("}")
    assert left.count("(") == left.count(")")
    assert not re.search(r"system|include|%", left)


def test_only_places_on_the_web_can_be_clicked(tmp_path: Path) -> None:
    text = body("# T\n\n[a](https://harbourlane.example/b) c\n", tmp_path)
    assert '(make-with-url-markup "https://harbourlane.example/b" "a")' in text
    assert text.count("make-with-url-markup") == 2  # the word, and the address in brackets


def test_an_example_leads_to_its_study_where_the_book_holds_it(tmp_path: Path) -> None:
    music = "# T\n\n```music\nstudy: ferry-steps-s3f7\nbars: 1-2\n```\n"
    assert '"mark:ferry-steps-s3f7"' in sheet(music, tmp_path).sheet.bodies[0].text
    assert "mark:" not in sheet(music, tmp_path, quoted=False).sheet.bodies[0].text


def test_an_example_has_the_notes_of_its_bars_in_staff_and_tablature(tmp_path: Path) -> None:
    text = body("# T\n\n```music\nstudy: ferry-steps-s3f7\nbars: 2\n```\n", tmp_path)
    (tab,) = re.findall(r"\\new TabStaff.*?\{\n(.*?)\n\s*\}", text, re.DOTALL)
    assert len(re.findall(r"\\3", tab)) == 9
    assert len(re.findall(r"\|", re.sub(r'"[^"]*"', "", tab))) == 1


def test_a_word_no_line_could_hold_is_cut_and_nothing_of_it_is_lost(tmp_path: Path) -> None:
    address = "https://harbourlane.example/" + "deep/" * 25 + "end"
    text = body(f"# T\n\nSee <{address}>.\n", tmp_path)
    pieces = re.findall(r'make-with-url-markup "[^"]*" "([^"]*)"', text)
    assert "".join(pieces) == address
    assert len(pieces) > 1
    assert max(map(len, pieces)) < 60
    assert f'"{pieces[-1]}") ".")' in text  # the full stop stays with the last piece


@pytest.mark.parametrize(("name", "filter_"), [("flat.png", "FlateDecode"), ("noise.jpg", "DCTDecode")])
def test_a_picture_is_written_anew_in_grey_and_no_larger_than_can_be_seen(
    name: str, filter_: str, tmp_path: Path
) -> None:
    image = Image.new("RGB", (3000, 300), "red") if name == "flat.png" else Image.effect_noise((3000, 300), 90)
    image.convert("RGB").save(tmp_path / name, **({"comment": b"secret"} if name.endswith("jpg") else {}))
    drawn = picture_text(read_picture(name, tmp_path, tmp_path), 100.0)
    assert f"/{filter_} filter" in drawn
    assert "/Width 787 " in drawn  # 100 mm at 200 dots an inch
    assert re.fullmatch("[0-9a-f]+>", drawn.rpartition("\n")[2])
    assert b"secret".hex() not in drawn


SENTENCE = "The ferry was late again, and nobody minded it much. "
LONG = "\n\n".join(f"Paragraph {n}. " + SENTENCE * (n % 7 + 1) for n in range(40))


@pytest.mark.engraves
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_pages_engrave_without_a_complaint_and_hold_every_word(paper: str, tmp_path: Path) -> None:
    Image.new("RGB", (900, 500), "grey").save(tmp_path / "wall.png")
    picture = "\n\n![The wall](wall.png)\n"
    texts = {
        "all": CASE.with_suffix(".md").read_text("utf-8") + picture,
        "long": f"# Long\n\n## Heading\n\n{LONG}\n",
        "nasty": "# Nasty\n\n" + "\n\n".join(text.replace("*", "") for text in NASTY),
    }
    sheets = [replace(sheet(text, tmp_path, paper).sheet, key=key) for key, text in texts.items()]
    style = style_text(matter(paper=paper).book)
    done = engrave(sheets, style, Store(tmp_path / "store"), 1, lambda done, total: None)
    assert done.problems == ()
    pages = [PdfReader(pdf).pages[0] for pdf in done.sheets["long"].pdfs]
    assert len(pages) > 1
    words = "".join(page.extract_text() for page in pages)
    assert all(f"Paragraph {n}." in " ".join(words.split()) for n in range(40))
    for page in pages[1:]:
        # No page begins with the last line of a paragraph: two lines at least, or the beginning of one.
        first, second = [line for line in page.extract_text().splitlines() if line.strip()][:2]
        assert first.startswith("Paragraph") or not second.startswith("Paragraph")
    (art,) = [PdfReader(pdf).pages[0] for pdf in done.sheets["all"].pdfs][-1:]
    assert any(image.image for page in [art] for image in page.images)


def test_the_demo_foreword_is_thought_to_take_the_two_sides_it_takes():
    book = Path(__file__).parents[2] / "books" / "harbour-lane" / "book.yaml"
    plan = read_book(book, load_library()).plan
    assert plan is not None
    blocks = next(part.text for part in plan.front if part.text is not None).blocks
    assert likely_sides(blocks, paper_of(plan)) == 2
    assert likely_sides(blocks[:2], paper_of(plan)) == 1
