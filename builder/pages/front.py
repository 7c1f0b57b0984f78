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


@dataclass(frozen=True, slots=True)
class ListPage:
    """A page of entries: contents, a level opener, where every study starts."""

    title: str
    lead: str
    groups: tuple[Group, ...]
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
    phrases: Phrases,
) -> ListPage:
    """The contents: *matter* and *back* are (sheet key, title) of the pages before and after the studies."""
    groups = [Group("", "", tuple(_plain(key, title, labels) for key, title in matter))]
    for part in sections(studies):
        name = phrases("level.name", level=part.level)
        groups.append(Group(str(part.level), name, study_entries(part, labels, phrases)))
    groups.append(Group("", phrases("contents.back"), tuple(_plain(key, title, labels) for key, title in back)))
    return ListPage(phrases("contents.title"), "", tuple(group for group in groups if group.entries), "", ())


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


def opener(part: Section, labels: Labels, phrases: Phrases) -> ListPage:
    """The page before a level: its number, what is in it, its studies, what they ask for."""
    studies, exercises = part.studies, len(part.exercises)
    count = f"{_one_or_many(exercises)}-{_one_or_many(len(studies))}"
    slow, fast = min(study.rates[0] for study in studies), max(study.rates[-1] for study in studies)
    lead = phrases(f"opener.{count}", exercises=exercises, studies=len(studies), slow=f"{slow:.1f}", fast=f"{fast:.1f}")
    skills = dict.fromkeys(skill for study in studies for skill in study.skills)
    return ListPage(
        phrases("level.name", level=part.level),
        lead,
        (Group("", "", study_entries(part, labels, phrases)),),
        phrases("notes.title"),
        tuple(phrases(key) for skill in skills if (key := f"listen.{skill}") in phrases),
    )


def _one_or_many(count: int) -> str:
    return "one" if count == 1 else "many"
