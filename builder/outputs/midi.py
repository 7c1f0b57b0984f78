"""Practice tracks as Standard MIDI Files: one a tempo step, and one that walks through all of them.

Stage:    7 write
In, Out:  a `Performance` and tempo steps; the bytes of files of type 1, one named track a part
Units:    3,360 ticks a quarter note; channels and programs in messages count from 0
Source:   Standard MIDI Files 1.0 (tempo, meter, key, markers, track names); General MIDI Level 1 (programs,
          percussion on channel 10, pitch-bend range by registered parameter 0)
Not here: what is played (`performance`), how loud and on which programs (`sound`)
"""

from __future__ import annotations

import struct
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Final

from mido import Message, MetaMessage  # type: ignore[import-untyped]

from builder.outputs.performance import Part, Performance
from builder.outputs.tone import Tone
from builder.remembered import by_identity
from builder.theory.harmony import Key
from builder.theory.practice import half_up
from builder.theory.rhythm import Meter

TICKS_A_QUARTER = 3360  # divided by 1 to 8 without a rest, so that no tuplet is rounded
_TICKS_A_WHOLE = 4 * TICKS_A_QUARTER

# One channel a part; percussion has the tenth by General MIDI. The others are for notes that glide or double one that
# sounds already: a pitch bend and a note's end act on a whole channel, so each string has its own.
_CHANNELS: Final = {"count-in": 9, "click": 9, "study": 0, "chords": 13, "bass": 14, "drone": 15}
_STRING_CHANNELS = (1, 2, 3, 4, 5, 6, 7, 8, 10, 11, 12)

_BEND_RANGE = 12  # semitones; a longer slide begins an octave away, which at its speed is the same to the ear
_BEND_STEPS = 16  # our own choice: steps too small to be heard as steps over a tenth of a second
_LONGEST_TEXT = 120  # our own choice: below 128 a text's length is one byte, which every reader understands

_OFF, _BEND, _ON = 0, 1, 2  # order at one tick: an old note ends, the bend is set, a new note begins

_MAJOR_KEYS = ("Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#")
_MINOR_KEYS = ("Abm", "Ebm", "Bbm", "Fm", "Cm", "Gm", "Dm", "Am", "Em", "Bm", "F#m", "C#m", "G#m", "D#m", "A#m")

_Event = tuple[int, int, bytes]


def tempo_midi(performance: Performance, bpm: int) -> bytes:
    """Return the file of *performance* at *bpm* beats a minute."""
    return _file(performance, (bpm,))


def all_tempos_midi(performance: Performance) -> bytes:
    """Return one file that plays every tempo step of the study, a rest and a new count-in between."""
    return _file(performance, performance.study.tempo_steps)


def microseconds_a_quarter(bpm: int, meter: Meter) -> int:
    """Return the tempo event for *bpm* beats of *meter*.

    >>> microseconds_a_quarter(60, Meter(6, 8)), microseconds_a_quarter(72, Meter(4, 4))
    (666667, 833333)
    """
    return half_up(Fraction(60_000_000, bpm) / (meter.beat * 4))


def midi_key(key: Key) -> str:
    """Return the key event for *key*: its signature, minor where the tonic is the signature's minor one.

    >>> from builder.theory.harmony import parse_key
    >>> [midi_key(parse_key(text)) for text in ("D minor", "E dorian", "A harmonic minor")]
    ['Dm', 'D', 'Am']
    """
    minor = key.tonic == key.parent_major.up(5, 9)
    return (_MINOR_KEYS if minor else _MAJOR_KEYS)[key.signature + 7]


def plain_text(text: str) -> str:
    """Return *text* as the format allows it: printable ASCII, letters without their accents, not long.

    >>> plain_text("Bb\\u266d\\tpêche \\u2013 1\\u00bd"), plain_text("\\u6e2f")
    ('Bbb peche - 1 1/2', '?')
    """
    named = "".join(_NAMED.get(letter, letter) for letter in text)
    letters = (letter for letter in unicodedata.normalize("NFKD", named) if not unicodedata.combining(letter))
    plain = "".join(letter if " " <= letter <= "~" else " " if letter.isspace() else "?" for letter in letters)
    return " ".join(plain.split())[:_LONGEST_TEXT]


