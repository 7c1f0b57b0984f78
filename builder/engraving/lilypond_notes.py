"""Notes as LilyPond reads them: pitches, values, ties, brackets, beams, strings, strokes, breaks.

Stage:    5 engrave (pure)
In, Out:  a `Music` and a `Rung`; token strings for staff, tablature, chord and cue lanes
Units:    LilyPond's own; pitches are sounding, the clef carries the octave
Not here: the page around the notes and text from users, which only passes through `lilypond_source.ly_string`
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from builder.pages import ChordName, Cue, Item, Music, Rung, Value
from builder.theory.fretboard import Instrument
from builder.theory.pitch import NATURALS, NoteName, Pitch
from builder.theory.score import Note

Side = Literal["staff", "tab"]
Quote = Callable[[str], str]  # the escaping filter of `lilypond_source`
_LETTERS = "cdefgab"
_C3 = 3  # the octave LilyPond writes without a mark


def pitch_token(pitch: Pitch) -> str:
    """The pitch in LilyPond's Dutch names: `C#4` is `cis'`.

    >>> [pitch_token(Pitch.parse(p)) for p in ("C#4", "Bbb3", "E2", "F##5")]
    ["cis'", 'beses', 'e,', "fisis''"]
    """
    marks = pitch.octave - _C3
    return name_token(pitch.name) + ("'" * marks if marks > 0 else "," * -marks)


def name_token(name: NoteName) -> str:
    """A note name in LilyPond's Dutch: `F#` is `fis`, `Eb` is `ees`."""
    return _LETTERS[name.letter] + ("is" * name.alter if name.alter > 0 else "es" * -name.alter)


def value_token(value: Value) -> str:
    """The number LilyPond knows a note value by, with its dots."""
    return f"{value.base}{'.' * value.dots}"


def length_token(length: Fraction) -> str:
    """Any length for skips and lane words: `1*3/16`."""
    return f"1*{length.numerator}/{length.denominator}"


def tuning_token(instrument: Instrument) -> str:
    """The open strings as they sound with the capo on, last string first, as `\\stringTuning` wants them."""
    order = range(instrument.strings, 0, -1)
    return "<" + " ".join(pitch_token(_natural_pitch(instrument.open_midi(string))) for string in order) + ">"


