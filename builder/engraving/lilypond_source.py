"""Pages as LilyPond text, through the templates.

Stage:    5 engrave (in)
In, Out:  studies, book plans and words; `Sheet`s whose bodies are complete `\\bookpart`s that need `style_text` first
Not here: what a page holds (`pages`), escaping text (`escaping`), the tokens of notes and lanes (`lilypond_notes`,
          `lilypond_lanes`), running LilyPond (`lilypond_run`)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import cache, partial
from pathlib import Path

from jinja2 import Environment

from builder.engraving.escaping import breakable, ly_string, word_list
from builder.engraving.lilypond_lanes import chord_words, closing_cues, cue_words, hand_lane, lane
from builder.engraving.lilypond_notes import Writer, name_token, tuning_token
from builder.engraving.logo_text import cover_logo, head_logo
from builder.engraving.sheet import Body, Ladder, Sheet
from builder.engraving.templates import environment, template_loader, template_problem, template_text, trusted_folder
from builder.errors import Location, SpecError
from builder.pages import (
    NOTES,
    Furnishing,
    Labels,
    ListPage,
    Music,
    Paper,
    Phrases,
    ProsePage,
    Rung,
    StudyPage,
    TrackCode,
    contents,
    cool_down,
    cover,
    how_to_practise,
    log_page,
    neck_page,
    opener,
    opener_key,
    paper_of,
    room_mm,
    scan_page,
    sections,
    signs_page,
    study_key,
    study_pages,
    warm_up,
)
from builder.spec.breaks import Breaks
from builder.spec.plan import BookPlan
from builder.theory.score import Rest, Study

_PAPER_SPACE_MM = 5 * 25.4 / 72.27  # distances of \paper count in spaces of LilyPond's own staff of 20 points


@cache
def _environment(own: Path | None) -> Environment:
    made = environment(template_loader(own))
    made.filters |= {"text": ly_string, "breakable": breakable, "place": _place_in, "words": word_list}
    return made


def page_values(book: BookPlan) -> dict[str, object]:
    """What every template may ask about the page."""
    paper = paper_of(book)
    half_mm = round((paper.line_mm - 10) / 2, 1)
    return {
        "left_handed": book.left_handed,
        "breaks": Breaks(book.language, book.hints),
        "line_mm": paper.line_mm,
        "half_mm": half_mm,
        "across": paper.across,
        "caution_lines": paper.caution_lines,
        "narrow": paper.narrow,
        "large": paper.large,
        # An id is as long as a title: where letters are wide, the place beside the title says the same.
        "placed": paper.narrow or paper.large,
    }


def _place_in(study: str) -> str:
    """The place in a study's id, for where its title stands beside it.

    >>> _place_in("ferry-steps-s3f7")
    's3f7'
    """
    return study.rpartition("-")[2]


def render(template: str, **values: object) -> str:
    """Fill *template*; an undefined name is an error that tells template and line."""
    own = trusted_folder()
    try:
        return _environment(own).get_template(template).render(**values)
    except Exception as error:  # a template of somebody else's raises whatever it likes
        problem = own and template_problem(error, own)
        if problem:
            raise SpecError([problem]) from error
        raise


def style_text(book: BookPlan) -> str:
    """The settings every body needs before it, for the paper of *book*."""
    names = (
        "style.ily",
        "track_code.ily",
        "curriculum.ily",
        "back.ily",
        "prose.ily",
        *["large_print.ily"] * book.large_print,
    )
    shared = map(template_text, names)
    fonts = render("parts/fonts.ly", fonts=book.fonts) if book.fonts.every else ""
    return render("parts/paper.ly", book=book, paper=paper_of(book)) + "\n".join((*shared, fonts))


def standalone(body: str, style: str) -> str:
    """A file complete by itself, so that a teacher can engrave one page again."""
    return render("parts/version.ly") + style + "\n" + body


def study_sheet(
    study: Study,
    book: BookPlan,
    where: Location,
    phrases: Phrases,
    cues: Mapping[str, str],
    code: TrackCode | None = None,
) -> Sheet:
    """The sheet of *study*: one body for each rung of its ladder; *code* leads to its tracks."""
    pages = study_pages(study, book, phrases, cues, code)
    writer = Writer(pages[0].music, ly_string, {})

    def body(page: StudyPage) -> Body:
        return Body(study_body(page, writer, book), page.rung.sides)

    return Sheet(study_key(study.id), where, Ladder([partial(body, page) for page in pages]))


def study_body(page: StudyPage, writer: Writer, book: BookPlan) -> str:
    """The LilyPond text of one study on one rung; for left-handed players its pictures of the neck are turned."""
    music = page.music
    return render(
        "page.ly",
        page=page,
        left_handed=book.left_handed,
        breaks=Breaks(book.language, book.hints),
        line_mm=page.paper.line_mm,
        facts_mm=_facts_mm(page),
        tempo_mm=page.paper.line_mm if page.tempo_below else page.paper.line_mm - page.paper.map_cell_mm,
        map_cell_mm=page.paper.map_cell_mm,
        reach_ss=round(page.rung.reach_mm / _PAPER_SPACE_MM, 2),
        foot_ss=round(page.rung.foot_mm / _PAPER_SPACE_MM, 2),
        music=music_tokens(music, page.rung, page.shortest, writer),
    )


def _facts_mm(page: StudyPage) -> float:
    """The room for start and key: the line, or what stands beside the tempo row or the map."""
    if page.paper.large:
        return page.paper.line_mm
    return page.paper.map_cell_mm - 2 if page.wide_map else page.paper.line_mm - page.paper.map_cell_mm


def music_tokens(music: Music, rung: Rung, shortest: Fraction, writer: Writer) -> dict[str, str | bool]:
    """What templates/parts/score.ly needs to know of *music* on one rung."""
    end = len(music.bars) * music.bar_length
    return {
        "staff": writer.voices(rung, "staff") if music.notation != "tab" else "",
        "tab": writer.voices(rung, "tab") if music.notation != "staff" else "",
        "alone": music.notation != "both",
        "hand": hand_lane(music, ly_string),
        "chords": lane(chord_words(music.chords, ly_string), end),
        "cues": lane(cue_words(music.cues, closing_cues(music, rung), ly_string), end),
        "clef": music.instrument.clef,
        "key": name_token(music.signature),
        "time": music.meter,
        "tuning": tuning_token(music.instrument),
        "shortest": f"{shortest.numerator}/{shortest.denominator}",
    }


# --- around the studies -----------------------------------------------------------------------------------------------

_CONTENTS_PT, _OPENER_PT = 26, 54
_NECK = "back:neck"
_NOTES_HEAD_MM, _NOTE_LINE_MM = 14.0, 9.0  # the title; from line to line, roomy for a pencil
_WARM_UP, _COOL_DOWN = "front:warm-up", "back:cool-down"


def furniture_sheet(sides: Sequence[Furnishing], book: BookPlan, where: Location) -> Sheet:
    """Running heads, feet and page numbers of a whole book: one side for each of its sides, to be laid over."""
    text = render("book/furniture.ly", sides=sides, paper=paper_of(book), logo=head_logo(book.look))
    return Sheet("furniture", where, (Body(text, len(sides), whole=True),))


Titles = Sequence[tuple[str, str]]
"""Keys of sheets and what stands at their heads."""


def front_sheets(
    book: BookPlan,
    studies: Sequence[Study],
    labels: Labels,
    where: Location,
    phrases: Phrases,
    cues: Mapping[str, str],
    says: Mapping[str, str],
    more: tuple[Titles, Titles, Titles] = ((), (), ()),
) -> tuple[Sheet, ...]:
    """Cover, contents, how to practise, warm-up, signs, cues; *labels* gives the page number of each sheet key.

    *cues* holds the printed words of each cue, *says* a sentence of what to do. A label not known yet may be
    missing: the pages take the same room, so that numbers can be filled in later. *more* are the keys and titles of
    further sheets behind the contents, before the studies and behind them.
    """
    used = [
        event.checkpoint for study in studies for event in study.events if isinstance(event, Rest) and event.checkpoint
    ]
    practise, signs, scan = (
        how_to_practise(phrases),
        signs_page(studies, book, phrases),
        scan_page(used, paper_of(book), phrases, cues, says),
    )
    matter = [*more[0], *list(front_titles(book, studies, phrases).items())[2:], *more[1]]
    back = [*back_titles(book, studies, phrases), *more[2]]
    listed = contents(studies, matter, back, labels, paper_of(book), phrases)
    return (
        cover_sheet(book, studies, where),
        list_sheet("front:contents", listed, where, book),
        Sheet("front:practise", where, prose_bodies(practise, paper_of(book))),
        *_warming_sheet(_WARM_UP, warm_up(studies, labels, paper_of(book), phrases), where, book),
        _sheet("front:signs", where, None, "book/signs.ly", book, likely=signs.sides, page=signs),
        _sheet(
            "front:scan",
            where,
            -(-len(scan.cues) // scan.cues_a_side),
            "book/scan.ly",
            book,
            page=scan,
            cue_mm=scan.widths_mm[0] - 3,
            say_mm=scan.widths_mm[1] - 3,
        ),
    )


def prose_bodies(page: ProsePage, paper: Paper) -> tuple[Body, ...]:
    """A page of ours to read: on one side with lines as short as they should be; else with less air, then wider."""
    narrow, wide = (paper.indent_mm, paper.text_mm), (0.0, paper.line_mm)
    ways: tuple[tuple[tuple[float, float], tuple[float, float], int | None], ...]
    ways = ((narrow, (5.6, 1.8), 1), (narrow, (3.4, 0.9), 1), (wide, (2.4, 0.4), None))
    return tuple(
        Body(
            render("book/prose.ly", page=page, line_mm=paper.line_mm, indent_mm=indent, text_mm=text, airs_mm=airs),
            sides,
        )
        for (indent, text), airs, sides in ways
    )


def opener_sheets(
    book: BookPlan, studies: Sequence[Study], labels: Labels, where: Location, phrases: Phrases
) -> tuple[Sheet, ...]:
    """The page before each level, in the order of the book."""
    pages = [(part.level, opener(part, labels, paper_of(book), phrases)) for part in sections(studies)]
    return tuple(
        _sheet(opener_key(level), where, len(page.listing.sides), "book/list.ly", book, page=page, title_pt=_OPENER_PT)
        for level, page in pages
    )


def front_titles(book: BookPlan, studies: Sequence[Study], phrases: Phrases) -> dict[str, str]:
    """The title of each front sheet by its key, in order."""
    warming = {_WARM_UP: phrases("warm-up.title")} if warm_up(studies, {}, paper_of(book), phrases) else {}
    return {
        "front:cover": book.title,
        "front:contents": phrases("contents.title"),
        "front:practise": phrases("practise.title"),
        **warming,
        "front:signs": phrases("signs.title"),
        "front:scan": phrases("scan.title"),
    }


def back_titles(book: BookPlan, studies: Sequence[Study], phrases: Phrases) -> tuple[tuple[str, str], ...]:
    """The keys and titles of the back sheets, in order."""
    cooling = [(_COOL_DOWN, phrases("cool-down.title"))] if cool_down(studies, {}, paper_of(book), phrases) else []
    neck = [] if _indexed(book) else [(_NECK, phrases("neck.title"))]
    return (*cooling, *neck, ("back:log", phrases("term-log.title")))


def _indexed(book: BookPlan) -> bool:
    """Whether an index lists the studies by place: it begins with the maps that else have a page of their own."""
    return any(part.kind == "index" for part in book.back)


def back_sheets(
    book: BookPlan, studies: Sequence[Study], labels: Labels, where: Location, phrases: Phrases
) -> tuple[Sheet, ...]:
    """The cool-down, where the studies start if no index says it, and the practice log."""
    caution = (phrases("caution.strong"), phrases("caution.rest"))
    log = log_page(paper_of(book), phrases)
    return (
        *_warming_sheet(_COOL_DOWN, cool_down(studies, labels, paper_of(book), phrases), where, book),
        *_neck_sheet(book, studies, labels, where, phrases),
        _sheet(
            "back:log",
            where,
            1,
            "book/log.ly",
            book,
            page=log,
            caution=caution,
        ),
    )


def notes_sheet(book: BookPlan, where: Location, phrases: Phrases) -> Sheet:
    """A ruled page for notes, where a bound book would have a blank one."""
    lines = int((room_mm(paper_of(book)) - _NOTES_HEAD_MM) / _NOTE_LINE_MM)
    title = phrases("blank-notes.title")
    return _sheet(NOTES, where, 1, "book/notes.ly", book, title=title, lines=lines, pitch_mm=_NOTE_LINE_MM)


def cover_sheet(book: BookPlan, studies: Sequence[Study], where: Location) -> Sheet:
    """The cover, with as many strings across it as the richest instrument has."""
    strings = max((study.instrument.strings for study in studies), default=book.instrument.strings)
    logo = cover_logo(book.look)
    return _sheet("front:cover", where, 1, "book/cover.ly", book, page=cover(book), strings=strings, logo=logo)


def list_sheet(key: str, page: ListPage, where: Location, book: BookPlan) -> Sheet:
    """The sheet of a list such as the contents."""
    return _sheet(key, where, len(page.listing.sides), "book/list.ly", book, page=page, title_pt=_CONTENTS_PT)


def _warming_sheet(key: str, page: ListPage | None, where: Location, book: BookPlan) -> tuple[Sheet, ...]:
    """The sheet of warm-up or cool-down, none where there is no page for it."""
    return () if page is None else (list_sheet(key, page, where, book),)


def _neck_sheet(
    book: BookPlan, studies: Sequence[Study], labels: Labels, where: Location, phrases: Phrases
) -> tuple[Sheet, ...]:
    if _indexed(book):
        return ()
    neck = neck_page(studies, paper_of(book), labels, phrases)
    return (_sheet(_NECK, where, len(neck.listing.sides), "book/neck.ly", book, page=neck),)


def _sheet(
    key: str, where: Location, sides: int | None, template: str, book: BookPlan, likely: int = 1, **values: object
) -> Sheet:
    text = render(template, **page_values(book), **values)
    return Sheet(key, where, (Body(text, sides, likely=likely),))
