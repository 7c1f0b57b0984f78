"""Wrong specs and the exact problems they give; each file of cases/ holds both.

A case is a spec, a marker line and the expected problems; a case called `book-…` is a book beside one good exercise.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from builder.spec import load_library, read_book, read_exercise

CASES = Path(__file__).parent / "cases"
MARKER = "# === problems ===\n"
GOOD = "title: Ferry Steps\nmaterial: {kind: chord-loop, chords: [Dm, Gm]}\ncontour: {order: [1, 2, 3]}\n"


@pytest.mark.parametrize("case", sorted(CASES.glob("*.yaml")), ids=lambda case: case.stem)
def test_wrong_specs_give_exactly_these_problems(case, golden, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    spec = case.read_bytes().decode("utf-8").partition(MARKER)[0]
    is_book = case.stem.startswith("book-")
    path = Path("book.yaml" if is_book else "case.yaml")
    path.write_bytes(spec.encode("utf-8"))
    Path("ferry-steps.yaml").write_text(GOOD, encoding="utf-8")
    library = load_library()
    result = read_book(path, library) if is_book else read_exercise(path, library, None, None)
    assert result.problems, "a case is a wrong spec"
    assert result.plan is None
    assert all(problem.where.line for problem in result.problems) or case.stem == "only-comments"
    golden(case, spec + MARKER + "".join(f"{problem}\n" for problem in result.problems))
