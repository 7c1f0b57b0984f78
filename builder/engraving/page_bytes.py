"""A page's PDF as the same bytes each time, whatever was cut before it.

Stage:    5 engrave
In, Out:  a PDF as Ghostscript 9 writes it (version 1.4: plain objects, one table of offsets); the same page in bytes
          that depend on nothing but the page
Not here: cutting pages (`lilypond_run`)

Two runs differ in dates and random identifiers; and the fonts of a page are listed, and written, in an order that
depends on the pages cut before.
"""

from __future__ import annotations

import re

# What differs between two runs of Ghostscript on the same PostScript.
_TIME_BOUND = tuple(
    re.compile(pattern)
    for pattern in (
        rb"/(?:CreationDate|ModDate)\s*\(D:([^)]*)\)",
        rb"<xmp:(?:CreateDate|ModifyDate)>([^<]*)<",
        rb"uuid:([0-9a-fA-F-]+)",
        rb"/CMapName/R(\d+) def",  # named by an object's number before it got its own here
    )
)
# A random number, as digits or as letters with escapes. It stands in the trailer, behind every offset.
_STRING = rb"(?:<[0-9A-Fa-f]*>|\((?:\\.|[^\\)])*\))"
_IDENTIFIER = re.compile(rb"/ID\s*\[\s*" + _STRING + rb"\s*" + _STRING + rb"\s*\]", re.DOTALL)
_DIGIT = re.compile(rb"[0-9A-Fa-f]")

_TABLE = re.compile(rb"xref\n0 \d+\n((?:\d{10} \d{5} [fn] \n)+)trailer\n(.*?)startxref\n\d+\n%%EOF\n", re.DOTALL)
_SIZE = re.compile(rb"/Size \d+")
_FONTS = re.compile(rb"(<<)((?:/R\d+\n\d+ 0 R)+)(>>)")
_FONT = re.compile(rb"/R(\d+)\n\d+ 0 R")
_REFERENCE = re.compile(rb"(\d+) 0 R\b")
_OBJECT = re.compile(rb"(\d+) 0 obj")


def same_each_time(pdf: bytes) -> bytes:
    """Return *pdf* without what the clock, chance and its neighbours have put into it."""
    return _in_order(_timeless(pdf))


def _timeless(pdf: bytes) -> bytes:
    """Overwrite the digits of dates and random identifiers by ones: no offset moves, and a date stays a date."""
    pdf = _IDENTIFIER.sub(rb"/ID [<" + 32 * b"1" + rb"><" + 32 * b"1" + rb">]", pdf, count=1)
    for pattern in _TIME_BOUND:
        pdf = pattern.sub(lambda found: found[0].replace(found[1], _DIGIT.sub(b"1", found[1]), 1), pdf)
    return pdf


def _in_order(pdf: bytes) -> bytes:
    """Number the objects anew, in the order in which they are met from the trailer on, a page's fonts by name."""
    table = _TABLE.search(pdf)
    if table is None:
        return pdf
    starts = sorted(int(line[:10]) for line in table[1].split(b"\n")[:-1] if line[17:18] == b"n")
    objects = {}
    for start, end in zip(starts, [*starts[1:], table.start()], strict=True):
        head, stream, rest = pdf[start:end].partition(b"stream\n")  # what is packed in a stream holds no references
        number = _OBJECT.match(head)
        if number is None:
            return pdf
        objects[int(number[1])] = (_FONTS.sub(_fonts_in_order, head), stream + rest)
    anew: dict[int, int] = {}
    waiting = _referred(table[2])
    while waiting:
        number_met = waiting.pop(0)
        if number_met not in anew:
            anew[number_met] = len(anew) + 1
            waiting += _referred(objects[number_met][0])

    def renumbered(text: bytes) -> bytes:
        return _REFERENCE.sub(lambda found: b"%d 0 R" % anew[int(found[1])], text)

    written, placed = bytearray(pdf[: starts[0]]), [b"0000000000 65535 f \n"]
    for old, new in anew.items():
        placed.append(b"%010d 00000 n \n" % len(written))
        head, rest = objects[old]
        written += _OBJECT.sub(b"%d 0 obj" % new, renumbered(head), count=1) + rest
    trailer = _SIZE.sub(b"/Size %d" % len(placed), renumbered(table[2]))
    at = len(written)
    written += b"xref\n0 %d\n%strailer\n%sstartxref\n%d\n%%%%EOF\n" % (len(placed), b"".join(placed), trailer, at)
    return bytes(written)


def _referred(text: bytes) -> list[int]:
    return [int(number) for number in _REFERENCE.findall(text)]


def _fonts_in_order(found: re.Match[bytes]) -> bytes:
    fonts = sorted(_FONT.finditer(found[2]), key=lambda font: int(font[1]))
    return found[1] + b"".join(font[0] for font in fonts) + found[3]
