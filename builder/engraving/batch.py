"""Engrave sheets: from the cache where known, the rest in balanced batches, down each sheet's ladder of attempts.

Stage:    5 engrave
In, Out:  `Sheet`s and the shared style; `EngravedSheet`s by key, and a `Problem` for every sheet that no attempt fits
Not here: the LilyPond text (`lilypond_source`), one run of it (`lilypond_run`), files (`cache`)

LilyPond is a process of its own, so a thread a batch is enough. Batches of many pages cost less than half of single
runs, so attempts wait for company.
"""

from __future__ import annotations

import hashlib
from collections import deque
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass
from typing import TYPE_CHECKING

from builder.engraving.cache import Outcome, Store
from builder.engraving.engine import Engine, find_lilypond
from builder.engraving.lilypond_run import BatchResult, Engraved, run_batch, run_whole
from builder.engraving.sheet import Body, EngravedSheet, Sheet
from builder.errors import Problem

if TYPE_CHECKING:  # the models of specs take long to import, and a book that stands finished does without them
    from builder.spec.plan import OwnFont

LARGEST_BATCH = 28  # LilyPond collects no garbage, so a page takes up to 28 MB …
_PAGES_AT_ONCE = 56  # … and all runs together stay under 1.6 GB: with more runs at a time each gets fewer pages
_SMALLEST_BATCH = 8  # below that, starting LilyPond costs more than its pages

_LAST_SHARE = 0.4  # of the size of a batch: on two cores a smaller one costs more in LilyPond's start than it saves

# Part of every key; to be raised when the way a page is cut or judged changes.
_RULES = "9"


@dataclass(frozen=True, slots=True)
class Engraving:
    """All sheets that are on paper, by key, and a problem for each that is not."""

    sheets: dict[str, EngravedSheet]
    problems: tuple[Problem, ...]


def engrave(
    sheets: Sequence[Sheet],
    style: str,
    store: Store,
    jobs: int,
    on_progress: Callable[[int, int], None],
    own_fonts: tuple[OwnFont, ...] = (),
) -> Engraving:
    """Engrave *sheets*, taking for each the first of its attempts that fits.

    *jobs* is the number of LilyPond runs at a time. *on_progress* gets the number of sheets done and of all, always
    from the calling thread. *own_fonts* are those of the book that *style* names. A page made is kept in *store* at
    once, so a failing sheet costs the others nothing.
    """
    with Desk(style, store, jobs, own_fonts) as desk:
        return desk.settle(sheets, on_progress)


def attempt_key(body: str, style: str, engine: Engine) -> str:
    """Return the key of an attempt: all that changes what LilyPond makes of it, and nothing else."""
    digest = hashlib.sha256()
    for part in (_RULES, engine.version, engine.fonts, style, body):
        digest.update(f"{len(part)}:{part}".encode())
    return digest.hexdigest()


