"""Bars quoted from a study: the same notes, counted anew, and nothing hanging in the air."""

from __future__ import annotations

from fractions import Fraction

import pytest

from builder.pages.excerpt import bars_of, excerpt
from builder.theory.score import Note
from tests.pages import samples
from tests.pages.technique_samples import TECHNIQUES

EVERY = {**samples.ALL, **TECHNIQUES}


@pytest.mark.parametrize("name", EVERY)
def test_the_bars_hold_the_notes_of_the_study(name: str) -> None:
    study = EVERY[name]()
    first, last = (1, study.bars) if study.bars < 3 else (2, study.bars - 1)
    part, began = bars_of(study, first, last), (first - 1) * study.meter.bar
    meant = [event for event in study.events if first <= event.bar <= last]
    assert part.bars == last - first + 1
    assert [event.onset + began for event in part.events] == [event.onset for event in meant]
    assert {event.bar for event in part.events} <= set(range(1, part.bars + 1))
    for event, original in zip(part.events, meant, strict=True):
        if isinstance(event, Note):
            assert isinstance(original, Note)
            assert (event.pitch, event.string, event.fret) == (original.pitch, original.string, original.fret)


@pytest.mark.parametrize("name", EVERY)
@pytest.mark.parametrize("width_mm", [120.0, 136.4])
def test_every_bar_can_be_quoted_alone(name: str, width_mm: float) -> None:
    study = EVERY[name]()
    for bar in range(1, study.bars + 1):
        made = excerpt(study, bar, bar, width_mm, samples.book(), samples.phrases(), samples.CUES)
        assert len(made.music.bars) == 1
        assert made.rung.system_starts[0] == 0
        assert made.rung.staff_size == 16


def test_a_note_reached_from_before_the_quotation_stands_by_itself() -> None:
    for name in TECHNIQUES:
        study = TECHNIQUES[name]()
        for bar in range(1, study.bars + 1):
            for event in bars_of(study, bar, bar).events:
                if isinstance(event, Note) and event.onset == 0:
                    assert not {event.tied, event.slurred, event.guide} & {True}


def test_the_chord_that_sounds_is_named_at_the_beginning() -> None:
    study = samples.ferry_steps()
    part = bars_of(study, 3, 4)
    assert [(mark.onset, mark.symbol) for mark in part.chords] == [(0, "Bb"), (Fraction(1), "A")]


def test_only_the_end_of_a_study_has_its_last_barline() -> None:
    study = samples.first_fret()
    assert not excerpt(study, 1, 2, 136, samples.book(), samples.phrases(), samples.CUES).music.whole
    assert excerpt(study, 2, study.bars, 136, samples.book(), samples.phrases(), samples.CUES).music.whole
