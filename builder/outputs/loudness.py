"""How loud a sound is to the ear, so that tracks can be matched.

Stage:    7 write
In, Out:  mono samples at 48,000 a second; LUFS, None for silence
Source:   ITU-R BS.1770-4, 2015: K-weighting (annex 1, tables 1 and 2, given for this rate), blocks of 0.4 s overlapping
          by three quarters, gates at -70 LUFS and 10 LU below the ungated level
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from builder.outputs.plucked import RATE, Samples

# The two filters of the standard as (numerator, denominator): the head's shelf, then the high pass.
_SHELF = ((1.53512485958697, -2.69169618940638, 1.19839281085285), (1.0, -1.69065929318241, 0.73248077421585))
_HIGH_PASS = ((1.0, -2.0, 1.0), (1.0, -1.99004745483398, 0.99007225036621))
_BLOCK, _STEP = round(0.4 * RATE), round(0.1 * RATE)
_PIECE, _MEMORY = 2**15, 2**12  # the high pass forgets by 60 dB in 1,400 samples
_OFFSET = -0.691
_SILENCE, _RELATIVE = -70.0, -10.0


def loudness(sound: Samples) -> float | None:
    """Return the integrated loudness of *sound*; None where nothing passes the first gate."""
    weighted = _weighted(sound)
    padded = np.concatenate([weighted, np.zeros(max(0, _BLOCK - len(weighted)))])
    energy = np.concatenate([[0.0], np.cumsum(padded**2)])
    starts = np.arange(0, len(padded) - _BLOCK + 1, _STEP)
    means = (energy[starts + _BLOCK] - energy[starts]) / _BLOCK
    means = means[_lufs(means) > _SILENCE]
    if not len(means):
        return None
    means = means[_lufs(means) > _lufs(np.mean(means)) + _RELATIVE]
    return float(_lufs(np.mean(means)))


def _lufs(power: NDArray[np.float64] | np.floating[np.typing.NBitBase]) -> NDArray[np.float64]:
    return np.asarray(_OFFSET + 10 * np.log10(np.maximum(power, 1e-20)))


def _weighted(sound: Samples) -> Samples:
    """The sound through both filters, piece by piece, as products of spectra.

    Each piece begins with the last samples of the one before, longer than the filters remember.
    """
    hop = _PIECE - _MEMORY
    count = -(-len(sound) // hop)
    padded = np.concatenate([np.zeros(_MEMORY), sound, np.zeros(count * hop - len(sound))])
    pieces = np.lib.stride_tricks.sliding_window_view(padded, _PIECE)[::hop]
    weighted = np.fft.irfft(np.fft.rfft(pieces) * _response(), _PIECE)
    return np.asarray(weighted[:, _MEMORY:].reshape(-1)[: len(sound)])


@cache
def _response() -> NDArray[np.complex128]:
    """What both filters do to the frequencies of a piece."""
    z = np.exp(-2j * np.pi * np.fft.rfftfreq(_PIECE))
    response = np.ones(len(z), dtype=complex)
    for above, below in (_SHELF, _HIGH_PASS):
        response *= (above[0] + above[1] * z + above[2] * z**2) / (below[0] + below[1] * z + below[2] * z**2)
    return response
