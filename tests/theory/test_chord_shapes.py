"""Chord shapes: what every shape obeys, the shapes every method prints, the way from shape to shape."""

from __future__ import annotations

from dataclasses import fields, replace
from itertools import pairwise, product

import pytest
import yaml
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from builder.errors import NoSolution
from builder.resources import folder
from builder.theory.chord_shapes import (
    Barre,
    ShapePrices,
    ShapeRequest,
    change_points,
    chord_shapes,
    given_shapes,
    kept_fingers,
    shape_chain,
    shape_prices_from,
)
from builder.theory.fingering import Grips, Weights, lie_of
from builder.theory.fretboard import Hand, Instrument, Place, places_of
from builder.theory.harmony import parse_chord
from builder.theory.pitch import Pitch
from tests.strategies import GUITAR, PRICES, WEIGHTS, chords, instruments

PRICES_FILE = yaml.safe_load((folder("shared") / "chord-shapes.yaml").read_text(encoding="utf-8"))
MEDIUM, SMALL = Hand("medium", 98, 127), Hand("small", 78, 98)


def instrument(name, tuning, frets, scale_length, capo=0, width=4):
    return Instrument(name, tuple(map(Pitch.parse, tuning.split())), frets, scale_length, capo, width)


UKULELE = instrument("ukulele", "A4 E4 C4 G4", 12, 345)
MANDOLIN = replace(instrument("mandolin", "E5 A4 D4 G3", 20, 352, width=6), frets_per_finger=2)
BASS = instrument("bass", "G2 D2 A1 E1", 24, 863.6, width=3)
DROP_D = instrument("drop D", "E4 B3 G3 D3 A2 D2", 22, 648)
SEVEN = instrument("seven-string", "E4 B3 G3 D3 A2 E2 B1", 24, 648)
CAPO = instrument("guitar", "E4 B3 G3 D3 A2 E2", 22, 648, capo=3)


def best(symbol, on=GUITAR, hand=MEDIUM, **wishes):
    return chord_shapes(parse_chord(symbol), on, hand, ShapeRequest(**wishes), PRICES, WEIGHTS)[0]


def written(shape):
    """Frets and fingers as methods write them: lowest string first, x = not played."""
    frets = "".join("x" if fret is None else f"({fret})" if fret > 9 else str(fret) for fret in reversed(shape.frets))
    return frets, "".join(str(finger) for finger in reversed(shape.fingers) if finger)


# Every shape obeys these, whatever was asked for.

requests = st.builds(
    ShapeRequest,
    bass=st.sampled_from(("root", "first", "second", "any")),
    notes=st.none() | st.integers(3, 5),
    open_strings=st.booleans(),
    position=st.none() | st.integers(1, 12),
    inner_mutes=st.booleans(),
    rootless=st.booleans(),
)
hands = st.sampled_from((SMALL, MEDIUM, Hand("large", 112, 142)))


@given(chords, instruments() | st.just(MANDOLIN), hands, requests)
@settings(deadline=None)
def test_every_shape_is_the_chord_and_can_be_held(chord, on, hand, request):
    try:
        shapes = chord_shapes(chord, on, hand, request, PRICES, WEIGHTS)
    except NoSolution as no:
        assert no.reason  # noqa: PT017 - some wishes can't be met; the reason is tested with examples below
        return
    assert len(set(shapes)) == len(shapes) <= 12
    assert [shape.points for shape in shapes] == sorted(shape.points for shape in shapes)
    for shape in shapes:
        check_sound(shape, chord, on, request)
        check_hand(shape, on, hand)
        check_wishes(shape, on, request)


