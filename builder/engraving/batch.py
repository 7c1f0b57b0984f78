"""Engrave sheets: from the cache where known, the rest in balanced batches, down each sheet's ladder of attempts.

Stage:    5 engrave
In, Out:  `Sheet`s and the shared style; `EngravedSheet`s by key, and a `Problem` for every sheet that no attempt fits
Not here: the LilyPond text (`lilypond_source`), one run of it (`lilypond_run`), files (`cache`)

LilyPond is a process of its own, so a thread a batch is enough. Rung by rung, all sheets still without a page go
together: batches of many pages cost less than half of single runs.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field

from builder.engraving.cache import Outcome, Store
from builder.engraving.engine import Engine, find_lilypond
from builder.engraving.lilypond_run import BatchResult, Engraved, run_batch
from builder.engraving.sheet import Body, EngravedSheet, Sheet
from builder.errors import Problem

LARGEST_BATCH = 25  # LilyPond holds about 11 MB a page until the run ends: 25 pages stay below 400 MB

# Part of every key; to be raised when the way a page is cut or judged changes.
_RULES = "1"


@dataclass(frozen=True, slots=True)
class Engraving:
    """All sheets that are on paper, by key, and a problem for each that is not."""

    sheets: dict[str, EngravedSheet]
    problems: tuple[Problem, ...]


def engrave(
    sheets: Sequence[Sheet], style: str, store: Store, jobs: int, on_progress: Callable[[int, int], None]
) -> Engraving:
    """Engrave *sheets*, taking for each the first of its attempts that fits.

    *jobs* is the number of LilyPond runs at a time. *on_progress* gets the number of sheets done and of all, always
    from the calling thread. A page made is kept in *store* at once, so a failing sheet costs the others nothing.
    """
    run = _Run(find_lilypond(), style, store, max(1, jobs))
    results: dict[str, EngravedSheet | Problem] = {}
    waiting, rung = list(sheets), 0
    while waiting:
        no_fit: list[Sheet] = []
        for sheet, outcome in run.attempts(waiting, rung):
            result = _judged(sheet, rung, outcome)
            if result is None:
                no_fit.append(sheet)
            else:
                results[sheet.key] = result
                on_progress(len(results), len(sheets))
        waiting, rung = no_fit, rung + 1
    in_order = [results[sheet.key] for sheet in sheets]
    return Engraving(
        {result.key: result for result in in_order if isinstance(result, EngravedSheet)},
        tuple(result for result in in_order if isinstance(result, Problem)),
    )


def attempt_key(body: str, style: str, engine: Engine) -> str:
    """Return the key of an attempt: all that changes what LilyPond makes of it, and nothing else."""
    digest = hashlib.sha256()
    for part in (_RULES, engine.version, engine.fonts, style, body):
        digest.update(f"{len(part)}:{part}".encode())
    return digest.hexdigest()


def batches(weights: Sequence[int], jobs: int, largest: int = LARGEST_BATCH) -> list[list[int]]:
    """Split work of given *weights* into batches of at most *largest*, so that *jobs* runs at a time end together.

    The number of batches is a multiple of *jobs* where there is enough work; each piece, heaviest first, goes to the
    batch that is lightest so far. Returns indices into *weights*.

    >>> batches([5, 4, 3, 2], jobs=2)
    [[0, 3], [1, 2]]
    """
    if not weights:
        return []
    fewest = -(-len(weights) // largest)
    count = min(len(weights), -(-fewest // jobs) * jobs)
    made: list[list[int]] = [[] for _ in range(count)]
    loads = [0] * count
    for index in sorted(range(len(weights)), key=lambda index: (-weights[index], index)):
        lightest = min((load, slot) for slot, load in enumerate(loads) if len(made[slot]) < largest)[1]
        made[lightest].append(index)
        loads[lightest] += weights[index]
    return [sorted(batch) for batch in made]


@dataclass(slots=True)
class _Run:
    """What is known of every attempt so far in this build."""

    engine: Engine
    style: str
    store: Store
    jobs: int
    known: dict[str, Outcome] = field(default_factory=dict)

    def attempts(self, sheets: Sequence[Sheet], rung: int) -> Iterator[tuple[Sheet, Outcome]]:
        """Yield what becomes of every sheet's attempt *rung*, known ones first, equal texts engraved once."""
        sharing: dict[str, list[Sheet]] = {}
        for sheet in sheets:
            sharing.setdefault(sheet.bodies[rung].text, []).append(sheet)
        for text, outcome in self._outcomes(list(sharing)):
            yield from ((sheet, outcome) for sheet in sharing[text])

    def _outcomes(self, texts: Sequence[str]) -> Iterator[tuple[str, Outcome]]:
        missing: list[str] = []
        for text in texts:
            outcome = self.known.get(text) or self.store.outcome(attempt_key(text, self.style, self.engine))
            if outcome is None:
                missing.append(text)
            else:
                yield text, outcome
        for text, engraved in self._engraved(missing):
            self.known[text] = self._kept(text, engraved)
            yield text, self.known[text]

    def _engraved(self, texts: Sequence[str]) -> Iterator[tuple[str, Engraved]]:
        """Engrave *texts* in batches and yield each result as it comes; a doubtful batch runs again in smaller ones."""
        pool = ThreadPoolExecutor(max_workers=self.jobs, thread_name_prefix="engrave")
        try:
            running: dict[Future[BatchResult], Sequence[str]] = {}
            todo = [
                [texts[index] for index in batch] for batch in batches([len(text) for text in texts], max(1, self.jobs))
            ]
            while todo or running:
                running.update({pool.submit(run_batch, self.engine, self.style, group): group for group in todo})
                todo = []
                finished, _ = wait(running, return_when=FIRST_COMPLETED)
                for future in finished:
                    group, result = running.pop(future), future.result()
                    todo += [[group[index] for index in again] for again in result.again]
                    yield from ((group[index], engraved) for index, engraved in result.settled.items())
        finally:
            pool.shutdown(cancel_futures=True)

    def _kept(self, text: str, engraved: Engraved) -> Outcome:
        if not engraved.lasting:
            return Outcome(engraved.sides, engraved.complaints, ())
        key = attempt_key(text, self.style, self.engine)
        return self.store.keep_outcome(key, engraved.sides, engraved.complaints, engraved.pages)


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
