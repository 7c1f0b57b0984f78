"""Fonts on the page: which may appear, and what the fonts of this machine are.

Stage:    5 engrave
In, Out:  the bytes of single-page PDFs, a folder of font files; names and a digest
Source:   ISO 32000-1:2008, 9.6.4 (the tag before a subset's name)
Not here: joining the fonts of many pages (`outputs.book_fonts`)
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from pathlib import Path

# The families that travel with LilyPond. Anything else was lent by the machine and would print differently elsewhere.
ALLOWED_FAMILIES = ("TeXGyre", "C059", "Nimbus", "Emmentaler")

_BASE_FONT = re.compile(rb"/BaseFont\s*/([^\s/<>\[\]()]+)")
_SUBSET_TAG = re.compile(r"^[A-Z]{6}\+")


def plain_name(base_font: str) -> str:
    """Return a font's name without the tag of a subset.

    >>> plain_name("/IZBUXT+Emmentaler-18")
    'Emmentaler-18'
    """
    return _SUBSET_TAG.sub("", base_font.lstrip("/"))


def foreign_fonts(pdf: bytes, own: Iterable[str] = ()) -> tuple[str, ...]:
    """Return the fonts of an engraved page that neither travel with LilyPond nor are the book's *own*, sorted."""
    names = {plain_name(name.decode("latin-1")) for name in _BASE_FONT.findall(pdf)}
    return tuple(sorted(name for name in names - set(own) if not name.startswith(ALLOWED_FAMILIES)))


def fonts_digest(folder: Path) -> str:
    """Return a digest of the font files in *folder*: part of the key of every engraved page."""
    digest = hashlib.sha256()
    for font in sorted(folder.glob("*.otf")):
        digest.update(font.name.encode())
        digest.update(font.read_bytes())
    return digest.hexdigest()
