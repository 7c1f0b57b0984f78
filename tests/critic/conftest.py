"""Finished books for the critic to read: built once, with the real LilyPond."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
# What the small book lacks: two voices, diagrams, flats, strings on their own, p i m a, bends, slides, harmonics, ties.
TECHNIQUES = (
    *("fog-bell-and-footsteps", "paddle-wheel", "net-mending", "bowsprit-bends", "rope-glide"),
    *("hauling-hand", "ships-bells", "small-boat-chords", "locks-and-sluices", "barge-in-five"),
)


@dataclass(frozen=True, slots=True)
class Finished:
    """A finished book."""

    pdf: Path
    document: dict[str, Any]
    sources: Path

    def page(self, exercise: str, place: int = 0) -> int:
        """The first page of an exercise's study number *place*, in the order of the book."""
        pages = sorted(study["page"] for study in self.document["studies"] if study["exercise"] == exercise)
        return int(pages[place])


def build(book: Path, out: Path) -> Finished:
    """Build *book* into *out*, with a store of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "builder", "build", str(book), "--out", str(out)],
        capture_output=True,
        encoding="utf-8",
        cwd=ROOT,
        env={**os.environ, "ETUDEBOOK_CACHE": str(out.parent / "cache")},
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    name = book.parent.name if book.stem == "book" else book.stem
    document = json.loads((out / f"{name}.json").read_text(encoding="utf-8"))
    return Finished(out / f"{name}.pdf", document, out / "sources")


@pytest.fixture(scope="session")
def small(tmp_path_factory: pytest.TempPathFactory) -> Finished:
    """The first page: one exercise at two places."""
    return build(ROOT / "books" / "first-page" / "book.yaml", tmp_path_factory.mktemp("critic") / "out")


@pytest.fixture(scope="session")
def techniques(tmp_path_factory: pytest.TempPathFactory) -> Finished:
    """Exercises of the demonstration book with every kind of sign."""
    folder = tmp_path_factory.mktemp("critic-techniques")
    demo = ROOT / "books" / "harbour-lane"
    (folder / "exercises").mkdir()
    for name in TECHNIQUES:
        shutil.copy(demo / "exercises" / f"{name}.yaml", folder / "exercises")
    text = (demo / "book.yaml").read_text(encoding="utf-8")
    # Its term, levels and students speak of exercises that are not copied, as do its pages to read.
    kept = [line for line in text[: text.index("term:")].splitlines() if not line.startswith(("front:", "back:"))]
    (folder / "techniques.yaml").write_text(
        "\n".join([*kept, 'tracks: {base-url: "https://example.org/harbour-lane"}']) + "\n", encoding="utf-8"
    )
    return build(folder / "techniques.yaml", folder / "out")
