"""Measure how long fingering takes a note, for lines and voices of growing length.

In, Out:  nothing; a table on the terminal
Units:    milliseconds of processor time a note, the best of three runs, each with nothing remembered from the last
Run:      python benchmarks/fingering_speed.py
"""

from __future__ import annotations

import time
from fractions import Fraction

import yaml

from builder.resources import folder
from builder.theory.fingering import (
    FreeNote,
    Moment,
    NeckLimits,
    Stop,
    Weights,
    finger_freely,
    finger_passage,
    weights_from,
)
from builder.theory.fingering.figures import figures_of
from builder.theory.fretboard import Hand, Instrument
from builder.theory.pitch import Pitch

GUITAR = Instrument("guitar", tuple(map(Pitch.parse, ("E4", "B3", "G3", "D3", "A2", "E2"))), 22, 648)
MEDIUM = Hand("medium", 98, 127)
THREE_A_STRING = ((8, 10, 12), (9, 10, 12), (9, 10, 12), (9, 11, 12), (10, 12, 13), (10, 12, 14))
LENGTHS = (50, 100, 200, 400, 800, 1600)


def line(length: int) -> list[Stop]:
    """A scale with three notes a string, up and down without end."""
    up = [(6 - i, fret) for i, group in enumerate(THREE_A_STRING) for fret in group]
    places = up + up[::-1]
    return [Stop(i, Fraction(i, 16), Fraction(1, 16), *places[i % len(places)], None, i == 0) for i in range(length)]


def position(length: int) -> list[Stop]:
    """One hand position, sixteen notes a burst."""
    places = [(5, 3), (5, 5), (4, 2), (4, 3), (4, 5), (3, 2), (3, 4), (3, 5)]
    return [Stop(i, Fraction(i, 16), Fraction(1, 16), *places[i % 8], None, i % 16 == 0) for i in range(length)]


def voices(length: int) -> list[Stop]:
    """A bass note held under three notes of a tune, a burst every bar."""
    bass = ((6, 3), (5, 2), (5, 3), (6, 2))
    tune = ((2, 3), (3, 4), (2, 5))
    found = []
    for bar in range(length // 4):
        at = Fraction(bar * 3, 4)
        found.append(Stop(0, at, Fraction(3, 4), *bass[bar % 4], None, True))
        found += [Stop(0, at + Fraction(k, 4), Fraction(1, 4), *tune[k]) for k in range(3)]
    return found


def best_ms(stops: list[Stop], weights: Weights, shift: bool) -> float:
    """The best of three runs, in milliseconds a note."""
    times = []
    for _ in range(3):
        figures_of.cache_clear()
        start = time.process_time()
        finger_passage(stops, GUITAR, MEDIUM, weights, shift)
        times.append(time.process_time() - start)
    return 1000 * min(times) / len(stops)


def free_best_ms(stops: list[Stop], weights: Weights, limits: NeckLimits) -> float:
    """The same with the strings left free."""
    moments: dict[Fraction, list[FreeNote]] = {}
    begins = {stop.onset for stop in stops if stop.new_hand}
    for stop in stops:
        midi = GUITAR.open_midi(stop.string) + stop.fret
        moments.setdefault(stop.onset, []).append(FreeNote(midi, stop.duration))
    passage = [Moment(onset, tuple(notes), onset in begins) for onset, notes in moments.items()]
    times = []
    for _ in range(3):
        figures_of.cache_clear()
        start = time.process_time()
        finger_freely(passage, GUITAR, MEDIUM, weights, limits)
        times.append(time.process_time() - start)
    return 1000 * min(times) / len(stops)


def main() -> None:
    """Print the table."""
    weights = weights_from(yaml.safe_load((folder("shared") / "fingering.yaml").read_text(encoding="utf-8")))
    kinds = (
        ("line, shifts", line, True),
        ("line, one position", position, False),
        ("two voices", voices, False),
        ("two voices, shifts", voices, True),
    )
    print("notes".ljust(24) + "".join(f"{length:>8}" for length in LENGTHS))
    for name, passage, shift in kinds:
        print(name.ljust(24) + "".join(f"{best_ms(passage(length), weights, shift):8.3f}" for length in LENGTHS))
    for name, passage, shift in kinds:
        limits = NeckLimits(open_strings=True, shift_in_burst=shift)
        times = [free_best_ms(passage(length), weights, limits) for length in LENGTHS]
        print(f"free {name}".ljust(24) + "".join(f"{ms:8.3f}" for ms in times))


if __name__ == "__main__":
    main()
