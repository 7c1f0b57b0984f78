"""The square code on a study's page that leads to its tracks.

Stage:    7 write
In, Out:  the book's address and a study's id; a `QrCode`, written for LilyPond or as SVG
Units:    modules, the small squares of a code; sizes on paper in mm
Source:   ISO/IEC 18004:2015 (a quiet zone of four modules on every side); at least 15 mm, and modules of at least
          0.4 mm for a telephone at arm's length: our own choice
Not here: where it stands on the page (`pages`, templates/)
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from urllib.parse import quote, urlsplit

import segno

QUIET = 4
_LEAST_MM, _LEAST_MODULE_MM = 15.0, 0.4
_LONGEST = 300  # our own choice: a longer address makes modules too small to print


@dataclass(frozen=True, slots=True)
class QrCode:
    """Rows of modules from the top, dark ones true; the quiet zone is not among them."""

    address: str
    rows: tuple[tuple[bool, ...], ...]

    @property
    def modules(self) -> int:
        """How many modules a side has, the quiet zone included."""
        return len(self.rows) + 2 * QUIET

    @property
    def side_mm(self) -> float:
        """How large it is to be printed, the quiet zone included."""
        module = max(_LEAST_MM / len(self.rows), _LEAST_MODULE_MM)
        return round(module * self.modules, 2)

    def bars(self) -> Iterator[tuple[int, int, int]]:
        """Yield the dark stretches of every row: left, top, length, counted from the quiet zone's corner."""
        for top, row in enumerate(self.rows, start=QUIET):
            left = QUIET
            for dark, run in groupby(row):
                length = len(list(run))
                if dark:
                    yield left, top, length
                left += length

    def lilypond(self) -> str:
        r"""Return the arguments of templates/scan_code.ily's `\scan-code`."""
        rows = " ".join('"' + "".join("01"[module] for module in row) + '"' for row in self.rows)
        return f"#{self.side_mm} #{QUIET} #'({rows})"

    def svg(self) -> str:
        """Return the code as a small SVG picture, quiet zone and white ground included."""
        path = "".join(f"M{left} {top}h{length}v1h-{length}z" for left, top, length in self.bars())
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.modules} {self.modules}" '
            f'shape-rendering="crispEdges"><path fill="#fff" d="M0 0h{self.modules}v{self.modules}H0z"/>'
            f'<path d="{path}"/></svg>\n'
        )


def track_address(base_url: str, study: str) -> str:
    """Return the address of a study's tracks; ValueError, worded for the reader, when *base_url* can't be one.

    >>> track_address("https://harbour-lane.example/tracks/", "ferry-steps-s3f7")
    'https://harbour-lane.example/tracks/ferry-steps-s3f7'
    """
    address = base_url.strip()
    try:
        parts = urlsplit(address)
        host = parts.hostname
        _ = parts.port  # read only so that a port that is no number is refused here
    except ValueError:
        host, parts = None, urlsplit("")
    if parts.scheme not in ("http", "https") or not host or "@" in parts.netloc or any(map(str.isspace, address)):
        raise ValueError("an address that begins with https:// or http:// and a host")
    if parts.query or parts.fragment:
        raise ValueError("an address without ? and #, as the study's name is put behind it")
    plain = f"{parts.scheme}://{parts.netloc.encode('idna').decode('ascii')}{quote(parts.path, safe='/%~')}"
    found = f"{plain.rstrip('/')}/{study}"
    if len(found) > _LONGEST:
        raise ValueError(f"an address of at most {_LONGEST - len(study) - 1} characters")
    return found


def qr_code(address: str) -> QrCode:
    """Return the code of *address*, a seventh of which may be dirty or torn (error correction M)."""
    code = segno.make(address, error="m", micro=False, boost_error=False)
    return QrCode(address, tuple(tuple(bool(module) for module in row) for row in code.matrix))
