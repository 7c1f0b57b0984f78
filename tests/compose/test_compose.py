"""The five answers together: what becomes of an exercise at each place."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from builder.compose import Composition, compose
from builder.composing import knowledge_from
from builder.spec import load_library, read_exercise
from builder.teaching import in_order
from builder.theory.difficulty import BASIC_TERMS
from builder.theory.fretboard import Place
from builder.theory.score import Note, Rest, Study

LIBRARY = load_library()
KNOWLEDGE = knowledge_from(LIBRARY)

FERRY = {
    "title": "Ferry Steps",
    "key": "D minor",
    "material": "{kind: chord-loop, chords: [Dm, Gm, Bb, A], set-size: 3}",
    "contour": "{order: [1, 2, 3, 2], times: 2, land: 1}",
    "rhythm": "{meter: 4/4, notes-per-beat: 4, rest: to-barline}",
    "neck": "{path: one-string, start: {note: D, places: each-string}}",
    "strokes": "{rule: alternate, first: down}",
    "tempo": "{from: 60, to: 108, steps: 5}",
    "checkpoints": "{at: rests, cues: rotate}",
}


@pytest.fixture
def composed(tmp_path: Path):
    def make(**changes: str) -> Composition:
        path = tmp_path / "pier.yaml"
        keys = {**FERRY, **changes}
        path.write_text("".join(f"{key.replace('_', '-')}: {value}\n" for key, value in keys.items() if value))
        spec = read_exercise(path, LIBRARY, None, None)
        assert not spec.problems, "\n".join(map(str, spec.problems))
        return compose(spec.exercises[0], KNOWLEDGE)

    return make


def notes(study: Study) -> list[Note]:
    return [event for event in study.events if isinstance(event, Note)]


def rests(study: Study) -> list[Rest]:
    return [event for event in study.events if isinstance(event, Rest)]


def test_a_study_for_each_place_and_a_reason_for_each_other(composed):
    found = composed(neck="{path: one-string, start: {note: D, places: every-place}}")
    assert {study.id for study in found.studies} >= {"pier-s3f7", "pier-s5f5"}
    assert ("needs fret -4", 4, 0) in {(one.reason, one.start.string, one.start.fret) for one in found.skipped}


def test_no_place_left_is_a_problem_at_the_start(composed):
    found = composed(neck="{path: one-string, start: {places: [{string: 4, fret: 0}]}}")
    (problem,) = found.problems
    assert (problem.key, problem.where.line) == ("neck.start", 6)
    assert "needs fret -4" in problem.found


def test_a_small_hand_skips_what_it_cannot_reach(composed):
    every = composed(neck="{path: one-string, start: {places: [{string: 5, fret: 5}, {string: 1, fret: 10}]}}")
    assert [study.id for study in every.studies] == ["pier-s5f5", "pier-s1f10"]
    assert "over the 98 mm" in every.studies[0].warnings[0]


def test_a_pinned_level_far_from_the_computed_one_is_reported(composed):
    study = composed(level="6").studies[0]
    assert (study.level, study.level_pinned) == (6, True)
    assert any("pinned to level 6" in warning for warning in study.warnings)
    assert not any("pinned" in warning for warning in composed(level=str(study.levels[0] + 1)).studies[0].warnings)


def test_cues_begin_at_the_number_of_the_study_and_never_repeat_at_once(composed):
    studies = composed().studies
    order = [cue.id for cue in LIBRARY.cues]
    for number, study in enumerate(studies):
        cues = [rest.checkpoint for rest in rests(study) if rest.checkpoint]
        assert cues == order[number : number + len(cues)]


def test_named_cues_come_in_turn(composed):
    (study, *_) = composed(checkpoints="{at: rests, cues: [jaw, breath]}").studies
    assert [rest.checkpoint for rest in rests(study)] == ["jaw", "breath", "jaw", "breath"]


def test_no_checkpoints(composed):
    assert not any(rest.checkpoint for rest in rests(composed(checkpoints="{at: none}").studies[0]))


def test_bars_of_rest_are_put_in_and_hold_the_cues(composed):
    (study, *_) = composed(checkpoints="{at: {bars: 2}, cues: rotate}").studies
    full = [rest for rest in rests(study) if rest.duration == 1]
    assert [rest.bar for rest in full] == [3, 6]
    assert all(rest.checkpoint for rest in full)
    assert [str(chord.onset) for chord in study.chords] == ["0", "1", "3", "4"]


def test_a_pass_begins_behind_the_bar_of_rest_before_it(composed):
    contour = "{passes: [{order: [1, 2, 3, 2], land: 1}, {order: [3, 2, 1], land: 3}]}"
    study = composed(checkpoints="{at: {bars: 4}}", contour=contour).studies[0]
    assert study.section_starts == (1, 6)


def test_a_landing_on_another_stroke_is_a_warning(composed):
    study = composed(contour="{order: [1, 2, 3], times: 1, land: 1}").studies[0]
    assert any("land on another stroke" in warning for warning in study.warnings)
    assert not any(
        "stroke" in w
        for w in composed(strokes="{rule: down}", contour="{order: [1, 2, 3], land: 1}").studies[0].warnings
    )


def test_a_very_fast_last_step_is_a_warning(composed):
    study = composed(tempo="{from: 60, to: 200, steps: 3}").studies[0]
    assert any("13.3 notes a second" in warning for warning in study.warnings)


def test_the_level_never_falls_when_the_tempo_rises(composed):
    for study in composed(tempo="{from: 40, to: 240, steps: 9}").studies:
        assert list(study.levels) == sorted(study.levels)


def test_fingers_are_printed_once_for_each_shape_in_a_pass(composed):
    study = composed(contour="{passes: [{order: [1, 2, 3, 2], land: 1}, {order: [3, 2, 1], land: 3}]}").studies[0]
    assert study.section_starts == (1, 5)
    printed = [note.bar for note in notes(study) if note.finger_printed]
    assert set(printed) == set(range(1, 9))
    assert [printed.count(bar) for bar in (3, 7)] == [1, 1]  # the shape is known; the first finger tells the position


@pytest.mark.parametrize(
    ("key", "up"),
    [("C major", "C3 C#3 D3 C#3 D3 D#3 D3 D#3 E3"), ("Bb major", "C3 C#3 D3 C#3 D3 Eb3 D3 Eb3 E3")],
)
def test_a_chromatic_walk_is_sharp_going_up_and_flat_coming_down(composed, key, up):
    study = composed(
        key=key,
        material="{kind: scale, scale: C chromatic, notes: 5}",
        contour="{order: [1, 2, 3], turn: true}",
        neck="{path: position, start: {places: [{string: 5, fret: 3}]}}",
    ).studies[0]
    # The top window is played once; from there on every window is mirrored.
    assert " ".join(str(note.pitch) for note in notes(study)) == f"{up} Eb3 D3 Db3 D3 Db3 C3"


def test_every_kind_of_material_can_be_played_on_every_path(composed):
    materials = {
        "{kind: chord-loop, chords: [Dm, Gm], set-size: 3}": FERRY["contour"],
        "{kind: scale, octaves: 1}": "{order: [1, 2, 3]}",
        "{kind: arpeggio, chords: [Dm, Gm], octaves: 1}": "",
        '{kind: notes, voices: ["D4 1/4, E4 1/4, F4 1/4, rest 1/4"]}': "",
    }
    for material, contour in materials.items():
        for path in ("one-string", "position", "{per-string: 2}"):
            neck = f"{{path: {path}, shift-in-burst: true, start: {{places: each-string}}}}"
            rhythm = "{meter: 4/4}" if "kind: notes" in material else FERRY["rhythm"]
            found = composed(material=material, contour=contour, neck=neck, rhythm=rhythm)
            assert found.studies or found.problems
            for study in found.studies:
                places = [Place(note.string, note.fret) for note in notes(study)]
                assert [study.instrument.sound(place) for place in places] == [n.pitch.midi for n in notes(study)]
                assert sum((event.duration for event in study.events), Fraction(0)) == study.bars * study.meter.bar


def test_the_order_of_the_book(composed):
    easy = composed(tempo="{from: 40, to: 60, steps: 2}")
    studies = in_order([easy])
    assert [(study.level, study.metrics.score) for study in studies] == sorted(
        (study.level, study.metrics.score) for study in studies
    )


def test_in_a_position_each_fret_has_its_finger(composed):
    neck = "{path: position, position: 5, start: {places: [{string: 6, fret: 5}]}}"
    material = "{kind: scale, scale: A minor pentatonic, octaves: 2, turn: true}"
    study = composed(material=material, key="A minor", contour="", neck=neck).studies[0]
    assert {note.position for note in notes(study)} == {5}
    assert all(note.finger == note.fret - 4 for note in notes(study))


def test_a_bass_position_is_fingered_one_two_four(composed):
    neck = "{path: position, position: 5, start: {places: [{string: 4, fret: 5}]}}"
    material = "{kind: scale, scale: A chromatic, notes: 3}"
    study = composed(material=material, key="A minor", contour="", neck=neck, instrument="bass").studies[0]
    assert [(note.fret, note.finger) for note in notes(study)] == [(5, 1), (6, 2), (7, 4)]


# Source: the table of checks f, notes a second = tempo x notes a beat / 60.
@pytest.mark.parametrize(
    ("tempo", "rates"),
    [
        (60, (2, 3, 4, 5, 6, 7, 8)),
        (72, (2.4, 3.6, 4.8, 6, 7.2, 8.4, 9.6)),
        (96, (3.2, 4.8, 6.4, 8, 9.6, 11.2, 12.8)),
        (120, (4, 6, 8, 10, 12, 14, 16)),
        (132, (4.4, 6.6, 8.8, 11, 13.2, 15.4, 17.6)),
        (160, (5.333, 8, 10.667, 13.333, 16, 18.667, 21.333)),
    ],
)
def test_notes_a_second(composed, tempo, rates):
    for per_beat, rate in zip(range(2, 9), rates, strict=True):
        rhythm = f"{{meter: 4/4, notes-per-beat: {per_beat}}}"
        study = composed(rhythm=rhythm, tempo=f"{{from: {tempo}, to: {tempo}, steps: 1}}").studies[0]
        assert study.metrics.notes_per_second == pytest.approx(rate, abs=0.0005)


# Source: the worked examples E1 and E2 of checks k, by the basic terms alone, and they stay in their levels. The others
# give their inputs only; `test_difficulty` scores those.
@pytest.mark.parametrize(
    ("changes", "score", "level"),
    [
        (
            {
                "key": "C major",
                "material": "{kind: fingers, pattern: [1, 2, 3, 4], strings: [3]}",
                "rhythm": "{meter: 4/4, notes-per-beat: 1, rest: none}",
                "neck": "{path: position, start: {places: [{string: 3, fret: 5}]}}",
                "tempo": "{from: 60, to: 60, steps: 1}",
            },
            3.69,
            1,
        ),
        (
            {
                "key": "C major",
                "material": "{kind: scale, octaves: 1}",
                "rhythm": "{meter: 4/4, notes-per-beat: 2, rest: none}",
                "neck": "{path: position, position: 2, start: {places: [{string: 5, fret: 3}]}}",
                "tempo": "{from: 72, to: 72, steps: 1}",
            },
            14.47,
            2,
        ),
    ],
    ids=["E1", "E2"],
)
def test_the_score_of_a_whole_study(composed, changes, score, level):
    study = composed(contour="", **changes).studies[0]
    assert sum(part.points for part in study.metrics.parts if part.term in BASIC_TERMS) == pytest.approx(
        score, abs=0.006
    )
    assert study.levels == (level,)
