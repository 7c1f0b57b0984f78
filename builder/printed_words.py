"""The words a book prints, in its language: phrases, and what cues and skills are called.

Stage:    4 lay out
In, Out:  a `BookPlan` or its `Phrases`; words by id
Not here: looking a phrase up (`pages.phrases`), the files of a language (`spec.library`)
"""

from __future__ import annotations

from dataclasses import replace

from builder.pages.phrases import Phrases
from builder.spec import Library
from builder.spec.breaks import Breaks
from builder.spec.library import load_words
from builder.spec.plan import BookPlan


def phrases_of(plan: BookPlan) -> Phrases:
    """The printed words in the language of the book."""
    return replace(
        Phrases.from_data(load_words(plan.language), plan.note_names), breaks=Breaks(plan.language, plan.hints)
    )


def skills_of(phrases: Phrases, library: Library) -> dict[str, str]:
    """The printed words of each skill, by its id."""
    return {name: phrases.own(f"skill.{name}", words) for name, words in library.skills.items()}


def cues_of(phrases: Phrases, library: Library) -> dict[str, str]:
    """The printed words of each cue, by its id."""
    return {cue.id: phrases.own(f"cue.{cue.id}.words", cue.words) for cue in library.cues}


def says_of(phrases: Phrases, library: Library) -> dict[str, str]:
    """What to do at each cue, by its id."""
    return {cue.id: phrases.own(f"cue.{cue.id}.say", cue.say) for cue in library.cues}
