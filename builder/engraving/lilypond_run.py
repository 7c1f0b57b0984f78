"""Run LilyPond and Ghostscript on a batch of bodies; turn their messages into complaints about single bodies.

Stage:    5 engrave
In, Out:  body texts and the shared style; for every body its single-page PDFs, or the complaints about it
Units:    page sizes are in points of 1/72 inch; time limits in seconds
Not here: which bodies to engrave (`batch`), what a body says (`lilypond_source`)

Pages are cut by one Ghostscript call from the run's PostScript: what a page shows and carries then depends on nothing
but its body. Only the order in which it lists its fonts may change with its company; whoever joins pages must sort.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from builder.engraving.engine import Engine
from builder.engraving.fonts import foreign_fonts
from builder.engraving.messages import Account, BatchText, read_messages
from builder.engraving.page_bytes import same_each_time
from builder.errors import MachineError

# Our own choice, in seconds of processor time: a page takes 0.2. A batch out of time is only a doubt, so its limit is
# short, ten times what it needs; a body alone out of time is a verdict, so it gets a hundred times.
_START_LIMIT_S = 15
_BODY_LIMIT_S = 2
_ALONE_LIMIT_S = 20
_WALL_FACTOR = 6  # our own choice: other work on the machine may slow a run that much; a run that waits ends here
# Our own choice: 14 pages peak near 400 MB; eight times that is a body that eats memory without end.
_MEMORY_LIMIT_KB = 3_000_000
_LEAST_FREE_BYTES = 20_000_000  # our own choice: below this a batch of 14 pages has no room for its PostScript
# Collecting garbage takes LilyPond a quarter of its time, and a batch ends before its garbage fills the memory of the
# machine. A body alone collects: it may be the one that ate the memory of its batch.
_NO_COLLECTION = {"GC_DONT_GC": "1"}

# The encodings give a music glyph the same code on every page, so that a book needs one font object a font.
_FLAGS = ("--loglevel=WARN", "-dno-point-and-click", "-dmusic-font-encodings", "--ps")

_FONT_CONFIG = """<?xml version="1.0"?>
<!DOCTYPE fontconfig SYSTEM "fonts.dtd">
<fontconfig><dir>{fonts}</dir><cachedir prefix="xdg">fontconfig</cachedir></fontconfig>
"""

_OUT_OF_MEMORY = re.compile(r"GC Warning|[Oo]ut of [Mm]emory")
_MEDIA = re.compile(rb"^%%DocumentMedia: \S+ ([\d.]+) ([\d.]+) ", re.MULTILINE)
_MEDIA_BOX = re.compile(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]")
# LilyPond's facts about the whole document would land in whichever page happens to be the first of its batch.
_NO_DOCUMENT_FACTS = (
    "/pdfmark { dup /DOCINFO eq 1 index /DOCVIEW eq or { cleartomark } { systemdict /pdfmark get exec } ifelse } def"
)
# LilyPond names every colour by red, green and blue; a printer would mix the black of a page from all of its inks.
_ONE_INK = (
    "/setrgbcolor { 3 copy 1 index eq 3 1 roll eq and { pop pop setgray } "
    "{ systemdict /setrgbcolor get exec } ifelse } def"
)


@dataclass(frozen=True, slots=True)
class Engraved:
    """What became of one body: how many sides, the complaints, and without complaint its pages.

    *lasting* is false where the machine, not the body, may be to blame (a limit of time or memory).
    """

    sides: int
    complaints: tuple[str, ...]
    pages: tuple[bytes, ...]
    lasting: bool = True


@dataclass(frozen=True, slots=True)
class BatchResult:
    """The bodies (by number) whose fate is known, and groups of bodies to run again to know theirs."""

    settled: Mapping[int, Engraved]
    again: tuple[tuple[int, ...], ...]


def run_batch(engine: Engine, style: str, bodies: Sequence[str]) -> BatchResult:
    """Engrave *bodies* in one run; a batch that leaves doubts asks for smaller ones.

    A body alone is always settled. Raises MachineError when the disk is full or a tool does not start.
    """
    return _run_somewhere(engine, style, bodies, whole=False)


def run_whole(engine: Engine, style: str, body: str) -> BatchResult:
    """Engrave one body and leave its pages in one PDF; otherwise as `run_batch`."""
    return _run_somewhere(engine, style, [body], whole=True)


def _run_somewhere(engine: Engine, style: str, bodies: Sequence[str], whole: bool) -> BatchResult:
    try:
        with tempfile.TemporaryDirectory(prefix="etudebook-") as scratch:
            return _run_in(Path(scratch), engine, style, bodies, whole)
    except OSError as error:
        raise MachineError(
            f"LilyPond can't be run: {error.strerror}", "is there room in the temporary folder?"
        ) from error


def _run_in(folder: Path, engine: Engine, style: str, bodies: Sequence[str], whole: bool) -> BatchResult:
    source = BatchText(engine.version, style, bodies)
    (folder / "batch.ly").write_text(source.text, encoding="utf-8")
    (folder / "fonts").mkdir()
    for font in engine.own:  # under names of ours, copied: what fontconfig is told is then free of a user's paths
        shutil.copyfile(font.file, folder / "fonts" / f"{font.digest[:16]}{Path(font.file).suffix.lower()}")
    (folder / "fonts.conf").write_text(_FONT_CONFIG.format(fonts=folder / "fonts"), encoding="utf-8")
    limit_s = _START_LIMIT_S + _BODY_LIMIT_S * len(bodies) if len(bodies) > 1 else _ALONE_LIMIT_S
    settings = _NO_COLLECTION if len(bodies) > 1 else {}
    code, said = _run([str(engine.lilypond), *_FLAGS, "batch.ly"], folder, limit_s, settings)
    account = read_messages(said, source)
    if code == 0 and account.all_pinned and _sides(folder) == account.sides:
        code, pages = _cut(engine, folder, limit_s, whole)
        shares = {body: 1 if whole else count for body, count in account.sides.items()}
        if code == 0 and len(pages) == sum(shares.values()) and set(shares) == set(range(len(bodies))):
            return BatchResult(_settle(account, shares, pages, [font.printed_name for font in engine.own]), ())
    if shutil.disk_usage(folder).free < _LEAST_FREE_BYTES:
        raise MachineError("the disk is full: LilyPond has no room for its work", f"free some space in {folder.parent}")
    if len(bodies) == 1:
        return BatchResult({0: _alone(account, code)}, ())
    return BatchResult({}, _smaller(len(bodies), account))


def _run(command: Sequence[str], folder: Path, limit_s: int, settings: Mapping[str, str]) -> tuple[int | None, str]:
    """Run a tool for *limit_s* of processor time; return its exit code (None = stopped by the clock) and its words."""
    environment = {
        **{name: os.environ[name] for name in ("PATH", "SYSTEMROOT") if name in os.environ},
        "LC_ALL": "C",  # complaints are recognised by their English words
        "HOME": str(folder),
        "TMPDIR": str(folder),
        "TEMP": str(folder),
        "XDG_CACHE_HOME": str(folder),
        "FONTCONFIG_FILE": str(folder / "fonts.conf"),  # only LilyPond's own fonts, so that every machine prints alike
        **settings,
    }
    try:
        done = subprocess.run(
            _limited(command, limit_s), cwd=folder, env=environment, stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, timeout=_WALL_FACTOR * limit_s,
        )  # fmt: skip
    except subprocess.TimeoutExpired as error:
        return None, (error.stdout or b"").decode("utf-8", "replace")
    return done.returncode, done.stdout.decode("utf-8", "replace")


def _limited(command: Sequence[str], limit_s: int) -> list[str]:
    """Put limits of memory and processor time around *command* where there is a shell to set them.

    The shell sets them after the fork; doing so in Python is unsafe beside threads. The processor limit also ends a
    tool whose build was killed.
    """
    if sys.platform == "win32":
        return list(command)
    limits = f"ulimit -c 0; ulimit -t {limit_s} 2>/dev/null; ulimit -v {_MEMORY_LIMIT_KB} 2>/dev/null"
    return ["/bin/sh", "-c", f'{limits}; exec "$@"', "sh", *command]


def _sides(folder: Path) -> dict[int, int]:
    """Read the side file: how many pages each body made, in order; a body met twice makes the file useless."""
    try:
        lines = (folder / "sides.txt").read_text(encoding="ascii").split("\n")
    except OSError:
        return {}
    pairs = [tuple(map(int, line.split())) for line in lines if re.fullmatch(r"\d+ \d+", line)]
    keys = [pair[0] for pair in pairs]
    return {pair[0]: pair[1] for pair in pairs} if keys == sorted(set(keys)) else {}


def _cut(engine: Engine, folder: Path, limit_s: int, whole: bool) -> tuple[int | None, tuple[bytes, ...]]:
    """Turn the run's PostScript into one PDF a page, or into a single one, the same bytes each time."""
    postscript = folder / "batch.ps"
    if not postscript.is_file():
        return 1, ()
    with postscript.open("rb") as file:
        media = _MEDIA.search(file.read(4096))
    if media is None:
        return 1, ()
    width, height = media[1].decode(), media[2].decode()
    command = [
        str(engine.ghostscript), "-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-sDEVICE=pdfwrite",
        "-dCompatibilityLevel=1.4", "-dParseDSCComments=false", "-dAutoRotatePages=/None", "-dEmbedAllFonts=true",
        "-dCompressFonts=false",  # they are joined and compressed when the book is written
        "-dFIXEDMEDIA", f"-dDEVICEWIDTHPOINTS={width}", f"-dDEVICEHEIGHTPOINTS={height}",
        f"-sOutputFile=page{'1' if whole else '%03d'}.pdf",
        "-c", _NO_DOCUMENT_FACTS, _ONE_INK, "-f", "batch.ps",
    ]  # fmt: skip
    # Ghostscript 9.56 adds a broken page of its own where the number has four digits (%04d).
    code, _ = _run(command, folder, limit_s, {})
    made = sorted(folder.glob("page*.pdf"), key=lambda path: int(path.stem.removeprefix("page")))
    pages = tuple(same_each_time(path.read_bytes()) for path in made)
    wanted = (float(width), float(height))
    return (code if all(_page_size(page) == wanted for page in pages) else 1), pages


