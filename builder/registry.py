"""Find every module of a package that defines a given constant, such as MATERIAL, PATH, STROKES, OUTPUT or CHECK."""

from __future__ import annotations

import pkgutil
from functools import cache
from importlib import import_module
from typing import Any


@cache
def registered(package: str, constant: str) -> dict[str, Any]:
    """Return the constants called *constant* of all modules in *package* by their `kind`, in order of kind."""
    module = import_module(package)
    found = {}
    for info in pkgutil.iter_modules(module.__path__):
        value = getattr(import_module(f"{package}.{info.name}"), constant, None)
        if value is not None:
            found[value.kind] = value
    return dict(sorted(found.items()))
