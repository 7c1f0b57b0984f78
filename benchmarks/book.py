"""Measure a whole build from cold, and with nothing changed, against LilyPond alone on the same sources.

    python benchmarks/book.py books/harbour-lane/book.yaml [--studies 44] [--jobs 2] [--rounds 3]

In, Out:  a book, of which the first studies are taken; seconds of the clock, our time as a multiple of LilyPond's
Units:    seconds of the clock: run it on a quiet machine

LilyPond alone is what `benchmarks/engraving.py` calls so: every page of the book, cover to back matter and what is
laid over it, in hand-made batches, one run a core, nothing checked, cut, joined or kept. Ours starts Python, reads the
YAML, works the studies out, engraves them, lays the furniture over, joins the fonts and writes every file. Each round
runs both, so that a busy moment hits both; the best round of each counts. The list of studies is asked for first, so
our code stands compiled as it does after any first command, also where the shell forbids Python to write bytecode.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from engraving import _alone, _cost, asked

import builder.printing
from builder.engraving import Desk, Engraving, Sheet
from builder.pipeline import build
from builder.request import BuildRequest


def main() -> None:
    """Build cold, build again, run LilyPond alone, print the three and the ratio."""
    options = _options()
    rounds = []
    for number in range(1, options.rounds + 1):
        with tempfile.TemporaryDirectory() as scratch:
            folder = Path(scratch)
            only = [one["id"] for one in json.loads(_run(folder, "check", str(options.book), "--json"))["studies"]]
            only = only[: options.studies]
            cold = _build(options, folder, only)
            again = _build(options, folder, only)
            style, bodies, pages = _sources(options, folder, only)
            alone = _cost(lambda style=style, bodies=bodies: _alone(style, bodies, options.jobs)).wall_s
        rounds.append((alone, cold, again))
        print(f"round {number}: alone {alone:.2f} s, cold {cold:.2f} s ({cold / alone:.2f}), unchanged {again:.2f} s")
    alone, cold, again = (min(times) for times in zip(*rounds, strict=True))
    print(f"{len(only)} studies, {pages} pages, {options.jobs} runs at a time, best of {options.rounds} rounds")
    print(f"LilyPond alone     {alone:6.2f} s")
    print(f"build from cold    {cold:6.2f} s   {cold / alone:.2f} times LilyPond alone")
    print(f"nothing changed    {again:6.2f} s")


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="A whole build against LilyPond alone.")
    parser.add_argument("book", type=Path, help="the book's YAML file")
    parser.add_argument("--studies", type=int, default=44, help="how many studies (44: some 60 pages of the demo)")
    return asked(parser, rounds=3)


def _run(folder: Path, *arguments: str) -> str:
    environment = {**os.environ, "ETUDEBOOK_CACHE": str(folder / "cache")}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    command = [sys.executable, "-m", "builder", *arguments]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)
    if done.returncode:
        raise SystemExit(done.stderr)
    return done.stdout


def _build(options: argparse.Namespace, folder: Path, only: Sequence[str]) -> float:
    began = time.perf_counter()
    out, jobs = str(folder / "out"), str(options.jobs)
    _run(folder, "build", str(options.book), "--jobs", jobs, "--out", out, "--only", *only)
    return time.perf_counter() - began


def _sources(options: argparse.Namespace, folder: Path, only: Sequence[str]) -> tuple[str, list[str], int]:
    """Build once more from the filled cache and note what was sent to the engraver: style, bodies, pages in all."""
    sent: list[tuple[str, Sequence[Sheet], Engraving]] = []

    class Noting(Desk):
        def __init__(self, style: str, *rest: Any) -> None:
            super().__init__(style, *rest)
            self.style = style

        def settle(self, sheets: Sequence[Sheet], *rest: Any) -> Engraving:
            done = super().settle(sheets, *rest)
            sent.append((self.style, sheets, done))
            return done

    desk, builder.printing.Desk = builder.printing.Desk, Noting
    os.environ["ETUDEBOOK_CACHE"] = str(folder / "cache")
    request = BuildRequest(options.book, folder / "again", tuple(only), False, options.jobs, False)
    pages = build(request, lambda done, total: None, lambda done, total: None).summary.pages
    builder.printing.Desk = desk
    style, sheets, done = sent[-1]
    return style, [sheet.bodies[done.sheets[sheet.key].rung].text for sheet in sheets], pages


if __name__ == "__main__":
    main()