def check_sound(shape, chord, on, request):
    sounds = {}
    for string, (fret, pitch) in enumerate(zip(shape.frets, shape.pitches, strict=True), start=1):
        assert (fret is None) == (pitch is None)
        if fret is not None:
            assert on.sound(Place(string, fret)) == pitch.midi
            assert pitch.name in chord.notes
            sounds[string] = pitch
    lowest = min(sounds.values(), key=lambda pitch: pitch.midi)
    own = parse_chord(f"{chord.root}{chord.quality}").notes
    basses = {"root": [chord.lowest], "first": own[1:2], "second": own[2:3], "any": own}[request.bass]
    assert lowest.name.pitch_class in {name.pitch_class for name in basses}
    heard = {pitch.name.pitch_class for pitch in sounds.values()}
    spared = {chord.root.up(4, 7).pitch_class, *(note.pitch_class for note in own[4:-1])}
    missing = {note.pitch_class for note in own} - heard
    assert missing <= (spared if len(own) >= 4 else set()) | ({chord.root.pitch_class} if request.rootless else set())
    assert shape.strings[0] in [string for string, pitch in sounds.items() if pitch.midi == lowest.midi]


def check_hand(shape, on, hand):
    stopped = [
        (string, fret, finger)
        for string, (fret, finger) in enumerate(zip(shape.frets, shape.fingers, strict=True), start=1)
        if fret
    ]
    for fret, finger in zip(shape.frets, shape.fingers, strict=True):
        assert (finger is None) == (fret is None)
        assert (finger == 0) == (fret == 0)
    for (string, fret, finger), (other_string, other_fret, other_finger) in product(stopped, stopped):
        assert on.reach_mm(fret, other_fret) <= hand.limit_mm
        assert finger != other_finger or fret == other_fret  # no finger on two frets
        assert fret <= other_fret or finger > other_finger  # a higher fret has a higher finger
        if fret == other_fret and finger < other_finger:
            assert string > other_string
    for barre in shape.barres:
        under = shape.frets[barre.first - 1 : barre.last]
        assert all(fret is None or fret >= barre.fret for fret in under)  # nothing sounds behind it
        assert barre.finger == 1 or set(under) == {barre.fret}
        assert barre.finger == 1 or barre.strings <= 3
    assert shape.position >= 1
    leans = lie_of(on).room(1)  # how many frets the index draws back by
    assert not stopped or shape.position <= min(fret for _, fret, _ in stopped) + leans
    assert all(0 <= shape.position - fret <= leans for _, fret, finger in stopped if finger == 1)


def check_wishes(shape, on, request):
    sounding = [string for string, fret in enumerate(shape.frets, start=1) if fret is not None]
    assert request.notes in (None, len(sounding))
    assert request.open_strings or 0 not in shape.frets
    if not request.inner_mutes:
        assert sounding == list(range(sounding[0], sounding[-1] + 1))
    if request.position is not None:
        assert all(not fret or 0 <= fret - request.position <= on.position_width for fret in shape.frets)


@given(chords, instruments(), st.data())
@settings(deadline=None)
def test_the_lowest_note_lies_where_it_is_asked_for(chord, on, data):
    string = data.draw(st.integers(1, on.strings))
    places = places_of(chord.lowest, string, on)
    assume(places)
    fret = data.draw(st.sampled_from(places)).fret
    try:
        shapes = chord_shapes(chord, on, MEDIUM, ShapeRequest(lowest=Place(string, fret)), PRICES, WEIGHTS)
    except NoSolution as no:
        assert chord.symbol in no.reason  # noqa: PT017 - above the last high string there is nothing to add
        return
    for shape in shapes:
        assert shape.frets[string - 1] == fret
        sounds = [pitch.midi for pitch in shape.pitches if pitch]
        assert min(sounds) == on.sound(Place(string, fret))


@given(chords, instruments(), st.sets(st.integers(1, 4), min_size=3))
@settings(deadline=None)
def test_only_the_strings_asked_for_sound(chord, on, strings):
    try:
        shapes = chord_shapes(chord, on, MEDIUM, ShapeRequest(strings=tuple(strings), bass="any"), PRICES, WEIGHTS)
    except NoSolution:
        assume(False)
    for shape in shapes:
        assert {string for string, fret in enumerate(shape.frets, start=1) if fret is not None} <= strings


@given(chords, instruments(), st.integers(1, 6))
@settings(deadline=None)
def test_fewer_shapes_are_the_first_of_more(chord, on, few):
    """The search stops early; what it leaves out must not be better than what it keeps."""
    try:
        every = chord_shapes(chord, on, MEDIUM, ShapeRequest(), PRICES, WEIGHTS, most=100_000)
    except NoSolution:
        assume(False)
    assert chord_shapes(chord, on, MEDIUM, ShapeRequest(), PRICES, WEIGHTS, most=few) == every[:few]


