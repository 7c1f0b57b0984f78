"""The kinds of material: what notes an exercise is made of. One module a kind, found by its constant MATERIAL."""

from __future__ import annotations

from builder.materials.material import (
    Diagram,
    Material,
    Moment,
    NoteSet,
    Setting,
    Sound,
    WrittenItem,
    WrittenMusic,
    singles,
)
from builder.registry import registered

__all__ = [
    "Diagram",
    "Material",
    "Moment",
    "NoteSet",
    "Setting",
    "Sound",
    "WrittenItem",
    "WrittenMusic",
    "materials",
    "singles",
]


def materials() -> dict[str, Material]:
    """Return every kind of material by its name, in order of name."""
    return registered(__name__, "MATERIAL")
