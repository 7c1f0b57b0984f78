"""What to listen for: nothing is said of what a study does not hold."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from builder.pages.listening import practice_notes
from builder.theory.rhythm import Meter
from builder.theory.score import Note, Rest, Study
from tests.pages import samples
from tests.pages.technique_samples import TECHNIQUES

EVERY = {**samples.ALL, **TECHNIQUES}
LANDING = samples.phrases()("listen-always.landing")
SILENCE = samples.phrases()("listen-always.rest")
QUARTER = Fraction(1, 4)


def notes_of(study: Study) -> tuple[str, ...]:
    return practice_notes(replace(study, skills=()), samples.phrases())


def line(*lengths: int, rest: int, accents: tuple[int, ...]) -> Study:
    """Quarter notes of so many quarters each, then a rest; the accented ones are numbered from 0."""
    events: list[Note | Rest] = []
    now = Fraction(0)
    for number, length in enumerate(lengths):
        events.append(samples.note(1, now, length * QUARTER, "E4", "2/5", accent=number in accents))
        now += length * QUARTER
    if rest:
        events.append(Rest(1, now, rest * QUARTER, 1))
    return samples.study(events, bars=1, meter=Meter(8, 4))


def test_a_landing_is_spoken_of_where_a_run_ends_stressed_before_a_rest() -> None:
    assert LANDING in notes_of(samples.ferry_steps())
    assert LANDING in notes_of(line(1, 1, 2, rest=4, accents=(0, 2)))
    assert LANDING not in notes_of(line(1, 1, 2, rest=4, accents=(0,)))
    assert LANDING not in notes_of(line(2, 2, 1, 3, rest=0, accents=(0, 2)))


def test_silence_is_spoken_of_where_all_voices_rest_for_a_beat() -> None:
    quiet = line(1, 1, rest=6, accents=())
    assert SILENCE in notes_of(quiet)
    bass = samples.note(1, Fraction(0), Fraction(2), "E2", "6/0", voice=2)
    assert SILENCE not in notes_of(replace(quiet, events=(*quiet.events, bass)))


def test_one_tempo_step_has_no_next_tempo() -> None:
    only = replace(samples.ferry_steps(), tempo_steps=(60,), levels=(3,), rates=(4.0,))
    assert samples.phrases()("listen-always.tempo") not in notes_of(only)
    assert samples.phrases()("listen-always.tempo") in notes_of(samples.ferry_steps())


@pytest.mark.parametrize("name", EVERY)
def test_four_lines_at_most_none_twice_those_of_the_skills_first(name: str) -> None:
    study = EVERY[name]()
    found = practice_notes(study, samples.phrases())
    own = [samples.phrases()(f"listen.{skill}") for skill in study.skills if f"listen.{skill}" in samples.phrases()]
    assert len(found) == len(set(found)) <= 4
    assert list(found[: len(set(own))]) == list(dict.fromkeys(own))[:4]
