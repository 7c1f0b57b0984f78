"""MusicXML: valid against the published schema, and two libraries read back what the JSON says.

Source:   musicxml_4_0.xsd of the W3C Community Group as the package `musicxml` ships it; its imports of xml.xsd and
          xlink.xsd, whose attributes we do not write, are taken out so that no network is asked
"""

from __future__ import annotations

import importlib.util
import re
import warnings
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import music21
import partitura
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from builder.outputs.musicxml import Credit, study_musicxml
from builder.outputs.musicxml_chords import harmony
from builder.outputs.sound import load_sound
from builder.outputs.study_json import study_json
from builder.theory.harmony import chord_qualities, parse_chord
from builder.theory.score import Study
from tests.outputs.pieces import CUES, STUDIES, demo_studies, example_studies, random_studies

CREDIT = Credit("The teachers of Harbour Lane", "Free to copy for teaching")


@cache
def document(name: str) -> bytes:
    return study_musicxml(STUDIES[name](), load_sound(), CUES, CREDIT)


def written(study: Study) -> bytes:
    return study_musicxml(study, load_sound(), CUES, CREDIT)


def struck(study: Study) -> list[dict[str, Any]]:
    """The notes of the JSON in order of time and pitch, ties left out."""
    notes = [event for event in study_json(study)["events"] if event["kind"] == "note" and not event["tied"]]
    return sorted(notes, key=lambda event: (Fraction(event["onset"]), event["midi"], event["string"]))


@cache
def schema() -> etree.XMLSchema:
    place = importlib.util.find_spec("musicxml")
    assert place
    assert place.origin
    text = (Path(place.origin).parent / "generate_classes" / "musicxml_4_0.xsd").read_text(encoding="utf-8")
    text = re.sub(r"<xs:import [^>]*/>", "", text)
    text = re.sub(r'<xs:attribute ref="(xml|xlink):[^>]*/>', "", text)
    return etree.XMLSchema(etree.fromstring(text.encode()))


def assert_valid(data: bytes) -> None:
    root = etree.fromstring(data, etree.XMLParser(no_network=True))
    assert root.get("version") == "4.0"
    assert schema().validate(root), schema().error_log.last_error


@pytest.mark.parametrize("name", STUDIES)
def test_every_document_fits_the_published_schema(name: str) -> None:
    assert_valid(document(name))


def test_the_schema_refuses_a_wrong_document() -> None:
    with pytest.raises(AssertionError):
        assert_valid(document("ferry").replace(b"<string>", b"<chord>").replace(b"</string>", b"</chord>"))


def test_the_demonstration_every_kind_and_random_exercises_fit_it() -> None:
    for study in (*demo_studies(), *example_studies(), *random_studies()):
        assert_valid(written(study))


# --- partitura --------------------------------------------------------------------------------------------------------


def read_partitura(data: bytes, folder: Path) -> partitura.score.Score:
    (folder / "study.musicxml").write_bytes(data)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return partitura.load_musicxml(folder / "study.musicxml")


def check_with_partitura(study: Study, folder: Path) -> None:
    score = read_partitura(written(study), folder)
    assert len(score.parts) == 2
    for part in score.parts:
        assert len(part.measures) == study.bars
        notes = part.notes_tied
        found = [(Fraction(float(part.quarter_map(n.start.t))).limit_denominator(3360) / 4, n) for n in notes]
        found.sort(key=lambda pair: (pair[0], pair[1].midi_pitch))
        wanted = struck(study)
        assert [(onset, note.midi_pitch) for onset, note in found] == [
            (Fraction(event["onset"]), event["midi"]) for event in wanted
        ]
        spelled = sorted((onset, f"{n.step}{_signs(n.alter)}{n.octave}") for onset, n in found)
        assert spelled == sorted((Fraction(event["onset"]), event["pitch"]) for event in wanted)
        ends = sorted(
            Fraction(float(part.quarter_map(n.start.t + n.duration_tied))).limit_denominator(3360) / 4 for _, n in found
        )
        assert ends == _ends(study)


def _signs(alter: int | None) -> str:
    return "#" * (alter or 0) if (alter or 0) > 0 else "b" * -(alter or 0)


def _ends(study: Study) -> list[Fraction]:
    """When each note of the JSON ends, with what is tied to it."""
    ends: dict[tuple[int, int, int], list[Fraction]] = {}
    for event in study_json(study)["events"]:
        if event["kind"] == "note":
            own = ends.setdefault((event["voice"], event["string"], event["midi"]), [])
            if event["tied"]:
                own.pop()
            own.append(Fraction(event["onset"]) + Fraction(event["duration"]))
    return sorted(end for own in ends.values() for end in own)


@pytest.mark.parametrize("name", STUDIES)
def test_partitura_reads_pitches_onsets_lengths_and_bars_of_both_parts(name: str, tmp_path: Path) -> None:
    check_with_partitura(STUDIES[name](), tmp_path)


