"""Warm-up and cool-down: gentle studies only, an exercise once, none where a book has too few."""

from __future__ import annotations

from dataclasses import replace

from builder.pages import PAPERS, cool_down, warm_up
from builder.pages.warming import cool_down_studies, warm_up_studies
from builder.theory.score import Note, Study
from tests.pages import samples


def easy(name: str, score: float, rate: float = 1.0, **more: object) -> Study:
    """A gentle study of an exercise of its own."""
    one = samples.ferry_steps()
    metrics = replace(one.metrics, score=score)
    values: dict[str, object] = {"level": 1, "rates": (rate, 4.0), "metrics": metrics, **more}
    return replace(one, id=f"{name}-s3f7", exercise=name, title=name.title(), **values)  # type: ignore[arg-type]


def book() -> list[Study]:
    """Nine exercises, the easiest last, the faster the harder."""
    return [easy(f"study-{n}", score=10.0 - n, rate=2.5 - n / 5) for n in range(9)]


def names(studies: tuple[Study, ...]) -> list[str]:
    return [study.exercise for study in studies]


def test_the_easiest_come_first_and_the_slowest_of_the_others_last() -> None:
    assert names(warm_up_studies(book())) == ["study-8", "study-7", "study-6", "study-5", "study-4"]
    assert names(cool_down_studies(book())) == ["study-3", "study-2", "study-1", "study-0"]


def test_an_exercise_stands_once_with_its_easiest_study() -> None:
    again = replace(easy("study-8", score=0.5), id="study-8-s1f1")
    found = warm_up_studies([*book(), again])
    assert names(found).count("study-8") == 1
    assert found[0].id == "study-8-s1f1"


def test_nothing_that_asks_for_force_is_in_them() -> None:
    one = samples.ferry_steps()
    bent = tuple(replace(e, technique="bend") if isinstance(e, Note) else e for e in one.events)
    wide = replace(one.metrics, score=0.0, widest_reach_mm=one.hand.comfort_mm + 1)
    thick = replace(one.metrics, score=0.0, notes_at_once=4)
    harsh = [
        easy("bent", 0.0, events=bent),
        easy("wide", 0.0, metrics=wide),
        easy("thick", 0.0, metrics=thick),
        easy("fast", 0.0, rate=6.0),
        easy("hard", 0.0, level=6),
        easy("other", 0.0, instrument=samples.bass_line().instrument),
    ]
    listed = {*names(warm_up_studies([*book(), *harsh])), *names(cool_down_studies([*book(), *harsh]))}
    assert listed == {study.exercise for study in book()}


def test_the_pages_name_each_study_with_its_page_and_its_aim() -> None:
    labels = {f"study:{study.id}": str(number) for number, study in enumerate(book(), start=30)}
    page = warm_up(book(), labels, PAPERS["a4"], samples.phrases())
    assert page is not None
    ((group,),) = page.listing.sides
    first, aim = group.entries[:2]
    assert (first.text, first.label, first.target) == ("Study-8", "38", "study-8-s3f7")
    assert (aim.place, aim.label) == ("Eight even notes, land, let go.", "")
    assert page.notes


def test_a_small_book_has_neither_page() -> None:
    assert warm_up(book()[:2], {}, PAPERS["a4"], samples.phrases()) is None
    assert cool_down(book()[:6], {}, PAPERS["a4"], samples.phrases()) is None