def _natural_pitch(midi: int) -> Pitch:
    """Any spelling of *midi* does for a tuning: the natural at or below it, sharpened."""
    letter = max(k for k in range(7) if NATURALS[k] <= midi % 12)
    return Pitch(NoteName(letter, midi % 12 - NATURALS[letter]), midi // 12 - 1)


@dataclass(frozen=True, slots=True)
class Breaks:
    """Where systems and sides begin."""

    systems: frozenset[Fraction]
    sides: frozenset[Fraction]

    @classmethod
    def of(cls, rung: Rung) -> Breaks:
        """The breaks of a rung; none before the very first system."""
        return cls(frozenset(rung.system_starts[1:]), frozenset(rung.turns))

    def at(self, onset: Fraction) -> str:
        """The command that ends a system before *onset*, empty where it goes on."""
        if onset in self.sides:
            return r"\pageBreak"
        return r"\break" if onset in self.systems else ""


@dataclass(frozen=True, slots=True)
class Writer:
    """Writes the notes of one study; *known* keeps bars already written, which most rungs of its ladder share."""

    music: Music
    quote: Quote
    known: dict[tuple[Side, int, int, bool], str]

    def voices(self, rung: Rung, side: Side) -> str:
        """All voices of the staff or the tablature."""
        count = len(self.music.bars[0])
        texts = [self._voice(rung, side, number) for number in range(count)]
        if count == 1:
            return texts[0]
        context = "Voice" if side == "staff" else "TabVoice"
        names = [r"\voiceOne", r"\voiceTwo", r"\voiceThree", r"\voiceFour"]
        if side == "staff":
            names[1] += r" \lowerFingers"
        parts = (f"\\new {context} {{ {name} {text} }}" for name, text in zip(names, texts, strict=False))
        return "<<\n" + "\n".join(parts) + "\n>>"

    def _voice(self, rung: Rung, side: Side, number: int) -> str:
        """One voice; the first one of the staff also carries barlines, breaks, labels and octave lines."""
        leads = side == "staff" and number == 0
        breaks, shown = Breaks.of(rung), _first_bars(self.music, rung)
        lines = [rf"\stem{self.music.stems.title()}"] if side == "staff" and self.music.stems else []
        for bar in range(1, len(self.music.bars) + 1):
            text = self._bar(bar, side, number, bar in shown, breaks if leads else None)
            before, after = (self._signs(bar), breaks.at(bar * self.music.bar_length)) if leads else ("", "")
            lines.append(" ".join(part for part in (before, text, "|", after) if part))
        if leads and self.music.repeats:
            lines = [r'\bar ".|:"', *lines, r'\bar ":|."']
        elif leads:
            lines.append(r'\bar "|."')
        return "\n          ".join(lines)

    def _signs(self, bar: int) -> str:
        """What stands at the beginning of a bar: a section label, the start or end of an octave line."""
        label = dict(self.music.labels).get(bar)
        signs = [rf"\sectionLabel \markup \pass-label {self.quote(label)}"] if label else []
        up, before = bar in self.music.octave_up, bar - 1 in self.music.octave_up
        if up != before:
            signs.append(rf"\ottava #{int(up)}")
        return " ".join(signs)

    def _bar(self, bar: int, side: Side, number: int, all_strokes: bool, breaks: Breaks | None) -> str:
        voice = self.music.bars[bar - 1][number]
        if breaks and any(breaks.at(item.onset) for item in voice[1:]):
            return self._written(bar, side, number, all_strokes, breaks)
        key = (side, number, bar, all_strokes)
        if key not in self.known:
            self.known[key] = self._written(bar, side, number, all_strokes, None)
        return self.known[key]

    def _written(self, bar: int, side: Side, number: int, all_strokes: bool, breaks: Breaks | None) -> str:
        words: list[str] = []
        silent = bar == 1 or not self.music.bars[bar - 2][number][-1].notes
        for place, item in enumerate(self.music.bars[bar - 1][number]):
            if place and breaks and breaks.at(item.onset):
                words.append(rf'\bar "" {breaks.at(item.onset)}')
            if item.opens:
                words.append(rf"\tuplet {item.opens[0]}/{item.opens[1]} {{")
            words.append(_item_text(item, self.music, side, all_strokes, silent))
            if item.closes:
                words.append("}")
            silent = not item.notes
        return " ".join(words)


def _first_bars(music: Music, rung: Rung) -> frozenset[int]:
    """The bars in which inner strokes are shown: the first of each system."""
    return frozenset(int(start / music.bar_length) + 1 for start in rung.system_starts)


def _item_text(item: Item, music: Music, side: Side, all_strokes: bool, after_rest: bool) -> str:
    if item.full_bar:
        return f"R{length_token(music.bar_length)}"
    value = value_token(item.value)
    if not item.notes:
        return f"r{value}"
    beam = item.beam if side == "staff" else ""
    if side == "staff":
        marks = "->" if item.fresh and any(note.accent for note in item.notes) else ""
    else:
        marks = _stroke_text(item, all_strokes, after_rest)
    heads = [_head_text(note, held, item.fresh, side) for note, held in zip(item.notes, item.held, strict=True)]
    if len(heads) == 1:
        # A single note carries its signs behind its value, a chord's notes carry them inside the brackets.
        pitch, signs = heads[0]
        return f"{pitch}{value}{signs}{marks}{beam}"
    return "<" + " ".join(pitch + signs for pitch, signs in heads) + f">{value}{marks}{beam}"


def _head_text(note: Note, held: bool, fresh: bool, side: Side) -> tuple[str, str]:
    signs = f"\\{note.string}" if side == "tab" else ""
    if side == "staff" and fresh and note.finger_printed and not note.tied:
        signs = f"-{note.finger}"
    return pitch_token(note.pitch), signs + ("~" if held else "")


_STROKES = {"down": "Down", "up": "Up"}


def _stroke_text(item: Item, all_strokes: bool, after_rest: bool) -> str:
    """The stroke over the tablature: large where a burst begins or lands, else small in a system's first bar."""
    note = item.notes[0]
    name = _STROKES.get(note.stroke or "")
    if not item.fresh or name is None:
        return ""
    if note.accent or after_rest:
        return rf"\stroke{name}"
    return rf"\stroke{name}Small" if all_strokes else ""


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
    """Chord names as markup of our own, which draws real accidentals."""
    return [(c.onset, r"\markup \chord-name #'(" + " ".join(map(quote, c.parts)) + ")") for c in chords]


def cue_words(cues: Iterable[Cue], closing: frozenset[Fraction], quote: Quote) -> list[tuple[Fraction, str]]:
    """Cues as markup; those at the onsets *closing* claim room for their whole width."""
    return [(c.onset, rf"{CLOSING * (c.onset in closing)}\markup \cue {quote(c.words)}") for c in cues]


CLOSING = r"\closingCue "


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
