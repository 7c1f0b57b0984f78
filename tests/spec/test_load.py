"""Books on disk: which files belong to one, what can't be opened, and that all problems come together."""

from __future__ import annotations

from pathlib import Path

import pytest

from builder.errors import MachineError
from builder.spec import load as load_module
from builder.spec import load_library, read_book, read_exercise

LIBRARY = load_library()
GOOD = "title: {title}\nmaterial: {{kind: chord-loop, chords: [Dm, Gm]}}\ncontour: {{order: [1, 2, 3]}}\n"


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A book of two exercises, in the current folder."""
    monkeypatch.chdir(tmp_path)
    write("book.yaml", "title: Loose Hands\ninstrument: guitar\nexercises: [exercises/*.yaml]\n")
    write("exercises/pier.yaml", GOOD.format(title="Pier"))
    write("exercises/buoy.yaml", GOOD.format(title="Buoy"))
    return tmp_path


def write(name: str, text: str) -> Path:
    path = Path(name)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def book_with(exercises: str) -> Path:
    return write("book.yaml", f"title: Loose Hands\ninstrument: guitar\nexercises: {exercises}\n")


def problems_of(path: Path) -> list[str]:
    return [str(problem) for problem in read_book(path, LIBRARY).problems]


def ids_of(path: Path) -> list[str]:
    spec = read_book(path, LIBRARY)
    assert not spec.problems
    return [plan.id for plan in spec.exercises]


def test_exercises_come_in_order_of_their_paths(folder):
    assert ids_of(Path("book.yaml")) == ["buoy", "pier"]


def test_a_file_that_two_patterns_name_is_taken_once(folder):
    assert ids_of(book_with("[exercises/pier.yaml, exercises/*.yaml, exercises/pi*.yaml]")) == ["buoy", "pier"]


def test_the_book_itself_is_no_exercise(folder):
    write("wharf.yaml", GOOD.format(title="Wharf"))
    assert ids_of(book_with("['*.yaml', exercises/*.yaml]")) == ["buoy", "pier", "wharf"]


def test_folders_below_are_reached_by_two_stars(folder):
    write("exercises/deep/wharf.yaml", GOOD.format(title="Wharf"))
    assert ids_of(book_with("['exercises/**/*.yaml']")) == ["buoy", "wharf", "pier"]


@pytest.mark.parametrize(
    "pattern", ["../x/*.yaml", "exercises/../../x.yaml", "/etc/*.yaml", "'C:\\x.yaml'", "~/x.yaml", "."]
)
def test_patterns_stay_inside_the_folder(folder, pattern):
    (problem,) = problems_of(book_with(f"[{pattern}]"))
    assert "book.yaml:3:13: exercises.1: found " in problem
    assert "expected a path inside the book's folder" in problem


def test_a_link_that_leads_outside_is_refused(folder, tmp_path_factory):
    outside = tmp_path_factory.mktemp("outside") / "far.yaml"
    outside.write_text(GOOD.format(title="Far"))
    Path("exercises/near.yaml").symlink_to(outside)
    (problem,) = problems_of(Path("book.yaml"))
    assert "'near.yaml', a link that leads outside" in problem


def test_a_folder_that_is_a_link_outside_is_refused(folder, tmp_path_factory):
    outside = tmp_path_factory.mktemp("outside")
    (outside / "far.yaml").write_text(GOOD.format(title="Far"))
    Path("more").symlink_to(outside)
    (problem,) = problems_of(book_with("[more/*.yaml]"))
    assert "a link that leads outside" in problem


def test_a_link_to_itself_is_a_problem(folder):
    Path("exercises/loop.yaml").symlink_to("loop.yaml")
    assert len(problems_of(Path("book.yaml"))) == 1


def test_a_broken_link_is_a_problem(folder):
    Path("exercises/gone.yaml").symlink_to("nowhere.yaml")
    (problem,) = problems_of(Path("book.yaml"))
    assert "no such file" in problem


def test_a_pattern_without_files_is_a_problem(folder):
    (problem,) = problems_of(book_with("[exercises/*.yml]"))
    assert "found 'exercises/*.yml', which matches no file" in problem


def test_a_misspelled_file_is_suggested(folder):
    (problem,) = problems_of(book_with("[exercises/peir.yaml]"))
    assert problem.endswith("hint: did you mean 'pier.yaml'?")


def test_problems_of_all_files_come_together_in_order(folder):
    write("book.yaml", "title: Loose Hands\ninstrument: gitar\nexercises: [exercises/*.yaml, none.yaml]\npaper: a9\n")
    write("exercises/pier.yaml", GOOD.format(title="Pier") + "level: 9\nskills: [tonne]\n")
    write("exercises/buoy.yaml", "title: [\n")
    spec = read_book(Path("book.yaml"), LIBRARY)
    assert [(str(problem.where), problem.key) for problem in spec.problems] == [
        ("book.yaml:2:1", "instrument"),
        ("book.yaml:3:31", "exercises.2"),
        ("book.yaml:4:1", "paper"),
        ("exercises/buoy.yaml:2:1", ""),
        ("exercises/pier.yaml:4:1", "level"),
        ("exercises/pier.yaml:5:10", "skills.1"),
    ]
    assert spec.plan is None
    assert spec.exercises == ()


def test_a_bad_exercise_leaves_the_good_ones(folder):
    write("exercises/pier.yaml", "title: Pier\n")
    spec = read_book(Path("book.yaml"), LIBRARY)
    assert [plan.id for plan in spec.exercises] == ["buoy"]
    assert spec.plan is not None
    assert [problem.key for problem in spec.problems] == ["material"]


def test_an_id_stands_for_one_exercise_only(folder):
    write("exercises/pier.yaml", GOOD.format(title="Pier") + "id: buoy\n")
    (problem,) = problems_of(Path("book.yaml"))
    assert problem.startswith("exercises/pier.yaml:4:1: id: found 'buoy', expected an id that no other exercise has")
    assert problem.endswith("hint: exercises/buoy.yaml has it too")


def test_a_file_name_that_is_no_id_asks_for_one(folder):
    Path("exercises/pier.yaml").rename("exercises/Pier 2.yaml")
    (problem,) = problems_of(Path("book.yaml"))
    assert "give it an id, for example 'pier-2'" in problem


def test_a_missing_book_suggests_its_neighbour(folder):
    assert problems_of(Path("bok.yaml")) == [
        "bok.yaml: found no such file, expected a YAML file\n  hint: did you mean 'book.yaml'?"
    ]


def test_a_folder_suggests_the_book_inside(folder):
    (problem,) = problems_of(folder)
    assert "found a folder" in problem
    assert str(folder / "book.yaml") in problem


@pytest.mark.parametrize("name", ["x" * 5000, "a\0b", "no/such/folder/book.yaml", "book.yaml/x.yaml", ""])
def test_paths_that_cannot_be_are_problems(folder, name):
    assert len(problems_of(Path(name))) == 1
    assert len(read_exercise(Path(name), LIBRARY, None, None).problems) == 1


def test_what_is_no_file_is_not_opened(folder):
    assert "not a file" in problems_of(Path("/dev/null"))[0]


def test_missing_permission_is_the_machines_fault(folder, monkeypatch):
    def refuse(path):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(load_module.Path, "read_bytes", refuse)
    with pytest.raises(MachineError, match="no permission"):
        read_book(Path("book.yaml"), LIBRARY)


def test_too_many_files_are_a_problem(folder, monkeypatch):
    monkeypatch.setattr(load_module, "MOST_FILES", 1)
    (problem,) = problems_of(Path("book.yaml"))
    assert "patterns that match 2 files, expected at most 1 exercises" in problem