HOLDING = [
    field.name for field in fields(Weights) if field.name.startswith(("grip_", "figure_2", "figure_3", "figure_4"))
]
any_weights = st.lists(st.integers(0, 60), min_size=len(HOLDING), max_size=len(HOLDING)).map(
    lambda points: replace(WEIGHTS, **{name: point / 200 for name, point in zip(HOLDING, points, strict=True)})
)


@given(
    st.lists(st.tuples(st.integers(1, 6), st.integers(0, 4)), min_size=1, unique_by=lambda stop: stop[0]),
    st.sampled_from([lie_of(on) for on in (GUITAR, BASS, MANDOLIN)]),
    st.just(WEIGHTS) | any_weights,
)
def test_no_grip_costs_less_than_the_least(stops, lie, weights):
    """Whatever the weights: else a search with others in the file would stop too early."""
    lowest = min(fret for _, fret in stops)
    stopped = tuple((string, fret - lowest) for string, fret in stops)
    grips = Grips(lie, weights)
    for grip in grips.of(stopped, ()):
        assert grip.points >= grips.least([fret for _, fret in stopped])


def test_every_price_has_its_reason():
    assert set(PRICES_FILE) == {field.name.replace("_", "-") for field in fields(ShapePrices)}
    for name, price in PRICES_FILE.items():
        assert set(price) == {"points", "reason"}, name
        assert len(price["reason"].split()) >= 3, name


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"unison": None}, "missing: unison"),
        ({"unisn": 3}, "unknown: unisn"),
        ({"no-open": {"points": -1}}, "no-open: found -1, expected a number of at least 0"),
        ({"fourth": "dear"}, "fourth: found dear, expected a number of at least 0"),
        ({"spared": True}, "spared: found True, expected a number of at least 0"),
        ({"thin": -2, "missing": None, "late": 1}, "thin: found -2, .*; missing: missing; unknown: late"),
    ],
)
def test_wrong_prices_are_refused_by_name(changed, message):
    mapping = {name: price for name, price in {**PRICES_FILE, **changed}.items() if price is not None}
    with pytest.raises(ValueError, match=f"^{message}$"):
        shape_prices_from(mapping)


def test_a_price_decides():
    """Dear barres make F major the small one, with its two lowest strings left out."""
    weights = replace(WEIGHTS, grip_barre=1)
    assert written(chord_shapes(parse_chord("F"), GUITAR, MEDIUM, ShapeRequest(), PRICES, weights)[0]) == (
        "xx3211",
        "3211",
    )


# Common practice: the first shapes of every guitar method, with the fingers most of them print.
OPEN = {
    "C": ("x32010", "321"),
    "A": ("x02220", "123"),
    "Am": ("x02210", "231"),
    "D": ("xx0232", "132"),
    "Dm": ("xx0231", "231"),
    "E": ("022100", "231"),
    "Em": ("022000", "23"),
    "G": ("320003", "213"),
    "F": ("133211", "134211"),
    "Bm": ("x24432", "13421"),
    "Bb": ("x13331", "12341"),
    "B": ("x24442", "12341"),
    "F#m": ("244222", "134111"),
    "Gm": ("355333", "134111"),
    "Ab": ("466544", "134211"),
    "Fm": ("133111", "134111"),
    "A7": ("x02020", "23"),
    "B7": ("x21202", "2134"),
    "C7": ("x32310", "3241"),
    "D7": ("xx0212", "213"),
    "E7": ("020100", "21"),
    "F7": ("131211", "131211"),
    "G7": ("320001", "321"),
    "Am7": ("x02010", "21"),
    "Dm7": ("xx0211", "211"),
    "Em7": ("020000", "2"),
    "Gm7": ("353333", "131111"),
    "Cmaj7": ("x32000", "32"),
    "Fmaj7": ("xx3210", "321"),
    "Amaj7": ("x02120", "213"),
    "Dmaj7": ("xx0222", "111"),
    "Emaj7": ("021100", "312"),
    "Gmaj7": ("320002", "312"),
    "Asus2": ("x02200", "23"),
    "Dsus2": ("xx0230", "23"),
    "Asus4": ("x02230", "123"),
    "Dsus4": ("xx0233", "123"),
    "Esus4": ("022200", "123"),
    "Cadd9": ("x32030", "213"),
    "C/E": ("032010", "321"),
    "C/G": ("332010", "3421"),
    "F/C": ("x33211", "34211"),
    "G/B": ("x20003", "23"),
}


