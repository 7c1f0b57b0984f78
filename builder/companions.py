"""The small books beside the book: the syllabus of a school, the teacher's edition.

Stage:    4 to 6, after the book's own
In, Out:  a `BookResult` and its curriculum; `Companion`s that the outputs write
Not here: what their pages show (`pages`), their LilyPond text (`engraving`)

They cite the book's pages by the numbers printed there; their own pages are numbered in Roman figures, so that no
number can be taken for another.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from builder.curriculum.changes import Change
from builder.engraving import EngravedSheet, Sheet, Store, default_folder, engrave, flowing
from builder.engraving.lilypond_curriculum import (
    Matter,
    TitledSheet,
    assessment_sheets,
    changes_sheet,
    teacher_sheets,
)
from builder.engraving.lilypond_source import cover_sheet, furniture_sheet, list_sheet, style_text
from builder.errors import EngravingError
from builder.pages.companion_pages import levels_page, syllabus_contents, teachers_contents
from builder.pages.front import Labels, ListPage
from builder.pages.furniture import Furnishing, bare_furnishing, plain_furnishing
from builder.pages.order import Leaf, first_labels, leaves
from builder.pages.page import paper_of
from builder.pages.press import shift_mm
from builder.printed_words import cues_of, phrases_of, skills_of
from builder.result import BookResult, Companion, Heading, PrintedSide
from builder.spec import Library
from builder.spec.plan import BookPlan, ExercisePlan
from builder.teaching import Teaching

Progress = Callable[[int, int], None]

_COVER, _CONTENTS, _LEVELS = "front:cover", "front:contents", "syllabus:levels"


def print_syllabus(
    result: BookResult,
    taught: Teaching,
    changes: Sequence[Change] | None,
    library: Library,
    jobs: int,
    on_progress: Progress,
) -> Companion:
    """Engrave the syllabus: levels, sheets for assessment, *changes* since an earlier edition (None = none is named).

    Raises ValueError for a book without levels, EngravingError with every page that can't be printed.
    """
    if taught.syllabus is None:
        raise ValueError("a book without levels has no syllabus")
    matter = _matter(result, library)
    paper, phrases = paper_of(result.book), matter.phrases
    levels = levels_page(taught.syllabus, matter.titles, result.labels, paper, phrases)
    sheets = (
        TitledSheet(list_sheet(_LEVELS, levels, matter.where, result.book), levels.title),
        *assessment_sheets(matter, taught.syllabus, taught.assessment),
        *((changes_sheet(matter, changes),) if changes is not None else ()),
    )
    titles = [(one.sheet.key, one.title) for one in sheets]
    draft = _Draft("syllabus", phrases("syllabus.title"), matter, sheets)
    return _printed(draft, lambda labels: syllabus_contents(titles, labels, paper, phrases), jobs, on_progress)


def print_teachers(
    result: BookResult, plans: Sequence[ExercisePlan], library: Library, jobs: int, on_progress: Progress
) -> Companion:
    """Engrave the teacher's edition: a page for each exercise; raise EngravingError as above."""
    matter = _matter(result, library)
    draft = _Draft("teacher", matter.phrases("teacher.title"), matter, teacher_sheets(matter, plans))

    def contents(labels: Labels) -> ListPage:
        return teachers_contents(result.studies, labels, paper_of(result.book), matter.phrases)

    return _printed(draft, contents, jobs, on_progress)


def _matter(result: BookResult, library: Library) -> Matter:
    phrases = phrases_of(result.book)
    cues, skills = cues_of(phrases, library), skills_of(phrases, library)
    return Matter(result.book, result.studies, result.labels, result.book.places.where(), phrases, cues, skills)


@dataclass(frozen=True, slots=True)
class _Draft:
    """What a small book holds besides cover and contents."""

    kind: Literal["syllabus", "teacher"]
    title: str
    matter: Matter
    sheets: tuple[TitledSheet, ...]

    @property
    def titles(self) -> dict[str, str]:
        """What stands at the head of each sheet."""
        contents = {_CONTENTS: self.matter.phrases("contents.title")}
        return {_COVER: "", **contents, **{one.sheet.key: one.title for one in self.sheets}}


def _printed(draft: _Draft, contents: Callable[[Labels], ListPage], jobs: int, on_progress: Progress) -> Companion:
    """Engrave the sheets, then cover, contents and furniture, which depend on how many sides those took."""
    book, where = draft.matter.book, draft.matter.where
    style, store = style_text(book), Store(default_folder())
    fixed = (_COVER, "furniture")

    def engraved(sheets: Sequence[Sheet]) -> Mapping[str, EngravedSheet]:
        made = [flowing(sheet) if book.large_print and sheet.key not in fixed else sheet for sheet in sheets]
        done = engrave(made, style, store, jobs, on_progress, book.fonts.every)
        if done.problems:
            raise EngravingError(done.problems)
        return done.sheets

    unnumbered = list_sheet(_CONTENTS, contents({}), where, book)
    pages = dict(engraved([*(one.sheet for one in draft.sheets), unnumbered]))
    sides = {_COVER: 1}
    sides |= {key: sheet.sides for key, sheet in pages.items()}
    order = leaves(draft.titles, (), sides, bound=False)
    listed = list_sheet(_CONTENTS, contents(first_labels(order)), where, book)
    named = replace(book, title=draft.title, subtitle=book.title)
    furniture = furniture_sheet(_furnishings(draft, order), book, where)
    pages |= engraved([cover_sheet(named, draft.matter.studies, where), listed, furniture])
    first = {leaf.sheet: leaf.side for leaf in order if leaf.part == 0}
    return Companion(
        kind=draft.kind,
        title=draft.title,
        book=book,
        pages=tuple(_side(book, leaf, pages, furniture.key) for leaf in order),
        headings=tuple(Heading(1, title, first[key]) for key, title in draft.titles.items() if title),
        marks=first,
    )


def _furnishings(draft: _Draft, order: Sequence[Leaf]) -> tuple[Furnishing, ...]:
    book, titles = draft.matter.book, draft.titles
    return tuple(
        bare_furnishing()
        if leaf.sheet == _COVER
        else plain_furnishing(book, titles[leaf.sheet], leaf.side + 1, leaf.label)
        for leaf in order
    )


def _side(book: BookPlan, leaf: Leaf, pages: Mapping[str, EngravedSheet], furniture: str) -> PrintedSide:
    over, moved = None if leaf.sheet == _COVER else pages[furniture].pdfs[0], shift_mm(book, leaf.side + 1)
    return PrintedSide(leaf.sheet, pages[leaf.sheet].pdfs[leaf.part], over, leaf.side, leaf.numbering, moved)
