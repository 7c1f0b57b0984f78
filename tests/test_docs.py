"""What README, the pages of books/kinds, DEVELOPERS and the help texts say is what the code does.

Source:   the tables are compared with the models and the registered kinds, the examples are read and composed, what is
          said to be refused is refused in those words, the set-up lines are those that .ci/run finds
"""

from __future__ import annotations

import json
import re
import subprocess
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import yaml
from pydantic import BaseModel

from builder.catalogue import listing
from builder.cli import main
from builder.errors import EngravingError, MachineError, SpecError
from builder.materials import materials
from builder.registry import registered
from builder.resources import folder
from builder.spec import answers, curriculum, load_library, practice, students
from builder.spec import models as spec
from builder.spec.fonts import FontsModel
from builder.spec.look import LookModel
from builder.theory.fretboard import Hand
from builder.theory.rhythm import Meter

ROOT = Path(__file__).parent.parent
PAGES = {path.stem: path.read_text(encoding="utf-8") for path in sorted((ROOT / "books" / "kinds").glob("*.md"))}
PAPERS = ("README.md", "DEVELOPERS.md", "CHANGELOG.md", *(f"books/kinds/{name}.md" for name in PAGES))
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
COMMANDS = ("build", "check", "studies", "new", "list", "tracks")
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
    """The rows of the one table, in README or on a page, whose first column is called *first_head*."""
    papers = (README, *PAGES.values())
    (found,) = [
        rows for text in papers for at, heads, rows in tables(text) if heads[0] == first_head and under in (None, at)
    ]
    return found


def code_blocks(language: str, text: str = README) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", text, re.MULTILINE | re.DOTALL)


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
    ("Key of `tracks`", "tracks"): keys_of(spec.TracksModel),
    ("Key of `fonts`", "fonts"): keys_of(FontsModel),
    ("Key of `look`", "look"): keys_of(LookModel),
    ("Key of a layout", "layouts"): keys_of(spec.LayoutModel),
    ("Key of `term`", "term"): keys_of(curriculum.TermModel),
    ("Key of a level", "levels"): keys_of(curriculum.LevelModel),
    ("Key of a student", "students"): keys_of(students.StudentModel),
    ("Key", "What an exercise says"): keys_of(spec.ExerciseModel),
    ("Key", "contour"): keys_of(answers.ContourModel),
    ("Key", "rhythm"): keys_of(answers.RhythmModel),
    ("Key", "neck"): keys_of(answers.NeckModel, {"start": answers.StartModel}),
    ("Key", "strokes"): keys_of(answers.StrokesModel),
    ("Key of an override", None): keys_of(practice.OverrideModel),
    ("Key", "tempo"): keys_of(practice.TempoModel),
    ("Key", "checkpoints"): keys_of(practice.CheckpointsModel),
} | {(f"Key of `{kind}`", None): keys_of(material.parameters) for kind, material in materials().items()}


@pytest.mark.parametrize(("head", "under"), KEY_TABLES)
def test_every_key_is_named_with_its_default(head, under):
    written = {plain(row[0]): plain(row[1]) for row in table(head, under)}
    assert written == KEY_TABLES[head, under]


def test_the_papers_name_what_the_library_holds():
    library = load_library()
    named = re.search(r"Patterns with a name: (.*?)\.\n", PAGES["fingers"], re.DOTALL)
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


def varied(whole: str, variation: str) -> str:
    """The exercise *whole* with the keys of *variation* in place of its own; another whole one stays as it is."""
    keys = yaml.safe_load(variation)
    return variation if "title" in keys else yaml.safe_dump(yaml.safe_load(whole) | keys, sort_keys=False)


def studied(name: str, text: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, dict[str, Any]]:
    """What `etudebook studies` gives for an exercise written to a file of that name: exit code, document."""
    file = folder / f"{name}.yaml"
    file.write_text(text, encoding="utf-8")
    code = main(["studies", str(file), "--json"])
    return code, json.loads(capsys.readouterr().out)


EXERCISES = [text for text in code_blocks("yaml") if not is_book(text)]
(BOOK,) = [text for text in code_blocks("yaml") if is_book(text)]


