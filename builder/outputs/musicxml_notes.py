"""One written note, chord or rest as MusicXML's `note` elements.

Stage:    7 write
In, Out:  `Item`s of a bar as the page writes them; elements for the staff or the tablature
Units:    durations in divisions of a quarter note; string 1 is the highest-sounding one, as in MusicXML
Source:   MusicXML 4.0 (W3C Community Group, 2021): down-bow and up-bow also stand for pick strokes, `pluck` is for
          p i m a, `fingering` for the fretting hand
Not here: measures, directions, chords (`musicxml`)
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Literal
from xml.etree.ElementTree import Element, SubElement

from builder.pages import Item
from builder.theory.pitch import LETTERS, Pitch
from builder.theory.score import Note

Side = Literal["staff", "tab"]
Key = tuple[Fraction, int, int]  # onset of a written piece, string, pitch: one note of one item

_TYPES = {1: "whole", 2: "half", 4: "quarter", 8: "eighth", 16: "16th", 32: "32nd", 64: "64th", 128: "128th"}
_BOWS = {"down": "down-bow", "up": "up-bow"}
_SLURS = {"hammer-on": "H", "pull-off": "P"}
_ACCIDENTALS = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}
_FIRST_FLAG = 8


@dataclass(frozen=True, slots=True)
class Voice:
    """A voice of the whole study as written, and how its notes hang together.

    *beams* are the words of each beam by onset; *ratios* the tuplet each piece stands in; *ended* the notes a tie leads
    to; *next_slurred* and *before* the note after and before on the same string, where the later one is slurred.
    """

    number: int
    alone: bool
    items: tuple[Item, ...]
    beams: Mapping[Fraction, tuple[str, ...]]
    ratios: Mapping[Fraction, tuple[int, int]]
    ended: Collection[Key]
    next_slurred: Mapping[Key, Note]
    before: Mapping[Key, Note]
    slides_end: Collection[Fraction]

    @classmethod
    def of(cls, number: int, alone: bool, items: tuple[Item, ...]) -> Voice:
        """Work out the voice of *items*."""
        after, before = _string_neighbours(items)
        return cls(
            number,
            alone,
            items,
            dict(_beams(items)),
            dict(_ratios(items)),
            frozenset(_ended(items)),
            after,
            before,
            frozenset(b.onset for a, b in pairwise(items) if a.join.slides),
        )


def _key(item: Item, note: Note) -> Key:
    return item.onset, note.string, note.pitch.midi


def _ended(items: Sequence[Item]) -> Iterator[Key]:
    held: set[tuple[int, Pitch]] = set()
    for item in items:
        for note in item.notes:
            if (note.string, note.pitch) in held:
                yield _key(item, note)
        held = {(note.string, note.pitch) for note, leads in zip(item.notes, item.held, strict=False) if leads}


def _string_neighbours(items: Sequence[Item]) -> tuple[dict[Key, Note], dict[Key, Note]]:
    """Pairs of notes on one string of which the later is slurred: the later by the earlier, and the other way round."""
    after: dict[Key, Note] = {}
    before: dict[Key, Note] = {}
    last: dict[int, tuple[Item, Note]] = {}
    for item in items:
        if not item.notes:
            last.clear()
        for note in item.notes:
            if item.fresh and note.slurred and note.string in last:
                source, earlier = last[note.string]
                after[_key(source, earlier)] = note
                before[_key(item, note)] = earlier
            last[note.string] = item, note
    return after, before


def _ratios(items: Sequence[Item]) -> Iterator[tuple[Fraction, tuple[int, int]]]:
    now: tuple[int, int] | None = None
    for item in items:
        now = item.opens or now
        if now:
            yield item.onset, now
        if item.closes:
            now = None


def _beams(items: Sequence[Item]) -> Iterator[tuple[Fraction, tuple[str, ...]]]:
    run: list[Item] = []
    for item in items:
        if run or item.beam == "[":
            run.append(item)
        if item.beam == "]":
            yield from _beam_words(run)
            run = []


def _beam_words(run: Sequence[Item]) -> Iterator[tuple[Fraction, tuple[str, ...]]]:
    """Each beam of each note of one beamed run: begins, goes on, ends, or is a hook where neighbours lack it."""
    counts = [item.value.base.bit_length() - _FIRST_FLAG.bit_length() + 1 for item in run]
    for place, item in enumerate(run):
        words = []
        for level in range(1, counts[place] + 1):
            left = place > 0 and counts[place - 1] >= level
            right = place + 1 < len(run) and counts[place + 1] >= level
            hook = "backward hook" if place else "forward hook"
            words.append({(0, 1): "begin", (1, 1): "continue", (1, 0): "end", (0, 0): hook}[left, right])
        yield item.onset, tuple(words)


# --- elements ---------------------------------------------------------------------------------------------------------


def note_elements(
    item: Item, voice: Voice, side: Side, divisions: int, accidentals: Mapping[Key, int]
) -> Iterator[Element]:
    """Yield the notes of *item*, or its rest; *accidentals* holds the signs printed in this bar."""
    for place, note in enumerate(item.notes or (None,)):
        element = Element("note")
        if place:
            SubElement(element, "chord")
        if note:
            _pitch(element, note.pitch)
        else:
            SubElement(element, "rest", {"measure": "yes"} if item.full_bar else {})
        SubElement(element, "duration").text = str(item.length * 4 * divisions)
        ties = _ties(item, place, voice)
        for kind in ties:
            SubElement(element, "tie", type=kind)
        SubElement(element, "voice").text = str(voice.number)
        _value(element, item, voice, side, note, accidentals)
        if not place and side == "staff":
            for level, word in enumerate(voice.beams.get(item.onset, ()), start=1):
                SubElement(element, "beam", number=str(level)).text = word
        notations = _notations(item, place, voice, side, ties)
        if len(notations):
            element.append(notations)
        yield element


def _pitch(parent: Element, pitch: Pitch) -> None:
    element = SubElement(parent, "pitch")
    SubElement(element, "step").text = LETTERS[pitch.name.letter]
    if pitch.name.alter:
        SubElement(element, "alter").text = str(pitch.name.alter)
    SubElement(element, "octave").text = str(pitch.octave)


def _ties(item: Item, place: int, voice: Voice) -> list[str]:
    if not item.notes:
        return []
    ends = _key(item, item.notes[place]) in voice.ended
    return ["stop"] * ends + ["start"] * item.held[place]


def _value(
    element: Element, item: Item, voice: Voice, side: Side, note: Note | None, accidentals: Mapping[Key, int]
) -> None:
    """Note value, dots, accidental, tuplet, stem and head."""
    if not item.full_bar:
        SubElement(element, "type").text = _TYPES[item.value.base]
        for _ in range(item.value.dots):
            SubElement(element, "dot")
    if note and side == "staff" and _key(item, note) in accidentals:
        SubElement(element, "accidental").text = _ACCIDENTALS[accidentals[_key(item, note)]]
    ratio = voice.ratios.get(item.onset)
    if ratio:
        modification = SubElement(element, "time-modification")
        SubElement(modification, "actual-notes").text = str(ratio[0])
        SubElement(modification, "normal-notes").text = str(ratio[1])
    if note and side == "tab":
        SubElement(element, "stem").text = "none"
    elif note and not voice.alone:
        SubElement(element, "stem").text = "up" if voice.number == 1 else "down"
    if note and side == "staff" and note.technique == "harmonic":
        SubElement(element, "notehead").text = "diamond"


def _notations(item: Item, place: int, voice: Voice, side: Side, ties: Sequence[str]) -> Element:
    notations = Element("notations")
    for kind in ties:
        SubElement(notations, "tied", type=kind)
    if not place:
        _spans(notations, item, voice, side)
    if not item.notes:
        return notations
    note = item.notes[place]
    if item.onset in voice.slides_end and note.technique == "slide":
        SubElement(notations, "slide", {"type": "stop", "number": str(note.string), "line-type": "solid"})
    if item.join.slides:
        SubElement(notations, "slide", {"type": "start", "number": str(note.string), "line-type": "solid"})
    technical = Element("technical")
    _technical(technical, item, note, voice, side)
    if len(technical):
        notations.append(technical)
    if not place and item.fresh and side == "staff" and any(other.accent for other in item.notes):
        SubElement(SubElement(notations, "articulations"), "accent")
    return notations


def _spans(notations: Element, item: Item, voice: Voice, side: Side) -> None:
    """Slurs and tuplets that begin or end with the item."""
    arc = item.join.staff if side == "staff" else item.join.tab
    if arc:
        SubElement(notations, "slur", type="start" if arc == "(" else "stop", number=str(voice.number))
    if item.opens:
        bracket = "yes" if side == "staff" else "no"
        shown = {} if side == "staff" else {"show-number": "none"}
        SubElement(notations, "tuplet", {"type": "start", "number": "1", "bracket": bracket, **shown})
    if item.closes:
        SubElement(notations, "tuplet", type="stop", number="1")


def _technical(technical: Element, item: Item, note: Note, voice: Voice, side: Side) -> None:
    """What both hands do, on the side where the page shows it: fingers on the staff, the rest in the tablature.

    On a staff, programs would print every string's number over its note.
    """
    begins = item.fresh and not note.tied
    if begins and note.technique == "harmonic":
        harmonic = SubElement(technical, "harmonic")
        SubElement(harmonic, "natural")
        SubElement(harmonic, "sounding-pitch")
    if side == "staff":
        if begins and note.finger_printed:
            SubElement(technical, "fingering").text = str(note.finger)
        return
    SubElement(technical, "string").text = str(note.string)
    SubElement(technical, "fret").text = str(note.fret)
    if begins:
        _played(technical, note, voice.before.get(_key(item, note)))
    later = voice.next_slurred.get(_key(item, note))
    if later and later.technique in _SLURS:
        _slur_sign(technical, later, "start")


def _played(technical: Element, note: Note, before: Note | None) -> None:
    """How *note* is struck, or reached from the note *before* it on its string; a slur's end before another's start."""
    if note.stroke in _BOWS:
        SubElement(technical, _BOWS[note.stroke])
    elif note.stroke:
        SubElement(technical, "pluck").text = note.stroke
    if note.technique in _SLURS:
        _slur_sign(technical, note, "stop" if before else None)
    elif note.technique == "bend" and before:
        bend = SubElement(technical, "bend")
        SubElement(bend, "bend-alter").text = str(note.pitch.midi - before.pitch.midi)
        if note.pitch.midi < before.pitch.midi:
            SubElement(bend, "release")


def _slur_sign(technical: Element, note: Note, kind: str | None) -> None:
    """A hammer-on or pull-off from one note to the next; without a note to come from it has no first end."""
    technique = note.technique or ""
    if kind is None:
        SubElement(technical, "other-technical").text = technique
    else:
        # The letter belongs over the slur's middle; the format has it at its start.
        letter = _SLURS[technique] if kind == "start" else None
        SubElement(technical, technique, type=kind, number=str(note.string)).text = letter
