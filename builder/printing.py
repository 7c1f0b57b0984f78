"""Stages 4 to 6: lay the studies out, engrave them, put the book together around them.

In, Out:  composed exercises; a `BookResult` that the outputs write
Not here: what a page shows (`pages`), its LilyPond text and engraving (`engraving`), files (`outputs`)
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeVar

from builder.compose import Composition
from builder.critic.asked import USUAL_FAMILIES, Asked
from builder.engraving import EngravedSheet, Sheet, Store, default_folder, engrave, flowing
from builder.engraving.lilypond_back import first_sheets, last_sheets
from builder.engraving.lilypond_curriculum import (
    Matter,
    TitledSheet,
    assessment_sheets,
    coverage_sheets,
    measure_sheet,
    parents_sheet,
    places_sheet,
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
    standalone,
    study_sheet,
    style_text,
)
from builder.errors import EngravingError, Location
from builder.outputs.study_json import document, study_json
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
    sections,
    small_places,
    study_key,
)
from builder.pages.page import TrackCode
from builder.pages.phrases import Phrases
from builder.pages.press import shift_mm, tab_box_mm, tab_of
from builder.pages.study_page import start_line
from builder.result import BookResult, Heading, PrintedSide
from builder.spec import Library
from builder.spec.library import load_words
from builder.spec.plan import BookPlan
from builder.teaching import Teaching
from builder.theory.score import Study

_FURNITURE = "furniture"

T = TypeVar("T")

_Engrave = Callable[[Sequence[Sheet]], Mapping[str, EngravedSheet]]


@dataclass(frozen=True, slots=True)
class _More:
    """Sheets besides those that every book has: behind the contents, before the studies, behind them."""

    opening: tuple[TitledSheet, ...] = ()
    front: tuple[TitledSheet, ...] = ()
    back: tuple[TitledSheet, ...] = ()

    @property
    def every(self) -> tuple[TitledSheet, ...]:
        return (*self.opening, *self.front, *self.back)


@dataclass(frozen=True, slots=True)
class _Book:
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
    _unnumbered: list[_More] = field(default_factory=list)

    @property
    def studies(self) -> tuple[Study, ...]:
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

    def more(self, labels: Labels) -> _More:
        """The sheets that books differ in; those without page numbers, which are asked for often, are made once."""
        if self.pages_only:
            return _More()
        if labels:
            return self._made(labels)
        if not self._unnumbered:
            self._unnumbered.append(self._made({}))
        return self._unnumbered[0]

    def _made(self, labels: Labels) -> _More:
        matter = self.matter(labels)
        opening, last, taught = first_sheets(matter, self.quoted), last_sheets(matter, self.quoted), self.taught
        if taught is None:
            return _More(opening, (), last)
        front = (parents_sheet(matter),) if taught.term else ()
        back = [
            *(term_sheets(matter, taught.term, taught.limits) if taught.term else ()),
            *(assessment_sheets(matter, taught.syllabus, taught.assessment) if taught.syllabus else ()),
            *((measure_sheet(matter, self.library.hands),) if self.plan.students else ()),
            *(coverage_sheets(matter, taught.coverage) if taught.syllabus else ()),
        ]
        return _More(opening, front, (*back, *last))


def print_book(
    plan: BookPlan,
    compositions: Sequence[Composition],
    library: Library,
    pages_only: bool,
    jobs: int,
    on_progress: Callable[[int, int], None],
    taught: Teaching | None = None,
    quoted: Mapping[str, Study] | None = None,
) -> BookResult:
    """Engrave the book; raise EngravingError with every page that can't be printed.

    *taught* is the book as a curriculum, None where it plans no term and asks for no level; *quoted* are the studies of
    the examples in its pages to read.
    """
    phrases = phrases_of(plan)
    cues = cues_of(phrases, library)
    says = says_of(phrases, library)
    every = sections(study for one in compositions for study in one.studies)
    mapped = small_places((study for section in every for study in section.studies), plan)
    where = plan.places.where()
    book = _Book(plan, every, phrases, cues, says, where, pages_only, library, taught, mapped, quoted or {})
    book = replace(book, places=tuple(places_sheet(book.matter({}), members) for members in mapped.values()))
    style, store = style_text(plan), Store(default_folder())

    places = {one.plan.id: one.plan.places.where() for one in compositions}
    codes = track_codes(plan, book.studies, phrases)
    sheets = {
        study.id: study_sheet(study, plan, places[study.exercise], phrases, cues, codes.get(study.id))
        for study in book.studies
        if study.id not in book.small
    }

    def engraved(around: Sequence[Sheet]) -> Mapping[str, EngravedSheet]:
        done = engrave((*sheets.values(), *around), style, store, jobs, on_progress, plan.fonts.every)
        if done.problems:
            raise EngravingError(done.problems)
        return done.sheets

    every_sheet = (*sheets.values(), *(one.sheet for one in book.places))
    order, pages = _assemble(book, {sheet.key: sheet.bodies[0].sides or 1 for sheet in every_sheet}, engraved)
    sources = {key: standalone(sheet.bodies[pages[study_key(key)].rung].text, style) for key, sheet in sheets.items()}
    return _result(book, compositions, order, pages, sources)


def track_codes(plan: BookPlan, studies: Sequence[Study], phrases: Phrases) -> dict[str, TrackCode]:
    """The code of each study by its id; none where the book does not say where its tracks are on the web."""
    base_url = plan.tracks.base_url if plan.tracks else ""
    if not base_url:
        return {}
    # A book without codes does without the library that makes them.
    from builder.outputs.qr import track_address, track_code

    caption = phrases.lines("code.caption")
    return {study.id: track_code(track_address(base_url, study.id), caption) for study in studies}


def phrases_of(plan: BookPlan) -> Phrases:
    """The printed words in the language of the book."""
    return Phrases.from_data(load_words(plan.language), plan.note_names)


def asked_of(plan: BookPlan) -> Asked:
    """What the pages must be like, for reading them back."""
    return Asked(
        families=(*USUAL_FAMILIES, *(font.printed_name for font in plan.fonts.every)),
        german=phrases_of(plan).naming == "german",
        paper=plan.paper,
        bleed_mm=plan.press.bleed_mm,
        large_print=plan.large_print,
    )


def skills_of(phrases: Phrases, library: Library) -> dict[str, str]:
    """The printed words of each skill, by its id."""
    return {name: phrases.own(f"skill.{name}", words) for name, words in library.skills.items()}


def cues_of(phrases: Phrases, library: Library) -> dict[str, str]:
    """The printed words of each cue, by its id."""
    return {cue.id: phrases.own(f"cue.{cue.id}.words", cue.words) for cue in library.cues}


def says_of(phrases: Phrases, library: Library) -> dict[str, str]:
    """What to do at each cue, by its id."""
    return {cue.id: phrases.own(f"cue.{cue.id}.say", cue.say) for cue in library.cues}


def _assemble(
    book: _Book, sides: Mapping[str, int], engraved: _Engrave
) -> tuple[tuple[Leaf, ...], Mapping[str, EngravedSheet]]:
    """Engrave everything at once; again where a sheet took more sides than it was given page numbers for.

    *sides* are those the studies should take. What fitted comes from the store the second time, so a wrong guess costs
    only the pages whose numbers change.
    """
    expected = dict(sides)
    known: dict[str, int] = {}
    if not book.pages_only:
        expected |= dict.fromkeys(_titles(book), 1)
    while True:
        order = _order(book, expected)
        around = _sheets_around(book, order)
        planned = {
            sheet.key: sheet.bodies[0].sides or known.get(sheet.key) or sheet.bodies[0].likely
            for sheet in around
            if sheet.key != _FURNITURE
        }
        if planned.items() <= expected.items():
            pages = engraved(around)
            found = {key: sheet.sides for key, sheet in pages.items() if key != _FURNITURE}
            if found.items() <= expected.items():
                return order, pages
            planned = known = found
        expected |= planned


def _order(book: _Book, sides: Mapping[str, int]) -> tuple[Leaf, ...]:
    if book.pages_only:
        return leaves((), body_keys(book.sections, False, (), book.mapped), sides, bound=False)
    body = body_keys(book.sections, True, dict(_back(book)), book.mapped)
    return leaves(dict(_front(book)), body, sides, bound=book.plan.press.sides == "two")


_MEASURED = ("front:cover", "back:index", "back:blank-paper", _FURNITURE)


def _sheets_around(book: _Book, order: Sequence[Leaf]) -> tuple[Sheet, ...]:
    """Front and back matter, openers, and the furniture of every side; large words fill the sides they need."""
    sheets = _usual_sheets_around(book, order)
    if not book.plan.large_print:
        return sheets
    return tuple(sheet if sheet.key.startswith(_MEASURED) else flowing(sheet) for sheet in sheets)


def _usual_sheets_around(book: _Book, order: Sequence[Leaf]) -> tuple[Sheet, ...]:
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


def _front(book: _Book) -> tuple[tuple[str, str], ...]:
    """The key and title of each sheet before the studies, in order."""
    cover, listed, *rest = front_titles(book.plan, book.studies, book.phrases).items()
    more = book.more({})
    return (cover, listed, *_titled(more.opening), *rest, *_titled(more.front))


def _back(book: _Book) -> tuple[tuple[str, str], ...]:
    """The same for those behind them."""
    return (*back_titles(book.plan, book.studies, book.phrases), *_titled(book.more({}).back))


def _titled(sheets: Sequence[TitledSheet]) -> tuple[tuple[str, str], ...]:
    return tuple((one.sheet.key, one.title) for one in sheets)


def _listed(sheets: Sequence[TitledSheet]) -> tuple[tuple[str, str], ...]:
    return _titled([one for one in sheets if one.listed])


def _titles(book: _Book) -> dict[str, str]:
    """What stands at the head of every sheet that is no study."""
    openers = {opener_key(section.level): book.phrases("level.name", level=section.level) for section in book.sections}
    places, back = dict(_titled(book.places)), dict(_back(book))
    return {**dict(_front(book)), **openers, **places, **back, NOTES: book.phrases("blank-notes.title")}


def _furnishings(book: _Book, order: Sequence[Leaf]) -> tuple[Furnishing, ...]:
    """The furniture of every side; the cover has none."""
    studies = {study_key(study.id): (study, part.level) for part in book.sections for study in part.studies}
    titles = _titles(book)
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


def _tab_boxes(book: _Book, order: Sequence[Leaf]) -> dict[int, tuple[float, float, float, float]]:
    """The tab of the thumb index on every side that belongs to a level, by side."""
    if not book.plan.press.thumb_index:
        return {}
    levels = {opener_key(section.level): section.level for section in book.sections}
    levels |= {study_key(study.id): section.level for section in book.sections for study in section.studies}
    plan = book.plan
    return {
        leaf.side: tab_box_mm(plan, tab_of(plan, levels[leaf.sheet], leaf.side + 1))
        for leaf in order
        if leaf.sheet in levels
    }


def _result(
    book: _Book,
    compositions: Sequence[Composition],
    order: Sequence[Leaf],
    sheets: Mapping[str, EngravedSheet],
    sources: Mapping[str, str],
) -> BookResult:
    first = book.labelled({leaf.sheet: leaf.side for leaf in order if leaf.part == 0})
    first_side = {study.id: first[study_key(study.id)] + 1 for study in book.studies}
    sides = {study.id: 0 if study.id in book.small else sheets[study_key(study.id)].sides for study in book.studies}
    skipped = [one for composition in compositions for one in composition.skipped]
    tabs = _tab_boxes(book, order)
    studies = [{**study_json(study), "page": first_side[study.id], "pages": sides[study.id]} for study in book.studies]
    return BookResult(
        book=book.plan,
        studies=book.studies,
        skipped=tuple(skipped),
        pages=tuple(
            PrintedSide(
                leaf.sheet,
                sheets[leaf.sheet].pdfs[leaf.part],
                None if leaf.sheet == "front:cover" else sheets[_FURNITURE].pdfs[0],
                leaf.side,
                leaf.numbering,
                shift_mm(book.plan, leaf.side + 1),
                tabs.get(leaf.side),
            )
            for leaf in order
        ),
        first_side=first_side,
        labels=book.labelled(first_labels(order)),
        headings=_headings(book, first),
        marks={key.removeprefix("study:"): side for key, side in first.items() if key != NOTES},
        sources=sources,
        document=document(studies, skipped, ()),
    )


def _headings(book: _Book, first: Mapping[str, int]) -> tuple[Heading, ...]:
    """The outline: front matter, each level with its exercises and their places, back matter."""
    more = {one.sheet.key: one for one in book.more({}).every}
    around = ((), ()) if book.pages_only else (_front(book), _back(book))
    front, back = (
        [heading for key, title in part for heading in _heading(title, first[key], more.get(key))] for part in around
    )
    body: list[Heading] = []
    for section in book.sections:
        begun = {each[0].exercise: min(first[study_key(study.id)] for study in each) for each in section.exercises}
        opening = first.get(opener_key(section.level), min(begun.values()))
        body.append(Heading(1, book.phrases("level.name", level=section.level), opening))
        for exercise in section.exercises:
            body.append(Heading(2, exercise[0].title, begun[exercise[0].exercise]))
            if len(exercise) > 1:
                body += [
                    Heading(3, start_line(study, book.phrases, "place"), first[study_key(study.id)])
                    for study in sorted(exercise, key=lambda study: first[study_key(study.id)])
                ]
    return (*front, *body, *back)


def _heading(title: str, side: int, sheet: TitledSheet | None) -> list[Heading]:
    """The line of a sheet around the studies with those of its parts; none where the book does not list it."""
    if sheet is None:
        return [Heading(1, title, side)]
    parts = [Heading(2, name, side + at) for name, at in sheet.parts]
    return [Heading(1, title, side), *parts] if sheet.listed else []
