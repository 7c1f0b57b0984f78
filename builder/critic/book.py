"""The book as a file: order of studies, titles, page labels, links, outline.

Stage:    page critic
In, Out:  an open PDF, the gist of its pages, the document's studies; `Finding`s
Units:    millimetres from the upper left corner; pages count from 1
Source:   ISO 32000-1:2008, 12.3 (outline, destinations), 12.4.2 (page labels), 12.5.6.5 (links)
Not here: the size of pages and their margins (`paper`), heads, feet and page numbers (`frame`), what stands on a page
          (`sheet`, `study`)
"""

from __future__ import annotations

import unicodedata
from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from typing import Any

from pypdf import PageObject, PdfReader
from pypdf.generic import ArrayObject, Destination, DictionaryObject, IndirectObject

from builder.critic.asked import Asked
from builder.critic.extras import extras_findings
from builder.critic.finding import WHOLE_PAGE, Finding
from builder.critic.frame import FOOT_MM, LABEL, foot, frame_findings
from builder.critic.gist import Gist, Words
from builder.critic.ink import POINT_MM
from builder.critic.paper import array, paper_findings

Study = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Book:
    """The file, every page in short, what its pages are called; *small* studies are small maps and nothing more."""

    reader: PdfReader
    gists: tuple[Gist, ...]
    labels: tuple[str, ...]
    studies: tuple[Study, ...]
    small: tuple[Study, ...] = ()


def book_findings(book: Book, asked: Asked) -> Iterator[Finding]:
    """Return what is wrong with the file as a whole."""
    yield from paper_findings(book.reader.pages, book.gists, _music(book), asked)
    yield from _order(book)
    yield from _small(book)
    yield from _titles(book)
    yield from _labels(book)
    yield from frame_findings(book.gists, book.labels, _levels(book), asked)
    yield from _links(book)
    yield from _outline(book)
    yield from extras_findings(book.reader, asked)


# --- studies ---


def _order(book: Book) -> Iterator[Finding]:
    """Every study stands where the document says, and nowhere else."""
    owners: dict[int, str] = {}
    for study in sorted(book.studies, key=lambda study: int(study["page"])):
        for number in range(int(study["page"]), int(study["page"]) + int(study["pages"])):
            if number > len(book.gists):
                yield Finding(0, WHOLE_PAGE, "count", f"{study['id']} needs page {number} of {len(book.gists)}")
            elif number in owners:
                message = f"both {owners[number]} and {study['id']} claim this page"
                yield Finding(number, WHOLE_PAGE, "order", message)
            owners[number] = str(study["id"])
    known = {str(study["id"]) for study in book.studies}
    for number, page in enumerate(book.gists, 1):
        printed = {word: text for text in foot(page) for word in text.text.split() if word in known}
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
        words = {
            word for page in book.gists[number - 1 : number + 1] for text in page.texts for word in text.text.split()
        }
        if str(study["id"]) not in words:
            yield Finding(number, WHOLE_PAGE, "order", f"the number {study['id']} of a small map is not on its page")


def _titles(book: Book) -> Iterator[Finding]:
    """The largest type on a study's first page is its title."""
    for study in book.studies:
        number = int(study["page"])
        texts = book.gists[number - 1].texts if number <= len(book.gists) else ()
        largest = max((text.size for text in texts), default=0.0)
        lines = sorted((text for text in texts if text.size > 0.98 * largest), key=lambda text: (round(text.y), text.x))
        wanted = _plain(str(study["title"]))
        if _joined([text.text for text in lines], wanted) != wanted:
            place = (lines[0].x, lines[0].y) if lines else WHOLE_PAGE
            words = " ".join(text.text.strip() for text in lines)
            yield Finding(number, place, "title", f"reads '{words}', not '{study['title']}'")


def _joined(lines: Sequence[str], wanted: str) -> str:
    """Return *lines* as one word, without the hyphens at their ends where *wanted* has none."""
    whole = ""
    for line in lines:
        whole += _plain(line)
        if whole.endswith("-") and not wanted.startswith(whole):
            whole = whole[:-1]
    return whole


