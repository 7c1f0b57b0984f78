"""Measure our engraving against LilyPond alone, on the same pages and the same number of cores.

    python benchmarks/engraving.py out/sources [--pages 60] [--jobs 2] [--rounds 2]

In, Out:  a folder of complete .ly files, as a build leaves them; times, and our time as a multiple of LilyPond's
Units:    seconds of the clock, and of processor time (which other work on the machine hardly changes)

LilyPond alone is what a careful person would do by hand: batches of equally many pages, one run a core, no warnings
read, no pages cut apart, nothing kept. Ours includes all of that. Each round runs both, so that a busy moment hits
both; the best round of each counts.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import tempfile
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from builder.engraving import Body, Sheet, Store, engrave, find_lilypond
from builder.engraving.batch import batches
from builder.errors import Location

# By hand LilyPond runs as it comes, and collects its garbage: 32 pages then take it near 400 MB.
HAND_MADE_BATCH = 32


@dataclass(frozen=True, slots=True)
class Cost:
    """What one way to engrave took."""

    wall_s: float
    cpu_s: float


def main() -> None:
    """Read the sources, run both ways, print the ratio."""
    options = _options()
    style, bodies = _sources(options.sources, options.pages)
    rounds = [
        (_cost(lambda: _alone(style, bodies, options.jobs)), _cost(lambda: _ours(style, bodies, options.jobs)))
        for _ in range(options.rounds)
    ]
    alone, ours = (_best(costs) for costs in zip(*rounds, strict=True))
    print(f"{len(bodies)} pages, {options.jobs} runs at a time, best of {options.rounds} rounds")
    for name, cost in (("LilyPond alone", alone), ("etudebook", ours)):
        print(f"{name:15} {cost.wall_s:6.2f} s on the clock  {cost.cpu_s:6.2f} s of processor time")
    print(f"{'ratio':15} {ours.wall_s / alone.wall_s:6.2f}                 {ours.cpu_s / alone.cpu_s:6.2f}")


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Our engraving against LilyPond alone.")
    parser.add_argument("sources", type=Path, help="a folder of complete .ly files")
    parser.add_argument("--pages", type=int, default=60, help="how many files to take (60)")
    return asked(parser, rounds=2)


def asked(parser: argparse.ArgumentParser, rounds: int) -> argparse.Namespace:
    """Read the command line of *parser* with what every comparison takes: runs at a time, rounds."""
    parser.add_argument("--jobs", type=int, default=2, help="runs at a time (2)")
    parser.add_argument("--rounds", type=int, default=rounds, help=f"how often to run everything ({rounds})")
    options: argparse.Namespace = parser.parse_args()
    return options


def _sources(folder: Path, most: int) -> tuple[str, list[str]]:
    """Return the style the files share and their bodies; fewer files than *most* are taken as they are."""
    texts = [path.read_text(encoding="utf-8") for path in sorted(folder.glob("*.ly"))[:most]]
    if not texts:
        raise SystemExit(f"{folder} holds no .ly files")
    styles, bodies = zip(*(_split(text) for text in texts), strict=True)
    if len(set(styles)) > 1:
        raise SystemExit(f"the files in {folder} do not share one style")
    return styles[0], list(bodies)


def _split(text: str) -> tuple[str, str]:
    start = text.index("\n\\bookpart") + 1
    return text[:start], text[start:]


def _cost(work: Callable[[], None]) -> Cost:
    wall, cpu = time.perf_counter(), os.times()
    work()
    spent = os.times()
    own = spent.user + spent.system - cpu.user - cpu.system
    children = spent.children_user + spent.children_system - cpu.children_user - cpu.children_system
    return Cost(time.perf_counter() - wall, own + children)


def _best(costs: Sequence[Cost]) -> Cost:
    return Cost(min(cost.wall_s for cost in costs), min(cost.cpu_s for cost in costs))


def _alone(style: str, bodies: Sequence[str], jobs: int) -> None:
    engine = find_lilypond()
    with tempfile.TemporaryDirectory() as scratch, ThreadPoolExecutor(jobs) as pool:
        sources = []
        for number, batch in enumerate(batches([1] * len(bodies), jobs, HAND_MADE_BATCH)):
            folder = Path(scratch) / str(number)
            folder.mkdir()
            text = style + "".join(bodies[index] for index in batch)
            (folder / "batch.ly").write_text(text, encoding="utf-8")
            sources.append(folder)
        command = [str(engine.lilypond), "--loglevel=ERROR", "-dno-point-and-click", "batch.ly"]
        list(pool.map(lambda folder: subprocess.run(command, cwd=folder, check=True, capture_output=True), sources))


def _ours(style: str, bodies: Sequence[str], jobs: int) -> None:
    with tempfile.TemporaryDirectory() as scratch:
        sheets = [Sheet(str(number), Location("benchmark"), (Body(body, None),)) for number, body in enumerate(bodies)]
        engraving = engrave(sheets, style, Store(Path(scratch)), jobs, lambda done, total: None)
    if engraving.problems:
        raise SystemExit("\n".join(map(str, engraving.problems)))


if __name__ == "__main__":
    main()
