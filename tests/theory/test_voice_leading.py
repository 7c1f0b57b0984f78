"""Moving sets of notes from chord to chord: least motion, and the worked loops."""

from __future__ import annotations

from itertools import pairwise, product

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from builder.errors import NoSolution
from builder.theory.chord_scales import chord_scales
from builder.theory.harmony import parse_chord, parse_key, parse_scale
from builder.theory.pitch import Pitch
from builder.theory.voice_leading import candidates, distance, nearest_sets, round_trip, sounds
from tests.strategies import chords, loops, seven_note_keys

E3, E5 = 52, 76


def all_candidates(symbols, key, size=3, low=48, high=67):
    loop = [parse_chord(symbol) for symbol in symbols]
    scales = chord_scales(loop, key, "chord")
    return [candidates(chord, scale, size, low, high) for chord, scale in zip(loop, scales, strict=True)]


@given(chords, seven_note_keys, st.integers(2, 7), st.integers(40, 60), st.integers(5, 25))
def test_candidates_are_all_runs_of_the_scale_with_two_chord_tones(chord, key, size, low, width):
    scale = key.scale
    line = [midi for midi in range(low, low + width + 1) if midi % 12 in {note.pitch_class for note in scale.notes}]
    tones = {note.pitch_class for note in chord.notes}
    runs = [line[start : start + size] for start in range(len(line))]
    wanted = [tuple(run) for run in runs if len(run) == size and sum(midi % 12 in tones for midi in run) > 1]
    assert [sounds(run) for run in candidates(chord, scale, size, low, low + width)] == wanted


@given(loops, st.booleans())
def test_each_greedy_step_is_the_shortest_there_is(symbols, may_stay):
    every = all_candidates(symbols, parse_key("C major"))
    chain = nearest_sets(every[0][0], every[1:], may_stay)
    for (last, new), choices in zip(pairwise(chain), every[1:], strict=True):
        assert may_stay or sounds(new) != sounds(last)
        allowed = [one for one in choices if may_stay or sounds(one) != sounds(last)]
        assert distance(last, new) == min(distance(last, one) for one in allowed)


@given(loops.filter(lambda symbols: 2 <= len(symbols) <= 4), st.booleans())
def test_the_round_trip_is_the_best_of_all_loops(symbols, may_stay):
    every = all_candidates(symbols, parse_key("C major"))
    first = every[0][0]

    def cost(loop):
        steps = [distance(a, b) for a, b in pairwise([*loop, first])]
        return sum(d for d, _ in steps), sum(m for _, m in steps), [one[0].midi for one in loop]

    def moves(loop):
        return all(sounds(a) != sounds(b) for a, b in pairwise([*loop, first]))

    trips = [loop for rest in product(*every[1:]) if moves(loop := (first, *rest)) or may_stay]
    assume(trips)
    assert round_trip(first, every[1:], may_stay) == min(trips, key=cost)


# Own loops worked out by hand and by brute force. Chord, scale; then the MIDI notes of each chord's set.
LOOPS = {
    1: ("Bb: Bb major", "Gm: Bb major", "Eb: Bb major", "F: Bb major"),
    2: ("F#m: F# aeolian", "D: D lydian", "B7: B mixolydian", "C#7: C# mixolydian"),
    3: ("Am: A aeolian", "Bdim: A aeolian", "E7: E F G# A B C D", "Dm: A aeolian"),
}
ANSWERS = {
    (1, "stay", "greedy"): ("58 60 62", "58 60 62", "55 57 58", "53 55 57", 30),
    (1, "stay", "loop"): ("58 60 62", "55 57 58", "55 57 58", "57 58 60", 20),
    (1, "move", "greedy"): ("58 60 62", "55 57 58", "63 65 67", "65 67 69", 62),
    (1, "move", "loop"): ("58 60 62", "55 57 58", "63 65 67", "57 58 60", 60),
    (2, "stay", "greedy"): ("57 59 61", "54 56 57", "54 56 57", "53 54 56", 28),
    (2, "stay", "loop"): ("57 59 61", "54 56 57", "54 56 57", "56 58 59", 20),
    (2, "move", "greedy"): ("57 59 61", "54 56 57", "56 57 59", "56 58 59", 20),
    (2, "move", "loop"): ("57 59 61", "54 56 57", "56 57 59", "56 58 59", 20),
    (3, "stay", "greedy"): ("60 62 64", "59 60 62", "59 60 62", "62 64 65", 20),
    (3, "stay", "loop"): ("60 62 64", "62 64 65", "62 64 65", "62 64 65", 10),
    (3, "move", "greedy"): ("60 62 64", "59 60 62", "60 62 64", "62 64 65", 20),
    (3, "move", "loop"): ("60 62 64", "59 60 62", "60 62 64", "62 64 65", 20),
}
CANDIDATE_COUNTS = {1: [3, 4, 3, 4], 2: [4, 3, 9, 9], 3: [4, 3, 9, 3]}


