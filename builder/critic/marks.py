"""Signs around notes against a study's document: accents, fingers, strokes, letters, signatures.

Stage:    page critic
In, Out:  places of notes and the `Reading`s they are in; `Finding`s
Units:    millimetres from the upper left corner
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction

from builder.critic.expected import Expected, Moment
from builder.critic.finding import Finding
from builder.critic.ink import Line
from builder.critic.notes import Mark
from builder.critic.places import Heads, Systems, nearest, of_reading, space

_PLUCKS = frozenset("pima")
# Staff spaces; our own choice.
_SIGN_REACH = 1.6  # a sign belongs to notes whose middle is this near
_DASH = 1.6  # a dash ends this near to the middle of its finger number, and as near over its base line (measured 0.8)
_FINGER_REACH = 4.5  # in chords a finger stands before its head


def mark_findings(over: Heads, under: Heads, systems: Systems) -> Iterator[Finding]:
    """Return what is wrong with signs; *over* places notes by the staff first, *under* by the tablature."""
    yield from _accents(over, systems)
    yield from _fingers(over, systems)
    # What the other hand does is told in full in the first bar of each system, further on where it changes.
    yield from _strokes(under, systems)
    yield from _letters(under, systems)
    yield from _strays(systems)


def _strays(systems: Systems) -> Iterator[Finding]:
    for page, reading in systems:
        for mark in reading.strays:
            yield Finding(page.number, (mark.x, mark.y), "stray", f"the sign {mark.value} belongs to no note")


def _accents(places: Heads, systems: Systems) -> Iterator[Finding]:
    for page, reading in systems:
        here = of_reading(reading, places)
        marked = set()
        for mark in reading.accents:
            moment = nearest(here, mark.x, _SIGN_REACH * space(reading))
            if moment is None or not moment.accent:
                yield Finding(page.number, (mark.x, mark.y), "accent", "an accent over a note that is not stressed")
            else:
                marked.add(moment.onset)
        for seen, moment in here:
            if moment.accent and moment.onset not in marked:
                yield seen.finding("accent", f"bar {moment.bar}: the accent is missing")


def _fingers(places: Heads, systems: Systems) -> Iterator[Finding]:
    for page, reading in systems:
        here = of_reading(reading, places)
        gap = space(reading)
        dashes = [line for line in page.ink.lines if abs(line.y0 - line.y1) < 0.02 and line.around.width < 2 * gap]
        read: dict[Fraction, list[str]] = {moment.onset: [] for _, moment in here}
        for mark in reading.fingers:
            moment = _fingered(here, mark, gap)
            if moment is None:
                message = f"finger {mark.value} stands over no note"
                yield Finding(page.number, (mark.x, mark.y), "finger", message)
            else:
                read[moment.onset].append(mark.value)
                if _guides(moment, mark.value) and not any(_dash_before(line, mark, gap) for line in dashes):
                    message = f"bar {moment.bar}: the dash of guide finger {mark.value} is missing"
                    yield Finding(page.number, (mark.x, mark.y), "guide", message)
        for seen, moment in here:
            found = tuple(sorted(read[moment.onset]))
            if not _fits(found, moment):
                message = f"bar {moment.bar}: reads {listed(found)}, not {listed(moment.fingers)}"
                yield seen.finding("finger", message)


def _guides(moment: Moment, finger: str) -> bool:
    """Whether every note of this finger is one to which it slides along its string."""
    own = [note for note in moment.struck if str(note["finger"]) == finger and note["finger_printed"]]
    return bool(own) and all(note["guide"] for note in own)


def _dash_before(line: Line, mark: Mark, gap: float) -> bool:
    beside = 0 < mark.x - max(line.x0, line.x1) < _DASH * gap
    return beside and 0 < mark.y - line.y0 < _DASH * gap


def _fits(found: Sequence[str], moment: Moment) -> bool:
    """Whether every finger to be printed is there, or told by a diagram, and no other."""
    wanted, read = Counter(moment.fingers), Counter(found)
    return not read - wanted and not wanted - read - Counter(moment.told)


def _fingered(places: Heads, mark: Mark, gap: float) -> Moment | None:
    """A finger over or under a note has its middle there, one beside a chord's note stands before it."""
    over = nearest(places, mark.x, 1.1 * gap)
    if over is not None:
        return over
    index = bisect_right([seen.notes.x for seen, _ in places], mark.x)
    if index < len(places) and places[index][0].notes.x - mark.x < _FINGER_REACH * gap:
        return places[index][1]
    return nearest(places, mark.x, _SIGN_REACH * gap)


def listed(words: Sequence[str]) -> str:
    return " ".join(words) if words else "none"


def _strokes(places: Heads, systems: Systems) -> Iterator[Finding]:
    for page, reading in systems:
        here = of_reading(reading, places)
        marked = set()
        for mark in reading.strokes:
            moment = nearest(here, mark.x, _SIGN_REACH * space(reading))
            if moment is None:
                yield Finding(page.number, (mark.x, mark.y), "stroke", f"the {mark.value}stroke stands over no note")
                continue
            marked.add(moment.onset)
            if mark.value not in moment.strokes:
                message = f"bar {moment.bar}: reads {mark.value}, not {listed(sorted(moment.strokes))}"
                yield Finding(page.number, (mark.x, mark.y), "stroke", message)
        for seen, moment in here:
            told = moment.after_rest or moment.accent or moment.bar == here[0][1].bar
            if told and moment.strokes & {"down", "up"} and moment.onset not in marked:
                yield seen.finding("stroke", f"bar {moment.bar}: the stroke is missing")


def _letters(places: Heads, systems: Systems) -> Iterator[Finding]:
    for page, reading in systems:
        here = of_reading(reading, places)
        read: dict[Fraction, set[str]] = {moment.onset: set() for _, moment in here}
        for mark in reading.letters:
            moment = nearest(here, mark.x, _SIGN_REACH * space(reading))
            alone = reading.system.staff is None or reading.system.tab is None
            if moment is None or (alone and not moment.strokes & _PLUCKS):
                continue  # over one alone, chord names stand where letters do
            read[moment.onset].update(mark.value)
            if not set(mark.value) <= moment.strokes:
                message = f"bar {moment.bar}: reads {mark.value}, not {listed(sorted(moment.strokes))}"
                yield Finding(page.number, (mark.x, mark.y), "stroke", message)
        for seen, moment in here:
            missing = (moment.strokes & _PLUCKS) - read[moment.onset]
            if missing and moment.bar == here[0][1].bar and not read[moment.onset]:
                yield seen.finding("stroke", f"bar {moment.bar}: the letter {listed(sorted(missing))} is missing")


def signature_findings(wanted: Expected, systems: Systems) -> Iterator[Finding]:
    """Every system has the signature of the key; where that can't be told, all have the same."""
    staves = [(page, reading, reading.system.staff) for page, reading in systems if reading.system.staff is not None]
    usual = Counter(reading.signature for _, reading, _ in staves).most_common(1)
    signature = wanted.signature if wanted.signature is not None or not usual else usual[0][0]
    for page, reading, staff in staves:
        if reading.signature != signature and signature is not None:
            message = f"reads {_key(reading.signature)}, not {_key(signature)}"
            yield Finding(page.number, (staff.clef.x, staff.top), "key-signature", message)


def _key(number: int) -> str:
    return f"{abs(number)} {'flats' if number < 0 else 'sharps'}"
