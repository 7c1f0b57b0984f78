"""Know that a book is finished already: the same inputs, and the files they made still whole.

In, Out:  what a build depends on, its folder; the summary kept from the build that made those files, or None
Not here: single pages, which the engraver's store knows

Two questions, the quick one first. Does every file beside the book say what it said before the last build (`standing`)?
Then nothing need be read as a spec, nor the code that reads specs be loaded. Else the specs are read, and files that
no build reads may have changed (`finished`).
"""

from __future__ import annotations

import hashlib
import json
import time
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from builder.engraving import Store, default_folder, find_lilypond
from builder.errors import MachineError
from builder.request import BuildRequest
from builder.resources import folder
from builder.summary import Outcome, Summary, from_plain, to_plain

if TYPE_CHECKING:
    from builder.spec import BookSpec

Inputs = Mapping[str, str]  # the digest of each file by its path from the book's folder

# Our own choice: what is read within a tenth of a second. A book among more files is asked the slower way.
_MOST_FILES, _MOST_BYTES = 2_000, 60_000_000


def standing(request: BuildRequest) -> Outcome | None:
    """What the last build left, where all files beside the book are as they were before it and its own are whole."""
    began, store = time.monotonic(), Store(default_folder())
    try:
        kept = store.value(_standing_key(request))
        record = json.loads(kept) if kept else {}
        if not record or record["inputs"] != inputs_of(request):
            return None
        known = finished(record["key"], store, request.folder, time.monotonic() - began)
        text = (request.folder / record["document"]).read_text(encoding="utf-8")
        return Outcome(json.loads(text), known) if known else None
    except (MachineError, OSError, ValueError, KeyError, TypeError):
        return None  # what is wrong is for the build to say, after what is wrong with the specs


def inputs_of(request: BuildRequest) -> Inputs | None:
    """Every file beside the book but those of the build's folder; None where they are too many, or not all there is.

    To be asked before a build reads them: what is changed while it works is new to the next one.
    """
    elsewhere = (request.students is not None, request.templates, request.soundfont, request.audio, request.syllabus)
    if any(elsewhere):
        return None
    beside, out = request.book.resolve().parent, request.folder.resolve()
    found: dict[str, str] = {}
    size = 0
    for path in sorted(beside.rglob("*")):
        if path.is_relative_to(out) or not path.is_file():
            continue
        size += path.stat().st_size
        if len(found) == _MOST_FILES or size > _MOST_BYTES:
            return None
        found[path.relative_to(beside).as_posix()] = _digest(path)
    return found


def keep_standing(
    request: BuildRequest, before: Inputs | None, read: Iterable[Path], key: str, document: str, store: Store
) -> None:
    """Remember that the build *key* was made from the files *before* it, if all that it *read* is among them."""
    beside = request.book.resolve().parent
    if before is None or not all(_name(path, beside) in before for path in (request.book, *read)):
        return
    record = {"inputs": dict(before), "key": key, "document": document}
    store.keep_value(_standing_key(request), json.dumps(record))


def _name(path: Path, beside: Path) -> str:
    path = path.resolve()
    return path.relative_to(beside).as_posix() if path.is_relative_to(beside) else ""


def _standing_key(request: BuildRequest) -> str:
    digest, engine = hashlib.sha256(), find_lilypond()
    places = (request.book.resolve(), request.folder.resolve())
    asked = (request.only, request.pages_only, request.strict, request.exchange, request.teacher, request.layout)
    digest.update(repr((*map(str, places), asked, engine.version, engine.fonts)).encode())
    for path in _own_files():
        digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()


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
