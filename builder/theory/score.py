"""The values every later stage reads: notes, rests, chord symbols, studies.

Stage:    theory (pure)
Units:    onsets and durations are fractions of a whole note, onsets from the start of the study; bars count from 1
Not here: how any of it is computed (`compose`) or printed (`pages`, `engraving`)
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from builder.theory.difficulty import Part
from builder.theory.fretboard import Hand, Instrument, Place
from builder.theory.harmony import Key
from builder.theory.pitch import Pitch
from builder.theory.rhythm import Meter

Stroke = Literal["down", "up", "p", "i", "m", "a"]
Technique = Literal["hammer-on", "pull-off", "slide", "bend", "harmonic"]


@dataclass(frozen=True, slots=True)
class Note:
    """One note of one voice within one bar; a note across a barline is two, the second one `tied`.

    *position* is the fret under finger 1; *finger* 0 = open; *finger_printed* says whether the page shows it.
    *slurred*: reached by a slur from the note before, so not struck; *technique* says how. A bend is a slurred note at
    the fret of the note before, *pitch* its target. A harmonic's *fret* is the touched one, *pitch* what sounds.
    *guide*: this finger slid here along its string, staying in touch; *kept*: it was down already in the shape before.
    """

    bar: int
    onset: Fraction
    duration: Fraction
    voice: int
    pitch: Pitch
    string: int
    fret: int
    finger: int
    finger_printed: bool
    position: int
    stroke: Stroke | None = None
    accent: bool = False
    slurred: bool = False
    tied: bool = False
    grace: bool = False
    technique: Technique | None = None
    guide: bool = False
    kept: bool = False


@dataclass(frozen=True, slots=True)
class Rest:
    """A silence of one voice within one bar; *checkpoint* is the id of the cue printed there."""

    bar: int
    onset: Fraction
    duration: Fraction
    voice: int
    checkpoint: str | None = None


Event = Note | Rest


@dataclass(frozen=True, slots=True)
class ChordMark:
    """A chord symbol and when it begins."""

    onset: Fraction
    symbol: str


@dataclass(frozen=True, slots=True)
class ShapeMark:
    """A chord shape held from *onset* on, printed as a diagram; string 1 first.

    *frets*: 0 open, None not played; *fingers*: 0 or None where no finger stops the string.
    """

    onset: Fraction
    symbol: str
    frets: tuple[int | None, ...]
    fingers: tuple[int | None, ...]


@dataclass(frozen=True, slots=True)
class BarreMark:
    """One finger across *strings* strings at *fret*, from *onset* until *end*."""

    onset: Fraction
    end: Fraction
    fret: int
    strings: int


@dataclass(frozen=True, slots=True)
class Metrics:
    """What difficulty is computed from, at the first tempo step, and its score (0…100).

    *onsets* is what shares are shares of. *crossings_outside*, *crossings_inside* and *string_skips* are the pick's;
    *thumb_moves* and *finger_repeats* those of the plucking fingers; *slurs* counts hammer-ons and pull-offs;
    *weak_pair_share* is 0…1; *held_seconds* the longest that a barre or a stretch is held between two rests;
    *finger_moves* the fingers put down anew where chords change. *bend_half_steps* is how far strings are pushed and
    let down in all, *slides* counts notes reached by one, *harmonic_partials* adds up how far each harmonic's partial
    lies above the string's own note. *parts* add up to *score*.
    """

    notes_per_second: float
    widest_reach_mm: float
    shifts_per_16: float
    string_change_share: float
    rhythm_class: int
    notes_at_once: int
    longest_run: int
    key_signs: int
    score: float
    onsets: int = 0
    crossings_outside: int = 0
    crossings_inside: int = 0
    string_skips: int = 0
    thumb_moves: int = 0
    finger_repeats: int = 0
    slurs: int = 0
    weak_pair_share: float = 0.0
    held_seconds: float = 0.0
    finger_moves: int = 0
    bend_half_steps: int = 0
    slides: int = 0
    harmonic_partials: int = 0
    parts: tuple[Part, ...] = ()


@dataclass(frozen=True, slots=True)
class Study:
    """An exercise worked out at one start position.

    *events* stand in order of voice 1's onsets, then voice 2's, …; *section_starts* names the bars in which a
    contour pass begins, with the number of the pass, when there is more than one; *repeats* says whether the
    study is a loop to be played round.
    """

    id: str
    exercise: str
    title: str
    aim: str
    skills: tuple[str, ...]
    instrument: Instrument
    hand: Hand
    start: Place
    start_pitch: Pitch
    meter: Meter
    key: Key
    stroke_rule: str
    after_rest: str
    tempo_steps: tuple[int, ...]
    levels: tuple[int, ...]
    chords: tuple[ChordMark, ...]
    events: tuple[Event, ...]
    bars: int
    metrics: Metrics
    level: int
    level_pinned: bool
    warnings: tuple[str, ...]
    rates: tuple[float, ...]  # notes a second at each tempo step
    scores: tuple[float, ...] = ()  # at each tempo step
    section_starts: tuple[int, ...] = ()
    repeats: bool = False
    shapes: tuple[ShapeMark, ...] = ()
    barres: tuple[BarreMark, ...] = ()


@dataclass(frozen=True, slots=True)
class Skipped:
    """A start position that can't be played, and why."""

    exercise: str
    start: Place
    reason: str