@pytest.mark.parametrize("text", EXERCISES, ids=lambda text: text.splitlines()[0])
def test_every_example_gives_studies(text, tmp_path, capsys):
    code, document = studied("example", whole_exercise(text), tmp_path, capsys)
    assert code == 0
    assert document["studies"]


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


# --- pages by example -------------------------------------------------------------------------------------------------

ON_PAGES = [
    pytest.param(page, number, id=f"{page}-{number + 1}")
    for page, text in PAGES.items()
    for number in range(len(code_blocks("yaml", text)))
]
REFUSED = [
    pytest.param(page, plain(row[0]), row[1], id=f"{page}-refused-{number}")
    for page, text in PAGES.items()
    for _, heads, rows in tables(text)
    if heads[0] == "Refused"
    for number, row in enumerate(rows, start=1)
]


@pytest.mark.parametrize(("page", "number"), ON_PAGES)
def test_every_example_of_a_page_gives_studies(page, number, tmp_path, capsys):
    whole, *_ = blocks = code_blocks("yaml", PAGES[page])
    code, document = studied(page, varied(whole, blocks[number]), tmp_path, capsys)
    assert (code, document["problems"]) == (0, [])
    assert document["studies"]


@pytest.mark.parametrize(("page", "written", "said"), REFUSED)
def test_what_a_page_calls_refused_is_refused_in_its_words(page, written, said, tmp_path, capsys):
    code, document = studied(page, varied(code_blocks("yaml", PAGES[page])[0], written), tmp_path, capsys)
    assert code == SpecError.exit_code
    words = [f"found {one['found']}, expected {one['expected']}; {one['hint']}" for one in document["problems"]]
    assert any(said in text for text in words), words


@pytest.mark.parametrize("page", PAGES)
def test_a_page_begins_with_a_whole_exercise_and_shows_variations_and_refusals(page):
    whole, *variations = code_blocks("yaml", PAGES[page])
    assert {"title", "aim", "skills", "material", "tempo"} <= set(yaml.safe_load(whole))
    assert len(variations) >= 2
    assert [heads for _, heads, _ in tables(PAGES[page]) if heads[0] == "Refused"]


@pytest.mark.parametrize("page", PAGES)
def test_the_studies_a_page_names_are_those_of_its_exercise(page, tmp_path, capsys):
    whole = code_blocks("yaml", PAGES[page])[0]
    name = slug(yaml.safe_load(whole)["title"])
    _, document = studied(name, whole, tmp_path, capsys)
    named = re.findall(r"`([a-z0-9-]+-s\d+f\d+)`", PAGES[page])
    assert named
    assert set(named) <= {study["id"] for study in document["studies"]}


def test_every_kind_has_a_page_and_a_line_in_the_readme():
    linked = {
        plain(kind): target for kind, target in re.findall(r"\[(`[a-z-]+`)\]\(books/kinds/([a-z-]+)\.md\)", README)
    }
    assert {kind: linked.get(kind) for kind in materials()} == {kind: kind for kind in materials()}
    assert set(materials()) | {"stroke-rules", "neck-paths", "rhythm", "overrides"} == set(PAGES)
    for page in PAGES:
        assert f"(books/kinds/{page}.md)" in README


@pytest.mark.parametrize("kind", materials())
def test_a_page_says_what_goes_with_its_kind(kind):
    listed = re.search(rf"^{kind}: .*\n +other answers: (.*)$", listing("materials", load_library()), re.MULTILINE)
    assert listed
    written = re.search(r"^Other answers: (.*?)\.$", PAGES[kind], re.MULTILINE | re.DOTALL)
    assert written
    assert " ".join(written[1].replace("`", "").split()) == listed[1]


def test_the_stroke_rules_are_listed_with_their_own_keys():
    rules = registered("builder.strokes", "STROKES")
    own = {plain(row[0]): set(re.findall(r"`(.+?)`", row[2])) for row in table("Rule")}
    assert own == {kind: set(rule.used) for kind, rule in rules.items()}


def test_the_neck_paths_are_listed():
    paths = registered("builder.paths", "PATH")
    assert [plain(row[0]) for row in table("Path")] == [
        f"{{{kind}: N}}" if path.counted else kind for kind, path in paths.items()
    ]


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
        assert not path or ((ROOT / paper).parent / path).exists(), f"{paper} links to {target}"
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
