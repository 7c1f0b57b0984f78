"""MIDI tracks: what three readers find in them, their tempo, ticks, tracks, marks and bends.

Source:   the tables of ticks and microseconds are worked out from the definitions of Standard MIDI Files 1.0 by hand
"""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Callable
from fractions import Fraction

import mido
import music21
import pretty_midi
import pytest
import symusic
from hypothesis import given
from hypothesis import strategies as st

from builder.outputs.backing import voiced
from builder.outputs.midi import (
    TICKS_A_QUARTER,
    all_tempos_midi,
    microseconds_a_quarter,
    midi_key,
    plain_text,
    tempo_midi,
)
from builder.outputs.performance import Performance, TrackRule, perform
from builder.outputs.sound import load_sound
from builder.outputs.study_json import study_json
from builder.spec import load_library
from builder.theory.fretboard import Instrument
from builder.theory.harmony import chord_qualities, parse_chord, parse_key
from builder.theory.rhythm import Meter
from builder.theory.score import Study
from tests.outputs.pieces import CUES, STUDIES, demo_studies, example_studies, random_studies

Sounding = Counter[tuple[int, int]]  # the pitch and onset, in ticks, of every note
SOUND = load_sound()


def played(study: Study, rule: TrackRule | None = None) -> Performance:
    return perform(study, SOUND, CUES, rule)


def expected(study: Study, begins: Fraction) -> list[tuple[int, Fraction]]:
    """What the JSON says is struck or slurred, from the start of the track."""
    events = study_json(study)["events"]
    return [(e["midi"], Fraction(e["onset"]) + begins) for e in events if e["kind"] == "note" and not e["tied"]]


def late(performance: Performance, bpm: int) -> float:
    """How many ticks the last string of any strum may be late."""
    (part,) = [part for part in performance.parts if part.role == "study"]
    a_second = bpm * float(performance.study.meter.beat) * 4 * TICKS_A_QUARTER / 60
    return max(tone.delay_s for tone in part.tones) * a_second + 1


def by_mido(data: bytes) -> list[tuple[int, int]]:
    (track,) = [track for track in mido.MidiFile(file=io.BytesIO(data)).tracks if track.name == "Study"]
    return [(message.note, tick) for tick, message in timed(track) if message.type == "note_on"]


def by_pretty_midi(data: bytes) -> list[tuple[int, int]]:
    midi = pretty_midi.PrettyMIDI(io.BytesIO(data))
    notes = [note for one in midi.instruments if one.name == "Study" for note in one.notes]
    return [(note.pitch, midi.time_to_tick(note.start)) for note in notes]


def by_symusic(data: bytes) -> list[tuple[int, int]]:
    score = symusic.Score.from_midi(data)
    assert score.ticks_per_quarter == TICKS_A_QUARTER
    return [(note.pitch, note.time) for track in score.tracks if track.name == "Study" for note in track.notes]


def by_music21(data: bytes) -> list[tuple[int, int]]:
    file = music21.midi.MidiFile()
    file.readstr(data)
    score = music21.midi.translate.midiFileToStream(file, quantizePost=False)
    (part,) = [part for part in score.parts if part.partName == "Study"]
    found = []
    for note in part.recurse().notes:
        for one in note.notes if isinstance(note, music21.chord.Chord) else (note,):
            if one.tie is None or one.tie.type == "start":  # a note that rings over a barline is written as two
                found.append((one.pitch.midi, note.getOffsetInHierarchy(part)))
    return [(midi, round(float(offset) * TICKS_A_QUARTER)) for midi, offset in found]


def timed(track: mido.MidiTrack) -> list[tuple[int, mido.Message]]:
    tick, found = 0, []
    for message in track:
        tick += message.time
        found.append((tick, message))
    return found


def tracks(data: bytes) -> dict[str, list[tuple[int, mido.Message]]]:
    return {track.name: timed(track) for track in mido.MidiFile(file=io.BytesIO(data)).tracks}


