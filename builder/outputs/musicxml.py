"""A study as MusicXML 4.0: a staff and a tablature, for any notation program.

Stage:    7 write
In, Out:  a `Study`; the bytes of one uncompressed document of two parts
Units:    durations in divisions of a quarter note, as few as the study needs
Source:   MusicXML 4.0 (W3C Community Group, 2021). Pitches are as they sound: a clef with an 8 changes the octave read,
          not the octave written down. Tuning is given without the capo, from the lowest line up
Not here: how time is written (`pages.notation`), notes (`musicxml_notes`), chords (`musicxml_chords`)

Written by hand instead of through a music library: values, dots, tuplets and beams are then those of the page, and no
second opinion on notation stands between the two. Libraries read it back in the tests.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from xml.etree import ElementTree
from xml.etree.ElementTree import Element, SubElement

from builder.outputs.musicxml_chords import harmony
from builder.outputs.musicxml_notes import Key, Side, Voice, note_elements
from builder.outputs.sound import Sound
from builder.pages import Item, joined, written_bars
from builder.theory.fretboard import Instrument
from builder.theory.harmony import parse_key
from builder.theory.pitch import LETTERS
from builder.theory.score import Rest, Study

_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">\n'
)
_CLEFS = {"treble_8": ("G", 2, -1), "treble": ("G", 2, 0), "bass_8": ("F", 4, -1), "bass": ("F", 4, 0)}
_UNITS = {1: "whole", 2: "half", 4: "quarter", 8: "eighth", 16: "16th"}
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # XML 1.0, 2.2
_PARTS: tuple[tuple[Side, str], ...] = (("staff", "P1"), ("tab", "P2"))


@dataclass(frozen=True, slots=True)
class Credit:
    """Who made the book and what may be done with it; empty = not said."""

    author: str = ""
    licence: str = ""


@dataclass(frozen=True, slots=True)
class _Written:
    """A study as written: its voices, its bars, what stands beside the notes."""

    study: Study
    bars: tuple[tuple[tuple[Item, ...], ...], ...]
    voices: tuple[Voice, ...]
    divisions: int
    beside: tuple[tuple[Fraction, Element], ...]


def study_musicxml(study: Study, sound: Sound, cues: Mapping[str, str], credit: Credit) -> bytes:
    """Return the document; *cues* holds the printed words of each cue."""
    written = _written(study, cues)
    root = Element("score-partwise", version="4.0")
    SubElement(SubElement(root, "work"), "work-title").text = _text(study.title)
    root.append(_identification(study, credit))
    parts = SubElement(root, "part-list")
    for side, key in _PARTS:
        parts.append(_score_part(key, side, study.instrument, sound))
    for side, key in _PARTS:
        part = SubElement(root, "part", id=key)
        part.extend(_measure(written, number, side) for number in range(1, study.bars + 1))
    ElementTree.indent(root, " ")
    return (_HEAD + ElementTree.tostring(root, encoding="unicode") + "\n").encode("utf-8")


def _text(text: str) -> str:
    return _NOT_XML.sub("", text)


def _written(study: Study, cues: Mapping[str, str]) -> _Written:
    bars = joined(written_bars(study))
    numbers = range(len(bars[0]))
    voices = tuple(
        Voice.of(number + 1, len(numbers) == 1, tuple(item for bar in bars for item in bar[number]))
        for number in numbers
    )
    edges = [length for voice in voices for item in voice.items for length in (item.onset, item.length)]
    edges += [mark.onset for mark in study.chords]
    divisions = lcm(*((edge * 4).denominator for edge in edges))
    return _Written(study, bars, voices, divisions, tuple(_beside(study, cues)))


# --- the head ---------------------------------------------------------------------------------------------------------


def _identification(study: Study, credit: Credit) -> Element:
    element = Element("identification")
    if credit.author:
        SubElement(element, "creator", type="composer").text = _text(credit.author)
    if credit.licence:
        SubElement(element, "rights").text = _text(credit.licence)
    SubElement(SubElement(element, "encoding"), "software").text = "etudebook"
    more = SubElement(element, "miscellaneous")
    steps = " ".join(map(str, study.tempo_steps))
    for name, value in (("study", study.id), ("aim", _text(study.aim)), ("tempo-steps", steps)):
        SubElement(more, "miscellaneous-field", name=name).text = value
    return element


def _score_part(key: str, side: Side, instrument: Instrument, sound: Sound) -> Element:
    """A part and its instrument; the tablature is silent, so that nothing sounds twice."""
    element = Element("score-part", id=key)
    name = instrument.name.replace("-", " ").capitalize()
    SubElement(element, "part-name").text = _text(name if side == "staff" else f"{name} tablature")
    SubElement(SubElement(element, "score-instrument", id=f"{key}-I1"), "instrument-name").text = _text(name)
    midi = SubElement(element, "midi-instrument", id=f"{key}-I1")
    SubElement(midi, "midi-channel").text = key.removeprefix("P")
    SubElement(midi, "midi-program").text = str(sound.program(instrument))
    if side == "tab":
        SubElement(midi, "volume").text = "0"
    return element


def _attributes(written: _Written, side: Side) -> Element:
    study = written.study
    element = Element("attributes")
    SubElement(element, "divisions").text = str(written.divisions)
    key = SubElement(element, "key")
    SubElement(key, "fifths").text = str(study.key.signature)
    SubElement(key, "mode").text = _mode(study)
    time = SubElement(element, "time")
    SubElement(time, "beats").text = str(study.meter.count)
    SubElement(time, "beat-type").text = str(study.meter.unit)
    clef = SubElement(element, "clef")
    if side == "tab":
        SubElement(clef, "sign").text = "TAB"
        SubElement(clef, "line").text = str(study.instrument.strings - 1)
        element.append(_staff_details(study.instrument))
        return element
    sign, line, octave = _CLEFS[study.instrument.clef]
    SubElement(clef, "sign").text = sign
    SubElement(clef, "line").text = str(line)
    if octave:
        SubElement(clef, "clef-octave-change").text = str(octave)
    return element


_CHURCH = ("major", "minor", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "ionian", "locrian")


def _mode(study: Study) -> str:
    """The format knows the church modes; any other is told by its signature."""
    if study.key.mode in _CHURCH:
        return study.key.mode
    same = (parse_key(f"{study.key.tonic} {mode}") for mode in ("major", "minor"))
    return next((key.mode for key in same if key.signature == study.key.signature), "none")


def _staff_details(instrument: Instrument) -> Element:
    element = Element("staff-details")
    SubElement(element, "staff-lines").text = str(instrument.strings)
    for line, pitch in enumerate(reversed(instrument.open_strings), start=1):
        tuning = SubElement(element, "staff-tuning", line=str(line))
        SubElement(tuning, "tuning-step").text = LETTERS[pitch.name.letter]
        if pitch.name.alter:
            SubElement(tuning, "tuning-alter").text = str(pitch.name.alter)
        SubElement(tuning, "tuning-octave").text = str(pitch.octave)
    if instrument.capo:
        SubElement(element, "capo").text = str(instrument.capo)
    return element


# --- measures ---------------------------------------------------------------------------------------------------------


def _measure(written: _Written, number: int, side: Side) -> Element:
    study = written.study
    measure = Element("measure", number=str(number))
    if number == 1:
        measure.append(_attributes(written, side))
    if number == 1 and study.repeats:
        measure.append(_barline("left", "heavy-light", "forward"))
    if number == 1 and side == "staff":
        measure.append(_tempo(study))
    signs = _accidentals(written.bars[number - 1], study) if side == "staff" else {}
    for place, (items, voice) in enumerate(zip(written.bars[number - 1], written.voices, strict=True)):
        if place:
            backup = SubElement(measure, "backup")
            SubElement(backup, "duration").text = str(study.meter.bar * 4 * written.divisions)
        for item in items:
            if side == "staff" and not place:
                measure.extend(_standing_at(written, item))
            measure.extend(note_elements(item, voice, side, written.divisions, signs))
    if number == study.bars:
        measure.append(_barline("right", "light-heavy", "backward" if study.repeats else None))
    return measure


def _barline(location: str, style: str, repeat: str | None) -> Element:
    element = Element("barline", location=location)
    SubElement(element, "bar-style").text = style
    if repeat:
        SubElement(element, "repeat", direction=repeat)
    return element


def _tempo(study: Study) -> Element:
    """The first metronome mark in the beat of the meter, and the tempo in quarter notes for playing."""
    beat = study.meter.beat
    dotted = beat.numerator == 3
    element = Element("direction", placement="above")
    mark = SubElement(SubElement(element, "direction-type"), "metronome")
    SubElement(mark, "beat-unit").text = _UNITS[(beat * 2 / 3 if dotted else beat).denominator]
    if dotted:
        SubElement(mark, "beat-unit-dot")
    SubElement(mark, "per-minute").text = str(study.tempo_steps[0])
    quarters = study.tempo_steps[0] * beat * 4
    SubElement(element, "sound", tempo=f"{float(quarters):g}")
    return element


def _beside(study: Study, cues: Mapping[str, str]) -> Iterator[tuple[Fraction, Element]]:
    """Chord symbols and the words of checkpoints, each with its onset."""
    shapes = {shape.onset: shape for shape in study.shapes}
    for mark in study.chords:
        yield mark.onset, harmony(mark.symbol, shapes.get(mark.onset))
    for event in study.events:
        if isinstance(event, Rest) and event.checkpoint:
            direction = Element("direction", placement="below")
            words = SubElement(SubElement(direction, "direction-type"), "words")
            words.text = _text(cues[event.checkpoint])
            yield event.onset, direction


def _standing_at(written: _Written, item: Item) -> Iterator[Element]:
    """What begins while *item* lasts, moved on by an offset where it begins later than the item."""
    for onset, element in written.beside:
        if item.onset <= onset < item.onset + item.length:
            if onset > item.onset:
                offset = Element("offset")
                offset.text = str((onset - item.onset) * 4 * written.divisions)
                element.append(offset)
            yield element


def _accidentals(bar: Sequence[Iterable[Item]], study: Study) -> dict[Key, int]:
    """The signs printed in one bar: where a note differs from the signature, or from a sign before it in the bar."""
    signature = {note.letter: note.alter for note in parse_key(f"{study.key.parent_major} major").scale.notes}
    valid: dict[int, int] = {}
    found: dict[Key, int] = {}
    items = sorted((item for voice in bar for item in voice), key=lambda item: item.onset)
    for item in items:
        for note in item.notes:
            if note.tied:
                continue
            if valid.get(note.pitch.step, signature[note.pitch.name.letter]) != note.pitch.name.alter:
                found[item.onset, note.string, note.pitch.midi] = note.pitch.name.alter
            valid[note.pitch.step] = note.pitch.name.alter
    return found