_NAMED = {"♭": "b", "♯": "#", "–": "-", "—": "-", "’": "'", "‘": "'", "“": '"', "”": '"', "…": "...", "½": " 1/2"}


def _file(performance: Performance, steps: Sequence[int]) -> bytes:
    pass_ticks = _ticks(performance.length)
    starts = [number * (pass_ticks + _ticks(performance.between)) for number in range(len(steps))]
    end = starts[-1] + pass_ticks
    passes = tuple(zip(starts, steps, strict=True))
    tracks = [_conductor(performance, passes, end)]
    tracks += [_track(part, performance.study.meter, passes, end) for part in performance.parts]
    return b"MThd" + struct.pack(">LHHH", 6, 1, len(tracks), TICKS_A_QUARTER) + b"".join(tracks)


def _ticks(length: Fraction) -> int:
    # Half up in whole numbers: a fraction would first be brought to its lowest terms.
    return (2 * length.numerator * _TICKS_A_WHOLE + length.denominator) // (2 * length.denominator)


@lru_cache(maxsize=4096)
def _message(kind: str, **values: int) -> bytes:
    """A channel message in bytes; a book has few different ones, and the library checks each with care."""
    return bytes(Message(kind, **values).bytes())


def _meta(kind: str, **values: int | str) -> bytes:
    return bytes(MetaMessage(kind, **values).bytes())


def _conductor(performance: Performance, passes: Sequence[tuple[int, int]], end: int) -> bytes:
    """The first track: title, meter, key, the tempo of each pass, and the marks."""
    study, meter = performance.study, performance.study.meter
    clocks = int(meter.beat * 4 * 24)
    events: list[tuple[int, bytes]] = [
        (0, _meta("track_name", name=plain_text(study.title))),
        (
            0,
            _meta(
                "time_signature",
                numerator=meter.count,
                denominator=meter.unit,
                clocks_per_click=clocks,
                notated_32nd_notes_per_beat=8,
            ),
        ),
        (0, _meta("key_signature", key=midi_key(study.key))),
    ]
    for start, bpm in passes:
        events.append((start, _meta("set_tempo", tempo=microseconds_a_quarter(bpm, meter))))
        events.append((start, _meta("marker", text=plain_text(performance.words.tempo.format(tempo=bpm)))))
        events += [
            (start + _ticks(mark.onset), _meta("marker", text=plain_text(mark.words))) for mark in performance.marks
        ]
    return _with_deltas(events, end)


def _track(part: Part, meter: Meter, passes: Sequence[tuple[int, int]], end: int) -> bytes:
    """One part's track: its name and sounds, then its notes once a pass."""
    if any(tone.glide_s or tone.delay_s for tone in part.tones):
        return _written(part, [(start, _ticks_a_second(bpm, meter)) for start, bpm in passes], end)
    return _steady(part, tuple(start for start, _ in passes), end)


@by_identity
def _steady(part: Part, starts: tuple[int, ...], end: int) -> bytes:
    """The track of a part that no tempo changes: it is the same in the files of all tempo steps."""
    return _written(part, [(start, 0.0) for start in starts], end)


def _ticks_a_second(bpm: int, meter: Meter) -> float:
    return float(Fraction(bpm * TICKS_A_QUARTER, 60) * meter.beat * 4)


def _written(part: Part, passes: Sequence[tuple[int, float]], end: int) -> bytes:
    """The track of a part whose passes start at given ticks, at so many ticks a second."""
    channels, spans = _laid_out(part)
    opening: list[tuple[int, bytes]] = [(0, _meta("track_name", name=part.name))]
    gliding = {channel for tone, channel in zip(part.tones, channels, strict=True) if tone.glide_s}
    for channel in sorted(set(channels)):
        if part.program is not None:
            opening.append((0, _message("program_change", channel=channel, program=part.program - 1)))
        if channel in gliding:
            opening += [(0, message) for message in _bend_range(channel)]
    events: list[_Event] = []
    for start, a_second in passes:
        for tone, channel, (on, off) in zip(part.tones, channels, spans, strict=True):
            events += _note(tone, channel, start + on, start + off, a_second)
    events.sort(key=lambda event: event[:2])
    return _with_deltas((*opening, *((tick, message) for tick, _, message in events)), end)


