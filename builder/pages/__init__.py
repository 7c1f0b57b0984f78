"""What is printed where: pure values that the engraver turns into LilyPond text."""

from builder.pages.back import LogPage, NeckPage, log_page, neck_page
from builder.pages.cue_page import scan_page
from builder.pages.front import (
    Entry,
    Group,
    Labels,
    Listing,
    ListPage,
    ProsePage,
    contents,
    cover,
    how_to_practise,
    on_sides,
    opener,
    signs_page,
)
from builder.pages.furniture import Furnishing, bare_furnishing, plain_furnishing, study_furnishing
from builder.pages.hand import Barre, Diagram, GridBarre, GridDot, Shift, diagram
from builder.pages.joining import joined
from builder.pages.notation import Item, Join, Value, Voice, WrittenBar, written_bars
from builder.pages.order import NOTES, opener_key, sections, study_key
from builder.pages.page import (
    PAPERS,
    ChordName,
    Cue,
    Dot,
    Music,
    NeckMap,
    Paper,
    Rung,
    StudyPage,
    TempoStep,
    TrackCode,
    paper_of,
)
from builder.pages.phrases import Phrases
from builder.pages.sides import room_mm
from builder.pages.study_page import start_line, study_pages
from builder.pages.warming import cool_down, warm_up

__all__ = [
    "NOTES",
    "PAPERS",
    "Barre",
    "ChordName",
    "Cue",
    "Diagram",
    "Dot",
    "Entry",
    "Furnishing",
    "GridBarre",
    "GridDot",
    "Group",
    "Item",
    "Join",
    "Labels",
    "ListPage",
    "Listing",
    "LogPage",
    "Music",
    "NeckMap",
    "NeckPage",
    "Paper",
    "Phrases",
    "ProsePage",
    "Rung",
    "Shift",
    "StudyPage",
    "TempoStep",
    "TrackCode",
    "Value",
    "Voice",
    "WrittenBar",
    "bare_furnishing",
    "contents",
    "cool_down",
    "cover",
    "diagram",
    "how_to_practise",
    "joined",
    "log_page",
    "neck_page",
    "on_sides",
    "opener",
    "opener_key",
    "paper_of",
    "plain_furnishing",
    "room_mm",
    "scan_page",
    "sections",
    "signs_page",
    "start_line",
    "study_furnishing",
    "study_key",
    "study_pages",
    "warm_up",
    "written_bars",
]