def check(found: list[tuple[int, int]], study: Study, performance: Performance, bpm: int) -> None:
    wanted = sorted((midi, round(onset * 4 * TICKS_A_QUARTER)) for midi, onset in expected(study, performance.begins))
    assert len(found) == len(wanted)
    for (midi, tick), (wanted_midi, wanted_tick) in zip(sorted(found), wanted, strict=True):
        assert midi == wanted_midi
        assert -1 <= tick - wanted_tick <= late(performance, bpm)


READERS = [by_mido, by_pretty_midi, by_symusic, by_music21]


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("name", STUDIES)
def test_every_reader_finds_the_pitches_and_onsets_of_the_json(
    reader: Callable[[bytes], list[tuple[int, int]]], name: str
) -> None:
    study = STUDIES[name]()
    performance = played(study)
    # music21 takes a tenth of a second a file, and the notes of all tempos are the same.
    steps = study.tempo_steps if reader is not by_music21 else study.tempo_steps[:1]
    for bpm in steps:
        check(reader(tempo_midi(performance, bpm)), study, performance, bpm)


@pytest.mark.parametrize("reader", READERS)
def test_every_reader_finds_them_in_the_demonstration_book_and_in_every_kind_of_material(
    reader: Callable[[bytes], list[tuple[int, int]]],
) -> None:
    for study in (*demo_studies(), *example_studies()):
        performance = played(study)
        for bpm in study.tempo_steps if reader is not by_music21 else study.tempo_steps[:1]:
            check(reader(tempo_midi(performance, bpm)), study, performance, bpm)


@pytest.mark.parametrize("reader", READERS[:3])
def test_every_reader_finds_them_in_the_long_files_of_the_demonstration_book(
    reader: Callable[[bytes], list[tuple[int, int]]],
) -> None:
    for study in demo_studies():
        performance = played(study)
        one_pass = int((performance.length + performance.between) * 4 * TICKS_A_QUARTER)
        found = reader(all_tempos_midi(performance))
        for number, bpm in enumerate(study.tempo_steps):
            inside = [(midi, tick - number * one_pass) for midi, tick in found]
            check([pair for pair in inside if 0 <= pair[1] < one_pass], study, performance, bpm)


def test_random_exercises_are_found_again() -> None:
    studies = random_studies()
    assert len(studies) > 40
    for study in studies:
        performance = played(study)
        check(by_mido(tempo_midi(performance, study.tempo_steps[0])), study, performance, study.tempo_steps[0])


@pytest.mark.parametrize("name", STUDIES)
def test_the_long_file_plays_every_step_with_a_rest_between(name: str) -> None:
    study = STUDIES[name]()
    performance = played(study)
    data = all_tempos_midi(performance)
    one_pass = int((performance.length + performance.between) * 4 * TICKS_A_QUARTER)
    assert performance.between == 2 * study.meter.bar
    found = by_mido(data)
    for number, bpm in enumerate(study.tempo_steps):
        inside = [(midi, tick - number * one_pass) for midi, tick in found]
        check([pair for pair in inside if 0 <= pair[1] < one_pass], study, performance, bpm)
    tempos = [(tick, m.tempo) for tick, m in tracks(data)[plain_text(study.title)] if m.type == "set_tempo"]
    assert tempos == [
        (number * one_pass, microseconds_a_quarter(bpm, study.meter)) for number, bpm in enumerate(study.tempo_steps)
    ]


# --- tempo, meter, key, ticks -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("bpm", "microseconds"),
    [
        *[(60, 1000000), (72, 833333), (80, 750000), (90, 666667), (96, 625000), (100, 600000), (108, 555556)],
        *[(120, 500000), (132, 454545), (144, 416667), (160, 375000), (176, 340909), (184, 326087), (200, 300000)],
        (208, 288462),
    ],
)
def test_the_tempo_event_is_rounded_to_the_nearest_microsecond(bpm: int, microseconds: int) -> None:
    assert microseconds_a_quarter(bpm, Meter(4, 4)) == microseconds


