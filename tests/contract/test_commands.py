"""The commands as a user runs them: exit codes, output, and every wrong file a clear problem at its place.

In, Out:  `python -m builder …` in a process of its own; exit code, stdout, stderr, files left behind
Source:   product contract, sections 5 and 6; style guide, section 6
Not here: engraving (`test_demo_book`)
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
COMMANDS = ("build", "check", "studies", "new", "list", "tracks")
LISTINGS = ("materials", "instruments", "cues", "skills", "schema")

BOOK = """\
title: Slack Water
school: Harbour Lane Music School
instrument: guitar
exercises: [exercises/*.yaml]
"""
EXERCISE = """\
title: Two Buoys
aim: Three notes, land, let go.
key: A minor
material: {kind: chord-loop, chords: [Am, F], set-size: 3}
contour: {order: [1, 2, 3], times: 1, land: 1}
rhythm: {meter: 4/4, notes-per-beat: 3, rest: to-barline}
neck: {path: one-string, start: {note: A, places: each-string}}
strokes: {rule: alternate, first: down}
tempo: {from: 60, to: 90, steps: 3}
checkpoints: {at: rests, cues: rotate}
"""


def run(*arguments: object, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run the command line; output is decoded strictly, so that broken text fails the test."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", "COLUMNS": "100"}
    return subprocess.run(
        [sys.executable, "-m", "builder", *map(str, arguments)],
        capture_output=True,
        encoding="utf-8",
        cwd=cwd or ROOT,
        env=environment,
        timeout=120,
        check=False,
    )


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A small good book: one exercise, two-buoys."""
    folder = tmp_path / "slack-water"
    (folder / "exercises").mkdir(parents=True)
    (folder / "book.yaml").write_text(BOOK, encoding="utf-8")
    (folder / "exercises" / "two-buoys.yaml").write_text(EXERCISE, encoding="utf-8")
    return folder / "book.yaml"


def assert_problem(done: subprocess.CompletedProcess[str], *wanted: str) -> None:
    """Exit code 2, a message on stderr that holds all of *wanted*, nothing on stdout, no traceback."""
    assert done.returncode == 2, done.stdout + done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""
    message = re.sub(r"\n(?!  hint)", " ", done.stderr)
    for each in wanted:
        assert re.search(each, message), f"{each} is not in: {done.stderr}"


# --- what works ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_every_command_has_help(command: str) -> None:
    done = run(*filter(None, [command]), "--help")
    assert done.returncode == 0
    assert done.stderr == ""
    assert "usage: etudebook" in done.stdout
    for name in COMMANDS if not command else (command,):
        assert name in done.stdout


@pytest.mark.parametrize("what", LISTINGS)
def test_every_listing_has_an_example(what: str) -> None:
    done = run("list", what)
    assert done.returncode == 0, done.stderr
    assert len(done.stdout.splitlines()) > 5
    expected = {
        "materials": (
            *("chord-loop", "arpeggio", "fingers", "notes", "scale", "title:"),
            *("double-notes", "right-hand", "chord-changes", "slides", "bends", "harmonics", "drone", "holds"),
        ),
        "instruments": ("guitar", "ukulele", "seven-string", "mandolin", "short-scale-guitar", "strings"),
        "cues": ("jaw", "shoulders", "cues:"),
        "skills": ("alternate-picking", "skills:"),
        "schema": ('"book"', '"exercise"', "set-size"),
    }[what]
    for word in expected:
        assert word in done.stdout


def test_the_schema_is_one_json_document() -> None:
    assert json.loads(run("list", "schema").stdout)


def test_a_new_book_can_be_checked_at_once(tmp_path: Path) -> None:
    begun = run("new", tmp_path / "mine")
    assert begun.returncode == 0, begun.stderr
    assert run("check", tmp_path / "mine" / "book.yaml").returncode == 0


def test_new_leaves_a_folder_that_is_not_empty_alone(tmp_path: Path) -> None:
    (tmp_path / "kept.txt").write_text("mine", encoding="utf-8")
    done = run("new", tmp_path)
    assert done.returncode in (2, 4)
    assert "Traceback" not in done.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["kept.txt"]


def test_check_of_a_good_book_is_silent_about_problems(book: Path) -> None:
    done = run("check", book)
    assert done.returncode == 0, done.stderr
    assert not (book.parent / "out").exists()


@pytest.mark.parametrize("command", ["check", "studies"])
def test_json_is_the_only_thing_on_stdout(book: Path, command: str) -> None:
    exercise = book.parent / "exercises" / "two-buoys.yaml"
    done = run(command, book if command == "check" else exercise, "--json")
    assert done.returncode == 0, done.stderr
    document = json.loads(done.stdout)
    assert set(document) == {"studies", "skipped", "problems"}
    assert {study["exercise"] for study in document["studies"]} == {"two-buoys"}
    assert document["problems"] == []


def test_studies_shows_a_table_of_every_place(book: Path) -> None:
    done = run("studies", book.parent / "exercises" / "two-buoys.yaml")
    assert done.returncode == 0, done.stderr
    ids = [
        study["id"]
        for study in json.loads(run("studies", book.parent / "exercises" / "two-buoys.yaml", "--json").stdout)[
            "studies"
        ]
    ]
    assert ids
    assert "\x1b" not in done.stdout + done.stderr


def test_studies_takes_an_instrument_and_a_hand(book: Path) -> None:
    exercise = book.parent / "exercises" / "two-buoys.yaml"
    done = run("studies", exercise, "--instrument", "bass", "--hand", "small", "--json")
    assert done.returncode == 0, done.stderr
    for study in json.loads(done.stdout)["studies"]:
        assert study["instrument"]["strings"] == [43, 38, 33, 28]
        assert study["hand"] == {"comfort_mm": 78, "limit_mm": 98}


def test_json_of_a_wrong_book_holds_the_problems(book: Path) -> None:
    book.write_text(BOOK.replace("title", "titel"), encoding="utf-8")
    done = run("check", book, "--json")
    assert done.returncode == 2
    document = json.loads(done.stdout)
    assert document["studies"] == []
    assert [problem["line"] for problem in document["problems"]][:1] == [1]
    assert "Traceback" not in done.stderr


# --- what is refused -------------------------------------------------------------------------------------------------

# Each wrong exercise: text to put in place of a line of EXERCISE (found by its key), and what the message must hold.
WRONG_LINES = {
    "an unknown key": ("rythm: {meter: 4/4}", "rhythm", r":6:1: rythm: .*did you mean 'rhythm'"),
    "an unknown key inside": ("rhythm: {notes-per-bear: 4}", "rhythm", r":6:\d+: rhythm\.notes-per-bear: .*per-beat"),
    "a duplicate key": ("key: A minor\nkey: B minor", "key", r":4:1: "),
    "a duplicate key inside": ("tempo: {from: 60, to: 90, to: 100}", "tempo", r":9:27: "),
    "an anchor": ("key: &k A minor", "key", r":3:\d+: "),
    "an alias": ("key: *k", "key", r":3:\d+: "),
    "a tag": ("key: !!python/name:os.system", "key", r":3:\d+: "),
    "a merge": ("tempo: {<<: {from: 60}}", "tempo", r":9:\d+: "),
    "five thousand digits": (f"level: {'9' * 5000}", "key", r":3:\d+: "),
    "two thousand brackets": (f"key: {'[' * 2000}{']' * 2000}", "key", r":3:\d+: "),
    "brackets left open": (f"key: {'[' * 2000}", "key", r":\d+:\d+: "),
    "a tab": ("key:\n\t- A minor", "key", r":4:1: "),
    "a meter with a colon": ("rhythm: {meter: 6:8}", "rhythm", r":6:\d+: rhythm\.meter: .*6/8"),
    "a yes for true": ("material: {kind: scale, turn: yes}", "material", r":4:\d+: material\.turn: "),
    "an unknown rule": ("strokes: {rule: legatto}", "strokes", r":8:\d+: strokes\.rule: .*legato"),
    "an unknown path": ("neck: {path: fre}", "neck", r":7:\d+: neck\.path: .*free"),
    "a material without its key": ("material: {kind: double-notes}", "material", r":4:\d+: material\.interval: "),
    "a path where the material places its notes": (
        "material: {kind: harmonics}",
        "material",
        r":7:\d+: neck\.path: .*harmonics",
    ),
    "a key of another rule": ("strokes: {rule: alternate, pluck: [1]}", "strokes", r":8:\d+: strokes\.pluck: "),
    "an unknown material": ("material: {kind: chord-lop}", "material", r":4:\d+: material\.kind: .*chord-loop"),
    "an unknown chord": ("material: {kind: chord-loop, chords: [Hm]}", "material", r":4:\d+: material\.chords\.1: "),
    "an order outside the set": ("contour: {order: [1, 2, 4], land: 1}", "contour", r":5:\d+: contour"),
    "a landing outside the set": ("contour: {order: [1, 2], land: 9}", "contour", r":5:\d+: contour"),
    "no contour over chords": ("", "contour", r" contour: "),
    "a tempo that falls": ("tempo: {from: 90, to: 60, steps: 3}", "tempo", r":9:\d+: tempo\.to: "),
    "too many notes a beat": ("rhythm: {notes-per-beat: 9}", "rhythm", r":6:\d+: rhythm\.notes-per-beat: .*1 to 8"),
    "a beat without groups": ("rhythm: {meter: 7/8}", "rhythm", r":6:\d+: rhythm\.meter: .*groups"),
    "groups of another meter": ("rhythm: {meter: 7/8, groups: [2, 2]}", "rhythm", r":6:\d+: rhythm\.groups: .*7"),
    "a cue nobody knows": ("checkpoints: {cues: [jow]}", "checkpoints", r":10:\d+: checkpoints\.cues\.1: .*jaw"),
    "a skill nobody knows": ("skills: [alternate-piking]", "aim", r":2:\d+: skills\.1: .*alternate-picking"),
    "a note and a list of places": (
        "neck: {start: {note: A, places: [{string: 1, fret: 5}]}}",
        "neck",
        r":7:\d+: neck\.start",
    ),
    "a string the guitar lacks": ("neck: {start: {places: [{string: 9, fret: 5}]}}", "neck", r":7:\d+: neck\.start"),
    "a number for a title": ("title: 7", "title", r":1:\d+: title: "),
    "an empty title": ("title: ''", "title", r":1:\d+: title: "),
    "no title": ("", "title", r": title: "),
    "an id in capitals": ("id: Two-Buoys\ntitle: Two Buoys", "title", r":1:\d+: id: .*two-buoys"),
    "an id too long": (f"id: {'a' * 41}\ntitle: Two Buoys", "title", r":1:\d+: id: .*40"),
    "an instrument nobody has": ("instrument: gitar", "aim", r":2:\d+: instrument: .*guitar"),
    "strings the wrong way round": (
        "instrument: {strings: [E2, A2, D3], frets: 20, scale-length: 648}",
        "aim",
        r":2:\d+: instrument\.strings: ",
    ),
    "a capo past the last fret": (
        "instrument: {strings: [E4, B3], frets: 12, scale-length: 648, capo: 12}",
        "aim",
        r":2:\d+: instrument\.capo: ",
    ),
    "a level of nine": ("level: 9", "aim", r":2:\d+: level: .*1 to 8"),
    "a mapping for a list": ("contour: {order: {1: 2}}", "contour", r":5:\d+: contour\.order"),
    "an unknown key signature": ("key: H major", "key", r":3:\d+: key: "),
    "nothing fits": ("neck: {path: one-string, start: {note: A9}}", "neck", r":7:\d+: "),
    "a float for a count": ("tempo: {from: 60, to: 90, steps: 2.5}", "tempo", r":9:\d+: tempo\.steps: .*2\.5"),
    "not a number": ("tempo: {from: .nan, to: 90}", "tempo", r":9:\d+: tempo\.from: "),
}  # fmt: skip


def wrong_exercise(name: str) -> str:
    """EXERCISE with one line changed."""
    text, key, _ = WRONG_LINES[name]
    return re.sub(rf"^{key}:.*\n", lambda _: text + "\n" if text else "", EXERCISE, count=1, flags=re.M)


@pytest.mark.parametrize("name", WRONG_LINES)
def test_a_wrong_line_is_a_problem_at_its_place(book: Path, name: str) -> None:
    """In this process for speed: the same stages, the same words; the exit code is tried below on whole books."""
    from builder.errors import SpecError
    from builder.pipeline import check

    exercise = book.parent / "exercises" / "two-buoys.yaml"
    exercise.write_text(wrong_exercise(name), encoding="utf-8")
    with pytest.raises(SpecError) as error:
        check(book, strict=False)
    assert error.value.exit_code == 2
    message = str(error.value)
    assert re.search(rf"two-buoys\.yaml\S*?{WRONG_LINES[name][2]}", message, re.S), message
    assert len(message) < 6000, "a message nobody can read"


def test_problems_of_all_files_come_together(book: Path) -> None:
    folder = book.parent / "exercises"
    wrong = {f"wrong-{number:02}": name for number, name in enumerate(WRONG_LINES)}
    for stem, name in wrong.items():
        (folder / f"{stem}.yaml").write_text(wrong_exercise(name), encoding="utf-8")
    book.write_text(BOOK + "paper: a9\ntitel: again\n", encoding="utf-8")
    done = run("check", book)
    assert_problem(done, r"book\.yaml:5:\d+: paper: ", r"book\.yaml:6:1: titel: .*title")
    for stem, name in wrong.items():
        assert f"{stem}.yaml" in done.stderr, f"{name}: not reported"
    assert not (book.parent / "out").exists()


def test_two_mistakes_of_one_file_are_both_told(book: Path) -> None:
    exercise = book.parent / "exercises" / "two-buoys.yaml"
    text = EXERCISE.replace("steps: 3", "steps: 99").replace("set-size: 3", "set-size: 99")
    exercise.write_text(text.replace("first: down", "first: sideways"), encoding="utf-8")
    done = run("check", book)
    assert_problem(done, r":4:\d+: material\.set-size", r":8:\d+: strokes\.first", r":9:\d+: tempo\.steps")


WRONG_FILES: dict[str, bytes] = {
    "empty": b"",
    "only a comment": b"# nothing\n",
    "binary": bytes(range(256)) * 4,
    "an image": b"\x89PNG\r\n\x1a\n" + b"\x00" * 64,
    "utf-16": EXERCISE.encode("utf-16"),
    "latin-1": "title: Br\xfccke\n".encode("latin-1"),
    "nul": EXERCISE.replace("Two Buoys", "Two\0Buoys").encode(),
    "a list": b"- title: Two Buoys\n",
    "a word": b"guitar\n",
    "two documents": (EXERCISE + "---\n" + EXERCISE).encode(),
    "unclosed": b"title: {a: [1, 2\n",
}


@pytest.mark.parametrize("name", WRONG_FILES)
def test_a_file_that_is_no_spec_is_a_problem(book: Path, name: str) -> None:
    from builder.errors import SpecError
    from builder.pipeline import check

    for path in (book.parent / "exercises" / "two-buoys.yaml", book):
        path.write_bytes(WRONG_FILES[name])
        with pytest.raises(SpecError) as error:
            check(book, strict=False)
        assert path.name in str(error.value)
        assert all(problem.expected for problem in error.value.problems)


@pytest.mark.parametrize("name", ["binary", "utf-16", "empty"])
def test_a_file_that_is_no_spec_exits_with_2(book: Path, name: str) -> None:
    book.write_bytes(WRONG_FILES[name])
    assert_problem(run("check", book), r"book\.yaml")


@pytest.mark.parametrize("command", ["build", "check", "studies"])
def test_a_missing_file_and_a_folder_are_problems(tmp_path: Path, command: str) -> None:
    assert_problem(run(command, tmp_path / "nowhere.yaml"), r"nowhere\.yaml")
    assert_problem(run(command, tmp_path), re.escape(tmp_path.name))


def test_exercises_that_are_not_there_are_a_problem_of_the_book(book: Path) -> None:
    book.write_text(BOOK.replace("exercises/*.yaml", "drills/*.yaml"), encoding="utf-8")
    assert_problem(run("check", book), r"book\.yaml:4:\d+: exercises\.1: .*drills")


@pytest.mark.parametrize("outside", ["../*.yaml", "/etc/*.yaml", "exercises/../../x.yaml"])
def test_exercises_outside_the_books_folder_are_refused(book: Path, outside: str) -> None:
    (book.parent.parent / "x.yaml").write_text(EXERCISE, encoding="utf-8")
    book.write_text(BOOK.replace("exercises/*.yaml", outside), encoding="utf-8")
    assert_problem(run("check", book), r"book\.yaml:4:\d+: exercises\.1: ")


def test_one_id_for_two_exercises_is_a_problem(book: Path) -> None:
    (book.parent / "exercises" / "other.yaml").write_text("id: two-buoys\n" + EXERCISE, encoding="utf-8")
    assert_problem(run("check", book), r"two-buoys\.yaml:1:\d+: id: ", r"other\.yaml")


def test_strict_counts_warnings_as_problems(book: Path) -> None:
    exercise = book.parent / "exercises" / "two-buoys.yaml"
    fast = EXERCISE.replace("to: 90", "to: 300").replace("notes-per-beat: 3", "notes-per-beat: 4")
    exercise.write_text(fast, encoding="utf-8")
    assert run("check", book).returncode == 0
    assert_problem(run("check", book, "--strict"), r"two-buoys")


@pytest.mark.parametrize(
    "arguments",
    [
        ("build", "BOOK", "--only", "no-such-study"),
        ("build", "BOOK", "--only", "two-buoys-s1f1"),
        ("build", "BOOK", "--only", ""),
        ("studies", "EXERCISE", "--instrument", "gitar"),
        ("studies", "EXERCISE", "--hand", "enormous"),
        ("studies", "EXERCISE", "--hand", "-3"),
        ("build", "BOOK", "--jobs", "0"),
        ("build", "BOOK", "--jobs", "many"),
        ("build", "BOOK", "--student", "Ada"),
        ("build", "BOOK", "--layout", "wide"),
        ("build", "BOOK", "--cluster", "here"),
        ("cache",),
        ("preview", "BOOK"),
        ("tracks",),
        ("list", "wishes"),
        ("build",),
        (),
    ],
)
def test_wrong_arguments_exit_with_2(book: Path, arguments: tuple[str, ...]) -> None:
    named = {"BOOK": book, "EXERCISE": book.parent / "exercises" / "two-buoys.yaml"}
    done = run(*(named.get(argument, argument) for argument in arguments))
    assert done.returncode == 2, done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""
    assert not (book.parent / "out").exists()


def test_an_unknown_id_names_the_nearest(book: Path) -> None:
    assert_problem(run("build", book, "--only", "two-boys"), r"two-boys", r"two-buoys")


def test_a_wrong_book_leaves_an_earlier_out_untouched(book: Path) -> None:
    out = book.parent / "out"
    (out / "sources").mkdir(parents=True)
    kept = {out / "slack-water.pdf": b"%PDF-good", out / "slack-water.json": b"{}", out / "sources" / "a.ly": b"x"}
    for path, content in kept.items():
        path.write_bytes(content)
    (book.parent / "exercises" / "two-buoys.yaml").write_text(EXERCISE.replace("A minor", "H minor"), encoding="utf-8")
    assert_problem(run("build", book), r"two-buoys\.yaml:3:\d+: key")
    assert {path: path.read_bytes() for path in out.rglob("*") if path.is_file()} == kept


def test_a_place_that_cannot_be_written_exits_with_4(book: Path) -> None:
    blocked = book.parent / "blocked"
    blocked.write_text("a file where a folder should go", encoding="utf-8")
    done = run("build", book, "--out", blocked)
    assert done.returncode == 4, done.stderr
    assert "Traceback" not in done.stderr
    assert "blocked" in done.stderr
