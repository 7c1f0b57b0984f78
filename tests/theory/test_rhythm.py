"""When notes sound: bars add up, landings stand on beats, rests follow the rule."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.theory.rhythm import Meter, RhythmRule, rhythm_class, time_line, timing, with_bars_of_rest

F = Fraction
METERS = [Meter(2, 4), Meter(3, 4), Meter(4, 4), Meter(6, 8), Meter(12, 8), Meter(5, 8, (3, 2)), Meter(7, 8, (2, 2, 3))]
rests = st.one_of(st.sampled_from(["to-barline", "to-beat", "none"]), st.integers(1, 5).map(F))
rules = st.builds(
    RhythmRule,
    meter=st.sampled_from(METERS),
    notes_per_beat=st.lists(st.integers(1, 8), min_size=1, max_size=3).map(tuple),
    swing=st.booleans(),
    landing=st.sampled_from([F(1), F(1, 2), F(2), F(3)]),
    rest=rests,
    rest_at_least=st.integers(1, 4).map(F),
)
lengths = st.lists(st.tuples(st.integers(1, 24), st.booleans()), min_size=1, max_size=6).map(tuple)


def lined(lengths, rule):
    """Runs of so many notes, with or without a landing note, in time."""
    return time_line(tuple(timing(rule, notes, lands) for notes, lands in lengths), rule)


@given(lengths=lengths, rule=rules)
def test_slots_follow_each_other_and_fill_every_bar(lengths, rule):
    slots = lined(lengths, rule)
    now = F(0)
    for slot in slots:
        assert slot.onset == now
        now += slot.duration
        assert (slot.onset // rule.meter.bar) == ((now - F(1, 10**6)) // rule.meter.bar), "crosses a barline"
    assert now % rule.meter.bar == 0


@given(lengths=lengths, rule=rules)
def test_a_landing_note_stands_on_a_beat(lengths, rule):
    for slot in lined(lengths, rule):
        if slot.lands and not slot.continued:
            assert slot.onset % rule.meter.beat == 0


@given(lengths=lengths, rule=rules)
def test_every_note_sounds_its_whole_length(lengths, rule):
    slots = lined(lengths, rule)
    long_short = [F(2, 3), F(1, 3)]  # common practice: swung notes are the outer ones of a triplet
    shares = [
        share
        for count in rule.notes_per_beat
        for share in (long_short if rule.swing and count == 2 else [F(1, count)] * count)
    ]
    for run, (notes, lands) in enumerate(lengths):
        sounded = []
        for note in range(notes + lands):
            parts = [slot for slot in slots if slot.run == run and slot.note == note]
            sounded.append(sum(part.duration for part in parts) / rule.meter.beat)
            assert [part.continued for part in parts] == [False] + [True] * (len(parts) - 1)
        # A run that lands ends with a whole beat, so it may begin anywhere in the turn of lengths.
        starts = range(len(shares)) if lands else [0]
        turns = [[shares[(start + k) % len(shares)] for k in range(notes)] for start in starts]
        assert sounded[:notes] in turns
        assert sounded[notes:] == [rule.landing] * lands


# Bursts without a landing note, a rest of at least one beat. Source: the table of checks f (worked out from the rule).
@pytest.mark.parametrize(
    ("notes", "per_beat", "whole", "rest"),
    [
        (3, 4, F(1, 2), [F(1, 16), F(1, 4)]),
        (5, 4, F(3, 4), [F(3, 16), F(1, 4)]),
        (8, 4, F(3, 4), [F(1, 4)]),
        (9, 6, F(3, 4), [F(3, 24), F(1, 4)]),
        (7, 5, F(3, 4), [F(3, 20), F(1, 4)]),
    ],
)
def test_a_rest_of_a_beat_runs_on_to_the_next_beat(notes, per_beat, whole, rest):
    rule = RhythmRule(Meter(3, 4), (per_beat,), rest=F(1))
    slots = [slot for slot in lined(((notes, False), (1, False)), rule) if slot.run == 0]
    assert sum(slot.duration for slot in slots) == whole
    assert [slot.duration for slot in slots if slot.note is None] == rest


def test_too_short_a_rest_is_followed_by_a_full_bar():
    rule = RhythmRule(Meter(4, 4), (4,), rest_at_least=F(2))
    slots = lined(((8, True), (8, True)), rule)
    assert [slot.duration for slot in slots if slot.note is None and slot.run == 0] == [F(1, 4), F(1)]


def test_a_burst_that_fills_the_bar_is_followed_by_a_bar_of_rest():
    slots = lined(((12, True),), RhythmRule(Meter(4, 4), (4,)))
    assert [slot.duration for slot in slots if slot.note is None] == [F(1)]


def test_a_run_that_would_end_inside_a_beat_starts_later():
    slots = lined(((6, True),), RhythmRule(Meter(4, 4), (4,)))
    assert (slots[0].note, slots[0].duration) == (None, F(1, 8))
    assert next(slot.onset for slot in slots if slot.lands) == F(1, 2)


def test_durations_come_in_turn():
    rule = RhythmRule(Meter(2, 4), None, (F(1, 8), F(1, 16), F(1, 16)))
    assert [slot.duration for slot in lined(((6, False),), rule)][:4] == [F(1, 8), F(1, 16), F(1, 16), F(1, 8)]


def test_a_bar_of_rest_comes_after_so_many_bars():
    meter = Meter(2, 4)
    voice = lined(((32, False),), RhythmRule(meter, (4,), rest="none"))
    (longer,) = with_bars_of_rest((voice,), meter, 2)
    full = [slot.onset for slot in longer if slot.note is None and slot.duration == meter.bar]
    assert full == [F(1), F(5, 2)]
    assert sum(slot.duration for slot in longer) == sum(slot.duration for slot in voice) + 2 * meter.bar


def test_a_bar_of_rest_waits_for_a_note_held_across_the_barline():
    meter = Meter(2, 4)
    rule = RhythmRule(meter, (1,), landing=F(2), rest="to-barline")
    voice = lined(((1, True), (1, True)), rule)
    assert any(slot.continued for slot in voice)
    (longer,) = with_bars_of_rest((voice,), meter, 1)
    held = {slot.onset for slot in longer if slot.continued}
    assert not held & {slot.onset + slot.duration for slot in longer if slot.note is None}


# Source: the difficulty model's scale of rhythm classes (our own), its examples E1, E2, E3, E6.
@pytest.mark.parametrize(
    ("meter", "per_beat", "rest", "expected"),
    [
        (Meter(4, 4), 4, "none", 0),
        (Meter(4, 4), 4, "to-barline", 1),
        (Meter(4, 4), 3, "to-barline", 2),
        (Meter(4, 4), 6, "to-barline", 3),
        (Meter(4, 4), 5, "to-barline", 4),
        (Meter(4, 4), 7, "to-barline", 4),
        (Meter(6, 8), 3, "to-barline", 1),
        (Meter(6, 8), 6, "none", 0),
    ],
)
def test_rhythm_class(meter, per_beat, rest, expected):
    slots = lined(((4 * per_beat, False),), RhythmRule(meter, (per_beat,), rest=rest))
    assert rhythm_class(slots, meter) == expected
