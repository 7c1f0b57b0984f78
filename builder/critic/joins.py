"""What joins notes against a study's document: slurs, slide lines, the arrows of bends.

Stage:    page critic
In, Out:  places of notes and the ink between them; `Finding`s
Units:    millimetres from the upper left corner; onsets in whole notes
Source:   a slur runs from the struck note over all that are reached without a stroke, a rest ends it: common practice
          of both notations; over a bend the tablature has an arrow and no slur: the book's own page of signs
Not here: ties (`pitches`), the letters and amounts (`techniques`); voices together, whose curves cross

A curve, a slanted line and an arrow are drawn, and told from each other by their shape and by the notes at their ends.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from builder.critic.expected import Expected, Moment
from builder.critic.finding import Finding
from builder.critic.ink import Box, Ink
from builder.critic.notes import Chord, Digits
from builder.critic.places import Heads, Systems, of_reading, space
from builder.critic.staves import Staff, System

Arc = tuple[Fraction, Fraction]
Spans = dict[Fraction, tuple[float, ...]]  # heights of notes by their onset

# Staff spaces; our own choice.
_END = 2.4  # a curve ends this near to the middle of its note
_AWAY = 4.5  # and stands this near over or under it
_WIDE = 1.3  # a curve is wider
_OVER, _UNDER = 12.0, 7.0  # and stands this near over and under its lines
_LANE = 3.0  # curves this near over a tablature are its own
_FLAT = 0.75  # a slur is not higher than this share of its width, or it is a disc
_SHARE = 0.15  # of the way from note to note that a slide line takes at least: accidentals leave it little room
_SLIDE_OFF = 0.7  # and the middle of the line stands no farther over or under its notes
_SIDE = 0.6  # from the middle of a note to where a line may begin
_DARK = 0.5


def join_findings(wanted: Expected, over: Heads, under: Heads, systems: Systems) -> Iterator[Finding]:
    """Return what is wrong with slurs, slides and bends; *over* places notes by the staff, *under* by the tablature."""
    if wanted.voices > 1:
        return
    for page, reading in systems:
        gap = space(reading)
        staff, tab = reading.system.staff, reading.system.tab
        for part, places, kind in ((staff, over, Chord), (tab, under, Digits)):
            if part is None:
                continue
            here = [(seen, one) for seen, one in of_reading(reading, places) if isinstance(seen.notes, kind)]
            xs = {moment.onset: seen.notes.x for seen, moment in here}
            ys = {moment.onset: seen.notes.place[1] for seen, moment in here}
            if not xs:
                continue
            curves = _curves(page.ink, part, reading.system, gap)
            arcs = list(_arcs(wanted.moments, part is tab))
            used: set[Box] = set()
            for arc in arcs:
                if not {*arc} & {*xs}:
                    continue
                found = [curve for curve in curves if _joins(curve, arc, xs, gap) and _near(curve, arc, ys, gap)]
                used.update(found)
                if not found:
                    start = min((onset for onset in arc if onset in xs), default=arc[0])
                    place = xs[start], part.top
                    where = "tablature" if part is tab else "staff"
                    yield Finding(page.number, place, "slur", f"a slur is missing on the {where}")
            ties = [chord for chord in reading.chords if any(head.may_go_on for head in chord.heads)]
            for curve in curves:
                if curve not in used and not _is_tie(curve, ties, reading.chords, gap) and (staff or not tab):
                    yield Finding(page.number, (curve.x0, curve.y0), "slur", "a curve that joins no notes")
            lane = _lane(part, reading.system, gap)
            spans = {moment.onset: _heights(seen.notes) for seen, moment in here}
            yield from _slides(page.number, page.ink, lane, xs, wanted.moments, gap, spans)
        if tab is not None and staff is not None:
            xs = {moment.onset: seen.notes.x for seen, moment in of_reading(reading, over)}
            yield from _bends(page.number, page.ink, tab, xs, wanted.moments, gap)


def _arcs(moments: Sequence[Moment], tablature: bool) -> Iterator[Arc]:
    """From where to where slurs run."""
    start: Fraction | None = None
    before: Moment | None = None
    for moment in moments:
        silent = before is None or moment.onset > before.onset + max(before.lengths)
        reached = any(note["slurred"] for note in moment.struck) and not silent
        if tablature and any(note["technique"] == "bend" for note in moment.struck):
            reached = False
        if reached and start is None and before is not None:
            start = before.onset
        if not reached and start is not None and before is not None:
            yield start, before.onset
            start = None
        before = moment
    if start is not None and before is not None:
        yield start, before.onset


def _curves(ink: Ink, part: Staff, system: System, gap: float) -> list[Box]:
    """The filled curves of a staff or a tablature, each once."""
    top, bottom = _lane(part, system, gap)
    found: dict[tuple[float, ...], Box] = {}
    for area in ink.areas:
        box = area.box
        middle = (box.y0 + box.y1) / 2
        drawn = area.curved and area.filled and area.grey < _DARK and not area.full
        long = box.width > _WIDE * gap and box.height < _FLAT * box.width
        if drawn and long and top < middle < bottom and box.x1 > part.clef.x + 3 * gap:
            found[round(box.x0, 1), round(box.x1, 1), round(box.y0, 1)] = box
    return list(found.values())


def _lane(part: Staff, system: System, gap: float) -> tuple[float, float]:
    """Between which heights the joins of a staff or of a tablature are drawn."""
    top = max(part.top - _OVER * gap, system.above)
    bottom = min(part.bottom + _UNDER * gap, system.below)
    if system.tab is not None and system.staff is not None:
        lane = system.tab.top - _LANE * gap
        return (lane, bottom) if part is system.tab else (top, lane)
    return top, bottom


def _joins(curve: Box, arc: Arc, xs: dict[Fraction, float], gap: float) -> bool:
    """Whether a curve runs from the first to the last note of a slur, or as far as this system goes."""
    start, end = (xs.get(onset) for onset in arc)
    begins = abs(curve.x0 - start) < _END * gap if start is not None else curve.x0 < min(xs.values())
    ends = abs(curve.x1 - end) < _END * gap if end is not None else curve.x1 > max(xs.values())
    return begins and ends


def _near(curve: Box, arc: Arc, ys: dict[Fraction, float], gap: float) -> bool:
    """Whether a curve stands over or under its notes, and not elsewhere."""
    heights = [ys[onset] for onset in arc if onset in ys]
    return all(max(curve.y0 - y, y - curve.y1, 0.0) < _AWAY * gap for y in heights)


def _is_tie(curve: Box, ties: Sequence[Chord], chords: Sequence[Chord], gap: float) -> bool:
    if any(abs(curve.x1 - chord.left) < _END * gap for chord in ties):
        return True
    # A tie that leads on to the next line begins at a note of this one.
    return bool(chords) and curve.x1 > chords[-1].x + gap and abs(curve.x0 - chords[-1].x) < _END * gap


def _slides(
    number: int,
    ink: Ink,
    lane: tuple[float, float],
    xs: dict[Fraction, float],
    moments: Sequence[Moment],
    gap: float,
    spans: Spans,
) -> Iterator[Finding]:
    """A line leads to every note that is slid to; it is level where both are written on one step."""
    top, bottom = lane
    lines = [(*sorted((line.x0, line.x1)), (line.y0 + line.y1) / 2) for line in ink.lines]
    for before, moment in pairwise(moments):
        if not any(note["technique"] == "slide" for note in moment.struck):
            continue
        start, end = xs.get(before.onset), xs.get(moment.onset)
        if start is None or end is None:
            continue
        heights = (*spans[before.onset], *spans[moment.onset])
        high, low = min(heights) - _SLIDE_OFF * gap, max(heights) + _SLIDE_OFF * gap
        if not any(
            start + _SIDE * gap < left < right < end - _SIDE * gap  # a leger line goes on to both sides of its head
            and right - left > _SHARE * (end - start)
            and max(top, high) < y < min(bottom, low)
            for left, right, y in lines
        ):
            yield Finding(number, (end, top), "slide", f"bar {moment.bar}: the line of a slide is missing")


def _heights(notes: Chord | Digits) -> tuple[float, ...]:
    """The heights of all notes of one place."""
    return tuple(one.y for one in (notes.heads if isinstance(notes, Chord) else notes.digits))


def _bends(
    number: int, ink: Ink, tab: Staff, xs: dict[Fraction, float], moments: Sequence[Moment], gap: float
) -> Iterator[Finding]:
    """An arrow leads to every note that is bent to, and back."""
    arrows = [
        area.box
        for area in ink.areas
        if area.curved and not area.filled and tab.top - _OVER * gap < area.box.y0 < tab.bottom
    ]
    for before, moment in pairwise(moments):
        if not any(note["technique"] == "bend" for note in moment.struck):
            continue
        start, end = xs.get(before.onset), xs.get(moment.onset)
        if start is None or end is None:
            continue
        if not any(
            start - gap < box.x0 < box.x1 < end + _END * gap and box.width > (end - start) * _SHARE for box in arrows
        ):
            yield Finding(number, (end, tab.top), "bend", f"bar {moment.bar}: the arrow of a bend is missing")
