"""The paper: size and boxes of pages, what stands out of the block of text and music.

Stage:    page critic
In, Out:  pages of a PDF and their gists; `Finding`s
Units:    millimetres from the upper left corner; pages count from 1
Source:   ISO 32000-1:2008, 14.11.2 (page boxes); ISO 216 for A4 and A5, 8.5 x 11 inches for US Letter
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence, Set
from typing import Any

from pypdf import PageObject
from pypdf.generic import ArrayObject

from builder.critic.asked import Asked
from builder.critic.finding import WHOLE_PAGE, Finding
from builder.critic.gist import Gist
from builder.critic.ink import POINT_MM

_PAPERS_MM = {"A4": (210.0, 297.0), "A5": (148.0, 210.0), "US Letter": (215.9, 279.4)}
_NAMES = {"a4": "A4", "a5": "A5", "letter": "US Letter"}
_NEAR_MM = 0.15  # a PDF rounds points to hundredths, LilyPond its papers to tenths of a point
_BOXES = ("/MediaBox", "/CropBox", "/BleedBox", "/TrimBox")  # each lies within the one before it
_BESIDE_MM = 0.9  # how far ink may stand out of the block of text and music: round signs, a j


def paper_findings(
    pages: Sequence[PageObject], gists: Sequence[Gist], music: Set[int], asked: Asked
) -> Iterator[Finding]:
    """Return what is wrong with the paper and with margins; *music* are the pages of studies."""
    first = _sides(pages[0], "/TrimBox") if len(pages) else None
    known = {_NAMES[asked.paper]} if asked.paper else set(_PAPERS_MM)
    for number, page in enumerate(pages, 1):
        width, height = _sides(page, "/TrimBox")
        if first is not None and not _near((width, height), first):
            message = f"{width:.1f} x {height:.1f} mm, page 1 has {first[0]:.1f} x {first[1]:.1f}"
            yield Finding(number, WHOLE_PAGE, "page-size", message)
        elif not any(_near((width, height), _PAPERS_MM[name]) for name in known):
            message = f"{width:.1f} x {height:.1f} mm is not {' or '.join(sorted(known))}"
            yield Finding(number, WHOLE_PAGE, "page-size", message)
        if int(page.get("/Rotate", 0) or 0) % 360:
            yield Finding(number, WHOLE_PAGE, "page-size", "the page is turned")
        if page.get("/UserUnit", 1) != 1:
            yield Finding(number, WHOLE_PAGE, "page-size", "the page counts in units of its own")
        for name in ("/TrimBox", "/BleedBox"):
            if name not in page:
                yield Finding(number, WHOLE_PAGE, "box", f"the page has no {name[1:]}")
        if not _same(_rectangle(page, "/MediaBox"), _rectangle(pages[0], "/MediaBox")):
            yield Finding(number, WHOLE_PAGE, "box", "the sheet is not as large as that of page 1")
        if not _same(_rectangle(page, "/CropBox"), _rectangle(page, "/MediaBox")):
            yield Finding(number, WHOLE_PAGE, "box", "CropBox shows a part of the sheet")
        yield from _nested(number, page)
        yield from _bleeds(number, page, asked.bleed_mm)
    yield from _beside(gists, music)


def _near(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return abs(one[0] - other[0]) < _NEAR_MM and abs(one[1] - other[1]) < _NEAR_MM


def _same(one: Sequence[float], other: Sequence[float]) -> bool:
    return all(abs(a - b) * POINT_MM < _NEAR_MM for a, b in zip(one, other, strict=True))


def _sides(page: PageObject, name: str) -> tuple[float, float]:
    left, low, right, high = _rectangle(page, name)
    return (right - left) * POINT_MM, (high - low) * POINT_MM


def _rectangle(page: PageObject, name: str) -> tuple[float, float, float, float]:
    """Return a page box; one that is not given is the crop box, and that the media box."""
    for key in (name, "/CropBox", "/MediaBox"):
        if key in page:
            x0, y0, x1, y1 = (float(side) for side in array(page[key]))
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


def _bleeds(number: int, page: PageObject, bleed_mm: float) -> Iterator[Finding]:
    """What is cut off is as wide on all four sides as was asked for."""
    trim, bleed = _rectangle(page, "/TrimBox"), _rectangle(page, "/BleedBox")
    around = [abs(outer - inner) * POINT_MM for outer, inner in zip(bleed, trim, strict=True)]
    if any(abs(width - bleed_mm) > _NEAR_MM for width in around):
        message = f"{min(around):.1f} to {max(around):.1f} mm are printed to be cut off, not {bleed_mm:g}"
        yield Finding(number, WHOLE_PAGE, "box", message)


def array(value: Any) -> Sequence[Any]:
    """Return the entries of an array, none where there is no array."""
    found = value.get_object() if value is not None else None
    return found if isinstance(found, ArrayObject) else ()


def _heads(pages: Sequence[tuple[int, Gist]]) -> Iterator[Finding]:
    """Running heads stand at one place."""
    heads = Counter(page.rule for _, page in pages if page.rule is not None).most_common(1)
    for number, page in pages:
        if page.rule is not None and any(abs(a - b) > _BESIDE_MM for a, b in zip(page.rule, heads[0][0], strict=True)):
            yield Finding(number, (page.rule[0], page.rule[2]), "margin", "the head does not stand where others do")


def _beside(gists: Sequence[Gist], music: Set[int]) -> Iterator[Finding]:
    """Systems begin at one edge on all pages of the same side, and nothing stands beside them."""
    for side in (0, 1):
        pages = [(number, page) for number, page in enumerate(gists, 1) if number % 2 == side]
        yield from _heads(pages)
        spans = [page.span for number, page in pages if page.span is not None and number in music]
        if not spans:
            continue
        lefts, rights = Counter(round(span[0], 1) for span in spans), Counter(round(span[1], 1) for span in spans)
        left, right = lefts.most_common(1)[0][0], rights.most_common(1)[0][0]
        for number, page in pages:
            if (
                page.span is not None
                and number in music
                and (abs(page.span[0] - left) > _BESIDE_MM or page.span[1] > right + _BESIDE_MM)
            ):
                place = page.span[0], page.height / 2
                yield Finding(number, place, "margin", "the systems do not stand where those of other pages do")
        left, right = left - _BESIDE_MM, right + _BESIDE_MM
        for number, page in pages:
            for one in page.outer:
                if one.x0 < left or one.x1 > right:
                    yield Finding(number, (one.x0, one.y0), "margin", f"{one.name} stands in the margin")
