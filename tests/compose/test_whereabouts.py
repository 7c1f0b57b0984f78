"""What the engine refuses is said where a player finds it: bar, beat, note, string, fret."""

from __future__ import annotations

import re

import pytest

from builder.compose import Composition
from tests.compose.test_compose import composed

__all__ = ["composed"]

# Words of the machine that no teacher should have to read.
MACHINE_WORDS = re.compile(r"whole notes|MIDI|Fraction|moment|onset|slice|None")
WRITTEN = {"key": "C major", "contour": "", "rhythm": "{meter: 4/4}", "strokes": "{rule: none}", "checkpoints": ""}


def reasons(composition: Composition) -> str:
    """Every reason of an exercise, of places left out and of problems."""
    said = "\n".join([*(one.reason for one in composition.skipped), *map(str, composition.problems)])
    assert not MACHINE_WORDS.search(said), said
    return said


def written(text: str, path: str) -> dict[str, str]:
    return {
        **WRITTEN,
        "material": f'{{kind: notes, voices: ["{text}"]}}',
        "neck": f"{{path: {path}, start: {{places: [{{string: 1, fret: 0}}]}}}}",
    }


@pytest.mark.parametrize(
    ("path", "text", "said"),
    [
        ("free", "E4 1/4@1, G4 1/4, C7 1/4, rest 1/4", "bar 1, beat 3, C7: there is no place on the strings allowed"),
        (
            "free",
            "E4 1@1 | rest 1/8, F2+G2 1/8, rest 3/4",
            "bar 2, after beat 1, F2 and G2: frets 1 to 3 can't be held with four",
        ),
        ("position", "E4 1/4@1, C5 1/4, E4 1/2", "bar 1, beat 2, C5: goes 4 half steps above position 1"),
        ("one-string", "E4 1/4@1, C4 1/4@2, E4 1/2", "bar 1, beat 2, C4: is written on string 2, the path keeps to"),
        ("one-string", "E4 1/4@1, C4+G4 1/4, E4 1/2", "bar 1, beat 2, C4 and G4: notes sounding together do not go on"),
        ("{per-string: 2}", "E4 1/4@1, C4+G4 1/4, E4 1/2", "bar 1, beat 2, C4 and G4: notes sounding together do not"),
    ],
)
def test_a_path_says_which_note_it_can_not_place(composed, path, text, said):
    assert said in reasons(composed(**written(text, path)))


def test_a_reach_too_wide_names_both_notes(composed):
    said = reasons(composed(**written("E4 1/4@1 0, F4 1/4@1, C5 1/4@1, E4 1/4@1 0", "one-string")))
    assert "bar 1, beat 2, F4 on string 1, fret 1 and C5 on string 1, fret 8: frets 1 to 8 reach" in said


def test_a_finger_on_an_open_string_is_said_where_it_stands(composed):
    said = reasons(composed(**written("E4 1/4@1, F4 1/4@1 1, E4 1/2@1 2", "one-string")))
    assert "bar 1, beat 3, E4 on string 1, open: finger 2 can't play an open string on string 1" in said


def test_a_slur_that_can_not_be_is_said_where_it_stands(composed):
    said = reasons(
        composed(
            material="{kind: arpeggio, chords: [Dm], notes: 4}",
            contour="",
            neck="{path: position, start: {places: [{string: 5, fret: 5}]}}",
            strokes="{rule: legato, pluck: [1], pluck-in: burst}",
        )
    )
    assert re.search(r"bar 1, after beat 1, [A-G]\d on string \d, fret \d: a slur would go from string", said)


def test_two_voices_on_one_pitch_are_said_where_they_meet(composed):
    given = written("E4 1/4@1, G4 3/4@1", "position")
    given["material"] = '{kind: notes, voices: ["E4 1/4@1, G4 3/4", "rest 1/4, G4 3/4"]}'
    assert "bar 1, beat 2, G4: two voices strike the same pitch at once" in reasons(composed(**given))
