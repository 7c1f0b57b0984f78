"""Text that would like to be a command: it prints as what it is, or it is a clear problem; it never runs.

In, Out:  specs with hostile values; LilyPond sources of every rung, problems, one engraved book read back
Source:   engraving guide, section 5 (the attack pasted into a title ran Scheme code and wrote a file)
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from builder.compose import compose
from builder.composing import knowledge_from
from builder.engraving.escaping import ly_string
from builder.engraving.lilypond_source import study_sheet, style_text
from builder.errors import Problem, SpecError
from builder.pipeline import check
from builder.printed_words import phrases_of
from builder.spec import load_library, read_book
from tests.contract.specs import as_yaml

ROOT = Path(__file__).parents[2]
Json = dict[str, Any]

ATTACK = 'Fun" } #(call-with-output-file "pwned.txt" (lambda (p) (display "x" p))) \\markup { "'
# The same, short enough for every line of a page; whatever folder it would run in, home is where it would be seen.
SHORT_ATTACK = 'Oh" } #(system "touch ~/pwned") {"'
# Signs that mean something to LilyPond, Scheme, the templates, a terminal's markup or a PDF string; all can be printed.
PRINTABLE = {
    "the attack": ATTACK,
    "quotes": 'Say "ah" and \'oh\' and ""',
    "backslashes": 'a\\b\\\\c\\n\\" d',
    "a backslash at the end": "Low tide\\",
    "a scheme call": "#(exit 1) $(exit 1) #@(list) ##f",
    "a block comment": "%{ over %} there % out",
    "braces": "} { }} {{ << >> < > [ ]",
    "signs of music": 'c\'4~ ^"x" _ - | \\repeat (hold)',
    "template signs": "[[ 1 + 1 ]] [% raise %] [# no #] {{ 7 * 7 }} {% x %}",
    "terminal markup": "[bold red]stop[/] [link=x]",
    "a format string": "{title} {0} %s %(x)s $title ${title}",
    "a path": "../../etc/passwd",
    "html": "<b>loud</b> &amp; <script>",
    "a pdf string": ") Tj ET (",
}
# What no font prints or no one could read: a problem at its place.
REFUSED = {
    "nul": "Low\0tide",
    "a bell": "Low\x07tide",
    "an escape": "\x1b[31mred",
    "a right-to-left override": "Low \u202eedit",
    "an isolate": "Low \u2066tide\u2069",
    "a line break": "Low\ntide",
    "a line separator": "Low\u2028tide",
    "nothing": "",
    "blanks": "   ",
    "very long": "tide " * 400,
    "an emoji": "Low tide \U0001f30a",
    "a private sign": "Low \ue000",
    "an unprintable script": "\uae30\ud0c0",
    "a lone accent pile": "e" + "\u0301" * 60,
}
BOOK_TEXTS = ("title", "subtitle", "school", "author", "edition", "licence")
EXERCISE_TEXTS = ("title", "aim")


def _book() -> Json:
    return {
        "title": "Slack Water",
        "subtitle": "A short one",
        "school": "Harbour Lane Music School",
        "author": "The staff",
        "edition": "First",
        "licence": "Free to copy",
        "instrument": "guitar",
        "exercises": ["exercises/*.yaml"],
    }


def _exercise() -> Json:
    return {
        "id": "two-buoys",
        "title": "Two Buoys",
        "aim": "Three notes, land, let go.",
        "skills": ["landing"],
        "key": "A minor",
        "material": {"kind": "chord-loop", "chords": ["Am", "F"], "set-size": 3},
        "contour": {"order": [1, 2, 3], "land": 1},
        "rhythm": {"meter": "4/4", "notes-per-beat": 3},
        "neck": {"path": "one-string", "start": {"places": [{"string": 3, "fret": 14}]}},
        "strokes": {"rule": "alternate"},
        "tempo": {"from": 60, "to": 90, "steps": 3},
        "checkpoints": {"at": "rests", "cues": ["jaw", "feet"]},
    }


def _write(folder: Path, book: Json, exercise: Json) -> Path:
    (folder / "exercises").mkdir(parents=True, exist_ok=True)
    (folder / "exercises" / "two-buoys.yaml").write_text(as_yaml(exercise), encoding="utf-8")
    (folder / "book.yaml").write_text(as_yaml(book), encoding="utf-8")
    return folder / "book.yaml"


def _sources(path: Path) -> Iterator[str]:
    """The LilyPond text of every study on every rung, after the style they share."""
    library = load_library()
    spec = read_book(path, library)
    assert not spec.problems, [str(problem) for problem in spec.problems]
    assert spec.plan is not None
    phrases = phrases_of(spec.plan)
    cues = {cue.id: cue.words for cue in library.cues}
    for plan in spec.exercises:
        studies = compose(plan, knowledge_from(library)).studies
        assert studies
        for study in studies:
            sheet = study_sheet(study, spec.plan, plan.places.where(), phrases, cues)
            yield from (style_text(spec.plan) + body.text for body in sheet.bodies)


def quoted_and_bare(source: str) -> tuple[list[str], str]:
    """Take LilyPond text apart as its lexer does: the quoted strings, unescaped, and all that stands outside.

    >>> quoted_and_bare('a "b\\\\"c" d % "not one"')
    (['b"c'], 'a  d ')
    """
    token = re.compile(r'"((?:[^"\\]|\\.)*)"|%\{.*?%\}|%[^\n]*|#!.*?!#', re.S)
    strings = [re.sub(r"\\(.)", r"\1", match[1]) for match in token.finditer(source) if match[1] is not None]
    return strings, token.sub("", source)


def _lexed(source: str) -> tuple[list[str], str]:
    strings, bare = quoted_and_bare(source)
    assert '"' not in bare, "a quoted string is left open"
    assert bare.count("{") - bare.count("}") == 0, "braces do not match outside the strings"
    return strings, bare


def test_the_harmless_book_has_no_problem(tmp_path: Path) -> None:
    assert len(check(_write(tmp_path, _book(), _exercise()), strict=False).document["studies"]) == 1


@pytest.fixture(scope="module")
def harmless(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """The text outside strings of a harmless book: hostile text must not change a character of it."""
    path = _write(tmp_path_factory.mktemp("harmless"), _book(), _exercise())
    return [_lexed(source)[1] for source in _sources(path)]


@pytest.mark.parametrize("name", PRINTABLE)
def test_hostile_text_stays_inside_quoted_strings(tmp_path: Path, harmless: list[str], name: str) -> None:
    text = PRINTABLE[name]
    book = _book() | dict.fromkeys(BOOK_TEXTS, text[:80])
    path = _write(tmp_path, book, _exercise() | dict.fromkeys(EXERCISE_TEXTS, text))
    lexed = [_lexed(source) for source in _sources(path)]
    assert [_squeezed(bare) for _, bare in lexed] == [_squeezed(bare) for bare in harmless]
    for strings, _ in lexed:
        assert strings.count(text) >= 2, f"title and aim are not printed as written: {strings[:12]}"


def _squeezed(bare: str) -> str:
    """Without figures: a longer title takes room, so that rows and systems may stand a little closer."""
    return re.sub(r"\s+", " ", re.sub(r"\d+(?:\.\d+)?", "0", bare))


@pytest.mark.parametrize("name", PRINTABLE)
def test_an_instruments_name_is_quoted(tmp_path: Path, name: str) -> None:
    own = {"name": PRINTABLE[name][:80], "strings": ["E4", "B3", "G3", "D3"], "frets": 20, "scale-length": 640}
    path = _write(tmp_path, _book(), _exercise() | {"instrument": own})
    for source in _sources(path):
        _lexed(source)


@pytest.mark.parametrize("key", [*BOOK_TEXTS, *(f"exercise {key}" for key in EXERCISE_TEXTS)])
@pytest.mark.parametrize("name", REFUSED)
def test_text_that_cannot_be_printed_is_a_problem_at_its_key(tmp_path: Path, key: str, name: str) -> None:
    book, exercise = _book(), _exercise()
    part, field = (exercise, key.split()[1]) if " " in key else (book, key)
    part[field] = REFUSED[name]
    with pytest.raises(SpecError) as error:
        check(_write(tmp_path, book, exercise), strict=False)
    _assert_at(error.value.problems[0], field)
    assert len(str(error.value)) < 2000
    assert not re.search("[\x00-\x08\x0b-\x1f\u202a-\u202e\u2066-\u2069]", str(error.value).replace("\r", ""))


def _assert_at(problem: Problem, key: str) -> None:
    """The problem names *key*, or, where the text could not be read at all, stands on the lines of that key."""
    if problem.key:
        assert problem.key.split(".")[0] == key, str(problem)
    lines = Path(problem.where.file).read_text(encoding="utf-8").split("\n")
    keys = [line.split(":")[0] for line in lines[: problem.where.line] if re.match(r"[a-z]", line)]
    assert keys, str(problem)
    assert keys[-1] == key, str(problem)


def _set(path: str, value: object) -> Json:
    """The exercise with the value at a dotted path replaced."""
    exercise = _exercise()
    *above, last = path.split(".")
    part: Any = exercise
    for key in above:
        part = part[int(key) if key.isdigit() else key]
    part[int(last) if last.isdigit() else last] = value
    return exercise


TOKENS = (
    "id", "key", "material.kind", "material.chords.0", "material.scale", "material.choose", "skills.0", "rhythm.meter",
    "rhythm.rest", "neck.path", "neck.start.note", "strokes.rule", "strokes.first", "checkpoints.at",
    "checkpoints.cues.0", "instrument", "tempo.spacing",
)  # fmt: skip
HOSTILE_TOKENS = {
    "the attack": ATTACK,
    "a chord with a tail": 'Am" } #(exit) { "',
    "an escape": "Dm\\markup",
    "a scheme value": "#(exit)",
    "nul": "A\0m",
    "an override": "A\u202em",
    "a line break": "Am\n} #(exit)",
    "very long": "A" * 5000,
    "a full-width A": "\uff21m",
    "a superscript": "A\u00b2",
    "an arabic digit": "\u0661",
    "nothing": "",
}


@pytest.mark.parametrize("where", TOKENS)
def test_a_hostile_token_is_a_problem_at_its_key(tmp_path: Path, where: str) -> None:
    for name, value in HOSTILE_TOKENS.items():
        path = _write(tmp_path, _book(), _set(where, value))
        with pytest.raises(SpecError) as error:
            check(path, strict=False)
        first = error.value.problems[0]
        _assert_at(first, where.split(".")[0])
        assert len(str(first)) < 1500, f"{name}: a message nobody can read"


@pytest.mark.parametrize(
    "item",
    ["E4 1/4@#(exit)", "E4\\markup 1/4", "<E4 G4> 1/4", "E4 1/4 #3", 'E4" 1/4', "E4 1/0", "E4 9999/1", "E4 1/\u0664"],
)
def test_written_notes_are_read_and_written_out_anew(tmp_path: Path, item: str) -> None:
    exercise = _exercise() | {"material": {"kind": "notes", "voices": [f"C4 1/4, {item} | C4 1/2"]}}
    exercise["neck"] = {"path": "position", "start": {"note": "C4"}}
    del exercise["contour"]
    exercise["rhythm"] = {"meter": "2/4"}
    with pytest.raises(SpecError, match=r"two-buoys\.yaml:\d+:\d+: material\.voices\.1: .*item 2"):
        check(_write(tmp_path, _book(), exercise), strict=False)


def test_a_language_is_never_a_path(tmp_path: Path) -> None:
    for value in ("../../../etc/passwd", "en/../en", "EN", "e\0n", "xx", ATTACK):
        with pytest.raises(SpecError, match=r"language"):
            check(_write(tmp_path, _book() | {"language": value}, _exercise()), strict=False)


def test_quoting_is_undone_exactly_by_the_reader_of_strings() -> None:
    for text in (*PRINTABLE.values(), "\\", '"', '\\"', '"\\'):
        strings, bare = quoted_and_bare(f"a {ly_string(text)} b")
        assert strings == [text]
        assert bare == "a  b"


def _plain(text: str) -> str:
    """Text as it can be compared with what is read from a PDF: without blanks, ligatures and quotes' shapes."""
    for ligature, letters in {"\ufb01": "fi", "\ufb02": "fl", "\u2019": "'", "\u2018": "'", "\u201d": '"'}.items():
        text = text.replace(ligature, letters)
    return re.sub(r"\s+", "", text)


