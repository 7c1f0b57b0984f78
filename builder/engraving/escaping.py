"""Text as LilyPond and Scheme read it: the one place where it is escaped.

Stage:    5 engrave (in)
In, Out:  any text of a user, of the phrases, of the program; quoted strings in which nothing is a command
Not here: tokens that are no text: notes, chords, pitches (`lilypond_notes`)
"""

from __future__ import annotations

import unicodedata

from builder.spec.breaks import Breaks

_LINE_ENDS = "\r\n\t\v\f\u0085\u2028\u2029"
_BIDI = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"


def ly_string(text: object) -> str:
    """Quote any text for LilyPond and Scheme, so that nothing in it is ever read as a command.

    Line ends become spaces; control characters, lone surrogates, direction overrides are dropped.

    >>> print(ly_string('say "hi" \\\\ #(exit)'))
    "say \\"hi\\" \\\\ #(exit)"
    """
    flat = "".join(" " if letter in _LINE_ENDS else letter for letter in str(text))
    kept = "".join(c for c in flat if unicodedata.category(c) not in ("Cc", "Cs") and c not in _BIDI)
    return '"' + kept.replace("\\", "\\\\").replace('"', '\\"') + '"'


def breakable(text: str, breaks: Breaks) -> str:
    """Quote text of several lines, with soft hyphens where its long words may break."""
    return ly_string(breaks(text))


def word_list(text: str) -> str:
    """A paragraph as a Scheme list of its words, for lines that a page may break between.

    >>> print(word_list('say "hi" now'))
    (list "say" "\\"hi\\"" "now")
    """
    return f"(list {' '.join(map(ly_string, text.split(' ')))})"
