"""Pages are laid out by rule: room between notes, equal systems, few sides, a short ladder."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import log2
from types import SimpleNamespace

import pytest

from builder.pages import PAPERS, Rung, StudyPage, study_pages
from builder.pages.layout import Room, _Log, _spread, ladder
from builder.pages.measure import SHORTEST_UNITS, Measure
from builder.pages.staff import signature_names, space_mm
from builder.theory.harmony import parse_key
from builder.theory.pitch import NoteName
from builder.theory.score import Note, Rest
from tests.pages import samples
from tests.pages.technique_samples import TECHNIQUES

EVERY = {**samples.ALL, **TECHNIQUES}
NAMES = list(EVERY)


def pages(name: str, paper: str = "a4", staff_size: float = 18) -> tuple[StudyPage, ...]:
    return study_pages(EVERY[name](), samples.book(paper, staff_size), samples.phrases(), samples.CUES)


def rungs(name: str, paper: str = "a4", staff_size: float = 18) -> tuple[Rung, ...]:
    return tuple(page.rung for page in pages(name, paper, staff_size))


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", NAMES)
def test_the_ladder_is_short_and_never_repeats(name: str, paper: str) -> None:
    found = rungs(name, paper)
    assert 1 <= len(found) <= 4
    assert len(set(found)) == len(found)


@pytest.mark.parametrize("name", NAMES)
def test_every_rung_begins_at_the_beginning_and_turns_where_a_system_begins(name: str) -> None:
    for rung in rungs(name):
        assert rung.system_starts[0] == 0
        assert list(rung.system_starts) == sorted(set(rung.system_starts))
        assert set(rung.turns) <= set(rung.system_starts[1:])


@pytest.mark.parametrize("name", [name for name in NAMES if name not in ("long-sevens", "tremolo")])
def test_systems_begin_at_barlines_where_a_bar_fits_a_line(name: str) -> None:
    bar = EVERY[name]().meter.bar
    assert all((start / bar).denominator == 1 for rung in rungs(name) for start in rung.system_starts)


def test_a_bar_too_long_for_a_line_is_cut_at_a_beat() -> None:
    starts = rungs("long-sevens")[0].system_starts
    assert len(starts) > 3
    assert all((start % Fraction(7, 8)) in (0, Fraction(1, 4), Fraction(1, 2)) for start in starts)


@pytest.mark.parametrize("size", [14, 16, 18, 20, 24])
@pytest.mark.parametrize("name", NAMES)
def test_the_staff_is_never_larger_than_the_book_allows(name: str, size: float) -> None:
    assert all(rung.staff_size <= size for rung in rungs(name, staff_size=size))


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", NAMES)
def test_two_digit_frets_have_six_millimetres_and_one_digit_five(name: str, paper: str) -> None:
    study = EVERY[name]()
    needed = 6 if any(getattr(event, "fret", 0) > 9 for event in study.events) else 5
    for rung in rungs(name, paper)[:1]:
        # LilyPond is told a step a little under the real one, so that it stretches lines and never squeezes them.
        assert rung.increment / 0.94 * SHORTEST_UNITS * space_mm(rung.staff_size) >= needed - 0.05


@pytest.mark.parametrize("size", [14, 18, 20])
@pytest.mark.parametrize("name", ["strums", "high-strums", "uke-strums", "seven-strums", "plucked"])
def test_neighbouring_diagrams_have_room(name: str, size: float) -> None:
    rung, music = rungs(name, staff_size=size)[0], pages(name)[0].music
    way = rung.increment / 0.94 * space_mm(rung.staff_size) * SHORTEST_UNITS
    onsets = sorted({i.onset for bar in music.bars for voice in bar for i in voice})
    drawn = [(chord.onset, chord.diagram) for chord in music.chords if chord.diagram]
    for (onset, diagram), (after, neighbour) in pairwise(drawn):
        # Each note takes at least the way of the shortest.
        notes = sum(onset <= at < after for at in onsets)
        assert notes * way >= diagram.right_mm + neighbour.left_mm


@pytest.mark.parametrize("letters", [6, 12, 18, 23])
@pytest.mark.parametrize("bars", [2, 3, 5, 7])
def test_no_cue_runs_into_the_next(bars: int, letters: int) -> None:
    cues = dict.fromkeys(samples.CUES, "x" * letters)
    quarters = samples.bursts([[(2, 5), (2, 6), (2, 8)]] * bars, samples.FOUR, 1)
    page = study_pages(quarters, samples.book("a4", 18), samples.phrases(), cues)[0]
    rung, music = page.rung, page.music
    way = rung.increment / 0.94 * space_mm(rung.staff_size) * SHORTEST_UNITS
    onsets = sorted({i.onset for bar in music.bars for voice in bar for i in voice})
    bounds = [*rung.system_starts, music.bar_length * len(music.bars)]
    for (began, end), kept in zip(pairwise(bounds), rung.cues_kept, strict=True):
        at = [cue.onset for cue in music.cues if began <= cue.onset < end]
        for onset, after in pairwise(at):
            moved = after == at[-1] and not kept
            # A rest is wider than the shortest note: by one unit for each doubling of its length.
            edges = [edge for edge in [*onsets, bounds[-1]] if onset <= edge <= (end if moved else after)]
            units = sum(SHORTEST_UNITS + log2(float((b - a) / page.shortest)) for a, b in pairwise(edges))
            assert units * way / SHORTEST_UNITS >= 1.95 * letters * (2 if moved else 1) - 0.1


def test_eight_bars_of_bursts_take_one_side_of_four_equal_systems() -> None:
    rung = rungs("ferry")[0]
    assert rung.sides == 1
    assert rung.staff_size >= 17
    assert rung.system_starts == (0, 2, 4, 6)
    assert rung.log_rows >= 3


@pytest.mark.parametrize("name", ["one", "two", "high", "sevens", "compound", "bass"])
def test_short_studies_fill_their_page_with_notes_and_log(name: str) -> None:
    rung = rungs(name)[0]
    assert rung.notes_side == rung.sides - 1
    assert rung.log_rows > 4


def systems_a_side(rung: Rung) -> list[int]:
    sides = [sum(1 for turn in rung.turns if turn <= start) for start in rung.system_starts]
    return [sides.count(side) for side in range(rung.sides)]


def test_a_long_study_turns_after_a_rest_and_leaves_no_system_alone() -> None:
    study, rung = samples.forty_bars(), rungs("forty")[0]
    counts = systems_a_side(rung)
    assert rung.sides > 1
    assert min(counts) > 1
    assert max(counts) - min(counts) <= 2
    ends = [event.onset + event.duration for event in study.events if isinstance(event, Rest)]
    assert set(rung.turns) <= set(ends)


@pytest.mark.parametrize("bars", range(3, 17))
def test_bars_are_dealt_evenly(bars: int) -> None:
    shapes = [[(3, fret) for fret in (7, 9, 10, 9, 7, 9, 10, 9, 7)]] * bars
    rung = study_pages(samples.bursts(shapes, samples.FOUR, 4), samples.book(), samples.phrases(), samples.CUES)[0].rung
    edges = [int(start) for start in rung.system_starts] + [bars]
    counts = [after - before for before, after in pairwise(edges)]
    assert max(counts) - min(counts) <= 1
    assert counts == sorted(counts, reverse=True)
    assert rung.ragged == (counts[-1] < 0.6 * counts[0])


def test_a_burst_keeps_its_bar_of_rest() -> None:
    shapes = [[(3, fret) for fret in (7, 9, 10, 9, 7)]] * 10
    study = samples.bursts(shapes, samples.FOUR, 4)
    silent = [replace_bar(event) for event in study.events]
    rung = study_pages(replace(study, events=tuple(silent)), samples.book(), samples.phrases(), samples.CUES)[0].rung
    assert all(int(start) % 2 == 0 for start in rung.system_starts)


def replace_bar(event: Note | Rest) -> Note | Rest:
    """Every second bar as one silence."""
    if event.bar % 2:
        return event
    return Rest(event.bar, event.onset, event.duration, 1)


@pytest.mark.parametrize("name", NAMES)
def test_a_smaller_staff_never_needs_more_sides(name: str) -> None:
    sides = [rungs(name, staff_size=size)[0].sides for size in (16, 18, 20, 22)]
    assert sides == sorted(sides)


@pytest.mark.parametrize("name", ["ferry", "nut", "seven", "forty"])
def test_a_higher_title_block_never_needs_fewer_sides(name: str) -> None:
    page, study = pages(name)[0], EVERY[name]()
    measure = Measure(page.music, study.meter, study.key.signature, page.paper.line_mm)
    sides = [ladder(measure, Room(page.paper, head, 4, 0), 18)[0].sides for head in (20, 50, 80, 120)]
    assert sides == sorted(sides)


@pytest.mark.parametrize(
    ("key", "altered"),
    [("C major", ""), ("D minor", "Bb"), ("E major", "F# C# G# D#"), ("Gb major", "Bb Eb Ab Db Gb Cb")],
)
def test_the_signature_needs_no_accidentals(key: str, altered: str) -> None:
    names = signature_names(parse_key(key).signature)
    assert {str(name) for name in names if name.alter} == set(altered.split())
    assert NoteName.parse("C##") not in names


@pytest.mark.parametrize(
    ("bound", "sides", "rests_behind", "turns"),
    [
        (False, 2, {2, 6}, [2]),  # the hands rest behind system 2: the page is turned there
        (False, 2, {6}, [3]),  # nowhere: the sides are even
        (True, 2, {2, 6}, [3]),  # nobody turns between facing pages
        (True, 3, {2, 5, 8}, [2, 5]),  # of three sides every break may be a turn
    ],
)
def test_the_page_is_turned_where_the_hands_rest(bound, sides, rests_behind, turns) -> None:
    rows = tuple((SimpleNamespace(rests_at_end=number in rests_behind),) for number in range(1, max(rests_behind) + 1))
    room = Room(PAPERS["a5"], 60, 0, 0, bound=bound)
    heights = [(room.side_mm(True, False) - 4) / 4] * len(rows)
    found = _spread(SimpleNamespace(rows=rows), heights, room, sides, _Log(2, 5.2), 0.0)
    assert found is not None
    assert found[0] == turns


LONG_CUES = {name: words + " with all your weight" for name, words in samples.CUES.items()}


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("cues", [samples.CUES, LONG_CUES], ids=["short", "long"])
def test_words_under_rests_never_run_into_their_neighbours(paper: str, cues: dict[str, str]) -> None:
    quarters = samples.bursts([[(6, 0), (6, 0), (6, 0)]] * 12, samples.FOUR, 1)
    for page in study_pages(quarters, samples.book(paper, 28, large_print=True), samples.phrases(), cues):
        # Letters of 16 points are 2.7 mm wide on average; notes of a bar take three quarters of a system's line.
        bounds = [*page.rung.system_starts, Fraction(12)]
        for begin, end in pairwise(bounds):
            bar_mm = (page.paper.line_mm - 25) / float(end - begin)
            here = [cue for cue in page.music.cues if begin <= cue.onset < end]
            assert len(here) == 1 or all(len(cue.words) * 2.7 < bar_mm for cue in here[:-1])


def test_short_words_leave_more_bars_on_a_line() -> None:
    quarters = samples.bursts([[(6, 0), (6, 0), (6, 0)]] * 12, samples.FOUR, 1)
    few, many = (
        study_pages(quarters, samples.book(staff_size=28, large_print=True), samples.phrases(), cues)[0].rung
        for cues in (LONG_CUES, samples.CUES)
    )
    assert len(few.system_starts) > len(many.system_starts)