@pytest.mark.parametrize("symbol", OPEN)
def test_the_first_shapes_of_the_guitar_are_those_of_every_method(symbol):
    assert written(best(symbol)) == OPEN[symbol]


# Common practice: the same on the ukulele, where any tone may be the lowest because string 4 is not.
UKULELE_SHAPES = {
    "C": ("0003", "3"),
    "F": ("2010", "21"),
    "G": ("0232", "132"),
    "Am": ("2000", "2"),
    "Dm": ("2210", "231"),
    "D": ("2220", "123"),
    "A": ("2100", "21"),
    "G7": ("0212", "213"),
    "C7": ("0001", "1"),
    "Em": ("0432", "321"),
    "Bb": ("3211", "3211"),
}


@pytest.mark.parametrize("symbol", UKULELE_SHAPES)
def test_the_first_shapes_of_the_ukulele(symbol):
    assert written(best(symbol, UKULELE, bass="any")) == UKULELE_SHAPES[symbol]


# Common practice: the first shapes of the mandolin, tuned in fifths, two frets a finger as on a violin.
MANDOLIN_SHAPES = {
    "G": ("0023", "12"),
    "C": ("0230", "12"),
    "D": ("2002", "12"),
    "Em": ("0220", "12"),
    "Am": ("2230", "112"),
    "Dm": ("2001", "21"),
    "G7": ("0021", "21"),
}


@pytest.mark.parametrize("symbol", MANDOLIN_SHAPES)
def test_the_first_shapes_of_the_mandolin(symbol):
    assert written(best(symbol, MANDOLIN, bass="any")) == MANDOLIN_SHAPES[symbol]


# Common practice: shapes without open courses, struck short off the beat, and one as wide as the hand.
@pytest.mark.parametrize(
    ("symbol", "frets", "fingers"),
    [("G", "7523", "4312"), ("D", "7452", "4231"), ("C", "5230", "312"), ("A", "2240", "112"), ("E", "1220", "123")],
)
def test_written_shapes_of_the_mandolin_have_two_frets_a_finger(symbol, frets, fingers):
    shape = given_shapes(parse_chord(symbol), tuple(map(int, reversed(frets))), MANDOLIN, MEDIUM, PRICES, WEIGHTS)[0]
    assert written(shape) == (frets, fingers)


def test_open_courses_ring_in_the_first_position_of_a_mandolin_at_no_price():
    """The index lies on fret 2 there, as far from the nut as on a violin, and draws back to fret 1."""
    assert best("G", MANDOLIN, bass="any").position == 2
    dear = replace(WEIGHTS, grip_away=5)
    g = chord_shapes(parse_chord("G"), MANDOLIN, MEDIUM, ShapeRequest(bass="any"), PRICES, dear)[0]
    assert written(g) == ("0023", "12")


# Common practice: the E and A shapes moved along the neck, the root under the index.
MOVABLE = [
    ("A", 5, "577655", "134211"),
    ("Am", 5, "577555", "134111"),
    ("A7", 5, "575655", "131211"),
    ("Am7", 5, "575555", "131111"),
    ("C", 8, "8(10)(10)988", "134211"),
    ("D", 5, "x57775", "12341"),
    ("Dm", 5, "x57765", "13421"),
    ("Dm7", 5, "x57565", "13121"),
    ("C", 3, "x35553", "12341"),
    ("Cm", 3, "x35543", "13421"),
    ("C#m", 4, "x46654", "13421"),
]


@pytest.mark.parametrize(("symbol", "position", "frets", "fingers"), MOVABLE)
def test_movable_shapes(symbol, position, frets, fingers):
    shape = best(symbol, position=position, open_strings=False)
    assert written(shape) == (frets, fingers)
    assert shape.position == position
    root = shape.strings[0]
    assert written(best(symbol, lowest=Place(root, position), open_strings=False)) == (frets, fingers)


