"""What the tests of measuring share."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.compose.measured import Make, study_of


@pytest.fixture
def make(tmp_path: Path) -> Make:
    """The one study of an exercise with the given keys."""
    return lambda **keys: study_of(tmp_path, keys)
