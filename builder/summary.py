"""What a command tells the user at its end, before it is worded.

Not here: the words and tables (`console`), the JSON (`outputs.study_json`)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from builder.theory.score import Skipped, Study


@dataclass(frozen=True, slots=True)
class Summary:
    """What the console shows at the end; *files* and *pages* are empty where nothing was printed."""

    title: str
    studies: tuple[Study, ...]
    skipped: tuple[Skipped, ...]
    first_side: Mapping[str, int]
    pages: int
    files: tuple[Path, ...]
    seconds: float
