"""Key signatures and tempo: what is judged of them, and that more of anything never makes a study easier.

Not here: the model's own arithmetic (`tests/theory/test_difficulty.py`)
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.compose.handwork import Fretting, Plucking
from builder.compose.measures import Measures
from builder.theory.difficulty import HAND_TERMS
from tests.compose.measured import MODEL, PICKED, WALK, Make, fingers, points


def test_where_tablature_is_printed_the_key_is_reported_and_not_judged(make: Make) -> None:
    few, many = (make(**(WALK | {"key": key})).metrics for key in ("C major", "C# major"))
    assert (few.key_signs, many.key_signs) == (0, 7)
    assert few.score == many.score


def measures(**changes: object) -> Measures:
    """Measures of a short plain walk, with changes."""
    plain = Measures(
        density=Fraction(1),
        widest_reach_mm=77.24,
        shifts_per_16=0.0,
        string_change_share=0.0,
        rhythm_class=0,
        notes_at_once=1,
        longest_run=4,
        key_signs=0,
        onsets=40,
        held_beats=Fraction(0),
        fretting=Fretting(0.0, Fraction(0), 0, 0, 0, 0),
        plucking=Plucking(0, 0, 0, 0, 0, 0, 0),
        tablature=True,
    )
    return replace(plain, **changes)  # type: ignore[arg-type]


def test_without_tablature_the_key_is_judged() -> None:
    staff = measures(key_signs=7, tablature=False)
    assert staff.score(60, MODEL) == pytest.approx(measures(key_signs=7).score(60, MODEL) + 5, abs=0.006)


@given(
    st.fractions(Fraction(1, 4), 9),
    st.fractions(0, 60),
    st.integers(20, 300),
    st.integers(20, 300),
)
def test_the_score_never_falls_when_the_tempo_rises(density: Fraction, held: Fraction, a: int, b: int) -> None:
    held_long = measures(density=density, held_beats=held)
    assert held_long.score(min(a, b), MODEL) <= held_long.score(max(a, b), MODEL)


def test_where_nothing_is_held_the_tempo_itself_is_judged() -> None:
    assert points(measures(density=Fraction(4)).metrics(60, MODEL))["speed"] == pytest.approx(7.5)


COUNTS = ("crossings_outside", "crossings_inside", "string_skips", "string_changes", "thumb_moves", "finger_repeats")


@pytest.mark.parametrize("count", [*COUNTS, "slurs"])
@given(st.integers(0, 39), st.integers(1, 39))
def test_more_of_any_count_never_lowers_the_score(count: str, few: int, more: int) -> None:
    scores = [
        measures(plucking=replace(measures().plucking, **{count: number})).score(60, MODEL)
        for number in (0, few, few + more)
    ]
    assert scores == sorted(scores)
    assert scores[-1] > scores[0]


@given(st.floats(0, 1), st.floats(0, 1), st.integers(0, 200), st.integers(0, 200), st.fractions(0, 90))
def test_more_for_the_fretting_hand_never_lowers_the_score(
    weak: float, weaker: float, moves: int, further: int, held: Fraction
) -> None:
    idle = measures().fretting
    less = replace(idle, weak_pair_share=min(weak, weaker), finger_moves=min(moves, further))
    more = replace(idle, weak_pair_share=max(weak, weaker), finger_moves=max(moves, further))
    easier, harder = measures(fretting=less, held_beats=held / 2), measures(fretting=more, held_beats=held)
    assert easier.score(72, MODEL) <= harder.score(72, MODEL)


@pytest.mark.parametrize("count", ["bend_half_steps", "slides", "harmonic_partials"])
@given(st.integers(0, 19), st.integers(1, 19))
def test_more_bends_slides_and_harmonics_never_lower_the_score(count: str, few: int, more: int) -> None:
    scores = [
        measures(fretting=replace(measures().fretting, **{count: number})).score(60, MODEL)
        for number in (0, few, few + more)
    ]
    assert scores == sorted(scores)
    assert scores[-1] > scores[0]


def test_the_json_gives_all_that_the_score_is_made_of(make: Make) -> None:
    metrics = make(**fingers("[1, 2, 4, 3]", "[6, 4, 5, 3]", (6, 5), strokes=PICKED)).metrics
    assert sum(part.points for part in metrics.parts) == pytest.approx(metrics.score, abs=0.01)
    shares = {
        "inside_crossings": metrics.crossings_inside / (metrics.onsets - 1),
        "outside_crossings": metrics.crossings_outside / (metrics.onsets - 1),
        "string_skips": metrics.string_skips / (metrics.onsets - 1),
        "weak_pairs": metrics.weak_pair_share,
        "held": metrics.held_seconds,
        "finger_moves": 16 * metrics.finger_moves / metrics.onsets,
        "thumb_moves": 16 * metrics.thumb_moves / metrics.onsets,
        "finger_repeats": metrics.finger_repeats / (metrics.onsets - 1),
        "slurs": metrics.slurs / metrics.onsets,
        "bends": metrics.bend_half_steps / metrics.onsets,
        "slides": metrics.slides / metrics.onsets,
        "harmonics": metrics.harmonic_partials / 4 / metrics.onsets,
    }
    assert shares.keys() == set(HAND_TERMS)
    for term, share in shares.items():
        assert points(metrics)[term] == pytest.approx(MODEL.terms[term].value(share), abs=0.001)
