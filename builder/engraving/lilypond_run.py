"""Run LilyPond and Ghostscript on a batch of bodies; turn their messages into complaints about single bodies.

Stage:    5 engrave
In, Out:  body texts and the shared style; for every body its single-page PDFs, or the complaints about it
Units:    page sizes are in points of 1/72 inch; time limits in seconds
Not here: which bodies to engrave (`batch`), what a body says (`lilypond_source`)

A batch is one file: style, then every body with its number. While LilyPond works it reports on its error stream which
body it has read and whose pages it has made, so a message without a line number is known by its neighbours. Pages
are cut by one Ghostscript call from the run's PostScript: a page's bytes then depend on nothing but its body.
"""

from __future__ import annotations

import functools
import importlib.metadata
import importlib.util
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from builder.engraving.fonts import fonts_digest, foreign_fonts
from builder.errors import MachineError

OLDEST_VERSION = (2, 25)  # the style uses 2.25's way to name fonts

# Our own choice, in seconds of processor time: a page takes 0.2. A batch out of time is only a doubt, so its limit is
# short, ten times what it needs; a body alone out of time is a verdict, so it gets a hundred times.
_START_LIMIT_S = 15
_BODY_LIMIT_S = 2
_ALONE_LIMIT_S = 20
_WALL_FACTOR = 6  # our own choice: other work on the machine may slow a run that much; a run that waits ends here
# Our own choice: 25 pages peak near 300 MB; ten times that is a body that eats memory without end.
_MEMORY_LIMIT_KB = 3_000_000
_LEAST_FREE_BYTES = 20_000_000  # our own choice: below this a batch of 25 pages has no room for its PostScript

# The encodings give a music glyph the same code on every page, so that a book needs one font object a font.
_FLAGS = ("--loglevel=WARN", "-dno-point-and-click", "-dmusic-font-encodings", "--ps")

_FONT_CONFIG = """<?xml version="1.0"?>
<!DOCTYPE fontconfig SYSTEM "fonts.dtd">
<fontconfig><cachedir prefix="xdg">fontconfig</cachedir></fontconfig>
"""

_PROLOGUE = r"""
#(define (engraving-note what key number)
  (format (current-error-port) "@@ ~a ~a ~a\n" what key number)
  (force-output (current-error-port)))
\paper {
  bookpart-level-page-numbering = ##t
  #(define (page-post-process layout pages)
    (let ((key (ly:output-def-lookup layout 'sourcekey)) (port (open-file "sides.txt" "a")))
      (format port "~a ~a\n" key (length pages))
      (close-port port)
      (engraving-note "page" key (length pages))))
}
"""

_MESSAGE = re.compile(
    r"^(?:(?P<file>[^:\n]+):(?P<line>\d+):\d+: )?(?P<kind>fatal error|programming error|error|warning): (?P<text>.*)$"
)
_OUT_OF_MEMORY = re.compile(r"GC Warning|[Oo]ut of [Mm]emory")
_NOTE = re.compile(r"^@@ (?P<what>read|page) (?P<key>\d+) (?P<sides>\d+)$")
_MACHINE_PATH = re.compile(r"[^\s`'\"(]*[/\\](?=[^\s/\\])")
_MEDIA = re.compile(rb"^%%DocumentMedia: \S+ ([\d.]+) ([\d.]+) ", re.MULTILINE)
_MEDIA_BOX = re.compile(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]")
_BOOKPART = re.compile(r"\\bookpart\s*\{")
# LilyPond sets all music before it makes the first page; these come from making pages, so their place is known.
_FROM_PAGES = re.compile(
    r"TEXT-OVERFLOW|MUSIC-OVERFLOW|no glyph for character|compressing over-full page|page \d+ has been compressed"
    r"|too few pages|tried to space systems|cannot find line breaking"
)
# What differs between two runs of Ghostscript on the same PostScript.
_TIME_BOUND = tuple(
    re.compile(pattern)
    for pattern in (
        rb"/(?:CreationDate|ModDate)\s*\(D:([^)]*)\)",
        rb"/ID\s*\[\s*<([0-9A-F]*)>\s*<[0-9A-F]*>\s*\]",
        rb"/ID\s*\[\s*<[0-9A-F]*>\s*<([0-9A-F]*)>\s*\]",
        rb"<xmp:(?:CreateDate|ModifyDate)>([^<]*)<",
        rb"uuid:([0-9a-fA-F-]+)",
    )
)


# LilyPond's facts about the whole document would land in whichever page happens to be the first of its batch.
_NO_DOCUMENT_FACTS = (
    "/pdfmark { dup /DOCINFO eq 1 index /DOCVIEW eq or { cleartomark } { systemdict /pdfmark get exec } ifelse } def"
)
_DIGIT = re.compile(rb"[0-9A-Fa-f]")


@dataclass(frozen=True, slots=True)
class Engine:
    """The tools: where LilyPond and Ghostscript are, their version, and a digest of the fonts they print with."""

    lilypond: Path
    ghostscript: Path
    version: str
    fonts: str


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


