"""Work in processes of their own, beside the command's.

In, Out:  what is to be done; its result, and processes for more
Not here: what is done in them
"""

from __future__ import annotations

import multiprocessing
import os
import sys
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

_begun: Callable[[], tuple[Path, ...]] | None = None


@dataclass(frozen=True, slots=True)
class Beside:
    """What waits for the work that was begun, and processes for more; None where there are none."""

    result: Callable[[], tuple[Path, ...]]
    executor: Executor | None


@contextmanager
def beside(work: Callable[[], tuple[Path, ...]], jobs: int) -> Iterator[Beside]:
    """Do *work* in one of *jobs* processes while the block runs; without processes, once its result is asked for."""
    global _begun
    with processes(jobs) as executor:
        if executor is None:
            yield Beside(work, None)
            return
        _begun = work
        yield Beside(executor.submit(_run).result, executor)


def _run() -> tuple[Path, ...]:
    assert _begun is not None  # set before the process was forked
    return _begun()


@contextmanager
def processes(jobs: int) -> Iterator[Executor | None]:
    """Yield *jobs* processes; None where they can't be forked, or there is but one core to share."""
    if (os.cpu_count() or 1) == 1 or sys.platform != "linux" or threading.active_count() > 1:
        yield None
        return
    with ProcessPoolExecutor(jobs, mp_context=multiprocessing.get_context("fork")) as pool:
        yield pool
