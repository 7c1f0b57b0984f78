"""What a staff without tablature must say itself: the fret the hand stands at, and strings that can't be guessed.

Stage:    4 lay out (pure)
In, Out:  a `Study`; `Shift`s at every new position, the notes whose string is printed in a circle
Source:   Roman numerals for positions and circled figures for strings: common practice of guitar editions. When a
          string must be named is our own choice: at the first note of a position, and wherever another string would
          give the same note under the same hand
Not here: shifts where tablature shows all others (`hand`), how signs are drawn (templates/style.ily)
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import groupby

from builder.pages.hand import Shift, roman
from builder.theory.fretboard import Instrument
from builder.theory.score import Note, Study

Circled = frozenset[tuple[Fraction, int]]
"""The onset and the string of each note that names its string."""


def positions(study: Study) -> tuple[Shift, ...]:
    """Every new position, and the fret of each harmonic; a diagram or a barre tells its own."""
    told = {mark.onset for mark in study.shapes} | {mark.onset for mark in study.barres}
    found: list[Shift] = []
    position = touched = 0
    for onset, notes in _struck(study):
        for note in notes:
            if note.technique == "harmonic" and note.fret != touched:
                found.append(Shift(onset, roman(note.fret)))
                touched, position = note.fret, 0
                break
            if note.fret and note.technique != "harmonic":
                if note.position != position and onset not in told:
                    found.append(Shift(onset, roman(note.position)))
                position, touched = note.position, 0
                break
    return tuple(found)


def circled(study: Study) -> Circled:
    """The notes that name their string."""
    found: set[tuple[Fraction, int]] = set()
    known: dict[int, int] = {}
    position = 0
    shapes = [(mark.onset, mark.frets) for mark in study.shapes]
    for onset, notes in _struck(study):
        drawn = next((frets for begin, frets in reversed(shapes) if begin <= onset), ())
        moved = next((n for n in notes if n.fret and n.technique != "harmonic" and n.position != position), None)
        if moved:
            position, known = moved.position, {}
        for note in notes:
            guessed = known.get(note.pitch.midi, 0)
            in_shape = bool(drawn) and drawn[note.string - 1] == note.fret
            if not (guessed == note.string or note.slurred or note.technique == "slide" or in_shape) and (
                note is moved or note.technique == "harmonic" or guessed or _elsewhere(note, position, study.instrument)
            ):
                found.add((onset, note.string))
            known[note.pitch.midi] = note.string
    return frozenset(found)


def _struck(study: Study) -> Iterator[tuple[Fraction, list[Note]]]:
    """The notes that begin together, in order of time."""
    notes = sorted((e for e in study.events if isinstance(e, Note) and not e.tied), key=lambda note: note.onset)
    for onset, group in groupby(notes, key=lambda note: note.onset):
        yield onset, list(group)


def _elsewhere(note: Note, position: int, instrument: Instrument) -> bool:
    """Whether the hand could play the same pitch on another string where it stands; a printed finger helps."""
    reach = range(position, position + instrument.position_width + 1) if position else range(1, 1)
    for string in range(1, instrument.strings + 1):
        fret = note.pitch.midi - instrument.open_midi(string)
        if string == note.string or not (fret == 0 or fret in reach):
            continue
        if not note.finger_printed or (fret == 0) == (note.finger == 0):
            return True
    return False
