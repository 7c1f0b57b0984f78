"""The kinds of material: what notes an exercise is made of. One module a kind, found by its constant MATERIAL."""

from __future__ import annotations

from builder.materials.material import Material, NoteSet, Setting, Sound, WrittenItem, WrittenMusic
from builder.registry import registered

__all__ = ["Material", "NoteSet", "Setting", "Sound", "WrittenItem", "WrittenMusic", "materials"]


def materials() -> dict[str, Material]:
    """Return every kind of material by its name, in order of name."""
    return registered(__name__, "MATERIAL")
