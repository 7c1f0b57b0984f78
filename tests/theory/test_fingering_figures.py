"""Technique figures as common practice fingers them: a table, with places settled and with strings left free.

Source:   checks of the product contract (scales in one position, pentatonic, three notes a string, one string, finger
          permutations); chords, double notes and open-position scales: common practice, as most methods print them
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import permutations
from pathlib import Path

import pytest
import yaml

from builder.theory.fingering import FreeNote, Moment, NeckLimits, Stop, finger_freely, finger_passage, weights_from
from builder.theory.fretboard import Hand, Instrument, Place
from builder.theory.pitch import Pitch

WEIGHTS = weights_from(
    yaml.safe_load((Path(__file__).resolve().parents[2] / "shared" / "fingering.yaml").read_text(encoding="utf-8"))
)
GUITAR = Instrument("guitar", tuple(map(Pitch.parse, ("E4", "B3", "G3", "D3", "A2", "E2"))), 22, 648)
BASS = Instrument("bass", tuple(map(Pitch.parse, ("G2", "D2", "A1", "E1"))), 22, 863.6, position_width=3)
UKULELE = Instrument("ukulele", tuple(map(Pitch.parse, ("A4", "E4", "C4", "G4"))), 12, 345)
MEDIUM = Hand("medium", 98, 127)
EIGHTH = Fraction(1, 8)

# figure: places as string/fret, fingers; notes struck together are joined by +
SETTLED = {
    "C major, position 2": ("5/3 5/5 4/2 4/3 4/5 3/2 3/4 3/5", "2 4 1 2 4 1 3 4"),
    "G major, position 2, two octaves": (
        "6/3 6/5 5/2 5/3 5/5 4/2 4/4 4/5 3/2 3/4 3/5 2/3 2/5 1/2 1/3",
        "2 4 1 2 4 1 3 4 1 3 4 2 4 1 2",
    ),
    "A minor pentatonic, position 5": (
        "6/5 6/8 5/5 5/7 4/5 4/7 3/5 3/7 2/5 2/8 1/5 1/8",
        "1 4 1 3 1 3 1 3 1 4 1 4",
    ),
    "C major, open": ("5/3 4/0 4/2 4/3 3/0 3/2 2/0 2/1", "3 0 2 3 0 2 0 1"),
    "chromatic, position 5": ("6/5 6/6 6/7 6/8 5/5 5/6 5/7 5/8", "1 2 3 4 1 2 3 4"),
    "A major arpeggio, position 4": ("6/5 5/4 5/7 4/7 3/6 2/5 1/5", "2 1 4 4 3 2 2"),
    "three a string, C shape": (
        "6/8 6/10 6/12 5/9 5/10 5/12 4/9 4/10 4/12 3/9 3/11 3/12 2/10 2/12 2/13 1/10 1/12 1/14",
        "1 2 4 1 2 4 1 2 4 1 3 4 1 3 4 1 2 4",
    ),
    "three a string, G shape": (
        "6/3 6/5 6/7 5/3 5/5 5/7 4/4 4/5 4/7 3/4 3/5 3/7 2/5 2/7 2/8 1/5 1/7 1/8",
        "1 2 4 1 2 4 1 2 4 1 2 4 1 3 4 1 3 4",
    ),
    "C chord": ("5/3+4/2+3/0+2/1+1/0", "3+2+0+1+0"),
    "E chord": ("6/0+5/2+4/2+3/1+2/0+1/0", "0+2+3+1+0+0"),
    "A minor chord": ("5/0+4/2+3/2+2/1+1/0", "0+2+3+1+0"),
    "D chord": ("4/0+3/2+2/3+1/2", "0+1+3+2"),
    "F barre chord": ("6/1+5/3+4/3+3/2+2/1+1/1", "1+3+4+2+1+1"),
    "B minor barre chord": ("5/2+4/4+3/4+2/3+1/2", "1+3+4+2+1"),
}


def stops(places: str) -> list[Stop]:
    """Even eighths; a figure of one moment lasts a whole note."""
    moments = places.split()
    length = Fraction(1) if len(moments) == 1 else EIGHTH
    return [
        Stop(0, k * EIGHTH, length, *map(int, place.split("/")), new_hand=k == 0 and i == 0)
        for k, moment in enumerate(moments)
        for i, place in enumerate(moment.split("+"))
    ]


@pytest.mark.parametrize("figure", SETTLED)
def test_settled_figures_have_their_usual_fingers(figure: str) -> None:
    places, fingers = SETTLED[figure]
    expected = tuple(map(int, fingers.replace("+", " ").split()))
    shifts = figure.startswith("three a string")
    found = finger_passage(stops(places), GUITAR, MEDIUM, WEIGHTS, shifts)
    assert found.fingers == expected
    if "+" not in places:
        back = " ".join(reversed(places.split()))
        assert finger_passage(stops(back), GUITAR, MEDIUM, WEIGHTS, shifts).fingers == expected[::-1]


# A string pair's thirds and sixths: frets apart on the two strings → fingers, lower-sounding string first.
DOUBLE_NOTES = {0: ((1, 1), (2, 3), (3, 4), (1, 2)), 1: ((2, 1), (3, 2)), 2: ((3, 1),), 3: ((4, 1),)}


@pytest.mark.parametrize("apart", DOUBLE_NOTES)
@pytest.mark.parametrize("pair", [(3, 2), (4, 2), (2, 1), (3, 1)])
def test_double_notes_lie_under_the_fingers(pair: tuple[int, int], apart: int) -> None:
    for low in (3, 5, 7):
        places = f"{pair[0]}/{low + apart}+{pair[1]}/{low}"
        assert finger_passage(stops(places), GUITAR, MEDIUM, WEIGHTS, True).fingers in DOUBLE_NOTES[apart]


@pytest.mark.parametrize("order", list(permutations((1, 2, 3, 4))))
def test_four_fingers_on_four_frets_in_any_order(order: Sequence[int]) -> None:
    for string in (1, 3, 6):
        places = " ".join(f"{string}/{6 + finger}" for finger in order * 2)
        assert finger_passage(stops(places), GUITAR, MEDIUM, WEIGHTS, False).fingers == tuple(order) * 2


# --- strings left free ------------------------------------------------------------------------------------------------

MAJOR, MINOR, PENTATONIC = (2, 2, 1, 2, 2, 2, 1), (2, 1, 2, 2, 1, 2, 2), (3, 2, 2, 3, 2)


def climb(low: int, steps: Sequence[int], notes: int) -> list[int]:
    """A scale of so many *notes* from MIDI *low* on."""
    found = [low]
    while len(found) < notes:
        found.append(found[-1] + steps[(len(found) - 1) % len(steps)])
    return found


# figure: pitches; instrument; where it starts and whether there are open strings (None: in position 1, as by default);
# fingers, places. Fingers in brackets are those for which methods print either: fret 3 of the treble strings beside
# open strings has 3 or 4. The ukulele's scale leaves out its high string 4, as a spec does that lists `strings`.
FREE = {
    "C major, open": (
        climb(48, MAJOR, 8), GUITAR, None, None,
        "3 0 2 3 0 2 0 1", "5/3 4/0 4/2 4/3 3/0 3/2 2/0 2/1",
    ),
    "G major, open, two octaves": (
        climb(43, MAJOR, 15), GUITAR, None, None,
        "3 0 2 3 0 2 4 0 2 0 1 (34) 0 2 (34)", "6/3 5/0 5/2 5/3 4/0 4/2 4/4 3/0 3/2 2/0 2/1 2/3 1/0 1/2 1/3",
    ),
    "E minor, open, two octaves": (
        climb(40, MINOR, 15), GUITAR, None, None,
        "0 2 3 0 2 3 0 2 4 0 2 0 1 (34) 0", "6/0 6/2 6/3 5/0 5/2 5/3 4/0 4/2 4/4 3/0 3/2 2/0 2/1 2/3 1/0",
    ),
    "A minor, open": (
        climb(45, MINOR, 8), GUITAR, None, None,
        "0 2 3 0 2 3 0 2", "5/0 5/2 5/3 4/0 4/2 4/3 3/0 3/2",
    ),
    "F major, open": (
        climb(41, MAJOR, 8), GUITAR, None, None,
        "1 3 0 1 3 0 2 3", "6/1 6/3 5/0 5/1 5/3 4/0 4/2 4/3",
    ),
    "C major from string 5": (
        climb(48, MAJOR, 8), GUITAR, Place(5, 3), False,
        "2 4 1 2 4 1 3 4", "5/3 5/5 4/2 4/3 4/5 3/2 3/4 3/5",
    ),
    "G major from string 6, two octaves": (
        climb(43, MAJOR, 15), GUITAR, Place(6, 3), False,
        "2 4 1 2 4 1 3 4 1 3 4 2 4 1 2", "6/3 6/5 5/2 5/3 5/5 4/2 4/4 4/5 3/2 3/4 3/5 2/3 2/5 1/2 1/3",
    ),
    "B major from string 6, two octaves": (
        climb(47, MAJOR, 15), GUITAR, Place(6, 7), False,
        "2 4 1 2 4 1 3 4 1 3 4 2 4 1 2", "6/7 6/9 5/6 5/7 5/9 4/6 4/8 4/9 3/6 3/8 3/9 2/7 2/9 1/6 1/7",
    ),
    "A minor pentatonic from string 6": (
        climb(45, PENTATONIC, 12), GUITAR, Place(6, 5), False,
        "1 4 1 3 1 3 1 3 1 4 1 4", "6/5 6/8 5/5 5/7 4/5 4/7 3/5 3/7 2/5 2/8 1/5 1/8",
    ),
    "three frets on two strings, bass": (
        [29, 30, 31, 34, 35, 36], BASS, Place(4, 1), False,
        "1 2 4 1 2 4", "4/1 4/2 4/3 3/1 3/2 3/3",
    ),
    "C major, ukulele": (
        climb(60, MAJOR, 8), UKULELE, None, None,
        "0 2 0 1 3 0 2 3", "3/0 3/2 2/0 2/1 2/3 1/0 1/2 1/3",
    ),
}  # fmt: skip


@pytest.mark.parametrize("figure", FREE)
@pytest.mark.parametrize("turn", [False, True])
def test_free_figures_have_their_usual_places_and_fingers(figure: str, turn: bool) -> None:
    pitches, instrument, first, opened, fingers, places = FREE[figure]
    expected = [set(map(int, finger.strip("()"))) for finger in fingers.split()]
    where = places.split()
    if turn:
        pitches, expected, where = pitches + pitches[-2::-1], expected + expected[-2::-1], where + where[-2::-1]
    strings = (3, 2, 1) if instrument is UKULELE else None
    moments = [Moment(k * EIGHTH, (FreeNote(midi, EIGHTH, strings),), k == 0) for k, midi in enumerate(pitches)]
    found = finger_freely(moments, instrument, MEDIUM, WEIGHTS, NeckLimits(opened, first))
    assert [f"{place.string}/{place.fret}" for (place,) in found.places] == where
    assert all(finger in usual for finger, usual in zip(found.fingering.fingers, expected, strict=True))
