"""`etudebook tracks`, and `build` with `--audio`, `--exchange` and `--soundfont`: what they leave and how they fail."""

from __future__ import annotations

import errno
import json
import os
from fractions import Fraction
from pathlib import Path
from xml.etree import ElementTree

import mido
import pretty_midi
import pytest

from builder.cli import main
from tests.small_book import BOOK, PIER, write_book

EXERCISE = PIER + "tempo: {from: 120, to: 160, steps: 2}\n"
STUDY = "pier-s3f7"
SOUNDFONT = Path(pretty_midi.__file__).parent / "TimGM6mb.sf2"
MIDI = {"120.mid", "160.mid", "all-tempos.mid"}
SOUND = {"120.mp3", "160.mp3", "120-loop.flac", "160-loop.flac"}
WAV = {"120.wav", "160.wav"}


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ETUDEBOOK_CACHE", str(tmp_path / "cache"))
    return write_book(tmp_path / "book", EXERCISE)


def names(place: Path) -> set[str]:
    return {path.name for path in place.iterdir()}


@pytest.mark.engraves
def test_a_build_leaves_what_it_was_asked_for(book: Path) -> None:
    out = book.parent / "out"
    assert main(["build", str(book), "--pages-only"]) == 0
    assert names(out / "tracks" / STUDY) == MIDI
    assert not (out / "exchange").exists()
    assert main(["build", str(book), "--pages-only", "--audio", "--exchange"]) == 0
    assert names(out / "tracks" / STUDY) == MIDI | SOUND | WAV
    assert names(out / "exchange") == {f"{STUDY}.musicxml"}


@pytest.mark.engraves
def test_the_files_of_a_build_play_what_its_json_says(book: Path) -> None:
    out = book.parent / "out"
    assert main(["build", str(book), "--pages-only", "--exchange"]) == 0
    (study,) = json.loads((out / "book.json").read_text(encoding="utf-8"))["studies"]
    notes = [event for event in study["events"] if event["kind"] == "note" and not event["tied"]]
    for bpm in study["tempo_steps"]:
        file = mido.MidiFile(out / "tracks" / STUDY / f"{bpm}.mid")
        (track,) = [track for track in file.tracks if track.name == "Study"]
        tick, found = 0, []
        for message in track:
            tick += message.time
            found += [(message.note, Fraction(tick, 4 * file.ticks_per_beat) - 2)] if message.type == "note_on" else []
        assert found == [(event["midi"], Fraction(event["onset"])) for event in notes]
        assert file.length == pytest.approx(
            (2 + max(event["bar"] for event in study["events"])) * 4 * 60 / bpm, abs=0.01
        )
    document = ElementTree.parse(out / "exchange" / f"{STUDY}.musicxml")
    places = [(int(one.findtext("string", "")), int(one.findtext("fret", ""))) for one in document.iter("technical")
              if one.find("fret") is not None]  # fmt: skip
    assert places == [(event["string"], event["fret"]) for event in notes]


@pytest.mark.engraves
@pytest.mark.parametrize("options", [["--audio"], ["--soundfont", str(SOUNDFONT)]], ids=["own", "soundfont"])
def test_sound_and_exchange_stay_until_their_study_changes(book: Path, options: list[str]) -> None:
    out, exercise = book.parent / "out", book.parent / "exercises" / "pier.yaml"
    assert main(["build", str(book), "--pages-only", "--exchange", *options]) == 0
    book.write_text(BOOK.replace("Harbour Book", "Another Book"), encoding="utf-8")
    assert main(["build", str(book), "--pages-only"]) == 0
    assert names(out / "tracks" / STUDY) == MIDI | SOUND | WAV
    assert names(out / "exchange") == {f"{STUDY}.musicxml"}
    exercise.write_text(EXERCISE.replace("Dm, Gm", "Dm, A"), encoding="utf-8")
    assert main(["build", str(book), "--pages-only"]) == 0
    assert names(out / "tracks" / STUDY) == MIDI
    assert names(out / "exchange") == set()


@pytest.mark.engraves
def test_a_soundfont_of_the_book_or_the_command_sounds_different(book: Path) -> None:
    track = book.parent / "out" / "tracks" / STUDY / "120.mp3"
    assert main(["build", str(book), "--pages-only", "--audio"]) == 0
    own = track.read_bytes()
    assert main(["build", str(book), "--pages-only", "--soundfont", str(SOUNDFONT)]) == 0
    named = track.read_bytes()
    assert named != own
    (book.parent / "sounds.sf2").write_bytes(SOUNDFONT.read_bytes())
    book.write_text(BOOK + "tracks: {soundfont: sounds.sf2}\n", encoding="utf-8")
    assert main(["build", str(book), "--pages-only", "--audio"]) == 0
    assert track.read_bytes() == named


BAD_SOUNDFONTS = {
    "missing": (None, "no such file"),
    "empty": (b"", "a file of another kind"),
    "text": (b"nothing of the kind", "a file of another kind"),
    "wave": (b"RIFF\x00\x00\x00\x00WAVE", "a file of another kind"),
    "cut": (SOUNDFONT.read_bytes()[:5000], "a damaged soundfont"),
}


