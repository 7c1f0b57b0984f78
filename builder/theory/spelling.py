"""How a sound is spelled: as its key has it, else by the way the music goes.

Stage:    theory (pure)
In, Out:  MIDI note numbers and a `Key`; `Pitch`es
"""

from __future__ import annotations

from builder.theory.harmony import Key
from builder.theory.pitch import NoteName, Pitch, lowest_at_or_above


def spell(midi: int, key: Key | None, rising: bool) -> Pitch:
    """Spell a sound as in the key (its scale, then its signature); else natural, sharp going up, flat going down.

    >>> from builder.theory.harmony import parse_key
    >>> d_minor = parse_key("D minor")
    >>> [str(spell(m, d_minor, rising=True)) for m in (58, 59, 61)], str(spell(61, d_minor, rising=False))
    (['Bb3', 'B3', 'C#4'], 'Db4')
    """
    known = _named_by(key) if key else ()
    naturals = tuple(NoteName(letter) for letter in range(7))
    altered = tuple(NoteName(letter, 1 if rising else -1) for letter in range(7))
    name = next(name for name in (*known, *naturals, *altered) if name.pitch_class == midi % 12)
    return lowest_at_or_above(name, midi)


def _named_by(key: Key) -> tuple[NoteName, ...]:
    signature = Key(key.parent_major, "major").scale.notes
    # A chromatic scale names every sound; only its signature says how the key spells them.
    return signature if key.mode == "chromatic" else (*key.scale.notes, *signature)


def spell_between(first: int, last: int, key: Key | None) -> tuple[Pitch, ...]:
    """Every semitone from MIDI note *first* to *last*, both included, spelled for the way it goes."""
    rising = last >= first
    return tuple(spell(midi, key, rising) for midi in range(first, last + (1 if rising else -1), 1 if rising else -1))
