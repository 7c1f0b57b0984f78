"""The demonstration books, built with the real LilyPond and read back from the finished PDF.

In, Out:  books/first-page and books/harbour-lane; their PDF, JSON, report and sources
Source:   product contract, sections 5 to 7; engraving guide, section 9 (how a page is read back: glyph by glyph from
          the content stream, music glyphs by their names)
Units:    places on paper in PDF points, y upwards
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import yaml
from pypdf import PdfReader
from pypdf.generic import ContentStream, Destination

from tests.contract.rules import violations

pytestmark = pytest.mark.engraves

ROOT = Path(__file__).parents[1]
BOOKS = {"first-page": "A First Page", "harbour-lane": "Loose Hands, Quick Hands"}
Json = dict[str, Any]
Matrix = tuple[float, float, float, float, float, float]


@dataclass(frozen=True, slots=True)
class Built:
    """A finished build: its folder, its JSON document, its PDF."""

    name: str
    folder: Path
    document: Json
    stdout: str

    @property
    def pdf(self) -> Path:
        return self.folder / f"{self.name}.pdf"


def build(name: str, out: Path, cache_folder: Path, *options: str) -> Built:
    """Build a demonstration book into *out*."""
    done = subprocess.run(
        [sys.executable, "-m", "builder", "build", f"books/{name}/book.yaml", "--out", str(out), "--json", *options],
        capture_output=True,
        encoding="utf-8",
        cwd=ROOT,
        env={**os.environ, "ETUDEBOOK_CACHE": str(cache_folder)},
        timeout=900,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    document = json.loads((out / f"{name}.json").read_text(encoding="utf-8"))
    return Built(name, out, document, done.stdout)


@pytest.fixture(scope="module")
def cache_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store of our own: the first build is a cold one, whatever the machine has seen."""
    return tmp_path_factory.mktemp("cache")


@pytest.fixture(scope="module", params=list(BOOKS))
def built(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory, cache_folder: Path) -> Built:
    name = str(request.param)
    return build(name, tmp_path_factory.mktemp(name) / "out", cache_folder)


@cache
def _reader(pdf: Path) -> PdfReader:
    return PdfReader(pdf)


# --- reading a page --------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Run:
    """Text drawn in one go: where its baseline begins, in what font, at what size; music glyphs go by name."""

    x: float
    y: float
    font: str
    size: float
    text: str


@dataclass(frozen=True, slots=True)
class _Font:
    name: str
    glyphs: dict[int, str]
    widths: dict[int, float]


_IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
# A step of almost half an em inside one drawing operation parts two texts, as between the frets of one string.
_PARTING = 400.0


def _product(one: Matrix, other: Matrix) -> Matrix:
    a, b, c, d, e, f = one
    p, q, r, s, t, u = other
    return (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)


def _fonts(page: Any) -> dict[str, _Font]:
    found = {}
    for name, entry in page["/Resources"]["/Font"].items():
        font = entry.get_object()
        encoding = font.get("/Encoding")
        encoding = encoding.get_object() if encoding is not None else {}
        glyphs: dict[int, str] = {}
        code = 0
        for item in encoding.get("/Differences", []) if hasattr(encoding, "get") else []:
            if isinstance(item, int):
                code = int(item)
            else:
                glyphs[code] = str(item)
                code += 1
        first = int(font.get("/FirstChar", 0))
        widths = {first + step: float(width) for step, width in enumerate(font.get("/Widths", []))}
        found[name] = _Font(str(font["/BaseFont"]).split("+")[-1], glyphs, widths)
    return found