@pytest.mark.parametrize("case", BAD_SOUNDFONTS)
@pytest.mark.parametrize("command", ["build", "tracks"])
def test_a_bad_soundfont_is_told_before_anything_is_written(
    book: Path, command: str, case: str, capsys: pytest.CaptureFixture[str]
) -> None:
    content, found = BAD_SOUNDFONTS[case]
    path = book.parent / "sounds.sf2"
    if content is not None:
        path.write_bytes(content)
    assert main([command, str(book), "--soundfont", str(path)]) == 2
    said = capsys.readouterr().err
    assert f"{path}: --soundfont: found {found}, expected a soundfont in the format SF2" in said
    book.write_text(BOOK + "tracks:\n  soundfont: sounds.sf2\n", encoding="utf-8")
    assert main([command, str(book), *(["--audio"] if command == "build" else [])]) == 2
    said = capsys.readouterr().err
    assert f"{book}:5:3: tracks.soundfont: found 'sounds.sf2': {found}" in said
    assert not (book.parent / "out").exists()


def test_a_build_without_sound_does_not_mind_a_soundfont_that_is_missing(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book.write_text(BOOK + "tracks: {soundfont: sounds.sf2}\n", encoding="utf-8")
    assert main(["check", str(book)]) == 0


# --- the folder for the web -------------------------------------------------------------------------------------------


@pytest.mark.engraves
def test_the_folder_for_the_web_needs_no_address_and_keeps_what_is_not_ours(book: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    (site / STUDY).mkdir(parents=True)
    own = [site / "robots.txt", site / STUDY / "notes for Monday.txt", site / "an-older-study-s1f1" / "index.html"]
    for path in own:
        path.parent.mkdir(exist_ok=True)
        path.write_text("mine", encoding="utf-8")
    assert main(["tracks", str(book), "--out", str(site)]) == 0
    assert {"index.html", "style.css", STUDY} <= names(site)
    wanted = MIDI | SOUND | {"index.html", f"{STUDY}.musicxml", "side-1.svg", "side-1.png", "notes for Monday.txt"}
    assert names(site / STUDY) == wanted
    assert [path.read_text(encoding="utf-8") for path in own] == ["mine"] * 3
    before = {path: path.stat().st_mtime_ns for path in site.rglob("*.m*")}
    assert main(["tracks", str(book), "--out", str(site)]) == 0
    assert {path: path.stat().st_mtime_ns for path in before} == before


@pytest.mark.engraves
def test_a_page_of_somebody_else_is_refused(book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    site = tmp_path / "site"
    site.mkdir()
    (site / "index.html").write_text("<h1>Our school</h1>", encoding="utf-8")
    assert main(["tracks", str(book), "--out", str(site)]) == 4
    said = capsys.readouterr().err
    assert "was not written by etudebook and would be lost" in said
    assert "choose an empty folder" in said
    assert names(site) == {"index.html"}


@pytest.mark.engraves
def test_a_file_where_a_folder_should_be_is_told(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    place = tmp_path / "site"
    place.write_text("a file", encoding="utf-8")
    assert main(["tracks", str(book), "--out", str(place)]) == 4
    assert f"{place}" in capsys.readouterr().err
    assert place.read_text(encoding="utf-8") == "a file"
    out = book.parent / "out"
    out.mkdir()
    (out / "tracks").write_text("a file", encoding="utf-8")
    assert main(["build", str(book), "--pages-only"]) == 4
    assert "could not be written" in capsys.readouterr().err


@pytest.mark.engraves
def test_a_full_disk_leaves_the_earlier_tracks(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    site = tmp_path / "site"
    assert main(["tracks", str(book), "--out", str(site)]) == 0
    before = {path: path.read_bytes() for path in site.rglob("*") if path.is_file()}
    (book.parent / "exercises" / "pier.yaml").write_text(EXERCISE.replace("Dm, Gm", "Dm, A"), encoding="utf-8")
    replace = os.replace

    def full(source: str, target: Path) -> None:
        if Path(target).suffix == ".mp3":
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        replace(source, target)

    monkeypatch.setattr(os, "replace", full)
    capsys.readouterr()
    assert main(["tracks", str(book), "--out", str(site)]) == 4
    assert "No space left on device" in capsys.readouterr().err
    after = {path: path.read_bytes() for path in site.rglob("*") if path.is_file()}
    assert after.keys() == before.keys()
    assert {path for path in after if path.suffix == ".mp3" and after[path] != before[path]} == set()
    monkeypatch.undo()
    monkeypatch.setenv("ETUDEBOOK_CACHE", str(tmp_path / "cache"))
    assert main(["tracks", str(book), "--out", str(site)]) == 0
    assert (site / STUDY / "120.mp3").read_bytes() != before[site / STUDY / "120.mp3"]


@pytest.mark.parametrize("options", [["--only", "peer"], ["--out"]])
def test_wrong_options_of_tracks_are_told(book: Path, options: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    if options == ["--out"]:
        with pytest.raises(SystemExit) as stopped:
            main(["tracks", str(book), *options])
        assert stopped.value.code == 2
    else:
        assert main(["tracks", str(book), *options]) == 2
        assert "did you mean 'pier'?" in capsys.readouterr().err


@pytest.mark.engraves
def test_a_build_takes_away_the_tracks_of_studies_that_left_the_book(book: Path) -> None:
    out, exercise = book.parent / "out", book.parent / "exercises" / "pier.yaml"
    quay = EXERCISE.replace("Pier", "Quay").replace("string: 3, fret: 7", "string: 4, fret: 12")
    (exercise.parent / "quay.yaml").write_text(quay, encoding="utf-8")
    assert main(["build", str(book), "--pages-only"]) == 0
    assert names(out / "tracks") == {STUDY, "quay-s4f12"}
    assert main(["build", str(book), "--pages-only", "--only", "pier"]) == 0
    assert names(out / "tracks") == {STUDY, "quay-s4f12"}
    (exercise.parent / "quay.yaml").unlink()
    assert main(["build", str(book), "--pages-only"]) == 0
    assert names(out / "tracks") == {STUDY}
