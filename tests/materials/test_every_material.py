"""What holds for every kind of material, found by listing them and working out each one's example."""

from __future__ import annotations

from dataclasses import replace

import pytest
import yaml

from builder.errors import NoSolution
from builder.materials import Sound, WrittenMusic, materials
from builder.theory.fretboard import Place, fret_positions, places_of
from builder.theory.harmony import parse_key
from builder.theory.pitch import NoteName
from builder.theory.spelling import spell
from tests.strategies import GUITAR
from tests.strategies import setting as a_setting

KINDS = materials()


def example_of(kind):
    spec = yaml.safe_load(KINDS[kind].example)
    given = dict(spec["material"])
    assert given.pop("kind") == kind
    return spec, KINDS[kind].parameters.model_validate(given)


def settings(kind):
    """A setting for every place where the example's first note sounds."""
    spec, parameters = example_of(kind)
    key = parse_key(spec["key"]) if "key" in spec else KINDS[kind].default_key(parameters)
    names = KINDS[kind].first_notes(parameters, key, GUITAR)
    if not names:
        places = [Place(**place) for place in spec["neck"]["start"]["places"]]
    elif isinstance(names[0], NoteName):
        places = [place for string in range(1, 7) for place in places_of(names[0], string, GUITAR)]
    else:
        places = list(fret_positions(names[0].midi, GUITAR))
    usual = a_setting("E4")
    return [
        (parameters, replace(usual, key=key, first=spell(GUITAR.sound(place), key, rising=True), place=place))
        for place in places
    ]


def worked_out(kind):
    """Parameters, setting and music wherever the example can be played, which must be somewhere."""
    found = []
    for parameters, setting in settings(kind):
        try:
            found.append((parameters, setting, KINDS[kind].note_sets(parameters, setting)))
        except NoSolution:
            continue  # one start of many; what remains is checked next
    assert found
    return found


def sounds_of(music) -> list[Sound]:
    if isinstance(music, WrittenMusic):
        return [sound for voice in music.voices for item in voice for sound in item.sounds]
    return [sound for one in music for sound in one.sounds]


def opening(music) -> list[Sound]:
    """The first set of notes that is one after the other, or all that sounds first."""
    if isinstance(music, WrittenMusic):
        items = [item for voice in music.voices for item in voice if item.sounds]
        first = min(item.onset for item in items)
        return [sound for item in items if item.onset == first for sound in item.sounds]
    return list(music[0].sounds)


@pytest.mark.parametrize("kind", KINDS)
def test_the_example_passes_its_own_check(kind):
    _, parameters = example_of(kind)
    assert KINDS[kind].check(parameters, KINDS[kind].default_key(parameters)) == ()


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_start_gives_the_same_music_again(kind):
    for parameters, setting, music in worked_out(kind):
        assert KINDS[kind].note_sets(parameters, setting) == music
        assert sounds_of(music)


@pytest.mark.parametrize("kind", KINDS)
def test_fixed_places_sound_their_pitch(kind):
    for _, _, music in worked_out(kind):
        for sound in sounds_of(music):
            if sound.technique in ("bend", "harmonic"):
                assert GUITAR.sound(Place(sound.string, sound.fret)) <= sound.pitch.midi
            elif sound.string is not None and sound.fret is not None:
                assert GUITAR.sound(Place(sound.string, sound.fret)) == sound.pitch.midi


@pytest.mark.parametrize("kind", KINDS)
def test_the_music_opens_with_the_start_as_its_lowest_note(kind):
    for _, setting, music in worked_out(kind):
        assert min(sound.pitch.midi for sound in opening(music)) == setting.first.midi


@pytest.mark.parametrize("kind", [kind for kind in KINDS if KINDS[kind].contour != "unused"])
def test_the_order_a_set_asks_for_stays_within_it(kind):
    for _, _, music in worked_out(kind):
        for one in music:
            assert one.order
            assert set(one.order) <= set(range(1, len(one.sounds) + 1))
            midis = [sound.pitch.midi for sound in one.sounds]
            assert one.line or midis == sorted(set(midis))


@pytest.mark.parametrize("kind", KINDS)
def test_every_key_is_described_and_no_other_is_taken(kind):
    model = KINDS[kind].parameters
    assert all(field.description and field.description.endswith(".") for field in model.model_fields.values())
    assert not any("_" in (field.alias or "") for field in model.model_fields.values())
    assert model.model_json_schema()["properties"].keys() == {field.alias for field in model.model_fields.values()}
    with pytest.raises(ValueError, match="Extra inputs are not permitted"):
        model.model_validate({**{key: value for key, value in _given(kind).items() if key != "kind"}, "colour": "red"})


def _given(kind):
    return yaml.safe_load(KINDS[kind].example)["material"]


@pytest.mark.parametrize("kind", KINDS)
def test_the_parameters_cannot_be_changed(kind):
    _, parameters = example_of(kind)
    with pytest.raises(ValueError, match="frozen"):
        setattr(parameters, next(iter(type(parameters).model_fields)), None)


@pytest.mark.parametrize("kind", KINDS)
def test_the_summary_is_one_sentence(kind):
    assert KINDS[kind].kind == kind
    assert KINDS[kind].summary.endswith(".")
    assert KINDS[kind].summary.count(".") == 1
