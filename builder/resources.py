"""Find templates/, shared/ and books/ in a checkout and in an installed wheel."""

from __future__ import annotations

from pathlib import Path

from builder.errors import MachineError

_HERE = Path(__file__).resolve().parent


def folder(name: str) -> Path:
    """Return the folder *name* that travels with the package (`templates`, `shared`, `books`)."""
    for candidate in (_HERE / "_data" / name, _HERE.parent / name):
        if candidate.is_dir():
            return candidate
    raise MachineError(f"etudebook's own folder {name!r} is missing", "install the package again")
