"""What makes a study hard: pairs a teacher would not argue about, measured on real exercises.

Source:   common practice
"""

from __future__ import annotations

import pytest

from tests.compose.measured import (
    A_MINOR,
    C_CHORD,
    G_CHORD,
    I_M,
    P_I,
    PICKED,
    TRILL,
    WALK,
    Make,
    Spec,
    at,
    broken_chord,
    fingers,
    plucked,
    points,
    scale,
    strummed,
    written,
)

# The harder study first, then the easier one, and the terms that have to say so. Source: common practice.
PAIRS: dict[str, tuple[Spec, Spec, tuple[str, ...]]] = {
    "a full barre arpeggio above an open chord": (
        broken_chord((6, 1), "F2 1/1@6 1", "A3 3/4@3 2", "C4 1/2@2 1", "F4 1/4@1 1"),
        broken_chord((5, 0), "A2 1/1@5 0", "A3 3/4@3 3", "C4 1/2@2 1", "E4 1/4@1 0"),
        ("held",),
    ),
    "p i m a m i over a full barre above the same over an open chord": (
        plucked((6, 1), "[F]"),
        plucked((5, 0), "[Am]"),
        ("held",),
    ),
    "a thumb between two basses above one that keeps to its string": (
        plucked((5, 0), "[Am]", ", alternate-bass: true"),
        plucked((5, 0), "[Am]"),
        ("thumb_moves",),
    ),
    "a strummed change to a chord that has no finger in common above one that keeps two": (
        strummed((5, 3), "[C, G, C, G]"),
        strummed((5, 3), "[C, Am, C, Am]"),
        ("finger_moves",),
    ),
    "1-2-4-3 above 1-2-3-4": (fingers("[1, 2, 4, 3]", "[3]", (3, 5)), WALK, ("weak_pairs",)),
    "sextuplets above sixteenths at one tempo": (
        WALK | {"rhythm": "{meter: 4/4, notes-per-beat: 6, rest: none}"},
        WALK,
        ("speed", "rhythm"),
    ),
    "three notes a string at fret 1 above the same at fret 7": (
        scale((6, 1), 9, key="F major", neck=at(6, 1, path="{per-string: 3}")),
        scale((6, 7), 9, key="B major", neck=at(6, 7, path="{per-string: 3}")),
        ("reach",),
    ),
    "a wide stretch low on the neck above the same shape at fret 9": (
        written((5, 1), "A#2 1/4@5 1, C3 1/4@5 2, D3 1/4@5 4, C3 1/4@5 2"),
        written((5, 9), "F#3 1/4@5 1, G#3 1/4@5 2, A#3 1/4@5 4, G#3 1/4@5 2"),
        ("reach",),
    ),
    "a pick caught between the strings above one that turns outside": (
        fingers("[1, 3]", "[4, 3, 2, 1]", (4, 5), strokes="{rule: alternate, first: down}"),
        fingers("[1, 3]", "[4, 3, 2, 1]", (4, 5), strokes="{rule: alternate, first: up}"),
        ("inside_crossings",),
    ),
    "skipped strings above neighbouring ones": (
        fingers("[1, 3]", "[6, 4, 5, 3, 4, 2]", (6, 5), strokes=PICKED),
        fingers("[1, 3]", "[6, 5, 4, 3, 2, 1]", (6, 5), strokes=PICKED),
        ("string_skips",),
    ),
    "a slurred trill of ring and little finger above one of index and middle": (
        fingers("[3, 4, 3, 4, 3, 4, 3, 4]", "[2]", (2, 7), strokes=TRILL),
        fingers("[1, 2, 1, 2, 1, 2, 1, 2]", "[2]", (2, 5), strokes=TRILL),
        ("weak_pairs",),
    ),
    "a long run above bursts with rests": (
        fingers("[1, 2, 3, 4]", "[6, 5, 4, 3, 2, 1]", (6, 5), more=", rounds: 3"),
        fingers(
            "[1, 2, 3, 4]",
            "[6, 5, 4, 3, 2, 1]",
            (6, 5),
            more=", rounds: 3",
            rhythm="{meter: 4/4, notes-per-beat: 4, rest: to-barline}",
        ),
        ("longest_run",),
    ),
    "sixths that shift above a single line": (
        written((3, 5), "C4+A4 1/8@3+1, D4+B4 1/8@3+1, E4+C5 1/8@3+1, F4+D5 1/8@3+1, G4+E5 1/2@3+1"),
        written((3, 5), "C4 1/8@3, D4 1/8@3, E4 1/8@2, F4 1/8@2, G4 1/2@2"),
        ("shifts", "notes_at_once"),
    ),
    "septuplets in 7/8 above eighths in 4/4": (
        WALK | {"rhythm": "{meter: 7/8, groups: [2, 2, 3], notes-per-beat: 7, rest: none}"},
        WALK | {"rhythm": "{meter: 4/4, notes-per-beat: 2, rest: none}"},
        ("speed", "rhythm"),
    ),
    "a thumb that walks above one that stays on its string": (
        written((5, 0), "A2 1/8@5, E4 1/8@1, E3 1/8@4, E4 1/8@1, A2 1/8@5, E4 1/8@1, E3 1/8@4, E4 1/8@1", strokes=P_I),
        written((5, 0), "A2 1/8@5, E4 1/8@1, A2 1/8@5, E4 1/8@1, A2 1/8@5, E4 1/8@1, A2 1/8@5, E4 1/8@1", strokes=P_I),
        ("thumb_moves",),
    ),
    "one plucking finger above two in turn": (
        WALK | {"strokes": "{rule: fingers, order: [i]}"},
        WALK | {"strokes": I_M},
        ("finger_repeats",),
    ),
    "a change to another chord above one that keeps two fingers": (
        written((6, 3), f"{G_CHORD} | {C_CHORD} | {G_CHORD} | {C_CHORD}"),
        written((5, 3), f"{C_CHORD} | {A_MINOR} | {C_CHORD} | {A_MINOR}"),
        ("finger_moves",),
    ),
}


