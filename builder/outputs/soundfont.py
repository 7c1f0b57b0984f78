"""Sound from a soundfont of the user's own.

Stage:    7 write
In, Out:  an SF2 file and the bytes of a MIDI file; mono samples, 48,000 a second
Source:   SoundFont Technical Specification 2.04 (a RIFF file of the form `sfbk`)
Not here: sound without a soundfont (`plucked`), mixing (`audio`)
"""

from __future__ import annotations

import io
import wave
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path

import mido  # type: ignore[import-untyped]
import numpy as np

from builder.errors import MachineError
from builder.outputs.plucked import RATE, Samples

_EXTRA = "pip install 'etudebook[audio]'"
_TRIAL_NOTE = 52  # E3: every stringed instrument of General MIDI has it or a neighbour


def soundfont_fault(path: Path, programs: Iterable[int]) -> str:
    """Say what is wrong with a soundfont, empty where it plays all *programs*, which count from 1.

    Raises MachineError when the synthesizer is not installed.
    """
    try:
        content = path.read_bytes()
    except OSError as error:
        return (
            "no such file" if isinstance(error, FileNotFoundError) else f"a file that can't be read ({error.strerror})"
        )
    if content[:4] != b"RIFF" or content[8:12] != b"sfbk":
        return "a file of another kind"
    for program in sorted(set(programs)):
        try:
            sound = _rendered(path, _trial(program))
        except ValueError:
            return "a damaged soundfont"
        if not np.abs(sound).max(initial=0.0) > 0:
            return f"a soundfont that is silent on General MIDI program {program}"
    return ""


def synthesized(soundfont: Path, midi: bytes, count: int) -> Samples:
    """Return what *soundfont* makes of a MIDI file: its two channels as one, *count* samples of it."""
    try:
        mono = _rendered(soundfont, midi)[:count]
    except (OSError, ValueError) as error:
        raise MachineError(f"{soundfont}: can't be read as a soundfont", "name an SF2 file") from error
    return np.concatenate([mono, np.zeros(count - len(mono))])


def _rendered(soundfont: Path, midi: bytes) -> Samples:
    """All of a MIDI file as sound; ValueError for a soundfont that can't be played."""
    try:
        import midirenderer  # type: ignore[import-not-found, unused-ignore]
    except ImportError as error:
        raise MachineError("soundfonts need the package midirenderer", _EXTRA) from error
    try:
        content = midirenderer.render_wave_from(_content(soundfont), midi)
    except (ValueError, RuntimeError) as error:
        raise ValueError(str(error)) from error
    with wave.open(io.BytesIO(content)) as file:
        if file.getframerate() != RATE:
            raise MachineError(f"midirenderer renders {file.getframerate()} samples a second, not {RATE}", _EXTRA)
        words = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2")
    return np.asarray(words.reshape(-1, 2).mean(axis=1) / 32768)


@lru_cache(maxsize=1)
def _content(soundfont: Path) -> bytes:
    return soundfont.read_bytes()


def _trial(program: int) -> bytes:
    """A MIDI file of one short note."""
    track = mido.MidiTrack(
        [
            mido.Message("program_change", program=program - 1),
            mido.Message("note_on", note=_TRIAL_NOTE, velocity=100),
            mido.Message("note_off", note=_TRIAL_NOTE, velocity=0, time=120),
            mido.MetaMessage("end_of_track"),
        ]
    )
    file = io.BytesIO()
    mido.MidiFile(tracks=[track]).save(file=file)
    return file.getvalue()
