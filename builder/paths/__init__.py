"""Ways to walk the neck from a start position, one module a kind."""

from builder.paths.path import Group, Path, Walk

__all__ = ["Group", "Path", "Walk"]
