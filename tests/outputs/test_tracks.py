"""The upload folder: plain HTML that a reader of any kind can use, links that lead to files, nothing from elsewhere."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import mido
import pytest
import soundfile
from PIL import Image

from builder.engraving import Store, engrave
from builder.engraving.lilypond_source import study_sheet, style_text
from builder.errors import Location, MachineError
from builder.outputs.performance import TrackRule
from builder.outputs.track_files import TrackJob, done_jobs, kinds_of, track_files
from builder.outputs.track_folders import write_tracks
from builder.outputs.tracks_site import write_site
from builder.spec import load_library
from builder.theory.score import Study
from tests.outputs.pieces import CUES, STUDIES
from tests.pages import samples

SAYS = {cue.id: cue.say for cue in load_library().cues} | samples.SAYS
VOID = {"meta", "link", "img", "br", "hr", "input"}


class Page(HTMLParser):
    """A page's elements, the texts inside them, and whether every one is closed."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.texts: dict[int, str] = {}
        self._open: list[tuple[str, int]] = []
        self.feed(text)
        self.close()
        assert not self._open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self._open.append((tag, len(self.elements) - 1))

    def handle_endtag(self, tag: str) -> None:
        opened, _ = self._open.pop()
        assert opened == tag

    def handle_data(self, data: str) -> None:
        for _, number in self._open:
            self.texts[number] = self.texts.get(number, "") + data

    def every(self, *tags: str) -> Iterator[tuple[dict[str, str | None], str]]:
        for number, (tag, attributes) in enumerate(self.elements):
            if tag in tags:
                yield attributes, " ".join(self.texts.get(number, "").split())


def job(study: Study, **more: object) -> TrackJob:
    return replace(TrackJob(study, CUES, study.title, exchange=True), **more)  # type: ignore[arg-type]


