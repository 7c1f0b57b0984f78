"""Pictures of engraved pages, looked at with other programs' eyes.

Source:   the ink of a page is measured by Ghostscript's `bbox` device
"""

from __future__ import annotations

import io
import re
import subprocess
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import Image
from pypdf import PdfReader

from builder.engraving import Store, engrave, find_lilypond
from builder.engraving.lilypond_source import study_sheet, style_text
from builder.errors import Location
from builder.outputs.page_svg import draw_page
from builder.outputs.pictures import study_pictures
from tests.outputs.pieces import CUES
from tests.pages import samples

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def side(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A study engraved as in a book."""
    plan = samples.book()
    sheet = study_sheet(samples.ferry_steps(), plan, Location("ferry.yaml"), samples.phrases(), CUES)
    done = engrave([sheet], style_text(plan), Store(tmp_path_factory.mktemp("store")), 1, lambda done, all_: None)
    assert not done.problems
    (page,) = done.sheets[sheet.key].pdfs
    return page


@pytest.mark.engraves
def test_the_ink_of_a_picture_is_where_ghostscript_finds_it(side: Path) -> None:
    command = [str(find_lilypond().ghostscript), "-q", "-dBATCH", "-dNOPAUSE", "-sDEVICE=bbox", str(side)]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stderr
    found = re.search(r"%%HiResBoundingBox: ([\d.]+) ([\d.]+) ([\d.]+) ([\d.]+)", said)
    assert found
    assert draw_page(side).ink == pytest.approx(tuple(map(float, found.groups())), abs=1.0)


@pytest.mark.engraves
def test_a_picture_draws_every_letter_and_needs_no_font(side: Path) -> None:
    (picture,) = study_pictures([side], "Ferry Steps, string 3")
    root = ElementTree.fromstring(picture.svg)
    drawn = root.findall(f".//{SVG}use")
    text = re.sub(r"/[a-z]+\.[\w.]+", "", PdfReader(side).pages[0].extract_text())  # names of music glyphs
    assert len(drawn) > len(re.findall("[A-Za-z]", text)) > 100
    assert {one.get("href") for one in drawn} <= {f"#{path.get('id')}" for path in root.iter(f"{SVG}path")}
    assert not root.findall(f".//{SVG}text")
    assert root.findtext(f"{SVG}title") == "Ferry Steps, string 3"


@pytest.mark.engraves
def test_a_picture_is_cropped_to_its_ink(side: Path) -> None:
    (picture,) = study_pictures([side], "Ferry Steps", dpi=72)
    image = Image.open(io.BytesIO(picture.png)).convert("L")
    assert image.size == (picture.width, picture.height)
    assert image.width < 595
    assert image.height < 842
    left, top, right, bottom = image.point(lambda shade: 255 if shade < 200 else 0).getbbox() or (0, 0, 0, 0)
    assert [left, top, image.width - right, image.height - bottom] == pytest.approx([8] * 4, abs=2)
    view = [float(number) for number in (ElementTree.fromstring(picture.svg).get("viewBox") or "").split()]
    assert view[2:] == pytest.approx([picture.width, picture.height], abs=1)


@pytest.mark.engraves
def test_an_operator_that_is_not_drawn_is_an_error(side: Path, tmp_path: Path) -> None:
    from pypdf import PdfWriter
    from pypdf.generic import NameObject, StreamObject

    writer = PdfWriter(clone_from=side)
    stream = StreamObject()
    stream.set_data(b"/Shade sh\n")
    writer.pages[0][NameObject("/Contents")] = writer._add_object(stream)
    writer.write(tmp_path / "odd.pdf")
    with pytest.raises(ValueError, match="'sh'"):
        draw_page(tmp_path / "odd.pdf")
