"""Notes as LilyPond reads them: pitches, values, ties, brackets, beams, slurs, strings, strokes, breaks.

Stage:    5 engrave (pure)
In, Out:  a `Music` and a `Rung`; token strings for staff and tablature
Units:    LilyPond's own; pitches are sounding, the clef carries the octave
Not here: lanes over and under the staves (`lilypond_lanes`), the page around them, and text from users, which only
          passes through `lilypond_source.ly_string`
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from builder.pages import Item, Music, Rung, Value
from builder.pages.staff import signature_names
from builder.theory.fretboard import Instrument
from builder.theory.harmony import fifths
from builder.theory.pitch import NATURALS, NoteName, Pitch
from builder.theory.score import Note

Side = Literal["staff", "tab"]
Head = tuple[str, str, str, str]  # what stands before it, its pitch, its signs, its tie
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
        names[1] += r" \lowerMarks" if side == "staff" or self._alone else ""
        names[1] += r" \lowerLetters" if side == "tab" and self.music.lane_below else ""
        if side == "tab" and self._alone:
            names = [rf"{name} \overStems" for name in names]
        parts = (f"\\new {context} {{ {name} {text} }}" for name, text in zip(names, texts, strict=False))
        return "<<\n" + "\n".join(parts) + "\n>>"

    def _voice(self, rung: Rung, side: Side, number: int) -> str:
        """One voice; the first one of the first staff also carries barlines, breaks, labels and octave lines."""
        first = self._timed(side)
        leads = first and number == 0
        breaks, shown = Breaks.of(rung), _first_bars(self.music, rung)
        lines = [rf"\stem{self.music.stems.title()}"] if first and self.music.stems else []
        if side == "tab" and number == 0 and self._slurred:
            lines.append(r"\slurLane")
        for bar in range(1, len(self.music.bars) + 1):
            text = self._bar(bar, side, number, bar in shown, breaks if leads else None)
            before, after = (self._signs(bar), breaks.at(bar * self.music.bar_length)) if leads else ("", "")
            lines.append(" ".join(part for part in (before, text, "|", after) if part))
        if leads and self.music.repeats:
            lines = [r'\bar ".|:"', *lines, r'\bar ":|."']
        elif leads:
            lines.append(r'\bar "|."' if self.music.whole else r'\bar "|"')
        return "\n          ".join(lines)

    @property
    def _alone(self) -> bool:
        """Whether one staff says everything."""
        return self.music.notation != "both"

    def _timed(self, side: Side) -> bool:
        """Whether values are read on *side*: stems, beams, barlines."""
        return side == "staff" or self._alone

    @property
    def _slurred(self) -> bool:
        return any(item.join.tab for bar in self.music.bars for voice in bar for item in voice)

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
        reminded: set[Pitch] | None = None  # behind a break inside the bar: pitches whose signs stand on that line
        silent = bar == 1 or not self.music.bars[bar - 2][number][-1].notes
        for place, item in enumerate(self.music.bars[bar - 1][number]):
            if place and breaks and breaks.at(item.onset):
                words.append(rf'\bar "" {breaks.at(item.onset)}')
                reminded = set()
            if item.opens:
                words.append(rf"\tuplet {item.opens[0]}/{item.opens[1]} {{")
            marks = self._marks(item, bar, side, number, all_strokes, silent)
            words.append(self._item(item, side, marks, reminded))
            if item.closes:
                words.append("}")
            silent = not item.notes
        return " ".join(words)

    def _marks(self, item: Item, bar: int, side: Side, number: int, all_strokes: bool, after_rest: bool) -> str:
        """What stands over or under a note as a whole: accents on the staff, the plucking hand over the tablature."""
        if not item.notes:
            return ""
        join = item.join
        arc = (join.staff if side == "staff" else join.tab) + r"\glissando" * join.slides
        accent = "->" if self._timed(side) and item.fresh and any(note.accent for note in item.notes) else ""
        if side == "staff" and not self._alone:
            return accent + arc
        bent = self._bent(item) if side == "staff" else ""
        return accent + bent + self._plucking_hand(item, bar, number, all_strokes, after_rest) + arc

    def _plucking_hand(self, item: Item, bar: int, number: int, all_strokes: bool, after_rest: bool) -> str:
        """How a note is struck, or by which slur it is reached."""
        join = item.join
        if not item.fresh:
            hand = ""
        elif join.source is not None:
            hand = self._slur_letter(item, join.source, number)
        else:
            told = all_strokes or bar in self.music.told_bars
            hand = _pluck_text(item, number, told, self.quote)
            if not hand and not (number and self._stroked_above(bar, item.onset)):
                hand = _stroke_text(item, told, after_rest)
        return hand

    def _bent(self, item: Item) -> str:
        """Over a staff without tablature: how far a string is bent, or that it is let back."""
        for note in item.notes:
            if note.technique == "bend" and item.fresh:
                way = note.pitch.midi - self.music.instrument.open_midi(note.string) - note.fret
                return rf"\bentTo {self.quote(_whole_tones(way))}" if way > 0 else r"\letBack"
        return ""

    def _stroked_above(self, bar: int, onset: Fraction) -> bool:
        """Whether the first voice is struck at *onset*: one stroke serves all voices."""
        first = self.music.bars[bar - 1][0]
        return any(item.onset == onset and item.fresh and item.notes and item.notes[0].stroke for item in first)

    def _slur_letter(self, item: Item, source: Fraction, number: int) -> str:
        letters = dict(self.music.letters)
        letter = next((letters[note.technique] for note in item.notes if note.technique in letters), None)
        return rf"{_lane(number)}\slurLetter {number_token(source)} {self.quote(letter)}" if letter else ""

    def _item(self, item: Item, side: Side, marks: str, reminded: set[Pitch] | None) -> str:
        if item.full_bar:
            return f"R{length_token(self.music.bar_length)}"
        value = value_token(item.value)
        if not item.notes:
            return f"r{value}"
        beam = item.beam if self._timed(side) else ""
        write = self._staff_head if side == "staff" else self._tab_head
        heads = [(*write(note, item), "~" * held) for note, held in zip(item.notes, item.held, strict=True)]
        if reminded is not None and side == "staff":
            heads = [self._with_sign(head, note, item, reminded) for head, note in zip(heads, item.notes, strict=True)]
        if len(heads) == 1:
            # A single note carries its signs behind its value, a chord's notes carry them inside the brackets.
            before, pitch, signs, tie = heads[0]
            return f"{before}{pitch}{value}{signs}{tie}{marks}{beam}"
        return "<" + " ".join("".join(head) for head in heads) + f">{value}{marks}{beam}"

    def _with_sign(self, head: Head, note: Note, item: Item, reminded: set[Pitch]) -> Head:
        """The head with its sign once more, where it stands on the line before: few players look back for it."""
        before, pitch, signs, tie = head
        altered = note.pitch.name not in signature_names(fifths(self.music.signature))
        if not altered or not item.fresh or note.pitch in reminded:
            return head
        reminded.add(note.pitch)
        return before, f"{pitch}!", signs, tie

    def _staff_head(self, note: Note, item: Item) -> tuple[str, str, str]:
        """What stands before a note, its pitch, and its signs."""
        signs = _finger_text(note, item)
        if item.fresh and (item.onset, note.string) in self.music.circled and not note.tied:
            signs += f"\\{note.string}"
        return "", pitch_token(note.pitch), signs + r"\harmonic" * (note.technique == "harmonic")

    def _tab_head(self, note: Note, item: Item) -> tuple[str, str, str]:
        """The same in tablature, which shows the fret that is touched, whatever sounds there."""
        before, pitch, string = self._tab_digit(note, item)
        return before, pitch, string + (_finger_text(note, item) if self._alone else "")

    def _tab_digit(self, note: Note, item: Item) -> tuple[str, str, str]:
        """What stands before a fret, the pitch that LilyPond finds it by, and its string."""
        if note.technique not in ("bend", "harmonic"):
            return "", pitch_token(note.pitch), f"\\{note.string}"
        fretted = self.music.instrument.open_midi(note.string) + note.fret
        pitch = pitch_token(_natural_pitch(fretted))
        if note.technique == "harmonic":
            return "", pitch, rf"\{note.string}\harmonic"
        if not item.fresh:
            return "", pitch, f"\\{note.string}"
        source = number_token(item.onset if item.join.source is None else item.join.source)
        if note.pitch.midi > fretted:
            goal = self.quote(_whole_tones(note.pitch.midi - fretted))
            return rf"\bendUp {source} {goal} ", pitch, f"\\{note.string}"
        return rf"\bendBack {source} ", pitch, f"\\{note.string}"


def number_token(number: Fraction) -> str:
    """A number for Scheme: `#3/16`."""
    return f"#{number.numerator}/{number.denominator}"


def _whole_tones(semitones: int) -> str:
    """An interval as printed over a bend: `1½`.

    >>> [_whole_tones(n) for n in (1, 2, 3, 4)]
    ['½', '1', '1½', '2']
    """
    whole, half = divmod(semitones, 2)
    return (str(whole) if whole else "") + "½" * half


def _finger_text(note: Note, item: Item) -> str:
    """The finger of a note, with a dash before it where it slid there."""
    if not item.fresh or not note.finger_printed or note.tied:
        return ""
    # The blank ends the number: Scheme would take a stress that follows for part of it.
    return rf"\guideFinger #{note.finger} " if note.guide else f"-{note.finger}"


def _first_bars(music: Music, rung: Rung) -> frozenset[int]:
    """The bars in which inner strokes are shown: the first of each system."""
    return frozenset(int(start / music.bar_length) + 1 for start in rung.system_starts)


_STROKES = {"down": "Down", "up": "Up"}
_STRUM = 3  # notes struck together: from here on the direction is not a matter of course


def _stroke_text(item: Item, told: bool, after_rest: bool) -> str:
    """The stroke over the tablature: large where a burst begins or lands, else small where it is told anew.

    Over a strummed chord it is always there.
    """
    note = item.notes[0]
    name = _STROKES.get(note.stroke or "")
    if name is None:
        return ""
    if note.accent or after_rest:
        return rf"\stroke{name}"
    if len(item.notes) >= _STRUM:
        return rf"\stroke{name}Strum"
    return rf"\stroke{name}Small" if told else ""


def _lane(number: int) -> str:
    """The side of the tablature on which letters stand: a lower voice has its own lane below."""
    return "_" if number else "^"


_PLUCKING = "pima"


def _pluck_text(item: Item, number: int, told: bool, quote: Quote) -> str:
    """The letters of the plucking hand, thumb first: over the tablature, for the lower voice under it."""
    letters = "".join(letter for letter in _PLUCKING if any(note.stroke == letter for note in item.notes))
    if not letters or not (told or any(note.accent for note in item.notes)):
        return ""
    return rf"{_lane(number)}\pluck {quote(letters)}"
