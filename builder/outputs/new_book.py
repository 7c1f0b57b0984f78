"""A small working book to start from: the one in shared/new-book, copied."""

from __future__ import annotations

from pathlib import Path

from builder.errors import Location, MachineError, Problem, SpecError
from builder.outputs.files import write_whole
from builder.resources import folder


def write_new_book(target: Path) -> Path:
    """Copy the starting book into *target*, which must be new or empty; return its book file."""
    try:
        taken = target.exists() and (not target.is_dir() or any(target.iterdir()))
    except OSError as error:
        raise MachineError(f"{target}: could not be read ({error.strerror})", "choose another folder") from error
    if taken:
        raise SpecError(
            [
                Problem(
                    Location(str(target)),
                    "",
                    "a file or a folder that is not empty",
                    "a new or empty folder",
                    "choose another name",
                )
            ]
        )
    source = folder("shared") / "new-book"
    for path in sorted(source.rglob("*.yaml")):
        write_whole(target / path.relative_to(source), path.read_bytes())
    return target / "book.yaml"
