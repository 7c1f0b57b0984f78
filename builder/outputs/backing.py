"""What plays beside a study: its chords, their roots, a drone.

Stage:    7 write
In, Out:  a `Study`, its chord symbols above all; `Tone`s from the start of the study
Source:   chords in close position near the middle of the keyboard, from one to the next with the least motion, the
          fifth left out of more than four notes: common practice
Not here: how it sounds (`sound`), the track as a whole (`performance`)
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from builder.outputs.sound import Voicing
from builder.outputs.tone import Tone
from builder.theory.harmony import Chord, parse_chord
from builder.theory.score import Study

_CHORD_CENTRE, _LOWEST_BASS, _LOWEST_DRONE = 60, 36, 48  # our own choice: beside the guitar's middle, not under it
_MOST_CHORD_NOTES = 4


def _held_chords(study: Study) -> Iterator[tuple[Fraction, Fraction, Chord]]:
    """Each chord from its beginning, and again from every barline while it lasts."""
    end = study.bars * study.meter.bar
    ends = [*(mark.onset for mark in study.chords[1:]), end]
    for mark, stop in zip(study.chords, ends, strict=False):
        chord, now = parse_chord(mark.symbol), mark.onset
        while now < stop:
            after = min(stop, now + study.meter.bar - now % study.meter.bar)
            yield now, after - now, chord
            now = after


def chord_tones(study: Study, voicing: Voicing) -> tuple[Tone, ...]:
    """Return the chords, voiced."""
    tones: list[Tone] = []
    before: tuple[int, ...] = ()
    for onset, duration, chord in _held_chords(study):
        before = voiced(chord, before)
        tones += [Tone(onset, duration, midi, voicing.velocity) for midi in before]
    return tuple(tones)


def voiced(chord: Chord, before: Sequence[int]) -> tuple[int, ...]:
    """Return the close position of *chord* that moves least from *before*, or lies nearest the middle.

    >>> [voiced(parse_chord(symbol), ()) for symbol in ("C", "Dm")], voiced(parse_chord("F"), (60, 64, 67))
    ([(55, 60, 64), (57, 62, 65)], (60, 65, 69))
    """
    notes = [note for note in chord.notes if note != chord.bass or note == chord.root]
    if len(notes) > _MOST_CHORD_NOTES:
        notes = [note for note in notes if (note.letter - chord.root.letter) % 7 != 4]
    classes = sorted({note.pitch_class for note in notes[:_MOST_CHORD_NOTES]})
    places = [_close(classes[k:] + classes[:k], octave) for k in range(len(classes)) for octave in (3, 4, 5)]

    def way(place: tuple[int, ...]) -> tuple[float, int]:
        centre = abs(sum(place) / len(place) - _CHORD_CENTRE)
        moved = sum(min(abs(midi - old) for old in before) for midi in place) if before else centre
        return moved, round(centre)

    return min(places, key=lambda place: (*way(place), place))


def _close(classes: Sequence[int], octave: int) -> tuple[int, ...]:
    first = 12 * octave + classes[0]
    return tuple(first + (pitch_class - classes[0]) % 12 for pitch_class in classes)


def bass_tones(study: Study, voicing: Voicing) -> tuple[Tone, ...]:
    """Return the lowest note of each chord."""
    return tuple(
        Tone(onset, duration, _LOWEST_BASS + chord.lowest.pitch_class, voicing.velocity)
        for onset, duration, chord in _held_chords(study)
    )


def drone_tones(study: Study, voicing: Voicing) -> tuple[Tone, ...]:
    """Return the tonic and its fifth, from the first bar to the last."""
    tonic = _LOWEST_DRONE + study.key.tonic.pitch_class
    end = study.bars * study.meter.bar
    return tuple(Tone(Fraction(0), end, midi, voicing.velocity) for midi in (tonic, tonic + 7))
