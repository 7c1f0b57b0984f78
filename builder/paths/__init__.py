"""Ways to walk the neck from a start position, one module a kind."""

from builder.paths.path import Group, Path, Places, Walk

__all__ = ["Group", "Path", "Places", "Walk"]
