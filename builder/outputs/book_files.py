"""The files of a build: the book, its JSON, the report, and a LilyPond source for each study.

In, Out:  a `BookResult` and a folder; files, each whole or not at all
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Callable, Iterable
from pathlib import Path

from builder.critic.finding import Finding
from builder.curriculum.coverage import Coverage, coverage_json
from builder.errors import Problem
from builder.outputs.book_pdf import BookInfo, BookPage, OutlineEntry, book_bytes, booklet_bytes, write_book
from builder.outputs.files import write_whole
from builder.outputs.placing import Tab, Trim, placed
from builder.outputs.report import failure_text, report_text
from builder.outputs.track_ledger import studies_of
from builder.pages import paper_of
from builder.result import BookResult, Companion, Heading, PrintedSide
from builder.spec.plan import BookPlan

ReadBack = Callable[[bytes], tuple[Finding, ...]]


def _unread(book: bytes) -> tuple[Finding, ...]:
    return ()


def write_files(
    out: Path,
    result: BookResult,
    coverage: Coverage,
    companions: Iterable[Companion] = (),
    read_back: ReadBack = _unread,
) -> tuple[tuple[Path, ...], tuple[Finding, ...]]:
    """Write everything; the book comes last, so that it never outruns what is said of it.

    Return the main files, and what *read_back* found wrong with the pages; it may raise to keep the earlier files.
    """
    name, press = result.book.name, result.book.press
    sources = out / sources_folder(result.book)
    report, data, pdf = out / f"{name}-report.txt", out / f"{name}.json", out / f"{name}.pdf"
    covered = out / f"{name}-coverage.json"
    info = _info(result)
    book = book_bytes(_pages(result.book, result.pages), info)
    findings = read_back(book)
    for study, text in result.sources.items():
        _write_changed(sources / f"{study}.ly", text)
    # The sources of the build before are ours to take away; a teacher's own files are not.
    for stale in studies_of(data) - result.sources.keys():
        with contextlib.suppress(OSError):
            (sources / f"{stale}.ly").unlink()
    _write_changed(report, report_text(result, coverage, findings))
    _write_changed(covered, json.dumps(coverage_json(coverage), ensure_ascii=False, indent=1) + "\n")
    _write_changed(data, json.dumps(result.document, ensure_ascii=False, indent=1) + "\n")
    beside = [_write_companion(out, companion) for companion in companions]
    write_whole(pdf, booklet_bytes(book, info, press.creep_mm) if press.impose == "booklet" else book)
    return (pdf, *beside, data, report, covered), findings


def _write_companion(out: Path, companion: Companion) -> Path:
    """Write a small book beside the book; its links to studies open the book."""
    book = companion.book
    path = out / f"{book.name}-{companion.kind}.pdf"
    info = BookInfo(
        title=f"{companion.title}: {book.title}",
        author=book.author or book.school,
        subject=book.subtitle,
        language=book.language,
        outline=_outline(companion.headings),
        targets=companion.marks,
        elsewhere=f"{book.name}.pdf",
        fonts=_own_fonts(book),
    )
    write_book(path, _pages(companion.book, companion.pages), info)
    return path


def sources_folder(book: BookPlan) -> Path:
    """Where the LilyPond files go, from the output folder on: every layout has its own."""
    return Path("sources") / book.layout


def _write_changed(path: Path, text: str) -> None:
    """Write a text file unless it says the same already."""
    try:
        same = path.read_bytes() == text.encode("utf-8")
    except OSError:
        same = False
    if not same:
        write_whole(path, text)


def _pages(book: BookPlan, sides: Iterable[PrintedSide]) -> list[BookPage]:
    paper = paper_of(book)
    trim = Trim(paper.trim_width_mm, paper.trim_height_mm, book.press.bleed_mm, paper.scale)
    return [
        BookPage(
            side.pdf,
            side.furniture,
            side.furniture_page,
            side.numbering,
            placed(trim, side.shift_mm, Tab(*side.tab_mm, not book.low_ink) if side.tab_mm else None),
        )
        for side in sides
    ]


def _outline(headings: Iterable[Heading]) -> tuple[OutlineEntry, ...]:
    return tuple(OutlineEntry(heading.level, heading.title, heading.side) for heading in headings)


def _info(result: BookResult) -> BookInfo:
    book = result.book
    skills = sorted({skill for study in result.studies for skill in study.skills})
    return BookInfo(
        title=book.title,
        author=book.author or book.school,
        subject=book.subtitle,
        language=book.language,
        keywords=tuple(skills),
        outline=_outline(result.headings),
        targets=result.marks,
        fonts=_own_fonts(book),
    )


def _own_fonts(book: BookPlan) -> dict[str, Path]:
    """The book's own font files by the name they have in a PDF."""
    return {font.printed_name: Path(font.file) for font in book.fonts.every}


def write_failure(out: Path, book: BookPlan, problems: Iterable[Problem]) -> None:
    """Say in the report which pages failed; the earlier book and its JSON stay as they are."""
    write_whole(out / f"{book.name}-report.txt", failure_text(book.title, problems))
