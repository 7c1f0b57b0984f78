"""What an exercise says about practising it: tempo, checkpoints, what is prescribed for single notes.

Stage:    1 read
In, Out:  plain data of a section; a model that gives theory's rule
Source:   defaults are those of theory's rules
Not here: contour, rhythm, neck, strokes (`answers`)
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import Discriminator, Field, Tag, model_validator

from builder import fields
from builder.fields import Reads, Unreadable, choice, near_miss, whole_number
from builder.spec.answers import PlaceModel
from builder.spec.part import Part, word_or_list
from builder.theory.fretboard import Place
from builder.theory.practice import CheckpointRule, Override, TempoRule, tempo_steps


class OverrideModel(Part):
    """What is prescribed for one note."""

    bar: Annotated[int, whole_number(1, 999)]
    note: Annotated[int, whole_number(1, 99)]
    voice: Annotated[int, whole_number(1, 4)] = 1
    start: PlaceModel | None = None
    finger: Annotated[int, whole_number(0, 4)] | None = None
    string: fields.StringNumber | None = None
    stroke: Annotated[Literal["down", "up", "p", "i", "m", "a"] | None, choice("down", "up", "p", "i", "m", "a")] = None

    @model_validator(mode="after")
    def _check(self) -> Self:
        if self.finger is None and self.string is None and self.stroke is None:
            raise Unreadable("a key finger, string or stroke", "say what to do with this note").for_pydantic()
        return self

    def override(self, number: int) -> Override:
        """The value of theory."""
        start = None if self.start is None else Place(self.start.string, self.start.fret)
        return Override(number, self.bar, self.note, self.voice, start, self.finger, self.string, self.stroke)


class TempoModel(Part):
    """The tempo steps."""

    low: Annotated[fields.Tempo, Field(alias="from")] = 60
    high: Annotated[fields.Tempo, Field(alias="to")] = 108
    steps: fields.Steps | None = None
    spacing: Annotated[Literal["even", "ratio"], choice("even", "ratio")] = "even"

    @model_validator(mode="after")
    def _check(self) -> Self:
        if self.low > self.high and "high" in self.model_fields_set:
            found = f"{self.high}, slower than 'from'"
            raise Unreadable(f"{self.low} beats a minute or more", "", found, ("to",)).for_pydantic()
        if self.low > self.high:
            found = f"{self.low}, faster than 'to', which is {self.high} where none is given"
            raise Unreadable(f"at most {self.high} beats a minute", "add a key 'to'", found, ("from",)).for_pydantic()
        if self.steps is not None and len(set(tempo_steps(self.rule()))) < self.steps:
            expected = f"at most {self.high - self.low + 1} marks from {self.low} to {self.high}"
            raise Unreadable(expected, "", f"{self.steps} steps, two of them equal", ("steps",)).for_pydantic()
        return self

    def rule(self) -> TempoRule:
        """The rule of theory: five marks where the spec names no number, fewer where five would not differ."""
        return TempoRule(self.low, self.high, self.steps or min(5, self.high - self.low + 1), self.spacing)


def _parse_at(value: Any) -> tuple[Literal["rests", "bars", "none"], int | None]:
    if isinstance(value, dict):
        return "bars", fields.counted("bars", 1, 32, value)
    if value == "rests" or value == "none":
        return value, None
    hint = (
        "write {bars: 4}" if value == "bars" else near_miss(value, ["rests", "none"]) if isinstance(value, str) else ""
    )
    raise Unreadable("one of rests, none, {bars: N}", hint)


_ROTATE = choice("rotate", otherwise="a list of cue ids")
CuesChoice = Annotated[
    Annotated[Literal["rotate"], _ROTATE, Tag("<word>")]
    | Annotated[
        list[Annotated[str, fields.identifier("a cue", "cues")]], Field(min_length=1, max_length=64), Tag("<list>")
    ],
    Discriminator(word_or_list),
]


class CheckpointsModel(Part):
    """Where to let go, and of what."""

    at: Annotated[
        tuple[Literal["rests", "bars", "none"], int | None],
        Reads(_parse_at, "one of rests, none, {bars: N}", {"type": ["string", "object"]}),
    ] = ("rests", None)
    cues: CuesChoice = "rotate"

    def rule(self) -> CheckpointRule:
        """The rule of theory."""
        return CheckpointRule(*self.at, None if isinstance(self.cues, str) else tuple(self.cues))