@pytest.mark.engraves
def test_an_engraved_book_prints_the_attack_and_runs_nothing(tmp_path: Path) -> None:
    from pypdf import PdfReader

    book = _book() | dict.fromkeys(BOOK_TEXTS, SHORT_ATTACK)
    exercise = _exercise() | dict.fromkeys(EXERCISE_TEXTS, SHORT_ATTACK)
    path = _write(tmp_path / "slack-water", book, exercise)
    home = tmp_path / "home"
    home.mkdir()
    away = tmp_path / "elsewhere"
    away.mkdir()
    done = subprocess.run(
        [sys.executable, "-m", "builder", "build", str(path), "--json"],
        capture_output=True,
        encoding="utf-8",
        cwd=away,
        env={**os.environ, "PYTHONPATH": str(ROOT), "HOME": str(home), "ETUDEBOOK_CACHE": str(tmp_path / "c")},
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert not list(tmp_path.rglob("pwned*"))
    assert list(away.iterdir()) == []
    reader = PdfReader(path.parent / "out" / "slack-water.pdf")
    assert reader.metadata is not None
    assert reader.metadata.title == SHORT_ATTACK
    assert reader.metadata.author == SHORT_ATTACK
    (study,) = json.loads(done.stdout)["studies"]
    page = _plain(reader.pages[study["page"] - 1].extract_text())
    assert page.count(_plain(SHORT_ATTACK)) >= 2, page
    cover = _plain(reader.pages[0].extract_text())
    assert cover.count(_plain(SHORT_ATTACK)) >= 2, cover


@pytest.mark.engraves
@pytest.mark.parametrize("letter", ["W", "i ", "fi"])
def test_the_longest_text_allowed_prints_or_is_a_problem_of_its_file(tmp_path: Path, letter: str) -> None:
    """Whatever the reader lets through must not break a page: it is set smaller, or told apart at its place."""
    exercise = _exercise() | {"title": (letter * 120)[:120].strip(), "aim": (letter * 200)[:200].strip()}
    path = _write(tmp_path / "slack-water", _book(), exercise)
    done = subprocess.run(
        [sys.executable, "-m", "builder", "build", str(path), "--pages-only"],
        capture_output=True,
        encoding="utf-8",
        cwd=ROOT,
        env={**os.environ, "ETUDEBOOK_CACHE": str(tmp_path / "cache")},
        timeout=300,
        check=False,
    )
    assert "Traceback" not in done.stderr
    assert done.returncode in (0, 2, 3), done.stderr
    if done.returncode:
        assert re.search(r"two-buoys\.yaml:\d+:\d+: ", done.stderr), done.stderr
    assert (path.parent / "out" / "slack-water.pdf").exists() == (done.returncode == 0)
