"""Books in other alphabets: printed with the fonts they name, found by searching, read back without a finding.

Source:   fonts of Debian's packages fonts-dejavu and fonts-noto-cjk, where they are installed
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from pypdf import PdfReader

from builder.cli import main

ROOT = Path(__file__).parents[2]
FONTS = Path("/usr/share/fonts")
DEJAVU = FONTS / "truetype" / "dejavu"
NOTO = FONTS / "opentype" / "noto" / "NotoSansCJK-Regular.ttc"
CASES = {
    "cyrillic": ("Паромный шаг", [DEJAVU / "DejaVuSerif.ttf", DEJAVU / "DejaVuSerif-Bold.ttf"]),
    "greek": ("Ελεύθερα χέρια", [DEJAVU / "DejaVuSerif.ttf", DEJAVU / "DejaVuSerif-Bold.ttf"]),
    "japanese": ("渡し船の歩み", [NOTO]),
}


@pytest.mark.engraves
@pytest.mark.parametrize("alphabet", CASES)
def test_a_title_in_another_alphabet(alphabet, tmp_path, monkeypatch):
    title, files = CASES[alphabet]
    if not all(file.is_file() for file in files):
        pytest.skip("the fonts of this alphabet are not installed")
    monkeypatch.setenv("ETUDEBOOK_CACHE", str(tmp_path / "cache"))
    shutil.copytree(ROOT / "books" / "first-page" / "exercises", tmp_path / "exercises")
    exercise = tmp_path / "exercises" / "first-landing.yaml"
    exercise.write_text(exercise.read_text("utf-8").replace("First Landing", title), encoding="utf-8")
    (tmp_path / "fonts").mkdir()
    for file in files:
        shutil.copy(file, tmp_path / "fonts")
    book = tmp_path / "book.yaml"
    named = ", ".join(f"fonts/{file.name}" for file in files)
    text = (ROOT / "books" / "first-page" / "book.yaml").read_text(encoding="utf-8")
    book.write_text(f"{text}fonts: {{text: [{named}]}}\n", encoding="utf-8")
    assert main(["build", str(book), "--out", str(tmp_path / "out"), "--pages-only", "--jobs", "1"]) == 0
    (pdf,) = (tmp_path / "out").glob("*.pdf")
    # LilyPond draws glyphs of a CID-keyed font from last to first; in which order they stand the critic reads.
    assert set(title) <= set("".join(page.extract_text() for page in PdfReader(pdf).pages))
    assert pdf.stat().st_size < 400_000
    assert main(["check", "--pages", str(book), "--out", str(tmp_path / "out")]) == 0
