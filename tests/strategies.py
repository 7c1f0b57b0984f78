"""Random instruments, pitches, keys and chords for hypothesis; small ranges, so that a failure reads like music."""

from __future__ import annotations

from fractions import Fraction

import yaml
from hypothesis import strategies as st

from builder.materials import Setting
from builder.resources import folder
from builder.theory.chord_shapes import shape_prices_from
from builder.theory.fingering import weights_from
from builder.theory.fretboard import Hand, Instrument, Place
from builder.theory.harmony import Chord, Key, chord_qualities, mode_names, parse_chord, parse_key
from builder.theory.neck import NeckRule, Player
from builder.theory.pitch import NoteName, Pitch
from builder.theory.practice import StrokeRule
from builder.theory.rhythm import Meter, RhythmRule

WEIGHTS = weights_from(yaml.safe_load((folder("shared") / "fingering.yaml").read_text(encoding="utf-8")))
PRICES = shape_prices_from(yaml.safe_load((folder("shared") / "chord-shapes.yaml").read_text(encoding="utf-8")))
GUITAR = Instrument("guitar", tuple(map(Pitch.parse, ("E4", "B3", "G3", "D3", "A2", "E2"))), 22, 648)

note_names = st.builds(NoteName, st.integers(0, 6), st.integers(-2, 2))
plain_names = st.builds(NoteName, st.integers(0, 6), st.integers(-1, 1))
pitches = st.builds(Pitch, note_names, st.integers(1, 6))


def _key(tonic: NoteName, mode: str) -> Key | None:
    try:
        return parse_key(f"{tonic} {mode}")
    except ValueError:
        return None


def _chord(root: NoteName, quality: str) -> Chord | None:
    try:
        return parse_chord(f"{root}{quality}")
    except ValueError:
        return None


# Whether a name has a key or chord that can be printed is a rule of its own, tested apart; here only those that have.
keys = st.builds(_key, plain_names, st.sampled_from(mode_names())).filter(bool)
seven_note_keys = keys.filter(lambda key: len(key.scale.notes) == 7)
chords = st.builds(_chord, plain_names, st.sampled_from(chord_qualities())).filter(bool)
triads = st.builds(_chord, plain_names, st.sampled_from(("", "m", "dim"))).filter(bool)
loops = st.lists(triads.map(lambda chord: chord.symbol), min_size=1, max_size=5)


@st.composite
def instruments(draw: st.DrawFn) -> Instrument:
    """Four to eight strings, re-entrant ones too, with a capo up to fret 5."""
    low = draw(st.integers(28, 45))
    steps = draw(st.lists(st.integers(-7, 7), min_size=3, max_size=7))
    opens = [low]
    for step in steps:
        opens.append(max(21, opens[-1] + step))
    spelled = tuple(_sounding(midi) for midi in reversed(opens))
    frets = draw(st.integers(12, 24))
    length = draw(st.sampled_from((345.0, 628.65, 648.0, 863.6)))
    return Instrument("invented", spelled, frets, length, draw(st.integers(0, 5)))


def _sounding(midi: int) -> Pitch:
    names = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
    return Pitch(NoteName.parse(names[midi % 12]), midi // 12 - 1)


def setting(first: str, place: Place | None = None, key: str | None = None, bar: Fraction = Fraction(1)) -> Setting:
    """A start on a guitar; the place matters only to materials that fix places."""
    rhythm = RhythmRule(Meter(bar.numerator * 4 // bar.denominator, 4))
    player = Player(GUITAR, Hand("medium", 98, 127), WEIGHTS, PRICES)
    key_of = parse_key(key) if key else None
    start = place or Place(1, 0)
    return Setting(key_of, player, rhythm, NeckRule("position"), StrokeRule(), Pitch.parse(first), start)