class _Pen:
    """The state of text drawing while a page's operators are walked through."""

    def __init__(self, fonts: dict[str, _Font]) -> None:
        self.fonts, self.runs = fonts, list[Run]()
        self.page, self.text, self.line = _IDENTITY, _IDENTITY, _IDENTITY
        self.font, self.size, self.leading = _Font("", {}, {}), 0.0, 0.0
        self.saved: list[tuple[Matrix, _Font, float, float]] = []

    def step(self, operator: str, given: Sequence[Any]) -> None:
        match operator:
            case "q":
                self.saved.append((self.page, self.font, self.size, self.leading))
            case "Q":
                self.page, self.font, self.size, self.leading = self.saved.pop()
            case "cm":
                self.page = _product(_matrix(given), self.page)
            case "BT":
                self.text = self.line = _IDENTITY
            case "Tf":
                self.font, self.size = self.fonts[given[0]], float(given[1])
            case "TL":
                self.leading = float(given[0])
            case "Tm":
                self.text = self.line = _matrix(given)
            case "Td":
                self._next_line(float(given[0]), float(given[1]))
            case "TD":
                self.leading = -float(given[1])
                self._next_line(float(given[0]), float(given[1]))
            case "T*":
                self._next_line(0.0, -self.leading)
            case "'":
                self._next_line(0.0, -self.leading)
                self._draw([given[0]])
            case "Tj":
                self._draw([given[0]])
            case "TJ":
                self._draw(given[0])

    def _next_line(self, right: float, up: float) -> None:
        self.text = self.line = _product((1.0, 0.0, 0.0, 1.0, right, up), self.line)

    def _draw(self, parts: Sequence[Any]) -> None:
        words: list[str] = []
        start = _IDENTITY
        for part in parts:
            if isinstance(part, int | float) or not hasattr(part, "original_bytes"):
                if abs(float(part)) > _PARTING and words:
                    self._keep(start, words)
                self._move(-float(part) / 1000)
                continue
            for code in part.original_bytes:
                if not words:
                    start = _product(self.text, self.page)
                words.append(self.font.glyphs.get(code, chr(code)))
                self._move(self.font.widths.get(code, 0.0) / 1000)
        self._keep(start, words)

    def _move(self, ems: float) -> None:
        self.text = _product((1.0, 0.0, 0.0, 1.0, ems * self.size, 0.0), self.text)

    def _keep(self, start: Matrix, words: list[str]) -> None:
        if words:
            self.runs.append(Run(start[4], start[5], self.font.name, self.size * start[0], "".join(words)))
            words.clear()


def _matrix(given: Sequence[Any]) -> Matrix:
    a, b, c, d, e, f = map(float, given)
    return (a, b, c, d, e, f)


def runs_of(pdf: Path, side: int) -> list[Run]:
    """Everything written on a side, sides counted from 1."""
    page = _reader(pdf).pages[side - 1]
    pen = _Pen(_fonts(page))
    for given, operator in ContentStream(page.get_contents(), _reader(pdf)).operations:
        pen.step(operator.decode("latin-1"), given)
    return pen.runs


@dataclass(frozen=True, slots=True)
class System:
    """A staff with its tablature: the places of the clefs, the gap of the tablature's lines."""

    staff: float
    tab: float
    gap: float


def systems_of(runs: Sequence[Run]) -> list[System]:
    """The systems of a side from the top; tablature lines lie 1.5 staff spaces apart, a staff space is a quarter em."""
    tabs = sorted((run for run in runs if run.text == "/clefs.tab"), key=lambda run: -run.y)
    staves = sorted((run for run in runs if run.text in ("/clefs.G", "/clefs.F")), key=lambda run: -run.y)
    assert len(tabs) == len(staves)
    return [System(staff.y, tab.y, 1.5 * staff.size / 4) for staff, tab in zip(staves, tabs, strict=True)]


def frets_of(runs: Sequence[Run], strings: int) -> list[tuple[int, int]]:
    """The tablature of a side in reading order: (string, fret); a string is found by the line a number stands on."""
    found: list[tuple[int, int, int, int]] = []
    for number, system in enumerate(systems_of(runs)):
        for run in runs:
            if not re.fullmatch(r"[0-9]{1,2}", run.text) or run.font != "TeXGyreHeros-Bold":
                continue
            middle = run.y + 0.36 * run.size  # figures of this font are 0.72 em high
            string = (strings + 1) / 2 - (middle - system.tab) / system.gap
            if abs(string - round(string)) < 0.2 and 1 <= round(string) <= strings:
                # Numbers of one chord are centred on one place; a two-digit one begins up to a quarter em earlier.
                width = 0.556 * run.size * len(run.text)
                found.append((number, round((run.x + width / 2) / 4), round(string), int(run.text)))
    return [(string, fret) for _, _, string, fret in sorted(found)]


