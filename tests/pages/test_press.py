"""Pages on bound paper: order of sides, gutter, tabs of the thumb index."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.pages.furniture import plain_furnishing, study_furnishing, with_tab
from builder.pages.order import NOTES, leaves, opener_key, study_key
from builder.pages.press import figure_mm, shift_mm, tab_box_mm, tab_of
from builder.spec.plan import PressPlan
from tests.pages import samples

SIDES = st.lists(st.integers(1, 6), min_size=1, max_size=30)


def book(paper: str = "a4", **press: object):
    return replace(samples.book(paper), press=PressPlan(**press))


@given(front=st.integers(0, 9), studies=SIDES)
def test_a_bound_book_opens_even_studies_on_the_left_and_has_no_needless_page(front, studies):
    sides = {f"front:{n}": 1 for n in range(front)} | {study_key(f"s{n}"): count for n, count in enumerate(studies)}
    sides[opener_key(3)] = 1
    body = [opener_key(3), *(study_key(f"s{n}") for n in range(len(studies)))]
    made = leaves([key for key in sides if key.startswith("front")], body, sides, bound=True)
    assert [leaf.side for leaf in made] == list(range(len(made)))
    assert [leaf.sheet for leaf in made if leaf.part == 0 and leaf.sheet not in (NOTES, *sides)] == []
    assert [leaf.sheet for leaf in made if leaf.sheet.startswith("study") and leaf.part == 0] == [
        key for key in body if key.startswith("study")
    ]
    for leaf in made:
        if leaf.sheet.startswith("study") and leaf.part == 0 and sides[leaf.sheet] % 2 == 0:
            assert leaf.side % 2 == 1, "side 0 is a right-hand page"
    assert next(leaf for leaf in made if leaf.numbering == "decimal").side % 2 == 0
    assert all(NOTES not in (one.sheet, other.sheet) or one.sheet != other.sheet for one, other in pairwise(made))
    assert sum(leaf.sheet == NOTES for leaf in made) <= 1 + sum(count % 2 == 0 for count in studies)


@given(front=st.integers(0, 9), studies=SIDES)
def test_a_book_printed_on_one_side_has_no_page_for_notes(front, studies):
    sides = {f"front:{n}": 1 for n in range(front)} | {study_key(f"s{n}"): count for n, count in enumerate(studies)}
    keys = list(sides)
    made = leaves(keys[:front], keys[front:], sides, bound=False)
    assert [leaf.sheet for leaf in made] == [key for key in keys for _ in range(sides[key])]
    assert [leaf.label for leaf in made if leaf.numbering == "decimal"] == [str(n + 1) for n in range(sum(studies))]


def test_a_page_for_notes_stands_before_an_opener_rather_than_behind_it():
    sides = {opener_key(1): 1, study_key("a"): 1, opener_key(2): 1, study_key("b"): 2}
    made = leaves((), [opener_key(1), study_key("a"), opener_key(2), study_key("b")], sides, bound=True)
    assert [leaf.sheet for leaf in made][2:4] == [opener_key(2), study_key("b")]
    odd = sides | {study_key("a"): 3, study_key("c"): 2}
    keys = [opener_key(1), study_key("a"), study_key("c"), opener_key(2), study_key("b")]
    made = leaves((), keys, odd | {study_key("c"): 1}, bound=True)
    assert [leaf.sheet for leaf in made][5:7] == [NOTES, opener_key(2)]


def test_pages_move_away_from_the_spine():
    bound, loose = book(sides="two", gutter_mm=4), book(sides="one", gutter_mm=6)
    assert [shift_mm(bound, side) for side in (1, 2, 3)] == [4, -4, 4]
    assert [shift_mm(loose, side) for side in (1, 2, 3)] == [6, 6, 6]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("side", [1, 2])
def test_tabs_run_into_the_bleed_and_never_stand_beside_each_other(paper, side):
    made = book(paper, sides="two", gutter_mm=4, bleed_mm=3, thumb_index=True)
    boxes = [tab_box_mm(made, tab_of(made, level, side)) for level in range(1, 9)]
    width, height = {"a4": (210, 297), "letter": (215.9, 279.4)}[paper]
    for left, top, right, bottom in boxes:
        assert (left, right) == ((-3, 8.5) if side == 2 else (width - 8.5, width + 3))
        assert 20 < top < bottom < height - 20
    assert all(one[3] < other[1] for one, other in pairwise(boxes))


@pytest.mark.parametrize("side", [1, 2])
def test_the_figure_stands_on_its_tab_once_the_page_has_moved(side):
    made = book(sides="two", gutter_mm=4, thumb_index=True)
    tab = tab_of(made, 3, side)
    left, top, right, bottom = tab_box_mm(made, tab)
    outer = figure_mm(made, tab, side) + shift_mm(made, side)
    assert left < outer < right
    assert min(outer, 210 - outer) == pytest.approx(5.2)
    furnishing = study_furnishing(samples.ferry_steps(), 3, made, samples.phrases(), side, "1")
    assert (furnishing.tab, furnishing.tab_filled) == ("3", True)
    assert top < furnishing.tab_y_mm < bottom


def test_only_pages_of_a_level_have_a_tab_and_low_ink_fills_none():
    made = book(sides="two", thumb_index=True)
    plain = plain_furnishing(made, "Contents", 2, "ii")
    assert plain.tab == ""
    assert with_tab(plain, made, 5, 2).tab == "5"
    assert not with_tab(plain, replace(made, low_ink=True), 5, 2).tab_filled
    assert with_tab(plain, book(sides="two"), 5, 2) == plain


def test_a_small_book_has_nothing_but_roman_pages() -> None:
    made = leaves(["front:cover", "front:contents"], (), {"front:cover": 1, "front:contents": 2}, bound=False)
    assert [leaf.label for leaf in made] == ["i", "ii", "iii"]
