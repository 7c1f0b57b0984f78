"""Studies, books and words built by hand, so that pages can be tested without composing anything.

Not here: musical sense; fingers and levels are only there to be printed.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

import yaml

from builder.pages import Phrases
from builder.resources import folder
from builder.spec.plan import BookPlan, Places
from builder.theory.fretboard import Hand, Instrument, Place
from builder.theory.harmony import parse_key
from builder.theory.pitch import NoteName, Pitch
from builder.theory.rhythm import Meter
from builder.theory.score import ChordMark, Metrics, Note, Rest, Study


def _strings(names: str) -> tuple[Pitch, ...]:
    return tuple(Pitch.parse(name) for name in names.split())


GUITAR = Instrument("guitar", _strings("E4 B3 G3 D3 A2 E2"), 22, 648)
SEVEN = Instrument("seven-string", _strings("E4 B3 G3 D3 A2 E2 B1"), 24, 648)
BASS = Instrument("bass", _strings("G2 D2 A1 E1"), 21, 863.6, position_width=3, clef="bass_8")
FIVE_BASS = Instrument("five-string-bass", _strings("G2 D2 A1 E1 B0"), 22, 863.6, position_width=3, clef="bass_8")
UKULELE = Instrument("ukulele", _strings("A4 E4 C4 G4"), 15, 345, clef="treble")
MEDIUM = Hand("medium", 98, 127)
CUES = {
    "jaw": "jaw",
    "thumb": "fretting thumb",
    "shoulders": "shoulders",
    "breath": "breathe out",
    "wrist": "picking wrist",
}
ROTATION = tuple(CUES)


def phrases() -> Phrases:
    """The English phrases as they ship."""
    return Phrases.from_data(yaml.safe_load((folder("shared") / "phrases" / "en.yaml").read_text("utf-8")))


def book(paper: str = "a4", staff_size: float = 18, **more: object) -> BookPlan:
    """The book around the samples; *more* are other fields of its plan."""
    return BookPlan(
        name="harbour-lane",
        folder="books/harbour-lane",
        title="Loose Hands, Quick Hands",
        subtitle="Guitar technique, autumn term",
        school="Harbour Lane Music School",
        author="The teachers of Harbour Lane",
        edition="Autumn 2026",
        licence="May be copied for pupils of the school",
        language="en",
        paper=paper,  # type: ignore[arg-type]
        staff_size=staff_size,
        fingering="hints",
        instrument=GUITAR,
        hand=MEDIUM,
        places=Places("book.yaml", {}),
        **more,  # type: ignore[arg-type]
    )


def note(bar: int, onset: Fraction, duration: Fraction, pitch: str, place: str, **more: object) -> Note:
    """A note at `string/fret`; finger and position are guesses good enough to print."""
    string, fret = map(int, place.split("/"))
    values = {
        "voice": 1,
        "finger": min(4, 1 + fret % 4) if fret else 0,
        "finger_printed": False,
        "position": max(1, fret),
        **more,
    }
    return Note(bar, onset, duration, pitch=Pitch.parse(pitch), string=string, fret=fret, **values)  # type: ignore[arg-type]


def study(events: Iterable[Note | Rest], bars: int, meter: Meter, **more: object) -> Study:
    """A study of *events* with everything else filled in."""
    listed = tuple(events)
    first = next(event for event in listed if isinstance(event, Note))
    values: dict[str, object] = {
        "id": f"ferry-steps-s{first.string}f{first.fret}",
        "exercise": "ferry-steps",
        "title": "Ferry Steps",
        "aim": "Eight even notes, land, let go.",
        "skills": ("alternate-picking", "hand-synchrony"),
        "instrument": GUITAR,
        "hand": MEDIUM,
        "start": Place(first.string, first.fret),
        "start_pitch": first.pitch,
        "key": parse_key("D minor"),
        "stroke_rule": "alternate",
        "after_rest": "reset",
        "tempo_steps": (60, 72, 84, 96, 108),
        "levels": (3, 3, 4, 4, 4),
        "chords": (),
        "metrics": Metrics(4.0, 68.81, 0, 0, 1, 1, 9, 1, 17.0),
        "level": 3,
        "level_pinned": False,
        "warnings": (),
        "rates": (4.0, 4.8, 5.6, 6.4, 7.2),
        **more,
    }
    return Study(events=listed, bars=bars, meter=meter, **values)  # type: ignore[arg-type]


def spelled(midi: int, flats: bool = True) -> str:
    """A name for a MIDI note."""
    names = "C Db D Eb E F Gb G Ab A Bb B" if flats else "C C# D D# E F F# G G# A A# B"
    return f"{names.split()[midi % 12]}{midi // 12 - 1}"


def bursts(
    shapes: Sequence[Sequence[tuple[int, int]]],
    meter: Meter,
    per_beat: int,
    instrument: Instrument = GUITAR,
    flats: bool = True,
    **more: object,
) -> Study:
    """One bar for each shape (a run of string/fret pairs, the last one landing for a beat), then rest."""
    events: list[Note | Rest] = []
    for number, shape in enumerate(shapes):
        now, end = number * meter.bar, (number + 1) * meter.bar
        position = min((fret for _, fret in shape if fret), default=1)
        for k, (string, fret) in enumerate(shape):
            last = k == len(shape) - 1
            duration = meter.beat if last else meter.beat / per_beat
            name = spelled(instrument.open_midi(string) + fret, flats)
            accent = last or k == 0
            stroke = "down" if last or k % 2 == 0 else "up"
            events.append(
                note(
                    number + 1,
                    now,
                    duration,
                    name,
                    f"{string}/{fret}",
                    stroke=stroke,
                    accent=accent,
                    finger_printed=k < 3,
                    position=position,
                )
            )
            now += duration
        if now < end:
            events.append(Rest(number + 1, now, end - now, 1, ROTATION[number % len(ROTATION)]))
    return study(events, len(shapes), meter, instrument=instrument, **more)


def _run(string: int, frets: str) -> list[tuple[int, int]]:
    return [(string, int(fret)) for fret in frets.split()]


FOUR = Meter(4, 4)


def ferry_steps(string: int = 3, shift: int = 0, **more: object) -> Study:
    """Eight bars of bursts on one string over four chords, played twice."""
    sets = ["7 9 10 9 7 9 10 9 7", "3 5 7 5 3 5 7 5 3", "7 9 10 9 7 9 10 9 7", "6 7 9 7 6 7 9 7 6"]
    shapes = [[(string, fret + shift) for _, fret in _run(string, text)] for text in sets * 2]
    chords = tuple(ChordMark(Fraction(k), name) for k, name in enumerate(["Dm", "Gm", "Bb", "A"] * 2))
    return bursts(shapes, FOUR, 4, **{"chords": chords, "section_starts": (1, 5), "repeats": True, **more})


def high_frets() -> Study:
    """The same on string 1 at frets 17 to 22."""
    shapes = [_run(1, "17 19 20 22 17 19 20 22 17")] * 4
    return bursts(shapes, FOUR, 4, id="ferry-steps-s1f17")


def first_fret() -> Study:
    """A stretch at the nut, with open strings."""
    shapes = [_run(6, "1 3 4 5 1 3 4 5 0"), _run(5, "1 2 4 5 1 2 4 5 0")] * 4
    return bursts(
        shapes,
        FOUR,
        4,
        id="ferry-steps-s6f1",
        key=parse_key("Gb major"),
        warnings=("Stretch: frets 1 to 5 need 126 mm, more than is easy for a medium hand.",),
    )


def septuplets() -> Study:
    """7/8 in 2+2+3 with seven notes to an eighth."""
    meter = Meter(7, 8, (2, 2, 3))
    frets = ["5 7 8 7 5 7 8 5", "8 7 5 7 8 7 5 8", "5 8 7 8 5 8 7 5", "5 7 5 8 5 7 8 5"]
    return bursts(
        [_run(2, text) for text in frets], meter, 7, id="sevens-s2f5", title="Sevens", key=parse_key("E minor")
    )


def long_septuplets() -> Study:
    """7/8 filled with septuplets: a bar too long for a line."""
    meter = Meter(7, 8, (2, 2, 3))
    run = _run(2, "5 7 8 7 5 7 8 " * 6 + "5")
    return bursts(
        [run, run, run], meter, 7, id="long-sevens-s2f5", title="Sevens without End", key=parse_key("E minor")
    )


def compound() -> Study:
    """6/8 with six sixteenths to a beat, four eighths in the time of three, and a short landing."""
    meter = Meter(6, 8)
    shapes = [
        _run(4, "5 7 9 10 9 7 5"),
        _run(4, "5 7 9 10 9 7 9"),
        _run(3, "5 7 9 7 9 10 5"),
        _run(3, "5 7 9 7 9 10 5"),
    ]
    return bursts(shapes, meter, 6, id="gangway-s4f5", title="Gangway", key=parse_key("G major"), flats=False)


def bass_line() -> Study:
    """Four strings, two notes to a beat."""
    shapes = [_run(4, "3 5 7 5 3"), _run(3, "3 5 7 5 3"), _run(2, "2 4 5 4 2"), _run(1, "0 2 4 2 0")] * 2
    chords = tuple(ChordMark(Fraction(k), name) for k, name in enumerate(["G7", "C6/9", "F#m7b5", "Ebmaj7#11"] * 2))
    return bursts(
        shapes, FOUR, 2, BASS, id="keel-s4f3", title="Keel", key=parse_key("G major"), chords=chords, flats=False
    )


def five_string_bass() -> Study:
    """Five strings from the lowest."""
    shapes = [_run(5, "5 7 8 7 5 7 8 7 5"), _run(4, "12 14 15 14 12 14 15 14 12")] * 3
    return bursts(shapes, FOUR, 4, FIVE_BASS, id="bilge-s5f5", title="Bilge", key=parse_key("C major"))


def seven_strings() -> Study:
    """Seven strings, three notes a string, sextuplets."""
    run = [(7, 5), (7, 7), (7, 8), (6, 5), (6, 7), (6, 8), (5, 5), (5, 7), (5, 8), (4, 5), (4, 7), (4, 9), (3, 5)]
    return bursts([run, run[::-1]] * 2, FOUR, 6, SEVEN, id="rigging-s7f5", title="Rigging", key=parse_key("C minor"))


def ukulele() -> Study:
    """Re-entrant strings, triplets."""
    shapes = [
        [(4, 0), (3, 0), (2, 0), (1, 0), (2, 3), (3, 2), (4, 0)],
        [(1, 3), (2, 1), (3, 2), (4, 0), (3, 4), (2, 3), (1, 0)],
    ]
    return bursts(shapes * 3, FOUR, 3, UKULELE, id="dinghy-s4f0", title="Dinghy", key=parse_key("C major"))


def one_bar() -> Study:
    """The shortest study there is."""
    return bursts([_run(3, "7 9 10 9 7 9 10 9 7")], FOUR, 4, id="blink-s3f7", title="Blink", repeats=True)


def two_bars() -> Study:
    """Two bars, many tempo steps, a long title and aim."""
    steps = tuple(range(60, 140, 10))
    return replace(
        bursts([_run(3, "7 9 10 9 7 9 10 9 7")] * 2, FOUR, 4, id="blink-twice-s3f7"),
        title="The Long Way Round the Harbour Wall and Back Again before the Evening Tide",
        aim="Keep the wrist loose while the fingers walk, let the landing ring for its whole beat, "
        "and rest as if resting were the exercise.",
        tempo_steps=steps,
        levels=(3, 3, 3, 4, 4, 4, 5, 5),
        rates=tuple(step * 4 / 60 for step in steps),
    )


def forty_bars() -> Study:
    """A study of two sides."""
    shapes = [_run(3, "7 9 10 9 7 9 10 9 7"), _run(3, "3 5 7 5 3 5 7 5 3")] * 20
    return bursts(shapes, FOUR, 4, id="ferry-steps-long-s3f7", title="Ferry Steps, the Long Crossing")


def two_voices() -> Study:
    """A bass under thirds, a tie over the barline and a value that needs one inside it."""
    events: list[Note | Rest] = []
    quarter = Fraction(1, 4)
    for bar in range(1, 5):
        start = Fraction(bar - 1)
        upper = [
            ("E4", "1/0", "C4", "2/1"),
            ("F4", "1/1", "D4", "2/3"),
            ("G4", "1/3", "E4", "2/5"),
            ("F4", "1/1", "D4", "2/3"),
        ]
        for k, (high, at, low, under) in enumerate(upper):
            now = start + k * quarter
            events.append(note(bar, now, quarter, high, at, finger_printed=True, position=1))
            events.append(note(bar, now, quarter, low, under, finger_printed=True, position=1))
    for bar in range(1, 5):
        start = Fraction(bar - 1)
        events.append(note(bar, start, Fraction(5, 16), "C3", "5/3", voice=2, finger_printed=True, position=1))
        events.append(note(bar, start + Fraction(5, 16), Fraction(3, 16), "G2", "6/3", voice=2, position=1))
        events.append(note(bar, start + Fraction(1, 2), Fraction(1, 2), "C3", "5/3", voice=2, position=1))
    return study(
        events,
        4,
        FOUR,
        id="two-boats-s5f3",
        title="Two Boats",
        key=parse_key("C major"),
        skills=("finger-independence",),
    )


ALL = {
    "ferry": ferry_steps,
    "high": high_frets,
    "nut": first_fret,
    "sevens": septuplets,
    "long-sevens": long_septuplets,
    "compound": compound,
    "bass": bass_line,
    "bass5": five_string_bass,
    "seven": seven_strings,
    "uke": ukulele,
    "one": one_bar,
    "two": two_bars,
    "forty": forty_bars,
    "voices": two_voices,
}
START = NoteName.parse("D")
SAYS = {cue: f"Let go of it: {words}, as you breathe out, and notice what it does." for cue, words in CUES.items()}