def chords_of(runs: Sequence[Run], size: float) -> list[str]:
    """What is written in bold sans of one size above the staves, in reading order, accidentals put back as letters."""
    signs = {"/accidentals.flat": "b", "/accidentals.sharp": "#"}
    found: list[tuple[int, float, str]] = []
    for number, system in enumerate(systems_of(runs)):
        tall = 12 * system.gap
        bold = [run for run in runs if run.font == "TeXGyreHeros-Bold" and abs(run.size - size) < 0.05]
        small = [run for run in runs if run.text in signs and any(abs(run.y - b.y) < 6 for b in bold)]
        above = [run for run in [*bold, *small] if 0 < run.y - system.staff < tall]
        words: list[list[Run]] = []
        for run in sorted(above, key=lambda run: run.x):
            if words and run.x - words[-1][-1].x < 2.2 * size and not re.match("[A-G]", run.text):
                words[-1].append(run)
            else:
                words.append([run])
        found += [(number, word[0].x, "".join(signs.get(run.text, run.text) for run in word)) for word in words]
    return [word for _, _, word in sorted(found)]


def sides_of(study: Json) -> range:
    """The sides a study covers, counted from 1."""
    return range(study["page"], study["page"] + study["pages"])


def struck(study: Json) -> list[tuple[int, int]]:
    """(string, fret) of each number in the tablature, in order: one for a tied note, none for a note bent up to."""
    notes = [event for event in study["events"] if event["kind"] == "note" and not event["tied"]]
    notes = [note for note in notes if not _bent_up(note, study)]
    ordered = sorted(notes, key=lambda note: (Fraction(note["onset"]), note["string"]))
    return [(note["string"], note["fret"]) for note in ordered]


def _bent_up(note: Json, study: Json) -> bool:
    """Whether a bend raises *note* over the fret that is stopped; let back, it has a number in brackets."""
    stopped = study["instrument"]["strings"][note["string"] - 1] + study["instrument"]["capo"] + note["fret"]
    return bool(note["technique"] == "bend" and note["midi"] > stopped)


def plain(text: str) -> str:
    """Text without blanks, in lower case."""
    return re.sub(r"\s+", "", text).lower()


def joined(text: str) -> str:
    """A pattern for *text* as `plain` leaves it; a ligature may be one sign, which another test looks at."""
    return re.sub("ffi|ffl|ff|fi|fl", ".{1,3}", re.escape(plain(text)))


# --- the book as a whole ---------------------------------------------------------------------------------------------


def test_stdout_is_the_json_of_the_build(built: Built) -> None:
    assert json.loads(built.stdout) == built.document
    assert built.document["problems"] == []
    assert built.document["studies"]


def test_the_files_are_those_of_the_contract(built: Built) -> None:
    names = {path.name for path in built.folder.iterdir()}
    texts = {f"{built.name}.json", f"{built.name}-coverage.json", f"{built.name}-report.txt"}
    assert names == {f"{built.name}.pdf", *texts, "sources", "tracks"}
    sources = {path.stem for path in (built.folder / "sources").iterdir()}
    tracks = {path.name for path in (built.folder / "tracks").iterdir()}
    assert sources == tracks == {study["id"] for study in built.document["studies"]}
    report = (built.folder / f"{built.name}-report.txt").read_text(encoding="utf-8")
    for skipped in built.document["skipped"]:
        assert skipped["exercise"] in report
        assert skipped["reason"] in report
    for study in built.document["studies"]:
        for warning in study["warnings"]:
            assert warning in report


