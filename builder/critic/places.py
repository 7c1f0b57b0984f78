"""Where things were read: pages of a study, notes seen on them, and the notes a sign belongs to.

Stage:    page critic
In, Out:  `Reading`s, `Moment`s; the notes at or near a place
Units:    millimetres from the upper left corner
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

from builder.critic.expected import Moment
from builder.critic.finding import Finding
from builder.critic.ink import Ink
from builder.critic.notes import Chord, Digits, Reading


@dataclass(frozen=True, slots=True)
class StudyPage:
    """One page of a study: its number in the file, its ink, its systems as read."""

    number: int
    ink: Ink
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class Seen:
    """Notes read at one place, and where they were read."""

    page: StudyPage
    reading: Reading
    notes: Chord | Digits

    def finding(self, kind: str, message: str) -> Finding:
        """A finding at this place."""
        return Finding(self.page.number, self.notes.place, kind, message)


Heads = list[tuple[Seen, Moment]]  # what was read, with what it stands for
Systems = Sequence[tuple[StudyPage, Reading]]


def nearest(places: Heads, x: float, reach: float) -> Moment | None:
    """Return the moment whose notes are nearest to *x*, None where none is within *reach*."""
    xs = [seen.notes.x for seen, _ in places]
    index = bisect_left(xs, x)
    near = [k for k in (index - 1, index) if 0 <= k < len(xs) and abs(xs[k] - x) <= reach]
    return places[min(near, key=lambda k: abs(xs[k] - x))][1] if near else None


def of_reading(reading: Reading, places: Heads) -> Heads:
    """Return the places within one system."""
    return [(seen, moment) for seen, moment in places if seen.reading is reading]


def space(reading: Reading) -> float:
    """Return a staff space of a system."""
    system = reading.system
    return system.staff.gap if system.staff else system.parts[0].gap / 1.5  # a tablature's lines lie 1.5 spaces apart
