"""Where a long word may break: as the book says, else as its language does.

Stage:    2 expand; asked when a page is written
In, Out:  titles and sentences of a book; the same texts with soft hyphens in their long words
Source:   the hyphenation patterns that travel with pyphen, which are those of TeX and LibreOffice (Liang, F. M.: Word
          Hy-phen-a-tion by Com-put-er, Stanford University 1983)
Not here: breaking lines, which is the engraver's work: it breaks a word only where a whole line can't hold it
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

SOFT_HYPHEN = "\u00ad"
_LONG = 12  # letters; in the largest title on the narrowest paper a shorter word fits its line
_LEAST = 3  # letters before and after a hyphen; two of them look lost in a title (our own choice)
_WORD = re.compile(r"[^\W\d_]+")


@dataclass(frozen=True, slots=True)
class Breaks:
    """Where words of *language* break: as in *hints*, words with hyphens at those places; else as its patterns say."""

    language: str
    hints: tuple[str, ...] = ()

    def __call__(self, text: str) -> str:
        """*text* with soft hyphens in its long words.

        >>> Breaks("de")("Ruhige Fingerübungen").replace(SOFT_HYPHEN, "-")
        'Ruhige Fin-ger-übun-gen'
        >>> Breaks("de", ("fingerübungs-nachmittag",))("Fingerübungsnachmittag!").replace(SOFT_HYPHEN, "-")
        'Fingerübungs-nachmittag!'
        """
        return _WORD.sub(self._broken, text)

    def lines(self, text: str, letters: int) -> list[str]:
        """*text* in lines of at most so many *letters*; a word longer than a line goes on in the next one.

        >>> Breaks("de").lines("Die Fingergeläufigkeitsübungen", 20)
        ['Die', 'Fingergeläufigkeits-', 'übungen']
        """
        lines: list[str] = []
        for word in self(text).split():
            rest = word
            while len(rest.replace(SOFT_HYPHEN, "")) > letters:
                piece, rest = _cut(rest, letters)
                lines.append(piece)
            whole = rest.replace(SOFT_HYPHEN, "")
            if lines and rest is word and len(lines[-1]) + 1 + len(whole) <= letters:
                lines[-1] += f" {whole}"
            else:
                lines.append(whole)
        return lines

    def _broken(self, found: re.Match[str]) -> str:
        word = found.group()
        hint = next((one for one in self.hints if one.replace("-", "").casefold() == word.casefold()), None)
        if hint is not None:
            return _with_hyphens_of(hint, word)
        return word if len(word) < _LONG else _patterned(word, self.language)


def _with_hyphens_of(hint: str, word: str) -> str:
    """*word* with soft hyphens where *hint*, the same letters, has hyphens."""
    letters = iter(word)
    return "".join(SOFT_HYPHEN if sign == "-" else next(letters, "") for sign in hint)


def _cut(word: str, letters: int) -> tuple[str, str]:
    """The longest beginning of *word* that a line of so many letters holds with its hyphen, and the rest."""
    pieces = word.split(SOFT_HYPHEN)
    for count in range(len(pieces) - 1, 0, -1):
        begun = "".join(pieces[:count])
        if len(begun) < letters:
            return f"{begun}-", SOFT_HYPHEN.join(pieces[count:])
    whole = "".join(pieces)
    return f"{whole[: letters - 1]}-", whole[letters - 1 :]


@cache
def _patterned(word: str, language: str) -> str:
    """*word* with a soft hyphen at each place the patterns of *language* allow; a language without any has none."""
    # Loaded only where a word is long: the module reads its list of dictionaries when it is imported.
    from pyphen import Pyphen, language_fallback  # type: ignore[import-untyped]

    known = language_fallback(language) if language else None
    if known is None:
        return word
    return str(Pyphen(lang=known, left=_LEAST, right=_LEAST).inserted(word, SOFT_HYPHEN))
