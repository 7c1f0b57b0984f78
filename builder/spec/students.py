"""The keys of students.yaml and needs.yaml, and of the need catalogue in shared/, as pydantic models.

Stage:    1 read
In, Out:  plain data of a `Document`; models whose values are the curriculum's
Not here: editions; which file names which student's pages
Privacy:  what a student finds hard stands in needs.yaml alone, which is never printed; `Advice` carries no need's name
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from builder import fields
from builder.curriculum.choice import Advice, Student
from builder.curriculum.term import MOST_MINUTES
from builder.fields import Reads, Unreadable, choice, whole_number
from builder.spec.models import HandChoice, InstrumentChoice, SkillId
from builder.spec.part import Part

CueId = Annotated[str, fields.identifier("a cue", "cues")]
NeedId = Annotated[str, fields.identifier("a need", "needs")]

_STUDY = fields.identifier("a study, such as ferry-steps-s3f7")
_LAST_CLEAN_WORDS = "tempos by study, such as {ferry-steps-s3f7: 84}"
_TEMPO = whole_number(20, 400, "beats a minute")


def _parse_last_clean(value: Any) -> dict[str, int]:
    """Read tempos by study."""
    if not isinstance(value, dict):
        raise ValueError
    found = {}
    for study, tempo in value.items():
        try:
            found[_STUDY.parse(study)] = _TEMPO.parse(tempo)
        except ValueError:
            raise Unreadable(f"{_STUDY.expected}, and {_TEMPO.expected}", at=(study,)) from None
    return found


class StudentModel(Part):
    """A student as the school knows them; *id* names their files."""

    id: fields.Id
    name: fields.Name
    level: fields.Level
    hand: HandChoice | None = None
    instrument: InstrumentChoice | None = None
    handedness: Annotated[Literal["right", "left"] | None, choice("right", "left")] = None
    minutes: Annotated[int, whole_number(5, MOST_MINUTES, "minutes a day")] | None = None
    last_clean: Annotated[dict[str, int], Reads(_parse_last_clean, _LAST_CLEAN_WORDS, {"type": "object"})] | None = None

    def student(self, advice: Sequence[Advice] = ()) -> Student:
        """The value of the curriculum."""
        return Student(self.level, self.last_clean or {}, tuple(advice))


class StudentsModel(Part):
    """A file of students."""

    students: Annotated[list[StudentModel], Field(min_length=1, max_length=500)]

    @model_validator(mode="after")
    def _check(self) -> Self:
        ids = [student.id for student in self.students]
        again = next((number for number, each in enumerate(ids) if each in ids[:number]), None)
        if again is not None:
            at = ("students", again, "id")
            raise Unreadable("every id once", "", f"'{ids[again]}', which another student has", at).for_pydantic()
        return self


class StudentNeedsModel(Part):
    """What one student needs."""

    student: fields.Id
    needs: Annotated[list[NeedId], Field(min_length=1, max_length=8)]


class NeedsModel(Part):
    """A file of needs, never printed."""

    needs: Annotated[list[StudentNeedsModel], Field(min_length=1, max_length=500)]

    def of(self, student: str, catalogue: Mapping[str, Advice]) -> tuple[Advice, ...]:
        """What to do about the needs of *student* alone."""
        named = dict.fromkeys(need for each in self.needs if each.student == student for need in each.needs)
        return tuple(catalogue[need] for need in named)


class NeedModel(Part):
    """What a need asks for: an entry of shared/needs.yaml."""

    about: fields.Sentence
    skills: Annotated[list[SkillId], Field(min_length=1, max_length=8)]
    cues: Annotated[list[CueId], Field(min_length=1, max_length=8)] | None = None
    steps_lower: Annotated[int, whole_number(0, 4)] = 0
    steps_off_top: Annotated[int, whole_number(0, 4)] = 0

    def advice(self) -> Advice:
        """The same without its name."""
        return Advice(frozenset(self.skills), tuple(self.cues or ()), self.steps_lower, self.steps_off_top)
