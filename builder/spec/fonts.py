"""A book's own font files: opened, and asked what they are called, what they hold and whether they may be embedded.

Stage:    1 read
In, Out:  the key `fonts` of a book; `OwnFonts`, and a Problem for every file that won't do
Source:   OpenType 1.9.1: `cmap`, `name` (identifiers 1 and 6), `OS/2` (`fsType`: 0x0002 no embedding, 0x0100 no
          subsets, 0x0200 bitmaps only), `fvar`; Unicode 15, bidirectional classes
Not here: how LilyPond finds them (`engraving.lilypond_run`)
"""

from __future__ import annotations

import hashlib
import io
import unicodedata
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any

from pydantic import Discriminator, Field, Tag

from builder import fields
from builder.errors import Problem
from builder.spec.part import Part, word_or_list
from builder.spec.plan import KeyPath, OwnFont, OwnFonts
from builder.spec.yaml_reader import Document

_KINDS = (b"\x00\x01\x00\x00", b"OTTO", b"true", b"ttcf")
_MOST_BYTES = 40_000_000  # our own choice: twice the largest font for Chinese, Japanese and Korean met so far
_EXPECTED = "a font file (.ttf, .otf, .ttc) that may be embedded"
_FORBIDDEN = {
    0x0002: "a font that its maker does not allow to be embedded",
    0x0100: "a font of which its maker does not allow parts to be embedded",
    0x0200: "a font of which its maker allows only pictures to be embedded",
}

_Files = Annotated[
    Annotated[fields.Title, Tag("<word>")]
    | Annotated[list[fields.Title], Field(min_length=1, max_length=4), Tag("<list>")],
    Discriminator(word_or_list),
]


class FontsModel(Part):
    """The fonts of a book: one file, or up to four of a family (upright, bold, italic, both), for each use."""

    text: _Files | None = None
    labels: _Files | None = None

    @property
    def files(self) -> tuple[tuple[KeyPath, str], ...]:
        """Every file with its key."""
        return (*_listed("text", self.text), *_listed("labels", self.labels))


def _listed(use: str, named: str | list[str] | None) -> tuple[tuple[KeyPath, str], ...]:
    if named is None or isinstance(named, str):
        return ((("fonts", use), named),) if named else ()
    return tuple((("fonts", use, number), file) for number, file in enumerate(named))


class _Refused(Exception):
    """Why a file won't do: *found*, *hint*."""

    def __init__(self, found: str, hint: str = "") -> None:
        self.found, self.hint = found, hint
        super().__init__(found)


def own_fonts(document: Document, files: Mapping[KeyPath, Path]) -> tuple[OwnFonts, tuple[Problem, ...]]:
    """Open the *files* of the key `fonts`; those that won't do are reported and left out."""
    found: dict[str, list[OwnFont]] = {"text": [], "labels": []}
    problems = []
    for path, file in files.items():
        try:
            font = read_font(file)
            family = [other.family for other in found[str(path[1])][:1]]
            if family not in ([], [font.family]):
                raise _Refused(f"{font.family}, another family than {family[0]}", "name files of one family")
            found[str(path[1])].append(font)
        except _Refused as refused:
            told = f"'{file.name}', {refused.found}"
            problems.append(document.places.problem(path, told, _EXPECTED, refused.hint))
    return OwnFonts(tuple(found["text"]), tuple(found["labels"])), tuple(problems)


def read_font(file: Path) -> OwnFont:
    """Open a font file, of a collection its first font; raise _Refused where it can't or may not be printed with."""
    try:
        if file.stat().st_size > _MOST_BYTES:
            raise _Refused(f"a file of more than {_MOST_BYTES // 1_000_000} MB", "take a smaller font")
        data = file.read_bytes()
    except OSError as error:
        raise _Refused(f"which can't be read ({(error.strerror or 'unknown').lower()})") from error
    if data[:4] not in _KINDS:
        raise _Refused("which is no font")
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]  # few books bring fonts of their own

    try:
        with TTFont(io.BytesIO(data), fontNumber=0, lazy=True) as font:
            return _font(file, data, font)
    except _Refused:
        raise
    except Exception as error:  # fontTools raises whatever its decoders meet in a file that lies about itself
        raise _Refused("a damaged font", "get the file anew") from error


def _font(file: Path, data: bytes, font: Any) -> OwnFont:
    if "fvar" in font:
        raise _Refused("a variable font", "take a font file of one weight")
    rights = int(font["OS/2"].fsType)
    for bit, words in _FORBIDDEN.items():
        # Of several rights the least restrictive counts (OpenType 1.9.1, OS/2): 0x0004 and 0x0008 allow printing.
        if rights & bit and not (bit == 0x0002 and rights & 0x000C):
            raise _Refused(words, "take another font, or ask its maker")
    family, printed = font["name"].getDebugName(1), font["name"].getDebugName(6)
    if not family or not printed or "," in family:
        raise _Refused("a font without a name to call it by", "take another font")
    characters = frozenset(code for code in font.getBestCmap() or () if _prints(chr(code)))
    return OwnFont(str(file), family, printed, hashlib.sha256(data).hexdigest(), characters)


def _prints(character: str) -> bool:
    """Whether a character prints as it is: nothing that controls others, joins them or is read from the right."""
    if unicodedata.category(character) in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp", "Mn", "Me", "Mc"):
        return False
    return unicodedata.bidirectional(character) not in ("R", "AL", "RLE", "RLO", "RLI")
