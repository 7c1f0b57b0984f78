"""The demonstration books as music: what they hold, how they sound, what they warn of.

Stage:    tests of 1 read to 3 compose, on the books a newcomer builds first
Source:   the bounds (45 to 55 exercises, 75 to 90 studies, six levels, 90 characters for an aim) are our own choice: a
          term's work for a class that meets every kind at least twice, an aim that fits one printed line
Not here: pages and files made from these books (`test_demo_book`)
"""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from itertools import pairwise
from operator import attrgetter

import pytest
import yaml

from builder import resources
from builder.compose import Composition, compose
from builder.composing import knowledge_from
from builder.errors import Problem
from builder.registry import registered
from builder.spec import load_library, read_book
from builder.theory.harmony import parse_chord
from builder.theory.score import Note, Rest, Study

# A teacher is told of these on the page, and each is meant: the stretch is part of what the study trains.
STRETCHED = {
    "ferry-steps-s3f7",
    "ferry-steps-s5f5",
    "net-mending-s6f6",
    "rigging-span-s5f9",
    "the-long-sea-wall-s6f5",
    "up-and-down-the-rigging-s4f9",
}
# The loft ladder climbs nine notes on one string: from these two places the neck or the rule of open strings ends it.
SKIPPED = {("up-the-loft-ladder", 2, 0), ("up-the-loft-ladder", 4, 9)}
# Ferry Steps is four bars played round and round; three more hold so many notes that six bars fill their page. The
# others climb one string or walk all six once: the neck ends them, not we.
SHORT = {
    "ferry-steps",
    "up-the-loft-ladder",
    "mast-and-rope",
    "down-in-the-hold",
    "bowsprit-bends",
    "mooring-line-pull",
    "engine-hum",
    "ships-bells",
    "tram-to-the-quay",
    "twin-anchors",
    "wide-gangway",
}
LONG = 24  # bars: a study that needs more than one side


@pytest.fixture(scope="module")
def harbour_lane() -> dict[str, Composition]:
    return _composed("harbour-lane")


@pytest.fixture(scope="module")
def studies(harbour_lane: dict[str, Composition]) -> tuple[Study, ...]:
    return tuple(study for composition in harbour_lane.values() for study in composition.studies)


def _composed(book: str) -> dict[str, Composition]:
    library = load_library()
    spec = read_book(resources.folder("books") / book / "book.yaml", library)
    assert not spec.problems, _listed(spec.problems)
    knowledge = knowledge_from(library)
    return {plan.id: compose(plan, knowledge) for plan in spec.exercises}


def _listed(problems: tuple[Problem, ...]) -> str:
    return "\n".join(map(str, problems))


def _struck(study: Study) -> list[Note]:
    """The notes of the first voice that are struck, in order."""
    return [event for event in study.events if isinstance(event, Note) and event.voice == 1 and not event.tied]


def _ends(study: Study) -> list[tuple[Note, Note]]:
    """First note and landing of every burst: the two that are stressed."""
    stressed = [note for note in _struck(study) if note.accent]
    return list(zip(stressed[::2], stressed[1::2], strict=True))


def _lands(composition: Composition) -> bool:
    contour = composition.plan.contour
    return contour is not None and all(step.land is not None for step in contour.passes)


def _shape(study: Study) -> tuple[tuple[int, Fraction], ...]:
    """Intervals and times from note to note: the same for a study and its transposition."""
    return tuple(
        (after.pitch.midi - before.pitch.midi, after.onset - before.onset) for before, after in pairwise(_struck(study))
    )


def _bars_of_rest(study: Study) -> int:
    return sum(isinstance(event, Rest) and event.duration == study.meter.bar for event in study.events)


def test_the_book_fills_a_term(harbour_lane: dict[str, Composition], studies: tuple[Study, ...]) -> None:
    assert 45 <= len(harbour_lane) <= 55
    assert 75 <= len(studies) <= 90
    assert not [problem for composition in harbour_lane.values() for problem in composition.problems]


def test_the_book_climbs_through_at_least_six_levels(studies: tuple[Study, ...]) -> None:
    assert not any(study.level_pinned for study in studies)
    assert len({study.level for study in studies}) >= 6


@pytest.mark.parametrize(
    ("package", "constant", "answer"),
    [
        ("builder.materials", "MATERIAL", attrgetter("material_kind")),
        ("builder.paths", "PATH", attrgetter("neck.path")),
        ("builder.strokes", "STROKES", attrgetter("strokes.rule")),
    ],
)
def test_the_book_shows_every_kind_of_answer(
    package: str, constant: str, answer: attrgetter[str], harbour_lane: dict[str, Composition]
) -> None:
    assert {answer(composition.plan) for composition in harbour_lane.values()} == set(registered(package, constant))


