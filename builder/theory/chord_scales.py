"""Which scale goes with a chord, in a key or by itself; which key a chord suggests.

Stage:    theory (pure)
In, Out:  `Chord`s and a `Key`; `Scale`s
Not here: what scales, keys and chords are (`harmony`)
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.theory.harmony import Chord, Key, Scale, parse_scale, printable


def fits_key(chord: Chord, key: Key) -> bool:
    """Whether every chord tone is in the key's scale; in minor a dominant may bring the raised seventh.

    Dominants are the chords on the fifth and on the raised seventh itself (our own reading: both lead home).
    """
    allowed = set(key.scale.notes)
    if key.mode in ("minor", "aeolian"):
        leading = key.tonic.up(6, 11)
        if chord.root in (key.tonic.up(4, 7), leading):
            allowed.add(leading)
    return all(note in allowed for note in chord.notes)


def chord_scale(chord: Chord, key: Key, how: str | Scale) -> Scale:
    """The scale to play over *chord*: *how* is `key`, `chord`, `auto` (this chord alone decides), a name or a scale.

    With `key`, a chord tone that differs from the key replaces the note of the same letter.
    """
    if isinstance(how, Scale):
        return how
    if how == "auto":
        how = "key" if fits_key(chord, key) else "chord"
    if how == "key":
        return key.scale.with_tones(chord.notes)
    if how == "chord":
        return parse_scale(f"{chord.root} {chord.own_scale}").with_tones(chord.notes)
    return parse_scale(how)


def chord_scales(chords: Sequence[Chord], key: Key, how: str | Scale) -> tuple[Scale, ...]:
    """The scale of each chord; with `auto` the key's if every chord fits it, otherwise each chord's own."""
    if how == "auto":
        how = "key" if all(fits_key(chord, key) for chord in chords) else "chord"
    return tuple(chord_scale(chord, key, how) for chord in chords)


def key_of_chord(chord: Chord) -> Key:
    """The key an exercise takes from its first chord: the root, minor if the third is."""
    minor = chord.root.up(2, 3) in chord.notes
    return printable(Key(chord.root, "minor" if minor else "major"))
