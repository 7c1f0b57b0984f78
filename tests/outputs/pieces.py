"""The studies that tracks, sounds and exchange files are tried on.

Those of the page tests, built by hand; those of the demonstration book; one exercise of every kind of material; random
exercises.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from builder.compose import compose
from builder.composing import knowledge_from
from builder.materials import materials
from builder.resources import folder
from builder.spec import load_library, read_book, read_exercise
from builder.teaching import in_order
from builder.theory.score import Study
from tests.contract import specs
from tests.pages import samples
from tests.pages.technique_samples import TECHNIQUES

STUDIES: dict[str, Callable[[], Study]] = {**samples.ALL, **TECHNIQUES}
CUES = {cue.id: cue.words for cue in load_library().cues} | samples.CUES


@cache
def demo_studies() -> tuple[Study, ...]:
    """Every study of the demonstration book, in its order."""
    library = load_library()
    spec = read_book(folder("books") / "harbour-lane" / "book.yaml", library)
    knowledge = knowledge_from(library)
    return in_order(compose(plan, knowledge) for plan in spec.exercises)


@cache
def example_studies() -> tuple[Study, ...]:
    """The studies of the example that every kind of material gives of itself."""
    library = load_library()
    knowledge = knowledge_from(library)
    found: list[Study] = []
    with TemporaryDirectory() as scratch:
        for kind, material in materials().items():
            place = Path(scratch) / f"{kind}.yaml"
            place.write_text(material.example, encoding="utf-8")
            found += compose(read_exercise(place, library, None, None).exercises[0], knowledge).studies
    return tuple(found)


@cache
def random_studies(cases: int = 20) -> tuple[Study, ...]:
    """The studies of the first random exercises that the contract's own tests use."""
    library = load_library()
    knowledge = knowledge_from(library)
    found: list[Study] = []
    with TemporaryDirectory() as scratch:
        for number in range(cases):
            case = specs.case(number)
            book = read_exercise(case.write(Path(scratch)), library, None, case.hand)
            found += [study for plan in book.exercises for study in compose(plan, knowledge).studies]
    return tuple(found)
