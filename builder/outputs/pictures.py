"""Pictures of a study for a web page or a slide: SVG and PNG, cropped to what is printed.

Stage:    7 write
In, Out:  the PDFs of a study's sides as engraved; a `Picture` a side
Units:    margins in points of 1/72 inch, resolution in dots an inch
Not here: reading a page (`page_svg`), engraving it
"""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from builder.engraving import find_lilypond
from builder.errors import MachineError
from builder.outputs.glyph_outlines import Box
from builder.outputs.page_svg import draw_page

PICTURE_DPI = 144  # our own choice: sharp on a telephone, small enough for a slow line
_MARGIN_PT = 8.0  # our own choice: a little paper around the ink, so that a picture can stand beside text
_LIMIT_S = 120


@dataclass(frozen=True, slots=True)
class Picture:
    """One side of a study, twice; *width* and *height* are the PNG's, in pixels."""

    svg: bytes
    png: bytes
    width: int
    height: int


def study_pictures(sides: Sequence[Path], title: str, dpi: int = PICTURE_DPI) -> tuple[Picture, ...]:
    """Return the pictures of all *sides*; *title* is what a screen reader says of them.

    Raises MachineError when Ghostscript can't be run.
    """
    return tuple(_picture(side, title, dpi) for side in sides)


def _picture(side: Path, title: str, dpi: int) -> Picture:
    drawing = draw_page(side)
    png, width, height = page_png(side, _widened(drawing.ink), dpi)
    return Picture(drawing.svg(title, _MARGIN_PT).encode("utf-8"), png, width, height)


def _widened(ink: Box) -> Box:
    left, low, right, high = ink
    return left - _MARGIN_PT, low - _MARGIN_PT, right + _MARGIN_PT, high + _MARGIN_PT


def page_png(pdf: Path, box: Box, dpi: int) -> tuple[bytes, int, int]:
    """Return what stands in *box* of a single page as PNG, with its width and height in pixels."""
    left, low, right, high = box
    width, height = round((right - left) * dpi / 72), round((high - low) * dpi / 72)
    with tempfile.TemporaryDirectory(prefix="etudebook-") as scratch:
        out = Path(scratch) / "page.png"
        command = [
            str(find_lilypond().ghostscript), "-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-sDEVICE=png16m", f"-r{dpi}",
            "-dTextAlphaBits=4", "-dGraphicsAlphaBits=4", f"-g{width}x{height}", "-dFIXEDMEDIA",
            f"-sOutputFile={out}",
            "-c", f"<< /Install {{ {-left:.3f} {-low:.3f} translate }} >> setpagedevice", "-f", str(pdf.resolve()),
        ]  # fmt: skip
        try:
            done = subprocess.run(command, cwd=scratch, capture_output=True, timeout=_LIMIT_S)
            content = out.read_bytes() if done.returncode == 0 else b""
        except (OSError, subprocess.TimeoutExpired) as error:
            raise MachineError(
                f"Ghostscript can't be run: {error}", "is there room in the temporary folder?"
            ) from error
    if not content:
        raise MachineError(
            f"Ghostscript made no picture (exit {done.returncode})", done.stderr.decode(errors="replace")
        )
    return content, width, height
