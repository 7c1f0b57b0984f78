"""What is counted of a study: crossings, changes, holds, counted by hand.

Source:   crossings under alternate strokes and home strings as common practice has them
"""

from __future__ import annotations

import pytest

from builder.theory.score import Study
from tests.compose.measured import (
    A_MINOR,
    C_CHORD,
    G_CHORD,
    I_M,
    MODEL,
    P_I,
    PICKED,
    TRILL,
    Make,
    broken_chord,
    fingers,
    plucked,
    points,
    written,
)


def crossings(study: Study) -> tuple[int, int]:
    return study.metrics.crossings_outside, study.metrics.crossings_inside


@pytest.mark.parametrize(
    ("pattern", "kinds"),
    [
        ("[1, 2, 4]", (3, 2)),  # three a string: outside, inside, outside …
        ("[1, 3]", (0, 5)),  # two or four: always inside
        ("[1, 2, 3, 4]", (0, 5)),
        ("[1]", (3, 2)),  # one: outside, inside, outside …
    ],
)
def test_crossings_under_alternate_strokes(make: Make, pattern: str, kinds: tuple[int, int]) -> None:
    upwards = fingers(pattern, "[6, 5, 4, 3, 2, 1]", (6, 5), strokes=PICKED)
    assert crossings(make(**upwards)) == kinds


def test_the_other_first_stroke_turns_every_crossing_round(make: Make) -> None:
    upwards = fingers("[1, 2, 4]", "[6, 5, 4, 3, 2, 1]", (6, 5))
    down, up = (crossings(make(**upwards, strokes=f"{{rule: alternate, first: {first}}}")) for first in ("down", "up"))
    assert down == up[::-1]


def test_downwards_the_kinds_are_those_of_the_mirrored_strokes(make: Make) -> None:
    upwards = fingers("[1, 3]", "[6, 5, 4, 3, 2, 1]", (6, 5), strokes="{rule: alternate, first: down}")
    downwards = fingers("[3, 1]", "[1, 2, 3, 4, 5, 6]", (1, 5), strokes="{rule: alternate, first: up}")
    assert crossings(make(**upwards)) == crossings(make(**downwards)) == (0, 5)


@pytest.mark.parametrize("rule", ["economy", "down", "none"])
def test_strokes_that_go_on_or_are_not_marked_cross_neither_way(make: Make, rule: str) -> None:
    upwards = fingers("[1, 2, 4]", "[6, 5, 4, 3, 2, 1]", (6, 5), strokes=f"{{rule: {rule}}}")
    assert crossings(make(**upwards)) == (0, 0)


def test_a_rest_leaves_the_pick_time_to_cross(make: Make) -> None:
    bursts = fingers("[1, 2, 4]", "[6, 5, 4]", (6, 5), strokes=PICKED)
    study = make(**(bursts | {"rhythm": "{meter: 4/4, notes-per-beat: 4, rest: to-barline}"}))
    assert (crossings(study), study.metrics.string_skips) == ((0, 0), 0)
    assert study.metrics.string_change_share == pytest.approx(2 / 8)


def test_skips_are_crossings_over_a_string(make: Make) -> None:
    skipping = fingers("[1, 3]", "[6, 4, 5, 2]", (6, 5), strokes=PICKED)
    assert make(**skipping).metrics.string_skips == 2


def test_only_picked_notes_make_crossings(make: Make) -> None:
    slurred = fingers("[1, 2, 4]", "[6, 5, 4]", (6, 5), strokes=TRILL)
    study = make(**slurred)
    assert sum(crossings(study)) == 2
    assert study.metrics.slurs == 6


def test_fingers_on_their_own_strings_change_none(make: Make) -> None:
    """Source: checks k names home strings counted as string changes a weakness of the basic formula."""
    arpeggio = broken_chord((5, 0), "A2 1/1@5 0", "A3 3/4@3 3", "C4 1/2@2 1", "E4 1/4@1 0")
    study = make(**arpeggio)
    assert study.metrics.string_change_share == 1
    assert points(study.metrics)["string_changes"] == 0
    assert (study.metrics.thumb_moves, study.metrics.finger_repeats) == (0, 0)


def test_fingers_that_leave_their_strings_change_them(make: Make) -> None:
    line = fingers("[1, 3]", "[4, 3, 2]", (4, 5), strokes=I_M)
    assert points(make(**line).metrics)["string_changes"] > 0


