"""How long notes are written against how long a study's document says they sound.

Stage:    page critic
In, Out:  chords as read with their `Values`, places of notes; `Finding`s
Units:    whole notes; places in millimetres from the upper left corner
Source:   a tuplet of n stands for as many plain notes as the next smaller power of two, in ternary beats three times
          one: E. Gould, *Behind Bars*, 2011, "Tuplets"
Not here: the numbers over tuplets (`techniques`), rests (`bars`)
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import product

from builder.critic.expected import Entry, Expected
from builder.critic.finding import Finding
from builder.critic.notes import Chord, Head, Written
from builder.critic.places import Heads, Seen

_MOST_PIECES = 5  # written notes of one that sounds: more than any tie of a book needs; our own choice

Ratios = frozenset[Fraction]


def duration_findings(wanted: Expected, chords: Sequence[Seen], places: Heads) -> Iterator[Finding]:
    """Return notes that are written longer or shorter than they sound."""
    order = {id(seen): number for number, seen in enumerate(chords)}
    beats = _odd_beats(wanted)
    for seen, moment in places:
        following = chords[order[id(seen)] : order[id(seen)] + _MOST_PIECES + wanted.voices * _MOST_PIECES]
        for note, length in zip(moment.struck, moment.lengths, strict=True):
            if note["pitch"] not in {head.pitch for head in _heads(seen)}:
                continue  # told of already
            ways = _ways(note, following, wanted.voices)
            ratios = _ratios(length, beats.get(moment.onset // wanted.beat, frozenset()), wanted.beat)
            if not ways[0]:
                yield seen.finding("value", f"bar {moment.bar}: {note['pitch']} has no stem")
            elif not any(_adds_up(length, ways[:count], ratios) for count in range(1, len(ways) + 1)):
                read = " or ".join(sorted({str(one.length) for one in ways[0]}))
                yield seen.finding("value", f"bar {moment.bar}: {note['pitch']} is written as {read}, not {length}")


def _heads(seen: Seen) -> Sequence[Head]:
    assert isinstance(seen.notes, Chord)
    return seen.notes.heads


def _ways(note: Entry, following: Sequence[Seen], voices: int) -> list[tuple[Written, ...]]:
    """What the note's own head may be worth, then what each one may be that a tie leads to from it."""
    found: list[tuple[Written, ...]] = []
    for number, seen in enumerate(following):
        heads = [head for head in _heads(seen) if head.pitch == note["pitch"] and (not number or head.may_go_on)]
        if not heads and voices == 1:
            break
        if not heads:
            continue  # a note of the other voice stands between
        values = [one for head in heads for one in seen.reading.values[head.box.x0, head.y]]
        found.append(tuple(one for one in values if voices == 1 or one.direction in ("", _stem_of(note, voices))))
        if len(found) == _MOST_PIECES:
            break
    return found


def _stem_of(note: Entry, voices: int) -> str:
    """Voices go up and down in turn: the first up, the second down (E. Gould, *Behind Bars*, "Two voices")."""
    return "up" if int(note["voice"]) % 2 else "down"


def _adds_up(length: Fraction, pieces: Sequence[tuple[Written, ...]], ratios: Ratios) -> bool:
    sounds = [
        {one.length * times / ratio for one in piece for ratio in ratios for times in ((1, 2) if one.open else (1,))}
        for piece in pieces
    ]
    return any(sum(way) == length for way in product(*sounds))


def _odd_beats(wanted: Expected) -> Mapping[int, frozenset[int]]:
    """The tuplets that begin within each beat, by what is odd in their notes' lengths."""
    found: dict[int, set[int]] = {}
    for moment in wanted.moments:
        for part in (moment.onset, *(Fraction(note["duration"]) for note in moment.struck)):
            if _odd(part) > 1:
                found.setdefault(int(moment.onset // wanted.beat), set()).add(_odd(part))
    return {beat: frozenset(odd) for beat, odd in found.items()}


def _ratios(length: Fraction, odd: frozenset[int], beat: Fraction) -> Ratios:
    """How much longer than it sounds a note of this length may be written."""
    ternary = beat.numerator == 3
    found = {Fraction(1)}
    for parts in {*odd, _odd(length)} - {1}:
        found |= {Fraction(parts, _usual(parts, 1)), Fraction(parts, _usual(parts, 3))}
    if ternary:
        found.add(Fraction(4, 3))
    return frozenset(found)


def _usual(parts: int, least: int) -> int:
    usual = least
    while usual * 2 <= parts:
        usual *= 2
    return usual


def _odd(length: Fraction) -> int:
    """What is odd in the parts of a whole note: 1 for plain values, 3 for a triplet's."""
    parts = length.denominator
    return parts // (parts & -parts)