def test_partitura_reads_the_demonstration_every_kind_and_random_exercises(tmp_path: Path) -> None:
    for study in (*demo_studies()[::2], *example_studies(), *random_studies()):
        check_with_partitura(study, tmp_path)


def test_partitura_reads_meter_key_and_printed_fingers(tmp_path: Path) -> None:
    study = STUDIES["compound"]()
    part = read_partitura(document("compound"), tmp_path).parts[0]
    (time,) = part.iter_all(partitura.score.TimeSignature)
    (key,) = part.iter_all(partitura.score.KeySignature)
    assert (time.beats, time.beat_type, key.fifths) == (6, 8, 1)
    fingers = [sign.fingering for note in part.notes for sign in note.technical or []]
    printed = [event["finger"] for event in struck(study) if event["finger_printed"]]
    assert fingers == printed
    assert printed


# --- music21 ----------------------------------------------------------------------------------------------------------


def by_music21(data: bytes) -> music21.stream.Score:
    score = music21.converter.parseData(data)
    assert isinstance(score, music21.stream.Score)
    return score


READ = ("ferry", "compound", "sevens", "uke", "voices", "slurs", "slides", "mixed", "tremolo")


@pytest.mark.parametrize("name", READ)
def test_music21_reads_pitches_of_both_parts_and_places_of_the_tablature(name: str) -> None:
    check_with_music21(STUDIES[name]())


def test_music21_reads_them_in_the_demonstration_and_every_kind() -> None:
    # Every fifth of the demonstration's: music21 takes a fifth of a second a study.
    for study in (*demo_studies()[::5], *example_studies()):
        check_with_music21(study)


def check_with_music21(study: Study) -> None:
    wanted = struck(study)
    for side, part in zip(("staff", "tab"), by_music21(written(study)).parts, strict=True):
        pitches, places = [], []
        for one in part.recurse().notes:
            if isinstance(one, music21.harmony.ChordSymbol) or (one.tie and one.tie.type != "start"):
                continue
            onset = Fraction(one.getOffsetInHierarchy(part)).limit_denominator(3360) / 4
            pitches += [(onset, pitch.midi) for pitch in one.pitches]
            strings, frets = (of_kind(one, kind) for kind in ("StringIndication", "FretIndication"))
            places += [(onset, int(s.number), int(f.number)) for s, f in zip(strings, frets, strict=True)]
        assert sorted(pitches) == [(Fraction(event["onset"]), event["midi"]) for event in wanted]
        where = sorted((Fraction(event["onset"]), event["string"], event["fret"]) for event in wanted)
        assert sorted(places) == (where if side == "tab" else [])


def of_kind(note: music21.note.NotRest, kind: str) -> list[Any]:
    """The marks of one kind; of a chord those of all its notes, in their order."""
    return [mark for mark in note.articulations if type(mark).__name__ == kind]


def test_music21_reads_strokes() -> None:
    part = by_music21(document("ferry")).parts[1]
    names = {"DownBow": "down", "UpBow": "up"}
    marks = [type(mark).__name__ for note in part.recurse().notes for mark in note.articulations]
    found = [names[mark] for mark in marks if mark in names]
    assert found == [event["stroke"] for event in struck(STUDIES["ferry"]())]


def test_music21_reads_hammer_ons_and_pull_offs_between_their_notes() -> None:
    part = by_music21(document("slurs")).parts[1]
    found = []
    for spanner in part.recurse().getElementsByClass(music21.spanner.Spanner):
        if type(spanner).__name__ in ("HammerOn", "PullOff"):
            first, last = spanner.getFirst(), spanner.getLast()
            found.append((type(spanner).__name__, first.pitch.midi, last.pitch.midi))
    wanted = []
    before: dict[int, int] = {}
    for event in struck(STUDIES["slurs"]()):
        if event["slurred"] and event["string"] in before:
            kind = {"hammer-on": "HammerOn", "pull-off": "PullOff"}[event["technique"]]
            wanted.append((kind, before[event["string"]], event["midi"]))
        before[event["string"]] = event["midi"]
    assert sorted(found) == sorted(wanted)
    assert len(found) > 30


def test_music21_reads_the_chords_and_when_they_begin() -> None:
    study = STUDIES["ferry"]()
    part = by_music21(document("ferry")).parts[0]
    symbols = part.recurse().getElementsByClass(music21.harmony.ChordSymbol)
    found = [(Fraction(one.getOffsetInHierarchy(part)) / 4, one.root().name, one.quality) for one in symbols]
    assert found == [
        (mark.onset, mark.symbol.rstrip("m").replace("b", "-"), "minor" if mark.symbol.endswith("m") else "major")
        for mark in study.chords
    ]


def test_music21_reads_a_tempo_in_the_beat_of_the_meter() -> None:
    (mark,) = by_music21(document("compound")).recurse().getElementsByClass(music21.tempo.MetronomeMark)
    assert (mark.number, mark.referent.quarterLength, mark.getQuarterBPM()) == (60, 1.5, 90)


