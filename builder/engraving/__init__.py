"""Engraving: pages become PDF through LilyPond.

Stage:    5 engrave
"""

from __future__ import annotations

from builder.engraving.batch import Engraving, engrave
from builder.engraving.cache import Store, default_folder
from builder.engraving.fonts import FontJoiner
from builder.engraving.lilypond_run import Engine, find_lilypond
from builder.engraving.sheet import Body, EngravedSheet, Sheet

__all__ = [
    "Body",
    "Engine",
    "EngravedSheet",
    "Engraving",
    "FontJoiner",
    "Sheet",
    "Store",
    "default_folder",
    "engrave",
    "find_lilypond",
]
