"""The square code on a study's page that leads to its tracks.

Stage:    4 lay out (in)
In, Out:  the book's address, a study's id and the words beside the code; a `TrackCode`
Units:    modules, the small squares of a code; sizes on paper in mm
Source:   ISO/IEC 18004:2015 (a quiet zone of four modules on every side); at least 15 mm, and modules of at least
          0.4 mm for a telephone at arm's length: our own choice
Not here: where it stands on the page (`pages`, templates/)
"""

from __future__ import annotations

from urllib.parse import quote, urlsplit

import segno

from builder.pages import TrackCode

_QUIET = 4
_LEAST_MM, _LEAST_MODULE_MM = 15.0, 0.4
_LONGEST = 300  # our own choice: a longer address makes modules too small to print


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


def track_code(address: str, caption: tuple[str, ...] = (), scale: float = 1.0) -> TrackCode:
    """Return the code of *address*, a seventh of which may be dirty or torn (error correction M).

    It is as much larger as a page engraved at full size and printed at *scale* makes it smaller.

    >>> code = track_code("https://example.org/a-s1f1")
    >>> len(code.rows), code.rows[0], code.side_mm
    (25, '1111111010000100001111111', 15.0)
    """
    matrix = segno.make(address, error="m", micro=False, boost_error=False).matrix
    module_mm = max(_LEAST_MM / len(matrix), _LEAST_MODULE_MM) / scale
    return TrackCode(
        rows=tuple("".join("01"[bool(module)] for module in row) for row in matrix),
        side_mm=round(module_mm * len(matrix), 2),
        quiet_mm=round(module_mm * _QUIET, 2),
        caption=caption,
    )