def batches(weights: Sequence[int], jobs: int, largest: int = LARGEST_BATCH) -> list[list[int]]:
    """Split work of given *weights* into batches of at most *largest*, so that *jobs* runs at a time end together.

    The number of batches is a multiple of *jobs* where there is enough work. Where batches follow each other, the last
    ones are smaller: whichever run ends first takes the next, and little is left to wait for. Each piece, heaviest
    first, goes to the batch that is lightest for its size so far. Returns indices into *weights*.

    >>> batches([5, 4, 3, 2], jobs=2)
    [[0, 3], [1, 2]]
    """
    if not weights:
        return []
    fewest = -(-len(weights) // largest)
    count = min(len(weights), -(-fewest // jobs) * jobs)
    made: list[list[int]] = [[] for _ in range(count)]
    shares = [_LAST_SHARE if count > jobs and slot >= count - jobs else 1.0 for slot in range(count)]
    loads = [0.0] * count
    for index in sorted(range(len(weights)), key=lambda index: (-weights[index], index)):
        lightest = min((load, slot) for slot, load in enumerate(loads) if len(made[slot]) < largest)[1]
        made[lightest].append(index)
        loads[lightest] += weights[index] / shares[lightest]
    return [sorted(batch) for batch in made]


def largest_batch(jobs: int) -> int:
    """How many pages a run may hold where so many run at a time.

    >>> [largest_batch(jobs) for jobs in (1, 2, 4, 16)]
    [28, 28, 14, 8]
    """
    return max(_SMALLEST_BATCH, min(LARGEST_BATCH, _PAGES_AT_ONCE // jobs))


class Desk:
    """The attempts of one build: what is known, what waits for a run, what runs.

    Sheets can be begun as soon as they are written, while the rest of the book is still being worked out. A sheet that
    does not fit goes on to its next attempt at once, in the batch that is to run next: a run of its own would cost
    LilyPond's start, and at the end the other cores would stand still.
    """

    def __init__(self, style: str, store: Store, jobs: int, own_fonts: tuple[OwnFont, ...] = ()) -> None:
        self.jobs = max(1, jobs)
        self._engine, self._style, self._store = find_lilypond().with_fonts(own_fonts), style, store
        self._results: dict[str, EngravedSheet | Problem] = {}
        self._begun: dict[str, Sheet] = {}
        self._known: dict[str, Outcome] = {}
        self._waiting: dict[str, list[tuple[Sheet, int]]] = {}  # sheets and attempts by the text they wait for
        self._unsent: list[str] = []  # texts begun that are too few for a run of their own
        self._groups: deque[list[str]] = deque()
        self._whole: set[str] = set()  # texts whose pages stay in one PDF
        self._running: dict[Future[BatchResult], list[str]] = {}
        self._pool = ThreadPoolExecutor(max_workers=self.jobs, thread_name_prefix="engrave")

    def __enter__(self) -> Desk:
        return self

    def __exit__(self, *raised: object) -> None:
        self._pool.shutdown(cancel_futures=True)

    def begin(self, sheets: Iterable[Sheet]) -> None:
        """Let LilyPond start on *sheets*, which `settle` is asked for later; wait for nothing."""
        for sheet in sheets:
            self._begun[sheet.key] = sheet
            if (text := self._attempt(sheet, 0)) is not None:
                self._unsent.append(text)
        most = largest_batch(self.jobs)
        while len(self._unsent) >= _SMALLEST_BATCH:
            self._groups.append(self._unsent[:most])
            self._unsent = self._unsent[most:]
        self._send()

    def settle(
        self,
        sheets: Sequence[Sheet],
        on_progress: Callable[[int, int], None],
        meanwhile: Callable[[], None] = lambda: None,
    ) -> Engraving:
        """Engrave *sheets* and all that was begun; do what is to be done *meanwhile* while LilyPond works."""
        self._take_in(sheets)
        if self._running:
            meanwhile()
        self._tell(sheets, on_progress)
        while self._running:
            finished, _ = wait(self._running, return_when=FIRST_COMPLETED)
            for future in finished:
                self._take(self._running.pop(future), future.result())
            self._send()
            self._tell(sheets, on_progress)
        in_order = [self._results[sheet.key] for sheet in sheets]
        return Engraving(
            {result.key: result for result in in_order if isinstance(result, EngravedSheet)},
            tuple(result for result in in_order if isinstance(result, Problem)),
        )

    def _take_in(self, sheets: Sequence[Sheet]) -> None:
        """Deal what is not begun yet to batches, and let the first of them run."""
        new = [sheet for sheet in sheets if self._begun.get(sheet.key) is not sheet]
        for sheet in new:  # its text may be another than in the round before
            self._results.pop(sheet.key, None)
        asked = [*self._unsent, *(text for sheet in new if (text := self._attempt(sheet, 0)) is not None)]
        self._unsent = []
        together = [text for text in asked if text in self._whole]
        missing = [text for text in asked if text not in self._whole]
        dealt = batches([len(text) for text in missing], self.jobs, largest_batch(self.jobs))
        groups = [[missing[index] for index in batch] for batch in dealt]
        # Between the large batches and the small ones: at the end only what is quickly done is left to wait for.
        self._groups.extend([*groups[: self.jobs], *([text] for text in together), *groups[self.jobs :]])
        self._send()

    def _tell(self, sheets: Sequence[Sheet], on_progress: Callable[[int, int], None]) -> None:
        settled = sum(sheet.key in self._results for sheet in sheets)
        if settled:
            on_progress(settled, len(sheets))

    def _send(self) -> None:
        while self._groups and len(self._running) < self.jobs:
            group = self._groups.popleft()
            self._running[self._submit(group)] = group

    def _submit(self, group: list[str]) -> Future[BatchResult]:
        if group[0] in self._whole:
            return self._pool.submit(run_whole, self._engine, self._style, group[0])
        return self._pool.submit(run_batch, self._engine, self._style, group)

    def _take(self, group: Sequence[str], result: BatchResult) -> None:
        """Settle what a batch settled; a doubtful batch runs again in smaller ones."""
        for again in result.again:
            self._groups.append([group[index] for index in again])
        for index, engraved in result.settled.items():
            text = group[index]
            self._known[text] = self._kept(text, engraved)
            for sheet, rung in self._waiting.pop(text):
                self._judge(sheet, rung, self._known[text])

    def _judge(self, sheet: Sheet, rung: int, outcome: Outcome) -> None:
        result = _judged(sheet, rung, outcome)
        if result is not None:
            self._results[sheet.key] = result
        elif (text := self._attempt(sheet, rung + 1)) is not None:
            next_group = self._groups[0] if self._groups else []
            if next_group and next_group[0] not in self._whole and len(next_group) < largest_batch(self.jobs):
                next_group.append(text)
            else:
                self._groups.appendleft([text])

    def _attempt(self, sheet: Sheet, rung: int) -> str | None:
        """Settle the attempt if its outcome is known; return its text if it has to be engraved and nobody asked yet."""
        text = sheet.bodies[rung].text
        outcome = self._known.get(text) or self._store.outcome(attempt_key(text, self._style, self._engine))
        if outcome is not None:
            self._known[text] = outcome
            self._judge(sheet, rung, outcome)
            return None
        if sheet.bodies[rung].whole:
            self._whole.add(text)
        others = self._waiting.setdefault(text, [])
        others.append((sheet, rung))
        return text if len(others) == 1 else None

    def _kept(self, text: str, engraved: Engraved) -> Outcome:
        if not engraved.lasting:
            return Outcome(engraved.sides, engraved.complaints, ())
        key = attempt_key(text, self._style, self._engine)
        return self._store.keep_outcome(key, engraved.sides, engraved.complaints, engraved.pages)


def _judged(sheet: Sheet, rung: int, outcome: Outcome) -> EngravedSheet | Problem | None:
    """Return the sheet on paper, or the problem when this was its last attempt, or None: try the next."""
    body = sheet.bodies[rung]
    if outcome.pages and not outcome.complaints and body.sides in (None, outcome.sides):
        return EngravedSheet(sheet.key, outcome.pages, rung)
    return _problem(sheet, body, outcome) if rung + 1 == len(sheet.bodies) else None


def _problem(sheet: Sheet, body: Body, outcome: Outcome) -> Problem:
    """Word the failure of a sheet by its last attempt, the one that gives most room."""
    if not outcome.complaints:
        found, wanted = _sides(outcome.sides), _sides(body.sides or 1)
        return Problem(sheet.where, sheet.key, found, wanted, "give it fewer notes or shorter texts")
    more = f" (and {len(outcome.complaints) - 1} more)" if len(outcome.complaints) > 1 else ""
    complaint, expected, hint = _advice(outcome.complaints)
    return Problem(sheet.where, sheet.key, f"LilyPond's complaint '{complaint}'{more}", expected, hint)


def _sides(count: int) -> str:
    return "1 side" if count == 1 else f"{count} sides"


def _advice(complaints: Sequence[str]) -> tuple[str, str, str]:
    """Return the complaint that tells most, what would do, and what to type."""
    for words, expected, hint in _ADVICE:
        for complaint in complaints:
            if words in complaint:
                return complaint, expected, hint
    return complaints[0], "a page that can be engraved", ""


_ADVICE = (
    ("no glyph", "characters the book's fonts have", "write the text with Latin letters"),
    ("the fonts lack", "characters the book's fonts have", "write the text with Latin letters"),
    ("TEXT-OVERFLOW", "a text that fits its line", "make the title, aim or name shorter"),
    ("MUSIC-OVERFLOW", "bars that fit the line", "use fewer notes a bar, or a smaller staff-size"),
    ("over-full page", "music that fits the page", "use fewer bars, or a smaller staff-size"),
    ("limit of time", "a page made in reasonable time", "build again; if it stays, report it"),
    ("by the clock", "a page made in reasonable time", "build again; if it stays, report it"),
)
