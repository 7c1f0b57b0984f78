"""What README, DEVELOPERS and the help texts say is what the code does.

Source:   the tables are compared with the models, the examples are read and composed, the set-up lines are those
          that .ci/run finds
"""

from __future__ import annotations

import json
import re
import subprocess
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest
import yaml
from pydantic import BaseModel

from builder.cli import main
from builder.errors import EngravingError, MachineError, SpecError
from builder.materials import materials
from builder.resources import folder
from builder.spec import answers, load_library
from builder.spec import models as spec
from builder.theory.fretboard import Hand
from builder.theory.rhythm import Meter

ROOT = Path(__file__).parent.parent
PAPERS = ("README.md", "DEVELOPERS.md", "CHANGELOG.md")
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
COMMANDS = ("build", "check", "studies", "new", "list")
NOTHING = "–"

Row = tuple[str, ...]
Table = tuple[str, Row, list[Row]]


def cells(line: str) -> Row:
    return tuple(cell.strip().replace("\\|", "|") for cell in re.split(r"(?<!\\)\|", line.strip())[1:-1])


def tables(text: str) -> Iterator[Table]:
    """Every table below its heading: heading, column heads, rows."""
    heading, block = "", []
    for line in [*text.splitlines(), ""]:
        if line.startswith("|"):
            block.append(cells(line))
            continue
        if block:
            yield heading, block[0], block[2:]
            block = []
        if line.startswith("#"):
            heading = line.lstrip("#").strip()


def table(first_head: str, under: str | None = None) -> list[Row]:
    """The rows of the one table whose first column is called *first_head*."""
    (found,) = [rows for at, heads, rows in tables(README) if heads[0] == first_head and under in (None, at)]
    return found


def code_blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", README, re.MULTILINE | re.DOTALL)


def plain(cell: str) -> str:
    return cell.strip("`")


# --- keys and defaults ------------------------------------------------------------------------------------------------