def run_batch(engine: Engine, style: str, bodies: Sequence[str]) -> BatchResult:
    """Engrave *bodies* in one run; a batch that leaves doubts asks for smaller ones.

    A body alone is always settled. Raises MachineError when the disk is full or a tool does not start.
    """
    try:
        with tempfile.TemporaryDirectory(prefix="etudebook-") as scratch:
            return _run_in(Path(scratch), engine, style, bodies)
    except OSError as error:
        raise MachineError(
            f"LilyPond can't be run: {error.strerror}", "is there room in the temporary folder?"
        ) from error


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
    return f"pip install lilypond brings both for Linux (x86-64), macOS and Windows; elsewhere: {own}"


def _run_in(folder: Path, engine: Engine, style: str, bodies: Sequence[str]) -> BatchResult:
    source = _Source(engine.version, style, bodies)
    (folder / "batch.ly").write_text(source.text, encoding="utf-8")
    (folder / "fonts.conf").write_text(_FONT_CONFIG, encoding="utf-8")
    limit_s = _START_LIMIT_S + _BODY_LIMIT_S * len(bodies) if len(bodies) > 1 else _ALONE_LIMIT_S
    code, said = _run([str(engine.lilypond), *_FLAGS, "batch.ly"], folder, limit_s)
    transcript = _transcript(said, source)
    if code == 0 and transcript.all_pinned and _sides(folder) == transcript.sides:
        code, pages = _cut(engine, folder, limit_s)
        if (
            code == 0
            and len(pages) == sum(transcript.sides.values())
            and set(transcript.sides) == set(range(len(bodies)))
        ):
            return BatchResult(_settle(transcript, pages), ())
    if shutil.disk_usage(folder).free < _LEAST_FREE_BYTES:
        raise MachineError("the disk is full: LilyPond has no room for its work", f"free some space in {folder.parent}")
    if len(bodies) == 1:
        return BatchResult({0: _alone(transcript, code)}, ())
    return BatchResult({}, _smaller(len(bodies), transcript))


@dataclass(slots=True)
class _Source:
    """The batch file and which body each of its lines belongs to."""

    version: str
    style: str
    bodies: Sequence[str]
    text: str = ""
    starts: list[int] = field(default_factory=list)  # first line of each body's share

    def __post_init__(self) -> None:
        parts = [f'\\version "{self.version}"\n{self.style}\n{_PROLOGUE}']
        line = parts[0].count("\n") + 1
        for number, body in enumerate(self.bodies):
            # A setting made before a part is inherited by the part's own paper block, and by nothing else in it.
            own = f'#(engraving-note "read" {number} 0)\n\\paper {{ sourcekey = "{number}" }}\n{_with_paper(body)}\n'
            parts.append(own)
            self.starts.append(line)
            line += own.count("\n")
        self.text = "".join(parts)

    def body_at(self, line: int) -> int | None:
        """Return the number of the body that wrote *line*, None for a line of the style."""
        number = sum(start <= line for start in self.starts) - 1
        return number if number >= 0 else None


def _with_paper(body: str) -> str:
    """Give a body without page settings an empty block, so that it has a paper to carry its number."""
    return body if "\\paper" in body else _BOOKPART.sub(lambda part: part[0] + " \\paper { }", body, count=1)


