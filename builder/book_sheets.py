"""The sheets of a book around its studies: which there are, in what order, and what stands at the head of each.

Stage:    6 assemble
In, Out:  a `Book`, its studies in order; `Leaf`s for given sides, and the `Sheet`s for given page numbers
Not here: how many sides a sheet takes (`assembling`), what a page shows (`pages`), its LilyPond text (`engraving`)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from builder.assembling import FURNITURE
from builder.engraving import Sheet, flowing
from builder.engraving.lilypond_back import first_sheets, last_sheets
from builder.engraving.lilypond_curriculum import (
    Matter,
    TitledSheet,
    assessment_sheets,
    coverage_sheets,
    measure_sheet,
    parents_sheet,
    term_sheets,
)
from builder.engraving.lilypond_source import (
    back_sheets,
    back_titles,
    front_sheets,
    front_titles,
    furniture_sheet,
    notes_sheet,
    opener_sheets,
)
from builder.errors import Location
from builder.pages.front import Labels
from builder.pages.furniture import Furnishing, bare_furnishing, plain_furnishing, study_furnishing, with_tab
from builder.pages.order import (
    NOTES,
    Leaf,
    Section,
    body_keys,
    first_labels,
    leaves,
    opener_key,
    places_key,
    study_key,
)
from builder.pages.phrases import Phrases
from builder.printed_words import skills_of
from builder.spec import Library
from builder.spec.plan import BookPlan
from builder.teaching import Teaching
from builder.theory.score import Study

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class More:
    """Sheets besides those that every book has: behind the contents, before the studies, behind them."""

    opening: tuple[TitledSheet, ...] = ()
    front: tuple[TitledSheet, ...] = ()
    back: tuple[TitledSheet, ...] = ()

    @property
    def every(self) -> tuple[TitledSheet, ...]:
        """All of them in order."""
        return (*self.opening, *self.front, *self.back)


@dataclass(frozen=True, slots=True)
class Book:
    """What every step needs to know; *places* are the sheets of the studies in *mapped*, which have no pages."""

    plan: BookPlan
    sections: tuple[Section, ...]
    phrases: Phrases
    cues: Mapping[str, str]
    says: Mapping[str, str]
    where: Location
    pages_only: bool
    library: Library
    taught: Teaching | None
    mapped: Mapping[str, tuple[Study, ...]]
    quoted: Mapping[str, Study]
    places: tuple[TitledSheet, ...] = ()
    _unnumbered: list[More] = field(default_factory=list)

    @property
    def studies(self) -> tuple[Study, ...]:
        """All studies in the order of the book."""
        return tuple(study for section in self.sections for study in section.studies)

    def matter(self, labels: Labels) -> Matter:
        """What the pages around the studies are made from."""
        skills = skills_of(self.phrases, self.library)
        return Matter(self.plan, self.studies, labels, self.where, self.phrases, self.cues, skills)

    @property
    def small(self) -> frozenset[str]:
        """The ids of the studies that have no page of their own."""
        return frozenset(study.id for members in self.mapped.values() for study in members)

    def labelled(self, labels: Mapping[str, T]) -> dict[str, T]:
        """*labels* (or sides) of sheets, where a study without a page of its own has that of its map."""
        maps = {study_key(study.id): places_key(study.exercise) for one in self.mapped.values() for study in one}
        return {**labels, **{key: labels[sheet] for key, sheet in maps.items()}}

    def more(self, labels: Labels) -> More:
        """The sheets that books differ in; those without page numbers, which are asked for often, are made once."""
        if self.pages_only:
            return More()
        if labels:
            return self._made(labels)
        if not self._unnumbered:
            self._unnumbered.append(self._made({}))
        return self._unnumbered[0]

    def _made(self, labels: Labels) -> More:
        matter = self.matter(labels)
        opening, last, taught = first_sheets(matter, self.quoted), last_sheets(matter, self.quoted), self.taught
        if taught is None:
            return More(opening, (), last)
        front = (parents_sheet(matter),) if taught.term else ()
        back = [
            *(term_sheets(matter, taught.term, taught.limits) if taught.term else ()),
            *(assessment_sheets(matter, taught.syllabus, taught.assessment) if taught.syllabus else ()),
            *((measure_sheet(matter, self.library.hands),) if self.plan.students else ()),
            *(coverage_sheets(matter, taught.coverage) if taught.syllabus else ()),
        ]
        return More(opening, front, (*back, *last))


def order_of(book: Book, sides: Mapping[str, int]) -> tuple[Leaf, ...]:
    """Every side of the book where its sheets take so many *sides*."""
    if book.pages_only:
        return leaves((), body_keys(book.sections, False, (), book.mapped), sides, bound=False)
    body = body_keys(book.sections, True, dict(back_of(book)), book.mapped)
    return leaves(dict(front_of(book)), body, sides, bound=book.plan.press.sides == "two")


_MEASURED = ("front:cover", "front:scan", "back:index", "back:blank-paper", FURNITURE)


def sheets_around(book: Book, order: Sequence[Leaf]) -> tuple[Sheet, ...]:
    """Front and back matter, openers, and the furniture of every side; large words fill the sides they need."""
    sheets = _usual_sheets_around(book, order)
    if not book.plan.large_print:
        return sheets
    return tuple(sheet if sheet.key.startswith(_MEASURED) else flowing(sheet) for sheet in sheets)


def _usual_sheets_around(book: Book, order: Sequence[Leaf]) -> tuple[Sheet, ...]:
    plan, studies = book.plan, book.studies
    furniture = furniture_sheet(_furnishings(book, order), plan, book.where)
    places = [one.sheet for one in book.places]
    if book.pages_only:
        return (*places, furniture)
    labels = book.labelled(first_labels(order))
    more = book.more(labels)
    listed = (_listed(more.opening), _listed(more.front), _listed(more.back))
    return (
        *front_sheets(plan, studies, labels, book.where, book.phrases, book.cues, book.says, listed),
        *(one.sheet for one in more.every),
        *places,
        *opener_sheets(plan, studies, labels, book.where, book.phrases),
        *back_sheets(plan, studies, labels, book.where, book.phrases),
        *((notes_sheet(plan, book.where, book.phrases),) if any(leaf.sheet == NOTES for leaf in order) else ()),
        furniture,
    )


def front_of(book: Book) -> tuple[tuple[str, str], ...]:
    """The key and title of each sheet before the studies, in order."""
    cover, listed, *rest = front_titles(book.plan, book.studies, book.phrases).items()
    more = book.more({})
    return (cover, listed, *_titled(more.opening), *rest, *_titled(more.front))


def back_of(book: Book) -> tuple[tuple[str, str], ...]:
    """The same for those behind them."""
    return (*back_titles(book.plan, book.studies, book.phrases), *_titled(book.more({}).back))


def _titled(sheets: Sequence[TitledSheet]) -> tuple[tuple[str, str], ...]:
    return tuple((one.sheet.key, one.title) for one in sheets)


def _listed(sheets: Sequence[TitledSheet]) -> tuple[tuple[str, str], ...]:
    return _titled([one for one in sheets if one.listed])


def titles_of(book: Book) -> dict[str, str]:
    """What stands at the head of every sheet that is no study."""
    openers = {opener_key(section.level): book.phrases("level.name", level=section.level) for section in book.sections}
    places, back = dict(_titled(book.places)), dict(back_of(book))
    return {**dict(front_of(book)), **openers, **places, **back, NOTES: book.phrases("blank-notes.title")}


def _furnishings(book: Book, order: Sequence[Leaf]) -> tuple[Furnishing, ...]:
    """The furniture of every side; the cover has none."""
    studies = {study_key(study.id): (study, part.level) for part in book.sections for study in part.studies}
    titles = titles_of(book)
    levels = {opener_key(section.level): section.level for section in book.sections}
    found = []
    for leaf in order:
        if leaf.sheet in studies:
            study, level = studies[leaf.sheet]
            found.append(study_furnishing(study, level, book.plan, book.phrases, leaf.side + 1, leaf.label))
        elif leaf.sheet == "front:cover":
            found.append(bare_furnishing())
        else:
            made = plain_furnishing(book.plan, titles[leaf.sheet], leaf.side + 1, leaf.label)
            if leaf.sheet in levels:
                made = with_tab(made, book.plan, levels[leaf.sheet], leaf.side + 1)
            found.append(made)
    return tuple(found)
