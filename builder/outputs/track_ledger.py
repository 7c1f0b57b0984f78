"""Take away the files of studies that have left a book: those the program wrote itself, and no others.

Stage:    7 write
In, Out:  the studies of a build and of those before it; files that go
Not here: the files of studies that stay (`track_folders`)

The ledger of a folder names the studies that got files there, book by book. It is kept in the engraver's store; where
that was deleted, the JSON that the last build left says it.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import re
from collections.abc import Collection, Iterable, Mapping
from pathlib import Path

from builder.engraving import Store
from builder.outputs.track_files import ALL_TEMPOS, EXCHANGE

# What may be in a study's folder from a build before; anything else there is not ours to take away.
OURS = re.compile(rf"\d+(-loop)?\.(mid|mp3|wav|flac)|{ALL_TEMPOS}\.mid|side-\d+\.(svg|png)")


def enter(out: Path, book: str, studies: Iterable[str], whole: bool, before: Collection[str], store: Store) -> None:
    """Write down that *studies* of *book* got files in *out*; take away those of studies that left it.

    *before* are those of the last build's JSON. From a part of a book (not *whole*) nobody can tell what has left.
    """
    key, now = _key(out), set(studies)
    ledger = _ledger(store.value(key))
    known = ledger.get(book, frozenset()) | frozenset(before)
    others = frozenset[str]().union(*(ids for name, ids in ledger.items() if name != book))
    if whole:
        for study in known - now - others:
            _take_away(out, study)
    ledger[book] = frozenset(now if whole else now | known)
    store.keep_value(key, json.dumps({name: sorted(ids) for name, ids in sorted(ledger.items())}))


def studies_of(document: Path) -> frozenset[str]:
    """The studies that the JSON of a build names; none where there is no such file."""
    try:
        ids = [study["id"] for study in json.loads(document.read_text(encoding="utf-8"))["studies"]]
    except (OSError, ValueError, KeyError, TypeError):
        return frozenset()
    return frozenset(study for study in ids if isinstance(study, str) and _is_id(study))


def _is_id(text: str) -> bool:
    return re.fullmatch("[a-z0-9-]+", text) is not None


def _key(out: Path) -> str:
    return hashlib.sha256(f"tracks in {out.resolve()}".encode("utf-8", "surrogatepass")).hexdigest()


def _ledger(kept: str | None) -> dict[str, frozenset[str]]:
    """The studies by book; empty where the record is damaged."""
    try:
        plain: Mapping[str, list[str]] = json.loads(kept or "{}")
        return {book: frozenset(study for study in ids if _is_id(study)) for book, ids in plain.items()}
    except (ValueError, TypeError, AttributeError):
        return {}


def _take_away(out: Path, study: str) -> None:
    place = out / "tracks" / study
    with contextlib.suppress(OSError):
        (out / "exchange" / f"{study}{EXCHANGE}").unlink(missing_ok=True)
    with contextlib.suppress(OSError):
        if place.is_symlink():
            return
        for path in list(place.iterdir()):
            if OURS.fullmatch(path.name):
                path.unlink()
        place.rmdir()  # fails where a teacher keeps files of their own in it, and then it stays
