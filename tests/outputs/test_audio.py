"""Sounds are measured: pitch by Fourier transform, level, length, clicks, the seam of a loop.

Source:   one cent = a hundredth of a semitone; LUFS by ITU-R BS.1770-4, whose own example (a sine of 997 Hz at full
          scale is -3.01 LUFS on one channel) is among the tests
"""

from __future__ import annotations

import io
import wave
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pretty_midi
import pytest
import soundfile

from builder.errors import MachineError
from builder.outputs.audio import flac, loop, mp3, track, wav
from builder.outputs.loudness import loudness
from builder.outputs.performance import Performance, perform
from builder.outputs.plucked import RATE, Samples, colour, hertz, plucked, wood_block
from builder.outputs.sound import load_sound
from builder.theory.score import Study
from tests.outputs.pieces import CUES, STUDIES

SOUNDFONT = Path(pretty_midi.__file__).parent / "TimGM6mb.sf2"
PROGRAMS = sorted(set(load_sound().programs.values()))


def played(name: str) -> Performance:
    return perform(STUDIES[name](), load_sound(), CUES)


def study_alone(name: str) -> Performance:
    performance = played(name)
    return replace(performance, parts=tuple(part for part in performance.parts if part.role == "study"))


@cache
def loop_of(name: str, bpm: int) -> Samples:
    return loop(played(name), bpm)


def measured_hz(sound: Samples, near: float) -> float:
    """The frequency of the strongest partial within a semitone of *near*, by a parabola through the peak."""
    size = 8 * 2 ** int(np.ceil(np.log2(len(sound))))
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound)), size))
    low, high = int(near * 0.945 * size / RATE), int(near * 1.06 * size / RATE) + 2
    peak = low + int(np.argmax(spectrum[low:high]))
    left, middle, right = np.log(spectrum[peak - 1 : peak + 2])
    return float((peak + 0.5 * (left - right) / (left - 2 * middle + right)) * RATE / size)


def cents(found: float, wanted: float) -> float:
    return float(1200 * np.log2(found / wanted))


