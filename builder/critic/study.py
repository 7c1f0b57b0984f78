"""A study's pages against its document: pitches and frets, then all that stands around them.

Stage:    page critic
In, Out:  `Expected` and the `Reading`s of its pages; `Finding`s
Units:    millimetres from the upper left corner
Not here: signs (`marks`, `techniques`), rests and bars (`bars`), chord names (`chord_names`), what stands around the
          music (`rows`, `tempos`, `legend`), a page whatever it says (`sheet`), the book around it (`book`)
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Generator, Iterator, Sequence

from builder.critic.aligning import aligned
from builder.critic.asked import Asked
from builder.critic.bars import bar_findings
from builder.critic.chord_names import Noted, chord_findings
from builder.critic.diagrams import diagram_findings
from builder.critic.durations import duration_findings
from builder.critic.expected import Expected, Moment
from builder.critic.finding import Finding
from builder.critic.gist import head_rule
from builder.critic.ink import Box
from builder.critic.joins import join_findings
from builder.critic.legend import legend_findings
from builder.critic.marks import mark_findings, signature_findings
from builder.critic.necks import neck_findings
from builder.critic.notes import Chord, Digit, Digits
from builder.critic.penwork import penwork_findings
from builder.critic.places import Heads, Seen, StudyPage, Systems
from builder.critic.rows import code_findings, cue_findings, words_findings
from builder.critic.techniques import technique_findings
from builder.critic.tempos import tempo_findings

# Our own choice.
_OFF_LINE = 0.2  # of a gap of the tablature: the demo's digits are within 0.02
_OFF_STEP = 0.3  # of a step: the demo's heads are within 0.01
_TIE_END = 1.6  # gaps of the tablature: a tie ends this near to the middle of its digit, at its height
_EDGE_MM = 0.6
_UNDER = 3.0  # staff spaces: digits stand this near under their heads


def study_findings(wanted: Expected, pages: Sequence[StudyPage], asked: Asked) -> Iterator[Finding]:
    """Return what differs between a study and its pages."""
    yield from tempo_findings(wanted, pages[0], asked)
    yield from legend_findings(wanted, pages[0], asked)
    yield from neck_findings(wanted, pages[0], asked)
    yield from words_findings(wanted, pages, asked)
    if asked.codes:
        yield from code_findings(pages[0].number, pages[0].ink)
    systems = [(page, reading) for page in pages for reading in page.readings]
    if not systems:
        yield Finding(pages[0].number, (0, 0), "system", f"no system of {wanted.id} is found")
        return
    yield from _lines(wanted, systems)
    yield from _block(systems)
    chords = [Seen(page, reading, chord) for page, reading in systems for chord in reading.chords]
    digits = [Seen(page, reading, column) for page, reading in systems for column in reading.digits]
    heads: Heads = []
    frets: Heads = []
    if any(reading.system.staff for _, reading in systems):
        heads = yield from _heads(wanted, chords, systems)
        yield from signature_findings(wanted, systems)
    if any(reading.system.tab for _, reading in systems):
        frets = yield from _frets(wanted, digits, systems)
    yield from _under(heads, frets)
    over, under = _joined(heads, frets, systems), _joined(frets, heads, systems)
    yield from mark_findings(over, under, systems)
    yield from technique_findings(wanted, over, under, systems)
    yield from penwork_findings(under, systems)
    yield from join_findings(wanted, over, under, systems)
    yield from cue_findings(wanted, systems, dict(asked.cues))
    yield from diagram_findings(wanted, systems, asked)
    yield from bar_findings(wanted, over, systems)
    yield from chord_findings(wanted, [_noted(*one) for one in over], [(p.number, p.ink, r) for p, r in systems])


def _joined(first: Heads, second: Heads, systems: Systems) -> Heads:
    """The places of moments, from *second* where *first* lacks one: a sign does not lose its note with a digit."""
    known = {moment.onset for _, moment in first}
    order = {id(reading): number for number, (_, reading) in enumerate(systems)}
    places = [*first, *(one for one in second if one[1].onset not in known)]
    return sorted(places, key=lambda one: (order[id(one[0].reading)], one[0].notes.x))


def _noted(seen: Seen, moment: Moment) -> Noted:
    return seen.page.number, seen.page.ink, seen.reading, seen.notes, moment


def _lines(wanted: Expected, systems: Systems) -> Iterator[Finding]:
    for page, reading in systems:
        for part in reading.system.parts:
            count = 5 if part.kind == "staff" else wanted.strings
            if len(part.ys) != count:
                message = f"a {'staff' if part.kind == 'staff' else 'tablature'} of {len(part.ys)} lines, not {count}"
                yield Finding(page.number, (part.x0, part.top), "lines", message)
    shapes = Counter(tuple(part.kind for part in reading.system.parts) for _, reading in systems)
    usual = shapes.most_common(1)[0][0]
    for page, reading in systems:
        if tuple(part.kind for part in reading.system.parts) != usual:
            message = f"a system of {len(reading.system.parts)} parts among systems of {len(usual)}"
            yield Finding(page.number, (reading.system.x0, reading.system.top), "system", message)


def _block(systems: Systems) -> Iterator[Finding]:
    """Systems begin under the left end of the rule of the running head and end under its right end, or before it."""
    for page, reading in systems:
        rule, system = head_rule(page.ink), reading.system
        if rule and (abs(system.x0 - rule[0]) > _EDGE_MM or system.x1 > rule[1] + _EDGE_MM):
            message = "the system does not stand under the rule of the running head"
            yield Finding(page.number, (system.x0, system.top), "margin", message)


def _missing_place(
    pairs: Sequence[tuple[Seen | None, object]], index: int, systems: Systems
) -> tuple[int, tuple[float, float]]:
    """Where a missing thing should stand: just behind the last one that was found."""
    for seen, _ in reversed(pairs[:index]):
        if seen is not None:
            return seen.page.number, seen.notes.place
    page, reading = systems[0]
    return page.number, (reading.system.x0, reading.system.top)


def _heads(wanted: Expected, chords: Sequence[Seen], systems: Systems) -> Generator[Finding, None, Heads]:
    pairs = aligned(chords, wanted.moments, _same_pitches, _only_goes_on)
    kept: Heads = []
    for index, (seen, moment) in enumerate(pairs):
        if seen is None:
            assert moment is not None
            page, place = _missing_place(pairs, index, systems)
            message = f"bar {moment.bar}: {' '.join(moment.pitches)} is missing on the staff"
            yield Finding(page, place, "missing-note", message)
        elif moment is None:
            yield seen.finding("extra-note", f"{_pitches(seen)} is on the staff, not in the study")
        else:
            kept.append((seen, moment))
            if not _same_pitches(seen, moment):
                yield seen.finding("pitch", f"bar {moment.bar}: reads {_pitches(seen)}, not {' '.join(moment.pitches)}")
    yield from duration_findings(wanted, chords, kept)
    for seen in chords:
        assert isinstance(seen.notes, Chord)
        if any(head.off > _OFF_STEP for head in seen.notes.heads):
            yield seen.finding("pitch", "a note head stands neither on a line nor in a space")
    return kept


def _same_pitches(seen: Seen, moment: Moment) -> bool:
    assert isinstance(seen.notes, Chord)
    heads = seen.notes.heads
    if len(heads) == 1 and len(moment.struck) == 1:
        return heads[0].pitch == str(moment.struck[0]["pitch"])
    new = [head.pitch for head in heads]
    if tuple(sorted(new)) == moment.pitches:
        return True
    known = Counter([*moment.pitches, *(str(note["pitch"]) for note in moment.going_on)])
    # Two voices may share a head, and what a tie leads to is not new.
    fresh = Counter(head.pitch for head in heads if not head.may_go_on)
    return set(moment.pitches) <= set(new) and all(count <= known[pitch] for pitch, count in fresh.items())


def _only_goes_on(seen: Seen) -> bool:
    assert isinstance(seen.notes, Chord)
    return all(head.may_go_on for head in seen.notes.heads)


def _pitches(seen: Seen) -> str:
    assert isinstance(seen.notes, Chord)
    return " ".join(head.pitch for head in seen.notes.heads)


def _frets(wanted: Expected, columns: Sequence[Seen], systems: Systems) -> Generator[Finding, None, Heads]:
    pairs = aligned(columns, wanted.fretted, lambda seen, one: _places(seen) == one[1], _only_tied)
    kept: Heads = []
    for index, (seen, one) in enumerate(pairs):
        if seen is None:
            assert one is not None
            page, place = _missing_place(pairs, index, systems)
            message = f"bar {one[0].bar}: {_told(one[1])} is missing in the tablature"
            yield Finding(page, place, "missing-fret", message)
        elif one is None and _only_tied(seen):
            continue
        elif one is None:
            yield seen.finding("extra-fret", f"{_told(_places(seen))} is in the tablature, not in the study")
        else:
            kept.append((seen, one[0]))
            if _places(seen) != one[1]:
                strings = [string for string, _ in _places(seen)] == [string for string, _ in one[1]]
                message = f"bar {one[0].bar}: reads {_told(_places(seen))}, not {_told(one[1])}"
                yield seen.finding("fret" if strings else "string", message)
    for seen in columns:
        assert isinstance(seen.notes, Digits)
        for digit in seen.notes.digits:
            if digit.off > _OFF_LINE:
                message = f"the {digit.fret} stands beside the line of string {digit.string}"
                yield Finding(seen.page.number, (digit.x, digit.y), "string", message)
    return kept


def _only_tied(seen: Seen) -> bool:
    """Whether ties lead to all of these digits: without a staff over it, a tablature says how long notes last."""
    tab = seen.reading.system.tab
    assert isinstance(seen.notes, Digits)
    if tab is None or seen.reading.system.staff is not None:
        return False
    curves = [area.box for area in seen.page.ink.areas if area.curved and area.filled]
    return all(any(_ties(curve, digit, tab.gap) for curve in curves) for digit in seen.notes.digits)


def _ties(curve: Box, digit: Digit, gap: float) -> bool:
    return 0 < digit.x - curve.x1 < _TIE_END * gap and abs((curve.y0 + curve.y1) / 2 - digit.y) < _TIE_END * gap


def _places(seen: Seen) -> tuple[tuple[int, int], ...]:
    assert isinstance(seen.notes, Digits)
    return tuple(sorted((digit.string, digit.fret) for digit in seen.notes.digits))


def _told(places: Sequence[tuple[int, int]]) -> str:
    return ", ".join(f"string {string} fret {fret}" for string, fret in places)


def _under(heads: Heads, frets: Heads) -> Iterator[Finding]:
    """A digit stands under the head it belongs to."""
    over = {moment.onset: seen for seen, moment in heads}
    for seen, moment in frets:
        head = over.get(moment.onset)
        if head is None or head.reading is not seen.reading or head.reading.system.staff is None:
            continue
        if abs(head.notes.x - seen.notes.x) > _UNDER * head.reading.system.staff.gap:
            yield seen.finding("column", f"bar {moment.bar}: the fret does not stand under its note")
