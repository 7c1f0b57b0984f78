"""Practice tracks as sound: the same performance as the MIDI file, as WAV, MP3 and FLAC, and loops without a seam.

Stage:    7 write
In, Out:  a `Performance` and a tempo; mono samples, or the bytes of a file
Units:    48,000 samples a second; loudness in LUFS
Source:   EBU R 128, 2014, for the study's -23 LUFS, which leaves its strokes room below full scale; the levels of the
          backing under it are our own choice
Not here: how a note is made (`plucked`, `soundfont`), how loudness is measured (`loudness`), what is played
          (`performance`)

Every study is as loud as every other at every tempo, so that a pupil never reaches for the volume between two tracks.
"""

from __future__ import annotations

import io
import wave
from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Final

import numpy as np

from builder.errors import MachineError
from builder.outputs.loudness import loudness
from builder.outputs.midi import tempo_midi
from builder.outputs.performance import Part, Performance, looped
from builder.outputs.plucked import RATE, Samples, colour, held_pad, plucked, struck_bar, wood_block
from builder.outputs.soundfont import synthesized
from builder.outputs.tone import Tone

_LUFS: Final = {"study": -23.0, "chords": -33.0, "bass": -32.0, "drone": -36.0}
_CLICK = 0.2  # of full scale at the hardest stroke: a click's loudness depends on the tempo, its peak does not
_CEILING = 0.89  # -1 dB of full scale, so that a compressed file does not clip where it overshoots
_FADE_S = 0.03
_SEAM_S = 0.005
_HELD_BAR_S = 4.0
_TAIL_S = 0.5
_MP3_LEVEL = 0.8  # of libsndfile's scale from 0, the largest file, to 1; here 96 kbit a second
_EXTRA = "pip install 'etudebook[audio]'"


def track(performance: Performance, bpm: int, soundfont: Path | None = None) -> Samples:
    """Return the whole track at *bpm*, a moment of silence behind it; raise MachineError for a bad *soundfont*."""
    count = _samples(performance.length, performance, bpm) + round(_TAIL_S * RATE)
    if soundfont is None:
        return _mixed((part, _part(part, performance, bpm, count, False)) for part in performance.parts)
    alone = ((part, replace(performance, parts=(part,))) for part in performance.parts)
    return _mixed((part, synthesized(soundfont, tempo_midi(one, bpm), count)) for part, one in alone)


def loop(performance: Performance, bpm: int, soundfont: Path | None = None) -> Samples:
    """Return the study with click and backing, to be played round: exactly as long as its bars.

    What still rings at the end sounds on over the beginning, as it does from the second round on; of a soundfont's
    sound that is the second of three rounds.
    """
    once, thrice = looped(performance, 1), looped(performance, 3)
    count = _samples(once.length, once, bpm)
    if soundfont is None:
        return _mixed((part, _part(part, once, bpm, count, True)) for part in once.parts)
    alone = ((part, replace(thrice, parts=(part,))) for part in thrice.parts)
    rounds = ((part, synthesized(soundfont, tempo_midi(one, bpm), 3 * count)) for part, one in alone)
    return _mixed((part, _second_round(sound, count)) for part, sound in rounds)


def _second_round(rounds: Samples, count: int) -> Samples:
    """The second of some rounds, led over at its end to what came before it.

    A synthesizer may begin notes on a grid of its own, so that no two rounds are alike to the sample.
    """
    second, fade = np.array(rounds[count : 2 * count]), round(_SEAM_S * RATE)
    weights = np.linspace(0, 1, fade)
    second[-fade:] += (rounds[count - fade : count] - second[-fade:]) * weights
    return second


def _samples(length: Fraction, performance: Performance, bpm: int) -> int:
    """A length of music in samples, rounded once."""
    return round(length / performance.study.meter.beat * 60 / bpm * RATE)


def _mixed(parts: Iterable[tuple[Part, Samples]]) -> Samples:
    """All parts at their levels, together under full scale."""
    mix = np.asarray(sum(sound * _gain(part, sound) for part, sound in parts))
    peak = float(np.abs(mix).max(initial=0.0))
    return mix * min(1.0, _CEILING / peak) if peak else mix


