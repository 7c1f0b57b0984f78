"""The language of a content stream: its statements, and what strings and colours among them say.

Stage:    page critic
In, Out:  bytes; operators with their operands, codes of glyphs, greys
Source:   ISO 32000-1:2008, 7.2 and 7.3.4 (words, strings), 7.8.2 (operators), 8.6 (colours)
Not here: what the statements do on a page (`content`)

A page holds ten thousand words in three thousand statements, nearly all of one shape: a name, a string or an array of
strings, then numbers, then the operator. A pattern that takes a whole statement of that shape at a time is twice as
fast as one that takes a word; a stream with any other statement is read word by word.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence

_INNER = rb"(?:[^\\()]++|\\[\s\S]|\((?:[^\\()]|\\[\s\S])*+\))*+"  # of a string, brackets in it one deep
_HEX = rb"[0-9A-Fa-f\s]*+"
_NAME = rb"/[^\s()<>\[\]{}/%]*+"
_STRING = rb"(?:\(" + _INNER + rb"\)|<" + _HEX + rb">)"
_WORD = re.compile(_STRING + rb"|<<|>>|[\[\]]|" + _NAME + rb"|%[^\r\n]*+|[^\s()<>\[\]{}/%]++")
_STATEMENT = re.compile(
    rb"(" + _NAME + rb"|" + _STRING + rb"|\[(?:[-+.\d\s]++|" + _STRING + rb")*+\])?"
    rb"([-+.\d\s]*+)([A-Za-z'\"][A-Za-z0-9*]*+)(?=[\s/\[(<]|\Z)|(\S)"
)
# What a string or an array shows, piece by piece: a string of either kind, or the step between two.
PIECE = re.compile(rb"\((" + _INNER + rb")\)|<(" + _HEX + rb")>|([-+.\d]++)")
_ESCAPE = re.compile(rb"\\([0-7]{1,3}|\r\n|[\s\S])")
_INLINE = re.compile(rb"(?<=\s)BI\s[\s\S]*?\sID\s[\s\S]*?\sEI(?=\s)")
_ESCAPES = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f", b"\n": b"", b"\r": b"", b"\r\n": b""}


def statements(content: bytes, operators: Collection[bytes]) -> Iterator[tuple[bytes, list[bytes]]]:
    """Yield every operator of *content* with its operands, an array as one of them.

    >>> list(statements(b"/F1 9 Tf [(a)-20(b)]TJ", {b"Tf", b"TJ"}))
    [(b'Tf', [b'/F1', b'9']), (b'TJ', [b'[(a)-20(b)]'])]
    """
    found = _STATEMENT.findall(content)
    if any(other for _, _, _, other in found):
        yield from _word_by_word(content, operators)
        return
    for first, numbers, operator, _ in found:
        yield operator, [first, *numbers.split()] if first else numbers.split()


def _word_by_word(content: bytes, operators: Collection[bytes]) -> Iterator[tuple[bytes, list[bytes]]]:
    operands: list[bytes] = []
    array: list[bytes] = []
    for word in _WORD.findall(content):
        if array or word == b"[":
            array.append(word)
            if word == b"]":
                operands.append(b" ".join(array))
                array = []
        elif word in operators:
            yield word, operands
            operands = []
        else:
            operands.append(word)


def bytes_of(plain: bytes, digits: bytes) -> bytes:
    """Return what a string holds: between brackets as it stands, between angles as hexadecimal digits.

    >>> bytes_of(b"(a\\\\051", b""), bytes_of(b"", b"6 2")
    (b'(a)', b'b')
    """
    if digits:
        tight = digits.translate(None, b" \r\n\t\f")
        return bytes.fromhex((tight + b"0" * (len(tight) % 2)).decode())
    return _ESCAPE.sub(_unescaped, plain) if b"\\" in plain else plain


def _unescaped(found: re.Match[bytes]) -> bytes:
    word = found[1]
    if word[:1].isdigit():
        return bytes([int(word, 8) & 255])
    return _ESCAPES.get(word, word)


def wide_codes(text: bytes) -> Sequence[int]:
    """Return the codes of glyphs in a string where each takes two bytes."""
    return [int.from_bytes(text[k : k + 2], "big") for k in range(0, len(text), 2)]


def grey_of(operands: Sequence[bytes]) -> float:
    """Return how light a colour is, 0 black to 1 white; the weights of ITU-R BT.601 for red, green and blue."""
    values = [float(word) for word in operands if word[:1] not in b"/"]
    if len(values) == 4:
        return max(0.0, 1 - values[3] - (0.299 * values[0] + 0.587 * values[1] + 0.114 * values[2]))
    if len(values) == 3:
        return 0.299 * values[0] + 0.587 * values[1] + 0.114 * values[2]
    return values[0] if values else 0.5


def without_dots(content: bytes) -> bytes:
    """The dots of an image within a stream are no words of it; what stands for them draws a picture of that size."""
    return _INLINE.sub(b" /inline Do ", content) if b"BI" in content else content
