"""The glossary of a book: the terms that occur in it, each with a plain meaning and the page where it is first met.

Stage:    6 assemble (pure)
In, Out:  the studies of a book in its order, page labels; a `GlossaryPage`
Not here: signs and what to do about them (`front.signs_page`); the words (shared/phrases)
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from builder.pages.front import Labels
from builder.pages.order import study_key
from builder.pages.page import Paper
from builder.pages.phrases import Phrases
from builder.pages.sides import room_mm
from builder.pages.signs import book_signs
from builder.theory.score import Note, Rest, Study

NAME_MM, LABEL_MM = 40.0, 14.0  # columns of the term and of the page; what is left is for its meaning
_LETTER_MM, _LINE_MM, _AIR_MM, _HEAD_MM = 1.95, 4.94, 2.6, 30.0  # as templates/back.ily sets them: 10.5 on 14 points

_TIGHT_MM, _LITTLE = 1.4, 0.12  # of the air between terms; how far off our count of lines may be, as a share of a side


@dataclass(frozen=True, slots=True)
class Term:
    """A word of the book: its name, its meaning, the page label and the id of the study where it is first met."""

    name: str
    text: str
    label: str
    target: str


@dataclass(frozen=True, slots=True)
class GlossaryPage:
    """The terms in the order of the alphabet; *sides* is how many they are likely to fill.

    *tight_mm* is by how much they may stand closer to save a last side that would be all but empty; 0 where none would.
    """

    title: str
    lead: str
    terms: tuple[Term, ...]
    sides: int
    tight_mm: float


def glossary_page(studies: Sequence[Study], labels: Labels, paper: Paper, phrases: Phrases) -> GlossaryPage:
    """The glossary of *studies*, which stand in the order of the book."""
    known = [(key, words) for key, words in first_met(studies).items() if f"glossary.{key}.name" in phrases]
    terms = [
        Term(
            phrases(f"glossary.{key}.name"),
            phrases(f"glossary.{key}.text"),
            labels.get(study_key(study.id), ""),
            study.id,
        )
        for key, study in known
    ]
    terms.sort(key=lambda term: term.name.casefold())
    letters = (paper.line_mm - NAME_MM - LABEL_MM) / _LETTER_MM
    height = sum(_AIR_MM + _LINE_MM * ceil(len(term.text) / letters) for term in terms)
    room = room_mm(paper)
    sides = ceil((height + _HEAD_MM) / room)
    over = height + _HEAD_MM - room * (sides - 1)
    tight = _TIGHT_MM if sides > 1 and over < _TIGHT_MM * len(terms) + _LITTLE * room and not paper.large else 0.0
    return GlossaryPage(phrases("glossary.title"), phrases("glossary.lead"), tuple(terms), sides, tight)


def first_met(studies: Sequence[Study]) -> dict[str, Study]:
    """Every term that occurs in *studies*, with the first study in which it does."""
    found: dict[str, Study] = {}
    for study in studies:
        signs = book_signs(study, "both")  # a word is met in lessons, whichever staff the book prints
        for term, occurs in TERMS.items():
            if term not in found and occurs(study, signs):
                found[term] = study
    return found


# --- what occurs where ------------------------------------------------------------------------------------------------

_Occurs = Callable[[Study, frozenset[str]], bool]


def _notes(study: Study) -> list[Note]:
    return [event for event in study.events if isinstance(event, Note)]


def _always(study: Study, signs: frozenset[str]) -> bool:
    return True


def _sign(*kinds: str) -> _Occurs:
    return lambda study, signs: not signs.isdisjoint(kinds)


def _skill(*skills: str) -> _Occurs:
    return lambda study, signs: not set(skills).isdisjoint(study.skills)


def _rule(*rules: str) -> _Occurs:
    return lambda study, signs: study.stroke_rule in rules


def _burst(study: Study, signs: frozenset[str]) -> bool:
    """Whether a run of notes ends in a rest as long as a beat."""
    return any(isinstance(event, Rest) and event.duration >= study.meter.beat for event in study.events)


def _landing(study: Study, signs: frozenset[str]) -> bool:
    """Whether a run ends on a stressed note."""
    return _burst(study, signs) and "accent" in signs


def _open_string(study: Study, signs: frozenset[str]) -> bool:
    return any(note.fret == 0 and note.technique != "harmonic" for note in _notes(study))


def _tuplet(study: Study, signs: frozenset[str]) -> bool:
    """Whether a beat is cut into parts that halving does not give."""
    return any(event.duration.denominator & (event.duration.denominator - 1) for event in study.events)


def _together(study: Study, signs: frozenset[str]) -> bool:
    """Whether exactly two notes are the most that sound at once."""
    return study.metrics.notes_at_once == 2


TERMS: Mapping[str, _Occurs] = {
    "study": _always,
    "start-position": _always,
    "string": _always,
    "fret": _always,
    "tablature": _always,
    "position": _always,
    "tempo-step": _always,
    "level": _always,
    "clean": _always,
    "ease": _always,
    "key": _always,
    "burst": _burst,
    "landing-note": _landing,
    "checkpoint": _sign("cue"),
    "cue": _sign("cue"),
    "finger": _sign("finger"),
    "guide-finger": _sign("guide"),
    "shift": _sign("position"),
    "barre": _sign("barre", "half-barre"),
    "chord-diagram": _sign("shape"),
    "hammer-on": _sign("hammer-on"),
    "pull-off": _sign("pull-off"),
    "slur": _sign("hammer-on", "pull-off"),
    "slide": _sign("slide"),
    "bend": _sign("bend", "release"),
    "harmonic": _sign("harmonic"),
    "accent": _sign("accent"),
    "repeat": _sign("repeat"),
    "octave-line": _sign("octave"),
    "pima": _sign("pluck"),
    "alternate-strokes": _rule("alternate"),
    "economy-strokes": _rule("economy"),
    "strumming": _rule("strum"),
    "arpeggio": _skill("arpeggios"),
    "drone": _skill("drones"),
    "swing": _skill("swing"),
    "tremolo": _skill("tremolo"),
    "trill": _skill("trills"),
    "voice": lambda study, signs: any(event.voice > 1 for event in study.events),
    "chord": lambda study, signs: bool(study.chords or study.shapes),
    "double-notes": _together,
    "open-string": _open_string,
    "tuplet": _tuplet,
    "capo": lambda study, signs: bool(study.instrument.capo),
    "reach": lambda study, signs: study.metrics.widest_reach_mm > study.hand.comfort_mm,
}
