"""The words a page prints besides the spec's own: one table of phrases for each language.

Stage:    4 lay out (pure)
In, Out:  the plain data of shared/phrases/<language>.yaml; `Phrases`
Not here: reading the file (`spec.library`), how notes are named (`note_names`)

English words of single cues, skills, rules and the like stand beside them in their own data files; every other language
says them in its file of phrases under the key that `own` is asked for.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from builder.spec.breaks import Breaks

_NO_BREAKS = Breaks("")


@dataclass(frozen=True, slots=True)
class Phrases:
    """The phrases of one language by dotted key; `{name}` in a phrase stands for a value given when it is used.

    *naming* is how notes are called, a key of the section `naming`; empty for the custom of the language. *breaks*
    knows where its long words break.

    >>> phrases = Phrases.from_data({"start": "String {string}", "steps": ["Listen.", "Play."]})
    >>> phrases("start", string=3), phrases.lines("steps"), "steps.9" in phrases
    ('String 3', ('Listen.', 'Play.'), False)
    >>> phrases.own("cue.jaw.words", "jaw")
    'jaw'

    A number brings its noun along where the phrase says it twice, for one and for many:

    >>> term = Phrases.from_data({"term": "{weeks:week|weeks}, {days:day|days} each"})
    >>> term("term", weeks=1, days=5)
    '1 week, 5 days each'
    """

    texts: Mapping[str, str]
    naming: str = ""
    breaks: Breaks = _NO_BREAKS

    @classmethod
    def from_data(cls, data: Mapping[str, object], naming: str = "") -> Phrases:
        """Flatten nested mappings and lists: `steps: [a, b]` becomes `steps.1`, `steps.2`."""
        texts = dict(flat(data))
        return cls(texts, naming or texts.get("naming.custom", "letters"))

    def __call__(self, key: str, **values: object) -> str:
        """The phrase *key* with its values filled in; KeyError when the language lacks it."""
        return self.texts[key].format_map({name: _Counted(value) for name, value in values.items()})

    def __contains__(self, key: str) -> bool:
        return key in self.texts

    def lines(self, key: str) -> tuple[str, ...]:
        """The phrases of a list, in order; empty when there is no such list."""
        found: list[str] = []
        while f"{key}.{len(found) + 1}" in self.texts:
            found.append(self.texts[f"{key}.{len(found) + 1}"])
        return tuple(found)

    def own(self, key: str, words: str) -> str:
        """What this language calls a thing that brings English words, or a user's own ones, along."""
        return self.texts.get(key, words)

    def named(self, kind: str, name: str) -> str:
        """A name of a spec in words: `nylon-guitar` is nylon guitar, if the section *kind* says nothing else."""
        return self.own(f"{kind}.{name}", name.replace("-", " "))

    def number(self, number: str) -> str:
        """A number as the language writes it: 4.5 or 4,5."""
        return number.replace(".", self.texts.get("decimal", "."))


@dataclass(frozen=True, slots=True)
class _Counted:
    """A value of a phrase; a number with a noun for one and for many is followed by the one that fits."""

    value: object

    def __format__(self, nouns: str) -> str:
        one, _, many = nouns.partition("|")
        if not many:
            return format(self.value, nouns)
        return f"{self.value} {one if self.value == 1 else many}"


def flat(data: object, prefix: str = "") -> Iterator[tuple[str, str]]:
    """Every text of nested mappings and lists with its dotted key; items of lists count from 1."""
    if isinstance(data, Mapping):
        parts: Iterator[tuple[str, object]] = ((str(key), value) for key, value in data.items())
    elif isinstance(data, list):
        parts = ((str(number), value) for number, value in enumerate(data, start=1))
    else:
        yield prefix, str(data)
        return
    for key, value in parts:
        yield from flat(value, f"{prefix}.{key}" if prefix else key)


def capitalised(text: str) -> str:
    """*text* as the beginning of a line."""
    return text[:1].upper() + text[1:]
