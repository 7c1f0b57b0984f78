"""What a book says itself before and behind its studies: pages to read, index, glossary, paper, imprint.

Stage:    5 engrave (in)
In, Out:  `Matter`; sheets with the titles a book lists them by, in the order in which the book names its parts
Not here: what a page holds (`pages`), the pages of every book (`lilypond_source`)

As with the pages of a curriculum, keys, sides and titles never depend on the labels.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from builder import __version__
from builder.engraving.lilypond_curriculum import Matter, TitledSheet
from builder.engraving.lilypond_notes import tuning_token
from builder.engraving.lilypond_prose import prose_sheet
from builder.engraving.lilypond_source import render
from builder.engraving.sheet import Body, Sheet
from builder.pages.glossary import LABEL_MM, NAME_MM, glossary_page
from builder.pages.imprint import blank_papers, imprint_page
from builder.pages.index import index_page
from builder.spec.plan import MatterKind, MatterPart
from builder.theory.score import Study

# The names of facts in the imprint; a letter of one in large print, as measured.
_FACT_MM, _LARGE_FACT_LETTER_MM = 34.0, 3.4

Titled = tuple[TitledSheet, ...]
Quoted = Mapping[str, Study]


def first_sheets(matter: Matter, quoted: Quoted) -> Titled:
    """The pages to read before the studies; *quoted* are the studies of their examples."""
    return tuple(
        prose_sheet(matter, f"front-prose:{part.file}", part.text, quoted) for part in matter.book.front if part.text
    )


def last_sheets(matter: Matter, quoted: Quoted) -> Titled:
    """Everything that the book's `back` asks for; none where it has no studies."""
    if not matter.studies:
        return ()
    found: list[TitledSheet] = []
    for part in matter.book.back:
        if part.kind != "prose":
            found += _PARTS[part.kind](matter, part)
        elif part.text:
            found.append(prose_sheet(matter, f"back-prose:{part.file}", part.text, quoted))
    return tuple(found)


def _index(matter: Matter, part: MatterPart) -> Titled:
    page = index_page(matter.studies, matter.skills, matter.labels, matter.paper, matter.phrases)
    text = render("book/index.ly", page=page, line_mm=matter.paper.line_mm, left_handed=matter.book.left_handed)
    body = Body(text, len(page.sides))
    return (TitledSheet(Sheet("back:index", matter.where, (body,)), page.title, parts=page.parts),)


def _glossary(matter: Matter, part: MatterPart) -> Titled:
    page = glossary_page(matter.studies, matter.labels, matter.paper, matter.phrases)

    def text(tight_mm: float) -> str:
        widths = {"line_mm": matter.paper.line_mm, "name_mm": NAME_MM, "label_mm": LABEL_MM}
        return render("book/glossary.ly", page=page, tight_mm=tight_mm, **widths)

    usual = Body(text(0.0), None, likely=page.sides)
    closer = (Body(text(page.tight_mm), page.sides - 1),) if page.tight_mm else ()
    return (TitledSheet(Sheet("back:glossary", matter.where, (*closer, usual)), page.title),)


def _blank_paper(matter: Matter, part: MatterPart) -> Titled:
    sheets = []
    for number, page in enumerate(blank_papers(matter.studies, part.sides, matter.book, matter.phrases)):
        tuning = tuning_token(page.instrument)
        text = render("book/blank_paper.ly", page=page, line_mm=matter.paper.line_mm, tuning=tuning)
        sheet = Sheet(f"back:blank-paper-{number + 1}", matter.where, (Body(text, page.sides),))
        sheets.append(TitledSheet(sheet, matter.phrases("blank.title"), listed=number == 0))
    return tuple(sheets)


def _imprint(matter: Matter, part: MatterPart) -> Titled:
    page = imprint_page(matter.book, __version__, matter.studies[0].id, matter.phrases)
    longest = max(len(name) for name, _ in page.facts)
    name_mm = max(_FACT_MM, longest * _LARGE_FACT_LETTER_MM + 2) if matter.paper.large else _FACT_MM
    indent_mm = 0.0 if matter.paper.large else name_mm
    line_mm = matter.paper.line_mm
    text = render("book/imprint.ly", page=page, line_mm=line_mm, name_mm=round(name_mm, 1), indent_mm=indent_mm)
    return (TitledSheet(Sheet("back:imprint", matter.where, (Body(text, 1),)), page.title),)


_PARTS: Mapping[MatterKind, Callable[[Matter, MatterPart], Titled]] = {
    "index": _index,
    "glossary": _glossary,
    "blank-paper": _blank_paper,
    "imprint": _imprint,
}
