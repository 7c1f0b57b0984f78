"""The book as a file: page boxes, order of studies, titles, page labels, links, outline.

Stage:    page critic
In, Out:  an open PDF, the ink of its pages, the document's studies; `Finding`s
Units:    millimetres from the upper left corner; pages count from 1
Source:   ISO 32000-1:2008, 12.3 (outline, destinations), 12.4.2 (page labels), 12.5.6.5 (links), 14.11.2 (page boxes);
          ISO 216 for A4 and A5, 8.5 x 11 inches for US Letter
Not here: what stands on a page (`sheet`, `study`)
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pypdf import PageObject, PdfReader
from pypdf.generic import ArrayObject, Destination, DictionaryObject, IndirectObject

from builder.critic.finding import WHOLE_PAGE, Finding
from builder.critic.ink import POINT_MM, Glyphs, Ink

Study = Mapping[str, Any]

_PAPERS_MM = {"A4": (210.0, 297.0), "A5": (148.0, 210.0), "US Letter": (215.9, 279.4)}
_PAPER_MM = 0.15  # a PDF rounds points to hundredths, LilyPond its papers to tenths of a point
_FOOT_MM = 16.0  # ids and page numbers stand this near to the lower edge, and nothing else does
_LABEL = re.compile(r"\d{1,4}|[ivxlc]{1,7}")
_BOXES = ("/MediaBox", "/CropBox", "/BleedBox", "/TrimBox")  # each lies within the one before it


@dataclass(frozen=True, slots=True)
class Book:
    """The file, the ink of every page, what its pages are called; *small* studies are small maps and nothing more."""

    reader: PdfReader
    inks: tuple[Ink, ...]
    labels: tuple[str, ...]
    studies: tuple[Study, ...]
    small: tuple[Study, ...] = ()


def book_findings(book: Book) -> Iterator[Finding]:
    """Return what is wrong with the file as a whole."""
    yield from _boxes(book)
    yield from _order(book)
    yield from _small(book)
    yield from _titles(book)
    yield from _tempos(book)
    yield from _labels(book)
    yield from _links(book)
    yield from _outline(book)


# --- boxes ---


def _boxes(book: Book) -> Iterator[Finding]:
    pages = book.reader.pages
    first = _sides(pages[0], "/TrimBox") if len(pages) else None
    for number, page in enumerate(pages, 1):
        width, height = _sides(page, "/TrimBox")
        fits = [abs(width - w) < _PAPER_MM and abs(height - h) < _PAPER_MM for w, h in _PAPERS_MM.values()]
        if first is not None and max(abs(width - first[0]), abs(height - first[1])) > _PAPER_MM:
            message = f"{width:.1f} x {height:.1f} mm, page 1 has {first[0]:.1f} x {first[1]:.1f}"
            yield Finding(number, WHOLE_PAGE, "page-size", message)
        elif not any(fits):
            message = f"{width:.1f} x {height:.1f} mm is none of {', '.join(_PAPERS_MM)}"
            yield Finding(number, WHOLE_PAGE, "page-size", message)
        if int(page.get("/Rotate", 0) or 0) % 360:
            yield Finding(number, WHOLE_PAGE, "page-size", "the page is turned")
        yield from _nested(number, page)


def _sides(page: PageObject, name: str) -> tuple[float, float]:
    left, low, right, high = _rectangle(page, name)
    return (right - left) * POINT_MM, (high - low) * POINT_MM


def _rectangle(page: PageObject, name: str) -> tuple[float, float, float, float]:
    """Return a page box; one that is not given is the crop box, and that the media box."""
    for key in (name, "/CropBox", "/MediaBox"):
        if key in page:
            x0, y0, x1, y1 = (float(side) for side in _array(page[key]))
            return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)
    box = page.mediabox
    return float(box.left), float(box.bottom), float(box.right), float(box.top)


def _nested(number: int, page: PageObject) -> Iterator[Finding]:
    outer = _rectangle(page, "/MediaBox")
    for name in _BOXES[1:]:
        if name not in page:
            continue
        box = _rectangle(page, name)
        low = all(inner >= side - 0.01 for inner, side in zip(box[:2], outer[:2], strict=True))
        high = all(inner <= side + 0.01 for inner, side in zip(box[2:], outer[2:], strict=True))
        if not (low and high):
            yield Finding(number, WHOLE_PAGE, "box", f"{name[1:]} reaches out of the box around it")
        outer = box


# --- studies ---


def _order(book: Book) -> Iterator[Finding]:
    """Every study stands where the document says, and nowhere else."""
    owners: dict[int, str] = {}
    for study in sorted(book.studies, key=lambda study: int(study["page"])):
        for number in range(int(study["page"]), int(study["page"]) + int(study["pages"])):
            if number > len(book.inks):
                yield Finding(0, WHOLE_PAGE, "count", f"{study['id']} needs page {number} of {len(book.inks)}")
            elif number in owners:
                message = f"both {owners[number]} and {study['id']} claim this page"
                yield Finding(number, WHOLE_PAGE, "order", message)
            owners[number] = str(study["id"])
    known = {str(study["id"]) for study in book.studies}
    for number, ink in enumerate(book.inks, 1):
        printed = {word: text for text in _foot(ink) for word in text.text.split() if word in known}
        owner = owners.get(number)
        if owner is not None and owner not in printed:
            yield Finding(number, WHOLE_PAGE, "order", f"the number {owner} of the study is not on its page")
        for word, text in printed.items():
            if word != owner:
                message = f"shows {word}, where {owner or 'no study'} belongs"
                yield Finding(number, (text.x, text.y), "order", message)


def _small(book: Book) -> Iterator[Finding]:
    """A study without pages is named on the one that the document sends its reader to, or on the next."""
    for study in book.small:
        number = int(study["page"])
        words = {word for ink in book.inks[number - 1 : number + 1] for text in ink.texts for word in text.text.split()}
        if str(study["id"]) not in words:
            yield Finding(number, WHOLE_PAGE, "order", f"the number {study['id']} of a small map is not on its page")


def _foot(ink: Ink) -> list[Glyphs]:
    return [text for text in ink.texts if text.y > ink.height - _FOOT_MM]


def _titles(book: Book) -> Iterator[Finding]:
    """The largest type on a study's first page is its title."""
    for study in book.studies:
        number = int(study["page"])
        texts = book.inks[number - 1].texts if number <= len(book.inks) else ()
        largest = max((text.size for text in texts), default=0.0)
        lines = sorted((text for text in texts if text.size > 0.98 * largest), key=lambda text: (round(text.y), text.x))
        printed = _plain("".join(text.text for text in lines))
        if printed != _plain(str(study["title"])):
            place = (lines[0].x, lines[0].y) if lines else WHOLE_PAGE
            words = " ".join(text.text.strip() for text in lines)
            yield Finding(number, place, "title", f"reads '{words}', not '{study['title']}'")


