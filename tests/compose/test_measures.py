"""What makes a study hard, measured on real exercises: pairs a teacher would not argue about, counts by hand, tempo.

Source:   common practice for the pairs; checks e (crossings under alternate strokes, home strings) for the counts
Not here: the model's own arithmetic (`tests/theory/test_difficulty.py`)
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.compose import compose
from builder.compose.handwork import Fretting, Plucking
from builder.compose.measures import Measures
from builder.composing import knowledge_from
from builder.spec import load_library, read_exercise
from builder.theory.difficulty import HAND_TERMS
from builder.theory.score import Metrics, Study

LIBRARY = load_library()
KNOWLEDGE = knowledge_from(LIBRARY)
MODEL = KNOWLEDGE.difficulty

Spec = dict[str, str]
Make = Callable[..., Study]


def study_of(folder: Path, keys: Spec) -> Study:
    """The one study of an exercise."""
    path = folder / "quay.yaml"
    whole = {
        "title": "Quay",
        "tempo": "{from: 60, to: 60, steps: 1}",
        "checkpoints": "{at: none}",
        **keys,
    }
    path.write_text("".join(f"{key}: {value}\n" for key, value in whole.items()), encoding="utf-8")
    spec = read_exercise(path, LIBRARY, None, None)
    assert not spec.problems, "\n".join(map(str, spec.problems))
    composition = compose(spec.exercises[0], KNOWLEDGE)
    assert not composition.problems, "\n".join(map(str, composition.problems))
    (study,) = composition.studies
    return study


@pytest.fixture
def make(tmp_path: Path) -> Make:
    return lambda **keys: study_of(tmp_path, keys)


def points(metrics: Metrics) -> dict[str, float]:
    return {part.term: part.points for part in metrics.parts}


def at(string: int, fret: int, **neck: str) -> str:
    more = "".join(f"{key.replace('_', '-')}: {value}, " for key, value in {"path": "position", **neck}.items())
    return f"{{{more}start: {{places: [{{string: {string}, fret: {fret}}}]}}}}"


def fingers(pattern: str, strings: str, place: tuple[int, int], **keys: str) -> Spec:
    """A pattern of fingers over strings, sixteenths without a rest."""
    more = keys.pop("more", "")
    return {
        "key": "C major",
        "material": f"{{kind: fingers, pattern: {pattern}, strings: {strings}{more}}}",
        "rhythm": "{meter: 4/4, notes-per-beat: 4, rest: none}",
        "neck": at(*place),
    } | keys


def written(place: tuple[int, int], *voices: str, **keys: str) -> Spec:
    """Notes written out; the place is that of the first, lowest note."""
    texts = ", ".join(f'"{voice}"' for voice in voices)
    return {
        "key": "C major",
        "material": f"{{kind: notes, voices: [{texts}]}}",
        "rhythm": "{meter: 4/4}",
        "neck": at(*place, shift_in_burst="true"),
    } | keys


def scale(place: tuple[int, int], count: int, **keys: str) -> Spec:
    """A line of the key of C major, eighths without a rest."""
    return {
        "key": "C major",
        "material": f"{{kind: scale, notes: {count}}}",
        "rhythm": "{meter: 4/4, notes-per-beat: 2, rest: none}",
        "neck": at(*place),
    } | keys


PICKED = "{rule: alternate, first: down}"
P_I_M_A = "{rule: fingers, order: [p, i, m, a]}"
I_M = "{rule: fingers, order: [i, m]}"
P_I = "{rule: fingers, order: [p, i]}"


def broken_chord(place: tuple[int, int], bass: str, i: str, m: str, a: str) -> Spec:
    """A chord of four strings, each note, `pitch length string finger`, kept to the end of the bar."""
    voices = (f"rest 3/4, {a}", f"rest 1/2, {m}", f"rest 1/4, {i}", bass)
    return written(place, *voices, strokes=P_I_M_A)


def plucked(place: tuple[int, int], chords: str, more: str = "") -> Spec:
    """p i m a m i on held chords, triplets without a rest."""
    return {
        "key": "C major",
        "material": f"{{kind: right-hand, chords: {chords}, pattern: [p, i, m, a, m, i], times: 2{more}}}",
        "rhythm": "{meter: 4/4, notes-per-beat: 3, rest: none}",
        "neck": f"{{start: {{places: [{{string: {place[0]}, fret: {place[1]}}}]}}}}",
        "strokes": "{rule: pima}",
    }


def strummed(place: tuple[int, int], chords: str) -> Spec:
    """Two chords in turn, four strokes each."""
    return {
        "key": "C major",
        "material": f"{{kind: chord-changes, chords: {chords}, beats: 4}}",
        "rhythm": "{meter: 4/4, notes-per-beat: 1, rest: none}",
        "neck": f"{{start: {{places: [{{string: {place[0]}, fret: {place[1]}}}]}}}}",
        "strokes": "{rule: strum, pattern: [down, up]}",
    }


WALK = fingers("[1, 2, 3, 4]", "[3]", (3, 5))
TRILL = "{rule: legato, pluck: [1], pluck-in: string}"
C_CHORD = "C3+E3+G3+C4+E4 1/1@5+4+3+2+1"
A_MINOR = "A2+E3+A3+C4+E4 1/1@5+4+3+2+1"
G_CHORD = "G2+B2+D3+G3+B3+G4 1/1@6+5+4+3+2+1"

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


# --- counts ----------------------------------------------------------------------------------------------------------


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


# --- key signatures and tempo ----------------------------------------------------------------------------------------


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