def shown(value: object) -> str:
    """A default as the tables write it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, Hand):
        return value.name
    if isinstance(value, tuple) and value and isinstance(value[0], str):
        return value[0]  # a path or a place of checkpoints: its kind, without the number it has not
    if isinstance(value, tuple) and value and isinstance(value[0], tuple):
        return str(list(value[0]))  # a list of one pattern is written as the pattern
    if isinstance(value, tuple) and value:
        return str(value[0]) if len(value) == 1 else str(list(value))
    if isinstance(value, str | int | float | Fraction | Meter):
        return f"{value:g}" if isinstance(value, float) else str(value)
    return NOTHING


def keys_of(model: type[BaseModel], parts: dict[str, type[BaseModel]] | None = None) -> dict[str, str]:
    """Every key as written, with its default; the keys of *parts* stand behind a dot."""
    found = {}
    for name, field in model.model_fields.items():
        key = field.alias or name.replace("_", "-")
        if part := (parts or {}).get(key):
            found |= {f"{key}.{inner}": default for inner, default in keys_of(part).items()}
        else:
            found[key] = "needed" if field.is_required() else shown(field.default)
    return found


KEY_TABLES = {
    ("Key", "What a book says"): keys_of(spec.BookModel, {"print": spec.PrintModel}),
    ("Key of an instrument", "What a book says"): keys_of(spec.InstrumentModel),
    ("Key", "What an exercise says"): keys_of(spec.ExerciseModel),
    ("Key", "contour"): keys_of(answers.ContourModel),
    ("Key", "rhythm"): keys_of(answers.RhythmModel),
    ("Key", "neck"): keys_of(answers.NeckModel, {"start": answers.StartModel}),
    ("Key", "strokes"): keys_of(answers.StrokesModel),
    ("Key of an override", "overrides"): keys_of(answers.OverrideModel),
    ("Key", "tempo"): keys_of(answers.TempoModel),
    ("Key", "checkpoints"): keys_of(answers.CheckpointsModel),
} | {(f"Key of `{kind}`", "material"): keys_of(material.parameters) for kind, material in materials().items()}


@pytest.mark.parametrize(("head", "under"), KEY_TABLES)
def test_readme_names_every_key_with_its_default(head, under):
    written = {plain(row[0]): plain(row[1]) for row in table(head, under)}
    assert written == KEY_TABLES[head, under]


def test_readme_names_what_the_library_holds():
    library = load_library()
    named = re.search(r"Patterns with a name: (.*?)\.\n", README, re.DOTALL)
    assert named
    assert re.findall(r"`(.+?)`", named[1]) == list(library.patterns)
    for name, hand in library.hands.items():
        assert re.search(rf"`{name}` {hand.comfort_mm:g}( mm)? and {hand.limit_mm:g}", README)
    assert f"{spec.MEASURED_LIMIT:g} times its comfort" in README


def test_readme_shows_the_difficulty_model_as_it_is():
    model = yaml.safe_load((folder("shared") / "difficulty.yaml").read_text(encoding="utf-8"))
    numbers = [tuple(float(cell) for cell in row[1:]) for row in table("Measure")]
    assert numbers == [(term["points"], term["zero"], term["full"]) for term in model["terms"].values()]
    *most, last = map(str, model["levels"])
    assert f"begin at {', '.join(most)} and {last} points" in README


# --- commands ---------------------------------------------------------------------------------------------------------


def help_of(capsys: pytest.CaptureFixture[str], *command: str) -> str:
    with pytest.raises(SystemExit) as left:
        main([*command, "--help"])
    assert left.value.code == 0
    return capsys.readouterr().out


def options_in(text: str) -> set[str]:
    return set(re.findall(r"--[a-z][a-z-]*", text))


def test_readme_names_every_command(capsys):
    listed = set(re.findall(r"^    ([a-z]+) ", help_of(capsys), re.MULTILINE))
    written = {plain(row[0]).split()[1] for row in table("Command")}
    assert listed == written == set(COMMANDS)


@pytest.mark.parametrize("command", COMMANDS)
def test_readme_names_every_option_and_no_other(command, capsys):
    text = help_of(capsys, command)
    written = {plain(option).split()[0]: of for option, of, _ in table("Option") if f"`{command}`" in of or of == "all"}
    assert options_in(text) == set(written)
    for option, _, _ in table("Option"):
        words = plain(option).replace("…", "").split()
        if words[0] in written and len(words) > 1:
            assert re.search(rf"{words[0]} \[?{words[1]}\b", text), f"{words} is not in the help of {command}"


def test_readme_names_the_options_without_a_command(capsys):
    written = {plain(option) for option, of, _ in table("Option") if of in ("`etudebook`", "all")}
    assert options_in(help_of(capsys)) == written


def test_readme_names_what_can_be_listed(capsys):
    choices = re.search(r"\{(.*?)\}", help_of(capsys, "list"))
    assert choices
    (row,) = [" ".join(row) for row in table("Command") if "etudebook list" in row[0]]
    assert set(choices[1].split(",")) == set(re.findall(r"`(?:etudebook list )?([a-z]+)`", row))


def test_readme_names_every_exit_code():
    codes = [int(row[0]) for row in table("Exit code")]
    assert codes == [0, 1, *(error.exit_code for error in (SpecError, EngravingError, MachineError))]


# --- examples ---------------------------------------------------------------------------------------------------------

SURROUNDINGS = {"title": "title: Example", "material": "material: {kind: scale}", "neck": "neck: {start: {note: G}}"}


def is_book(text: str) -> bool:
    return "exercises" in yaml.safe_load(text)


def whole_exercise(text: str) -> str:
    """A fragment with what an exercise needs around it."""
    keys = yaml.safe_load(text)
    return "\n".join([*(line for key, line in SURROUNDINGS.items() if key not in keys), text])


EXERCISES = [text for text in code_blocks("yaml") if not is_book(text)]
(BOOK,) = [text for text in code_blocks("yaml") if is_book(text)]


@pytest.mark.parametrize("text", EXERCISES, ids=lambda text: text.splitlines()[0])
def test_every_example_gives_studies(text, tmp_path, capsys):
    file = tmp_path / "example.yaml"
    file.write_text(whole_exercise(text), encoding="utf-8")
    assert main(["studies", str(file), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["studies"]


def test_the_first_example_and_its_book_give_the_studies_named(tmp_path, capsys):
    (tmp_path / "exercises").mkdir()
    (tmp_path / "exercises" / "ferry-steps.yaml").write_text(EXERCISES[0], encoding="utf-8")
    (tmp_path / "book.yaml").write_text(BOOK, encoding="utf-8")
    assert main(["check", str(tmp_path / "book.yaml"), "--json"]) == 0
    ids = {study["id"] for study in json.loads(capsys.readouterr().out)["studies"]}
    assert len(ids) == 6
    assert set(re.findall(r"ferry-steps-s\d+f\d+", README)) <= ids


def test_the_own_instrument_is_one(tmp_path, capsys):
    own = re.search(r"`(instrument: \{.*?\})`", README)
    assert own
    test_every_example_gives_studies(own[1], tmp_path, capsys)


# --- set-up, links, developers ----------------------------------------------------------------------------------------


def test_the_two_set_up_lines_are_those_that_ci_runs():
    listed = subprocess.run(["bash", ".ci/run", "--list"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    assert listed.splitlines() == [block.strip() for block in code_blocks("sh")]
    book, test = listed.splitlines()
    assert book.endswith("etudebook build books/harbour-lane/book.yaml")
    assert test.endswith("-m pytest")
    assert (ROOT / book.split()[-1]).is_file()


def slug(heading: str) -> str:
    return re.sub(r"[^a-z0-9 -]", "", heading.lower()).replace(" ", "-")


@pytest.mark.parametrize("paper", PAPERS)
def test_links_lead_somewhere(paper):
    text = (ROOT / paper).read_text(encoding="utf-8")
    headings = {slug(found) for found in re.findall(r"^#+ (.+)$", text, re.MULTILINE)}
    for target in re.findall(r"\]\(([^)]+)\)", text):
        path, _, anchor = target.partition("#")
        assert not path or (ROOT / path).exists(), f"{paper} links to {target}"
        assert path or anchor in headings, f"{paper} links to {target}"


def package_tree() -> str:
    """The indented block of DEVELOPERS that begins with the package's name."""
    tree = re.search(r"^    builder/\n(?: {4}.*\n)+", DEVELOPERS, re.MULTILINE)
    assert tree, "DEVELOPERS.md has no package tree"
    return tree[0]


def test_developers_maps_the_package_as_it_is():
    modules = {path.name for path in (ROOT / "builder").rglob("*.py") if not path.name.startswith("__")}
    assert set(re.findall(r"\b[a-z_]+\.py\b", package_tree())) == modules


def test_developers_stays_short():
    assert len(DEVELOPERS.splitlines()) < 300