def written(out: Path, jobs: list[TrackJob], workers: int = 1) -> list[tuple[int, int]]:
    progress: list[tuple[int, int]] = []
    store = Store(out.parent / f"{out.name}-store")
    write_site(out, samples.book(), jobs, samples.phrases(), SAYS, store, workers, lambda *done: progress.append(done))
    return progress


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three studies, one of them with sound."""
    out = tmp_path_factory.mktemp("site")
    jobs = [job(STUDIES["one"](), sound=True), job(STUDIES["bass"]()), job(STUDIES["uke"]())]
    assert written(out, jobs) == [(1, 3), (2, 3), (3, 3)]
    return out


def pages(site: Path) -> list[Path]:
    found = sorted(site.rglob("*.html"))
    assert len(found) == 4
    return found


def test_every_page_says_its_language_its_name_and_fits_a_telephone(site: Path) -> None:
    names = set()
    for path in pages(site):
        text = path.read_text(encoding="utf-8")
        assert text.startswith("<!doctype html>")
        page = Page(text)
        ((html, _),) = page.every("html")
        assert html["lang"] == "en"
        ((_, title),) = page.every("title")
        names.add(title)
        metas = [attributes for attributes, _ in page.every("meta")]
        assert {"charset": "utf-8"} in metas
        assert {"name": "viewport", "content": "width=device-width, initial-scale=1"} in metas
    assert len(names) == 4
    assert all(names)


def test_headings_go_down_one_step_at_a_time(site: Path) -> None:
    for path in pages(site):
        levels = [
            int(tag[1])
            for tag, _ in Page(path.read_text(encoding="utf-8")).elements
            if tag[0] == "h" and tag[1:].isdigit()
        ]
        assert levels.count(1) == 1
        assert levels[0] == 1
        assert all(later <= earlier + 1 for earlier, later in pairwise(levels))


def test_no_script_and_nothing_from_elsewhere(site: Path) -> None:
    for path in pages(site):
        page = Page(path.read_text(encoding="utf-8"))
        tags = {tag for tag, _ in page.elements}
        assert not tags & {"script", "iframe", "object", "embed", "style"}
        for _, attributes in page.elements:
            assert not [name for name in attributes if name.startswith("on") or name == "style"]
            for name in ("href", "src"):
                assert ":" not in (attributes.get(name) or "")
    style = (site / "style.css").read_text(encoding="utf-8")
    assert "url(" not in style
    assert "@import" not in style


def test_every_link_leads_to_a_file(site: Path) -> None:
    count = 0
    for path in pages(site):
        page = Page(path.read_text(encoding="utf-8"))
        ids = {attributes["id"] for _, attributes in page.elements if "id" in attributes}
        for _, attributes in page.elements:
            for target in filter(None, (attributes.get("href"), attributes.get("src"))):
                if target.startswith("#"):
                    assert target[1:] in ids
                    continue
                place = path.parent / target
                assert (place / "index.html" if target.endswith("/") else place).is_file(), target
                count += 1
    assert count > 40


def test_everything_that_can_be_used_has_a_name(site: Path) -> None:
    for path in pages(site):
        page = Page(path.read_text(encoding="utf-8"))
        labels = [attributes["aria-label"] for attributes, _ in page.every("audio")]
        assert all(labels)
        assert len(set(labels)) == len(labels)
        assert all(attributes.get("aria-label") or text for attributes, text in page.every("a"))
        assert all(attributes.get("alt") for attributes, _ in page.every("img"))
        ids = {attributes["id"] for _, attributes in page.elements if "id" in attributes}
        assert {attributes["aria-labelledby"] for attributes, _ in page.every("section")} <= ids
        assert not [attributes for _, attributes in page.elements if "tabindex" in attributes]


def test_a_track_and_a_loop_for_every_tempo(site: Path) -> None:
    study = STUDIES["one"]()
    page = Page((site / study.id / "index.html").read_text(encoding="utf-8"))
    players = [
        (attributes["src"], "loop" in attributes, "controls" in attributes) for attributes, _ in page.every("audio")
    ]
    assert players == [
        player
        for bpm in study.tempo_steps
        for player in ((f"{bpm}.mp3", False, True), (f"{bpm}-loop.flac", True, True))
    ]
    for bpm in study.tempo_steps:
        loop = soundfile.info(site / study.id / f"{bpm}-loop.flac")
        assert loop.frames == round(study.bars * 4 * 60 / bpm * loop.samplerate)
        midi = mido.MidiFile(site / study.id / f"{bpm}.mid")
        assert midi.length == pytest.approx((study.bars + 2) * 4 * 60 / bpm, abs=0.01)


def test_a_book_without_sound_offers_no_player(site: Path) -> None:
    page = Page((site / STUDIES["bass"]().id / "index.html").read_text(encoding="utf-8"))
    assert not list(page.every("audio"))
    assert not list((site / STUDIES["bass"]().id).glob("*.mp3"))


def test_the_cues_of_a_study_are_explained_once_each(site: Path) -> None:
    study = STUDIES["bass"]()
    page = Page((site / study.id / "index.html").read_text(encoding="utf-8"))
    used = dict.fromkeys(event.checkpoint for event in study.events if getattr(event, "checkpoint", None))
    assert [text for _, text in page.every("dt")] == [CUES[cue] for cue in used if cue]
    assert [text for _, text in page.every("dd")] == [SAYS[cue] for cue in used if cue]


def test_the_index_leads_to_every_study_under_its_level(site: Path) -> None:
    page = Page((site / "index.html").read_text(encoding="utf-8"))
    folders = {attributes["href"] for attributes, _ in page.every("a")} - {"#tracks"}
    assert folders == {f"{STUDIES[name]().id}/" for name in ("one", "bass", "uke")}
    assert [text for _, text in page.every("h2")] == ["Level 3"]


def test_what_a_teacher_types_is_never_read_as_html(tmp_path: Path) -> None:
    title = "<script>alert(1)</script> & \"quotes\" 'n' <b>"
    written(tmp_path, [job(replace(STUDIES["one"](), title=title, aim="a < b & c"))])
    for path in tmp_path.rglob("*.html"):
        page = Page(path.read_text(encoding="utf-8"))
        assert not list(page.every("script", "b"))
    ((_, heading),) = Page((tmp_path / STUDIES["one"]().id / "index.html").read_text("utf-8")).every("h1")
    assert heading == title


def test_the_same_job_gives_the_same_files(tmp_path: Path) -> None:
    one = job(STUDIES["one"](), sound=True)
    assert track_files(one) == track_files(one)
    assert track_files(job(STUDIES["one"](), rule=TrackRule(division=2))) != track_files(job(STUDIES["one"]()))


@pytest.mark.parametrize("package", ["numpy", "soundfile"])
def test_sound_without_its_packages_is_told_in_words(package: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, package, None)
    monkeypatch.delitem(sys.modules, "builder.outputs.audio", raising=False)
    monkeypatch.delitem(sys.modules, "builder.outputs.plucked", raising=False)
    monkeypatch.delitem(sys.modules, "builder.outputs.loudness", raising=False)
    with pytest.raises(MachineError, match=r"^sound"):
        track_files(job(STUDIES["one"](), sound=True))
    assert "60.mid" in track_files(job(STUDIES["one"]()))


def test_several_processes_make_what_one_makes(tmp_path: Path) -> None:
    jobs = [(one, kinds_of(one)) for one in (job(STUDIES[name]()) for name in ("one", "bass", "uke"))]
    assert list(done_jobs(jobs, 2)) == list(done_jobs(jobs, 1))


def test_files_of_a_build_before_go_and_a_teachers_own_stay(tmp_path: Path) -> None:
    study = STUDIES["one"]()
    written(tmp_path, [job(study)])
    (tmp_path / study.id / "notes for Monday.txt").write_text("mine", encoding="utf-8")
    written(tmp_path, [job(replace(study, tempo_steps=(50, 55), levels=(2, 2)))])
    names = {path.name for path in (tmp_path / study.id).iterdir()}
    assert {"50.mid", "55.mid", "notes for Monday.txt", "index.html"} <= names
    assert "60.mid" not in names


def test_a_build_leaves_tracks_and_exchange_files_where_the_contract_says(tmp_path: Path) -> None:
    jobs = [job(STUDIES[name]()) for name in ("one", "bass")]
    paths = write_tracks(tmp_path / "out", jobs, Store(tmp_path / "store"), 1, lambda done, every: None)
    wanted = {f"exchange/{one.study.id}.musicxml" for one in jobs}
    wanted |= {f"tracks/{one.study.id}/{bpm}.mid" for one in jobs for bpm in one.study.tempo_steps}
    wanted |= {f"tracks/{one.study.id}/all-tempos.mid" for one in jobs}
    assert {path.relative_to(tmp_path / "out").as_posix() for path in paths} == wanted
    assert {path for path in (tmp_path / "out").rglob("*") if path.is_file()} == set(paths)


def test_a_file_that_says_the_same_is_not_written_again(tmp_path: Path) -> None:
    jobs, store = [job(STUDIES["one"]())], Store(tmp_path / "store")
    times = []
    for _ in range(2):
        paths = write_tracks(tmp_path / "out", jobs, store, 1, lambda done, every: None)
        times.append({path: path.stat().st_mtime_ns for path in paths})
    assert times[0] == times[1]


@pytest.mark.parametrize("name", ["index.html", "style.css"])
def test_a_page_of_somebody_else_is_never_written_over(tmp_path: Path, name: str) -> None:
    own = tmp_path / "site" / name
    own.parent.mkdir()
    own.write_text("<h1>Our school</h1>", encoding="utf-8")
    with pytest.raises(MachineError, match="would be lost"):
        written(tmp_path / "site", [job(STUDIES["one"]())])
    assert [path.name for path in own.parent.iterdir()] == [name]
    assert own.read_text(encoding="utf-8") == "<h1>Our school</h1>"


# --- with the printed page --------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def printed_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One study with the picture of its page."""
    plan, study = samples.book(), samples.ferry_steps()
    sheet = study_sheet(study, plan, Location("ferry.yaml"), samples.phrases(), CUES)
    done = engrave([sheet], style_text(plan), Store(tmp_path_factory.mktemp("store")), 1, lambda done, every: None)
    out = tmp_path_factory.mktemp("printed")
    written(out, [job(study, sides=done.sheets[sheet.key].pdfs)])
    return out


@pytest.mark.engraves
def test_the_page_shows_its_picture_and_says_what_it_is(printed_site: Path) -> None:
    page = Page((printed_site / "ferry-steps-s3f7" / "index.html").read_text(encoding="utf-8"))
    ((image, _),) = page.every("img")
    assert image["alt"] == (
        "Printed page 1 of 1 of Ferry Steps: staff and tablature. The notes are in the MusicXML file below."
    )
    real = Image.open(printed_site / "ferry-steps-s3f7" / "side-1.png")
    assert float(image["width"] or 0) / float(image["height"] or 1) == pytest.approx(real.width / real.height, abs=0.01)
