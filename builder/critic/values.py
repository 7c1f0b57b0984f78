"""How long notes are written to be: heads with their stems, beams, flags and dots.

Stage:    page critic
In, Out:  chords of a staff, the signs and drawn things around it; for each head what it may be worth
Units:    millimetres, y downwards; lengths in fractions of a whole note
Source:   E. Gould, *Behind Bars*, 2011, "Ground rules": heads, stems, beams, flags, dots
Not here: whether a length is right (`durations`)

A stem and a beam are drawn, not set as glyphs: a stem is an upright bar at the side of a head, a beam a band that
reaches it. Where two voices share a head, each has a stem of its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from builder.critic.ink import Area, Box, Glyphs, Ink
from builder.critic.notes import Chord, Head, Values, Written
from builder.critic.staves import Staff

# Staff spaces; our own choice, with room on both sides of what the pages of the demo measure.
_THIN = 0.3  # a stem is thinner (measured 0.05 to 0.15), a beam is longer and thicker
_TALL = 1.2  # a stem is taller
_BESIDE = 0.25  # from a head's side to its stem
_REACH = 0.8  # from a head's middle to the end of its stem
_THICK = 0.25
_MEETS = 0.35  # from a stem to a beam or a flag that belongs to it
_SIDE = 0.15  # a beam that goes on this far goes on to the next stem
_DOT = 1.5  # from a head, or the dot before, to a dot
_DOT_HEIGHT = 0.75  # dots of heads on lines stand in the space over or under them
_FAR = 14.0  # stems and beams stand this near to their staff
_DARK = 0.5

_FLAGS = {"3": 1, "4": 2, "5": 3, "6": 4}
_PLAIN = {"s0": Fraction(1), "s1": Fraction(1, 2), "s2": Fraction(1, 4)}


@dataclass(frozen=True, slots=True)
class _Stem:
    x: float
    top: float
    bottom: float
    left: int
    right: int
    flags: int

    @property
    def hooks(self) -> int:
        """How often the value is halved."""
        return max(self.left, self.right, self.flags)


def read_values(staff: Staff, chords: Sequence[Chord], signs: Mapping[str, Sequence[Glyphs]], ink: Ink) -> Values:
    """Return what each head is worth."""
    gap = staff.gap
    top, bottom = staff.top - _FAR * gap, staff.bottom + _FAR * gap
    near = [
        area
        for area in ink.areas
        if area.filled and not area.curved and area.grey < _DARK and top < area.box.y0 and area.box.y1 < bottom
    ]
    stems = _stems(near, gap, signs.get("flags", ()))
    dots = [sign.ink_box for sign in signs.get("dots", ())]
    return {(head.box.x0, head.y): _written(head, chord, stems, gap, dots) for chord in chords for head in chord.heads}


def _stems(areas: Sequence[Area], gap: float, flags: Sequence[Glyphs]) -> list[_Stem]:
    bars = [area.box for area in areas if area.box.width < _THIN * gap and area.box.height > _TALL * gap]
    beams = [area.box for area in areas if area.box.width > _THIN * gap and area.box.height > _THICK * gap]
    found: dict[tuple[float, float], _Stem] = {}
    for box in bars:
        x = box.middle
        reached = [beam for beam in beams if _meets(beam, box, gap)]
        left = sum(beam.x0 < x - _SIDE * gap for beam in reached)
        right = sum(beam.x1 > x + _SIDE * gap for beam in reached)
        hooks = [_FLAGS.get(flag.sign[-1], 0) for flag in flags if _flies(flag, box, gap)]
        found[round(x, 2), round(box.y0, 2)] = _Stem(x, box.y0, box.y1, left, right, max(hooks, default=0))
    return list(found.values())


def _meets(beam: Box, stem: Box, gap: float) -> bool:
    room = _MEETS * gap
    across = beam.x0 - room < stem.middle < beam.x1 + room
    return across and beam.y0 < stem.y1 + room and beam.y1 > stem.y0 - room


def _flies(flag: Glyphs, stem: Box, gap: float) -> bool:
    room = _MEETS * gap
    near = abs(flag.x - stem.middle) < room
    return near and min(abs(flag.y - stem.y0), abs(flag.y - stem.y1)) < room


def _written(head: Head, chord: Chord, stems: Sequence[_Stem], gap: float, dots: Sequence[Box]) -> tuple[Written, ...]:
    kind = head.kind.removeprefix("noteheads.")
    count = _dots(head, chord, gap, dots)
    stretch = 2 - Fraction(1, 2**count)
    plain = _PLAIN.get(kind[:2], Fraction(1, 4))
    if kind.startswith("s0") and not kind.endswith("harmonic"):
        return (Written("", plain * stretch),)
    beside = _BESIDE * gap
    own = [
        stem
        for stem in stems
        if (abs(stem.x - head.box.x0) < beside or abs(stem.x - head.box.x1) < beside)
        and stem.top - _REACH * gap < head.y < stem.bottom + _REACH * gap
    ]
    open_head = kind.endswith("harmonic")
    if open_head:
        plain = Fraction(1, 4)
    return tuple(
        Written(_direction(stem, chord, gap), plain / 2**stem.hooks * stretch, open_head and not stem.hooks)
        for stem in own
    )


def _direction(stem: _Stem, chord: Chord, gap: float) -> Literal["up", "down"]:
    """A stem goes on beyond the heads on it; seconds stand on both of its sides, so sides don't tell."""
    room = _REACH * gap
    on = [head.y for head in chord.heads if stem.top - room < head.y < stem.bottom + room]
    return "up" if min(on) - stem.top > stem.bottom - max(on) else "down"


def _dots(head: Head, chord: Chord, gap: float, dots: Sequence[Box]) -> int:
    """Dots stand in a row behind the rightmost head of a chord, each at the height of its own head."""
    reached = max(other.box.x1 for other in chord.heads)
    row = sorted(
        (dot for dot in dots if abs((dot.y0 + dot.y1) / 2 - head.y) < _DOT_HEIGHT * gap and dot.x0 > head.box.x1),
        key=lambda dot: dot.x0,
    )
    count = 0
    for dot in row:
        if not dot.x0 - reached < _DOT * gap:
            break
        reached, count = dot.x1, count + 1
    return count