def test_the_beat_of_six_eight_is_a_dotted_quarter() -> None:
    assert microseconds_a_quarter(60, Meter(6, 8)) == 666667
    study = STUDIES["compound"]()
    (first, *_) = tracks(tempo_midi(played(study), 60)).values()
    assert [m.tempo for _, m in first if m.type == "set_tempo"] == [666667]
    (meter,) = [m for _, m in first if m.type == "time_signature"]
    assert (meter.numerator, meter.denominator, meter.clocks_per_click) == (6, 8, 36)


@pytest.mark.parametrize(
    ("notes_a_quarter", "ticks"), [(2, 1680), (3, 1120), (4, 840), (5, 672), (6, 560), (7, 480), (8, 420)]
)
def test_one_to_eight_notes_a_beat_are_exact(notes_a_quarter: int, ticks: int) -> None:
    assert TICKS_A_QUARTER / notes_a_quarter == ticks


def test_septuplets_end_on_the_beat() -> None:
    study = STUDIES["sevens"]()
    performance = played(study)
    ticks = sorted(tick for _, tick in by_mido(tempo_midi(performance, 60)))
    start = int(performance.begins * 4 * TICKS_A_QUARTER)
    assert [tick - start for tick in ticks[:8]] == [240 * k for k in range(8)]


@pytest.mark.parametrize(
    ("key", "written"),
    [
        *[("C major", "C"), ("D minor", "Dm"), ("Gb major", "Gb"), ("C# minor", "C#m"), ("E dorian", "D")],
        *[("D lydian", "A"), ("A harmonic minor", "Am"), ("A blues", "Am"), ("Eb minor", "Ebm"), ("B phrygian", "G")],
    ],
)
def test_the_key_event_has_the_printed_signature(key: str, written: str) -> None:
    assert midi_key(parse_key(key)) == written
    mido.MetaMessage("key_signature", key=written)


# --- tracks -----------------------------------------------------------------------------------------------------------


def test_every_part_has_a_track_of_its_name() -> None:
    study = STUDIES["ferry"]()
    assert list(tracks(tempo_midi(played(study), 60))) == [
        *["Ferry Steps", "Count-in", "Click", "Study", "Chords", "Bass"],
    ]
    assert "Drone" in tracks(tempo_midi(played(study, TrackRule(drone=True)), 60))


def test_every_instrument_of_the_library_has_a_program_of_its_own_family() -> None:
    for name, instrument in load_library().instruments.items():
        assert name in SOUND.programs
        low = instrument.clef == "bass_8"
        assert (33 <= SOUND.program(instrument) <= 40) == low
    own = Instrument("own instrument", STUDIES["bass"]().instrument.open_strings, 20, 800, clef="bass_8")
    assert SOUND.program(own) == SOUND.programs["bass"]


@pytest.mark.parametrize("name", ["guitar", "bass", "uke"])
def test_the_study_sounds_on_its_instruments_program(name: str) -> None:
    study = STUDIES["ferry" if name == "guitar" else name]()
    events = tracks(tempo_midi(played(study), 60))["Study"]
    programs = {m.program + 1 for _, m in events if m.type == "program_change"}
    assert programs == {{"guitar": 26, "bass": 34, "uke": 25}[name]}


def test_only_the_click_is_on_the_percussion_channel() -> None:
    for name, events in tracks(tempo_midi(played(STUDIES["ferry"](), TrackRule(drone=True)), 60)).items():
        channels = {m.channel for _, m in events if m.type == "note_on"}
        assert not channels or (channels == {9}) == (name in ("Count-in", "Click"))


