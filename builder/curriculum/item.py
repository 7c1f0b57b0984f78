"""A study as planning sees it, and when two of them are alike.

Stage:    curriculum (pure)
In, Out:  a `Study` and what its exercise says of itself; an `Item`
Units:    scores 0…100, one a tempo step; tempo in beats a minute
Source:   likeness is our own definition of what the one study of similar melodies calls similar (shared/planning.yaml,
          interference): one exercise, or one make of exercise at nearly one difficulty
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from builder.theory.score import Rest, Study

Make = tuple[str, str, frozenset[str]]


@dataclass(frozen=True, slots=True)
class Item:
    """A study to be practised; *material* and *path* are its exercise's kinds, *cues* those of its checkpoints."""

    id: str
    exercise: str
    instrument: str
    material: str
    path: str
    skills: frozenset[str]
    cues: tuple[str, ...]
    tempo_steps: tuple[int, ...]
    levels: tuple[int, ...]
    scores: tuple[float, ...]

    @property
    def score(self) -> float:
        """The study's own score, that of its first tempo step."""
        return self.scores[0]


def item_of(study: Study, material: str, path: str, scores: Sequence[float]) -> Item:
    """Return *study* for planning; *scores* holds one for each of its tempo steps."""
    cues = dict.fromkeys(event.checkpoint for event in study.events if isinstance(event, Rest) and event.checkpoint)
    return Item(
        id=study.id,
        exercise=study.exercise,
        instrument=study.instrument.name,
        material=material,
        path=path,
        skills=frozenset(study.skills),
        cues=tuple(cues),
        tempo_steps=study.tempo_steps,
        levels=study.levels,
        scores=tuple(scores),
    )


def alike(one: Item, other: Item, within: float) -> bool:
    """Say whether two studies are alike: of one exercise, or of one make and at most *within* points apart."""
    if one.exercise == other.exercise:
        return True
    return make_of(one) == make_of(other) and abs(one.score - other.score) <= within


def make_of(item: Item) -> Make:
    """Return what an exercise is made of, as far as two of them can resemble each other."""
    return item.material, item.path, item.skills


@dataclass(frozen=True, slots=True)
class Likeness:
    """Who is like whom: *to* names all that a study is like, itself included; each of *circles* is alike among itself.

    The circles are no more than an early sign that too many look-alikes come together; what counts is *to*.
    """

    to: Mapping[str, frozenset[str]]
    circles: tuple[frozenset[str], ...]


def likeness(items: Sequence[Item], within: float) -> Likeness:
    """Compare all *items* with each other."""
    to = {one.id: frozenset(other.id for other in items if alike(one, other, within)) for one in items}
    circles: dict[frozenset[str], None] = {}
    for one in items:
        circles[frozenset(other.id for other in items if other.exercise == one.exercise)] = None
        upwards = (other for other in items if make_of(other) == make_of(one) and other.score >= one.score)
        circles[frozenset(other.id for other in upwards if other.score - one.score <= within)] = None
    return Likeness(to, tuple(circles))