@pytest.mark.parametrize("kind", sorted(registered("builder.materials", "MATERIAL")))
def test_every_material_is_met_in_two_exercises(kind: str, harbour_lane: dict[str, Composition]) -> None:
    assert sum(composition.plan.material_kind == kind for composition in harbour_lane.values()) >= 2


def test_the_book_is_for_many_instruments(harbour_lane: dict[str, Composition]) -> None:
    names = {composition.plan.instrument.name for composition in harbour_lane.values()}
    assert names >= {"guitar", "nylon-guitar", "seven-string", "bass", "ukulele", "mandolin"}


def test_the_book_shows_every_turn_a_rhythm_can_take(harbour_lane: dict[str, Composition]) -> None:
    rules = [composition.plan.rhythm for composition in harbour_lane.values()]
    assert any(rule.swing for rule in rules)
    assert any(rule.displace != (Fraction(0),) for rule in rules)
    assert any(len(set(rule.notes_per_beat or ())) > 2 for rule in rules)
    assert any(rule.durations for rule in rules)
    assert any(isinstance(rule.accents, int) for rule in rules)


def test_strings_are_chosen_shifts_placed_and_notes_prescribed(harbour_lane: dict[str, Composition]) -> None:
    plans = [composition.plan for composition in harbour_lane.values()]
    assert any(step.strings for plan in plans if plan.contour for step in plan.contour.passes)
    assert any(plan.neck.shift_on for plan in plans)
    prescribed = [plan for plan in plans if plan.overrides]
    assert prescribed
    for plan in prescribed:
        (study,) = harbour_lane[plan.id].studies
        for override in plan.overrides:
            bar = [
                e for e in study.events if isinstance(e, Note) and e.bar == override.bar and e.voice == override.voice
            ]
            assert bar[override.note - 1].finger == override.finger


