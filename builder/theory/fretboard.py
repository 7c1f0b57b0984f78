"""Where a pitch can be played: instruments, strings, frets, hands.

Stage:    theory (pure)
In, Out:  MIDI note numbers and an `Instrument`; `Place`s, millimetres
Units:    frets are whole numbers counted from the capo, 0 = open; string 1 is the highest-sounding printed string
Source:   equal temperament: fret n stops the string at L·2^(−n/12)
Not here: choosing among places (`paths`), fingers (`fingering`)
"""

from __future__ import annotations

from dataclasses import dataclass

from builder.theory.pitch import NoteName, Pitch


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A string and a fret on it."""

    string: int
    fret: int


@dataclass(frozen=True, slots=True)
class Hand:
    """Reach from index on one fret to little finger: *comfort_mm* plays at ease, *limit_mm* is never exceeded."""

    name: str
    comfort_mm: float
    limit_mm: float


@dataclass(frozen=True, slots=True)
class Instrument:
    """A fretted instrument as it is tuned, before the capo.

    *open_strings* from string 1 on; *position_width* frets lie under the hand without a stretch, *frets_per_finger*
    of them under each of fingers 1 to 3; *clef* is LilyPond's name.
    """

    name: str
    open_strings: tuple[Pitch, ...]
    frets: int
    scale_length_mm: float
    capo: int = 0
    position_width: int = 4
    clef: str = "treble_8"
    frets_per_finger: int = 1

    @property
    def strings(self) -> int:
        """How many strings."""
        return len(self.open_strings)

    @property
    def last_fret(self) -> int:
        """The highest fret that can be played, counted from the capo."""
        return self.frets - self.capo

    def open_midi(self, string: int) -> int:
        """What the open *string* sounds, capo on."""
        return self.open_strings[string - 1].midi + self.capo

    def sound(self, place: Place) -> int:
        """The MIDI note number that sounds at *place*."""
        return self.open_midi(place.string) + place.fret

    def from_nut_mm(self, fret: int) -> float:
        """How far *fret* (counted from the capo; may exceed the neck) lies from the nut."""
        return self.scale_length_mm * (1 - 2 ** (-(fret + self.capo) / 12))

    def reach_mm(self, low_fret: int, high_fret: int) -> float:
        """The way from one fret to another, rounded to 0.01 mm so that equal spans compare equal."""
        return round(self.from_nut_mm(high_fret) - self.from_nut_mm(low_fret), 2)


def fret_positions(midi: int, instrument: Instrument) -> tuple[Place, ...]:
    """Return every place where *midi* sounds, string 1 first.

    Empty when the note is out of range; the caller knows the exercise and words the error.
    """
    return tuple(
        Place(string, fret)
        for string in range(1, instrument.strings + 1)
        if 0 <= (fret := midi - instrument.open_midi(string)) <= instrument.last_fret
    )


def places_of(name: NoteName, string: int, instrument: Instrument) -> tuple[Place, ...]:
    """Return every place of the note called *name* on *string*, lowest fret first."""
    first = (name.pitch_class - instrument.open_midi(string)) % 12
    return tuple(Place(string, fret) for fret in range(first, instrument.last_fret + 1, 12))