def _gain(part: Part, sound: Samples) -> float:
    if part.role not in _LUFS:
        return _CLICK / max(1e-9, float(np.abs(sound).max(initial=0.0)))
    level = loudness(sound)
    return 10 ** ((_LUFS[part.role] - level) / 20) if level is not None else 1.0


def _part(part: Part, performance: Performance, bpm: int, count: int, round_: bool) -> Samples:
    """One part on a line of *count* samples; where it goes *round_*, what passes the end stands at the beginning."""
    line = np.zeros(count)
    for tone in part.tones:
        start = _samples(tone.onset, performance, bpm) + round(tone.delay_s * RATE)
        length = _samples(tone.onset + tone.duration, performance, bpm) - start
        sound = _tone(tone, part, max(length, 1) / RATE) * (tone.velocity / 127) ** 1.5
        for piece, place in _pieces(len(sound), start, count, round_):
            line[place : place + piece.stop - piece.start] += sound[piece]
    return line


def _pieces(length: int, start: int, count: int, round_: bool) -> Iterator[tuple[slice, int]]:
    """How a sound of *length* samples falls on the line: slices of it and where they stand."""
    begin = 0
    while begin < length:
        place = (start + begin) % count if round_ else start + begin
        piece = min(length - begin, count - place)
        if piece <= 0:
            return
        yield slice(begin, begin + piece), place
        begin += piece


def _tone(tone: Tone, part: Part, seconds: float) -> Samples:
    if part.program is None:
        return wood_block(tone.midi)
    if part.role == "drone":
        return held_pad(tone.midi, seconds)
    if part.role == "chords":
        return _faded(struck_bar(tone.midi, _HELD_BAR_S), seconds)
    sounding = seconds + _FADE_S
    if not tone.glide_s:
        return _faded(plucked(tone.midi, sounding, colour(part.program, tone.soft)), seconds)
    bend = _bent(tone, seconds)
    string = plucked(tone.midi, float(bend[-1]) / RATE + 0.01, colour(part.program, tone.soft))
    return _faded(np.interp(bend, np.arange(len(string)), string), seconds)


def _bent(tone: Tone, seconds: float) -> Samples:
    """Where in the unbent sound each sample of a gliding tone is read, faster or slower by its pitch."""
    count = round((seconds + _FADE_S) * RATE)
    glide = max(1, round(min(tone.glide_s, seconds / 2) * RATE))
    beside = np.zeros(count)
    beside[:glide] = tone.arrives * np.linspace(1, 0, glide)
    end = round(seconds * RATE)
    if tone.leaves:
        beside[end - glide : end] = tone.leaves * np.linspace(0, 1, glide)
        beside[end:] = tone.leaves
    return np.asarray(np.cumsum(2 ** (beside / 12)) - 1)


def _faded(sound: Samples, seconds: float) -> Samples:
    """The first *seconds* of a sound, then a hand on the string."""
    end, fade = round(seconds * RATE), round(_FADE_S * RATE)
    cut = np.array(sound[: end + fade])
    tail = cut[end:]
    tail *= 0.5 + 0.5 * np.cos(np.pi * np.arange(len(tail)) / fade)
    return cut


# --- files ------------------------------------------------------------------------------------------------------------


def wav(sound: Samples) -> bytes:
    """Return a mono WAV file of 16 bits."""
    content = io.BytesIO()
    with wave.open(content, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(_words(sound))
    return content.getvalue()


def mp3(sound: Samples) -> bytes:
    """Return a mono MP3 file, which every telephone plays."""
    return _encoded(sound, format="MP3", compression_level=_MP3_LEVEL, bitrate_mode="CONSTANT")


def flac(sound: Samples) -> bytes:
    """Return a mono FLAC file of 16 bits: every sample of a loop, in a quarter of a WAV file's room."""
    return _encoded(sound, format="FLAC", subtype="PCM_16")


def _encoded(sound: Samples, **how: object) -> bytes:
    try:
        import soundfile  # type: ignore[import-untyped, import-not-found, unused-ignore]
    except ImportError as error:
        raise MachineError("sound files need the package soundfile", _EXTRA) from error
    content = io.BytesIO()
    soundfile.write(content, sound, RATE, **how)
    return content.getvalue()


def _words(sound: Samples) -> bytes:
    return np.round(sound * 32767).astype("<i2").tobytes()
