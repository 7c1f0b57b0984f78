"""Scales, keys and chords as spelled sets of notes.

Stage:    theory (pure)
In, Out:  texts such as `D minor`, `F# lydian`, `Bbmaj7`; `Key`, `Scale` and `Chord` values
Units:    degrees are written as musicians do: `b3` is the third of the major scale, a semitone lower
Source:   modes and chord symbols are common practice (interval tables as in any harmony primer)
Not here: which scale goes with a chord (`chord_scales`), how a sound is spelled (`spelling`), moving from chord to
          chord (`voice_leading`), where a pitch is on a neck (`fretboard`)
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from builder.theory.pitch import NATURALS, NoteName, Pitch, lowest_at_or_above

# Name of the mode, its degrees, and the church mode whose signature it is printed with. The church modes take their
# own; the rest take the nearest one that needs fewest accidentals in the music (our own choice: `phrygian dominant`
# is a fifth above its harmonic minor, which gives the phrygian's signature; symmetric scales read as plain major).
_MODES = {
    "major": ("1 2 3 4 5 6 7", "ionian"),
    "minor": ("1 2 b3 4 5 b6 b7", "aeolian"),
    "ionian": ("1 2 3 4 5 6 7", "ionian"),
    "dorian": ("1 2 b3 4 5 6 b7", "dorian"),
    "phrygian": ("1 b2 b3 4 5 b6 b7", "phrygian"),
    "lydian": ("1 2 3 #4 5 6 7", "lydian"),
    "mixolydian": ("1 2 3 4 5 6 b7", "mixolydian"),
    "aeolian": ("1 2 b3 4 5 b6 b7", "aeolian"),
    "locrian": ("1 b2 b3 4 b5 b6 b7", "locrian"),
    "harmonic minor": ("1 2 b3 4 5 b6 7", "aeolian"),
    "melodic minor": ("1 2 b3 4 5 6 7", "aeolian"),
    "harmonic major": ("1 2 3 4 5 b6 7", "ionian"),
    "phrygian dominant": ("1 b2 3 4 5 b6 b7", "phrygian"),
    "lydian dominant": ("1 2 3 #4 5 6 b7", "mixolydian"),
    "lydian augmented": ("1 2 3 #4 #5 6 7", "lydian"),
    "mixolydian b6": ("1 2 3 4 5 b6 b7", "mixolydian"),
    "altered": ("1 b2 b3 b4 b5 b6 b7", "locrian"),
    "major pentatonic": ("1 2 3 5 6", "ionian"),
    "minor pentatonic": ("1 b3 4 5 b7", "aeolian"),
    "major blues": ("1 2 b3 3 5 6", "ionian"),
    "blues": ("1 b3 4 b5 5 b7", "aeolian"),
    "bebop major": ("1 2 3 4 5 #5 6 7", "ionian"),
    "bebop dominant": ("1 2 3 4 5 6 b7 7", "mixolydian"),
    "whole tone": ("1 2 3 #4 #5 b7", "ionian"),
    # The seventh is doubly flat so that the chord tones of dim7 keep their spelling: C Eb Gb Bbb.
    "whole-half diminished": ("1 2 b3 4 b5 b6 bb7 7", "aeolian"),
    "half-whole diminished": ("1 b2 #2 3 #4 5 6 b7", "ionian"),
    "chromatic": ("1 #1 2 #2 3 4 #4 5 #5 6 #6 7", "ionian"),
}
_MODE_ALIASES = {
    "natural minor": "minor",
    "minor blues": "blues",
    "whole-tone": "whole tone",
    "whole-half": "whole-half diminished",
    "half-whole": "half-whole diminished",
    "diminished": "whole-half diminished",
    "pentatonic major": "major pentatonic",
    "pentatonic minor": "minor pentatonic",
}
# From the tonic of a church mode up to the tonic of the major scale with the same notes: letters, semitones.
_TO_PARENT = {
    "ionian": (0, 0),
    "dorian": (6, 10),
    "phrygian": (5, 8),
    "lydian": (4, 7),
    "mixolydian": (3, 5),
    "aeolian": (2, 3),
    "locrian": (1, 1),
}

# Quality, its degrees, the scale of `scale: chord`, other ways to write it. Reasons for the scale: it holds every
# chord tone and otherwise the plainest notes. The product contract fixes the pairs for major, 6, maj7, 7, 9, sus, m,
# m7, m6, m7b5, dim, dim7, aug; the rest are our own choice, taken as the scale that contains the altered note.
_QUALITIES = {
    "": ("1 3 5", "ionian", "maj M major"),
    "m": ("1 b3 5", "aeolian", "min mi - minor"),
    "dim": ("1 b3 b5", "locrian", "° o"),
    "aug": ("1 3 #5", "whole tone", "+ #5"),
    "sus2": ("1 2 5", "mixolydian", ""),
    "sus4": ("1 4 5", "mixolydian", "sus"),
    "5": ("1 5", "ionian", "no3"),  # without a third nothing asks for a lowered note
    "6": ("1 3 5 6", "ionian", "maj6 M6"),
    "m6": ("1 b3 5 6", "dorian", "min6 -6"),
    "6/9": ("1 3 5 6 9", "ionian", "69"),
    "m6/9": ("1 b3 5 6 9", "dorian", "m69"),
    "7": ("1 3 5 b7", "mixolydian", "dom7"),
    "maj7": ("1 3 5 7", "ionian", "M7 ma7 Δ Δ7 major7"),
    "m7": ("1 b3 5 b7", "aeolian", "min7 mi7 -7"),
    "m7b5": ("1 b3 b5 b7", "locrian", "ø ø7 min7b5 -7b5 mi7b5"),
    "dim7": ("1 b3 b5 bb7", "whole-half diminished", "°7 o7"),
    "m(maj7)": ("1 b3 5 7", "melodic minor", "mmaj7 mM7 minmaj7 -Δ -maj7"),
    "7#5": ("1 3 #5 b7", "whole tone", "+7 7+ aug7"),
    "7b5": ("1 3 b5 b7", "whole tone", ""),
    "maj7#5": ("1 3 #5 7", "lydian augmented", "+maj7 augmaj7 +M7 M7#5"),
    "maj7#11": ("1 3 5 7 #11", "lydian", "M7#11"),
    "7sus4": ("1 4 5 b7", "mixolydian", "7sus"),
    "7sus2": ("1 2 5 b7", "mixolydian", ""),
    "9sus4": ("1 4 5 b7 9", "mixolydian", "9sus"),
    "13sus4": ("1 4 5 b7 9 13", "mixolydian", "13sus"),
    "add9": ("1 3 5 9", "ionian", "add2 2"),
    "madd9": ("1 b3 5 9", "aeolian", "minadd9 madd2 m2"),
    "add11": ("1 3 5 11", "ionian", "add4"),
    "9": ("1 3 5 b7 9", "mixolydian", "dom9"),
    "maj9": ("1 3 5 7 9", "ionian", "M9 ma9"),
    "m9": ("1 b3 5 b7 9", "aeolian", "min9 mi9 -9"),
    "m(maj9)": ("1 b3 5 7 9", "melodic minor", "mmaj9 mM9"),
    "7b9": ("1 3 5 b7 b9", "phrygian dominant", ""),
    "7#9": ("1 3 5 b7 #9", "half-whole diminished", ""),
    "7#11": ("1 3 5 b7 #11", "lydian dominant", ""),
    "7b13": ("1 3 5 b7 b13", "mixolydian b6", ""),
    "11": ("1 3 5 b7 9 11", "mixolydian", ""),
    "m11": ("1 b3 5 b7 9 11", "aeolian", "min11 -11"),
    "13": ("1 3 5 b7 9 13", "mixolydian", ""),
    "m13": ("1 b3 5 b7 9 13", "dorian", "min13 -13"),
    "maj13": ("1 3 5 7 9 13", "ionian", "M13"),
}
_QUALITY_ALIASES = {
    alias: quality for quality, (_, _, aliases) in _QUALITIES.items() for alias in (quality, *aliases.split())
}
_SIGNS = str.maketrans({"♭": "b", "♯": "#", "△": "Δ", "−": "-"})
_SYMBOL = re.compile(r"([A-G](?:#|b)?)(.*?)(?:/([A-G](?:#|b)?))?")
_DEGREE = re.compile(r"(#*|b*)([0-9]+)")
_MOST_SIGNS = 2  # LilyPond prints no triple sharps or flats


def _degrees(root: NoteName, degrees: str) -> tuple[NoteName, ...]:
    """Spell degrees such as `1 b3 5` from *root*; ValueError when a note would need a triple sharp or flat."""
    notes = tuple(_degree(root, text) for text in degrees.split())
    if any(abs(note.alter) > _MOST_SIGNS for note in notes):
        raise ValueError(f"too many accidentals from {root}; write the same sound as {simplest(root)}")
    return notes


def _degree(root: NoteName, text: str) -> NoteName:
    match = _DEGREE.fullmatch(text)
    assert match, text  # the tables above are ours
    steps = (int(match[2]) - 1) % 7
    return root.up(steps, NATURALS[steps] + match[1].count("#") - match[1].count("b"))


def simplest(name: NoteName) -> NoteName:
    """The same sound with the fewest accidentals, a flat where a sharp would do as well (`G#` gives `Ab`)."""
    sound = name.pitch_class
    if sound in NATURALS:
        return NoteName(NATURALS.index(sound))
    return NoteName(NATURALS.index(sound + 1), -1)


@dataclass(frozen=True, slots=True)
class Scale:
    """Spelled notes rising within one octave from *tonic*; *name* is the mode, or `own notes` for a given list."""

    tonic: NoteName
    name: str
    notes: tuple[NoteName, ...]

    def contains(self, note: NoteName) -> bool:
        """Whether *note* belongs to the scale, in this spelling."""
        return note in self.notes

    def index(self, note: NoteName) -> int:
        """Which note of the scale it is, from 0; ValueError when it belongs to another scale."""
        if note not in self.notes:
            raise ValueError(f"{note} is not in {self}, whose notes are {self.listed}")
        return self.notes.index(note)

    def spelled(self, pitch: Pitch) -> Pitch | None:
        """*pitch* as the scale spells its sound; None when the scale has no such note."""
        same = (note for note in self.notes if note.pitch_class == pitch.midi % 12)
        return next((lowest_at_or_above(note, pitch.midi) for note in same), None)

    def pitches_from(self, first: Pitch, count: int) -> tuple[Pitch, ...]:
        """Walk up from *first*, which must be a note of the scale, until there are *count* pitches.

        >>> [str(p) for p in parse_scale("D minor").pitches_from(Pitch.parse("Bb3"), 3)]
        ['Bb3', 'C4', 'D4']
        """
        start = self.index(first.name)
        walk = [first]
        for step in range(1, count):
            walk.append(lowest_at_or_above(self.notes[(start + step) % len(self.notes)], walk[-1].midi + 1))
        return tuple(walk[:count])

    def pitches_between(self, low: int, high: int) -> tuple[Pitch, ...]:
        """Every pitch of the scale from MIDI note *low* to *high*, both included, rising."""
        pitches = [
            pitch
            for note in self.notes
            for octave in range(low // 12 - 2, high // 12 + 1)
            if low <= (pitch := Pitch(note, octave)).midi <= high
        ]
        return tuple(sorted(pitches, key=lambda pitch: pitch.midi))

    def with_tones(self, tones: Iterable[NoteName]) -> Scale:
        """The scale in which each of *tones* stands for the note of its letter, and of its sound.

        >>> parse_scale("D minor").with_tones([NoteName.parse("C#")]).listed
        'D E F G A Bb C#'
        """
        wanted = tuple(dict.fromkeys(tones))
        new = [tone for tone in wanted if tone not in self.notes]
        letters, sounds = {tone.letter for tone in new}, {tone.pitch_class for tone in new}
        kept = [n for n in self.notes if n in wanted or (n.letter not in letters and n.pitch_class not in sounds)]
        return Scale(self.tonic, self.name, _rising([*kept, *new], self.tonic))

    @property
    def listed(self) -> str:
        """Its notes in a row, for messages."""
        return " ".join(map(str, self.notes))

    def __str__(self) -> str:
        return self.listed if self.name == _OWN_NOTES else f"{self.tonic} {self.name}"


_OWN_NOTES = "own notes"


def _rising(notes: Iterable[NoteName], tonic: NoteName) -> tuple[NoteName, ...]:
    return tuple(sorted(notes, key=lambda note: (note.pitch_class - tonic.pitch_class) % 12))


@dataclass(frozen=True, slots=True)
class Key:
    """A tonic and a mode; printed as `D minor`.

    >>> key = parse_key("E dorian")
    >>> str(key), key.signature, str(key.parent_major)
    ('E dorian', 2, 'D')
    """

    tonic: NoteName
    mode: str

    @property
    def scale(self) -> Scale:
        """The scale of the key."""
        return Scale(self.tonic, self.mode, _degrees(self.tonic, _MODES[self.mode][0]))

    @property
    def parent_major(self) -> NoteName:
        """The tonic of the major key whose signature is printed."""
        return self.tonic.up(*_TO_PARENT[_MODES[self.mode][1]])

    @property
    def signature(self) -> int:
        """Sharps (positive) or flats (negative) of the signature."""
        return fifths(self.parent_major)

    def __str__(self) -> str:
        return f"{self.tonic} {self.mode}"


def fifths(name: NoteName) -> int:
    """How many fifths *name* lies above C: the signature of its major key.

    >>> [fifths(NoteName.parse(n)) for n in ("C", "F#", "Bb")]
    [0, 6, -2]
    """
    return "FCGDAEB".index("CDEFGAB"[name.letter]) - 1 + 7 * name.alter


def mode_names() -> tuple[str, ...]:
    """Every mode a key or scale may have."""
    return tuple(_MODES)


def chord_qualities() -> tuple[str, ...]:
    """Every ending a chord symbol may have, in its plainest way of writing; the empty one is major."""
    return tuple(_QUALITIES)


def _tonic_and_mode(text: str) -> tuple[NoteName, str]:
    first, _, rest = " ".join(text.translate(_SIGNS).split()).partition(" ")
    try:
        tonic = NoteName.parse(first)
    except ValueError:
        raise ValueError(f"{text!r} does not begin with a note such as C, F# or Bb") from None
    mode = rest.lower()
    if not mode:
        raise ValueError(f"{text!r} names no mode; write {tonic} major or {tonic} minor")
    mode = _MODE_ALIASES.get(mode, mode)
    if mode not in _MODES:
        near = get_close_matches(mode, _MODES, 1)
        tip = f"did you mean {near[0]!r}?" if near else f"the modes are {', '.join(_MODES)}"
        raise ValueError(f"{rest!r} is not a mode; {tip}")
    return tonic, mode


def parse_key(text: str) -> Key:
    """Read `D minor`, `F# harmonic minor`, `Eb dorian`; ValueError worded for the reader.

    >>> parse_key("G# major")
    Traceback (most recent call last):
    ValueError: G# major would need 8 sharps; write Ab major
    """
    key = Key(*_tonic_and_mode(text))
    if abs(key.signature) > 7:
        kind = "sharps" if key.signature > 0 else "flats"
        raise ValueError(f"{key} would need {abs(key.signature)} {kind}; write {printable(key)}")
    parse_scale(str(key))  # a mode far from its signature may still need a triple flat: complain here, not later
    return key


def printable(key: Key) -> Key:
    """*key* itself, or the one of the same sound that has a signature of at most seven signs."""
    if abs(key.signature) <= 7:
        return key
    same = (NoteName(letter, alter) for letter in range(7) for alter in (-1, 0, 1))
    choices = (Key(name, key.mode) for name in same if name.pitch_class == key.tonic.pitch_class)
    return min(choices, key=lambda choice: abs(choice.signature))


def parse_scale(given: str | Sequence[str]) -> Scale:
    """Read `D lydian`, or the notes themselves, the tonic first; ValueError worded for the reader."""
    if isinstance(given, str):
        tonic, mode = _tonic_and_mode(given)
        return Scale(tonic, mode, _degrees(tonic, _MODES[mode][0]))
    notes = [NoteName.parse(name.translate(_SIGNS)) for name in given]
    if len({note.pitch_class for note in notes}) < len(notes):
        raise ValueError(f"two of the notes {' '.join(given)} sound the same")
    if not 3 <= len(notes) <= 12:
        raise ValueError(f"a scale has 3 to 12 notes, this one {len(notes)}")
    return Scale(notes[0], _OWN_NOTES, _rising(notes, notes[0]))


@dataclass(frozen=True, slots=True)
class Chord:
    """A chord: *notes* spelled from the root (a foreign *bass* last), *symbol* as it was written."""

    root: NoteName
    quality: str
    bass: NoteName | None
    notes: tuple[NoteName, ...]
    symbol: str

    @property
    def lowest(self) -> NoteName:
        """The note that stands at the bottom: the bass, else the root."""
        return self.bass or self.root

    @property
    def own_scale(self) -> str:
        """The scale that goes with it where no key says otherwise."""
        return _QUALITIES[self.quality][1]

    def has(self, note: NoteName) -> bool:
        """Whether *note* sounds like a chord tone."""
        return note.pitch_class in {tone.pitch_class for tone in self.notes}


def parse_chord(symbol: str) -> Chord:
    """Read `Dm`, `F#m7b5`, `Bbmaj7`, `E7sus4`, `C/E`; ValueError worded for the reader.

    >>> [str(note) for note in parse_chord("Cdim7").notes]
    ['C', 'Eb', 'Gb', 'Bbb']
    """
    plain = symbol.translate(_SIGNS).strip()
    match = _SYMBOL.fullmatch(plain)
    if not match:
        raise ValueError(f"{symbol!r} does not begin with a root such as C, F# or Bb")
    root, quality = NoteName.parse(match[1]), _quality(symbol, match[2])
    bass = NoteName.parse(match[3]) if match[3] else None
    degrees, own_scale, _ = _QUALITIES[quality]
    notes = _degrees(root, degrees)
    parse_scale(f"{root} {own_scale}")  # so that a root too remote for its scale is refused where it is written
    foreign = (bass,) if bass and bass not in notes else ()
    return Chord(root, quality, bass, notes + foreign, plain)


def _quality(symbol: str, written: str) -> str:
    for text in (written, re.sub(r"[() ]", "", written)):
        if text in _QUALITY_ALIASES:
            return _QUALITY_ALIASES[text]
    near = get_close_matches(written, _QUALITY_ALIASES, 1)
    tip = (
        f"did you mean {symbol.strip().removesuffix(written) + near[0]!r}?"
        if near
        else "such as m, 7, maj7, m7b5, sus4"
    )
    raise ValueError(f"{symbol!r} ends in {written!r}, which is no chord we know; {tip}")
