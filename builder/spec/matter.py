"""What a book says of its pages before and behind the studies: `front` and `back`.

Stage:    1 read
In, Out:  the plain lists of a book file; `MatterPart`s in the order they are written
Source:   at most 24 sides of paper to write on, at most 20 parts: our own choice, to catch a slip of the keyboard
Not here: reading the Markdown files that are named (`markdown`)
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any

from builder.fields import Reads, Unreadable, near_miss, whole_number
from builder.spec.plan import MATTER_WORDS, BookPlan, MatterPart
from builder.spec.prose import ProseText

_BLANK = "blank-paper"
_MOST_SIDES, _MOST_PARTS = 24, 20
_WORDS = tuple(word for word in MATTER_WORDS if word != _BLANK)
_FILE = "a Markdown file such as {}"
_BACK_WORDS = f"one of {', '.join(_WORDS)}, {{{_BLANK}: 2}}, or {_FILE.format('afterword.md')}"
_FRONT_WORDS = _FILE.format("foreword.md")


def parse_front(value: Any) -> tuple[MatterPart, ...]:
    """Read the list of Markdown files before the studies."""
    return _parts(value, _front_part)


def parse_back(value: Any) -> tuple[MatterPart, ...]:
    """Read the list of what stands behind the studies."""
    return _parts(value, _back_part)


def _parts(value: Any, read: Any) -> tuple[MatterPart, ...]:
    if not isinstance(value, list) or len(value) > _MOST_PARTS:
        raise ValueError
    parts: list[MatterPart] = []
    for number, item in enumerate(value):
        part = read(item, number)
        if any((part.kind, part.file) == (other.kind, other.file) for other in parts):
            name = part.file or part.kind
            raise Unreadable("every part once", found=f"'{name}' again", at=(number,))
        parts.append(part)
    return tuple(parts)


def _front_part(item: Any, number: int) -> MatterPart:
    if isinstance(item, str) and item.endswith(".md"):
        return MatterPart("prose", file=item)
    raise Unreadable(_FRONT_WORDS, at=(number,), found="" if isinstance(item, str) else "no text")


def _back_part(item: Any, number: int) -> MatterPart:
    if isinstance(item, dict):
        return _blank_paper(item, number)
    if isinstance(item, str) and item.endswith(".md"):
        return MatterPart("prose", file=item)
    if item == _BLANK:
        return MatterPart("blank-paper")
    for kind in _WORDS:
        if item == kind:
            return MatterPart(kind)
    hint = near_miss(item, MATTER_WORDS) if isinstance(item, str) else ""
    raise Unreadable(_BACK_WORDS, hint, "" if isinstance(item, str) else "no text", (number,))


def _blank_paper(item: dict[Any, Any], number: int) -> MatterPart:
    if list(item) != [_BLANK]:
        raise Unreadable(_BACK_WORDS, found="a mapping with other keys", at=(number,))
    sides = whole_number(1, _MOST_SIDES)
    try:
        return MatterPart("blank-paper", sides=sides.parse(item[_BLANK]))
    except ValueError:
        raise Unreadable(sides.expected, at=(number, _BLANK)) from None


def with_texts(parts: Iterable[MatterPart], prose: Mapping[str, ProseText]) -> tuple[MatterPart, ...]:
    """The parts with what their files hold; those that could not be read are reported already."""
    texts = (replace(part, text=prose.get(part.file)) if part.kind == "prose" else part for part in parts)
    return tuple(part for part in texts if part.kind != "prose" or part.text is not None)


def prose_files(plan: BookPlan) -> list[Path]:
    """The files that the book's pages to read are made from, their pictures included."""
    logo = [] if plan.look.logo is None else [Path(plan.look.logo.path)]
    return logo + [
        Path(name) for text in plan.prose for name in (text.where.file, *(picture.path for picture in text.pictures))
    ]


FrontParts = Annotated[
    tuple[MatterPart, ...],
    Reads(
        parse_front,
        f"a list of at most {_MOST_PARTS} Markdown files",
        {"type": "array", "items": {"type": "string", "pattern": r"\.md$"}, "maxItems": _MOST_PARTS},
    ),
]
BackParts = Annotated[
    tuple[MatterPart, ...],
    Reads(
        parse_back,
        f"a list of at most {_MOST_PARTS} parts, each {_BACK_WORDS}",
        {
            "type": "array",
            "items": {
                "anyOf": [
                    {"enum": list(MATTER_WORDS)},
                    {"type": "string", "pattern": r"\.md$"},
                    {
                        "type": "object",
                        "properties": {_BLANK: {"type": "integer", "minimum": 1, "maximum": _MOST_SIDES}},
                        "required": [_BLANK],
                        "additionalProperties": False,
                    },
                ]
            },
            "maxItems": _MOST_PARTS,
        },
    ),
]
