"""Sounds made from nothing: a plucked string, a struck bar, a held pad, a wood block.

Stage:    7 write
In, Out:  MIDI note numbers and lengths; samples between -1 and 1, 48,000 a second
Units:    seconds, Hz; levels as plain factors
Source:   K. Karplus & A. Strong, "Digital Synthesis of Plucked-String and Drum Timbres", Computer Music Journal 7(2),
          1983; D. Jaffe & J. Smith, "Extensions of the Karplus-Strong Plucked-String Algorithm", the same issue (exact
          tuning, decay times, place of the plectrum); T. Laakso et al., "Splitting the Unit Delay", IEEE Signal
          Processing Magazine 13(1), 1996 (Lagrange interpolation). A4 = 440 Hz: ISO 16:1975. The numbers of each colour
          are our own choice, set by measurement
Not here: which notes sound and how loud (`performance`), mixing (`audio`)

The string begins as a wave without noise, so that every note of one pitch is the same and none begins with a click.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float64]

RATE: Final = 48_000  # the rate whose loudness filters are published, and that of telephones

_HIGHEST_HZ = 11_000  # partials above are damped within milliseconds
_ATTACK_S = 0.002


@dataclass(frozen=True, slots=True)
class Colour:
    """How a string sounds: how long its middle notes ring, how bright they begin and stay, where they are plucked.

    *ring_s* and *bright_ring_s*: seconds to fall by 60 dB, at the pitch itself and at 3 kHz; *slope*: how partials
    fall with their number; *place*: part of the string from the bridge to the plectrum.
    """

    ring_s: float
    bright_ring_s: float
    slope: float
    place: float


_STEEL = Colour(ring_s=5.0, bright_ring_s=1.1, slope=1.1, place=0.13)
_NYLON = Colour(ring_s=3.2, bright_ring_s=0.5, slope=1.5, place=0.22)
_CLEAN = Colour(ring_s=6.0, bright_ring_s=1.4, slope=1.3, place=0.18)
_BASS = Colour(ring_s=6.0, bright_ring_s=0.7, slope=1.5, place=0.2)
_COLOURS = {25: _NYLON, 26: _STEEL, 27: _CLEAN, 28: _CLEAN, 33: _BASS, 34: _BASS, 35: _BASS, 36: _BASS}


def colour(program: int, soft: bool = False) -> Colour:
    """Return the colour for a General MIDI program, from 1; *soft* for a note that no finger or plectrum strikes."""
    found = _COLOURS.get(program, _STEEL)
    return replace(found, slope=found.slope + 0.7, place=0.3) if soft else found


def hertz(midi: int) -> float:
    """The frequency of a MIDI note in equal temperament.

    >>> round(hertz(40), 2), hertz(69)
    (82.41, 440.0)
    """
    return float(440 * 2 ** ((midi - 69) / 12))


def plucked(midi: int, seconds: float, how: Colour) -> Samples:
    """Return a plucked string ringing for *seconds*, rounded up so that few lengths have to be made."""
    return _string(midi, _rounded_up(seconds), how)[: round(seconds * RATE)]


def _rounded_up(seconds: float) -> float:
    return float(2.0 ** np.ceil(np.log2(max(seconds, 0.25))))


# A book has few pitches and a track few lengths: these caches hold some tens of megabytes at most.
@lru_cache(maxsize=96)
def _string(midi: int, seconds: float, how: Colour) -> Samples:
    """A wave that runs round a loop one period long, a little duller and softer each time.

    The loop is a filter of six taps: a symmetric low pass (one sample of delay, whatever the pitch) and a cubic
    interpolation for the part of the period that is no whole sample. Every round is worked out at once.
    """
    frequency = hertz(midi)
    period = RATE / frequency
    whole = int(period - 1) - 1
    taps = np.convolve(_interpolation(period - 1 - whole), _low_pass(frequency, how))
    count = round(seconds * RATE)
    wave = np.zeros(whole + len(taps) + count + whole)
    begin = whole + len(taps) - 1
    wave[:begin] = _first_round(begin, period, frequency, how)
    for start in range(begin, begin + count, whole):
        wave[start : start + whole] = np.convolve(wave[start - whole - len(taps) + 1 : start], taps, "valid")
    sound = wave[:count]
    sound[: round(_ATTACK_S * RATE)] *= _rise(round(_ATTACK_S * RATE))
    return np.asarray(sound / np.abs(sound).max())


def _interpolation(delay: float) -> Samples:
    """Lagrange's cubic through four samples, for a *delay* between 1 and 2."""
    points = np.arange(4)
    return np.array([np.prod([(delay - m) / (k - m) for m in points if m != k]) for k in points])


