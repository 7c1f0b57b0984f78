"""Studies of every technique that has a sign of its own, built by hand from a short notation.

`3/7` is string 3, fret 7; a letter says how it is reached: `h` hammer-on, `p` pull-off, `s` slide under a slur,
`g` slide and struck, `b2` bend by two semitones, `r` bend let back, `o` harmonic; `+` joins a chord, `-` is a rest,
`.` in front asks for the finger to be printed. Not here: musical sense, see `samples`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

from builder.theory.fretboard import Instrument
from builder.theory.harmony import parse_key
from builder.theory.rhythm import Meter
from builder.theory.score import BarreMark, ChordMark, Note, Rest, ShapeMark, Study, Technique
from tests.pages.samples import BASS, FOUR, GUITAR, SEVEN, UKULELE, note, spelled, study

_HOW: dict[str, tuple[Technique | None, bool]] = {
    "": (None, False),
    "h": ("hammer-on", True),
    "p": ("pull-off", True),
    "s": ("slide", True),
    "g": ("slide", False),
    "b": ("bend", True),
    "r": ("bend", True),
    "o": ("harmonic", False),
}
_PARTIALS = {12: 12, 7: 19, 5: 24, 19: 19}  # semitones over the open string by the fret touched


def part(
    text: str,
    value: Fraction | Sequence[Fraction],
    strokes: Sequence[str] = (),
    voice: int = 1,
    instrument: Instrument = GUITAR,
    meter: Meter = FOUR,
    position: int = 5,
    flats: bool = False,
) -> list[Note | Rest]:
    """The events of one voice; *strokes* in turn over what is struck, *value* for all or for each token."""
    events: list[Note | Rest] = []
    now, struck, tokens = Fraction(0), 0, text.split()
    values = [value] * len(tokens) if isinstance(value, Fraction) else list(value)
    for token, length in zip(tokens, values, strict=True):
        bar = int(now / meter.bar) + 1
        if token == "-":
            events.append(Rest(bar, now, length, voice))
            now += length
            continue
        together = [_note(word, bar, now, length, voice, instrument, position, flats) for word in token.split("+")]
        if strokes and not together[0].slurred:
            together = [replace(n, stroke=strokes[struck % len(strokes)]) for n in together]
            struck += 1
        events += sorted(together, key=lambda n: n.pitch.midi)
        now += length
    return events


def _note(
    word: str, bar: int, now: Fraction, length: Fraction, voice: int, instrument: Instrument, position: int, flats: bool
) -> Note:
    found = re.fullmatch(r"(\.?)(\d)/(\d+)([a-z]?)(\d*)", word)
    assert found, word
    string, fret, how = int(found[2]), int(found[3]), found[4]
    technique, slurred = _HOW[how]
    midi = instrument.open_midi(string) + (_PARTIALS[fret] if how == "o" else fret) + int(found[5] or 0)
    finger = min(4, max(1, fret - position + 1)) if fret else 0
    return note(
        bar,
        now,
        length,
        spelled(midi, flats),
        f"{string}/{fret}",
        voice=voice,
        technique=technique,
        slurred=slurred,
        finger=finger,
        finger_printed=bool(found[1]),
        position=position,
    )


def _accented(events: Iterable[Note | Rest], every: Fraction = Fraction(1)) -> list[Note | Rest]:
    """The same with an accent on every so much of a whole note."""
    return [replace(e, accent=True) if isinstance(e, Note) and e.onset % every == 0 else e for e in events]


_16, _8, _4, _2 = (Fraction(1, n) for n in (16, 8, 4, 2))
_EMINOR, _CMAJOR = parse_key("E minor"), parse_key("C major")


def slurs() -> Study:
    """Hammer-ons and pull-offs on one string and across strings, over a barline, a trill; strokes where struck."""
    text = (
        ".3/5 3/7h 3/9h 3/7p 3/5p 3/7h 3/9h 3/7p .2/5 2/6h 2/8h 2/6p 2/5p 2/6h 2/8h 2/6p "
        ".1/5 1/7h 1/8h 1/7p .1/0p 1/5h 1/7h 1/5p .6/5 6/8h 6/5p 6/8h 6/5p 6/8h 6/5p 6/8h "
    ) * 2
    events = _accented(part(text, _16, ["down", "up"]), Fraction(1, 2))
    last = part("3/5 -", [_2, _2], ["down"])
    moved = [replace(e, bar=5, onset=e.onset + 4) for e in last]
    return study(events + moved, 5, FOUR, id="mooring-s3f5", title="Mooring", key=_EMINOR, stroke_rule="legato")


def slides_and_bends() -> Study:
    """Slides with and without a stroke, in single and double notes; bends, let back, over several strings."""
    text = (
        ".3/5 3/7s 3/9g 3/7s .2/8 2/8b2 2/8r 2/5p .1/8 1/8b1 1/8r 1/5p .3/7 3/7b3 3/7r 3/5p "
        ".2/5+.1/5 2/7g+1/7g 2/8s+1/8s 2/5g+1/5g .3/12 3/14s 3/12s - .4/10 4/12g 4/10g - .6/10 6/12s 6/10s - "
    ) * 2
    events = part(text, _8, ["down", "up"])
    return study(events, 8, FOUR, id="slipway-s3f5", title="Slipway", key=_EMINOR, stroke_rule="alternate")


def harmonics() -> Study:
    """Natural harmonics at frets 12, 7 and 5, alone and together."""
    text = "6/12o 5/12o 4/12o 3/12o 2/12o+1/12o 3/7o+2/7o 4/7o 5/5o 6/5o 4/5o 3/5o - " + "1/12o 1/7o 2/5o 1/5o "
    events = part(text, _4, ["i", "m"])
    return study(events, 4, FOUR, id="bell-buoy-s6f12", title="Bell Buoy", key=_CMAJOR, stroke_rule="fingers")


def _shape(onset: Fraction, symbol: str, frets: str, fingers: str) -> ShapeMark:
    """A shape from texts as they are said, lowest string first: `x32010`, `.32.1.`."""
    return ShapeMark(
        onset,
        symbol,
        tuple(None if f == "x" else int(f, 32) for f in reversed(frets)),
        tuple(None if f == "." else int(f) for f in reversed(fingers)),
    )


_OPEN = [("C", "x32010", ".32.1."), ("Am", "x02210", "..231."), ("F", "133211", "134211"), ("G7", "320001", "32...1")]


def _struck(shape: ShapeMark, kept: frozenset[int] = frozenset()) -> str:
    return "+".join(f"{s}/{f}" for s, f in enumerate(shape.frets, 1) if f is not None)


def _fingered(events: list[Note | Rest], shapes: Sequence[ShapeMark]) -> list[Note | Rest]:
    """The events with the fingers of the shapes, and `kept` where string, fret and finger were the same before."""
    found: list[Note | Rest] = []
    for event in events:
        place = max(k for k, shape in enumerate(shapes) if shape.onset <= event.onset)
        if not isinstance(event, Note):
            found.append(event)
            continue
        at = event.string - 1
        finger = shapes[place].fingers[at] or 0
        before = shapes[place - 1] if place else None
        kept = bool(finger and before and (before.frets[at], before.fingers[at]) == (event.fret, finger))
        found.append(replace(event, finger=finger, finger_printed=True, kept=kept))
    return found


def strums(instrument: Instrument = GUITAR, times: int = 2) -> Study:
    """Chord changes with a diagram each, fingers that stay, a barre."""
    chords = {4: [("C", "0003", "...3"), ("Am", "2000", "2..."), ("F", "2010", "2.1."), ("G7", "0212", ".213")]}
    chords[6] = _OPEN
    chords[7] = [(n, "x" + frets, "." + fingers) for n, frets, fingers in _OPEN]
    names = chords[instrument.strings] * times
    shapes = [_shape(Fraction(k, 2), *name) for k, name in enumerate(names)]
    text = " ".join(f"{_struck(shape)} {_struck(shape)}" for shape in shapes)
    events = part(text, _4, ["down", "up"], instrument=instrument, position=1)
    marks = tuple(ChordMark(shape.onset, shape.symbol) for shape in shapes)
    barres = tuple(BarreMark(s.onset, s.onset + _2, 1, 6) for s in shapes if s.symbol == "F" and instrument is GUITAR)
    return study(
        _accented(_fingered(events, shapes)),
        2 * times,
        FOUR,
        id=f"harbour-lights-s{instrument.strings}f3",
        title="Harbour Lights",
        instrument=instrument,
        key=_CMAJOR,
        chords=marks,
        shapes=tuple(shapes),
        barres=barres,
        stroke_rule="strum",
        skills=("timing",),
        repeats=True,
    )


def high_strums() -> Study:
    """Barre shapes high on the neck: two-digit frets in chords, frets beside the grids."""
    names = [("Bbm7", "x13111", ".13111"), ("A", "577655", "134211"), ("E7#9", "x767a8", ".21.43")]
    names = [("Cmaj7", "8x998x", "1.342."), ("D/F#", "ecccad", "432211"), *names[1:], ("Dm7b5", "xababx", ".1324.")]
    shapes = [_shape(Fraction(k, 2), name, frets, fingers) for k, (name, frets, fingers) in enumerate(names)]
    shapes.append(_shape(Fraction(5, 2), "G", "355433", "134211"))
    text = " ".join(f"{_struck(shape)} {_struck(shape)} {_struck(shape)}" for shape in shapes)
    events = part(text, [_8, _8, _4] * 6, ["down", "up", "down"], position=8)
    return study(
        _fingered(events, shapes),
        3,
        FOUR,
        id="crane-s6f8",
        title="Crane",
        key=_CMAJOR,
        chords=tuple(ChordMark(s.onset, s.symbol) for s in shapes),
        shapes=tuple(shapes),
        barres=(BarreMark(Fraction(1), Fraction(3, 2), 5, 6), BarreMark(Fraction(5, 2), Fraction(3), 3, 6)),
        stroke_rule="strum",
    )


def plucked() -> Study:
    """A p i m a pattern over held chords in two voices, thumb below."""
    shapes = [_shape(Fraction(k), *name) for k, name in enumerate(_OPEN * 2)]
    bass = ["5/3", "5/0", "6/1", "6/3"] * 2
    upper = ["3/0 2/1 1/0", "3/2 2/1 1/0", "3/2 2/1 1/1", "3/0 2/0 1/1"] * 2
    high = " ".join(f"- {up} - {up}" for up in upper)
    first = part(high, _8, ["i", "m", "a"], position=1)
    second = part(" ".join(f"{low} {low}" for low in bass), _2, ["p"], voice=2, position=1)
    return study(
        [*_accented(_fingered(first, shapes), Fraction(2)), *_fingered(second, shapes)],
        8,
        FOUR,
        id="nets-s5f3",
        title="Nets",
        key=_CMAJOR,
        chords=tuple(ChordMark(s.onset, s.symbol) for s in shapes),
        shapes=tuple(shapes),
        barres=tuple(BarreMark(s.onset, s.onset + 1, 1, 6) for s in shapes if s.symbol == "F"),
        stroke_rule="pima",
        skills=("finger-independence",),
    )


def tremolo() -> Study:
    """Thumb, then three fingers on one string, in thirty-seconds."""
    value = Fraction(1, 32)
    notes = [("5/0", "1/5"), ("4/7", "1/5"), ("5/0", "1/7"), ("4/7", "1/8")]
    high = " ".join(f"- {up} {up} {up}" for _, up in notes * 2)
    low = " ".join(f"{down} -" for down, _ in notes * 2)
    first = part(high, value, ["a", "m", "i"])
    second = part(low, [_16, _16] * 8, ["p"], voice=2)
    twice = [
        replace(event, bar=event.bar + bar, onset=event.onset + bar)
        for voice in (first, second)
        for bar in range(4)
        for event in voice
    ]
    return study(twice, 4, FOUR, id="gulls-s5f0", title="Gulls", key=parse_key("A minor"), stroke_rule="pima")


def shifting_scale() -> Study:
    """A scale that moves up one string and down, with guide fingers, shifts and small barres."""
    text = ".4/5 4/7 4/9 .3/6 3/7 .2/5 2/7 2/9 .2/10 .1/7 1/9 1/10 .1/12 1/14 1/15 -"
    events: list[Note | Rest] = []
    for bar in range(4):
        for event in part(text, _16, ["i", "m"], flats=False):
            moved = replace(event, bar=bar + 1, onset=event.onset + bar)
            if isinstance(moved, Note):
                place = (event.onset * 16).numerator if event.onset else 0
                position = 5 if event.onset < Fraction(8, 16) else 7 if event.onset < Fraction(12, 16) else 12
                guided = event.onset in (Fraction(8, 16), Fraction(12, 16))
                finger = (1, 3, 4, 1, 3, 1, 3, 4, 4, 1, 3, 4, 1, 3, 4)[place % 15] if place else 1
                moved = replace(moved, position=position, guide=guided, finger=finger)
            events.append(moved)
    return study(
        events,
        4,
        FOUR,
        id="ladder-s4f5",
        title="Ladder",
        key=parse_key("G major"),
        stroke_rule="fingers",
        barres=(BarreMark(Fraction(1), Fraction(7, 4), 5, 4), BarreMark(Fraction(3), Fraction(25, 8), 5, 6)),
    )


def bass_fingers() -> Study:
    """Two plucking fingers in turn on four strings, an odd number of notes to the bar, slurs among them."""
    text = "4/3 4/5 3/2 3/3h 3/5h 2/2 2/4h 2/5 2/4p 3/5 3/3p 3/2p 4/5 4/3 -"
    values = [_8] * 14 + [_4]
    events = part(text, values, ["i", "m"], instrument=BASS, position=2)
    twice = [replace(e, bar=e.bar + 2 * k, onset=e.onset + 2 * k) for k in range(4) for e in events]
    return study(
        _accented(twice, Fraction(2)),
        8,
        FOUR,
        id="hold-s4f3",
        title="Hold",
        instrument=BASS,
        key=parse_key("G major"),
        stroke_rule="fingers",
    )


def small_strums() -> Study:
    """Strums on four strings."""
    return replace(strums(UKULELE, 4), id="dinghy-lights-s4f0")


def seven_strums() -> Study:
    """Strums on seven strings."""
    return replace(strums(SEVEN), id="rigging-lights-s7f0")


def mixed_groups() -> Study:
    """Twos, threes, fours, quarter and eighth swung, dotted, in one bar, with accents and slurs."""
    third, swung = Fraction(1, 12), [Fraction(1, 6), Fraction(1, 12)]
    values = [_8, _8, third, third, third, _16, _16, _16, _16, *swung, *swung, Fraction(3, 16), _16, _8, _8, _8, _8]
    text = ".3/5 3/7h .3/9 3/7p 3/5 .3/7 3/9 3/7 3/5 .3/7 3/9h " + "3/5 3/7h 3/9 3/7p 3/5 3/7 3/9 -"
    events = part(f"{text} {text}", values * 2, ["down", "up"])
    return study(_accented(events, _4), 4, FOUR, id="chop-s3f5", title="Chop", key=_EMINOR)


def double_notes() -> Study:
    """Thirds and tenths with a finger at each note, slurred and slid; a chord without a diagram."""
    text = (
        ".2/5+.1/3 .2/6h+.1/5h .2/8+.1/7 .2/6p+.1/5p .3/5+.2/3 .3/7g+.2/5g .3/9s+.2/7s .3/7p+.2/5p "
        ".6/3+.2/0 .6/5+.2/1 .5/2+.1/0 .5/3+.1/1 .6/3+.5/5+.4/5+.3/4+.2/3+.1/3 .4/5+.3/4+.2/3 .6/12+.1/12 - "
    ) * 2
    events = part(text, _8, ["down", "up"], position=3)
    return study(_accented(events, _2), 4, FOUR, id="ropes-s2f5", title="Ropes", key=parse_key("G major"))


def over_the_line() -> Study:
    """Slurs, a slide, a bend and a barre that go on in the next system; both voices slurred."""
    first = "1/5 1/7h 1/8h 1/7p 1/5p 1/7h 1/8h 1/7p 1/5 1/8h 1/5p 1/8h 1/5p 1/8h 1/5p 1/8h "
    then = "1/5p 1/7 1/8s 1/10 1/10b2 1/10r 1/8 - 1/5 1/7 1/8 1/10 1/8 1/7 1/8 1/8 "
    upper = part((first + then + "1/8b1 1/8r 1/5 1/7 1/8 1/10 1/12 1/15 " * 2) * 2, _16, ["i", "m"])
    lower = part("4/7 4/5p 5/7 5/5 " * 6, _4, ["p"], voice=2)
    events = [*_accented(upper, _2), *_accented(lower, Fraction(1))]
    return study(
        events,
        6,
        FOUR,
        id="bollard-s1f5",
        title="Bollard",
        key=_EMINOR,
        barres=(BarreMark(Fraction(0), Fraction(9, 4), 5, 6), BarreMark(Fraction(5, 2), Fraction(4), 7, 3)),
        stroke_rule="pima",
    )


TECHNIQUES = {
    "slurs": slurs,
    "slides": slides_and_bends,
    "harmonics": harmonics,
    "strums": strums,
    "high-strums": high_strums,
    "plucked": plucked,
    "tremolo": tremolo,
    "shifting": shifting_scale,
    "bass-fingers": bass_fingers,
    "uke-strums": small_strums,
    "seven-strums": seven_strums,
    "mixed": mixed_groups,
    "doubles": double_notes,
    "over": over_the_line,
}
