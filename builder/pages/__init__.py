"""What is printed where: pure values that the engraver turns into LilyPond text."""

from builder.pages.layout import LOG_ROW_MM
from builder.pages.notation import Item, Value, Voice, WrittenBar, written_bars
from builder.pages.page import PAPERS, ChordName, Cue, Dot, Music, NeckMap, Paper, Rung, StudyPage, TempoStep
from builder.pages.phrases import Phrases
from builder.pages.study_page import start_line, study_pages

__all__ = [
    "LOG_ROW_MM",
    "PAPERS",
    "ChordName",
    "Cue",
    "Dot",
    "Item",
    "Music",
    "NeckMap",
    "Paper",
    "Phrases",
    "Rung",
    "StudyPage",
    "TempoStep",
    "Value",
    "Voice",
    "WrittenBar",
    "start_line",
    "study_pages",
    "written_bars",
]
