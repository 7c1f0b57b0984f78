"""What a spec may say, for `etudebook list`.

In, Out:  the library and the registered kinds; plain text
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from types import UnionType
from typing import Any

from builder.fields import one_of
from builder.materials import Material
from builder.registry import registered
from builder.spec import Library, book_schema, exercise_schema
from builder.spec.part import Part


def listing(what: str, library: Library) -> str:
    """The text for one of `materials`, `instruments`, `cues`, `skills`, `layouts`, `schema`."""
    return "\n".join(_LISTINGS[what](library))


def _materials(library: Library) -> Iterator[str]:
    for kind, material in registered("builder.materials", "MATERIAL").items():
        yield f"{kind}: {material.summary}"
        yield f"    other answers: contour {material.contour}; {_path(material)}; {_rules(kind, material)}"
        for name, field in material.parameters.model_fields.items():
            if name != "kind":
                default = _default(field.default, field.is_required())
                yield f"    {field.alias or name}: {field.description or ''}{default}"
        yield from ("    | " + line for line in material.example.rstrip().splitlines())
        yield ""
    for title, package, constant in (
        ("paths", "builder.paths", "PATH"),
        ("stroke rules", "builder.strokes", "STROKES"),
    ):
        yield f"{title}:"
        for kind, entry in registered(package, constant).items():
            yield f"    {kind}: {entry.summary}"
            yield from ("    | " + line for line in entry.example.rstrip().splitlines())
        yield ""


def _path(material: Material) -> str:
    """Which neck paths go with it."""
    if material.paths is None:
        return "any path"
    return f"path {one_of(sorted(material.paths))}" if material.paths else "path unused"


def _rules(kind: str, material: Material) -> str:
    """Which stroke rules go with it."""
    every = registered("builder.strokes", "STROKES")
    fitting = [rule for rule, one in every.items() if one.materials is None or kind in one.materials]
    allowed = [rule for rule in fitting if material.rules is None or rule in material.rules]
    return f"strokes {', '.join(allowed)}"


def _default(value: Any, required: bool) -> str:
    if required:
        return " (needed)"
    if value is None or callable(value) or isinstance(value, UnionType):
        return ""
    return f" (default: {_typed(value)})"


def _typed(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


def _instruments(library: Library) -> Iterator[str]:
    for name, one in library.instruments.items():
        strings = " ".join(str(pitch) for pitch in one.open_strings)
        yield f"{name}: strings 1 to {one.strings} {strings}; {one.frets} frets; {one.scale_length_mm:g} mm"
    yield ""
    yield "for example: instrument: guitar"
    yield "or your own: instrument: {strings: [D4, A3, F#3, D3, A2, D2], frets: 20, scale-length: 650, capo: 2}"


def _cues(library: Library) -> Iterator[str]:
    for cue in library.cues:
        yield f"{cue.id}: printed as {cue.words!r}; {cue.say}"
    yield ""
    yield f"for example: checkpoints: {{at: rests, cues: [{library.cues[0].id}, {library.cues[1].id}]}}"


def _skills(library: Library) -> Iterator[str]:
    for name, phrase in library.skills.items():
        yield f"{name}: {phrase}"
    yield ""
    yield f"for example: skills: [{', '.join(list(library.skills)[:2])}]"


def _layouts(library: Library) -> Iterator[str]:
    for name, layout in library.layouts.items():
        yield f"{name}: {_written(layout)}"
    yield ""
    yield f"for example: etudebook build book.yaml --layout {next(iter(library.layouts))}"


def _written(part: Part) -> str:
    """The keys that were set, as they are typed."""
    texts = []
    for key in part.model_fields_set:
        value, alias = getattr(part, key), type(part).model_fields[key].alias or key
        shown = f"{{{_written(value)}}}" if isinstance(value, Part) else _typed(value)
        texts.append(f"{alias}: {shown}")
    return ", ".join(sorted(texts))


def _schema(library: Library) -> Iterator[str]:
    yield json.dumps({"book": book_schema(), "exercise": exercise_schema()}, ensure_ascii=False, indent=1)


_LISTINGS: dict[str, Callable[[Library], Iterator[str]]] = {
    "materials": _materials,
    "instruments": _instruments,
    "cues": _cues,
    "skills": _skills,
    "layouts": _layouts,
    "schema": _schema,
}
