"""What all mappings of a spec share: no unknown keys, hyphens in YAML, words that stand for something longer.

Stage:    1 read
Not here: the mappings themselves (`models`, `answers`), the words for what is wrong (`wording`)
"""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict

from builder.fields import Unreadable, near_miss, one_of


def _hyphenated(name: str) -> str:
    return name.replace("_", "-")


class Part(BaseModel):
    """A mapping of a spec."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, alias_generator=_hyphenated)


def word_or_mapping(value: Any) -> str:
    """Tell pydantic which of two alternatives *value* means; the tags can't be mistaken for keys of a spec."""
    return "<mapping>" if isinstance(value, dict) else "<word>"


def word_or_list(value: Any) -> str:
    """The same for a word or a list."""
    return "<list>" if isinstance(value, list) else "<word>"


def kind_of(value: Any, known: dict[str, str]) -> str:
    """One of the *known* kinds, which map to the way they are written."""
    if isinstance(value, str) and value in known:
        return value
    raise Unreadable(one_of(known.values()), near_miss(value, known) if isinstance(value, str) else "")