def worked(number):
    pairs = [line.split(": ") for line in LOOPS[number]]
    scales = [parse_scale(text.split() if len(text.split()) > 2 else text) for _, text in pairs]
    return [candidates(parse_chord(symbol), scale, 3, E3, E5) for (symbol, _), scale in zip(pairs, scales, strict=True)]


@pytest.mark.parametrize(("number", "counts"), CANDIDATE_COUNTS.items())
def test_worked_loops_have_their_number_of_candidates(number, counts):
    assert [len(sets) for sets in worked(number)] == counts


@pytest.mark.parametrize(("case", "answer"), ANSWERS.items(), ids=str)
def test_worked_loops_have_their_answer(case, answer):
    number, staying, way = case
    every = worked(number)
    first = next(one for one in every[0] if sounds(one) == tuple(map(int, answer[0].split())))
    chain = (nearest_sets if way == "greedy" else round_trip)(first, every[1:], staying == "stay")
    assert [" ".join(map(str, sounds(one))) for one in chain] == list(answer[:-1])
    assert sum(distance(a, b)[0] for a, b in pairwise([*chain, first])) == answer[-1]


def test_sets_keep_the_spelling_of_their_scale():
    every = worked(2)
    first = next(one for one in every[0] if sounds(one) == (57, 59, 61))
    assert [str(pitch) for pitch in nearest_sets(first, every[1:], True)[-1]] == ["E#3", "F#3", "G#3"]


SET_C = tuple(map(Pitch.parse, ("C4", "D4", "E4")))


@pytest.mark.parametrize("chain", [nearest_sets, round_trip])
def test_a_chord_without_another_set_is_explained(chain):
    with pytest.raises(NoSolution, match="chord 2 has no set with two chord tones"):
        chain(SET_C, [()], False)
    with pytest.raises(NoSolution, match="chord 2 has no set but the one before it; allow it with may-stay"):
        chain(SET_C, [(SET_C,)], False)
    assert chain(SET_C, [(SET_C,)], True) == (SET_C, SET_C)


def test_a_loop_played_round_moves_on_its_last_step_too():
    down = tuple(pitch.octaves_up(-1) for pitch in SET_C)
    far = tuple(pitch.octaves_up(1) for pitch in SET_C)
    assert round_trip(SET_C, [(down,), (SET_C, far)], False)[-1] == far
    assert round_trip(SET_C, [], False) == (SET_C,)


@pytest.mark.parametrize("chain", [nearest_sets, round_trip])
def test_of_two_equal_distances_the_one_with_smaller_moves_wins_even_if_it_lies_higher(chain):
    spread, leap = tuple(map(Pitch.parse, ("C#4", "D#4", "F4"))), tuple(map(Pitch.parse, ("C4", "D4", "G4")))
    assert distance(SET_C, spread) == (3, 1)
    assert distance(SET_C, leap) == (3, 3)
    assert chain(SET_C, [(leap, spread)], False)[1] == spread
