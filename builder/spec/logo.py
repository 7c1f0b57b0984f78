"""A school's logo: known by its content, of limited size, and free of all but what is drawn.

Stage:    1 read
In, Out:  a path as written in a book file; a `Logo`, or Unreadable
Source:   the first bytes of files: PDF (ISO 32000-1, 7.5.2); 2 MB for a drawing is our own choice: a hundred times
          what a logo takes
Not here: dots (`picture`), shapes (`svg`), what a PDF holds (`pdf_page`), drawing any of them (`engraving.logo_text`)
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from builder.fields import Unreadable
from builder.spec.drawing import Drawing
from builder.spec.pdf_page import read_pdf_page
from builder.spec.picture import picture_form, picture_of, read_inside
from builder.spec.prose import Picture
from builder.spec.svg import read_svg

LOGO_FILE = "a PNG, JPEG, SVG or PDF file inside the book's folder"
_MOST_DRAWING_BYTES = 2_000_000


@dataclass(frozen=True, slots=True)
class Logo:
    """A logo and how wide it is for its height; *shown* is its dots, its outlines, or a PDF of nothing but its page."""

    path: str
    ratio: float
    digest: str
    shown: Picture | Drawing | bytes


def read_logo(source: str, folder: Path) -> Logo:
    """Look at the logo that *source* names in *folder*; raise Unreadable where it can't be printed."""
    path, raw = read_inside(source, folder, folder, LOGO_FILE)
    digest = hashlib.sha256(raw).hexdigest()
    if picture_form(raw):
        picture = picture_of(raw, path, source)
        return Logo(str(path), picture.wide_px / picture.high_px, digest, picture)
    if len(raw) > _MOST_DRAWING_BYTES:
        raise Unreadable(f"at most {_MOST_DRAWING_BYTES // 1_000_000} MB", found=f"'{source[:80]}', which is larger")
    try:
        return _drawn(raw, path, digest)
    except Unreadable as wrong:
        raise Unreadable(wrong.expected, wrong.hint, f"'{source[:80]}', which holds {wrong.found}") from wrong


def _drawn(raw: bytes, path: Path, digest: str) -> Logo:
    start = raw[:1024].lstrip(b"\xef\xbb\xbf \t\r\n")
    if start.startswith(b"%PDF-"):
        page = read_pdf_page(raw)
        return Logo(str(path), page.wide / page.high, digest, page.content)
    if start.startswith(b"<"):
        drawing = read_svg(raw)
        return Logo(str(path), drawing.wide / drawing.high, digest, drawing)
    raise Unreadable(LOGO_FILE, "a name alone does not make a file one", "something else")
