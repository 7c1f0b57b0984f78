"""Fit the fretting hand's weights of written music to printed fingers: averaged path-difference learning.

In, Out:  a file of fingered pieces; the fitted weights on the terminal, after about four minutes of one core
Run:      python benchmarks/fit_fingering.py [FILE]
Source:   path-difference learning: Radisavljevic and Driessen, ICMC 2004: lower the cost of the printed path against
          that of the hand's own; the reward for every printed finger missed makes the hand look for its worst rival;
          steps shrink with the size of earlier ones (Duchi, Hazan and Singer, JMLR 12, 2011). Rounds, rate and reward
          were tried on the folds of `fingering.py` themselves, so its figure is a little kind
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import cast

from etudes import DATA, HAND, LIMITS, Piece, moments_of, read, shipped

from builder.theory.fingering.moments import Passage, passage_of
from builder.theory.fingering.postures import Posture, Reach
from builder.theory.fingering.search import Step, cheapest_steps, price_of
from builder.theory.fingering.weights import Weights
from builder.theory.fretboard import Instrument

ROUNDS, AVERAGED_FROM = 12, 4
PATHS = 14  # followed while fitting: a coarser search than the shipped one
RATE = 0.1
REWARD = 0.15  # for a printed finger missed
LEAST = {"slip": 1.5}  # one finger on two frets of a string is a slide: no fit may make it cheap
NEVER = 1000.0
START = {
    **dict.fromkeys((item.name for item in fields(Weights) if not item.name.startswith(("figure_", "grip_"))), 0.0),
    **{"off_2": 0.4, "off_3": 0.3, "off_4_up": 0.4, "off_4_down": 0.2, "stretch": 0.2, "order": 0.5},
    **{"barre": 0.6, "barre_other": 1.0, "finger_2": 0.05, "finger_3": 0.1, "finger_4": 0.2, "open_high": 0.3},
    **{"high_fret": 0.1, "shift": 0.5, "shift_way": 0.05, "shift_rest": -0.3, "shift_open": -0.2, "let_go": 0.5},
    **{
        "slip": 1.5,
        "cross": 0.7,
        "jump": 0.7,
        "hop": 0.2,
        "string_leap": 0.2,
        "again_same": -0.2,
        "spread": 0.2,
    },
    **{"again_other_finger": 0.5, "again_elsewhere": 0.5, "ringing_stretch": 0.05, "ringing_order": 0.1},
    **{"ringing_barre": 0.1, "ringing_barre_other": 0.4, "held_stretch": 0.1, "held_order": 0.3, "held_barre": 0.3},
    **{"held_barre_other": 0.6},
}
"""A hand that does what the textbooks say, before it has seen an etude: our own choice."""


class Terms(dict[str, float]):
    """How often each weight is counted: a sum that can be scaled and added like the points it stands for."""

    def __add__(self, other: Terms | float) -> Terms:
        found = Terms(self)
        if isinstance(other, Terms):
            for name, times in other.items():
                found[name] = found.get(name, 0.0) + times
        return found

    __radd__ = __add__

    def __mul__(self, factor: float) -> Terms:
        return Terms({name: times * factor for name, times in self.items()}) if factor else Terms()

    __rmul__ = __mul__

    def __truediv__(self, divisor: float) -> Terms:
        return self * (1 / divisor)


COUNTING = replace(shipped(), **{name: cast(float, Terms({name: 1.0})) for name in START})
"""Weights that count instead of cost: prices are linear, so the price of a path under them is its terms."""


@dataclass(frozen=True, slots=True)
class Job:
    """A piece ready to learn from; *printed* has the finger of each note, None where there is none."""

    passage: Passage
    printed: tuple[int | None, ...]

    @property
    def counted(self) -> int:
        """How many fingers are printed."""
        return sum(finger is not None for finger in self.printed)

    def missed(self, at: int, posture: Posture) -> int:
        """How many printed fingers a posture misses."""
        struck = zip(self.passage.layers[at].struck, posture.stopped, strict=True)
        return sum(self.printed[number] not in (None, finger) for number, (_, _, finger) in struck)


def job_of(piece: Piece) -> Job:
    """A piece's notes; of voices that meet on one note any may have the finger."""
    passage = passage_of(moments_of(piece.notes))
    printed: list[int | None] = [None] * len(piece.notes)
    for note, same in zip(piece.notes, passage.same_as, strict=True):
        printed[same] = note.finger if note.finger is not None else printed[same]
    return Job(passage, tuple(printed))


def terms_of(job: Job, steps: Sequence[Step], instrument: Instrument) -> Terms:
    """How often each weight counts on a path."""
    reach = Reach(instrument, HAND, COUNTING)
    return Terms() + cast(Terms, price_of(job.passage, [step.posture for step in steps], reach, LIMITS))


def difference(job: Job, weights: Weights, instrument: Instrument) -> Terms:
    """The terms of the path through the printed fingers less those of the hand's own."""
    reach = Reach(instrument, HAND, weights)
    printed = cheapest_steps(job.passage, reach, LIMITS, lambda at, posture: NEVER * job.missed(at, posture), PATHS)
    own = cheapest_steps(job.passage, reach, LIMITS, lambda at, posture: -REWARD * job.missed(at, posture), PATHS)
    return terms_of(job, printed, instrument) + terms_of(job, own, instrument) * -1


def learn(pieces: Iterable[Piece], instrument: Instrument) -> dict[str, float]:
    """Fit the weights of written music to the printed fingers of *pieces*; a figure's stay as they are."""
    jobs = [job for job in map(job_of, pieces) if job.counted]
    shape = shipped()
    weights, steps = dict(START), dict.fromkeys(START, 1e-6)
    sums, count, order = dict.fromkeys(START, 0.0), 0, random.Random(0)
    for number in range(ROUNDS):
        order.shuffle(jobs)
        for job in jobs:
            for name, times in difference(job, replace(shape, **weights), instrument).items():
                slope = times / job.counted**0.5
                steps[name] += slope * slope
                moved = weights[name] - RATE * slope / steps[name] ** 0.5
                weights[name] = max(moved, LEAST.get(name, -NEVER))
            if number >= AVERAGED_FROM:
                count += 1
                sums = {name: sums[name] + weights[name] for name in sums}
    return {name: round(total / count, 3) for name, total in sums.items()}


def fitted(pieces: Iterable[Piece], instrument: Instrument) -> Weights:
    """The shipped weights with those of written music fitted anew."""
    return replace(shipped(), **learn(pieces, instrument))


def main() -> None:
    """Fit on a whole file and print the weights as the weights file has them."""
    parser = argparse.ArgumentParser(description="Fit the fretting hand to printed fingers.")
    parser.add_argument("file", nargs="?", type=Path, default=DATA)
    instrument, pieces = read(parser.parse_args().file)
    for name, points in learn(pieces, instrument).items():
        print(f"{name.replace('_', '-')}: {points}")


if __name__ == "__main__":
    main()
