"""Imports point one way, kinds register themselves, and pure packages stay pure."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

BUILDER = Path(__file__).parent.parent / "builder"
ORDER = [
    "errors",
    "registry",
    "resources",
    "remembered",
    "critic",
    "theory",
    "curriculum",
    "fields",
    "materials",
    "paths",
    "strokes",
    "spec",
    "compose",
    "pages",
    "engraving",
    "result",
    "outputs",
    "summary",
    "request",
    "unchanged",
    "catalogue",
    "composing",
    "teaching",
    "editions",
    "printed_words",
    "vocabulary",
    "assembling",
    "book_sheets",
    "printing",
    "companions",
    "practice_tracks",
    "beside",
    "pipeline",
    "console",
    "cli",
]
PURE = ("theory", "materials", "paths", "strokes", "compose", "curriculum", "pages")
IMPURE_MODULES = {
    "os",
    "pathlib",
    "subprocess",
    "time",
    "datetime",
    "random",
    "io",
    "shutil",
    "tempfile",
    "yaml",
    "rich",
}
CONSTANTS = {"materials": "MATERIAL", "paths": "PATH", "strokes": "STROKES"}


def modules() -> list[Path]:
    return sorted(path for path in BUILDER.rglob("*.py") if "_data" not in path.parts)


def part_of(path: Path) -> str:
    return path.relative_to(BUILDER).parts[0].removesuffix(".py")


def imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
    return found


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(BUILDER)))
def test_imports_point_upwards(path):
    if path.parent == BUILDER and path.name in ("__init__.py", "__main__.py"):
        return
    own = ORDER.index(part_of(path))
    for module in imports(path):
        if module.startswith("builder."):
            part = module.split(".")[1]
            assert ORDER.index(part) <= own, f"{path.name} imports {module}"


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(BUILDER)))
def test_every_module_says_what_it_is(path):
    assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))), f"{path} has no docstring"


@pytest.mark.parametrize(
    "path", [path for path in modules() if part_of(path) in PURE], ids=lambda path: str(path.relative_to(BUILDER))
)
def test_pure_packages_touch_nothing_outside(path):
    assert not {module.split(".")[0] for module in imports(path)} & IMPURE_MODULES


@pytest.mark.parametrize("package", sorted(CONSTANTS))
def test_each_kind_is_one_module_with_one_constant(package):
    from builder.registry import registered

    defining = [
        path
        for path in (BUILDER / package).glob("*.py")
        if any(
            isinstance(node, ast.Assign) and getattr(node.targets[0], "id", "") == CONSTANTS[package]
            for node in ast.parse(path.read_text(encoding="utf-8")).body
        )
    ]
    kinds = registered(f"builder.{package}", CONSTANTS[package])
    assert len(kinds) == len(defining) > 0


def test_only_the_console_prints():
    for path in modules():
        if path.name == "console.py":
            continue
        calls = [node for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(node, ast.Call)]
        assert not [call for call in calls if getattr(call.func, "id", "") == "print"], path
