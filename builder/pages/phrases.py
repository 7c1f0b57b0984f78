"""The words a page prints besides the spec's own: one table of phrases for each language.

Stage:    4 lay out (pure)
In, Out:  the plain data of shared/phrases/<language>.yaml; `Phrases`
Not here: reading the file (`spec.library`)
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Phrases:
    """The phrases of one language by dotted key; `{name}` in a phrase stands for a value given when it is used.

    >>> phrases = Phrases.from_data({"start": "String {string}", "steps": ["Listen.", "Play."]})
    >>> phrases("start", string=3), phrases.lines("steps"), "steps.9" in phrases
    ('String 3', ('Listen.', 'Play.'), False)
    """

    texts: Mapping[str, str]

    @classmethod
    def from_data(cls, data: Mapping[str, object]) -> Phrases:
        """Flatten nested mappings and lists: `steps: [a, b]` becomes `steps.1`, `steps.2`."""
        return cls(dict(_flat("", data)))

    def __call__(self, key: str, **values: object) -> str:
        """The phrase *key* with its values filled in; KeyError when the language lacks it."""
        return self.texts[key].format_map(values)

    def __contains__(self, key: str) -> bool:
        return key in self.texts

    def lines(self, key: str) -> tuple[str, ...]:
        """The phrases of a list, in order; empty when there is no such list."""
        found: list[str] = []
        while f"{key}.{len(found) + 1}" in self.texts:
            found.append(self.texts[f"{key}.{len(found) + 1}"])
        return tuple(found)


def _flat(prefix: str, data: object) -> Iterator[tuple[str, str]]:
    if isinstance(data, Mapping):
        parts: Iterator[tuple[str, object]] = ((str(key), value) for key, value in data.items())
    elif isinstance(data, list):
        parts = ((str(number), value) for number, value in enumerate(data, start=1))
    else:
        yield prefix, str(data)
        return
    for key, value in parts:
        yield from _flat(f"{prefix}.{key}" if prefix else key, value)