def _plain(text: str) -> str:
    """Return *text* without blanks and signs that are not printed, so that broken lines compare as one."""
    whole = unicodedata.normalize("NFC", text)
    return "".join(letter for letter in whole if not letter.isspace() and unicodedata.category(letter)[0] != "C")


def _tempos(book: Book) -> Iterator[Finding]:
    for study in book.studies:
        number = int(study["page"])
        if number > len(book.inks):
            continue
        figures = [text.text for text in book.inks[number - 1].texts if text.text.strip().isdigit()]
        for tempo in study["tempo_steps"]:
            if not any(str(tempo) in figure for figure in figures):
                yield Finding(number, WHOLE_PAGE, "tempo", f"the mark {tempo} is not printed")


# --- labels, links, outline ---


def _labels(book: Book) -> Iterator[Finding]:
    """The number in the foot is what the file calls the page."""
    if len(book.labels) != len(book.inks):
        yield Finding(0, WHOLE_PAGE, "page-label", f"{len(book.labels)} labels for {len(book.inks)} pages")
        return
    music = {int(study["page"]) + k for study in book.studies for k in range(int(study["pages"]))}
    for number, (ink, label) in enumerate(zip(book.inks, book.labels, strict=True), 1):
        printed = [text for text in _foot(ink) if _LABEL.fullmatch(text.text.strip())]
        if not printed and number in music:
            yield Finding(number, WHOLE_PAGE, "page-label", f"no page number is printed, the file calls it {label}")
        elif printed and all(text.text.strip() != label for text in printed):
            text = printed[-1]
            message = f"{text.text.strip()} is printed, the file calls it {label}"
            yield Finding(number, (text.x, text.y), "page-label", message)


