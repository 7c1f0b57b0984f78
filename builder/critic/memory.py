"""Pages that were found good before and need not be read again.

Stage:    page critic
In, Out:  pages of a PDF and the study on them; a key, and what is kept under it
Not here: where values are kept (`engraving.Store`)

The key covers all that the findings of these pages depend on: what each page draws with which fonts, the study, what
was asked for, the critic's own code. Only good pages are kept, so a fault is told again with every build.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any, Protocol

from pypdf import PageObject
from pypdf.generic import ArrayObject, DictionaryObject, IndirectObject, StreamObject

from builder.critic.asked import Asked
from builder.critic.gist import Gist, from_plain, to_plain

_ABOUT_OTHER_PAGES = {"/Parent", "/Annots", "/P"}  # links are read anew with each file
_PLACE = {"page"}  # where a study stands in the book is no part of what is on its pages


class Memory(Protocol):
    """Keeps small texts by key."""

    def value(self, key: str) -> str | None:
        """Return the text kept under *key*."""

    def keep_value(self, key: str, text: str) -> None:
        """Keep a text under *key*."""


class Recall:
    """What is remembered of the pages of one file."""

    def __init__(self, memory: Memory, asked: Asked) -> None:
        self._memory = memory
        self._before = repr((_own_code(), asked)).encode()
        self._known: dict[int, bytes] = {}

    def key(self, pages: Sequence[PageObject], study: Mapping[str, Any] | None) -> str:
        """Return the key of *pages* with the *study* on them, None where they hold none."""
        digest = hashlib.sha256(self._before)
        for page in pages:
            digest.update(self._digest(page))
        told = {name: value for name, value in study.items() if name not in _PLACE} if study else None
        digest.update(json.dumps(told, sort_keys=True).encode())
        return digest.hexdigest()

    def gists(self, key: str, count: int) -> tuple[Gist, ...] | None:
        """Return what *count* pages were in short when they were found good; None where they never were."""
        kept = self._memory.value(key)
        try:
            found = tuple(from_plain(one) for one in json.loads(kept)) if kept else ()
        except (ValueError, TypeError):
            return None
        return found if len(found) == count else None

    def keep(self, key: str, gists: Sequence[Gist]) -> None:
        """Remember good pages."""
        self._memory.keep_value(key, json.dumps([to_plain(one) for one in gists]))

    def _digest(self, value: Any) -> bytes:
        """Return a digest of an object of the file and of all it names, whatever numbers its objects have."""
        if isinstance(value, IndirectObject):
            if value.idnum not in self._known:
                self._known[value.idnum] = b""  # an object that names itself adds nothing the second time
                self._known[value.idnum] = self._digest(value.get_object())
            return self._known[value.idnum]
        digest = hashlib.sha256(type(value).__name__.encode())
        if isinstance(value, DictionaryObject):
            for name in sorted(value.keys() - _ABOUT_OTHER_PAGES):
                digest.update(name.encode() + self._digest(value.raw_get(name)))
            if isinstance(value, StreamObject):
                digest.update(value.get_data())
        elif isinstance(value, ArrayObject):
            for one in value:
                digest.update(self._digest(one))
        else:
            digest.update(repr(value).encode())
        return digest.digest()


@cache
def _own_code() -> str:
    digest = hashlib.sha256()
    for path in sorted(Path(__file__).parent.glob("*.py")):
        digest.update(path.read_bytes())
    return digest.hexdigest()