@pytest.mark.parametrize("frets", range(1, 6))
def test_a_capo_moves_nothing_under_the_hand(frets):
    on = instrument("guitar", "E4 B3 G3 D3 A2 E2", 22, 648, capo=frets)
    for symbol in ("C", "G", "D", "Em", "F"):
        shape = chord_shapes(parse_chord(symbol), GUITAR, MEDIUM, ShapeRequest(), PRICES, WEIGHTS)[0]
        root = parse_chord(symbol).root.pitch_class
        names = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
        moved = names[(root + frets) % 12] + symbol[1:]
        assert given_shapes(parse_chord(moved), shape.frets, on, MEDIUM, PRICES, WEIGHTS)[0].fingers == shape.fingers


def test_with_a_capo_the_open_shapes_come_back():
    assert written(best("Eb", CAPO)) == ("x32010", "321")
    assert written(best("Cm", CAPO)) == ("x02210", "231")


def test_drop_d_takes_the_low_d():
    assert written(best("D", DROP_D)) == ("000232", "132")
    assert written(best("Dm", DROP_D)) == ("000231", "231")


def test_a_seventh_string_changes_no_open_shape():
    assert written(best("E", SEVEN)) == ("x022100", "231")
    assert written(best("Am", SEVEN)) == ("xx02210", "231")


def test_a_bass_has_chords_of_two_and_three_notes():
    assert len(best("E7", BASS, notes=3, open_strings=False).strings) == 3
    two = best("C", BASS, notes=2)
    assert [str(two.pitches[string - 1].name) for string in two.strings] == ["C", "E"]
    assert written(best("Cmaj7", BASS)) == ("x324", "214")  # 1-2-4, as a bass is fingered


def test_a_smaller_hand_gets_another_shape():
    low = {"position": 1, "open_strings": False}
    assert written(best("Bb", **low)) == ("x13331", "12341")
    small = best("Bb", hand=SMALL, **low)
    assert written(small) != ("x13331", "12341")
    every = chord_shapes(parse_chord("Bb"), GUITAR, SMALL, ShapeRequest(**low), PRICES, WEIGHTS, most=500)
    assert ("x13331", "12341") not in map(written, every)


def test_a_barre_names_its_finger_fret_and_strings():
    assert best("F").barre == Barre(1, 1, 1, 6)
    assert best("F").barre.strings == 6
    assert best("C").barre is None


NO = [
    ("C", GUITAR, {"bass": "third"}, "C has no third inversion: its tones are C E G"),
    ("Cmaj7", BASS, {"notes": 2}, "Cmaj7 needs C E B, and only 2 notes can sound"),
    ("C", GUITAR, {"strings": (1, 2)}, "C needs C E G, and only 2 notes can sound"),
    ("C", GUITAR, {"strings": (1, 2, 7)}, "there is no string 7 on the guitar"),
    ("C", GUITAR, {"strings": (1, 2, 3), "notes": 4}, "4 notes do not go on 3 strings"),
    ("C", GUITAR, {"lowest": Place(5, 4)}, "string 5, fret 4 is not the bass that C asks for"),
    ("C", GUITAR, {"lowest": Place(6, 8), "strings": (1, 2, 3)}, "C may not use string 6"),
    ("C", GUITAR, {"lowest": Place(2, 1)}, "C E G of C do not lie together on the strings from string 2, fret 1"),
]


@pytest.mark.parametrize(("symbol", "on", "wishes", "reason"), NO, ids=lambda value: str(value)[:40])
def test_what_cannot_be_has_its_reason(symbol, on, wishes, reason):
    with pytest.raises(NoSolution) as caught:
        best(symbol, on, **wishes)
    assert caught.value.reason == reason


def test_a_reach_beyond_the_hand_is_the_reason_given():
    with pytest.raises(
        NoSolution, match=r"^no shape of Bb in position 1 without open strings lies within the hand's 51"
    ):
        best("Bb", hand=Hand("tiny", 40, 51), position=1, open_strings=False)