def test_crossings_go_around_the_strings_first_and_then_between_them(harbour_lane: dict[str, Composition]) -> None:
    (study,) = harbour_lane["between-the-railings"].studies
    around: list[bool] = []
    between: list[bool] = []
    for before, after in pairwise(_struck(study)):
        if before.string == after.string or before.bar != after.bar:
            continue
        # Common practice: up on the lower string and down on the higher, or back, strike both from the gap between.
        inside = (before.stroke == "up") == (after.string < before.string)
        (around if before.bar <= study.bars // 2 else between).append(inside)
    assert around
    assert not any(around)
    assert all(between)
    assert len(between) >= 4 * 6


def test_barres_and_stretches_rest_as_long_as_they_are_held(harbour_lane: dict[str, Composition]) -> None:
    for name in ("harbour-gate", "rigging-span"):
        for study in harbour_lane[name].studies:
            rests = [event for event in study.events if isinstance(event, Rest)]
            assert all(rest.duration >= study.meter.bar for rest in rests), study.id
            assert sum(rest.duration for rest in rests) * 2 >= study.bars * study.meter.bar, study.id


def test_the_tremolo_stays_on_one_string_and_no_finger_plays_twice(harbour_lane: dict[str, Composition]) -> None:
    (study,) = harbour_lane["lantern-shimmer"].studies
    fingers = [note for note in _struck(study) if note.stroke in ("i", "m", "a")]
    assert {note.string for note in fingers} == {1}
    assert all(before.stroke != after.stroke for before, after in pairwise(fingers))


def test_the_book_shows_every_way_to_begin_after_a_rest(harbour_lane: dict[str, Composition]) -> None:
    ways = {composition.plan.strokes.after_rest for composition in harbour_lane.values()}
    assert ways == {"reset", "carry", "grid"}


def test_the_book_counts_in_many_ways(harbour_lane: dict[str, Composition], studies: tuple[Study, ...]) -> None:
    rules = [composition.plan.rhythm for composition in harbour_lane.values()]
    assert {count for rule in rules for count in rule.notes_per_beat or ()} == set(range(1, 9))
    meters = {str(study.meter) for study in studies}
    assert meters >= {"2/4", "3/4", "4/4", "5/4", "6/8", "9/8", "12/8", "5/8", "7/8"}
    modes = {study.key.mode for study in studies}
    assert modes >= {"major", "minor", "dorian", "mixolydian", "harmonic minor"}
    signatures = [study.key.signature for study in studies]
    assert min(signatures) <= -3
    assert max(signatures) >= 4


def test_no_exercise_is_another_one_transposed(harbour_lane: dict[str, Composition]) -> None:
    owners = defaultdict(set)
    for name, composition in harbour_lane.items():
        for study in composition.studies:
            owners[_shape(study)].add(name)
    assert [names for names in owners.values() if len(names) > 1] == []


@pytest.mark.parametrize("level", [1, 2, 3])
def test_easy_levels_hold_studies_with_whole_bars_of_rest(level: int, studies: tuple[Study, ...]) -> None:
    resting = [study.id for study in studies if study.level == level and _bars_of_rest(study) >= 2]
    assert len(resting) >= 2


def test_every_warning_is_meant(studies: tuple[Study, ...]) -> None:
    warned = {study.id: study.warnings for study in studies if study.warnings}
    assert set(warned) == STRETCHED
    assert all(len(found) == 1 and found[0].startswith("reaches ") for found in warned.values())


def test_every_skipped_place_is_known(harbour_lane: dict[str, Composition]) -> None:
    skipped = [place for composition in harbour_lane.values() for place in composition.skipped]
    assert {(place.exercise, place.start.string, place.start.fret) for place in skipped} == SKIPPED


def test_alternate_bursts_land_on_the_stroke_they_began_with(
    harbour_lane: dict[str, Composition],
) -> None:
    bursts = [
        (study.id, first.stroke, landing.stroke)
        for composition in harbour_lane.values()
        if composition.plan.strokes.rule == "alternate" and _lands(composition)
        for study in composition.studies
        for first, landing in _ends(study)
    ]
    assert len(bursts) > 300
    assert [burst for burst in bursts if burst[1] != burst[2]] == []


def test_every_landing_over_a_chord_is_a_tone_of_it(harbour_lane: dict[str, Composition]) -> None:
    loops = [one for one in harbour_lane.values() if one.plan.material_kind == "chord-loop"]
    strangers = []
    for composition in loops:
        assert _lands(composition), composition.plan.id
        for study in composition.studies:
            for _, landing in _ends(study):
                symbol = [mark.symbol for mark in study.chords if mark.onset <= landing.onset][-1]
                if not parse_chord(symbol).has(landing.pitch.name):
                    strangers.append((study.id, landing.bar, symbol, str(landing.pitch)))
    assert len(loops) >= 8
    assert strangers == []


def test_studies_fill_their_page(studies: tuple[Study, ...]) -> None:
    assert {study.exercise for study in studies if study.bars < 8} == SHORT
    assert any(study.bars >= LONG for study in studies)
    assert all(study.bars >= 4 for study in studies)


def test_every_page_trains_something_named_in_one_short_sentence(harbour_lane: dict[str, Composition]) -> None:
    for composition in harbour_lane.values():
        plan = composition.plan
        assert plan.skills, plan.id
        assert 20 <= len(plan.aim) <= 90, plan.id
        assert plan.aim.index(".") == len(plan.aim) - 1, plan.id


def test_an_aim_and_a_title_are_said_once(harbour_lane: dict[str, Composition]) -> None:
    plans = [composition.plan for composition in harbour_lane.values()]
    assert len({plan.title for plan in plans}) == len({plan.aim for plan in plans}) == len(plans)


def test_ferry_steps_is_the_exercise_the_contract_shows(harbour_lane: dict[str, Composition]) -> None:
    written = yaml.safe_load((resources.folder("books") / "harbour-lane/exercises/ferry-steps.yaml").read_text("utf-8"))
    assert written["material"] == {"kind": "chord-loop", "chords": ["Dm", "Gm", "Bb", "A"], "set-size": 3}
    assert written["contour"] == {"order": [1, 2, 3, 2], "times": 2, "land": 1}
    assert [study.id for study in harbour_lane["ferry-steps"].studies] == [
        f"ferry-steps-{place}" for place in ("s1f10", "s2f15", "s3f7", "s4f12", "s5f5", "s6f10")
    ]


def test_the_first_page_is_easy_and_lands_well() -> None:
    (composition,) = _composed("first-page").values()
    assert 1 <= len(composition.studies) <= 2
    assert not composition.skipped
    assert not composition.problems
    for study in composition.studies:
        assert study.level <= 2
        assert not study.warnings
        assert all(first.stroke == landing.stroke == "down" for first, landing in _ends(study))
