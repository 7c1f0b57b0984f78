"""The folder for the web in a real browser: at a telephone's width and a desk's, by keyboard, for a screen reader."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from builder.engraving import Store, engrave
from builder.engraving.lilypond_source import study_sheet, style_text
from builder.errors import Location
from builder.outputs.track_files import TrackJob
from builder.outputs.tracks_site import write_site
from builder.spec import load_library
from tests.outputs.browser import CHROMIUM, Browser
from tests.outputs.pieces import CUES
from tests.pages import samples

pytestmark = [pytest.mark.engraves, pytest.mark.skipif(CHROMIUM is None, reason="Chromium is missing")]

SAYS = {cue.id: cue.say for cue in load_library().cues} | samples.SAYS
STUDY = replace(samples.ferry_steps(), tempo_steps=(120, 160), levels=(4, 5), rates=(8.0, 10.7))
WIDTHS = [320, 390, 800, 1280]  # 320: what WCAG 2.2, 1.4.10 asks a page to fit


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A study with sound and the picture of its page, and one with words that break nowhere."""
    plan, store = samples.book(), Store(tmp_path_factory.mktemp("store"))
    sheet = study_sheet(STUDY, plan, Location("ferry.yaml"), samples.phrases(), CUES)
    sides = engrave([sheet], style_text(plan), store, 1, lambda done, every: None).sheets[sheet.key].pdfs
    endless = replace(STUDY, id="endless-s1f1", title="Leuchtturmwärterhaus" * 4, aim="Hafenmauer" * 20)
    jobs = [TrackJob(STUDY, CUES, STUDY.title, sides=sides, exchange=True, sound=True)]
    jobs.append(TrackJob(endless, CUES, endless.title, sides=sides))
    out = tmp_path_factory.mktemp("site")
    write_site(out, plan, jobs, samples.phrases(), SAYS, store, 1, lambda done, every: None)
    return out


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    with Browser(tmp_path_factory.mktemp("browser")) as one:
        yield one


def pages(site: Path) -> list[Path]:
    return [site / "index.html", site / STUDY.id / "index.html", site / "endless-s1f1" / "index.html"]


@pytest.mark.parametrize("width", WIDTHS)
def test_every_page_fits_its_window(site: Path, browser: Browser, width: int) -> None:
    for page in pages(site):
        browser.open(page, width)
        assert browser.value("innerWidth") == width
        assert browser.value("document.documentElement.scrollWidth") <= width
        image = Image.open(io.BytesIO(browser.picture())).convert("L")
        assert image.width == width
        assert image.point(lambda shade: 255 if shade < 200 else 0).getbbox()


def test_every_page_asks_only_for_its_own_files_and_finds_them(site: Path, browser: Browser) -> None:
    for page in pages(site):
        browser.open(page, 390)
        asked = browser.addresses()
        assert asked
        own = (site.as_uri() + "/", "data:image/svg+xml")  # the latter are the signs on the browser's own players
        assert [address for address in asked if not address.startswith(own)] == []
        assert not [event for event in browser.events if event.get("method") == "Network.loadingFailed"]
        assert browser.value("[...document.images].every(image => image.complete && image.naturalWidth > 100)")
        assert browser.value("document.scripts.length") == 0


def test_the_keyboard_reaches_every_link_and_player_in_order_and_shows_where_it_is(
    site: Path, browser: Browser
) -> None:
    browser.open(site / STUDY.id / "index.html", 390)
    wanted = browser.value("[...document.querySelectorAll('a, audio')].length")
    reached: list[int] = []
    where = "[...document.querySelectorAll('a, audio')].indexOf(document.activeElement)"
    for _ in range(12 * wanted):  # the controls inside a player are stops of their own
        browser.press_tab()
        at = browser.value(where)
        if at >= 0 and at not in reached:
            reached.append(at)
            assert browser.value("getComputedStyle(document.activeElement).outlineStyle") != "none"
        if len(reached) == wanted:
            break
    assert reached == list(range(wanted))


def test_a_screen_reader_hears_what_every_part_is(site: Path, browser: Browser) -> None:
    browser.open(site / STUDY.id / "index.html", 390)
    told = browser.spoken()
    for role in ("link", "heading", "image", "Audio", "region", "RootWebArea"):
        names = [name for kind, name in told if kind == role]
        assert names, role
        assert all(name.strip() for name in names), role
    assert ("heading", "Ferry Steps") in told
    players = [name for kind, name in told if kind == "Audio"]
    assert len(players) == len(set(players)) == 4
    assert "Ferry Steps: loop at 120 beats a minute, plays round until stopped" in players
    landmarks = {kind for kind, _ in told} & {"banner", "main", "contentinfo", "navigation"}
    assert landmarks == {"banner", "main", "contentinfo", "navigation"}
    assert browser.value("document.documentElement.lang") == "en"


def test_every_target_is_large_enough_for_a_finger(site: Path, browser: Browser) -> None:
    """At least 24 pixels high and wide: WCAG 2.2, 2.5.8."""
    for page in pages(site):
        browser.open(page, 390)
        small = (
            "[...document.querySelectorAll('a:not(.skip), audio')].map(one => one.getBoundingClientRect())"
            ".filter(box => box.width < 24 || box.height < 24).length"
        )
        assert browser.value(small) == 0


def test_tracks_and_loops_play_and_are_as_long_as_their_bars(site: Path, browser: Browser) -> None:
    browser.open(site / STUDY.id / "index.html", 390)
    lengths = browser.value(
        "Promise.all([...document.querySelectorAll('audio')].map(one => new Promise((done, failed) => {"
        "one.onloadedmetadata = () => done([one.getAttribute('src'), one.duration, one.loop]);"
        "one.onerror = () => failed(one.src); one.preload = 'metadata'; one.load(); })))"
    )
    for source, seconds, loops in lengths:
        bpm = int(source.split(".")[0].split("-")[0])
        bars = STUDY.bars if loops else STUDY.bars + 2
        assert loops == source.endswith("-loop.flac")
        assert seconds == pytest.approx(bars * 4 * 60 / bpm + (0 if loops else 0.5), abs=0.001 if loops else 0.1)