def test_too_few_fingers_are_the_reason_given():
    on = instrument("invented", "G3 D#3 A2 F2 B1", 20, 345)  # C and G lie only at frets 5 4 3 2 1, a finger each
    with pytest.raises(NoSolution, match=r"^four fingers do not hold C5 with 5 notes in position 1 without open"):
        best("C5", on, Hand("endless", 300, 300), notes=5, position=1, open_strings=False)


# Shapes a teacher writes.


def test_a_written_shape_is_fingered():
    shape = given_shapes(parse_chord("Am7"), (3, 1, 0, 2, 0, None), GUITAR, MEDIUM, PRICES, WEIGHTS)[0]
    assert written(shape) == ("x02013", "213")


@pytest.mark.parametrize(
    ("frets", "reason"),
    [
        ((0, 1, 0), "C names 3 frets for 6 strings"),
        ((0, 1, 0, 2, 4, None), r"string 5, fret 4 is no tone of C \(C E G\)"),
        ((None,) * 6, "C has no string that sounds"),
        ((24, 1, 0, 2, 3, None), "C needs fret 24; the last one is 22"),
        ((8, 1, 0, 2, 3, None), "no four fingers hold C as written within 127 mm"),
    ],
)
def test_a_written_shape_that_is_wrong_has_its_reason(frets, reason):
    with pytest.raises(NoSolution, match=reason):
        given_shapes(parse_chord("C"), frets, GUITAR, MEDIUM, PRICES, WEIGHTS)[0]


# From shape to shape.


def choices(symbols, on=GUITAR, most=6):
    return [chord_shapes(parse_chord(symbol), on, MEDIUM, ShapeRequest(), PRICES, WEIGHTS, most) for symbol in symbols]


@given(st.lists(st.sampled_from(("C", "Am", "F", "G", "Dm7", "E7")), min_size=1, max_size=4), st.booleans())
@settings(max_examples=25, deadline=None)
def test_the_chain_costs_as_little_as_any(symbols, loop):
    every = choices(symbols, most=4)

    def cost(chain):
        changes = sum(change_points(one, other, WEIGHTS) for one, other in pairwise(chain))
        return (
            sum(shape.points for shape in chain)
            + changes
            + (change_points(chain[-1], chain[0], WEIGHTS) if loop else 0)
        )

    chain = shape_chain(every, loop, WEIGHTS)
    assert len(chain) == len(symbols)
    assert cost(chain) == pytest.approx(min(map(cost, product(*every))), abs=1e-6)
    assert shape_chain(every, loop, WEIGHTS) == chain


@given(st.sampled_from(tuple(OPEN)), st.sampled_from(tuple(OPEN)))
@settings(max_examples=60, deadline=None)
def test_kept_fingers_stay_where_they_are(one, other):
    before, after = best(one), best(other)
    for string in range(1, 7):
        same = before.frets[string - 1] and before.frets[string - 1] == after.frets[string - 1]
        stays = same and before.fingers[string - 1] == after.fingers[string - 1]
        assert (string in kept_fingers(before, after)) == bool(stays)
    assert kept_fingers(before, after) == kept_fingers(after, before)


def test_common_fingers_of_common_changes():
    c, a_minor, f = (best(symbol) for symbol in ("C", "Am", "F"))
    assert kept_fingers(c, a_minor) == (2, 4)
    assert kept_fingers(best("E"), a_minor) == ()
    assert kept_fingers(c, f) == (2, 5)  # the index, though it lies down, and the ring finger
    assert change_points(c, c, WEIGHTS) < change_points(c, a_minor, WEIGHTS) < change_points(c, best("D"), WEIGHTS)


def test_the_chain_takes_the_fingers_that_can_stay():
    """Alone G is 2 1 3; next to E minor it is 3 2 4, whose middle finger is down already."""
    assert [
        written(shape) for shape in shape_chain(choices(("Em", "C", "G"), most=12), loop=True, weights=WEIGHTS)
    ] == [
        ("022000", "23"),
        ("x32010", "321"),
        ("320003", "324"),
    ]
    a_minor, c, d_minor = shape_chain(choices(("Am", "C", "Dm"), most=12), loop=True, weights=WEIGHTS)
    assert kept_fingers(a_minor, c) == (2, 4)
    assert written(d_minor) == ("xx0231", "231")
