"""Every language says everything, with the same values in it, and says it in its own words.

Source:   English is what the pages were written in; what other languages must say besides its phrases are the English
          words of single cues, skills, rules and the like, which stand beside them in the data files
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from string import Formatter

import pytest
import yaml

from builder.pages.note_names import NAMINGS
from builder.pages.phrases import Phrases, flat
from builder.resources import folder
from builder.spec import load_library
from builder.spec.library import load_words

LIBRARY = load_library()
ENGLISH = dict(flat(load_words("en")))
OTHERS = tuple(language for language in LIBRARY.languages if language != "en")
# German minor keys are written small (d-Moll): `{small}` is `{tonic}` again.
AGAIN = {"small": "tonic"}


def brought_along() -> Iterator[tuple[str, str]]:
    """The English words of the data files, by the key under which another language says them."""
    for cue in LIBRARY.cues:
        yield f"cue.{cue.id}.words", cue.words
        yield f"cue.{cue.id}.say", cue.say
    for skill, words in LIBRARY.skills.items():
        yield f"skill.{skill}", words
        yield f"skill-name.{skill}", skill.replace("-", " ")
    yield from ((f"instrument.{name}", name.replace("-", " ")) for name in LIBRARY.instruments)
    yield from ((f"hand.{name}", name) for name in LIBRARY.hands)
    planning = yaml.safe_load((folder("shared") / "planning.yaml").read_text("utf-8"))
    for name, rule in planning["rules"].items():
        yield f"rule.{name}.rule", rule["rule"]
        yield f"rule.{name}.evidence", rule["evidence"]
    for name, criterion in planning["assessment"]["criteria"].items():
        yield f"criterion.{name}.look-for", criterion["look-for"]
        yield from ((f"criterion.{name}.bands.{n}", band) for n, band in enumerate(criterion["bands"], start=1))


WANTED = ENGLISH | dict(brought_along())


def values(text: str) -> set[str]:
    """The names of the values a phrase prints."""
    return {AGAIN.get(name, name) for _, name, _, _ in Formatter().parse(text) if name}


def figures(text: str) -> list[str]:
    """The numbers in a text, whatever stands for the decimal point; those in words are not seen."""
    return sorted(re.findall(r"\d+(?:[.,]\d+)?", text.replace(",", ".")))


@pytest.mark.parametrize("language", OTHERS)
def test_nothing_is_missing_and_nothing_is_left_over(language):
    said = dict(flat(load_words(language)))
    missing, left_over = sorted(WANTED.keys() - said.keys()), sorted(said.keys() - WANTED.keys())
    assert not missing, f"shared/phrases/{language}.yaml says nothing for {', '.join(missing)}"
    assert not left_over, f"shared/phrases/{language}.yaml has keys that nothing prints: {', '.join(left_over)}"


@pytest.mark.parametrize("language", OTHERS)
def test_the_same_values_and_figures_are_said(language):
    said = dict(flat(load_words(language)))
    differing = [key for key in said if key in WANTED and values(said[key]) != values(WANTED[key])]
    assert not differing, f"shared/phrases/{language}.yaml has other values in {', '.join(differing)}"
    told = [key for key in said if key in WANTED and figures(said[key]) != figures(WANTED[key])]
    assert not told, f"shared/phrases/{language}.yaml has other figures in {', '.join(told)}"


@pytest.mark.parametrize("language", LIBRARY.languages)
def test_no_phrase_is_blank_or_holds_a_stray_blank(language):
    for key, text in flat(load_words(language)):
        plain = text.replace("  ·  ", " · ").replace("\u202f", "")  # a dot between facts; a thin blank that binds
        assert re.fullmatch(r"\S+( \S+)*", plain), f"{language}: {key}"


# What a printer's reader would strike out. Straight marks stand nowhere in a phrase but in English, which keeps the
# apostrophe its data files have; French sets a thin blank that binds before high signs and inside quotation marks.
STRUCK_OUT = {
    "de": r"['\"“](?=\w)|\d\.\d{1,2}(?!\d)|(?<=\w)”",
    "es": r"['\"“”]|\d\.\d{1,2}(?!\d)|^[^¿]*\?|^[^¡]*!",
    "fr": r"['\"“”]|\d\.\d{1,2}(?!\d)|[^\u202f{}\w/.-][:;?!»]|\w[;?!»]|«(?!\u202f)",
}


@pytest.mark.parametrize("language", OTHERS)
def test_marks_stand_as_the_language_sets_them(language):
    found = [key for key, text in flat(load_words(language)) if re.search(STRUCK_OUT[language], text)]
    assert not found, f"shared/phrases/{language}.yaml: {', '.join(found)}"


@pytest.mark.parametrize("language", LIBRARY.languages)
def test_every_custom_names_seven_notes(language):
    for naming in NAMINGS:
        assert len(set(Phrases.from_data(load_words(language)).lines(f"naming.{naming}"))) == 7


@pytest.mark.parametrize("language", LIBRARY.languages)
def test_cues_fit_under_a_rest_and_differ(language):
    phrases = Phrases.from_data(load_words(language))
    words = [phrases.own(f"cue.{cue.id}.words", cue.words) for cue in LIBRARY.cues]
    assert all(len(each) <= 18 for each in words), [each for each in words if len(each) > 18]
    assert len(set(words)) == len(words)


@pytest.mark.parametrize(
    ("language", "one", "many"),
    [
        ("en", "1 week, 1 day a week, up to 1 minute a day: 1 study", "2 weeks, 3 days a week"),
        ("de", "1 Woche, 1 Tag in der Woche, bis zu 1 Minute am Tag: 1 Etüde", "2 Wochen, 3 Tage in der Woche"),
        ("es", "1 semana, 1 día por semana, hasta 1 minuto al día: 1 estudio", "2 semanas, 3 días por semana"),
        ("fr", "1 semaine, 1 jour par semaine, jusqu’à 1 minute par jour", "2 semaines, 3 jours par semaine"),
    ],
)
def test_one_of_a_thing_is_not_said_as_many(language, one, many):
    phrases = Phrases.from_data(load_words(language))
    assert phrases("plan.lead", weeks=1, days=1, minutes=1, studies=1, all=1).startswith(one)
    assert phrases("plan.lead", weeks=2, days=3, minutes=4, studies=5, all=6).startswith(many)


@pytest.mark.parametrize("language", LIBRARY.languages)
def test_a_number_with_a_noun_has_one_for_one_and_one_for_many(language):
    for key, text in flat(load_words(language)):
        for _, name, nouns, _ in Formatter().parse(text):
            one, bar, many = (nouns or "").partition("|")
            assert not nouns or (name and bar and one and many and one != many), f"{key}: {text}"