def _low_pass(frequency: float, how: Colour) -> Samples:
    """Three symmetric taps that make the pitch and 3 kHz fall by 60 dB in their times; high strings ring shorter."""
    ring_s = how.ring_s * (220 / max(frequency, 110)) ** 0.5
    at_pitch = 10 ** (-3 / (frequency * ring_s))
    at_3k = 10 ** (-3 / (frequency * min(how.bright_ring_s, ring_s)))
    low, high = np.cos(2 * np.pi * frequency / RATE), np.cos(2 * np.pi * max(3000, 2 * frequency) / RATE)
    side = min(0.25, max(0.0, (at_pitch - at_3k) / (2 * (low - high))))
    middle = at_pitch - 2 * side * low
    return np.array([side, middle, side])


def _first_round(count: int, period: float, frequency: float, how: Colour) -> Samples:
    """The string as the plectrum leaves it: partials by the place of the stroke, all beginning at zero."""
    partials = np.arange(1, max(2, int(_HIGHEST_HZ / frequency) + 1))
    levels = np.sin(np.pi * partials * how.place) / partials**how.slope
    waves = np.sin(2 * np.pi * partials[:, None] * np.arange(count)[None, :] / period)
    return np.asarray(levels @ waves)


def _rise(count: int) -> Samples:
    return np.asarray(0.5 - 0.5 * np.cos(np.pi * np.arange(count) / count))


@lru_cache(maxsize=32)
def struck_bar(midi: int, seconds: float) -> Samples:
    """Return a soft keyboard's note: few partials, each dying in its own time."""
    time = np.arange(round(seconds * RATE)) / RATE
    partials = ((1, 1.0, 1.6), (2, 0.22, 1.0), (3, 0.1, 0.5), (7, 0.04, 0.12))
    sound = sum(
        (
            level * np.exp(-time / fall) * np.sin(2 * np.pi * number * hertz(midi) * time)
            for number, level, fall in partials
        ),
        np.zeros_like(time),
    )
    return _with_attack(sound, 0.006)


@lru_cache(maxsize=2)
def held_pad(midi: int, seconds: float) -> Samples:
    """Return a note that stays as it is for as long as it is held."""
    time = np.arange(round(seconds * RATE)) / RATE
    sound = sum(
        (np.sin(2 * np.pi * number * hertz(midi) * time) / number**2 for number in (1, 2, 3, 4)), np.zeros_like(time)
    )
    return _with_attack(sound, 0.15)


@lru_cache(maxsize=8)
def wood_block(key: int) -> Samples:
    """Return a hi (76) or low (77) wood block: two partials of a hollow block, gone in a twentieth of a second."""
    pitch = 1250.0 if key == 76 else 920.0
    time = np.arange(round(0.06 * RATE)) / RATE
    sound = np.sin(2 * np.pi * pitch * time) + 0.5 * np.sin(2 * np.pi * 2.76 * pitch * time) * np.exp(-time / 0.004)
    return _with_attack(sound * np.exp(-time / 0.010), 0.0008)


def _with_attack(sound: Samples, attack_s: float) -> Samples:
    count = min(len(sound), round(attack_s * RATE))
    sound[:count] *= _rise(count)
    fall = min(len(sound), round(0.002 * RATE))
    sound[len(sound) - fall :] *= _rise(fall)[::-1]
    return np.asarray(sound / max(1e-9, np.abs(sound).max()))
