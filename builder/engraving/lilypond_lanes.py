"""The lanes over and under the staves as LilyPond reads them: chords with their diagrams, hand, cues.

Stage:    5 engrave (pure)
In, Out:  a `Music` and a `Rung`; token strings, each sign at its onset
Units:    LilyPond's own; onsets in whole notes from the start of the study
Not here: the notes (`lilypond_notes`), how signs are drawn (templates/style.ily)
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from fractions import Fraction
from itertools import pairwise

from builder.engraving.lilypond_notes import Quote, length_token
from builder.pages import ChordName, Cue, Diagram, Music, Rung


def lane(words: Iterable[tuple[Fraction, str]], end: Fraction) -> str:
    """Words of a lane at their onsets, skips between them; each lasts until the next one begins."""
    placed = list(words)
    if not placed:
        return ""
    parts = [rf"\skip {length_token(placed[0][0])}"] if placed[0][0] else []
    onsets = [onset for onset, _ in placed[1:]] + [end]
    for (onset, word), after in zip(placed, onsets, strict=True):
        parts.append(f"{word} {length_token(after - onset)}")
    return " ".join(parts)


def chord_words(chords: Iterable[ChordName], quote: Quote) -> list[tuple[Fraction, str]]:
    """Chord names as markup of our own, which draws real accidentals; a diagram stands over its name."""
    return [(chord.onset, _chord_word(chord, quote)) for chord in chords]


def _chord_word(chord: ChordName, quote: Quote) -> str:
    name = "#'(" + " ".join(map(quote, chord.parts)) + ")"
    if chord.diagram is None:
        return rf"\markup \chord-name {name}"
    return rf"\diagram \markup \chord-shape #'({grid_token(chord.diagram)}) {name}"


def grid_token(diagram: Diagram) -> str:
    """The options of style.ily's chord grid."""
    dots = " ".join(f"({d.string} {d.row} {d.finger} {'#t' if d.kept else '#f'})" for d in diagram.dots)
    barres = " ".join(f"({barre.from_string} {barre.to_string} {barre.row})" for barre in diagram.barres)
    return (
        f"(strings . {diagram.strings}) (first . {diagram.first}) (rows . {diagram.rows}) (dots . ({dots})) "
        f"(barres . ({barres})) (open . ({' '.join(map(str, diagram.open))})) "
        f"(muted . ({' '.join(map(str, diagram.muted))}))"
    )


def hand_lane(music: Music, quote: Quote) -> str:
    """Barres and shifts over the staff: rests without a sign, cut wherever one begins or ends; empty without any."""
    end = len(music.bars) * music.bar_length
    signs: dict[Fraction, list[str]] = {}
    for shift in music.shifts:
        signs.setdefault(shift.onset, []).append(rf"\handSign {quote(shift.fret)}")
    for barre in music.barres:
        words = quote(("C " if barre.full else "½C ") + barre.fret)
        if barre.last == barre.onset:
            signs.setdefault(barre.onset, []).append(rf"\handSign {words}")
        else:
            signs.setdefault(barre.last, []).insert(0, r"\stopTextSpan")
            signs.setdefault(barre.onset, []).append(rf"\barreFrom {words}")
    if not signs:
        return ""
    edges = sorted({Fraction(0), *signs, end})
    return " ".join(f"s{length_token(b - a)}{''.join(signs.get(a, []))}" for a, b in pairwise(edges))


CLOSING = r"\closingCue "


def cue_words(cues: Iterable[Cue], closing: frozenset[Fraction], quote: Quote) -> list[tuple[Fraction, str]]:
    """Cues as markup; those at the onsets *closing* claim room for their whole width."""
    return [(c.onset, rf"{CLOSING * (c.onset in closing)}\markup \cue {quote(c.words)}") for c in cues]


def closing_cues(music: Music, rung: Rung) -> frozenset[Fraction]:
    """The onsets of cues behind the last note of a system, which the layout found room for."""
    bounds = [*rung.system_starts[1:], len(music.bars) * music.bar_length]
    roomy = dict(zip(bounds, rung.cues_kept, strict=True))
    struck = sorted(item.onset for bar in music.bars for voice in bar for item in voice if item.notes)
    found = set()
    for cue in music.cues:
        end = next(bound for bound in bounds if cue.onset < bound)
        if roomy[end] and bisect_left(struck, cue.onset) == bisect_left(struck, end):
            found.add(cue.onset)
    return frozenset(found)
