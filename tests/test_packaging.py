"""The wheel holds what a build needs and nothing else, and works away from the checkout."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
import zipfile
from email import message_from_string
from email.message import Message
from pathlib import Path

import pytest
from packaging.requirements import Requirement

from builder import __version__

ROOT = Path(__file__).parent.parent
INFO = f"etudebook-{__version__}.dist-info"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built by the build backend itself so that no network is asked."""
    target = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(target)]
    subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
    (built,) = target.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def names(wheel: Path) -> set[str]:
    return set(zipfile.ZipFile(wheel).namelist())


@pytest.fixture(scope="module")
def metadata(wheel: Path) -> Message:
    return message_from_string(zipfile.ZipFile(wheel).read(f"{INFO}/METADATA").decode())


@pytest.mark.parametrize(
    "name",
    [
        "templates/page.ly",
        "templates/style.ily",
        "templates/parts/version.ly",
        "shared/instruments.yaml",
        "shared/difficulty.yaml",
        "shared/fingering.yaml",
        "shared/chord-shapes.yaml",
        "shared/patterns.yaml",
        "shared/skills.yaml",
        "shared/cues/10-checkpoints.yaml",
        "shared/phrases/en.yaml",
        "shared/new-book/book.yaml",
        "shared/new-book/exercises/stepping-stones.yaml",
    ],
)
def test_the_files_a_build_reads_are_inside(name, names):
    assert f"builder/_data/{name}" in names


def test_nothing_of_templates_and_shared_is_left_behind(names):
    here = {
        f"builder/_data/{path.relative_to(ROOT).as_posix()}"
        for top in ("templates", "shared")
        for path in (ROOT / top).rglob("*")
        if path.is_file()
    }
    assert {name for name in names if name.startswith("builder/_data/")} == here


def test_every_module_is_inside(names):
    modules = {path.relative_to(ROOT).as_posix() for path in (ROOT / "builder").rglob("*.py")}
    assert {name for name in names if name.endswith(".py")} == modules


def test_nothing_else_is_inside(names):
    parts = {part for name in names for part in name.split("/")[:-1]}
    assert {name.split("/")[0] for name in names} == {"builder", INFO}
    assert not parts & {"out", "tests", "books", "benchmarks", "__pycache__"}
    assert not [name for name in names if name.endswith((".pdf", ".png", ".json", ".pyc"))]


def test_nothing_under_a_share_alike_licence_is_inside(wheel):
    archive = zipfile.ZipFile(wheel)
    for name in archive.namelist():
        assert not re.search(rb"BY[- ]SA|share[- ]?alike", archive.read(name), re.IGNORECASE), name


def test_the_version_is_one(names, metadata):
    changes = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    releases = re.findall(r"^## \[?([0-9.]+)\]?", changes, re.MULTILINE)
    assert metadata["Name"] == "etudebook"
    assert metadata["Version"] == __version__ == releases[0]
    assert f"{INFO}/licenses/LICENSE" in names


def test_the_command_is_etudebook(wheel):
    entry_points = zipfile.ZipFile(wheel).read(f"{INFO}/entry_points.txt").decode()
    assert "etudebook = builder.cli:main" in entry_points


def test_every_dependency_has_a_lowest_and_a_first_refused_version():
    development = PROJECT["optional-dependencies"]["dev"]
    for text in [*PROJECT["dependencies"], *development]:
        operators = {specifier.operator for specifier in Requirement(text).specifier}
        assert operators == {">=", "<"}, text


@pytest.mark.parametrize(
    ("system", "machine", "has_wheel"),
    [
        ("linux", "x86_64", True),
        ("linux", "aarch64", False),
        ("darwin", "x86_64", True),
        ("darwin", "arm64", False),
        ("win32", "AMD64", True),
        ("win32", "ARM64", False),
    ],
)
def test_lilypond_is_asked_for_only_where_its_wheel_exists(system, machine, has_wheel):
    (lilypond,) = [one for one in map(Requirement, PROJECT["dependencies"]) if one.name == "lilypond"]
    assert lilypond.marker
    assert lilypond.marker.evaluate({"sys_platform": system, "platform_machine": machine}) is has_wheel


def test_the_wheel_works_away_from_the_checkout(wheel, tmp_path):
    unpacked = tmp_path / "with a space"
    zipfile.ZipFile(wheel).extractall(unpacked)

    def run(*arguments: str) -> str:
        command = [sys.executable, "-P", *arguments]
        environment = os.environ | {"PYTHONPATH": str(unpacked)}
        done = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, text=True)
        assert done.returncode == 0, done.stderr
        return done.stdout

    found = run("-c", "from builder.resources import folder; print(folder('shared')); print(folder('templates'))")
    assert [Path(line) for line in found.splitlines()] == [
        unpacked / "builder" / "_data" / name for name in ("shared", "templates")
    ]
    run("-m", "builder", "new", "my book")
    checked = run("-m", "builder", "check", "my book/book.yaml", "--json")
    assert "stepping-stones-s" in checked
