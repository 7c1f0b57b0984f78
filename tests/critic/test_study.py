"""A study held against its document: sequences laid side by side, and what a document asks for."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.critic.aligning import aligned
from builder.critic.expected import expected

WORDS = st.lists(st.sampled_from("abc"), min_size=1, max_size=12)


def laid(found: list[str], wanted: list[str], spare: str = "") -> list[tuple[str | None, str | None]]:
    return aligned(found, wanted, lambda one, other: one == other, lambda one: one in spare)


def changes(pairs: list[tuple[str | None, str | None]]) -> int:
    return sum(one != other for one, other in pairs)


@given(WORDS, WORDS)
def test_both_sequences_are_kept_in_order(found: list[str], wanted: list[str]):
    pairs = laid(found, wanted)
    assert [one for one, _ in pairs if one is not None] == found
    assert [other for _, other in pairs if other is not None] == wanted


@given(WORDS, st.data())
def test_one_lost_word_is_one_change(words: list[str], data: st.DataObject):
    place = data.draw(st.integers(0, len(words) - 1))
    assert changes(laid(words[:place] + words[place + 1 :], words)) == 1
    assert changes(laid(words, words[:place] + words[place + 1 :])) == 1


@given(WORDS, st.data())
def test_what_is_spare_may_stand_anywhere(words: list[str], data: st.DataObject):
    place = data.draw(st.integers(0, len(words)))
    assert changes(laid([*words[:place], "x", *words[place:]], words, spare="x")) == 0


def test_a_changed_word_keeps_its_place():
    assert laid(list("abcba"), list("abxba")) == [("a", "a"), ("b", "b"), ("c", "x"), ("b", "b"), ("a", "a")]


# --- what a document asks for ----------------------------------------------------------------------------------------


def note(onset: str, **more: Any) -> dict[str, Any]:
    plain = {
        "kind": "note", "bar": 1, "onset": onset, "duration": "1/4", "voice": 1, "pitch": "E4", "midi": 64,
        "string": 1, "fret": 0, "finger": 0, "finger_printed": False, "stroke": None, "accent": False,
        "tied": False, "technique": None,
    }  # fmt: skip
    return {**plain, **more}


def rest(onset: str, duration: str, voice: int = 1) -> dict[str, Any]:
    return {"kind": "rest", "bar": 1, "onset": onset, "duration": duration, "voice": voice, "checkpoint": None}


def study(*events: dict[str, Any], **more: Any) -> dict[str, Any]:
    plain = {
        "id": "pier-s1f0", "title": "Pier", "key": "E minor", "meter": "4/4", "beat": "1/4", "chords": [], "shapes": [],
        "instrument": {"strings": [64, 59, 55, 50, 45, 40], "capo": 0}, "events": list(events),
        "tempo_steps": [60], "levels": [1],
    }  # fmt: skip
    return {**plain, **more}


@pytest.mark.parametrize(
    ("key", "signature"),
    [("C major", 0), ("A minor", 0), ("Eb major", -3), ("F# dorian", 4), ("Bb lydian", -1), ("C# phrygian", 3)],
)
def test_a_key_has_the_signature_of_its_major_scale(key: str, signature: int):
    assert expected(study(note("0"), key=key)).signature == signature


def test_the_signature_of_an_unknown_mode_is_left_open():
    assert expected(study(note("0"), key="E blues")).signature is None


def test_notes_that_are_tied_are_not_expected_anew():
    asked = expected(study(note("0"), note("1/4", tied=True), note("1/2", fret=3, pitch="G4", midi=67)))
    assert [moment.onset for moment in asked.moments] == [0, Fraction(1, 2)]
    assert [places for _, places in asked.fretted] == [((1, 0),), ((1, 3),)]


def test_a_bent_note_has_no_number_and_comes_back_to_one():
    bent = note("1/4", technique="bend", fret=3, pitch="A4", midi=69)
    back = note("1/2", technique="bend", fret=3, pitch="G4", midi=67)
    asked = expected(study(note("0", fret=3, pitch="G4", midi=67), bent, back))
    assert [moment.onset for moment, _ in asked.fretted] == [0, Fraction(1, 2)]
    assert len(asked.moments) == 3


def test_rests_in_a_row_are_one_silence_of_their_voice():
    asked = expected(
        study(note("0"), rest("1/4", "1/4"), rest("1/2", "1/2"), note("0", voice=2), rest("1/4", "3/4", 2))
    )
    assert [(silence.onset, silence.length) for silence in asked.silences] == [(Fraction(1, 4), Fraction(3, 4))] * 2


def test_a_diagram_may_tell_a_finger():
    shape = {"onset": "0", "symbol": "G", "frets": [3, 0, 0, 0, 2, 3], "fingers": [4, 0, 0, 0, 2, 3]}
    fretted = note("0", fret=3, finger=4, finger_printed=True)
    (moment,) = expected(study(fretted, shapes=[shape])).moments
    assert (moment.fingers, moment.told) == (("4",), ("4",))
    (moment,) = expected(study({**fretted, "finger": 3}, shapes=[shape])).moments
    assert (moment.fingers, moment.told) == (("3",), ())
