"""What stands between notes against a study's document: hammer-ons, pull-offs, bends, harmonics, tuplets.

Stage:    page critic
In, Out:  places of notes and the `Reading`s they are in; `Finding`s
Units:    millimetres from the upper left corner; durations in whole notes
Source:   E. Gould, *Behind Bars*, 2011: a tuplet's number is that of its notes; amounts of bends in whole steps
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from builder.critic.aligning import aligned
from builder.critic.expected import Entry, Expected, Moment
from builder.critic.finding import WHOLE_PAGE, Finding, Place
from builder.critic.ink import Glyphs
from builder.critic.notes import Chord, Mark, Reading
from builder.critic.places import Heads, StudyPage, Systems, of_reading, space

_SLURS = {"hammer-on": "H", "pull-off": "P"}
_AMOUNT = re.compile(r"\d?½|\d")
_NUMBER = re.compile(r"\d{1,2}")
_OVER = 13.0  # staff spaces: what belongs to the music of a system stands this near over it; our own choice
_TUPLET_REACH = 9.0  # and a tuplet's number this near to its staff: over large fingers it is 8 away
_TUPLET_REACH_ALONE = 13.0  # over strokes and fingers, where there is no tablature under it to have them
_BENT = 4.5  # gaps of a tablature: the amount of a bend stands this near over it
_BEHIND_CLEF = 6.0


def technique_findings(wanted: Expected, over: Heads, under: Heads, systems: Systems) -> Iterator[Finding]:
    """Return what is wrong with signs of technique; *over* and *under* as in `marks`."""
    both = any(reading.system.staff and reading.system.tab for _, reading in systems)
    slurred = both or any(note["technique"] in _SLURS for moment in wanted.moments for note in moment.struck)
    for page, reading in systems:
        here = of_reading(reading, under)
        at = {moment.onset: seen.notes.place for seen, moment in here}
        marks = [(page.number, mark) for mark in _letters(page, reading)]
        if slurred:
            yield from _compared("slur", marks, _slurs(here), (page.number, at))
        yield from _tuplets(page, reading, of_reading(reading, over))
    bends = _bends(wanted)
    if bends and any(reading.system.tab for _, reading in systems):
        # Study by study: a bent note without a staff is nothing but its amount, and has no place of its own.
        amounts = [(page.number, mark) for page, reading in systems for mark in _amounts(page, reading)]
        yield from _compared("bend", amounts, bends, (systems[0][0].number, {}))
    yield from _harmonics(over)


def _compared(
    kind: str,
    read: Sequence[tuple[int, Mark]],
    meant: Sequence[tuple[str, Moment]],
    places: tuple[int, Mapping[Fraction, Place]],
) -> Iterator[Finding]:
    """In the order in which they stand: a letter lies between two notes and not over one."""
    number, at = places
    last = number, WHOLE_PAGE
    for seen, one in aligned(read, meant, lambda seen, one: seen[1].value == one[0], lambda seen: False):
        if seen is not None:
            last = seen[0], (seen[1].x, seen[1].y)
        if one is None:
            assert seen is not None
            yield Finding(*last, kind, f"{seen[1].value} stands where the study has none")
        elif seen is None:
            place = (number, at[one[1].onset]) if one[1].onset in at else last
            yield Finding(*place, kind, f"bar {one[1].bar}: the {one[0]} is missing")
        elif seen[1].value != one[0]:
            yield Finding(*last, kind, f"bar {one[1].bar}: reads {seen[1].value}, not {one[0]}")


def _marks(page: StudyPage, reading: Reading, top: float, bottom: float) -> list[tuple[Glyphs, Mark]]:
    """The texts behind the clef of a system, from the left."""
    left = reading.system.x0 + _BEHIND_CLEF
    found = [
        (text, Mark((text.x + text.end) / 2, text.y, text.text.strip()))
        for text in page.ink.texts
        if top < text.y < bottom and text.x > left
    ]
    return sorted(found, key=lambda pair: pair[1].x)


def _letters(page: StudyPage, reading: Reading) -> list[Mark]:
    staff, tab = reading.system.staff, reading.system.tab
    if staff is not None and tab is not None:
        top, bottom = staff.bottom, tab.top
    else:  # a German B on a map over the music is an H, too
        top, bottom = max(reading.system.above, reading.system.top - _OVER * space(reading)), reading.system.below
    marks = _marks(page, reading, top, bottom)
    return [mark for _, mark in marks if mark.value in _SLURS.values()]


def _slurs(here: Heads) -> list[tuple[str, Moment]]:
    """One letter for what is slurred to at once."""
    found = []
    for _, moment in here:
        letters = {_SLURS[note["technique"]] for note in moment.struck if note["technique"] in _SLURS}
        found += [(letter, moment) for letter in sorted(letters)]
    return found


def _amounts(page: StudyPage, reading: Reading) -> list[Mark]:
    """How far to bend: over the highest line of the tablature, where no fret stands."""
    tab = reading.system.tab
    assert tab is not None
    top = reading.system.staff.bottom if reading.system.staff else tab.top - _BENT * tab.gap
    marks = _marks(page, reading, top, tab.top - tab.gap / 4)
    return [mark for text, mark in marks if _AMOUNT.fullmatch(mark.value) and "Italic" not in text.font.family]


def _bends(wanted: Expected) -> list[tuple[str, Moment]]:
    found = []
    for moment in wanted.moments:
        for note in moment.struck:
            half_steps = int(note["midi"]) - wanted.opens[int(note["string"]) - 1] - int(note["fret"])
            if note["technique"] == "bend" and half_steps > 0:
                whole, half = divmod(half_steps, 2)
                found.append((f"{whole or ''}{'½' * half}", moment))
    return found


def _harmonics(places: Heads) -> Iterator[Finding]:
    for seen, moment in places:
        if not isinstance(seen.notes, Chord):
            continue
        meant = any(note["technique"] == "harmonic" for note in moment.struck)
        if any("harmonic" in head.kind for head in seen.notes.heads) != meant:
            message = "the head of a harmonic is missing" if meant else "the head of a harmonic, but the note is none"
            yield seen.finding("harmonic", f"bar {moment.bar}: {message}")


def _tuplets(page: StudyPage, reading: Reading, here: Heads) -> Iterator[Finding]:
    """A number for each beat that no plain values fill: of a bar, as many as it has such beats."""
    meant: dict[int, list[tuple[int, int, Moment]]] = {}
    for _, moment in here:
        odd = max(_odd(note) for note in moment.struck)
        beats = meant.setdefault(moment.bar, [])
        if odd > 1 and (not beats or beats[-1][0] != moment.onset // Fraction(1, 4)):
            beats.append((moment.onset // Fraction(1, 4), odd, moment))
    wanted = [beat for bar in meant.values() for beat in bar]
    if not wanted:
        return
    at = {moment.onset: seen.notes.place for seen, moment in here}
    pairs = aligned(_numbers(page, reading), wanted, lambda mark, beat: int(mark.value) % beat[1] == 0, lambda _: False)
    for mark, beat in pairs:
        if beat is not None and (mark is None or int(mark.value) % beat[1]):
            read = f"reads {mark.value}" if mark is not None else "no number stands"
            message = f"bar {beat[2].bar}: {read} at a tuplet of {beat[1]}"
            yield Finding(page.number, at[beat[2].onset], "tuplet", message)


def _odd(note: Entry) -> int:
    """What is odd in the parts of a whole note that a note takes: 1 for plain values, 3 for a triplet's."""
    parts = Fraction(note["duration"]).denominator
    while parts % 2 == 0:
        parts //= 2
    return parts


def _numbers(page: StudyPage, reading: Reading) -> list[Mark]:
    """Numbers over or under the staff; octave lines have a figure of their own, and string numbers stand in circles."""
    part, gap = reading.system.parts[0], space(reading)
    both = reading.system.staff is not None and reading.system.tab is not None
    room = (_TUPLET_REACH if both else _TUPLET_REACH_ALONE) * gap
    bottom = part.bottom + _TUPLET_REACH * gap
    if both and reading.system.tab:
        bottom = min(bottom, reading.system.tab.top)
    marks = _marks(page, reading, part.top - room, bottom)
    # Large print sets them upright in the same family; frets and numbers of bars are in another.
    return [
        mark
        for text, mark in marks
        if _NUMBER.fullmatch(mark.value) and (text.font.family.endswith("-Italic") or "Schola" in text.font.family)
    ]
