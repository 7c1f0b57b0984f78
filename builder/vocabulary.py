"""All words that a book may print, gathered from everything it is made of.

Stage:    7 write (in)
In, Out:  plans, phrases, the library, any value that holds texts; words in small letters
Not here: which of them stand where; whether a page has others (`critic.spelling`)
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterator, Mapping
from dataclasses import fields, is_dataclass

_WORD = re.compile(r"[^\W\d_]+")


def words_in(*values: object) -> frozenset[str]:
    """Return every word of every text that *values* hold, however deep.

    >>> sorted(words_in({"aim": "Land, let go."}, ["Pier 7"]))
    ['aim', 'go', 'land', 'let', 'pier']
    """
    texts = (unicodedata.normalize("NFC", text) for text in _texts(values, set()))
    return frozenset(word.casefold() for text in set(texts) for word in _WORD.findall(text))


def _texts(value: object, met: set[int]) -> Iterator[str]:
    if isinstance(value, str):
        yield value
        return
    if isinstance(value, bytes | int | float | None) or id(value) in met:
        return
    met.add(id(value))
    if isinstance(value, Mapping):
        for key, one in value.items():
            yield from _texts(key, met)
            yield from _texts(one, met)
    elif isinstance(value, Collection):
        for one in value:
            yield from _texts(one, met)
    elif is_dataclass(value):
        for field in fields(value):
            yield from _texts(getattr(value, field.name), met)
