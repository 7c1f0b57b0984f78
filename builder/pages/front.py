"""The pages before and between the studies: cover, contents, how to practise, signs, cues, level openers.

Stage:    6 assemble (pure)
In, Out:  a book, its studies in order, the page labels by sheet key; values for the book templates
Source:   advice on practice and health: the studies named beside the phrases it is worded in
Not here: the words themselves (shared/phrases), LilyPond text (`engraving.lilypond_source`)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from builder.pages.order import Section, sections, study_key
from builder.pages.page import PAPERS, Paper
from builder.pages.phrases import Phrases
from builder.pages.study_page import start_line
from builder.spec.plan import BookPlan
from builder.theory.score import Study

Labels = Mapping[str, str]
CUE_MM, SAY_MM = 38.0, 68.0  # columns of the cues: 18 letters at 11 pt bold; a sentence on two lines at 9 pt
# Heights on the sides of lists, as style.ily draws them; the rest is kept free, so that no side is ever squeezed.
_ENTRY_MM, _HEADING_MM, _SPARE_MM = 6.0, 18.5, 14.0
_TITLE_MM, _OPENER_MM, _NOTES_MM, _NOTE_MM = 24.0, 42.0, 18.0, 13.0
_CUE_ROW_MM = (12.0, 24.0)  # least to write a line in, most that still looks like a table
_SCAN_HEAD_MM = 78.0  # title, lead, head row and margins; measured on trial pages


@dataclass(frozen=True, slots=True)
class Cover:
    """The first side; author and edition share a line."""

    school: str
    title: str
    subtitle: str
    author: str
    edition: str
    licence: str
    author_mm: float
    edition_mm: float


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the contents; *target* is the study id it leads to, empty for none; *place* is set smaller."""

    text: str
    place: str
    label: str
    target: str
    indented: bool


@dataclass(frozen=True, slots=True)
class Group:
    """Entries under a heading; *mark* is the large figure beside it."""

    mark: str
    heading: str
    entries: tuple[Entry, ...]


Sides = tuple[tuple[Group, ...], ...]


@dataclass(frozen=True, slots=True)
class ListPage:
    """Entries, side by side of paper: contents, a level opener."""

    title: str
    lead: str
    sides: Sides
    notes_title: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Prose:
    """A heading and its paragraphs."""

    heading: str
    paragraphs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ProsePage:
    """A page to read."""

    title: str
    lead: str
    sections: tuple[Prose, ...]


@dataclass(frozen=True, slots=True)
class SignsPage:
    """Every sign of the book with its meaning; the kinds are known to style.ily."""

    title: str
    lead: str
    signs: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class ScanPage:
    """The cues of the book: the printed words, what to do, and room to write what one notices."""

    title: str
    lead: str
    heads: tuple[str, str, str]
    cues: tuple[tuple[str, str], ...]
    widths_mm: tuple[float, float, float]
    row_mm: float
    cues_a_side: int


def on_sides(groups: Sequence[Group], paper: Paper, first_mm: float) -> Sides:
    """Deal groups of entries on sides of paper; *first_mm* is what the first side has already given away.

    A heading stays with two entries at least, the name of an exercise with the first of its places.
    """
    room = paper.height_mm - paper.top_mm - paper.foot_mm - _SPARE_MM
    sides: list[list[Group]] = [[]]
    left = room - first_mm
    for group in groups:
        left -= _HEADING_MM
        begun = Group(group.mark, group.heading, ())
        for number, entry in enumerate(group.entries):
            ahead = group.entries[number : number + 2]
            needed = _ENTRY_MM * (2 if len(ahead) == 2 and (number == 0 or not entry.label) else 1)
            if needed > left:
                sides[-1] += [begun] if begun.entries else []
                sides.append([])
                left = room - _HEADING_MM
                begun = Group(group.mark, group.heading, ()) if not number else Group("", "", ())
            begun = Group(begun.mark, begun.heading, (*begun.entries, entry))
            left -= _ENTRY_MM
        sides[-1].append(begun)
    return tuple(tuple(side) for side in sides if side)


def cover(book: BookPlan) -> Cover:
    """The cover of *book*."""
    line = PAPERS[book.paper].line_mm
    texts = (book.school, book.title, book.subtitle, book.author, book.edition, book.licence)
    return Cover(*texts, author_mm=round(line * 0.62, 1), edition_mm=round(line * 0.35, 1))