def _links(book: Book) -> Iterator[Finding]:
    numbers = _numbers(book)
    for number, page in enumerate(book.reader.pages, 1):
        ink = book.inks[number - 1]
        for entry in _array(page.get("/Annots")):
            link = entry.get_object()
            if not isinstance(link, DictionaryObject) or link.get("/Subtype") != "/Link":
                continue
            target = _target(link)
            if target is None:
                continue
            place, words = _linked(link, ink, page)
            goal = numbers.get(target.idnum) if isinstance(target, IndirectObject) else None
            if goal is None:
                yield Finding(number, place, "link", "a link leads to no page of the book")
                continue
            printed = words[-1].text.split()[-1] if words and words[-1].text.split() else ""
            if not words:
                yield Finding(number, place, "link", "nothing is printed where a link stands")
            if _LABEL.fullmatch(printed) and goal < len(book.labels) and printed != book.labels[goal]:
                message = f"{printed} is printed, the link leads to {book.labels[goal]}"
                yield Finding(number, place, "link", message)


def _target(link: DictionaryObject) -> object:
    """Return what a link's destination names; None for a link out of the book."""
    goal = link.get("/Dest")
    action = link.get("/A")
    if goal is None and action is not None and action.get_object().get("/S") == "/GoTo":
        goal = action.get_object().get("/D")
    goal = goal.get_object() if goal is not None else None
    if isinstance(goal, ArrayObject) and goal:
        return goal[0]
    return goal


def _numbers(book: Book) -> dict[int, int]:
    """The pages by the number of their object, counted from 0."""
    return {
        page.indirect_reference.idnum: number
        for number, page in enumerate(book.reader.pages)
        if page.indirect_reference is not None
    }


def _array(value: Any) -> Sequence[Any]:
    """Return the entries of an array, none where there is no array."""
    found = value.get_object() if value is not None else None
    return found if isinstance(found, ArrayObject) else ()


def _linked(link: DictionaryObject, ink: Ink, page: PageObject) -> tuple[tuple[float, float], list[Glyphs]]:
    """Return where a link is, and the texts under it from the left."""
    x0, y0, x1, y1 = (float(side) * POINT_MM for side in _array(link["/Rect"]))
    left, top = float(page.trimbox.left) * POINT_MM, float(page.trimbox.top) * POINT_MM
    x0, x1, y0, y1 = x0 - left, x1 - left, top - y1, top - y0
    words = [text for text in ink.texts if x0 - 0.5 <= text.x and text.end <= x1 + 0.5 and y0 <= text.y <= y1]
    return (x0, y0), sorted(words, key=lambda text: text.x)


def _outline(book: Book) -> Iterator[Finding]:
    """Entries lead where they say, and to every study."""
    firsts: dict[tuple[str, str], int] = {}
    for study in book.studies:
        key = str(study["exercise"]), _plain(str(study["title"]))
        firsts[key] = min(int(study["page"]), firsts.get(key, int(study["page"])))
    reached: set[int] = set()
    before = -1
    for level, entry in _entries(book.reader.outline):
        goal = book.reader.get_destination_page_number(entry)
        title = str(entry.title)
        if goal is None or not 0 <= goal < len(book.inks):
            yield Finding(0, WHOLE_PAGE, "outline", f"'{title}' leads to no page of the book")
            continue
        if goal < before:
            yield Finding(goal + 1, WHOLE_PAGE, "outline", f"'{title}' leads back: the outline is out of order")
        before = goal
        reached.add(goal + 1)
        pages = sorted(page for (_, known), page in firsts.items() if known == _plain(title))
        if pages and goal + 1 not in pages:
            message = f"'{title}' leads to page {goal + 1}, its first study is on page {pages[0]}"
            yield Finding(goal + 1, WHOLE_PAGE, "outline", message)
        elif level == 1 and _plain(title) not in _plain("".join(text.text for text in book.inks[goal].texts)):
            yield Finding(goal + 1, WHOLE_PAGE, "outline", f"'{title}' leads here, but is not printed here")
    if reached:
        for study in book.studies:
            if int(study["page"]) not in reached:
                message = f"no entry of the outline leads to {study['id']}"
                yield Finding(int(study["page"]), WHOLE_PAGE, "outline", message)


def _entries(outline: Sequence[Any], level: int = 1) -> Iterator[tuple[int, Destination]]:
    for entry in outline:
        if isinstance(entry, list):
            yield from _entries(entry, level + 1)
        else:
            yield level, entry