def test_two_bars_are_counted_in_with_wood_blocks() -> None:
    found = tracks(tempo_midi(played(STUDIES["ferry"]()), 60))
    counted = [(tick, m.note, m.velocity) for tick, m in found["Count-in"] if m.type == "note_on"]
    assert [(tick // TICKS_A_QUARTER, note) for tick, note, _ in counted] == [
        (beat, 76 if beat % 4 == 0 else 77) for beat in range(8)
    ]
    assert counted[0][2] > max(velocity for _, note, velocity in counted if note == 77)
    first = min(tick for tick, m in found["Study"] if m.type == "note_on")
    assert first == 8 * TICKS_A_QUARTER


@pytest.mark.parametrize("division", [1, 2, 3, 4])
def test_the_click_divides_the_beat_as_chosen(division: int) -> None:
    study = STUDIES["ferry"]()
    events = tracks(tempo_midi(played(study, TrackRule(division=division)), 60))["Click"]
    clicks = [(tick, m.velocity) for tick, m in events if m.type == "note_on"]
    assert len(clicks) == study.bars * 4 * division
    on_beat = [velocity for tick, velocity in clicks if tick % TICKS_A_QUARTER == 0]
    between = [velocity for tick, velocity in clicks if tick % TICKS_A_QUARTER]
    assert all(velocity < min(on_beat) for velocity in between)


def test_groups_of_an_uneven_meter_stand_out() -> None:
    events = tracks(tempo_midi(played(STUDIES["sevens"]()), 60))["Count-in"]
    loud = [m.velocity for _, m in events if m.type == "note_on"][:7]
    hits = SOUND.click
    assert loud == [
        getattr(hits, name).velocity for name in ("downbeat", "beat", "group", "beat", "group", "beat", "beat")
    ]


@pytest.mark.parametrize("name", STUDIES)
def test_accents_are_louder_and_slurs_softer(name: str) -> None:
    study = STUDIES[name]()
    performance = played(study)
    tones = next(part for part in performance.parts if part.role == "study").tones
    struck = [e for e in study_json(study)["events"] if e["kind"] == "note" and not e["tied"]]
    assert len(tones) == len(struck)
    by_place = {(Fraction(e["onset"]), e["string"]): e for e in struck}
    for tone in tones:
        event = by_place[tone.onset - performance.begins, tone.string]
        if event["slurred"]:
            assert tone.soft
            assert tone.velocity < SOUND.velocities.plain
        else:
            assert (tone.velocity > SOUND.velocities.plain) == event["accent"]


@pytest.mark.parametrize("name", STUDIES)
def test_every_note_ends_before_the_same_key_begins_again_on_its_channel(name: str) -> None:
    study = STUDIES[name]()
    for data in (tempo_midi(played(study), study.tempo_steps[-1]), all_tempos_midi(played(study))):
        for events in tracks(data).values():
            down: set[tuple[int, int]] = set()
            for _, message in events:
                if message.type == "note_on":
                    assert (message.channel, message.note) not in down
                    down.add((message.channel, message.note))
                elif message.type == "note_off":
                    down.remove((message.channel, message.note))
            assert not down


def test_all_tracks_end_with_the_last_bar() -> None:
    study = STUDIES["ferry"]()
    ends = {events[-1][0] for events in tracks(tempo_midi(played(study), 60)).values()}
    assert ends == {(2 + study.bars) * 4 * TICKS_A_QUARTER}


def test_bursts_and_checkpoints_are_marked() -> None:
    study = STUDIES["ferry"]()
    marks = [(tick, m.text) for tick, m in tracks(tempo_midi(played(study), 72))["Ferry Steps"] if m.type == "marker"]
    bar = 4 * TICKS_A_QUARTER
    assert marks[:4] == [
        (0, "Tempo 72"),
        (2 * bar, "Burst 1"),
        (2 * bar + bar * 3 // 4, "Let go: jaw"),
        (3 * bar, "Burst 2"),
    ]
    rests = [e for e in study_json(study)["events"] if e.get("checkpoint")]
    assert len([text for _, text in marks if text.startswith("Let go: ")]) == len(rests) == 8


# --- techniques -------------------------------------------------------------------------------------------------------


def test_bends_and_slides_begin_at_the_note_before_and_reach_their_own() -> None:
    study = STUDIES["slides"]()
    events = tracks(tempo_midi(played(study), 60))["Study"]
    pitch: dict[int, int] = {}
    begun = []
    for _, message in events:
        if message.type == "pitchwheel":
            pitch[message.channel] = message.pitch
        elif message.type == "note_on":
            begun.append((message.note, pitch.get(message.channel, 0)))
    # Bend from fret 8 of string 2 (G4, 67) to 69, then back: a note begins two semitones below, one two above.
    assert (69, round(-2 * 8192 / 12)) in begun
    assert (67, round(2 * 8192 / 12)) in begun
    arriving = [at for _, at in begun if at]
    slurred = [e for e in study_json(study)["events"] if e["kind"] == "note" and e["slurred"]]
    glided = [e for e in slurred if e["technique"] in ("bend", "slide")]
    assert len(arriving) == len(glided) > 10


def test_a_bend_range_is_set_wherever_the_pitch_bends() -> None:
    events = tracks(tempo_midi(played(STUDIES["slides"]()), 60))["Study"]
    bent = {m.channel for _, m in events if m.type == "pitchwheel"}
    ranged = {m.channel for _, m in events if m.type == "control_change" and (m.control, m.value) == (6, 12)}
    assert bent
    assert bent <= ranged
    assert 0 not in bent


def test_a_strum_is_spread_from_the_string_the_pick_meets_first() -> None:
    study = STUDIES["strums"]()
    tones = next(part for part in played(study).parts if part.role == "study").tones
    first = [tone for tone in tones if tone.onset == played(study).begins]
    assert [tone.string for tone in sorted(first, key=lambda tone: tone.delay_s)] == [5, 4, 3, 2, 1]
    second = [tone for tone in tones if tone.onset == played(study).begins + Fraction(1, 4)]
    assert [tone.string for tone in sorted(second, key=lambda tone: tone.delay_s)] == [1, 2, 3, 4, 5]


def test_notes_of_a_held_shape_ring_until_their_string_or_the_shape_ends_them() -> None:
    study = STUDIES["plucked"]()
    tones = next(part for part in played(study).parts if part.role == "study").tones
    for tone in tones:
        again = [other.onset for other in tones if other.string == tone.string and other.onset > tone.onset]
        shapes = [shape.onset + 2 for shape in study.shapes if shape.onset + 2 > tone.onset]
        assert tone.onset + tone.duration <= min([*again, *shapes, study.bars * study.meter.bar + 2])
    assert any(tone.duration > Fraction(1, 8) for tone in tones if tone.string == 3)


@pytest.mark.parametrize("quality", chord_qualities())
def test_every_chord_can_be_voiced_near_the_middle(quality: str) -> None:
    chord = parse_chord("D" + quality)
    notes = voiced(chord, ())
    assert {note % 12 for note in notes} <= {name.pitch_class for name in chord.notes}
    assert 2 <= len(notes) <= 4
    assert all(45 <= note <= 78 for note in notes)
    assert list(notes) == sorted(set(notes))


# --- text -------------------------------------------------------------------------------------------------------------


@given(st.text(max_size=300))
def test_any_text_is_made_safe(text: str) -> None:
    plain = plain_text(text)
    assert plain.isascii()
    assert plain.isprintable() or not plain
    assert len(plain) <= 120
    track = mido.MidiTrack([mido.MetaMessage("marker", text=plain)])
    file = io.BytesIO()
    mido.MidiFile(tracks=[track]).save(file=file)
    assert mido.MidiFile(file=io.BytesIO(file.getvalue())).tracks[0][0].text == plain
