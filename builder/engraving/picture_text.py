"""A picture as PostScript text, so that a page is complete in itself and its key depends on what the picture shows.

Stage:    5 engrave (in)
In, Out:  a `Picture` and the width it is printed at; the words that read it, then its bytes in hexadecimal digits
Units:    millimetres
Source:   PostScript Language Reference, 3rd edition, 3.13 (filters), 4.10 (images); 200 dots to an inch is our own
          choice: twice what a 100-line screen shows
Not here: which files are pictures (`spec.picture`)

Pictures are opened and written anew, in grey: the book is printed in one ink, and nothing of the file but its dots
reaches the page.
"""

from __future__ import annotations

import io
import zlib
from functools import lru_cache
from pathlib import Path

from builder.errors import MachineError
from builder.spec.prose import Picture

_DOTS_AN_INCH, _INCH_MM = 200, 25.4
_QUALITY = 85  # of JPEG: above it files grow and nobody sees why (our own choice)


@lru_cache(maxsize=32)
def picture_text(picture: Picture, width_mm: float) -> str:
    """The dots of *picture* in grey, no more of them than can be seen; packed the way that takes less room."""
    try:
        raw = Path(picture.path).read_bytes()
        return dots_text(raw, width_mm)
    except (OSError, ValueError) as error:
        raise MachineError(f"{picture.path} can't be read any more", "has it changed during the build?") from error


def dots_text(raw: bytes, width_mm: float) -> str:
    """The same for the bytes of a PNG or JPEG."""
    from PIL import Image  # takes long to import, and few books hold pictures

    most = max(1, round(width_mm / _INCH_MM * _DOTS_AN_INCH))
    with Image.open(io.BytesIO(raw), formats=["PNG", "JPEG"]) as opened:
        upright = opened.convert("RGBA")
    paper = Image.new("RGBA", upright.size, "white")  # what is transparent shows the paper
    grey = Image.alpha_composite(paper, upright).convert("L")
    if grey.width > most:
        grey = grey.resize((most, max(1, round(grey.height * most / grey.width))), Image.Resampling.LANCZOS)
    packed, photo = zlib.compress(grey.tobytes(), 9), io.BytesIO()
    grey.save(photo, "JPEG", quality=_QUALITY)
    flat = len(packed) <= photo.tell()
    wide, high = grey.size
    digits = (packed if flat else photo.getvalue()).hex()
    source = "FlateDecode" if flat else "DCTDecode"
    return (
        f"/DeviceGray setcolorspace << /ImageType 1 /Width {wide} /Height {high} /BitsPerComponent 8 /Decode [0 1] "
        f"/ImageMatrix [{wide} 0 0 -{high} 0 {high}] "
        f"/DataSource currentfile /ASCIIHexDecode filter /{source} filter >> image\n{digits}>"
    )
