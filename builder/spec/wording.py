"""What pydantic finds wrong, in a teacher's words and at its place in the file.

Stage:    1 read
In, Out:  a `ValidationError`, the model and the `Document` it came from; complaints
Not here: the words of a single field (`fields`), the checks themselves (`models`)
"""

from __future__ import annotations

import types
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from builder.errors import Problem
from builder.fields import near_miss, one_of
from builder.spec.plan import KeyPath
from builder.spec.yaml_reader import Complaint, Document

_LONGEST_FOUND = 60
_LONGEST_SHOWN = 30  # longer lists and mappings are not repeated
_BOUNDS = {
    "greater_than": "more than",
    "greater_than_equal": "at least",
    "less_than": "less than",
    "less_than_equal": "at most",
}
_TYPES = {
    "int": "a whole number",
    "float": "a number",
    "string": "text",
    "bool": "true or false",
    "list": "a list",
    "tuple": "a list",
    "set": "a list",
    "dict": "a mapping",
    "model": "a mapping",
    "model_attributes": "a mapping",
}  # fmt: skip


def complaints_of(
    error: ValidationError, model: type[BaseModel], document: Document, below: KeyPath = ()
) -> tuple[Complaint, ...]:
    """Return one complaint a place for *error*, which *model* found in what stands *below* that path."""
    data: Any = document.data
    for part in below:
        data = data[part]
    by_path: dict[KeyPath, list[Complaint]] = {}
    for item in error.errors(include_url=False):
        path = _written_path(item["loc"], data, item["type"] in ("missing", "extra_forbidden"))
        path = (*path, *item.get("ctx", {}).get("at", ()))
        found, expected, hint = _words(dict(item), model, path, _value_at(data, path), document, (*below, *path))
        problem = document.places.problem((*below, *path), found, expected, hint)
        complaint = Complaint((*below, *path), problem, item["type"] == "extra_forbidden")
        by_path.setdefault(path, []).append(complaint)
    return tuple(_merged(same) for path, same in by_path.items() if not _has_deeper(path, by_path))


def written(document: Document, path: KeyPath) -> str:
    """Return what stands at *path*, as it was typed; collections and emptiness in words.

    Text in single quotes, long text cut short.
    """
    return _worded(_value_at(document.data, path), document.written.get(path))


def _worded(value: Any, typed: str | None) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, (dict, list)):
        what = "mapping" if isinstance(value, dict) else "list"
        shown = _rendered(value)
        return f"an empty {what}" if not value else shown if len(shown) <= _LONGEST_SHOWN else f"a {what}"
    text = (str(value) if typed is None else typed).replace("\n", " ")
    text = text if len(text) <= _LONGEST_FOUND else text[: _LONGEST_FOUND - 1] + "…"
    return f"'{text}'" if isinstance(value, str) else text