@pytest.mark.skipif(shutil.which("qpdf") is None, reason="qpdf is not installed")
def test_qpdf_finds_no_fault(built: Built) -> None:
    done = subprocess.run(["qpdf", "--check", str(built.pdf)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_order_is_by_level_and_exercises_stay_together(built: Built) -> None:
    studies = built.document["studies"]
    exercises = [study["exercise"] for study in studies]
    changes = [one for one, other in zip(exercises, ["", *exercises], strict=False) if one != other]
    assert len(changes) == len(set(changes)), "an exercise is torn apart"
    for one, other in pairwise(studies):
        if one["exercise"] == other["exercise"]:
            assert (one["level"], one["metrics"]["score"]) <= (other["level"], other["metrics"]["score"])


def test_studies_lie_one_after_the_other_on_the_sides_they_are_given(built: Built) -> None:
    sides = len(_reader(built.pdf).pages)
    taken: Counter[int] = Counter(side for study in built.document["studies"] for side in sides_of(study))
    assert max(taken.values()) == 1, "two studies on one side"
    assert max(taken) <= sides
    firsts = [study["page"] for study in built.document["studies"]]
    assert firsts == sorted(firsts)
    for study in built.document["studies"]:
        assert study["pages"] >= 1


def test_every_side_has_the_papers_size_and_something_on_it(built: Built) -> None:
    for number, page in enumerate(_reader(built.pdf).pages, start=1):
        assert abs(float(page.mediabox.width) - 595.276) < 0.05, number
        assert abs(float(page.mediabox.height) - 841.89) < 0.05, number


# --- each study's page -----------------------------------------------------------------------------------------------


def test_each_study_begins_on_its_page_with_title_and_start(built: Built) -> None:
    reader = _reader(built.pdf)
    for study in built.document["studies"]:
        text = plain(reader.pages[study["page"] - 1].extract_text())
        start = study["start"]
        place = f"string{start['string']}," + (f"fret{start['fret']}" if start["fret"] else "open")
        assert place in text, f"{study['id']}: {place}"
        assert re.search(joined(study["title"]), text), f"{study['id']}: no title"
        assert re.search(joined(study["id"]), text), f"{study['id']}: the permanent number is not printed"
        for tempo in study["tempo_steps"]:
            assert str(tempo) in text, f"{study['id']}: no tempo mark {tempo}"


def test_the_tablature_says_what_the_json_says(built: Built) -> None:
    wrong = []
    for study in built.document["studies"]:
        strings = len(study["instrument"]["strings"])
        printed = [pair for side in sides_of(study) for pair in frets_of(runs_of(built.pdf, side), strings)]
        expected = struck(study)
        if printed != expected:
            at = next((n for n, (one, other) in enumerate(zip(printed, expected, strict=False)) if one != other), -1)
            wrong.append(f"{study['id']}: {len(printed)} numbers for {len(expected)} notes, first difference at {at}")
    assert not wrong, "\n".join(wrong)


def test_the_chord_names_stand_in_order(built: Built) -> None:
    wrong = []
    for study in built.document["studies"]:
        runs = [runs_of(built.pdf, side) for side in sides_of(study)]
        expected = [chord["symbol"] for chord in study["chords"]]
        sizes = {round(run.size, 2) for side in runs for run in side if run.font == "TeXGyreHeros-Bold"}
        found = {size: [name for side in runs for name in chords_of(side, size)] for size in sizes}
        if expected and expected not in found.values():
            wrong.append(f"{study['id']}: {expected} is not among {found}")
    assert not wrong, "\n".join(wrong[:10])


def test_every_study_keeps_the_contract(built: Built) -> None:
    folder = ROOT / "books" / built.name / "exercises"
    written = {path.stem: yaml.safe_load(path.read_text(encoding="utf-8")) for path in folder.glob("*.yaml")}
    specs = {spec.get("id", stem): spec for stem, spec in written.items()}
    found = [text for study in built.document["studies"] for text in violations(study, specs[study["exercise"]])]
    assert not found, "\n".join(found[:20])


def test_text_can_be_read_by_a_machine(built: Built) -> None:
    """Every text font says which letters its signs are, so that a page can be searched and read aloud."""
    reader = _reader(built.pdf)
    for study in built.document["studies"][:10]:
        text = reader.pages[study["page"] - 1].extract_text()
        assert "\u00ff" not in text, f"{study['id']}: a ligature reads as another letter: {text[:160]!r}"


# --- furniture, links, metadata --------------------------------------------------------------------------------------


def _font_files(reader: PdfReader) -> Iterator[tuple[str, int]]:
    """Every embedded font: its name and the object number of its file."""
    seen: set[int] = set()
    for page in reader.pages:
        resources: Any = page["/Resources"]
        for entry in resources["/Font"].values():
            font = entry.get_object()
            descriptor = font.get("/FontDescriptor")
            if descriptor is None and "/DescendantFonts" in font:
                descriptor = font["/DescendantFonts"][0].get_object().get("/FontDescriptor")
            assert descriptor is not None, f"{font['/BaseFont']} is not embedded"
            descriptor = descriptor.get_object()
            files = [descriptor.raw_get(key) for key in descriptor if str(key).startswith("/FontFile")]
            assert len(files) == 1, f"{font['/BaseFont']} is not embedded"
            if files[0].idnum not in seen:
                seen.add(files[0].idnum)
                yield str(font["/BaseFont"]).split("+")[-1], files[0].idnum


def test_each_font_is_embedded_once(built: Built) -> None:
    counted = Counter(name for name, _ in _font_files(_reader(built.pdf)))
    assert all(re.match("TeXGyre|C059|Nimbus|Emmentaler", name) for name in counted), counted
    assert max(counted.values()) == 1, counted


def test_the_outline_leads_to_the_studies(built: Built) -> None:
    reader = _reader(built.pdf)
    entries: list[tuple[str, int]] = []

    def collect(items: Sequence[Any]) -> None:
        for item in items:
            if isinstance(item, list):
                collect(item)
            elif isinstance(item, Destination):
                entries.append((str(item.title), int(reader.get_destination_page_number(item) or 0) + 1))

    collect(reader.outline)
    for study in built.document["studies"]:
        titles = {title for title, side in entries if side == study["page"]}
        assert titles, f"{study['id']}: the outline does not lead to its page"
    first = {study["exercise"]: study for study in reversed(built.document["studies"])}
    named = {title for title, _ in entries}
    assert {study["title"] for study in first.values()} <= named | {title.split(" \u00b7 ")[0] for title in named}


def test_page_labels_are_roman_then_decimal(built: Built) -> None:
    labels = _reader(built.pdf).page_labels
    body = [index for index, label in enumerate(labels) if label.isdigit()]
    assert body, labels
    assert labels[: body[0]] == [_roman(number + 1) for number in range(body[0])] or labels[0].islower()
    assert all(re.fullmatch("[ivxl]+", label) for label in labels[: body[0]]), labels
    assert labels[body[0] :] == [str(number + 1) for number in range(len(labels) - body[0])]
    for study in built.document["studies"]:
        assert labels[study["page"] - 1].isdigit()


def _roman(number: int) -> str:
    signs = (("x", 10), ("ix", 9), ("v", 5), ("iv", 4), ("i", 1))
    written = ""
    for sign, value in signs:
        while number >= value:
            written += sign
            number -= value
    return written


def _front_links(built: Built) -> Iterator[tuple[int, int, list[Run]]]:
    """Links before the first study: the side they stand on, the side they lead to, the text on their line."""
    reader = _reader(built.pdf)
    numbers = {
        page.indirect_reference.idnum: side for side, page in enumerate(reader.pages, 1) if page.indirect_reference
    }
    for side in range(1, min(study["page"] for study in built.document["studies"])):
        runs = runs_of(built.pdf, side)
        for entry in reader.pages[side - 1].get("/Annots", []):
            link = entry.get_object()
            if link.get("/Subtype") != "/Link":
                continue
            target: Any = link.get("/Dest") or link["/A"].get_object().get("/D")
            assert target is not None, f"a link without a target on side {side}"
            target = target.get_object()
            if isinstance(target, str | bytes):
                named = reader.named_destinations[str(target)]
                to = int(reader.get_destination_page_number(named) or 0) + 1
            else:
                to = numbers[target.raw_get(0).idnum if hasattr(target, "raw_get") else target[0].idnum]
            low, high = sorted((float(link["/Rect"][1]), float(link["/Rect"][3])))
            yield side, to, [run for run in runs if low - 1 <= run.y <= high + 1]


def test_links_of_the_contents_lead_to_the_page_they_name(built: Built) -> None:
    labels = _reader(built.pdf).page_labels
    led = set()
    for side, to, line in _front_links(built):
        led.add(to)
        words = " ".join(run.text for run in line).split()
        assert labels[to - 1] in words, f"side {side}: a link to page {labels[to - 1]} on a line that says {words}"
    missing = [study["id"] for study in built.document["studies"] if study["page"] not in led]
    assert not missing, f"no link of the contents leads to {missing}"


def test_contents_print_the_numbers_of_the_pages(built: Built) -> None:
    reader = _reader(built.pdf)
    first = min(study["page"] for study in built.document["studies"]) - 1
    front = " ".join(reader.pages[index].extract_text() for index in range(first))
    for study in built.document["studies"]:
        label = reader.page_labels[study["page"] - 1]
        assert re.search(rf"(?<!\d){label}(?!\d)", front), f"{study['id']}: page {label} is not in the contents"


def test_metadata_names_title_author_and_language(built: Built) -> None:
    reader = _reader(built.pdf)
    assert reader.metadata is not None
    assert reader.metadata.title == BOOKS[built.name]
    assert reader.metadata.author == "The Harbour Lane guitar staff"
    root: Any = reader.trailer["/Root"]
    assert root["/Lang"] == "en"


# --- building again --------------------------------------------------------------------------------------------------


def test_nothing_changed_leaves_the_pdf_as_it_is(built: Built, cache_folder: Path) -> None:
    before = {path: path.read_bytes() for path in sorted(built.folder.rglob("*")) if path.is_file()}
    build(built.name, built.folder, cache_folder)
    after = {path: path.read_bytes() for path in sorted(built.folder.rglob("*")) if path.is_file()}
    assert [path.name for path in after if after[path] != before.get(path)] == []
    assert set(after) == set(before)


def _music(pdf: Path, side: int) -> bytes:
    """The drawing of a study without what the book lays over it: by far the longest part of a page's contents."""
    contents: Any = _reader(pdf).pages[side - 1]["/Contents"].get_object()
    parts = [part.get_object().get_data() for part in (contents if isinstance(contents, list) else [contents])]
    longest = max(parts, key=len)
    assert len(longest) > 5000
    return bytes(longest)


def test_one_exercise_alone_gives_the_same_pages(built: Built, cache_folder: Path, tmp_path: Path) -> None:
    exercise = built.document["studies"][0]["exercise"]
    alone = build(built.name, tmp_path / "out", cache_folder, "--only", exercise, "--pages-only")
    whole = {study["id"]: study for study in built.document["studies"]}
    assert {study["exercise"] for study in alone.document["studies"]} == {exercise}
    assert len(_reader(alone.pdf).pages) == sum(study["pages"] for study in alone.document["studies"])
    for study in alone.document["studies"]:
        twin = whole[study["id"]]
        assert study["events"] == twin["events"]
        for here, there in zip(sides_of(study), sides_of(twin), strict=True):
            assert _music(alone.pdf, here) == _music(built.pdf, there), study["id"]


def test_a_cold_build_of_one_exercise_gives_the_same_pages(built: Built, tmp_path: Path) -> None:
    """Neither the pages engraved beside it nor what the cache holds may change a page."""
    exercise = built.document["studies"][0]["exercise"]
    alone = build(built.name, tmp_path / "out", tmp_path / "cache", "--only", exercise, "--pages-only")
    whole = {study["id"]: study for study in built.document["studies"]}
    for study in alone.document["studies"]:
        for here, there in zip(sides_of(study), sides_of(whole[study["id"]]), strict=True):
            assert _music(alone.pdf, here) == _music(built.pdf, there), study["id"]
