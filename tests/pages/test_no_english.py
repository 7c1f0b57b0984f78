"""The demonstration book in another language holds no English words but the school's own.

Source:   what the engraver is handed for a dozen of its exercises and all pages around them, in English and in the
          other language: a text that both have is the school's own, an id, a sign, or a word alike in both, as listed
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml

from builder import printing
from builder.compose import compose
from builder.composing import knowledge_from
from builder.engraving import Desk, Sheet
from builder.pages.phrases import flat
from builder.spec import load_library, read_book
from builder.teaching import teaching

BOOK = Path(__file__).parents[2] / "books" / "harbour-lane" / "book.yaml"
EXERCISES = {
    "ferry-steps", "boiler-room-blue-notes", "small-boat-chords", "flag-in-the-wind", "bowsprit-bends", "ships-bells",
    "harbour-gate", "barge-in-five", "down-in-the-hold", "pilot-and-tug", "net-mending", "rope-glide",
}  # fmt: skip

# What is no word at all: page numbers and positions in Roman numerals, barres, chord symbols, plucking fingers, links.
NO_WORD = re.compile(r"½?C? ?[IVXLC]+|[ivxlc]+|[A-GH][#b]?(m|dim|aug|maj|sus|add|[0-9b#()/]|[A-G])*|p i m a|mark:\S+")
# What the templates take as names, never as words: clefs, signs, keys of options.
NAMES = set(
    re.findall(
        r"\S+",
        "treble treble_8 bass bass_8 down up pluck accent finger guide position barre half-barre shape kept hammer-on "
        "pull-off slide bend release harmonic start-disc used-disc band octave repeat circles hole small-hole "
        "axis heading title id more",
    )
)
WORD_FOR_WORD = {"front:practise", "parents", "changes"}
# Words that both languages spell alike; a text may be made of several.
ALIKE = {
    "de": "Tempo Finger Slide Slides Hammer-on Pull-off Name Start Min. Intonation Legato Timing Tremolo Swing Bass "
    "Ukulele",
    "es": "Tempo Min. Swing swing drop",
    "fr": "Tempo Date Page Minutes minutes Min. Index Position position Notes Licence Places tablature accent swing "
    "Swing blues",
}


@pytest.fixture(scope="module")
def demo() -> Any:
    library = load_library()
    spec = read_book(BOOK, library)
    knowledge = knowledge_from(library)
    wanted = [one for one in spec.exercises if one.id in EXERCISES]
    assert len(wanted) == len(EXERCISES)
    return library, spec.plan, [compose(one, knowledge) for one in wanted]


class _Handed(Exception):
    """The sheets were handed to the engraver; nothing more is wanted of it."""


def sheets_in(language: str, demo: Any, monkeypatch: pytest.MonkeyPatch) -> list[Sheet]:
    library, plan, compositions = demo
    handed: list[Sheet] = []

    def settle(self: Desk, sheets: Sequence[Sheet], *_: object) -> None:
        handed.extend(sheets)
        raise _Handed

    monkeypatch.setattr(Desk, "begin", lambda self, sheets: None)
    monkeypatch.setattr(Desk, "settle", settle)
    plan = replace(plan, language=language)
    quoted = {study.id: study for one in compositions for study in one.studies}
    taught = teaching(plan, compositions)
    with pytest.raises(_Handed):
        printing.print_book(plan, compositions, library, False, 1, lambda *_: None, taught, quoted)
    return handed


def texts_of(sheets: Sequence[Sheet]) -> Iterator[tuple[str, str]]:
    """Every text with the sheet it stands on; what the school wrote itself, to be read, is left out.

    Advice is handed over word for word; single words of it are none of these texts, as `in` is German, too.
    """
    for sheet in sheets:
        if "-prose:" not in sheet.key:
            for text in re.findall(r'"((?:[^"\\]|\\.)*)"', sheet.bodies[0].text):
                if " " in text or sheet.key not in WORD_FOR_WORD:
                    yield from ((part.strip(), sheet.key) for part in text.split("  ·  "))


def own_texts(demo: Any) -> set[str]:
    """All the school wrote, word for word, and the ids of its studies."""
    _, _, compositions = demo
    written = [
        yaml.safe_load(file.read_text(encoding="utf-8")) for file in (BOOK, *BOOK.parent.glob("exercises/*.yaml"))
    ]
    heads = [file.read_text(encoding="utf-8").splitlines()[0].lstrip("# ") for file in BOOK.parent.glob("*.md")]
    ids = {study.id for one in compositions for study in one.studies}
    return {text for one in written for _, text in flat(one)} | {*heads, *ids}


def left_in(language: str, demo: Any, monkeypatch: pytest.MonkeyPatch) -> Mapping[str, str]:
    """English texts of ours on pages in *language*, with the sheet they stand on."""
    english = {text for text, _ in texts_of(sheets_in("en", demo, monkeypatch))}
    own, alike = own_texts(demo), set(ALIKE.get(language, "").split())
    return {
        text: sheet
        for text, sheet in texts_of(sheets_in(language, demo, monkeypatch))
        if text in english
        and re.search("[A-Za-z]{2}", text)
        and not NO_WORD.fullmatch(text)
        and text not in NAMES
        and text not in own
        and not set(re.findall(r"[A-Za-z][A-Za-z.-]+", text)) <= alike
    }


@pytest.mark.parametrize("language", sorted(ALIKE))
def test_no_english_is_left(language, demo, monkeypatch):
    assert not left_in(language, demo, monkeypatch)


def test_english_that_is_left_would_be_found(demo, monkeypatch):
    found = left_in("en", demo, monkeypatch)
    assert {"Contents", "Practice log", "How to practise from this book", "fretting thumb"} <= set(found)
