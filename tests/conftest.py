"""Options and fixtures shared by all tests."""

from __future__ import annotations

from pathlib import Path

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--update-golden", action="store_true", help="rewrite the expected files of golden tests")


@pytest.fixture
def golden(request: pytest.FixtureRequest):
    """Compare text with a file that holds what was reviewed; `--update-golden` rewrites it."""

    def check(path: Path, text: str) -> None:
        if request.config.getoption("--update-golden"):
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        assert path.exists(), f"{path} is missing: run pytest --update-golden and review it"
        assert text == path.read_text(encoding="utf-8")

    return check
