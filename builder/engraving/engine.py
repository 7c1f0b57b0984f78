"""Find the tools: LilyPond from its PyPI wheel or the search path, and the Ghostscript that goes with it.

Stage:    5 engrave
Not here: running them (`lilypond_run`)
"""

from __future__ import annotations

import functools
import importlib.metadata
import importlib.util
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from builder.engraving.fonts import fonts_digest
from builder.errors import MachineError

if TYPE_CHECKING:  # the models of specs take long to import, and a book that stands finished does without them
    from builder.spec.plan import OwnFont

OLDEST_VERSION = (2, 25)  # the style uses 2.25's way to name fonts


@dataclass(frozen=True, slots=True)
class Engine:
    """The tools: where LilyPond and Ghostscript are, their version, and a digest of the fonts they print with.

    *own* are font files of the book, besides those that travel with LilyPond.
    """

    lilypond: Path
    ghostscript: Path
    version: str
    fonts: str
    own: tuple[OwnFont, ...] = ()

    def with_fonts(self, own: tuple[OwnFont, ...]) -> Engine:
        """The same tools, printing with a book's own fonts, too."""
        return replace(self, own=own, fonts=" ".join((self.fonts, *sorted(font.digest for font in own))))


@functools.cache
def find_lilypond() -> Engine:
    """Return LilyPond from its PyPI wheel, else a new enough one on the search path.

    Raises MachineError, worded for the platform, when there is none or its Ghostscript is missing.
    """
    lilypond = _from_wheel() or _from_path()
    if lilypond is None:
        raise MachineError("LilyPond is missing; etudebook engraves its pages with it", _install_hint())
    executable, version = lilypond
    ghostscript = _ghostscript(executable)
    if ghostscript is None:
        raise MachineError("Ghostscript is missing; LilyPond's pages become PDF with it", _install_hint("ghostscript"))
    root = executable.resolve().parent.parent
    fonts = "".join(fonts_digest(folder) for folder in sorted(root.glob("share/lilypond/*/fonts/otf")))
    return Engine(executable, ghostscript, version, fonts)


def _from_wheel() -> tuple[Path, str] | None:
    if importlib.util.find_spec("lilypond") is None:
        return None
    name = "lilypond.exe" if sys.platform == "win32" else "lilypond"
    executable = Path(importlib.import_module("lilypond").executable(name))
    try:
        # Asking the program itself costs a tenth of a second, a third of a build in which nothing changed.
        return (executable, importlib.metadata.version("lilypond")) if executable.is_file() else None
    except importlib.metadata.PackageNotFoundError:
        return None


def _from_path() -> tuple[Path, str] | None:
    found = shutil.which("lilypond")
    if found is None:
        return None
    try:
        said = subprocess.run([found, "--version"], capture_output=True, text=True, timeout=60).stdout
    except (OSError, subprocess.TimeoutExpired) as error:
        raise MachineError(f"{found} does not start", _install_hint()) from error
    number = re.search(r"LilyPond (\d+)\.(\d+)\.(\d+)", said)
    if number is None or (int(number[1]), int(number[2])) < OLDEST_VERSION:
        version = ".".join(number.groups()) if number else "an unknown version"
        raise MachineError(f"LilyPond 2.25 or newer is needed, {found} is {version}", _install_hint())
    return Path(found), ".".join(number.groups())


def _ghostscript(lilypond: Path) -> Path | None:
    root = lilypond.resolve().parent.parent
    for candidate in ("libexec/gs", "bin/gs", "bin/gs.exe", "libexec/gs.exe", "bin/gswin64c.exe"):
        if (root / candidate).is_file():
            return root / candidate
    found = next(filter(None, map(shutil.which, ("gs", "gswin64c", "gswin32c"))), None)
    return Path(found) if found else None


def _install_hint(package: str = "lilypond") -> str:
    by_platform = {"darwin": f"brew install {package}", "win32": f"install {package} from its own site"}
    own = by_platform.get(sys.platform, f"install {package} with your system's packages")
    return f"pip install lilypond brings both for Linux (x86-64), macOS (Intel) and Windows (x64); elsewhere: {own}"
