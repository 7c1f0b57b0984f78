"""Which tones of a chord must sound, which may be left out, which may be lowest.

Stage:    theory (pure)
In, Out:  a chord and a request; `Tones` as sounds, 0 to 11 from C
Source:   common practice in arranging for few voices: the perfect fifth goes first, then what lies between the seventh
          and the topmost tone; third, seventh and altered tones stay
Not here: where they lie on the strings (`voicings`)
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from builder.errors import NoSolution
from builder.theory.chord_shapes.shape import Bass, ShapeRequest
from builder.theory.harmony import Chord, parse_chord
from builder.theory.pitch import NoteName

_INVERSIONS = {"first": 1, "second": 2, "third": 3}
_PERFECT_FIFTH = (4, 7)  # letters and semitones above the root


@dataclass(frozen=True, slots=True)
class Tones:
    """A chord's *own* tones may sound anywhere, its *basses* at the bottom; all the *needed* must, somewhere.

    *root* is the written bass, else the root; *listed* names the needed tones for messages.
    """

    own: frozenset[int]
    basses: frozenset[int]
    needed: frozenset[int]
    root: int
    listed: str


def chord_tones(chord: Chord, request: ShapeRequest) -> Tones:
    """Return what *request* makes of the chord; NoSolution for an inversion the chord does not have."""
    own = parse_chord(f"{chord.root}{chord.quality}").notes  # without a foreign bass
    spared = _spared(own, request)
    basses = _basses(chord, own, request.bass)
    needed = [note for note in own if note not in spared]
    needed += [note for note in basses if len(basses) == 1 and note not in needed]
    return Tones(_sounds(own), _sounds(basses), _sounds(needed), chord.lowest.pitch_class, listed(needed))


def listed(notes: Iterable[NoteName]) -> str:
    """Notes in a row, for messages."""
    return " ".join(map(str, notes))


def _sounds(notes: Iterable[NoteName]) -> frozenset[int]:
    return frozenset(note.pitch_class for note in notes)


def _spared(own: Sequence[NoteName], request: ShapeRequest) -> tuple[NoteName, ...]:
    """The tones that may be left out; a triad's fifth only where two notes are asked for."""
    root = own[0]
    fifth = root.up(*_PERFECT_FIFTH)
    few = request.notes is not None and request.notes < len(own) == 3
    spared = (fifth,) if fifth in own and (len(own) >= 4 or few) else ()
    return (*spared, *own[4:-1], *((root,) if request.rootless else ()))


def _basses(chord: Chord, own: Sequence[NoteName], bass: Bass) -> tuple[NoteName, ...]:
    if bass == "any":
        return tuple(own)
    if bass == "root":
        return (chord.lowest,)
    if _INVERSIONS[bass] >= len(own):
        raise NoSolution(f"{chord.symbol} has no {bass} inversion: its tones are {listed(own)}")
    return (own[_INVERSIONS[bass]],)