def test_music21_reads_the_words_of_the_checkpoints() -> None:
    study = STUDIES["ferry"]()
    part = by_music21(document("ferry")).parts[0]
    words = part.recurse().getElementsByClass(music21.expressions.TextExpression)
    found = [(Fraction(one.getOffsetInHierarchy(part)) / 4, one.content) for one in words]
    rests = [e for e in study_json(study)["events"] if e.get("checkpoint")]
    assert found == [(Fraction(e["onset"]), CUES[e["checkpoint"]]) for e in rests]


def test_the_tablature_has_the_instruments_tuning_from_the_lowest_line_up() -> None:
    root = etree.fromstring(document("uke"))
    names = [one.findtext("tuning-step") + one.findtext("tuning-octave") for one in root.iter("staff-tuning")]
    assert names == ["G4", "C4", "E4", "A4"]
    assert [line.get("line") for line in root.iter("staff-tuning")] == ["1", "2", "3", "4"]
    assert root.findtext(".//part[@id='P2']//clef/sign") == "TAB"


def test_a_capo_is_told_and_left_out_of_the_tuning() -> None:
    plain = STUDIES["ferry"]()
    study = replace(plain, instrument=replace(plain.instrument, capo=3))
    root = etree.fromstring(written(study))
    assert root.findtext(".//capo") == "3"
    assert root.findtext(".//staff-tuning[@line='1']/tuning-octave") == "2"
    assert_valid(written(study))


# --- what no reader keeps ---------------------------------------------------------------------------------------------


def technical(name: str, tag: str) -> list[etree._Element]:
    part = etree.fromstring(document(name)).find("part[@id='P2']")
    assert part is not None
    return [one for element in part.iter("technical") for one in element.iter(tag)]


def test_plucking_fingers_are_written() -> None:
    fingers = [one.text for one in technical("plucked", "pluck")]
    assert sorted(fingers) == sorted(event["stroke"] for event in struck(STUDIES["plucked"]()))


def test_bends_are_written_in_semitones() -> None:
    found = [int(one.findtext("bend-alter") or 0) for one in technical("slides", "bend")]
    wanted = [event for event in struck(STUDIES["slides"]()) if event["technique"] == "bend"]
    assert len(found) == len(wanted) > 0
    assert set(found) == {2, -2, 1, -1, 3, -3}
    assert sum(one.find("release") is not None for one in technical("slides", "bend")) == sum(n < 0 for n in found)


def test_slides_begin_and_end() -> None:
    part = etree.fromstring(document("slides")).find("part[@id='P2']")
    assert part is not None
    kinds = [(one.get("type"), one.get("number")) for one in part.iter("slide")]
    assert sum(kind == "start" for kind, _ in kinds) == sum(kind == "stop" for kind, _ in kinds) > 10


def test_harmonics_are_written_at_their_sounding_pitch() -> None:
    wanted = [event for event in struck(STUDIES["harmonics"]()) if event["technique"] == "harmonic"]
    assert len(technical("harmonics", "harmonic")) == len(wanted) > 0


def test_a_grid_shows_the_shape_that_is_held() -> None:
    frames = list(etree.fromstring(document("strums")).iter("frame"))
    first = [
        (one.findtext("string"), one.findtext("fret"), one.findtext("fingering"))
        for one in frames[0].iter("frame-note")
    ]
    assert first == [("1", "0", None), ("2", "1", "1"), ("3", "0", None), ("4", "2", "2"), ("5", "3", "3")]


@pytest.mark.parametrize("quality", chord_qualities())
def test_music21_finds_the_notes_of_every_chord_symbol(quality: str) -> None:
    element = harmony("D" + quality, None)
    body = ElementTree.tostring(element, encoding="unicode")
    (symbol,) = by_music21(_ONE_CHORD.format(body).encode()).recurse().getElementsByClass("ChordSymbol")
    wanted = {note.pitch_class for note in parse_chord("D" + quality).notes}
    if [degree.findtext("degree-value") for degree in element.iter("degree")][:1] == ["7"]:
        # The format adds a minor seventh by degree 7 unaltered; music21 reads it as a major one.
        wanted = wanted - {0} | {1}
    assert {pitch.pitchClass for pitch in symbol.pitches} == wanted


_ONE_CHORD = (
    '<?xml version="1.0"?><score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part>'
    '</part-list><part id="P1"><measure number="1">{}<note><rest/><duration>4</duration><voice>1</voice></note>'
    "</measure></part></score-partwise>"
)


@given(st.text(max_size=60))
def test_any_title_can_be_written_and_read(title: str) -> None:
    kept = "".join(letter for letter in title if letter in "\t\n\r" or " " <= letter < "\ud800" or letter > "\udfff")
    root = etree.fromstring(written(replace(STUDIES["one"](), title=title)))
    found = root.findtext(".//work-title")
    assert " ".join((found or "").split()) == " ".join(kept.replace("\ufffe", "").replace("\uffff", "").split())
