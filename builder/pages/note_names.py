"""How notes, keys and chords are called: by letters, by the German letters, by do re mi.

Stage:    4 lay out (pure)
In, Out:  names, keys and symbols of theory; texts, signs in them as ♯ and ♭, which the engraver draws
Source:   common practice: German B for B flat, H for B, Cis, Es; do re mi … with a fixed do where Spanish and French
          are spoken. Chord symbols stay by letters everywhere, as Spanish and French guitar books print them; only
          where notes are called German, H stands for B. There B flat keeps its sign (B♭, never a lone B), in symbols
          and on the neck: a lone B would mean one note to one reader and another to the next. That is our own choice
Not here: the words themselves (shared/phrases)
"""

from __future__ import annotations

import re

from builder.pages.phrases import Phrases
from builder.theory.harmony import Key
from builder.theory.pitch import NoteName

NAMINGS = ("letters", "german", "solfege")
"""The customs a book may choose from."""

_SIGNS = {-3: "𝄫♭", -2: "𝄫", -1: "♭", 0: "", 1: "♯", 2: "𝄪", 3: "𝄪♯"}
_GERMAN_FLATS = {"Ees": "Es", "Aes": "As", "Hes": "B", "Eeses": "Eses", "Aeses": "Ases"}
_LONE_B = re.compile(r"(?:^|(?<=/))B(?!b)")


def written(name: NoteName, phrases: Phrases) -> str:
    """A short name with its sign, for necks: `B♭`, `si♭`."""
    flat_b = name.alter < 0 and phrases.naming == "german" and str(name)[0] == "B"
    return ("B" if flat_b else _letter(name, phrases)) + _SIGNS[name.alter]


def spoken(name: NoteName, phrases: Phrases) -> str:
    """A name in words: `B flat`, `si bémol`; in German one word, `Fis`: the text fonts have no accidentals."""
    letter = _letter(name, phrases)
    if not name.alter:
        return letter
    if phrases.naming == "german":
        word = letter + ("is" * name.alter if name.alter > 0 else "es" * -name.alter)
        return _GERMAN_FLATS.get(word, word)
    sign = str(name)[1:]
    return phrases(f"spoken.{sign}", note=letter)


def tonality(key: Key, phrases: Phrases) -> str:
    """A key in words: `D minor`, `d-Moll`, `ré mineur`."""
    tonic = spoken(key.tonic, phrases)
    # Of letters only German ones are written small in minor keys (d-Moll); `{small}` is for phrases that want that.
    return phrases(f"mode.{key.mode}", tonic=tonic, small=tonic.lower() if phrases.naming == "german" else tonic)


def chord_symbol(symbol: str, phrases: Phrases) -> str:
    """A chord symbol as it is printed: B becomes H where notes are called German, and nothing else changes."""
    return _LONE_B.sub("H", symbol) if phrases.naming == "german" else symbol


def _letter(name: NoteName, phrases: Phrases) -> str:
    return phrases.lines(f"naming.{phrases.naming}")[name.letter]