def _rendered(value: Any) -> str:
    """A short list or mapping as it would be typed on one line; where it nests, only that it does."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {_rendered_item(each)}" for key, each in value.items()) + "}"
    return "[" + ", ".join(_rendered_item(each) for each in value) + "]"


def _rendered_item(value: Any) -> str:
    return "…" if isinstance(value, (dict, list)) else "null" if value is None else str(value)


def _merged(same: list[Complaint]) -> Complaint:
    """One complaint for a value that none of several alternatives could read."""
    first = same[0]
    expected = " or ".join(dict.fromkeys(each.problem.expected for each in same))
    hint = next((each.problem.hint for each in same if each.problem.hint), "")
    where, key, found = first.problem.where, first.problem.key, first.problem.found
    return Complaint(first.path, Problem(where, key, found, expected, hint), first.whole)


def _has_deeper(path: KeyPath, paths: Iterable[KeyPath]) -> bool:
    """Whether something below *path* is wrong too: then an alternative went deeper, and its complaint says more."""
    return any(len(other) > len(path) and other[: len(path)] == path for other in paths) and path != ()


def _written_path(loc: Sequence[str | int], data: Any, keeps_last: bool) -> KeyPath:
    """*loc* without the names of alternatives that pydantic puts into it: only keys and items that are in the data."""
    path: list[str | int] = []
    for index, part in enumerate(loc):
        if _holds(data, part):
            data = data[part]
            path.append(part)
        elif keeps_last and index == len(loc) - 1:
            path.append(part)
    return tuple(path)


def _holds(data: Any, part: str | int) -> bool:
    if isinstance(data, dict):
        return part in data
    return isinstance(data, list) and isinstance(part, int) and part < len(data)


def _value_at(data: Any, path: KeyPath) -> Any:
    for part in path:
        if not _holds(data, part):
            return None
        data = data[part]
    return data


def _words(
    item: Mapping[str, Any], model: type[BaseModel], path: KeyPath, value: Any, document: Document, full: KeyPath
) -> tuple[str, str, str]:
    """*found*, *expected* and *hint* for one error of pydantic."""
    kind, context = item["type"], item.get("ctx", {})
    found = _worded(value, document.written.get(full))
    if kind == "extra_forbidden":
        return _unknown_key(str(path[-1]), model, path[:-1])
    if kind == "missing":
        return "nothing", f"a key '{path[-1]}'" if isinstance(path[-1], str) else "another item", ""
    if kind == "unreadable":
        return context["found"] or found, context["expected"], context["hint"]
    if kind in ("value_error", "assertion_error"):
        return found, _described(model, path), str(context.get("error", item["msg"]))
    return found, *_standard_words(kind, context, value)


def _unknown_key(key: str, model: type[BaseModel], above: KeyPath) -> tuple[str, str, str]:
    models = list(_models_at(model, above))
    known = sorted({name for each in models for name in _keys(each)})
    expected = one_of(known) if known else "no key here"
    return "an unknown key", expected, near_miss(key, known)


def _standard_words(kind: str, context: Mapping[str, Any], value: Any) -> tuple[str, str]:
    """*expected* and *hint* for the errors pydantic words itself."""
    if kind == "literal_error" or kind == "enum":
        choices = [choice.strip("' ") for choice in context["expected"].replace(" or ", ", ").split(",")]
        return one_of(choices), near_miss(value, choices) if isinstance(value, str) else ""
    if kind in _BOUNDS:
        limit = next(context[key] for key in ("gt", "ge", "lt", "le") if key in context)
        return f"{_BOUNDS[kind]} {limit}", ""
    if kind in ("too_short", "string_too_short"):
        return f"at least {_amount(context['min_length'], kind)}", ""
    if kind in ("too_long", "string_too_long"):
        return f"at most {_amount(context['max_length'], kind)}", ""
    expected = _TYPES.get(kind.removesuffix("_type").removesuffix("_parsing"), "another value")
    if expected == "text" and isinstance(value, (int, float)):
        return expected, f'put it in quotes: "{value}"'
    return expected, f"write [{value}]" if expected == "a list" and isinstance(value, (str, int)) else ""


def _amount(number: int, kind: str) -> str:
    return f"{number} {'character' if kind.startswith('string') else 'item'}{'s' if number != 1 else ''}"


def _described(model: type[BaseModel], path: KeyPath) -> str:
    """What the field at *path* says about itself, or that another value is wanted."""
    for length in range(len(path), 0, -1):
        for each in _models_at(model, path[: length - 1]):
            info = _field(each, path[length - 1])
            if info is not None and info.description:
                text = info.description.rstrip(".")
                return text[:1].lower() + text[1:]
    return "another value"


def _keys(model: type[BaseModel]) -> list[str]:
    return [info.alias or name for name, info in model.model_fields.items()]


def _field(model: type[BaseModel], key: str | int) -> FieldInfo | None:
    return next((info for name, info in model.model_fields.items() if (info.alias or name) == key), None)


def _models_at(model: type[BaseModel], path: KeyPath) -> Iterator[type[BaseModel]]:
    """The models that may describe what stands at *path* below *model*."""
    level: list[Any] = [model]
    for part in path:
        if isinstance(part, int):
            continue  # `_inner_models` has already looked into the list
        level = [inner for each in level for inner in _below(each, part)]
    yield from (each for each in level if isinstance(each, type))


def _below(each: Any, key: str) -> Iterator[Any]:
    """What may stand under *key* of a model, or of a mapping whose keys are free."""
    if get_origin(each) is dict:
        yield from _inner_models(get_args(each)[1])
    elif (info := _field(each, key)) is not None:
        yield from _inner_models(info.annotation)


def _inner_models(annotation: Any) -> Iterator[Any]:
    """The models, and mappings of models by free keys, that *annotation* allows."""
    if (isinstance(annotation, type) and issubclass(annotation, BaseModel)) or get_origin(annotation) is dict:
        yield annotation
    elif get_origin(annotation) is Annotated:
        yield from _inner_models(get_args(annotation)[0])
    elif get_origin(annotation) in (Union, types.UnionType, list, tuple):
        for argument in get_args(annotation):
            yield from _inner_models(argument)
