"""Stages 4 to 6: lay the studies out, engrave them, put the book together around them.

In, Out:  composed exercises; a `BookResult` that the outputs write
Not here: which sheets stand around the studies (`book_sheets`), how many sides they take (`assembling`), what a page
          shows (`pages`), its LilyPond text and engraving (`engraving`), files (`outputs`)
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from builder.assembling import FURNITURE, Steps, assemble
from builder.book_sheets import Book, back_of, front_of, order_of, sheets_around, titles_of
from builder.compose import Composition
from builder.engraving import Desk, EngravedSheet, Sheet, Store, default_folder, largest_batch
from builder.engraving.lilypond_curriculum import (
    TitledSheet,
    places_sheet,
)
from builder.engraving.lilypond_source import (
    standalone,
    study_sheet,
    style_text,
)
from builder.engraving.logo_text import cover_logo_mm
from builder.errors import EngravingError
from builder.outputs.study_json import document, study_json
from builder.pages import paper_of
from builder.pages.order import (
    NOTES,
    Leaf,
    first_labels,
    opener_key,
    sections,
    small_places,
    study_key,
)
from builder.pages.page import TrackCode
from builder.pages.phrases import Phrases
from builder.pages.press import shift_mm, tab_box_mm, tab_of
from builder.pages.signs import ORDER
from builder.pages.study_page import start_line
from builder.printed_words import cues_of, phrases_of, says_of
from builder.resources import table
from builder.result import BookResult, Heading, PrintedSide
from builder.spec import Library
from builder.spec.plan import BookPlan, ExercisePlan
from builder.teaching import Teaching
from builder.theory.score import Study
from builder.vocabulary import words_in

if TYPE_CHECKING:
    from builder.critic.asked import Asked

_LEVELS = range(1, 9)  # all that a study can have


def print_book(
    plan: BookPlan,
    compositions: Sequence[Composition],
    library: Library,
    pages_only: bool,
    jobs: int,
    on_progress: Callable[[int, int], None],
    taught: Teaching | None = None,
    quoted: Mapping[str, Study] | None = None,
    meanwhile: Callable[[], None] = lambda: None,
) -> BookResult:
    """Engrave the book; raise EngravingError with every page that can't be printed.

    *taught* is the book as a curriculum, None where it plans no term and asks for no level; *quoted* are the studies of
    the examples in its pages to read. *meanwhile* is done while LilyPond works.
    """
    phrases = phrases_of(plan)
    cues = cues_of(phrases, library)
    says = says_of(phrases, library)
    every = sections(study for one in compositions for study in one.studies)
    mapped = small_places((study for section in every for study in section.studies), plan)
    where = plan.places.where()
    book = Book(plan, every, phrases, cues, says, where, pages_only, library, taught, mapped, quoted or {})
    book = replace(book, places=tuple(places_sheet(book.matter({}), members) for members in mapped.values()))
    style, store = style_text(plan), Store(default_folder())

    places = {one.plan.id: one.plan.places.where() for one in compositions}
    code_of = code_maker(plan, phrases)

    def written(study: Study) -> Sheet:
        return study_sheet(study, plan, places[study.exercise], phrases, cues, code_of(study))

    with Desk(style, store, jobs, plan.fonts.every) as desk:
        printed = [study for study in book.studies if study.id not in book.small]
        sheets = _begun(desk, printed, written)

        def engraved(around: Sequence[Sheet]) -> Mapping[str, EngravedSheet]:
            done = desk.settle((*sheets.values(), *around), on_progress, meanwhile)
            if done.problems:
                raise EngravingError(done.problems)
            return done.sheets

        known = {sheet.key: sheet.bodies[0].sides or 1 for sheet in sheets.values()}
        steps = Steps(partial(order_of, book), partial(sheets_around, book), engraved)
        order, pages = assemble(steps, {**known, **dict.fromkeys(titles_of(book), 1)})
    sources = {key: standalone(sheet.bodies[pages[study_key(key)].rung].text, style) for key, sheet in sheets.items()}
    return _result(book, compositions, order, pages, sources)


def _begun(desk: Desk, studies: Sequence[Study], written: Callable[[Study], Sheet]) -> dict[str, Sheet]:
    """The sheets of *studies* by id; LilyPond works on the first of them while the others are still being written."""
    count = max(desk.jobs, -(-len(studies) // largest_batch(desk.jobs)))
    sheets: dict[str, Sheet] = {}
    for share in range(count):
        # Every so many: studies of one exercise, alike and side by side, take equally long.
        made = {study.id: written(study) for study in studies[share::count]}
        sheets |= made
        if share < desk.jobs:
            desk.begin(made.values())
    return {study.id: sheets[study.id] for study in studies}


def code_maker(plan: BookPlan, phrases: Phrases) -> Callable[[Study], TrackCode | None]:
    """What makes the code of a study; none where the book does not say where its tracks are on the web."""
    base_url = plan.tracks.base_url if plan.tracks else ""
    if not base_url:
        return lambda study: None
    # A book without codes does without the library that makes them.
    from builder.outputs.qr import track_address, track_code

    caption, scale = phrases.lines("code.caption"), paper_of(plan).scale
    return lambda study: track_code(track_address(base_url, study.id), caption, scale)


def asked_of(plan: BookPlan, library: Library, exercises: Sequence[ExercisePlan]) -> Asked:
    """What the pages of a book with *exercises* must be like, for reading them back."""
    # With the critic comes the PDF library, a quarter of a second that must not pass before LilyPond starts.
    from builder.critic.asked import USUAL_FAMILIES, Asked

    phrases = phrases_of(plan)
    named = [(one.id, one.title, one.aim) for one in exercises]
    return Asked(
        families=(*USUAL_FAMILIES, *(font.printed_name for font in plan.fonts.every)),
        german=phrases.naming == "german",
        paper=plan.paper,
        bleed_mm=plan.press.bleed_mm,
        large_print=plan.large_print,
        low_ink=plan.low_ink,
        left_handed=plan.left_handed,
        thumb_index=plan.press.thumb_index,
        logo_mm=cover_logo_mm(plan.look),
        pictures=any(text.pictures for text in plan.prose),
        codes=bool(plan.tracks and plan.tracks.base_url),
        cues=tuple(cues_of(phrases, library).items()),
        words=tuple(sorted(words_in(plan, phrases, library, named, table("planning.yaml")))),
        aims=tuple(sorted({one.id: one.aim for one in exercises}.items())),
        always=(phrases("caution.strong"), phrases("caution.rest")),
        tempo_heads=(phrases("tempo.rate"), phrases("tempo.level"), phrases("tempo.clean")),
        # In large print they are explained on a page of their own only.
        signs=() if plan.large_print else tuple((kind, phrases(f"sign.{kind}")) for kind in ORDER),
        head=plan.look.head or plan.school,
        levels=tuple((level, phrases("level.name", level=level)) for level in _LEVELS),
        feet=tuple(part for part in (plan.student, plan.edition, plan.look.foot) if part),
        study_feet=() if plan.large_print or not plan.licence else (plan.licence,),
        title=plan.title,
        language=plan.language,
    )


def _tab_boxes(book: Book, order: Sequence[Leaf]) -> dict[int, tuple[float, float, float, float]]:
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
    book: Book,
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
                None if leaf.sheet == "front:cover" else sheets[FURNITURE].pdfs[0],
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


def _headings(book: Book, first: Mapping[str, int]) -> tuple[Heading, ...]:
    """The outline: front matter, each level with its exercises and their places, back matter."""
    more = {one.sheet.key: one for one in book.more({}).every}
    around = ((), ()) if book.pages_only else (front_of(book), back_of(book))
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