def _page_size(pdf: bytes) -> tuple[float, float] | None:
    box = _MEDIA_BOX.search(pdf)
    return (float(box[1]), float(box[2])) if box else None


def _settle(
    account: Account, shares: Mapping[int, int], pages: Sequence[bytes], own_fonts: Sequence[str]
) -> dict[int, Engraved]:
    """Give every body its share of the PDFs."""
    settled: dict[int, Engraved] = {}
    rest = iter(pages)
    for body in sorted(account.sides):
        own = tuple(next(rest) for _ in range(shares[body]))
        foreign = dict.fromkeys(font for page in own for font in foreign_fonts(page, own_fonts))
        complaints = (*account.about(body), *(f"a character the fonts lack: set in {font}" for font in foreign))
        settled[body] = Engraved(account.sides[body], complaints, () if complaints else own)
    return settled


def _alone(account: Account, code: int | None) -> Engraved:
    """Return the failure of a body that was alone in its run."""
    said = account.about(0)
    if code is None:
        return Engraved(0, (*said, "LilyPond was stopped by the clock"), (), lasting=False)
    if code < 0 or code > 128 or any(_OUT_OF_MEMORY.search(words) for words in said):
        return Engraved(0, (*said, "LilyPond was stopped by a limit of time or memory"), (), lasting=False)
    silence = "LilyPond made no page" if code == 0 else f"LilyPond stopped without a word (exit {code})"
    return Engraved(0, said or (silence,), (), lasting=bool(said))


def _smaller(count: int, account: Account) -> tuple[tuple[int, ...], ...]:
    """Split a batch that failed: whoever was named alone, the others together; halves if nobody was, or everybody."""
    named = {complaint.body for complaint in account.complaints if complaint.body is not None}
    named = named or {account.at_work}
    others = tuple(body for body in range(count) if body not in named)
    if others:
        return (*((body,) for body in sorted(named)), others)
    return tuple(range(count // 2)), tuple(range(count // 2, count))