@by_identity
def _laid_out(part: Part) -> tuple[list[int], list[tuple[int, int]]]:
    """The channel of each tone, and the ticks at which it begins and ends; no tempo changes them."""
    spans = [(_ticks(tone.onset), _ticks(tone.onset + tone.duration)) for tone in part.tones]
    return _assigned(part), spans


def _assigned(part: Part) -> list[int]:
    """The channel of each tone: the part's, or its string's where it glides or doubles a note that sounds already."""
    own = _CHANNELS[part.role]
    if part.role != "study":
        return [own] * len(part.tones)
    until: dict[int, Fraction] = {}
    found = []
    for tone in part.tones:
        alone = not tone.glide_s and until.get(tone.midi, Fraction(0)) <= tone.onset
        found.append(own if alone else _STRING_CHANNELS[(tone.string - 1) % len(_STRING_CHANNELS)])
        if alone:
            until[tone.midi] = tone.onset + tone.duration
    return found


def _note(tone: Tone, channel: int, on: int, off: int, ticks_a_second: float) -> Iterator[_Event]:
    off = max(on + 1, off)
    # However fast the tempo, the last string of a strum sounds before half of its note is over.
    on += min(round(tone.delay_s * ticks_a_second), (off - on) // 2)
    if tone.glide_s:
        glide = min(round(tone.glide_s * ticks_a_second), (off - on) // 2)
        yield from _bends(tone.arrives, 0, channel, on, glide)
        if tone.leaves:
            yield from _bends(0, tone.leaves, channel, off - glide, glide)
    yield on, _ON, _message("note_on", channel=channel, note=tone.midi, velocity=tone.velocity)
    yield off, _OFF, _message("note_off", channel=channel, note=tone.midi, velocity=0)


def _bends(first: int, last: int, channel: int, start: int, ticks: int) -> Iterator[_Event]:
    """The pitch on its way from *first* to *last* semitones beside the note's own, a straight line."""
    steps = _BEND_STEPS if first != last else 0
    for step in range(steps + 1):
        beside = first + (last - first) * step / max(1, steps)
        value = round(max(-_BEND_RANGE, min(_BEND_RANGE, beside)) * 8192 / _BEND_RANGE)
        tick = start + ticks * step // max(1, steps)
        yield tick, _BEND, _message("pitchwheel", channel=channel, pitch=min(8191, value))


def _bend_range(channel: int) -> Iterator[bytes]:
    """Registered parameter 0, then none, so that a later stray value changes nothing."""
    for control, value in ((101, 0), (100, 0), (6, _BEND_RANGE), (38, 0), (101, 127), (100, 127)):
        yield _message("control_change", channel=channel, control=control, value=value)


def _with_deltas(events: Iterable[tuple[int, bytes]], end: int) -> bytes:
    """A track chunk of *events*, which stand in order of time, ending at *end*."""
    content = bytearray()
    now = 0
    for tick, message in (*events, (end, _meta("end_of_track"))):
        content += _variable(tick - now) + message
        now = tick
    return b"MTrk" + struct.pack(">L", len(content)) + bytes(content)


@lru_cache(maxsize=4096)
def _variable(ticks: int) -> bytes:
    """A length of time as the format writes it: seven bits a byte, the last byte without the high bit.

    >>> _variable(0).hex(), _variable(127).hex(), _variable(128).hex(), _variable(3360).hex()
    ('00', '7f', '8100', '9a20')
    """
    digits = [ticks & 127]
    while ticks := ticks >> 7:
        digits.append(128 | ticks & 127)
    return bytes(reversed(digits))