def _holds(texts: Sequence[str], wanted: str) -> bool:
    """Whether *wanted* stands in *texts*, maybe with hyphens where its lines end."""
    plain = [_plain(text) for text in texts]
    return wanted in "".join(plain) or wanted in "".join(text.removesuffix("-") for text in plain)


def _plain(text: str) -> str:
    """Return *text* without blanks and signs that are not printed, so that broken lines compare as one."""
    whole = unicodedata.normalize("NFC", text)
    return "".join(letter for letter in whole if not letter.isspace() and unicodedata.category(letter)[0] != "C")


# --- labels, links, outline ---


def _labels(book: Book) -> Iterator[Finding]:
    """Every page has a label."""
    if len(book.labels) != len(book.gists):
        yield Finding(0, WHOLE_PAGE, "page-label", f"{len(book.labels)} labels for {len(book.gists)} pages")


def _levels(book: Book) -> dict[int, int]:
    """The level of each page of a study: an exercise's is that of its median study, of two middle ones the easier."""
    levels: dict[str, list[int]] = {}
    for study in (*book.studies, *book.small):
        levels.setdefault(str(study["exercise"]), []).append(int(study["level"]))
    middle = {exercise: sorted(found)[(len(found) - 1) // 2] for exercise, found in levels.items()}
    return {number: middle[str(study["exercise"])] for number, study in _owners(book).items()}


def _owners(book: Book) -> dict[int, Study]:
    """The study of each page that has one."""
    return {int(study["page"]) + k: study for study in book.studies for k in range(int(study["pages"]))}


def _music(book: Book) -> set[int]:
    """The pages of studies."""
    return set(_owners(book))


def _links(book: Book) -> Iterator[Finding]:
    """Links lead to the number that is printed under them; one leads to every study."""
    numbers = _numbers(book)
    reached: set[int] = set()
    titles: dict[str, set[str]] = {}
    for study in book.studies:
        if int(study["page"]) <= len(book.labels):
            titles.setdefault(_plain(str(study["title"])), set()).add(book.labels[int(study["page"]) - 1])
    links = any(array(leaf.get("/Annots")) for leaf in book.reader.pages)
    for number, (leaf, page) in enumerate(zip(book.reader.pages, book.gists, strict=True), 1):
        rows = _rows(page)
        covered: list[Words] = []
        for entry in array(leaf.get("/Annots")):
            link = entry.get_object()
            if not isinstance(link, DictionaryObject) or link.get("/Subtype") != "/Link":
                continue
            place, words = _linked(link, rows, leaf)
            covered += words[-1:]
            target = _target(link)
            if target is None and not (words and LABEL.fullmatch(words[-1].text.strip())):
                continue  # out of the book
            goal = numbers.get(target.idnum) if isinstance(target, IndirectObject) else None
            if goal is None:
                yield Finding(number, place, "link", "a link leads to no page of the book")
                continue
            reached.add(goal + 1)
            printed = words[-1].text.split()[-1] if words and words[-1].text.split() else ""
            if not words:
                yield Finding(number, place, "link", "nothing is printed where a link stands")
            if LABEL.fullmatch(printed) and goal < len(book.labels) and printed != book.labels[goal]:
                message = f"{printed} is printed, the link leads to {book.labels[goal]}"
                yield Finding(number, place, "link", message)
        # A page without any link, such as a sheet to mark studies on, cites no pages; its figures are marks and tempos.
        yield from _unlinked(number, page, covered, titles if covered or not links else {})
    if reached:
        for study in book.studies:
            if int(study["page"]) not in reached:
                yield Finding(int(study["page"]), WHOLE_PAGE, "link", f"no link leads to {study['id']}")


def _behind_a_link(before: Sequence[Words], linked: Sequence[Words]) -> bool:
    """Whether nothing but figures stands between the end of *before* and a number with a link in it."""
    for one in sorted(before, key=lambda one: -one.x):
        if one in linked:
            return True
        if any(letter.isalpha() for letter in one.text):
            return False
    return False


def _unlinked(number: int, page: Gist, linked: Sequence[Words], titles: Mapping[str, set[str]]) -> Iterator[Finding]:
    """A number in a column of links, or behind the title of its page, has a link on it."""
    ends = Counter(round(text.end, 1) for text in linked)
    downwards = sorted(page.texts, key=lambda text: text.y)
    heights = [text.y for text in downwards]
    for text in page.texts:
        label = text.text.strip()
        if not LABEL.fullmatch(label) or text.y > page.height - FOOT_MM or text in linked:
            continue
        row = downwards[bisect_right(heights, text.y - 0.5) : bisect_left(heights, text.y + 0.5)]
        before = [one for one in row if one.x < text.x]
        if _behind_a_link(before, linked):
            continue  # a row tells its page once; the figures behind it count minutes or beats
        beside = {_plain(one.text) for one in before}
        named = any(label in titles.get(words, ()) for words in beside)
        worded = any(letter.isalpha() for words in beside for letter in words)
        if named or (worded and sum(ends[round(text.end + way, 1)] for way in (-0.1, 0.0, 0.1)) > 1):
            yield Finding(number, (text.x, text.y), "link", f"no link stands on the number {label}")


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


def _linked(link: DictionaryObject, rows: _Rows, leaf: PageObject) -> tuple[tuple[float, float], list[Words]]:
    """Return where a link is, and the texts under it from the left."""
    x0, y0, x1, y1 = (float(side) * POINT_MM for side in array(link["/Rect"]))
    left, top = float(leaf.trimbox.left) * POINT_MM, float(leaf.trimbox.top) * POINT_MM
    x0, x1, y0, y1 = x0 - left, x1 - left, top - y1, top - y0
    near = rows.texts[bisect_left(rows.heights, y0) : bisect_right(rows.heights, y1)]
    words = [text for text in near if x0 - 0.5 <= text.x and text.end <= x1 + 0.5]
    return (x0, y0), sorted(words, key=lambda text: text.x)


@dataclass(frozen=True, slots=True)
class _Rows:
    """The texts of a page from the top down, and their heights."""

    texts: tuple[Words, ...]
    heights: tuple[float, ...]


def _rows(page: Gist) -> _Rows:
    texts = tuple(sorted(page.texts, key=lambda text: text.y))
    return _Rows(texts, tuple(text.y for text in texts))


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
        if goal is None or not 0 <= goal < len(book.gists):
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
        elif level == 1 and not _holds([text.text for text in book.gists[goal].texts], _plain(title)):
            yield Finding(goal + 1, WHOLE_PAGE, "outline", f"'{title}' leads here, but is not printed here")
    yield from _headed(book, reached)
    if reached:
        for study in book.studies:
            if int(study["page"]) not in reached:
                message = f"no entry of the outline leads to {study['id']}"
                yield Finding(int(study["page"]), WHOLE_PAGE, "outline", message)


def _headed(book: Book, reached: Set[int]) -> Iterator[Finding]:
    """An entry leads to every page that a link leads to and whose title its running head repeats: to every part."""
    music = _music(book)
    numbers = _numbers(book)
    links = [entry.get_object() for leaf in book.reader.pages for entry in array(leaf.get("/Annots"))]
    goals = [_target(link) for link in links if isinstance(link, DictionaryObject)]
    linked = {numbers.get(goal.idnum, -1) + 1 for goal in goals if isinstance(goal, IndirectObject)}
    for number, page in enumerate(book.gists, 1):
        if number in music or number in reached or number not in linked or page.rule is None:
            continue
        below = [text for text in page.texts if text.y > page.rule[2]]
        largest = max((text.size for text in below), default=0.0)
        title = _plain("".join(text.text for text in below if text.size > 0.98 * largest))
        head = [_plain(text.text) for text in page.texts if text.y < page.rule[2]]
        if title in head:
            yield Finding(number, WHOLE_PAGE, "outline", "no entry of the outline leads to this part")


def _entries(outline: Sequence[Any], level: int = 1) -> Iterator[tuple[int, Destination]]:
    for entry in outline:
        if isinstance(entry, list):
            yield from _entries(entry, level + 1)
        else:
            yield level, entry
