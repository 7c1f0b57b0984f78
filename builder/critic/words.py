"""The language of a content stream: its words, and what strings and colours among them say.

Stage:    page critic
In, Out:  bytes; words, codes of glyphs, greys
Source:   ISO 32000-1:2008, 7.2 and 7.3.4 (words, strings), 8.6 (colours)
Not here: what the words do on a page (`content`)
"""

from __future__ import annotations

import re
from collections.abc import Sequence

WORD = re.compile(
    rb"\((?:[^\\()]|\\[\s\S]|\((?:[^\\()]|\\[\s\S])*\))*\)"  # a string, brackets in it one deep
    rb"|<<|>>|<[0-9A-Fa-f\s]*>|[\[\]]|/[^\s()<>\[\]{}/%]*|%[^\r\n]*|[^\s()<>\[\]{}/%]+"
)
_ESCAPE = re.compile(rb"\\([0-7]{1,3}|\r\n|[\s\S])")
_ESCAPES = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f", b"\n": b"", b"\r": b"", b"\r\n": b""}


def string_of(word: bytes) -> bytes:
    """Return what a string in brackets of either kind holds."""
    if word[:1] == b"<":
        digits = word[1:-1].translate(None, b" \r\n\t\f")
        return bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode())
    inner = word[1:-1]
    return _ESCAPE.sub(_unescaped, inner) if b"\\" in inner else inner


def _unescaped(found: re.Match[bytes]) -> bytes:
    word = found[1]
    if word[:1].isdigit():
        return bytes([int(word, 8) & 255])
    return _ESCAPES.get(word, word)


def codes_of(text: bytes, wide: bool) -> Sequence[int]:
    """Return the codes of glyphs in a string; *wide* where each takes two bytes."""
    return [int.from_bytes(text[k : k + 2], "big") for k in range(0, len(text), 2)] if wide else text


def grey_of(operands: Sequence[bytes]) -> float:
    """Return how light a colour is, 0 black to 1 white; the weights of ITU-R BT.601 for red, green and blue."""
    values = [float(word) for word in operands if word[:1] not in b"/"]
    if len(values) == 4:
        return max(0.0, 1 - values[3] - (0.299 * values[0] + 0.587 * values[1] + 0.114 * values[2]))
    if len(values) == 3:
        return 0.299 * values[0] + 0.587 * values[1] + 0.114 * values[2]
    return values[0] if values else 0.5
