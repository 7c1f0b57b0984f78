"""Know that a book is finished already: the same inputs, and the files they made still whole.

In, Out:  what a build depends on, its folder; the summary kept from the build that made those files, or None
Not here: single pages, which the engraver's store knows
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from pathlib import Path

from builder.engraving import Store, find_lilypond
from builder.resources import folder
from builder.spec import BookSpec
from builder.summary import Summary, from_plain, to_plain


def build_key(spec: BookSpec, book: Path, options: Iterable[str], beside: Iterable[Path] = ()) -> str:
    """A digest of all that a build depends on: specs, files *beside* them, options, our own code and data, LilyPond."""
    digest = hashlib.sha256()
    engine = find_lilypond()
    own = spec.plan.fonts.every if spec.plan else ()
    for word in (*options, engine.version, engine.with_fonts(own).fonts):
        digest.update(f"{len(word)}:{word}".encode())
    for path in (book, *(Path(plan.places.file) for plan in spec.exercises), *beside, *_own_files()):
        data = path.read_bytes()
        digest.update(f"{path.name}:{len(data)}:".encode() + data)
    return digest.hexdigest()


def _own_files() -> list[Path]:
    folders = (Path(__file__).resolve().parent, folder("templates"), folder("shared"))
    return sorted(
        path
        for each in folders
        for path in each.rglob("*")
        if path.suffix in (".py", ".yaml", ".ly", ".ily") and path.is_file()
    )


def finished(key: str, store: Store, out: Path, seconds: float) -> Summary | None:
    """The kept summary if every file of that build still stands in *out* as it was written."""
    kept = store.value(key)
    if kept is None:
        return None
    try:
        record = json.loads(kept)
        whole = all(_digest(out / name) == digest for name, digest in record["files"].items())
        return from_plain(record["summary"], out, seconds) if whole else None
    except (OSError, ValueError, KeyError, TypeError):
        return None


def keep(
    key: str, store: Store, out: Path, summary: Summary, sources: Iterable[Path], tracks: Iterable[Path] = ()
) -> None:
    """Remember what a build made."""
    names = [path.relative_to(out).as_posix() for path in (*summary.files, *sources, *tracks)]
    files = {name: _digest(out / name) for name in names}
    store.keep_value(key, json.dumps({"files": files, "summary": to_plain(summary)}))


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
