"""What clefs and signatures say of a staff, and how large its spaces are.

Stage:    4 lay out (pure)
Units:    staff places count letters above C0; millimetres
"""

from __future__ import annotations

from functools import cache

from builder.theory.pitch import NoteName

_PT_MM = 25.4 / 72.27  # LilyPond's point

# Sounding note on the middle line, as letters above C0: B4 in the treble clef, D3 in the bass clef; an octave lower
# where the clef carries an 8 below.
_MIDDLE_LINES = {"treble": 34, "treble_8": 27, "bass": 22, "bass_8": 15, "alto": 28, "tenor": 26}


def middle_line(clef: str) -> int:
    """The sounding staff place of the middle line under *clef*."""
    return _MIDDLE_LINES[clef]


@cache
def signature_names(signature: int) -> frozenset[NoteName]:
    """The notes a signature of so many sharps (flats: negative) prints without accidentals."""
    sharps, flats = "FCGDAEB", "BEADGCF"
    altered = sharps[:signature] if signature > 0 else flats[:-signature]
    sign = 1 if signature > 0 else -1
    return frozenset(NoteName("CDEFGAB".index(letter), sign if letter in altered else 0) for letter in "CDEFGAB")


def space_mm(staff_size: float) -> float:
    """A staff space in millimetres."""
    return staff_size / 4 * _PT_MM
