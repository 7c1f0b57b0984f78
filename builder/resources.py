"""Find templates/, shared/ and books/ in a checkout and in an installed wheel, and read a table of shared/."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from builder.errors import MachineError

_HERE = Path(__file__).resolve().parent


def folder(name: str) -> Path:
    """Return the folder *name* that travels with the package (`templates`, `shared`, `books`)."""
    for candidate in (_HERE / "_data" / name, _HERE.parent / name):
        if candidate.is_dir():
            return candidate
    raise MachineError(f"etudebook's own folder {name!r} is missing", "install the package again")


def table(name: str) -> Any:
    """Return the file *name* of shared/, which we wrote ourselves, as plain data."""
    import yaml  # commands that read no file do without it

    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)  # written in C, and a tenth of the time
    return yaml.load((folder("shared") / name).read_text(encoding="utf-8"), Loader=loader)
