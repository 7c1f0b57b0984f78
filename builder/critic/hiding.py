"""What a page holds and does not show, shows and should not hold: covered, unseen, doubled, foreign ink.

Stage:    page critic
In, Out:  `Ink`; `Finding`s
Units:    millimetres from the upper left corner
Source:   what a print shop refuses, as in ISO 15930-1:2001 (PDF/X-1a): transparency, layers; the rest is our own choice

A page of a book is black on white, drawn once. So what is drawn over with white or black, painted white on white or
twice at one place, clipped or veiled, is a fault whatever it says.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from builder.critic.asked import Asked
from builder.critic.finding import WHOLE_PAGE, Finding
from builder.critic.gist import named
from builder.critic.ink import Area, Box, Glyphs, Ink, Line

_WHITE, _DARK = 0.95, 0.6  # as shares of white
_HIDES = 0.35  # share of a glyph that may not be drawn over; our own choice: rings of diagrams touch their neighbours
_THIN_MM = 0.35  # narrower than this nothing is covered: stems, rules
_SAME_MM = 0.03  # glyphs nearer than this stand at one place
_BAND_MM = 5.0
_GROUND = 0.15  # white of which a sign drawn soon covers this share is that sign's ground
_GROUND_MM = 6.0  # wider than the ground of a fret in brackets
_NEXT = 3  # a fret in brackets and a finger with a dash stand on one ground
_ROOM_MM = 0.5  # a picture's edge may be drawn with a pen


def hiding_findings(page: int, ink: Ink, asked: Asked) -> Iterator[Finding]:
    """Return what is hidden, doubled or foreign on a page."""
    for place in ink.unseen:
        yield Finding(page, place, "hidden", "a text that leaves no ink")
    for what in sorted(ink.odd - {"colour"}):
        if not (asked.pictures or any(asked.logo_mm)):
            yield Finding(page, WHOLE_PAGE, "hidden", f"{what} is used, which can hide what is printed")
    yield from _colours(page, ink, asked)
    yield from _images(page, ink, asked)
    yield from _white(page, ink)
    yield from _covered(page, ink)
    yield from _doubled(page, ink)


def _colours(page: int, ink: Ink, asked: Asked) -> Iterator[Finding]:
    """Another ink than black costs as much as the whole print; a school's own picture may have what colours it has."""
    if "colour" in ink.odd and not any(asked.logo_mm):
        yield Finding(page, WHOLE_PAGE, "ink", "the page is not printed in shades of black alone")
        return
    if not ink.coloured:
        return
    around = Box(
        min(box.x0 for box in ink.coloured),
        min(box.y0 for box in ink.coloured),
        max(box.x1 for box in ink.coloured),
        max(box.y1 for box in ink.coloured),
    )
    width, height = asked.logo_mm
    if around.width > width + _ROOM_MM or around.height > height + _ROOM_MM:
        place = around.x0, around.y0
        yield Finding(page, place, "ink", "the page is not printed in shades of black alone")


def _images(page: int, ink: Ink, asked: Asked) -> Iterator[Finding]:
    width, height = asked.logo_mm
    for box in ink.images:
        if not asked.pictures and (box.width > width + _ROOM_MM or box.height > height + _ROOM_MM):
            yield Finding(page, (box.x0, box.y0), "image", "a picture that the book does not have")


def _white(page: int, ink: Ink) -> Iterator[Finding]:
    """White letters stand on black."""
    for glyphs in (*ink.texts, *ink.signs):
        if glyphs.grey < _WHITE or glyphs.box is None:
            continue
        x, y = glyphs.box.middle, (glyphs.box.y0 + glyphs.box.y1) / 2
        dark = [area.box for area in ink.areas if area.grey < _DARK and area.filled]
        dark += [line.around for line in ink.lines if line.grey < _DARK and line.width > glyphs.box.height]
        if not any(box.x0 < x < box.x1 and box.y0 < y < box.y1 for box in dark):
            yield Finding(page, (glyphs.x, glyphs.y), "hidden", f"{named(glyphs)} is printed white on white")


# --- drawn over -------------------------------------------------------------------------------------------------------


def _covered(page: int, ink: Ink) -> Iterator[Finding]:
    """Nothing that says something is drawn over."""
    known: dict[int, list[tuple[int, int, Box, Glyphs]]] = defaultdict(list)
    for kind, glyphs in enumerate((ink.texts, ink.signs)):
        for number, one in enumerate(glyphs):
            if one.box is not None:
                for band in range(int(one.box.y0 // _BAND_MM), int(one.box.y1 // _BAND_MM) + 1):
                    known[band].append((kind, number, one.box, one))
    told = set()
    for area in ink.areas:
        if not _hides(area) or _is_ground(area, ink):
            continue
        bands = range(int(area.box.y0 // _BAND_MM), int(area.box.y1 // _BAND_MM) + 1)
        for kind, number, box, one in (entry for band in bands for entry in known.get(band, ())):
            if number >= area.over[kind] or (kind, number) in told:
                continue
            common = box.common(area.box)
            if common is not None and common.width * common.height > _HIDES * box.width * box.height:
                told.add((kind, number))
                yield Finding(page, (box.x0, box.y0), "covered", f"{named(one)} is drawn over")
        if area.grey >= _WHITE:
            yield from _wiped(page, area, ink.lines[: area.over[2]])


def _hides(area: Area) -> bool:
    """Whether a thing is large enough to cover another, and covers all of its rectangle."""
    return area.filled and area.full and min(area.box.width, area.box.height) > _THIN_MM


def _is_ground(area: Area, ink: Ink) -> bool:
    """Whether one of the signs drawn next stands on it."""
    texts, signs, _ = area.over
    following = (*ink.texts[texts : texts + _NEXT], *ink.signs[signs : signs + _NEXT])
    for one in following:
        common = one.box.common(area.box) if one.box is not None else None
        if common is not None and common.width * common.height > _GROUND * area.box.width * area.box.height:
            return True
    return False


def _wiped(page: int, area: Area, lines: Sequence[Line]) -> Iterator[Finding]:
    """White on which nothing stands does not cut a line."""
    box = area.box
    if area.curved or max(box.width, box.height) < _GROUND_MM:
        return  # a disc stands on its string; the ground of a fret that is missing is told of as that
    for line in lines:
        left, right = sorted((line.x0, line.x1))
        top, bottom = sorted((line.y0, line.y1))
        if left < box.x1 and right > box.x0 and top < box.y1 and bottom > box.y0:
            yield Finding(page, (box.x0, box.y0), "covered", "a line is wiped out")
            return


# --- drawn twice ------------------------------------------------------------------------------------------------------


def _doubled(page: int, ink: Ink) -> Iterator[Finding]:
    """The same sign or text stands at one place once; a head may belong to two voices."""
    met: dict[tuple[str, int, int], Glyphs] = {}
    for one in (*ink.texts, *ink.signs):
        if one.sign.startswith("noteheads.") or not (one.text.strip() or one.sign):
            continue
        key = one.sign or one.text, round(one.x / _SAME_MM), round(one.y / _SAME_MM)
        near = [met.get((key[0], key[1] + dx, key[2] + dy)) for dx in (-1, 0, 1) for dy in (-1, 0, 1)]
        if any(other is not None for other in near):
            yield Finding(page, (one.x, one.y), "doubled", f"{named(one)} is printed twice at one place")
        met[key] = one
