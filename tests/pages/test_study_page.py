"""What a study's page says: map, start, signs, words, octave lines, stems."""

from __future__ import annotations

from dataclasses import replace

import pytest
import yaml

from builder.pages import StudyPage, study_pages
from builder.pages.study_page import chord_parts
from builder.resources import folder
from builder.theory.harmony import chord_qualities
from builder.theory.score import Note, Study
from tests.pages import samples
from tests.pages.technique_samples import TECHNIQUES


def page_of(study: Study) -> StudyPage:
    return study_pages(study, samples.book(), samples.phrases(), samples.CUES)[0]


EVERY = {**samples.ALL, **TECHNIQUES}


@pytest.mark.parametrize("name", EVERY)
def test_the_map_shows_every_place_once_and_one_start(name: str) -> None:
    study = EVERY[name]()
    neck = page_of(study).neck_map
    places = [(dot.string, dot.fret) for dot in neck.dots]
    assert sorted(places) == sorted({(e.string, e.fret) for e in study.events if isinstance(e, Note)})
    assert [(d.string, d.fret) for d in neck.dots if d.kind == "start"] == [(study.start.string, study.start.fret)]


@pytest.mark.parametrize("name", samples.ALL)
def test_the_map_shows_two_frets_on_each_side_of_the_working_area(name: str) -> None:
    study = samples.ALL[name]()
    neck = page_of(study).neck_map
    frets = [e.fret for e in study.events if isinstance(e, Note) and e.fret]
    assert neck.band == (min(frets), max(frets))
    assert neck.last == min(study.instrument.last_fret, max(frets) + 2)
    if not neck.open_notes:
        assert neck.first == max(0, min(frets) - 3)  # fret wire 3 below fret 4 shows frets 4 and 5 before fret 6


@pytest.mark.parametrize("name", samples.ALL)
def test_discs_never_overlap_on_the_map(name: str) -> None:
    neck = page_of(samples.ALL[name]()).neck_map
    assert neck.gap_mm >= 4.5
    assert neck.width_mm / (neck.last - neck.first) >= 4.5


def test_the_start_is_said_in_words() -> None:
    assert page_of(samples.ferry_steps()).start_line == "Start: string 3, fret 7: D"
    assert page_of(samples.ukulele()).start_line == "Start: string 4, open: G"
    flat = samples.ferry_steps(1, -1)
    assert page_of(flat).start_line == "Start: string 1, fret 6: B flat"


def signs(study: Study) -> list[str]:
    return [sign for line in page_of(study).signs for sign, _ in line]


def test_only_signs_that_the_page_uses_are_explained() -> None:
    assert signs(samples.ferry_steps()) == ["down", "up", "accent", "finger", "cue"]
    assert signs(samples.two_voices()) == ["finger"]
    assert signs(TECHNIQUES["slurs"]()) == ["down", "up", "accent", "finger", "hammer-on", "pull-off"]
    assert signs(TECHNIQUES["slides"]()) == ["down", "up", "finger", "pull-off", "slide", "bend", "release"]
    assert signs(TECHNIQUES["harmonics"]()) == ["pluck", "harmonic"]
    # No fingers: the diagrams tell them all.
    assert signs(TECHNIQUES["plucked"]()) == ["pluck", "barre", "shape", "kept"]
    assert signs(TECHNIQUES["shifting"]()) == ["pluck", "finger", "guide", "position", "barre", "half-barre"]


@pytest.mark.parametrize("name", TECHNIQUES)
def test_more_signs_than_those_of_the_pick_stand_on_lines_of_their_own(name: str) -> None:
    page = page_of(TECHNIQUES[name]())
    assert page.signs_below
    for line in page.signs:
        assert sum(9.0 + 1.5 * len(meaning) for _, meaning in line) <= page.paper.line_mm


def test_facts_name_key_meter_groups_and_strokes() -> None:
    assert page_of(samples.septuplets()).facts == "E minor  ·  7/8 (2+2+3)  ·  alternate strokes"


def test_loops_say_that_they_go_round() -> None:
    assert "round" in page_of(samples.ferry_steps()).instruction
    assert "round" not in page_of(samples.high_frets()).instruction


def test_only_later_passes_are_labelled() -> None:
    assert page_of(samples.ferry_steps()).music.labels == ((5, "Second pass"),)


def test_high_bars_go_under_an_octave_line_and_others_do_not() -> None:
    assert page_of(samples.high_frets()).music.octave_up == {1, 2, 3, 4}
    assert not page_of(samples.ferry_steps()).music.octave_up


def test_an_octave_line_never_pushes_notes_below_the_staff() -> None:
    wide = [(2, 3), (1, 17), (1, 20), (1, 22), (2, 3)]  # D4 to D6: printed an octave lower, D4 would hang below
    high = [(1, 17), (1, 19), (1, 20), (1, 22), (1, 17)]
    calm = [(1, 5), (1, 7), (1, 8), (1, 7), (1, 5)]
    shapes = [wide, high, calm, high, calm, calm]
    assert page_of(samples.bursts(shapes, samples.FOUR, 4)).music.octave_up == {2, 3, 4}


def test_one_voice_has_one_stem_direction_from_its_mean_pitch() -> None:
    assert page_of(samples.first_fret()).music.stems == "up"
    assert page_of(samples.septuplets()).music.stems == "down"
    assert page_of(samples.two_voices()).music.stems is None


def test_many_tempo_steps_stand_below_the_map() -> None:
    assert page_of(samples.two_bars()).tempo_below
    assert not page_of(samples.ferry_steps()).tempo_below


def test_only_a_wide_reach_is_a_warning_on_the_page() -> None:
    tight = samples.bursts([[(3, 7), (3, 9)]], samples.FOUR, 4, warnings=("2 bursts land on another stroke",))
    assert page_of(tight).warnings == ()
    wide = replace(tight, metrics=replace(tight.metrics, widest_reach_mm=126.4))
    assert page_of(wide).warnings == (
        "Wide reach: 126 mm. Comfortable for this hand is 98 mm; skip it or ask for another place if it pulls.",
    )


@pytest.mark.parametrize("quality", chord_qualities())
@pytest.mark.parametrize("root", ["C", "F#", "Bb"])
def test_a_chord_symbol_is_printed_letter_by_letter(root: str, quality: str) -> None:
    symbol = f"{root}{quality}"
    parts = chord_parts(symbol)
    assert "".join(parts) == symbol
    # No quality has a b in a word: every # and b is a sign, and stands alone.
    assert [part for part in parts if part in "#b"] == [letter for letter in symbol if letter in "#b"]


def test_every_skill_that_ships_has_something_to_listen_for() -> None:
    skills = yaml.safe_load((folder("shared") / "skills.yaml").read_text("utf-8"))
    phrases = samples.phrases()
    assert [skill for skill in skills if f"listen.{skill}" not in phrases] == []