def _run(command: Sequence[str], folder: Path, limit_s: int) -> tuple[int | None, str]:
    """Run a tool for *limit_s* of processor time; return its exit code (None = stopped by the clock) and its words."""
    environment = {
        **{name: os.environ[name] for name in ("PATH", "SYSTEMROOT") if name in os.environ},
        "LC_ALL": "C",  # complaints are recognised by their English words
        "HOME": str(folder),
        "TMPDIR": str(folder),
        "TEMP": str(folder),
        "XDG_CACHE_HOME": str(folder),
        "FONTCONFIG_FILE": str(folder / "fonts.conf"),  # only LilyPond's own fonts, so that every machine prints alike
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


@dataclass(frozen=True, slots=True)
class _Complaint:
    """One finding of LilyPond; *body* is None where it could be anybody's."""

    text: str
    body: int | None


@dataclass(frozen=True, slots=True)
class _Transcript:
    """What a run said: its complaints, the sides of every body, and the body at work when it ended."""

    complaints: tuple[_Complaint, ...]
    sides: Mapping[int, int]
    at_work: int

    @property
    def all_pinned(self) -> bool:
        return all(complaint.body is not None for complaint in self.complaints)

    def about(self, body: int) -> tuple[str, ...]:
        """Return the complaints about *body*, each once."""
        return tuple(dict.fromkeys(complaint.text for complaint in self.complaints if complaint.body in (body, None)))


def _transcript(said: str, source: _Source) -> _Transcript:
    complaints: list[_Complaint] = []
    sides: dict[int, int] = {}
    count = len(source.bodies)
    reading, making = None, 0  # the body being read; the body whose pages are being made
    echo = False  # below a message LilyPond echoes the source
    for line in said.splitlines():
        note, message = _NOTE.match(line), _MESSAGE.match(line)
        if note and note["what"] == "read":
            reading = int(note["key"])
        elif note:
            reading, making = count - 1, int(note["key"]) + 1
            sides[making - 1] = int(note["sides"])
        elif message and not message["text"].startswith("failed files"):
            text = _words(f"{message['kind']}: {message['text']}")
            complaints.append(_Complaint(text, _culprit(message, source, reading, making)))
        elif line.strip() and not message and not echo:
            complaints.append(_Complaint(_words(line), 0 if count == 1 else None))
        echo = note is None
    at_work = reading if not sides and reading is not None and reading < count - 1 else min(making, count - 1)
    return _Transcript(tuple(complaints), sides, at_work)


def _culprit(message: re.Match[str], source: _Source, reading: int | None, making: int) -> int | None:
    """Return the body a message is about: by its line, else by what LilyPond was doing; None = doubtful."""
    count = len(source.bodies)
    if message["file"] == "batch.ly":
        body = source.body_at(int(message["line"]))
        if body is None:
            # Every page would fail for it, and no user can mend it.
            raise RuntimeError(
                f"the shared style has a fault in its line {int(message['line']) - 1}: {message['text']}"
            )
        return body
    if count == 1:
        return 0
    if reading is not None and reading < count - 1:
        return reading
    making_pages = making > 0 or _FROM_PAGES.search(message["text"]) is not None
    return making if making_pages and making < count else None


def _words(text: str) -> str:
    """Return LilyPond's words without this machine's folders, so that a message is the same everywhere."""
    return _MACHINE_PATH.sub("", text).strip()


def _sides(folder: Path) -> dict[int, int]:
    """Read the side file: how many pages each body made, in order; a body met twice makes the file useless."""
    try:
        lines = (folder / "sides.txt").read_text(encoding="ascii").split("\n")
    except OSError:
        return {}
    pairs = [tuple(map(int, line.split())) for line in lines if re.fullmatch(r"\d+ \d+", line)]
    keys = [pair[0] for pair in pairs]
    return {pair[0]: pair[1] for pair in pairs} if keys == sorted(set(keys)) else {}


def _cut(engine: Engine, folder: Path, limit_s: int) -> tuple[int | None, tuple[bytes, ...]]:
    """Turn the run's PostScript into one PDF a page, the same bytes each time."""
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
        "-dFIXEDMEDIA", f"-dDEVICEWIDTHPOINTS={width}", f"-dDEVICEHEIGHTPOINTS={height}", "-sOutputFile=page%03d.pdf",
        "-c", _NO_DOCUMENT_FACTS, "-f", "batch.ps",
    ]  # fmt: skip
    # Ghostscript 9.56 adds a broken page of its own where the number has four digits (%04d).
    code, _ = _run(command, folder, limit_s)
    made = sorted(folder.glob("page*.pdf"), key=lambda path: int(path.stem.removeprefix("page")))
    pages = tuple(_timeless(path.read_bytes()) for path in made)
    wanted = (float(width), float(height))
    return (code if all(_page_size(page) == wanted for page in pages) else 1), pages


def _page_size(pdf: bytes) -> tuple[float, float] | None:
    box = _MEDIA_BOX.search(pdf)
    return (float(box[1]), float(box[2])) if box else None


def _timeless(pdf: bytes) -> bytes:
    """Overwrite the digits of dates and random identifiers by ones: no offset moves, and a date stays a date."""
    for pattern in _TIME_BOUND:
        pdf = pattern.sub(lambda found: found[0].replace(found[1], _DIGIT.sub(b"1", found[1]), 1), pdf)
    return pdf


def _settle(transcript: _Transcript, pages: Sequence[bytes]) -> dict[int, Engraved]:
    settled: dict[int, Engraved] = {}
    rest = iter(pages)
    for body in sorted(transcript.sides):
        own = tuple(next(rest) for _ in range(transcript.sides[body]))
        foreign = dict.fromkeys(font for page in own for font in foreign_fonts(page))
        complaints = (*transcript.about(body), *(f"a character the fonts lack: set in {font}" for font in foreign))
        settled[body] = Engraved(len(own), complaints, () if complaints else own)
    return settled


def _alone(transcript: _Transcript, code: int | None) -> Engraved:
    """Return the failure of a body that was alone in its run."""
    said = transcript.about(0)
    if code is None:
        return Engraved(0, (*said, "LilyPond was stopped by the clock"), (), lasting=False)
    if code < 0 or code > 128 or any(_OUT_OF_MEMORY.search(words) for words in said):
        return Engraved(0, (*said, "LilyPond was stopped by a limit of time or memory"), (), lasting=False)
    silence = "LilyPond made no page" if code == 0 else f"LilyPond stopped without a word (exit {code})"
    return Engraved(0, said or (silence,), (), lasting=bool(said))


def _smaller(count: int, transcript: _Transcript) -> tuple[tuple[int, ...], ...]:
    """Split a batch that failed: whoever was named alone, the others together; halves if nobody was, or everybody."""
    named = {complaint.body for complaint in transcript.complaints if complaint.body is not None}
    named = named or {transcript.at_work}
    others = tuple(body for body in range(count) if body not in named)
    if others:
        return (*((body,) for body in sorted(named)), others)
    return tuple(range(count // 2)), tuple(range(count // 2, count))
