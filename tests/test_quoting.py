"""Texts that quote a book: what it has not is refused at its line; what editions leave out is quoted all the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from builder.composing import composed, quoted
from builder.errors import SpecError
from builder.pipeline import check
from builder.spec import load_library, read_book

BOOK = "title: Quoted\ninstrument: guitar\nexercises: [pier.yaml]\nfront: [foreword.md]\n"
PIER = (
    "title: Pier\nmaterial: {kind: chord-loop, chords: [Dm, Gm]}\ncontour: {order: [1, 2, 3]}\n"
    "neck: {start: {note: D, places: each-string}}\n"
)
TEXT = "# Foreword\n\nListen.\n\n```music\nstudy: {study}\nbars: {bars}\n```\n"


def book(folder: Path, study: str = "pier-s3f7", bars: str = "1-2") -> Path:
    (folder / "pier.yaml").write_text(PIER, encoding="utf-8")
    (folder / "foreword.md").write_text(TEXT.format(study=study, bars=bars), encoding="utf-8")
    (folder / "book.yaml").write_text(BOOK, encoding="utf-8")
    return folder / "book.yaml"


def test_a_study_of_the_book_can_be_quoted(tmp_path: Path) -> None:
    check(book(tmp_path), strict=False)


@pytest.mark.parametrize(
    ("study", "bars", "said"),
    [
        ("pier-s3f8", "1-2", r"foreword\.md:5:1: study: found 'pier-s3f8', .*did you mean 'pier-s3f7'"),
        ("peer-s3f7", "1", r"foreword\.md:5:1: study: found 'peer-s3f7', .*did you mean 'pier-s3f7'"),
        ("quay", "1", r"foreword\.md:5:1: study: found 'quay'"),
        ("pier-s3f7", "1-9", r"foreword\.md:5:1: bars: found 1-9, expected bars from 1 to 2"),
    ],
)
def test_what_there_is_not_is_refused_at_its_line(study: str, bars: str, said: str, tmp_path: Path) -> None:
    with pytest.raises(SpecError, match=r"(?s)" + said):
        check(book(tmp_path, study, bars), strict=False)


def test_a_study_that_an_edition_leaves_out_is_composed_for_its_quotation(tmp_path: Path) -> None:
    library = load_library()
    spec = read_book(book(tmp_path), library)
    whole = quoted(spec, composed(spec, library, strict=False), library)
    assert quoted(spec, (), library) == whole
    assert [study.id for study in whole.values()] == ["pier-s3f7"]
