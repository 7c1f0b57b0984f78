"""The order in which notes are played."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.errors import NoSolution
from builder.theory.contour import Contour, Pass, runs

orders = st.lists(st.integers(1, 5), min_size=1, max_size=8).map(tuple)


def played(size, order, *, times=1, land=None, by=1, turn=False, line=True, burst=None):
    step = Pass(order, times, land)
    return [(run.notes, run.landing) for run in runs(size, order, step, Contour((step,), by, turn), line, burst)]


def test_a_set_is_played_as_often_as_asked_and_lands():
    assert played(3, (1, 2, 3, 2), times=2, land=1, line=False) == [((0, 1, 2, 1, 0, 1, 2, 1), 0)]


def test_a_window_walks_until_its_top_reaches_the_last_note():
    assert played(5, (1, 2, 3)) == [((0, 1, 2, 1, 2, 3, 2, 3, 4), None)]


def test_a_turn_mirrors_the_walk_and_plays_the_top_window_once():
    assert played(4, (1, 3), turn=True) == [((0, 2, 1, 3, 2, 0), None)]
    assert played(4, (1,), turn=True) == [((0, 1, 2, 3, 2, 1, 0), None)]


def test_a_wide_step_still_reaches_the_last_note():
    assert played(6, (1, 2, 3), by=2) == [((0, 1, 2, 2, 3, 4, 3, 4, 5), None)]


def test_a_burst_lands_where_the_next_one_begins():
    assert played(8, (1,), land=1, burst=4) == [((0, 1, 2, 3), 4), ((4, 5, 6, 7), 7)]
    assert played(8, (1,), land=1, burst=7) == [((0, 1, 2, 3, 4, 5, 6), 7)]


def test_the_landing_of_a_mirrored_window_is_mirrored():
    assert played(4, (1, 2), land=1, turn=True) == [((0, 1, 1, 2, 2, 3, 2, 1, 1, 0), 1)]


def test_a_note_outside_the_set_is_refused():
    with pytest.raises(NoSolution, match="note 4 of a set of 3"):
        played(3, (1, 4), line=False)
    with pytest.raises(NoSolution, match="note 5 of a set of 3"):
        played(3, (1, 2), land=5, line=False)


@given(size=st.integers(5, 20), order=orders, times=st.integers(1, 3), by=st.integers(1, 4), burst=st.integers(1, 30))
def test_cutting_a_line_loses_and_adds_nothing(size, order, times, by, burst):
    whole = played(size, order, times=times, by=by)[0][0]
    cut = played(size, order, times=times, by=by, burst=burst)
    assert tuple(note for notes, _ in cut for note in notes) == whole
    assert all(len(notes) == burst for notes, _ in cut[:-1])


@given(size=st.integers(5, 20), order=orders, by=st.integers(1, 4))
def test_there_and_back_is_its_own_mirror(size, order, by):
    there = played(size, order, by=by)[0][0]
    both = played(size, order, by=by, turn=True)[0][0]
    assert both[: len(there)] == there
    assert len(both) == 2 * len(there) - len(order)
    assert max(there) == size - 1
