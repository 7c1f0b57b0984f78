"""Words on a page that the book does not have: a letter lost, added or changed.

Stage:    page critic
In, Out:  `Ink` and all words of the book; `Finding`s
Units:    millimetres from the upper left corner
Not here: whether a word stands where it belongs (`study`, `book`)

Numbers of pages, names of notes and chords are no words: they are read elsewhere. Large print draws blanks as gaps, so
that words may run together; a word broken at the end of a line ends in a hyphen; what a foot has no room for ends in
dots.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import lru_cache

from builder.critic.asked import Asked
from builder.critic.finding import Finding
from builder.critic.gist import named
from builder.critic.ink import Glyphs, Ink

_WORD = re.compile(r"[^\W\d_]+")
# Roman numbers; notes and chords with H for B, as in German; do re mi stands among the book's phrases.
_SIGN = re.compile(r"[ivxlc]+|[a-h](?:is|es|s)?(?:isis|eses)?|[a-h](?:m|maj|min|dim|aug|sus|add)*")
_CUT = ("…", "...")
_SHORTEST = 2
_REMEMBERED = 8192
_LINE_MM, _TOUCH_MM = 0.2, 0.6  # texts of one line; what stands closer is one word

_Place = tuple[bool, bool]  # whether the word may be the end, and whether the beginning, of a broken one


def spelling_findings(page: int, ink: Ink, asked: Asked) -> Iterator[Finding]:
    """Return words that the book does not have."""
    if not asked.words:
        return
    known = _known(asked.words)
    broken = any(text.text.rstrip().endswith("-") for text in ink.texts)
    for glyphs in ink.texts:
        for word in _unknown(glyphs.text, known, broken, asked.large_print):
            if (
                glyphs.text.startswith(word)
                and _goes_on(glyphs, ink)
                and _is_word(word.casefold(), known, (True, False))
            ):
                continue
            yield Finding(page, (glyphs.x, glyphs.y), "word", f"{_told(glyphs, word)} is no word of the book")


def _goes_on(glyphs: Glyphs, ink: Ink) -> bool:
    """Whether a text begins where another ends: a font may set a word's first letter by itself."""
    return any(
        one is not glyphs and abs(one.y - glyphs.y) < _LINE_MM and abs(glyphs.x - one.end) < _TOUCH_MM
        for one in ink.texts
    )


def _told(glyphs: Glyphs, word: str) -> str:
    return f"'{word}' in {named(glyphs)}" if glyphs.text.strip() != word else named(glyphs)


@lru_cache(maxsize=2)
def _known(words: tuple[str, ...]) -> frozenset[str]:
    return frozenset(words)


@lru_cache(maxsize=_REMEMBERED)
def _unknown(text: str, known: frozenset[str], broken: bool, tight: bool) -> tuple[str, ...]:
    whole = unicodedata.normalize("NFC", text).strip()
    words = _WORD.findall(whole)
    found = []
    for number, word in enumerate(words):
        if number == len(words) - 1 and whole.endswith(_CUT):
            continue
        begins = broken and number == len(words) - 1 and whole.endswith("-")
        ends = broken and number == 0
        if len(word) < _SHORTEST or _is_word(word.casefold(), known, (ends, begins)):
            continue
        if not (tight and _runs_together(word.casefold(), known)):
            found.append(word)
    return tuple(found)


def _is_word(word: str, known: frozenset[str], place: _Place) -> bool:
    if word in known or _SIGN.fullmatch(word):
        return True
    if place[0] and any(one.endswith(word) for one in known):
        return True
    return place[1] and any(one.startswith(word) for one in known)


def _runs_together(word: str, known: frozenset[str]) -> bool:
    """Whether a chain of letters is nothing but words of the book, one behind the other."""
    reached = {0}
    for end in range(1, len(word) + 1):
        if any(word[start:end] in known for start in reached):
            reached.add(end)
    return len(word) in reached
