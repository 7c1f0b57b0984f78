"""Diagrams show each shape once, barres last as long as they are held, shifts stand where no rest hides them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.pages import GridBarre, GridDot, diagram, study_pages
from builder.pages.hand import barres, diagrams, roman, shifts, without_told_fingers
from builder.theory.score import BarreMark, Note, ShapeMark
from tests.pages import samples
from tests.pages.technique_samples import TECHNIQUES, part

NONE: frozenset[int] = frozenset()


def shape(frets: str, fingers: str) -> ShapeMark:
    """A shape as it is said, lowest string first."""
    return ShapeMark(
        Fraction(0),
        "C",
        tuple(None if f == "x" else int(f, 32) for f in reversed(frets)),
        tuple(None if f == "." else int(f) for f in reversed(fingers)),
    )


def test_a_shape_at_the_nut_begins_at_fret_one() -> None:
    made = diagram(shape("x32010", ".32.1."), frozenset({2}))
    assert (made.first, made.rows, made.open, made.muted, made.barres) == (1, 4, (1, 3), (6,), ())
    assert made.dots == (GridDot(2, 1, 1, True), GridDot(4, 2, 2, False), GridDot(5, 3, 3, False))


def test_a_shape_up_the_neck_begins_at_its_lowest_fret() -> None:
    made = diagram(shape("577655", "134211"), NONE)
    assert (made.first, made.rows) == (5, 4)
    assert made.barres == (GridBarre(6, 1, 1),)
    # The barre's number stands at its low end only.
    assert [dot.string for dot in made.dots if dot.finger == 1] == [6]


def test_a_wide_shape_gets_more_rows() -> None:
    assert diagram(shape("x5x9xx", ".1.4.."), NONE).rows == 5


def test_fingers_without_a_name_are_dots_without_a_number() -> None:
    made = diagram(shape("022000", "......"), NONE)
    assert [(dot.string, dot.finger) for dot in made.dots] == [(4, 0), (5, 0)]
    assert made.barres == ()


@given(st.lists(st.one_of(st.none(), st.integers(0, 22)), min_size=4, max_size=7))
def test_every_string_of_a_diagram_is_told_once(frets: list[int | None]) -> None:
    mark = ShapeMark(Fraction(0), "C", tuple(frets), tuple(1 if fret else None for fret in frets))
    made = diagram(mark, NONE)
    barred = {
        s for b in made.barres for s in range(b.to_string, b.from_string + 1) if frets[s - 1] == b.row + made.first - 1
    }
    dotted = {dot.string for dot in made.dots} | barred
    assert sorted([*dotted, *made.open, *made.muted]) == list(range(1, len(frets) + 1))
    assert all(1 <= dot.row <= made.rows for dot in made.dots)


def test_a_shape_is_drawn_where_it_is_met_first() -> None:
    study = TECHNIQUES["plucked"]()
    assert sorted(diagrams(study)) == [0, 1, 2, 3]
    page = study_pages(study, samples.book(), samples.phrases(), samples.CUES)[0]
    assert ["".join(chord.parts) for chord in page.music.chords] == ["C", "Am", "F", "G7"] * 2
    assert [chord.diagram is not None for chord in page.music.chords] == [True] * 4 + [False] * 4


def test_a_finger_that_a_diagram_tells_is_not_printed_again() -> None:
    study = TECHNIQUES["plucked"]()
    assert not any(e.finger_printed for e in without_told_fingers(study).events if isinstance(e, Note))
    melody = [replace(e, fret=e.fret + 1) if isinstance(e, Note) and e.string == 1 else e for e in study.events]
    printed = [e for e in without_told_fingers(replace(study, events=tuple(melody))).events if isinstance(e, Note)]
    assert {note.string for note in printed if note.finger_printed} == {1}


def test_a_barre_lasts_until_the_last_note_under_it() -> None:
    small, full = barres(TECHNIQUES["shifting"]())
    assert (small.onset, small.last, small.fret, small.full) == (1, Fraction(27, 16), "V", False)
    assert (full.onset, full.last, full.fret, full.full) == (3, Fraction(49, 16), "V", True)


def test_barres_never_reach_into_each_other() -> None:
    marks = (
        BarreMark(Fraction(0), Fraction(2), 5, 3),
        BarreMark(Fraction(0), Fraction(1), 5, 6),
        BarreMark(Fraction(1, 2), Fraction(3), 7, 4),
        BarreMark(Fraction(2), Fraction(9, 4), 9, 6),
    )
    found = barres(replace(TECHNIQUES["shifting"](), barres=marks))
    assert [(barre.fret, barre.full) for barre in found] == [("V", True), ("VII", False), ("IX", True)]
    assert all(before.last < after.onset for before, after in pairwise(found))
    assert all(barre.onset <= barre.last for barre in found)


def test_shifts_stand_where_the_hand_moves_without_a_rest() -> None:
    found = shifts(TECHNIQUES["shifting"]())
    assert [(mark.onset % 1, mark.fret) for mark in found] == [(Fraction(1, 2), "VII"), (Fraction(3, 4), "XII")] * 4


def test_a_move_in_a_rest_is_no_shift_even_when_an_open_string_comes_first() -> None:
    events = part("3/5 3/7 3/0 -", Fraction(1, 4)) + [
        replace(e, bar=2, onset=e.onset + 1) for e in part("3/0 3/9 3/11 3/12", Fraction(1, 4), position=9)
    ]
    assert shifts(samples.study(events, 2, samples.FOUR)) == ()
    moved = [replace(e, position=12) if isinstance(e, Note) and e.fret == 12 else e for e in events]
    assert [mark.fret for mark in shifts(samples.study(moved, 2, samples.FOUR))] == ["XII"]


@pytest.mark.parametrize("name", ["slides", "harmonics"])
def test_slides_tell_their_goal_and_harmonics_have_no_position(name: str) -> None:
    study = TECHNIQUES[name]()
    moved = [replace(e, position=e.fret) if isinstance(e, Note) and e.technique else e for e in study.events]
    pressed = {e.onset for e in moved if isinstance(e, Note) and e.technique not in ("slide", "harmonic")}
    assert {mark.onset for mark in shifts(replace(study, events=tuple(moved)))} <= pressed


@pytest.mark.parametrize("name", samples.ALL)
def test_hands_that_stay_get_no_sign(name: str) -> None:
    assert shifts(samples.ALL[name]()) == ()


@given(st.integers(1, 24))
def test_frets_read_as_roman_numerals(number: int) -> None:
    values = {"I": 1, "V": 5, "X": 10}
    letters = [values[letter] for letter in roman(number)]
    assert sum(-a if a < b else a for a, b in zip(letters, [*letters[1:], 0], strict=True)) == number


def test_a_barre_is_told_once_by_its_diagram_or_over_the_staff() -> None:
    study = TECHNIQUES["strums"]()
    drawn = {onset for onset, grid in diagrams(study).items() if grid.barres}
    assert drawn
    assert {mark.onset for mark in study.barres} & drawn
    assert {barre.onset for barre in barres(study)} == {mark.onset for mark in study.barres} - drawn


def test_a_slide_tells_the_finger_it_arrives_with() -> None:
    study = TECHNIQUES["slides"]()
    slid = [event for event in study.events if isinstance(event, Note) and event.technique == "slide"]
    assert slid
    printed = replace(study, events=tuple(replace(e, finger_printed=True) if e in slid else e for e in study.events))
    kept = [e for e in without_told_fingers(printed).events if isinstance(e, Note) and e.technique == "slide"]
    assert not any(note.finger_printed for note in kept)