# --- one note ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("soft", [False, True])
@pytest.mark.parametrize("program", PROGRAMS)
def test_every_string_is_in_tune_within_a_cent(program: int, soft: bool) -> None:
    for midi in range(23, 101, 1 if program == 26 and not soft else 7):
        sound = plucked(midi, 2, colour(program, soft))[RATE // 10 :][:RATE]
        assert abs(cents(measured_hz(sound, hertz(midi)), hertz(midi))) < 0.05, midi


def test_the_measure_of_pitch_is_not_blind() -> None:
    sound = plucked(64, 2, colour(26))[RATE // 10 :][:RATE]
    assert abs(cents(measured_hz(sound, hertz(64) * 1.0006), hertz(64) * 1.0006)) > 0.9


@pytest.mark.parametrize("midi", [28, 40, 52, 64, 76, 88])
def test_a_string_dies_away_and_never_grows(midi: int) -> None:
    sound = plucked(midi, 4, colour(26))
    levels = [float(np.sqrt(np.mean(piece**2))) for piece in np.split(sound, 16)]
    assert all(later < earlier for earlier, later in pairwise(levels))
    assert levels[-1] < levels[0] / 8


def test_a_slurred_note_is_duller_than_a_struck_one() -> None:
    def brightness(soft: bool) -> float:
        spectrum = np.abs(np.fft.rfft(plucked(52, 1, colour(26, soft)))) ** 2
        return float((spectrum * np.arange(len(spectrum))).sum() / spectrum.sum())

    assert brightness(True) < 0.7 * brightness(False)


@pytest.mark.parametrize("midi", [28, 52, 76])
def test_a_note_begins_at_nothing(midi: int) -> None:
    sound = plucked(midi, 1, colour(26))
    assert abs(sound[0]) < 1e-6
    assert np.abs(np.diff(sound[:24])).max() < np.abs(np.diff(sound)).max()


def test_the_accented_click_is_higher() -> None:
    low, high = (int(np.argmax(np.abs(np.fft.rfft(wood_block(key), RATE)))) for key in (77, 76))
    assert high > 1.2 * low


# --- loudness ---------------------------------------------------------------------------------------------------------


def test_loudness_of_the_standards_own_example() -> None:
    sine = np.sin(2 * np.pi * 997 * np.arange(4 * RATE) / RATE)
    assert loudness(sine) == pytest.approx(-3.01, abs=0.02)
    assert loudness(sine / 10) == pytest.approx(-23.01, abs=0.02)


def test_silence_has_no_loudness_and_does_not_count() -> None:
    sine = np.sin(2 * np.pi * 997 * np.arange(4 * RATE) / RATE)
    assert loudness(np.zeros(RATE)) is None
    assert loudness(np.concatenate([sine, np.zeros(20 * RATE)])) == pytest.approx(-3.01, abs=0.4)


@pytest.mark.parametrize("name", ["ferry", "bass", "bass5", "uke", "high", "strums", "plucked", "tremolo", "harmonics"])
def test_every_study_is_equally_loud_at_every_tempo(name: str) -> None:
    alone = study_alone(name)
    for bpm in {alone.study.tempo_steps[0], alone.study.tempo_steps[-1]}:
        assert loudness(track(alone, bpm)) == pytest.approx(-23, abs=0.1)


@pytest.mark.parametrize("name", ["ferry", "bass", "strums", "plucked", "seven-strums", "high-strums"])
def test_nothing_clips(name: str) -> None:
    sound = track(played(name), 108)
    assert 0.1 < np.abs(sound).max() <= 0.89 + 1e-9


# --- tracks -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "bpm"), [("ferry", 60), ("ferry", 101), ("compound", 72), ("sevens", 96)])
def test_a_track_lasts_as_long_as_its_bars_and_a_moment_more(name: str, bpm: int) -> None:
    performance = played(name)
    study = performance.study
    beats = (study.bars + 2) * study.meter.bar / study.meter.beat
    assert len(track(performance, bpm)) == round(float(beats * 60 / bpm) * RATE) + RATE // 2


def test_every_note_sounds_its_pitch_when_the_json_says() -> None:
    performance = study_alone("ferry")
    sound = track(performance, 60)
    for tone in performance.parts[0].tones:
        start = int(tone.onset * 4 * RATE)
        assert np.abs(sound[start : start + RATE // 50]).max() > 0.05
        piece = sound[start + RATE // 50 : start + int(tone.duration * 4 * RATE)]
        assert abs(cents(measured_hz(piece, hertz(tone.midi)), hertz(tone.midi))) < 12, tone


def test_rests_are_silent() -> None:
    performance = study_alone("ferry")
    sound = track(performance, 60)
    for event in performance.study.events:
        if not hasattr(event, "pitch"):
            start = float((event.onset + performance.begins) * 4)
            rest = sound[round((start + 0.04) * RATE) : round((start + float(event.duration * 4)) * RATE) - 1]
            assert np.abs(rest).max() < 1e-9


def test_no_note_ends_with_a_click() -> None:
    """Where a note is damped the wave never jumps further than it does while notes ring."""
    performance = study_alone("ferry")
    sound = track(performance, 60)
    jumps = np.abs(np.diff(sound, 2))
    ends = {round(float((tone.onset + tone.duration) * 4) * RATE) for tone in performance.parts[0].tones}
    starts = {round(float(tone.onset * 4) * RATE) for tone in performance.parts[0].tones}
    last = [end for end in ends if end not in starts]
    assert len(last) == 8
    for end in last:
        assert jumps[end - 10 : end + RATE // 25].max() <= jumps[end - RATE // 10 : end - 10].max()


def test_a_bend_begins_at_the_old_pitch_and_reaches_the_new() -> None:
    performance = study_alone("slides")
    sound = track(performance, 60)
    bends = [tone for tone in performance.parts[0].tones if tone.arrives == -2 and tone.glide_s > 0.1]
    assert bends
    for tone in bends:
        start = int(tone.onset * 4 * RATE)
        early = measured_hz(sound[start + 200 : start + 2200], hertz(tone.midi) * 2 ** (-1.6 / 12))
        late = measured_hz(sound[start + RATE // 4 : start + RATE // 2 - 500], hertz(tone.midi))
        assert -210 < cents(early, hertz(tone.midi)) < -100
        assert abs(cents(late, hertz(tone.midi))) < 8


# --- loops ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "bpm"), [("ferry", 60), ("ferry", 101), ("plucked", 108), ("sevens", 96)])
def test_a_loop_is_exactly_its_bars_long(name: str, bpm: int) -> None:
    study: Study = STUDIES[name]()
    beats = study.bars * study.meter.bar / study.meter.beat
    assert len(loop_of(name, bpm)) == round(beats * Fraction(60 * RATE, bpm))


@pytest.mark.parametrize(("name", "bpm"), [("ferry", 60), ("plucked", 108), ("strums", 108), ("tremolo", 72)])
def test_the_seam_of_a_loop_is_like_any_other_place(name: str, bpm: int) -> None:
    sound = loop_of(name, bpm)
    twice = np.concatenate([sound, sound])
    steps = np.abs(np.diff(twice, 2))
    seam = steps[len(sound) - 4 : len(sound) + 4].max()
    assert seam <= np.quantile(steps, 0.999)


def test_what_rings_at_the_end_of_a_loop_rings_on_at_its_beginning() -> None:
    alone = study_alone("plucked")
    sound = loop(alone, 108)
    first = round(float(alone.parts[0].tones[0].onset - alone.begins) * RATE)
    assert first == 0
    plain = track(alone, 108)[round(float(alone.begins * 4) * 60 / 108 * RATE) :]
    tail = slice(0, RATE // 100)
    assert np.abs(sound[tail] - plain[tail]).max() > 1e-3


# --- files ------------------------------------------------------------------------------------------------------------


def test_a_wav_file_holds_the_samples() -> None:
    sound = loop_of("ferry", 60)
    with wave.open(io.BytesIO(wav(sound))) as file:
        assert (file.getnchannels(), file.getframerate(), file.getnframes()) == (1, RATE, len(sound))
        words = np.frombuffer(file.readframes(len(sound)), "<i2") / 32767
    assert np.abs(words - sound).max() <= 0.5 / 32767 + 1e-9


def test_a_flac_file_holds_every_sample_in_less_room() -> None:
    sound = loop_of("ferry", 101)
    data, rate = soundfile.read(io.BytesIO(flac(sound)))
    assert (rate, len(data)) == (RATE, len(sound))
    assert np.abs(data - sound).max() < 1 / 32767
    assert len(flac(sound)) < len(wav(sound)) / 2


def test_an_mp3_file_sounds_the_same() -> None:
    sound = track(study_alone("one"), 60)
    data, rate = soundfile.read(io.BytesIO(mp3(sound)))
    assert rate == RATE
    assert abs(len(data) - len(sound)) < RATE // 10
    # LAME turns everything down by a twentieth, so that what it adds does not clip.
    assert np.sqrt((data**2).sum()) == pytest.approx(0.95 * np.sqrt((sound**2).sum()), rel=0.01)
    shift = int(np.argmax(np.correlate(data[: 10 * RATE], sound[7 * RATE : 8 * RATE + 4800], "valid")))
    assert abs(shift - 7 * RATE) < RATE // 20


# --- a soundfont ------------------------------------------------------------------------------------------------------


def test_a_soundfont_plays_the_same_notes_as_loud() -> None:
    alone = study_alone("ferry")
    sound = track(alone, 60, SOUNDFONT)
    assert len(sound) == len(track(alone, 60))
    assert loudness(sound) == pytest.approx(-23, abs=0.1)
    for tone in alone.parts[0].tones[:18]:
        start = int(tone.onset * 4 * RATE)
        piece = sound[start + RATE // 40 : start + int(tone.duration * 4 * RATE)]
        assert abs(cents(measured_hz(piece, hertz(tone.midi)), hertz(tone.midi))) < 30, tone


def test_a_soundfonts_loop_has_no_seam() -> None:
    sound = loop(study_alone("plucked"), 108, SOUNDFONT)
    steps = np.abs(np.diff(np.concatenate([sound, sound]), 2))
    assert len(sound) == len(loop_of("plucked", 108))
    assert steps[len(sound) - 4 : len(sound) + 4].max() <= np.quantile(steps, 0.999)


def test_a_file_that_is_no_soundfont_is_the_users_mistake(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.sf2"
    wrong.write_bytes(b"nothing of the kind")
    for path in (wrong, tmp_path / "missing.sf2"):
        with pytest.raises(MachineError, match=r"\.sf2"):
            track(study_alone("one"), 60, path)