BENT = {
    "key": "A minor",
    "rhythm": "{meter: 4/4, notes-per-beat: 1, rest: none}",
    "neck": "{start: {places: [{string: 2, fret: 10}]}}",
    "strokes": PICKED,
}
PUSHED = {by: BENT | {"material": f"{{kind: bends, notes: 4, by: {by}}}"} for by in (1, 2, 3)}
RINGING = {
    fret: {
        "key": "E minor",
        "material": f"{{kind: harmonics, frets: [{fret}], strings: [6, 5, 4]}}",
        "rhythm": "{meter: 4/4, notes-per-beat: 1, rest: none}",
        "strokes": PICKED,
    }
    for fret in (12, 7, 5, 4)
}
GLIDE = {
    "key": "C major",
    "material": "{kind: slides, notes: 4, steps: 2, finger: 1}",
    "rhythm": "{meter: 4/4, notes-per-beat: 1, rest: none}",
    "neck": "{start: {places: [{string: 3, fret: 5}]}}",
    "strokes": PICKED,
}
PAIRS |= {
    "a whole-tone bend above the same line unbent": (
        PUSHED[2],
        written((2, 10), "A4 1/4@2 3, A4 1/4@2 3, B4 1/4@2 3, B4 1/4@2 3, C5 1/4@2 3, C5 1/4@2 3", key="A minor"),
        ("bends",),
    ),
    "a whole-tone bend above one of a half step": (PUSHED[2], PUSHED[1], ("bends",)),
    "a bend of three half steps above a whole tone": (PUSHED[3], PUSHED[2], ("bends",)),
    "a bend let down again above a bend": (
        BENT | {"material": "{kind: bends, notes: 4, by: 2, release: true}"},
        PUSHED[2],
        ("bends",),
    ),
    "a whole-tone bend above a slur over a whole tone": (
        PUSHED[2],
        fingers("[1, 3, 1, 3]", "[2]", (2, 10), rhythm="{meter: 4/4, notes-per-beat: 1, rest: none}", strokes=TRILL),
        ("bends",),
    ),
    "slides above the same notes struck, each from where it lies": (
        GLIDE,
        GLIDE | {"material": "{kind: scale, notes: 8}", "neck": at(3, 5, path="one-string", shift_in_burst="true")},
        ("slides",),
    ),
    "a harmonic at fret 7 above one at fret 12": (RINGING[7], RINGING[12], ("harmonics",)),
    "a harmonic at fret 4 above one at fret 5": (RINGING[4], RINGING[5], ("harmonics",)),
    "a harmonic above the same strings open": (
        RINGING[12],
        written((6, 0), "E2 1/4@6, A2 1/4@5, D3 1/4@4, A2 1/4@5"),
        ("harmonics",),
    ),
}


def test_bends_slides_and_harmonics_are_counted(make: Make) -> None:
    released = make(**(BENT | {"material": "{kind: bends, notes: 4, by: 2, release: true}"})).metrics
    assert (released.onsets, released.bend_half_steps) == (12, 16)
    assert make(**PUSHED[3]).metrics.bend_half_steps == 12
    assert make(**GLIDE).metrics.slides == 4
    # Fret 12 touches the second partial, 7 the third, 5 the fourth, 4 the fifth.
    counted = [make(**RINGING[fret]).metrics for fret in (12, 7, 5, 4)]
    assert [one.harmonic_partials / one.onsets for one in counted] == [1, 2, 3, 4]
    walk = make(**WALK).metrics
    assert (walk.bend_half_steps, walk.slides, walk.harmonic_partials) == (0, 0, 0)


def test_a_study_of_whole_tone_bends_is_nothing_for_the_first_level(make: Make) -> None:
    """Source: graded syllabi bring bends in after some years; common practice."""
    assert make(**PUSHED[2]).level >= 3
    assert make(**PUSHED[1]).level > 1


@pytest.mark.parametrize("name", PAIRS)
def test_common_practice(make: Make, name: str) -> None:
    harder, easier, terms = PAIRS[name]
    hard, easy = make(**harder).metrics, make(**easier).metrics
    assert hard.score > easy.score
    for term in terms:
        assert points(hard)[term] > points(easy)[term]
