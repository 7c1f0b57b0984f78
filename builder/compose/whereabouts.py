"""Where in a study a note stands, in a teacher's words: bar, beat, name, string and fret.

Stage:    compose (pure)
In, Out:  onsets, notes; the beginning of a reason such as `bar 2, after beat 3, G#4: …`
Units:    bars and beats count from 1
Not here: the reasons themselves; who gives one says by `NoSolution.moments` which are to blame
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from builder.errors import NoSolution
from builder.theory.fretboard import Place
from builder.theory.pitch import Pitch
from builder.theory.rhythm import Meter

_MOST_NAMES = 6  # as many notes as a chord has on a guitar


def when(onset: Fraction, meter: Meter) -> str:
    """Return the bar and the beat of *onset*; between two beats the one before.

    >>> [when(Fraction(at), Meter(3, 4)) for at in ("0", "7/8")]
    ['bar 1, beat 1', 'bar 2, after beat 1']
    """
    beats, past = divmod(onset % meter.bar, meter.beat)
    return f"bar {onset // meter.bar + 1}, {'after ' if past else ''}beat {beats + 1}"


def at_place(pitch: Pitch, place: Place) -> str:
    """Return a note with its place on the neck.

    >>> at_place(Pitch.parse("G#4"), Place(1, 4))
    'G#4 on string 1, fret 4'
    """
    return f"{pitch} on string {place.string}, {f'fret {place.fret}' if place.fret else 'open'}"


def located(no: NoSolution, onset: Fraction, meter: Meter, notes: Iterable[str]) -> NoSolution:
    """Return the reason with its place in the study in front, and what sounds there."""
    named = list(dict.fromkeys(notes))[:_MOST_NAMES]
    return NoSolution(f"{when(onset, meter)}, {' and '.join(named)}: {no.reason}", no.key)