def test_thumb_moves_and_repeats_are_counted_between_rests(make: Make) -> None:
    bass = "A2 1/8@5, E4 1/8@1, E3 1/8@4, E4 1/8@1, rest 1/2 | E3 1/8@4, E4 1/8@1, E3 1/8@4, E4 1/8@1, rest 1/2"
    metrics = make(**written((5, 0), bass, strokes=P_I)).metrics
    assert (metrics.thumb_moves, metrics.finger_repeats) == (1, 0)
    assert points(metrics)["string_changes"] == 0
    alone = make(**written((5, 0), bass, strokes="{rule: fingers, order: [p]}")).metrics
    assert (alone.thumb_moves, alone.finger_repeats) == (6, 6)


def test_weak_pairs_end_with_the_burst(make: Make) -> None:
    """Strings of 3-4 and of 4-3 have the same pairs, whatever comes before them in another burst."""
    shares = {make(**fingers(pattern, "[4, 3, 2]", (4, 7))).metrics.weak_pair_share for pattern in ("[3, 4]", "[4, 3]")}
    assert shares == {MODEL.pairs[3, 4] * MODEL.onward}


def test_all_orders_of_the_fingers_are_graded(make: Make) -> None:
    orders = ("1, 2, 3, 4", "2, 3, 4, 1", "1, 3, 4, 2", "1, 2, 4, 3", "2, 1, 4, 3")
    scores = [make(**fingers(f"[{order}]", "[3]", (3, 5))).metrics.score for order in orders]
    assert scores == sorted(set(scores))


def test_a_barre_is_held_for_as_long_as_its_strings_sound_together(make: Make) -> None:
    barre = written(
        (6, 1), "rest 1/4, C4+F4 3/4@2+1 1+1 | C4+F4 1/2@2+1 1+1, rest 1/2", "F2 1/1@6 1 | F2 1/2@6 1, rest 1/2"
    )
    assert make(**barre).metrics.held_seconds == 5
    assert make(**(barre | {"tempo": "{from: 120, to: 120, steps: 1}"})).metrics.held_seconds == 2.5


def test_a_barre_under_a_broken_chord_is_held_from_its_first_note_to_its_last(make: Make) -> None:
    """Twelve triplets at 60: the whole chord is down before the first of them."""
    metrics = make(**plucked((6, 1), "[F]")).metrics
    assert metrics.held_seconds == 4
    assert metrics.weak_pair_share == 0


def test_rests_end_a_hold(make: Make) -> None:
    bar = "C4+F4 1/4@2+1 1+1, C4+F4 1/4@2+1 1+1, rest 1/4, C4+F4 1/4@2+1 1+1"
    assert make(**written((2, 1), bar)).metrics.held_seconds == 2


def test_a_stretch_is_held_where_both_its_fingers_are_down(make: Make) -> None:
    together = make(**written((5, 1), "A#2+G3 1/2@5+4 1+4, rest 1/2"))
    assert together.metrics.widest_reach_mm > together.hand.comfort_mm
    assert together.metrics.held_seconds == 2
    in_turn = make(**written((5, 1), "A#2 1/4@5 1, G3 1/4@4 4, rest 1/2"))
    assert in_turn.metrics.widest_reach_mm == together.metrics.widest_reach_mm
    assert in_turn.metrics.held_seconds == 0


def test_two_fingers_within_comfort_hold_no_stretch(make: Make) -> None:
    assert make(**written((5, 9), "F#3+D#4 1/1@5+4 1+4")).metrics.held_seconds == 0


def test_fingers_that_stay_do_not_move(make: Make) -> None:
    same = make(**written((5, 3), f"{C_CHORD} | {C_CHORD}")).metrics
    part = make(**written((5, 3), f"{C_CHORD} | G3+C4+E4 1/1@3+2+1 | {C_CHORD}")).metrics
    other = make(**written((5, 3), f"{C_CHORD} | {A_MINOR}")).metrics
    barre = "F2+C3+F3+A3+C4+F4 1/1@6+5+4+3+2+1"
    above = make(**written((6, 1), f"{barre} | A3+C4+F4 1/1@3+2+1 | {barre}")).metrics
    assert (same.finger_moves, part.finger_moves, above.finger_moves) == (0, 0, 0)
    assert 0 < other.finger_moves < 3


def test_a_rest_gives_time_to_change_the_chord(make: Make) -> None:
    change = f"{C_CHORD} | rest 1/1 | {G_CHORD}"
    assert make(**written((5, 3), change)).metrics.finger_moves == 0
