"""Spelled notes: names, pitches, MIDI numbers, transposition.

Stage:    theory (pure)
Units:    MIDI note numbers, C4 = 60; octaves are scientific and belong to the letter (B#3 sounds C4)
Source:   ISO 16:1975 for A4 = 440 Hz; scientific pitch notation is common practice
Not here: scales and chords (`harmony`), where a pitch is on a neck (`fretboard`)
"""

from __future__ import annotations

import re
from dataclasses import dataclass

LETTERS = "CDEFGAB"
NATURALS = (0, 2, 4, 5, 7, 9, 11)  # semitones of C D E F G A B above C
ACCIDENTALS = {-3: "bbb", -2: "bb", -1: "b", 0: "", 1: "#", 2: "##", 3: "###"}
_SPELLED = re.compile(r"([A-G])(#{0,3}|b{0,3})(-?[0-9])?")


@dataclass(frozen=True, slots=True)
class NoteName:
    """A note without octave: *letter* 0…6 from C, *alter* in semitones (sharps positive).

    >>> str(NoteName.parse("Bb")), NoteName.parse("F##").pitch_class
    ('Bb', 7)
    """

    letter: int
    alter: int = 0

    @classmethod
    def parse(cls, text: str) -> NoteName:
        """Read `C`, `F#`, `Bbb`; raise ValueError for anything else."""
        match = _SPELLED.fullmatch(text)
        if not match or match[3] is not None:
            raise ValueError(f"not a note name: {text!r}")
        return cls(LETTERS.index(match[1]), len(match[2]) * (1 if match[2][:1] == "#" else -1))

    @property
    def pitch_class(self) -> int:
        """0…11 from C."""
        return (NATURALS[self.letter] + self.alter) % 12

    def up(self, steps: int, semitones: int) -> NoteName:
        """The name *steps* letters higher that sounds *semitones* higher (modulo the octave)."""
        letter = (self.letter + steps) % 7
        alter = (self.pitch_class + semitones - NATURALS[letter] + 6) % 12 - 6
        return NoteName(letter, alter)

    def __str__(self) -> str:
        return LETTERS[self.letter] + ("#" * self.alter if self.alter > 0 else "b" * -self.alter)


@dataclass(frozen=True, slots=True)
class Pitch:
    """A spelled, sounding pitch.

    >>> Pitch.parse("C#4").midi, str(Pitch.parse("Bbb3")), Pitch.parse("B#3").midi
    (61, 'Bbb3', 60)
    """

    name: NoteName
    octave: int

    @classmethod
    def parse(cls, text: str) -> Pitch:
        """Read `C#4`, `Bb3`, `F##4`; raise ValueError for anything else."""
        match = _SPELLED.fullmatch(text)
        if not match or match[3] is None:
            raise ValueError(f"not a pitch: {text!r}")
        return cls(NoteName.parse(match[1] + match[2]), int(match[3]))

    @property
    def midi(self) -> int:
        """The MIDI note number."""
        return 12 * (self.octave + 1) + NATURALS[self.name.letter] + self.name.alter

    @property
    def step(self) -> int:
        """Letters above C0: equal for C4 and C#4; the staff place of the note."""
        return 7 * self.octave + self.name.letter

    def up(self, steps: int, semitones: int) -> Pitch:
        """The pitch *steps* letters and *semitones* higher (negative: lower)."""
        step = self.step + steps
        octave, letter = divmod(step, 7)
        natural = 12 * (octave + 1) + NATURALS[letter]
        return Pitch(NoteName(letter, self.midi + semitones - natural), octave)

    def octaves_up(self, octaves: int) -> Pitch:
        """The same name *octaves* higher."""
        return Pitch(self.name, self.octave + octaves)

    def __str__(self) -> str:
        return f"{self.name}{self.octave}"


def lowest_at_or_above(name: NoteName, midi: int) -> Pitch:
    """The lowest pitch called *name* that sounds at *midi* or higher.

    >>> str(lowest_at_or_above(NoteName.parse("B#"), 60))
    'B#3'
    """
    guess = Pitch(name, midi // 12 - 2)
    while guess.midi < midi:
        guess = guess.octaves_up(1)
    return guess
