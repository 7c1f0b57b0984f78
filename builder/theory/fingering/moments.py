"""Notes whose strings are still free, and what each moment of a passage asks of the hand.

Stage:    theory (pure)
In, Out:  `Moment`s of `FreeNote`s; a `Layer` for every onset
Units:    onsets and durations are fractions of a whole note
Source:   that the notes of a broken chord go on ringing under the fingers until their voice moves on by a step is our
          own reading of how arpeggios are held; how long (`_RING_LAYERS`, `_RING_REST`) was chosen by cross-validation
          on the published etudes of the benchmark
Not here: where the notes can be played (`postures`), prices (`moves`), the search (`free`)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

_RING_LAYERS = 8  # onsets for which a note that has ended may still ring under its finger
_RING_REST = Fraction(1, 2)  # and whole notes
_STEP = 2  # semitones by which a voice moves on instead of leaving a chord note behind
_LEAP = 3
_BEAT = Fraction(1, 4)


@dataclass(frozen=True, slots=True)
class FreeNote:
    """A note to place and finger: *strings* it may lie on (None = any), a *finger* someone wrote, else None."""

    midi: int
    duration: Fraction
    strings: tuple[int, ...] | None = None
    finger: int | None = None


@dataclass(frozen=True, slots=True)
class Moment:
    """Notes struck together, in any order; *new_hand* says that a burst begins here, so the hand may move before it."""

    onset: Fraction
    notes: tuple[FreeNote, ...]
    new_hand: bool = False


@dataclass(frozen=True, slots=True)
class Layer:
    """One onset: the notes struck, as numbers, and what lies around them.

    *new_hand*: a burst begins; *in_burst*: it is part of one that someone marked; *alone*: a single note, nothing held
    over. *silence*: nothing sounded just before; *off_beat*: not on a quarter note; *leaps*: the share of leaps among
    the moves around this onset, which tells broken chords from scales.
    """

    struck: tuple[int, ...]
    new_hand: bool
    in_burst: bool
    alone: bool
    silence: bool
    off_beat: bool
    leaps: float


@dataclass(frozen=True, slots=True)
class Passage:
    """All that the search knows before it looks at the neck; notes are numbered through the moments in order.

    *same_as* maps a note to the first one of equal pitch in its moment (two voices meeting on one note). *held_until*
    and *rings_until* are the last layers in which a note sounds on, or may ring on under its finger.
    """

    notes: tuple[FreeNote, ...]
    onsets: tuple[Fraction, ...]
    same_as: tuple[int, ...]
    layers: tuple[Layer, ...]
    held_until: tuple[int, ...]
    rings_until: tuple[int, ...]


def passage_of(moments: Sequence[Moment]) -> Passage:
    """Number the notes and work out how long each of them keeps its finger; moments of one onset are one."""
    order = sorted(range(len(moments)), key=lambda k: (moments[k].onset, k))
    first = _first_numbers(moments)
    notes = tuple(note for moment in moments for note in moment.notes)
    onsets = tuple(moment.onset for moment in moments for _ in moment.notes)
    same_as, struck = list(range(len(notes))), dict[Fraction, list[int]]()
    for k in order:
        here = struck.setdefault(moments[k].onset, [])
        for number in range(first[k], first[k] + len(moments[k].notes)):
            same = [i for i in here if _meet(notes[i], notes[number])]
            if same:
                same_as[number] = same[0]
            else:
                here.append(number)
    groups = [tuple(numbers) for numbers in struck.values()]
    times = list(struck)
    held, rings = _until(notes, groups, times)
    begins = frozenset(moment.onset for moment in moments if moment.new_hand)
    return Passage(notes, onsets, tuple(same_as), _layers(notes, groups, times, begins), held, rings)


def _meet(a: FreeNote, b: FreeNote) -> bool:
    """Whether two voices meet on one note; written for two strings it is struck twice."""
    return a.midi == b.midi and a.strings == b.strings


def _again(a: FreeNote, b: FreeNote) -> bool:
    """Whether one of two notes strikes the other again: of equal pitch, and not settled on different strings."""
    return a.midi == b.midi and (a.strings is None or b.strings is None or not set(a.strings).isdisjoint(b.strings))


def _first_numbers(moments: Sequence[Moment]) -> list[int]:
    """The number of each moment's first note."""
    found, number = [], 0
    for moment in moments:
        found.append(number)
        number += len(moment.notes)
    return found


def _until(
    notes: Sequence[FreeNote], groups: Sequence[tuple[int, ...]], times: Sequence[Fraction]
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """For every note the last layer in which it is held, and in which it may ring."""
    held, rings = [-1] * len(notes), [-1] * len(notes)
    for at, group in enumerate(groups):
        for number in group:
            held[number], rings[number] = _note_until(number, at, notes, groups, times)
    return tuple(held), tuple(rings)


def _note_until(
    number: int,
    at: int,
    notes: Sequence[FreeNote],
    groups: Sequence[tuple[int, ...]],
    times: Sequence[Fraction],
) -> tuple[int, int]:
    note, held, stepped = notes[number], at, False
    end = times[at] + note.duration
    rings = at
    for later in range(at + 1, len(groups)):
        away = [abs(notes[i].midi - note.midi) for i in groups[later]]
        stepped = stepped or any(1 <= distance <= _STEP for distance in away)
        if any(_again(notes[i], note) for i in groups[later]):
            break
        if times[later] < end:
            held = rings = later
        elif stepped or later - at > _RING_LAYERS or times[later] - end > _RING_REST:
            break
        else:
            rings = later
    return held, rings


def _layers(
    notes: Sequence[FreeNote],
    groups: Sequence[tuple[int, ...]],
    times: Sequence[Fraction],
    begins: frozenset[Fraction],
) -> tuple[Layer, ...]:
    """What lies around each onset."""
    leap = [
        float(min(abs(notes[a].midi - notes[b].midi) for a in before for b in here) >= _LEAP)
        for before, here in pairwise(groups)
    ]
    found = []
    sounding, marked = times[0] if times else Fraction(0), False
    for at, group in enumerate(groups):
        near = leap[max(0, at - 2) : at + 2]
        share = sum(near) / len(near) if near else 0.0
        off_beat = (times[at] / _BEAT).denominator != 1
        silence, alone = sounding < times[at], len(group) == 1 and sounding <= times[at]
        begun = times[at] in begins
        marked = marked or begun
        found.append(Layer(group, at == 0 or begun, marked, alone, silence, off_beat, share))
        sounding = max(sounding, *(times[at] + notes[i].duration for i in group))
    return tuple(found)
