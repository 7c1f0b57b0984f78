"""Engraving: pages become PDF through LilyPond.

Stage:    5 engrave
"""

from __future__ import annotations

from builder.engraving.batch import Desk, Engraving, engrave, largest_batch
from builder.engraving.cache import Store, default_folder
from builder.engraving.engine import Engine, find_lilypond
from builder.engraving.fonts import plain_name
from builder.engraving.sheet import Body, EngravedSheet, Sheet, flowing

__all__ = [
    "Body",
    "Desk",
    "Engine",
    "EngravedSheet",
    "Engraving",
    "Sheet",
    "Store",
    "default_folder",
    "engrave",
    "find_lilypond",
    "flowing",
    "largest_batch",
    "plain_name",
]
