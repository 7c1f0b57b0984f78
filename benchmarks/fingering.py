"""Measure how often the free fretting hand agrees with the fingers printed in published etudes.

In, Out:  a file of fingered pieces (default: `data/fingered-etudes.json`); a table on the terminal
Run:      python benchmarks/fingering.py [FILE] [--folds]
          `--folds` fits the weights anew on six of seven folds of pieces and counts on the seventh, for two orders:
          fourteen fits of three to four minutes each
Counted:  see `etudes.py`
Source:   the folds are those of the first measurement: pieces shuffled with seeds 1 and 2, every seventh piece a fold
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from etudes import DATA, Piece, agreement, read, shipped
from fit_fingering import fitted

from builder.theory.fretboard import Instrument

FOLDS, SEEDS = 7, (1, 2)


def row(name: str, right: int, counted: int) -> str:
    """A line of the table."""
    return f"{name:28}{right:5} of {counted:4}{100 * right / max(1, counted):6.1f} %"


def table(pieces: Sequence[Piece], instrument: Instrument) -> None:
    """Print the agreement of each piece and of all, with the shipped weights."""
    weights, right = shipped(), 0
    for piece in pieces:
        agreed = agreement(piece, instrument, weights)
        print(row(piece.name, agreed, piece.counted), flush=True)
        right += agreed
    print(row("all", right, sum(piece.counted for piece in pieces)))


def fold_table(pieces: Sequence[Piece], instrument: Instrument) -> None:
    """Print the agreement on pieces that the weights have not seen."""
    for seed in SEEDS:
        jobs = list(folds(pieces, seed))
        with ProcessPoolExecutor() as workers:
            found = workers.map(unseen, jobs, [instrument] * len(jobs))
            rights = {name: right for fold in found for name, right in fold}
        for piece in pieces:
            print(row(piece.name, rights[piece.name], piece.counted))
        counted = sum(piece.counted for piece in pieces)
        print(row(f"all unseen, order {seed}", sum(rights.values()), counted), flush=True)


def folds(pieces: Sequence[Piece], seed: int) -> Iterator[tuple[list[Piece], list[Piece]]]:
    """The pieces to fit on and those to count on, seven times."""
    shuffled = list(pieces)
    random.Random(seed).shuffle(shuffled)
    for number in range(FOLDS):
        yield [piece for k, piece in enumerate(shuffled) if k % FOLDS != number], shuffled[number::FOLDS]


def unseen(fold: tuple[list[Piece], list[Piece]], instrument: Instrument) -> list[tuple[str, int]]:
    """How many printed fingers of each piece left out the fitted hand takes too."""
    weights = fitted(fold[0], instrument)
    return [(piece.name, agreement(piece, instrument, weights)) for piece in fold[1]]


def main() -> None:
    """Read the command line and measure."""
    parser = argparse.ArgumentParser(description="Agreement of the fretting hand with printed fingers.")
    parser.add_argument("file", nargs="?", type=Path, default=DATA)
    parser.add_argument("--folds", action="store_true", help="fit and count by folds of pieces: fourteen fits")
    chosen = parser.parse_args()
    instrument, pieces = read(chosen.file)
    (fold_table if chosen.folds else table)(pieces, instrument)


if __name__ == "__main__":
    main()