def contents(
    studies: Sequence[Study],
    matter: Sequence[tuple[str, str]],
    back: Sequence[tuple[str, str]],
    labels: Labels,
    paper: Paper,
    phrases: Phrases,
) -> ListPage:
    """The contents: *matter* and *back* are (sheet key, title) of the pages before and after the studies."""
    groups = [Group("", "", tuple(_plain(key, title, labels) for key, title in matter))]
    for part in sections(studies):
        name = phrases("level.name", level=part.level)
        groups.append(Group(str(part.level), name, study_entries(part, labels, phrases)))
    groups.append(Group("", phrases("contents.back"), tuple(_plain(key, title, labels) for key, title in back)))
    sides = on_sides([group for group in groups if group.entries], paper, _TITLE_MM)
    return ListPage(phrases("contents.title"), "", sides, "", ())


def study_entries(part: Section, labels: Labels, phrases: Phrases) -> tuple[Entry, ...]:
    """An exercise once by name, its places indented below; on one line where there is only one."""
    entries: list[Entry] = []
    for members in part.exercises:
        if len(members) == 1:
            entries.append(_study_entry(members[0], members[0].title, labels, phrases, False))
            continue
        entries.append(Entry(members[0].title, "", "", "", False))
        entries += [_study_entry(study, "", labels, phrases, True) for study in members]
    return tuple(entries)


def _study_entry(study: Study, text: str, labels: Labels, phrases: Phrases, indented: bool) -> Entry:
    return Entry(text, start_line(study, phrases, "place"), labels.get(study_key(study.id), ""), study.id, indented)


def _plain(key: str, title: str, labels: Labels) -> Entry:
    return Entry(title, "", labels.get(key, ""), key, False)


def how_to_practise(phrases: Phrases) -> ProsePage:
    """How to use the book, ending with the long caution."""
    names = phrases.lines("practise.order")
    sections = tuple(Prose(phrases(f"practise.{name}.title"), phrases.lines(f"practise.{name}.text")) for name in names)
    return ProsePage(phrases("practise.title"), phrases("practise.lead"), sections)


def signs_page(phrases: Phrases) -> SignsPage:
    """Every sign the music pages may use."""
    rows = tuple(
        (kind, phrases(f"signs.{kind}.name"), phrases(f"signs.{kind}.text")) for kind in phrases.lines("signs.order")
    )
    return SignsPage(phrases("signs.title"), phrases("signs.lead"), rows)


def scan_page(
    used: Sequence[str], paper: Paper, phrases: Phrases, cues: Mapping[str, str], says: Mapping[str, str]
) -> ScanPage:
    """The cues with these ids, or all when none is used; the rows share the height of the side."""
    ids = [cue for cue in cues if cue in used] or list(cues)
    free = paper.height_mm - _SCAN_HEAD_MM
    sides = ceil(len(ids) * _CUE_ROW_MM[0] / free)
    rows = max(1, ceil(len(ids) / max(1, sides)))
    return ScanPage(
        title=phrases("scan.title"),
        lead=phrases("scan.lead"),
        heads=(phrases("scan.place"), phrases("scan.do"), phrases("scan.notice")),
        cues=tuple((cues[cue], says.get(cue, "")) for cue in ids),
        widths_mm=(CUE_MM, SAY_MM, round(paper.line_mm - CUE_MM - SAY_MM, 1)),
        row_mm=round(min(_CUE_ROW_MM[1], free / rows), 1),
        cues_a_side=rows,
    )


def opener(part: Section, labels: Labels, paper: Paper, phrases: Phrases) -> ListPage:
    """The page before a level: its number, what is in it, its studies, what they ask for where there is room."""
    studies, exercises = part.studies, len(part.exercises)
    count = f"{_one_or_many(exercises)}-{_one_or_many(len(studies))}"
    slow, fast = min(study.rates[0] for study in studies), max(study.rates[-1] for study in studies)
    lead = phrases(f"opener.{count}", exercises=exercises, studies=len(studies), slow=f"{slow:.1f}", fast=f"{fast:.1f}")
    skills = dict.fromkeys(skill for study in studies for skill in study.skills)
    notes = tuple(phrases(key) for skill in skills if (key := f"listen.{skill}") in phrases)
    groups = [Group("", "", study_entries(part, labels, phrases))]
    fitting = [n for n in range(len(notes) + 1) if len(on_sides(groups, paper, _opener_mm(n))) == 1]
    sides = on_sides(groups, paper, _opener_mm(0))
    return ListPage(
        phrases("level.name", level=part.level), lead, sides, phrases("notes.title"), notes[: max(fitting, default=0)]
    )


def _opener_mm(notes: int) -> float:
    """What the first side of an opener gives away to its title and so many notes."""
    return _OPENER_MM + (_NOTES_MM + notes * _NOTE_MM if notes else 0)


def _one_or_many(count: int) -> str:
    return "one" if count == 1 else "many"
