"""The text of a batch, and what LilyPond's messages about it say of its single bodies.

Stage:    5 engrave
In, Out:  body texts and the shared style, what a run said; the batch file, complaints by body
Not here: running LilyPond (`lilypond_run`)

While LilyPond works it reports on its error stream which body it has read and whose pages it has made, so a message
without a line number is known by its neighbours.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

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
_NOTE = re.compile(r"^@@ (?P<what>read|page) (?P<key>\d+) (?P<sides>\d+)$")
_MACHINE_PATH = re.compile(r"[^\s`'\"(]*[/\\](?=[^\s/\\])")
_BOOKPART = re.compile(r"\\bookpart\s*\{")
# LilyPond sets all music before it makes the first page; these come from making pages, so their place is known.
_FROM_PAGES = re.compile(
    r"TEXT-OVERFLOW|MUSIC-OVERFLOW|no glyph for character|compressing over-full page|page \d+ has been compressed"
    r"|too few pages|tried to space systems|cannot find line breaking"
)
# One of many shapes that LilyPond weighs for a slur could not be judged: it takes another, and the slurs looked at were
# as good as their neighbours. It hangs on a ten-thousandth of a staff space, so no other size is safe from it.
_HARMLESS = re.compile(r"^programming error: no solution found for Bezier intersection$")


@dataclass(slots=True)
class BatchText:
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


@dataclass(frozen=True, slots=True)
class Complaint:
    """One finding of LilyPond; *body* is None where it could be anybody's."""

    text: str
    body: int | None


@dataclass(frozen=True, slots=True)
class Account:
    """What a run said: its complaints, the sides of every body, and the body at work when it ended."""

    complaints: tuple[Complaint, ...]
    sides: Mapping[int, int]
    at_work: int

    @property
    def all_pinned(self) -> bool:
        """Whether every complaint is known to be about one body."""
        return all(complaint.body is not None for complaint in self.complaints)

    def about(self, body: int) -> tuple[str, ...]:
        """Return the complaints about *body*, each once."""
        return tuple(dict.fromkeys(complaint.text for complaint in self.complaints if complaint.body in (body, None)))


def read_messages(said: str, source: BatchText) -> Account:
    """Read the words of a run on *source*: complaints, each with its body where that is certain, and sides made."""
    complaints: list[Complaint] = []
    sides: dict[int, int] = {}
    count = len(source.bodies)
    reading, making = None, 0  # the body being read; the body whose pages are being made
    echo = False  # below a message LilyPond echoes the source
    for line in _worth_reading(said):
        note, message = _NOTE.match(line), _MESSAGE.match(line)
        if note and note["what"] == "read":
            reading = int(note["key"])
        elif note:
            reading, making = count - 1, int(note["key"]) + 1
            sides[making - 1] = int(note["sides"])
        elif message and not message["text"].startswith("failed files"):
            text = _words(f"{message['kind']}: {message['text']}")
            complaints.append(Complaint(text, _culprit(message, source, reading, making)))
        elif line.strip() and not message and not echo:
            complaints.append(Complaint(_words(line), 0 if count == 1 else None))
        echo = note is None
    at_work = reading if not sides and reading is not None and reading < count - 1 else min(making, count - 1)
    return Account(tuple(complaints), sides, at_work)


def _worth_reading(said: str) -> Iterator[str]:
    """Yield the lines of what a run said without harmless messages and the line that LilyPond adds to each."""
    after_harmless = False
    for line in said.splitlines():
        harmless = _HARMLESS.match(line) is not None
        if not harmless and not (after_harmless and line.startswith("continuing")):
            yield line
        after_harmless = harmless


def _culprit(message: re.Match[str], source: BatchText, reading: int | None, making: int) -> int | None:
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
