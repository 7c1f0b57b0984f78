"""Pages as LilyPond text, through the templates; the one place where text is escaped.

Stage:    5 engrave (in)
In, Out:  studies, book plans and words; `Sheet`s whose bodies are complete `\\bookpart`s that need `style_text` first
Not here: what a page holds (`pages`), the tokens of notes (`lilypond_notes`), running LilyPond (`lilypond_run`)
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from functools import cache

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from builder.engraving.lilypond_notes import (
    chord_words,
    cue_words,
    lane,
    name_token,
    tuning_token,
    voices_text,
)
from builder.engraving.sheet import Body, Sheet
from builder.errors import Location
from builder.pages import LOG_ROW_MM, PAPERS, Phrases, StudyPage, study_pages
from builder.resources import folder
from builder.spec.plan import BookPlan
from builder.theory.score import Study

_LINE_ENDS = "\r\n\t\v\f\u0085\u2028\u2029"
_BIDI = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
_MAP_CELL_MM = 84.0


def ly_string(text: object) -> str:
    """Quote any text for LilyPond and Scheme, so that nothing in it is ever read as a command.

    Line ends become spaces; control characters, lone surrogates and direction overrides are dropped.

    >>> print(ly_string('say "hi" \\\\ #(exit)'))
    "say \\"hi\\" \\\\ #(exit)"
    """
    flat = "".join(" " if letter in _LINE_ENDS else letter for letter in str(text))
    kept = "".join(c for c in flat if unicodedata.category(c) not in ("Cc", "Cs") and c not in _BIDI)
    return '"' + kept.replace("\\", "\\\\").replace('"', '\\"') + '"'


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(folder("templates")),
        variable_start_string="[[",
        variable_end_string="]]",
        block_start_string="[%",
        block_end_string="%]",
        comment_start_string="[#",
        comment_end_string="#]",
        undefined=StrictUndefined,
        autoescape=False,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["text"] = ly_string
    return environment


def render(template: str, **values: object) -> str:
    """Fill *template*; an undefined name is an error that tells template and line."""
    return _environment().get_template(template).render(**values)


def style_text(book: BookPlan) -> str:
    """The settings every body needs before it, for the paper of *book*."""
    return render("parts/paper.ly", paper=PAPERS[book.paper]) + (folder("templates") / "style.ily").read_text("utf-8")


def standalone(body: str, style: str) -> str:
    """A file complete by itself, so that a teacher can engrave one page again."""
    return render("parts/version.ly") + style + "\n" + body


def study_sheet(study: Study, book: BookPlan, where: Location, phrases: Phrases, cues: Mapping[str, str]) -> Sheet:
    """The sheet of *study*: one body for each rung of its ladder."""
    pages = study_pages(study, book, phrases, cues)
    return Sheet(f"study:{study.id}", where, tuple(Body(study_body(page), page.rung.sides) for page in pages))


def study_body(page: StudyPage) -> str:
    """The LilyPond text of one study on one rung."""
    music, end = page.music, len(page.music.bars) * page.music.bar_length
    return render(
        "page.ly",
        page=page,
        line_mm=page.paper.line_mm,
        facts_mm=_MAP_CELL_MM - 2 if page.wide_map else page.paper.line_mm - _MAP_CELL_MM,
        tempo_mm=page.paper.line_mm if page.tempo_below else page.paper.line_mm - _MAP_CELL_MM,
        map_cell_mm=_MAP_CELL_MM,
        log_row_mm=LOG_ROW_MM,
        music={
            "staff": voices_text(music, page.rung, "staff", ly_string),
            "tab": voices_text(music, page.rung, "tab", ly_string),
            "chords": lane(chord_words(music.chords, ly_string), end),
            "cues": lane(cue_words(music.cues, ly_string), end),
            "clef": music.instrument.clef,
            "key": name_token(music.signature),
            "time": music.meter,
            "tuning": tuning_token(music.instrument),
            "shortest": f"{page.shortest.numerator}/{page.shortest.denominator}",
        },
    )
