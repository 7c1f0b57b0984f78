"""The shared/ folder that ships, and what happens when someone edits it wrongly."""

from __future__ import annotations

import shutil
from itertools import pairwise

import pytest

from builder import resources
from builder.errors import MachineError, SpecError
from builder.fields import Unreadable
from builder.spec import library as library_module
from builder.spec import load_library
from builder.spec.library import find_hand, find_instrument
from builder.theory.fretboard import Hand, Place

LIBRARY = load_library()

# Tunings as LilyPond's string-tunings-init.ly lists them, string 1 first, in MIDI numbers.
TUNINGS = {
    "guitar": (64, 59, 55, 50, 45, 40),
    "nylon-guitar": (64, 59, 55, 50, 45, 40),
    "drop-d": (64, 59, 55, 50, 45, 38),
    "seven-string": (64, 59, 55, 50, 45, 40, 35),
    "bass": (43, 38, 33, 28),
    "five-string-bass": (43, 38, 33, 28, 23),
    "ukulele": (69, 64, 60, 67),
    "short-scale-guitar": (64, 59, 55, 50, 45, 40),
    "mandolin": (76, 69, 62, 55),
}


@pytest.mark.parametrize("name", TUNINGS)
def test_instruments_sound_as_tuned(name):
    instrument = LIBRARY.instruments[name]
    assert instrument.name == name
    assert tuple(pitch.midi for pitch in instrument.open_strings) == TUNINGS[name]


def test_known_places_sound_their_notes():
    assert LIBRARY.instruments["bass"].sound(Place(4, 20)) == 48
    assert LIBRARY.instruments["ukulele"].sound(Place(4, 5)) == 72
    assert LIBRARY.instruments["seven-string"].sound(Place(7, 17)) == 52


def test_every_instrument_is_tested():
    assert set(LIBRARY.instruments) == set(TUNINGS)


def test_only_the_basses_are_played_three_frets_wide():
    narrow = {name for name, each in LIBRARY.instruments.items() if each.position_width == 3}
    assert narrow == {name for name, each in LIBRARY.instruments.items() if each.clef == "bass_8"}
    assert narrow == {"bass", "five-string-bass"}


def test_cues_fit_under_a_rest_and_never_ask_twice_for_the_same_place():
    assert len(LIBRARY.cues) >= 18
    assert all(len(cue.words) <= 18 for cue in LIBRARY.cues)
    assert len({cue.words for cue in LIBRARY.cues}) == len({cue.id for cue in LIBRARY.cues}) == len(LIBRARY.cues)
    circle = [*LIBRARY.cues, LIBRARY.cues[0]]
    assert all(one.area != following.area for one, following in pairwise(circle))


def test_a_cue_is_found_by_its_id():
    assert LIBRARY.cue("jaw").words == "jaw"


def test_patterns_use_fingers_one_to_four():
    assert len(LIBRARY.patterns) >= 8
    assert {finger for pattern in LIBRARY.patterns.values() for each in pattern for finger in each} == {1, 2, 3, 4}
    assert len(set(LIBRARY.patterns.values())) == len(LIBRARY.patterns)


def test_skills_have_phrases():
    assert len(LIBRARY.skills) >= 25
    assert len(set(LIBRARY.skills.values())) == len(LIBRARY.skills)


def test_hands_by_name_and_by_ruler():
    assert find_hand("small", LIBRARY) == Hand("small", 78, 98)
    assert find_hand("medium", LIBRARY) == Hand("medium", 98, 127)
    assert find_hand("large", LIBRARY) == Hand("large", 112, 142)
    assert find_hand("92.5", LIBRARY) == Hand("measured", 92.5, 118.4)


@pytest.mark.parametrize("text", ["", "39", "201", "huge", "-98", "nan", "inf", "1e2", "9" * 500])
def test_other_hands_are_refused(text):
    with pytest.raises(Unreadable):
        find_hand(text, LIBRARY)


def test_an_unknown_instrument_is_refused_with_a_near_miss():
    with pytest.raises(Unreadable) as caught:
        find_instrument("gitar", LIBRARY)
    assert caught.value.hint == "did you mean 'guitar'?"


@pytest.fixture
def copied(tmp_path):
    return shutil.copytree(resources.folder("shared"), tmp_path / "shared")


def test_a_new_file_is_enough_for_a_new_cue(copied):
    (copied / "cues" / "20-more.yaml").write_text("hat: {words: hat, say: Take off your hat., area: head}\n")
    assert load_library(copied).cues[-1].id == "hat"


def test_a_new_file_is_enough_for_a_new_instrument(copied):
    (copied / "instruments").mkdir()
    (copied / "instruments" / "tenor.yaml").write_text(
        "tenor: {strings: [A4, D4, G3, C3], frets: 17, scale-length: 580}\n"
    )
    assert load_library(copied).instruments["tenor"].strings == 4


def test_mistakes_in_the_folder_are_reported_together(copied):
    (copied / "cues" / "20-more.yaml").write_text(
        "jaw: {words: jaw again and again, say: Open., area: face}\nHat: {words: hat}\n"
    )
    (copied / "skills.yaml").write_text("tone: {phrase: a tone, extra: 1}\n")
    with pytest.raises(SpecError) as caught:
        load_library(copied)
    words = "\n".join(map(str, caught.value.problems))
    assert "jaw: found an id that another file has too" in words
    assert "jaw.words: found text of 19 characters, expected at most 18 characters" in words
    assert "Hat: found 'Hat'" in words
    assert "tone.extra: found an unknown key, expected phrase" in words


def test_a_missing_file_is_reported(copied):
    (copied / "skills.yaml").unlink()
    with pytest.raises(SpecError, match="no file"):
        load_library(copied)


def test_a_file_without_permission_is_the_machines_fault(copied, monkeypatch):
    def refuse(path):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(library_module.Path, "read_bytes", refuse)
    with pytest.raises(MachineError, match="Permission denied"):
        load_library(copied)
