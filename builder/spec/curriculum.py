"""The keys of a book's `term`, `levels` and `syllabus`, as pydantic models without unknown keys.

Stage:    1 read
In, Out:  plain data of a `Document`; models whose values are the curriculum's rules
Not here: whether a named study exists and is of its level (`curriculum.syllabus`), whether a term holds what it should
          (`curriculum.term`)
"""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from builder import fields
from builder.curriculum.syllabus import Asked, LevelRule
from builder.curriculum.term import MOST_MINUTES, MOST_WEEKS
from builder.curriculum.timetable import TermRule
from builder.fields import Unreadable, whole_number
from builder.spec.part import Part

StudyId = Annotated[str, fields.identifier("a study, such as ferry-steps-s3f7")]

# A study has to come up on three days (shared/planning.yaml, spacing), so a shorter term could hold none.
_FEWEST_DAYS = 3


class TermModel(Part):
    """A term to plan: minutes of playing on so many days of so many weeks."""

    weeks: Annotated[int, whole_number(1, MOST_WEEKS)] = 10
    days: Annotated[int, whole_number(1, 6, "days, so that one is free")] = 5
    minutes: Annotated[int, whole_number(5, MOST_MINUTES, "minutes a day")] = 20
    first_week: Annotated[int, whole_number(10, 6 * MOST_MINUTES, "minutes")] | None = None
    turn: Annotated[int, whole_number(2, 15, "minutes")] | None = None
    studies: Annotated[list[StudyId], Field(min_length=1, max_length=500)] | None = None

    @model_validator(mode="after")
    def _check(self) -> Self:
        if self.weeks * self.days < _FEWEST_DAYS:
            found = f"{self.weeks * self.days} practice days"
            expected = f"at least {_FEWEST_DAYS}, as every study comes up on so many"
            raise Unreadable(expected, "add weeks or days", found, ("weeks",)).for_pydantic()
        again = _twice(self.studies or [])
        if again is not None:
            raise Unreadable("every study once", "", "the same study twice", ("studies", again)).for_pydantic()
        return self

    def rule(self, required: tuple[str, ...]) -> TermRule:
        """The rule of the curriculum; *required* are the studies of the book's levels, for a term that names none."""
        named = required if self.studies is None else tuple(self.studies)
        return TermRule(self.weeks, self.days, self.minutes, self.first_week, self.turn, named)


class AskedModel(Part):
    """A study at one of its tempo steps."""

    study: StudyId
    tempo: fields.Tempo | None = None

    def asked(self) -> Asked:
        """The value of the curriculum."""
        return Asked(self.study, self.tempo)


class ChoiceModel(Part):
    """Studies of which some are to be chosen."""

    count: Annotated[int, whole_number(1, 50)] = 1
    among: Annotated[list[AskedModel], Field(min_length=1, max_length=100, alias="from")]


class LevelModel(Part):
    """What a level is called and asks for."""

    name: fields.Name | None = None
    requires: Annotated[list[AskedModel], Field(min_length=1, max_length=100)] | None = None
    choice: ChoiceModel | None = None
    outcomes: Annotated[list[fields.Sentence], Field(min_length=1, max_length=20)] | None = None

    def rule(self, level: int) -> LevelRule:
        """The rule of the curriculum."""
        choice = self.choice
        return LevelRule(
            level=level,
            name=self.name or "",
            requires=tuple(each.asked() for each in self.requires or ()),
            choose=choice.count if choice else 0,
            choice=tuple(each.asked() for each in choice.among) if choice else (),
            outcomes=tuple(self.outcomes or ()),
        )


class LevelsModel(Part):
    """The levels of a syllabus by their numbers."""

    level_1: Annotated[LevelModel | None, Field(alias="1")] = None
    level_2: Annotated[LevelModel | None, Field(alias="2")] = None
    level_3: Annotated[LevelModel | None, Field(alias="3")] = None
    level_4: Annotated[LevelModel | None, Field(alias="4")] = None
    level_5: Annotated[LevelModel | None, Field(alias="5")] = None
    level_6: Annotated[LevelModel | None, Field(alias="6")] = None
    level_7: Annotated[LevelModel | None, Field(alias="7")] = None
    level_8: Annotated[LevelModel | None, Field(alias="8")] = None

    @model_validator(mode="after")
    def _check(self) -> Self:
        for rule in self.rules():
            again = _twice([asked.study for asked in rule.requires])
            if again is not None:
                at = (str(rule.level), "requires", again)
                raise Unreadable("every study once", "", "the same study twice", at).for_pydantic()
        return self

    def rules(self) -> tuple[LevelRule, ...]:
        """The rules of the curriculum, lowest level first."""
        models: list[tuple[int, LevelModel | None]] = [(n, getattr(self, f"level_{n}")) for n in range(1, 9)]
        return tuple(model.rule(level) for level, model in models if model is not None)


class SyllabusModel(Part):
    """How a syllabus is made: what alternates are drawn by, and the JSON of the edition it is compared with."""

    seed: fields.Name | None = None
    earlier: fields.Title | None = None


def _twice(names: list[str]) -> int | None:
    """Where the first name stands that stood before already."""
    return next((number for number, name in enumerate(names) if name in names[:number]), None)
