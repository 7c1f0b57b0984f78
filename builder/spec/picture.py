"""Pictures that pages to read show: found inside the book's folder, known by their content, of limited size.

Stage:    1 read
In, Out:  a path as written in Markdown; a `Picture`
Source:   the first bytes of files: PNG (ISO/IEC 15948, 5.2), JPEG (ISO/IEC 10918-1, B.1.1.3); 10 MB and 40 million
          dots are our own choice: more than any camera needs for the width of a page
Not here: making it fit the page (`engraving.picture_text`)
"""

from __future__ import annotations

import hashlib
import warnings
from pathlib import Path, PurePosixPath

from builder.fields import Unreadable
from builder.spec.prose import Picture

_MOST_BYTES, _MOST_DOTS = 10_000_000, 40_000_000
_STARTS = {b"\x89PNG\r\n\x1a\n": "PNG", b"\xff\xd8\xff": "JPEG"}
_INSIDE = "a PNG or JPEG file inside the book's folder"


def read_picture(source: str, beside: Path, folder: Path) -> Picture:
    """Look at the picture that *source* names, from *beside* on; raise Unreadable where it can't be printed."""
    path, raw = read_inside(source, beside, folder, _INSIDE)
    return picture_of(raw, path, source)


def read_inside(source: str, beside: Path, folder: Path, expected: str) -> tuple[Path, bytes]:
    """The file that *source* names, from *beside* on, and its bytes; Unreadable where it is not in *folder*."""
    path = _found(source, beside, folder, expected)
    try:
        raw = path.read_bytes() if path.stat().st_size <= _MOST_BYTES else None
    except OSError as error:
        raise Unreadable(expected, found=f"the file '{source[:80]}', which can't be read") from error
    if raw is None:
        raise Unreadable(f"at most {_MOST_BYTES // 1_000_000} MB", found=f"the file '{source[:80]}', which is larger")
    return path, raw


def picture_of(raw: bytes, path: Path, source: str) -> Picture:
    """The picture that *raw* holds; *source* is what the user calls it."""
    form = picture_form(raw)
    if form is None:
        raise Unreadable(_INSIDE, "a name alone does not make a file one", f"'{source[:80]}', which is neither")
    wide, high = _size(raw, form, source)
    return Picture(str(path), "", wide, high, hashlib.sha256(raw).hexdigest())


def picture_form(raw: bytes) -> str | None:
    """`PNG` or `JPEG` by the first bytes; None for anything else."""
    return next((form for start, form in _STARTS.items() if raw.startswith(start)), None)


def _found(source: str, beside: Path, folder: Path, expected: str) -> Path:
    parts = PurePosixPath(source).parts
    if not parts or source.startswith(("/", "~")) or "\\" in source or ".." in parts or ":" in source or "%" in source:
        raise Unreadable(expected, "use a path from the Markdown file on, with '/' and no '..'")
    try:
        path = (beside / source).resolve()
        inside = path.is_relative_to(folder.resolve())
        there = path.is_file()
    except (OSError, ValueError, RuntimeError):
        raise Unreadable(expected) from None
    if not inside:
        raise Unreadable(
            expected, "copy the file into the book's folder", f"'{source[:80]}', a link that leads outside"
        )
    if not there:
        raise Unreadable(expected, found=f"'{source[:80]}', which is no file")
    return path


def _size(raw: bytes, form: str, source: str) -> tuple[int, int]:
    """Width and height, from the head of the file: nothing large is unpacked before they are known."""
    from io import BytesIO

    from PIL import Image  # takes long to import, and few books hold pictures

    too_large = Unreadable(f"at most {_MOST_DOTS // 1_000_000} million dots", "make it smaller", f"'{source[:80]}'")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of large files, which are judged here
            with Image.open(BytesIO(raw), formats=[form]) as opened:
                wide, high = opened.size
                if wide * high > _MOST_DOTS:
                    raise too_large
                opened.load()
                return wide, high
    except Unreadable:
        raise
    except Image.DecompressionBombError:
        raise too_large from None
    except Exception as error:  # the decoders raise whatever they meet in a damaged file
        raise Unreadable(_INSIDE, found=f"'{source[:80]}', which is damaged") from error
