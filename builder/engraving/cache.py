"""Content-addressed store of engraved pages and of what is known about attempts.

Stage:    5 engrave
In, Out:  keys (hexadecimal digests) and values; bytes in, files that never change out
Not here: what makes up a key (`batch`), sizes and pruning

Two builds may use one store at once: a file appears whole under its final name or not at all, and writing the same
value twice is harmless. A damaged entry reads as a missing one.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
import tempfile
from dataclasses import dataclass
from pathlib import Path

import platformdirs

from builder.errors import MachineError

_VARIABLE = "ETUDEBOOK_CACHE"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of an attempt: how many sides it filled, what LilyPond complained of, its pages if it did not."""

    sides: int
    complaints: tuple[str, ...]
    pages: tuple[Path, ...]


def default_folder() -> Path:
    """Return where the store lives: `$ETUDEBOOK_CACHE`, else the user's cache folder, else a temporary one.

    A home that can't be written (a container, a classroom machine) costs speed, never the build.
    """
    named = os.environ.get(_VARIABLE)
    if named:
        return Path(named).expanduser()
    home = Path(platformdirs.user_cache_dir("etudebook"))
    if _can_write(home):
        return home
    owner = os.getuid() if hasattr(os, "getuid") else "user"
    shared = Path(tempfile.gettempdir()) / f"etudebook-cache-{owner}"
    # A folder anyone could have made under this guessable name is not to be trusted with pages we print.
    return shared if _can_write(shared) and _is_ours(shared) else Path(tempfile.mkdtemp(prefix="etudebook-cache-"))


@dataclass(frozen=True, slots=True)
class Store:
    """The store in one folder; the folder is made when the first value is written."""

    folder: Path

    def outcome(self, key: str) -> Outcome | None:
        """Return what became of the attempt *key*, None when it is not known or its entry is damaged."""
        record = self.value(key)
        try:
            known = json.loads(record) if record else {}
            digests, sides, complaints = list(known["pages"]), int(known["sides"]), tuple(map(str, known["complaints"]))
        except (ValueError, KeyError, TypeError):
            return None
        pages = tuple(self._blob(str(digest)) for digest in digests)
        whole = all(_sha256(page) == digest for page, digest in zip(pages, digests, strict=True))
        return Outcome(sides, complaints, pages) if whole else None

    def keep_outcome(self, key: str, sides: int, complaints: tuple[str, ...], pages: tuple[bytes, ...]) -> Outcome:
        """Write down what became of the attempt *key* and return it as `outcome` will."""
        digests = [hashlib.sha256(page).hexdigest() for page in pages]
        for digest, page in zip(digests, pages, strict=True):
            self._write(self._blob(digest), page)
        self.keep_value(key, json.dumps({"complaints": complaints, "pages": digests, "sides": sides}))
        return Outcome(sides, complaints, tuple(self._blob(digest) for digest in digests))

    def value(self, key: str) -> str | None:
        """Return the small text kept under *key*, None when there is none or it is damaged."""
        try:
            digest, _, text = self._value_file(key).read_text(encoding="utf-8").partition("\n")
        except (OSError, UnicodeDecodeError):
            return None
        return text if hashlib.sha256(text.encode()).hexdigest() == digest else None

    def keep_value(self, key: str, text: str) -> None:
        """Keep a small text under *key*."""
        digest = hashlib.sha256(text.encode()).hexdigest()
        self._write(self._value_file(key), f"{digest}\n{text}".encode())

    def _blob(self, digest: str) -> Path:
        return self.folder / "pages" / digest[:2] / f"{digest}.pdf"

    def _value_file(self, key: str) -> Path:
        return self.folder / "values" / key[:2] / key

    def _write(self, path: Path, content: bytes) -> None:
        scratch = None
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            handle, scratch = tempfile.mkstemp(prefix=".new-", dir=path.parent)
            with open(handle, "wb") as file:
                file.write(content)
            os.replace(scratch, path)
        except OSError as error:
            if scratch is not None:
                with contextlib.suppress(OSError):
                    os.unlink(scratch)
            raise _storage_error(path, error) from error


def _storage_error(path: Path, error: OSError) -> MachineError:
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return MachineError(f"the disk is full: {path} can't be written", f"free some space, or set {_VARIABLE}")
    return MachineError(f"{path} can't be written: {error.strerror}", f"set {_VARIABLE} to a folder you may write")


def _sha256(path: Path) -> str:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:
        return ""


def _can_write(folder: Path) -> bool:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            return True
    except OSError:
        return False


def _is_ours(folder: Path) -> bool:
    return not hasattr(os, "getuid") or (not folder.is_symlink() and folder.stat().st_uid == os.getuid())
