"""Accidentals in a bar that is broken over two systems."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from builder.engraving.escaping import ly_string
from builder.engraving.lilypond_notes import Writer
from builder.pages import study_pages
from builder.theory.pitch import Pitch
from builder.theory.score import Note
from tests.pages import samples

SHARP = Pitch.parse("G#4")


def written(*breaks: Fraction) -> str:
    """The staff of a study in D minor whose first bar holds nothing but G sharps, broken at *breaks*."""
    study = samples.ferry_steps()
    events = tuple(
        replace(event, pitch=SHARP) if isinstance(event, Note) and event.bar == 1 else event for event in study.events
    )
    study = replace(study, events=events)
    page = study_pages(study, samples.book(), samples.phrases(), samples.CUES)[0]
    rung = replace(page.rung, system_starts=(*page.rung.system_starts, *breaks), turns=())
    return Writer(page.music, ly_string, {}).voices(rung, "staff")


def test_a_sign_stands_once_more_on_the_new_line_and_only_once():
    before, behind = written(Fraction(1, 4)).split(r'\bar "" \break')
    assert before.count("gis") == 4
    assert behind.count("gis") == 5
    assert "!" not in before
    assert behind.count("gis'!") == behind.count("!") == 1


def test_every_line_of_a_bar_says_it_again():
    assert written(Fraction(1, 4), Fraction(1, 2)).count("!") == 2


def test_without_a_break_inside_a_bar_nothing_is_said_twice():
    assert "!" not in written()
