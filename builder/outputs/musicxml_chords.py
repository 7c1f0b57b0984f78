"""Chord symbols and diagrams as MusicXML's `harmony`.

Stage:    7 write
In, Out:  a `ChordMark` or `ShapeMark`; one element
Source:   MusicXML 4.0 (W3C Community Group, 2021): kind-value, degree (alterations of added degrees count from the
          dominant seventh's chord, so its seventh is degree 7 unaltered), frame
"""

from __future__ import annotations

from xml.etree.ElementTree import Element, SubElement

from builder.theory.harmony import Chord, parse_chord
from builder.theory.pitch import LETTERS, NoteName
from builder.theory.score import ShapeMark

# Our quality: MusicXML's kind, then what differs: `+9` adds a degree, `~b5` alters one, `-11` takes one away.
_KINDS = {
    "": "major",
    "m": "minor",
    "dim": "diminished",
    "aug": "augmented",
    "sus2": "suspended-second",
    "sus4": "suspended-fourth",
    "5": "power",
    "6": "major-sixth",
    "m6": "minor-sixth",
    "6/9": "major-sixth +9",
    "m6/9": "minor-sixth +9",
    "7": "dominant",
    "maj7": "major-seventh",
    "m7": "minor-seventh",
    "m7b5": "half-diminished",
    "dim7": "diminished-seventh",
    "m(maj7)": "major-minor",
    "7#5": "augmented-seventh",
    "7b5": "dominant ~b5",
    "maj7#5": "major-seventh ~#5",
    "maj7#11": "major-seventh +#11",
    "7sus4": "suspended-fourth +7",
    "7sus2": "suspended-second +7",
    "9sus4": "suspended-fourth +7 +9",
    "13sus4": "suspended-fourth +7 +9 +13",
    "add9": "major +9",
    "madd9": "minor +9",
    "add11": "major +11",
    "9": "dominant-ninth",
    "maj9": "major-ninth",
    "m9": "minor-ninth",
    "m(maj9)": "major-minor +9",
    "7b9": "dominant +b9",
    "7#9": "dominant +#9",
    "7#11": "dominant +#11",
    "7b13": "dominant +b13",
    "11": "dominant-11th",
    "m11": "minor-11th",
    "13": "dominant-13th -11",
    "m13": "minor-13th -11",
    "maj13": "major-13th -11",
}
_LEAST_ROWS = 4  # common practice: a chord grid shows four frets or more


def harmony(symbol: str, shape: ShapeMark | None) -> Element:
    """Return the `harmony` of a chord symbol, with its grid where a *shape* is held."""
    chord = parse_chord(symbol)
    element = Element("harmony")
    _name(SubElement(element, "root"), "root", chord.root)
    kind, *degrees = _KINDS[chord.quality].split()
    SubElement(element, "kind", {"text": ending} if (ending := _ending(chord)) else {}).text = kind
    if chord.bass:
        _name(SubElement(element, "bass"), "bass", chord.bass)
    for degree in degrees:
        _degree(SubElement(element, "degree"), degree)
    if shape:
        element.append(_frame(shape))
    return element


def _ending(chord: Chord) -> str:
    """The quality as it was written, without root and bass."""
    return chord.symbol.split("/" + str(chord.bass))[0].removeprefix(str(chord.root))


def _name(parent: Element, prefix: str, name: NoteName) -> None:
    SubElement(parent, f"{prefix}-step").text = LETTERS[name.letter]
    if name.alter:
        SubElement(parent, f"{prefix}-alter").text = str(name.alter)


def _degree(parent: Element, text: str) -> None:
    number = text.strip("+-~#b")
    SubElement(parent, "degree-value").text = number
    SubElement(parent, "degree-alter").text = str(text.count("#") - text.count("b"))
    SubElement(parent, "degree-type").text = {"+": "add", "-": "subtract", "~": "alter"}[text[0]]


def _frame(shape: ShapeMark) -> Element:
    """The grid: strings from the highest sounding, its first row only said where it is not the nut's."""
    stopped = [fret for fret in shape.frets if fret]
    first = 1 if max(stopped, default=0) <= _LEAST_ROWS else min(stopped)
    frame = Element("frame")
    SubElement(frame, "frame-strings").text = str(len(shape.frets))
    SubElement(frame, "frame-frets").text = str(max(_LEAST_ROWS, max(stopped, default=1) - first + 1))
    if first > 1:
        SubElement(frame, "first-fret").text = str(first)
    for string, (fret, finger) in enumerate(zip(shape.frets, shape.fingers, strict=True), start=1):
        if fret is None:
            continue
        note = SubElement(frame, "frame-note")
        SubElement(note, "string").text = str(string)
        SubElement(note, "fret").text = str(fret)
        if finger:
            SubElement(note, "fingering").text = str(finger)
    return frame
