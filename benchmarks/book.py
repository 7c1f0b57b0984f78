"""Measure a whole build from cold, and with nothing changed, against LilyPond alone on the sources it leaves.

    python benchmarks/book.py books/harbour-lane/book.yaml [--pages 60] [--jobs 2]

In, Out:  a book; seconds of the clock, and our time as a multiple of LilyPond's
Units:    seconds of the clock: run it on a quiet machine

LilyPond alone is what `benchmarks/engraving.py` calls so: the same study pages in hand-made batches, one run a core,
nothing checked, cut, joined or kept. Ours starts Python, reads the YAML, works the studies out, engraves them, lays
the furniture over, joins the fonts and writes every file.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from engraving import _alone, _cost, _sources


def main() -> None:
    """Build cold, build again, run LilyPond alone, print the three and the ratio."""
    options = _options()
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        only = _studies(options.book, options.pages, folder)
        cold = _build(options, folder, only)
        again = _build(options, folder, only)
        name = next(folder.glob("out/*.json"))
        sides = sum(study["pages"] for study in json.loads(name.read_text(encoding="utf-8"))["studies"])
        style, bodies = _sources(folder / "out" / "sources", len(only))
        alone = _cost(lambda: _alone(style, bodies, options.jobs)).wall_s
    print(f"{len(only)} studies on {sides} pages, {options.jobs} runs at a time")
    print(f"LilyPond alone     {alone:6.2f} s")
    print(f"build from cold    {cold:6.2f} s   {cold / alone:.2f} times LilyPond alone")
    print(f"nothing changed    {again:6.2f} s")


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="A whole build against LilyPond alone.")
    parser.add_argument("book", type=Path, help="the book's YAML file")
    parser.add_argument("--pages", type=int, default=60, help="about how many pages to build (60)")
    parser.add_argument("--jobs", type=int, default=2, help="runs at a time (2)")
    options: argparse.Namespace = parser.parse_args()
    return options


def _run(folder: Path, *arguments: str) -> str:
    environment = {**os.environ, "ETUDEBOOK_CACHE": str(folder / "cache")}
    command = [sys.executable, "-m", "builder", *arguments]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)
    if done.returncode:
        raise SystemExit(done.stderr)
    return done.stdout


def _studies(book: Path, pages: int, folder: Path) -> list[str]:
    """The first studies of the book, so many as there are pages to fill; one page each is near enough to count by."""
    listed = json.loads(_run(folder, "check", str(book), "--json"))["studies"]
    bars = [max(event["bar"] for event in study["events"]) for study in listed]
    chosen: list[str] = []
    room = float(pages)
    for study, length in zip(listed, bars, strict=True):
        room -= max(1.0, length / 12)
        if room < 0:
            break
        chosen.append(study["id"])
    return chosen


def _build(options: argparse.Namespace, folder: Path, only: list[str]) -> float:
    began = time.perf_counter()
    out = str(folder / "out")
    jobs = str(options.jobs)
    _run(folder, "build", str(options.book), "--pages-only", "--jobs", jobs, "--out", out, "--only", *only)
    return time.perf_counter() - began


if __name__ == "__main__":
    main()
