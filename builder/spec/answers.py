"""The answers of an exercise besides its material: contour, rhythm, neck, strokes.

Stage:    1 read
In, Out:  plain data of a section; a model that gives theory's rule
Source:   defaults are those of theory's rules; meter 4/4 and path `position`, which those leave open, are our own
          choice: the commonest meter, and the way of playing that needs no further number
Not here: tempo and checkpoints (`practice`), whether strings and frets exist on the instrument (`expand`)
"""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, Any, Literal, Self, TypeVar

from pydantic import Discriminator, Field, Tag, model_validator

from builder import fields
from builder.fields import Reads, Unreadable, choice, near_miss, one_of, whole_number
from builder.registry import registered
from builder.spec.part import Part, kind_of, word_or_list
from builder.theory.contour import Contour, Pass
from builder.theory.fretboard import Place
from builder.theory.neck import NeckRule
from builder.theory.practice import StrokeRule
from builder.theory.rhythm import Meter, RhythmRule


class PassModel(Part):
    """One way through the material."""

    order: Annotated[list[Annotated[int, whole_number(1, 64)]], Field(min_length=1, max_length=64)] | None = None
    times: fields.Times = 1
    land: Annotated[int, whole_number(1, 64)] | None = None
    strings: Annotated[list[fields.StringNumber], Field(min_length=1, max_length=64)] | None = None

    @model_validator(mode="after")
    def _one_string_each(self) -> Self:
        if self.strings is not None and len(self.strings) != len(self.order or ()):
            found = f"{len(self.strings)} strings for an order of {len(self.order or ())} notes"
            raise Unreadable("a string for each note of 'order'", "", found, ("strings",)).for_pydantic()
        return self

    def as_pass(self) -> Pass:
        """The pass of theory."""
        order = None if self.order is None else tuple(self.order)
        return Pass(order, self.times, self.land, tuple(self.strings or ()))


class ContourModel(PassModel):
    """In what order: one pass spelled out, or several."""

    passes: Annotated[list[PassModel], Field(min_length=1, max_length=24)] | None = None
    by: Annotated[int, whole_number(1, 24)] = 1
    turn: fields.Flag = False

    @model_validator(mode="after")
    def _check(self) -> Self:
        twice = [
            key
            for key in ("order", "times", "land", "strings")
            if self.passes is not None and key in self.model_fields_set
        ]
        if twice:
            found = f"'{twice[0]}' beside 'passes'"
            raise Unreadable("either 'passes' or one order", f"move '{twice[0]}' into a pass", found).for_pydantic()
        return self

    def contour(self) -> Contour:
        """The contour of theory."""
        passes = self.passes if self.passes is not None else [self]
        return Contour(tuple(each.as_pass() for each in passes), self.by, self.turn)


T = TypeVar("T")


def _listed(value: T | list[T] | None) -> tuple[T, ...]:
    """One value or a list of them, as a tuple."""
    return () if value is None else tuple(value) if isinstance(value, list) else (value,)


NotesPerBeat = Annotated[
    Annotated[int, whole_number(1, 8), Tag("<word>")]
    | Annotated[list[Annotated[int, whole_number(1, 8)]], Field(min_length=2, max_length=16), Tag("<list>")],
    Discriminator(word_or_list),
]
_Shift = Annotated[Fraction, fields.beats(Fraction(0), 4)]
Displacement = Annotated[
    Annotated[_Shift, Tag("<word>")] | Annotated[list[_Shift], Field(min_length=2, max_length=16), Tag("<list>")],
    Discriminator(word_or_list),
]


class RhythmModel(Part):
    """When the notes sound."""

    meter: fields.MeterText = Meter(4, 4)
    groups: Annotated[list[Annotated[int, whole_number(1, 4)]], Field(min_length=2, max_length=12)] | None = None
    notes_per_beat: NotesPerBeat | None = None
    durations: Annotated[list[fields.Duration], Field(min_length=1, max_length=64)] | None = None
    burst: Annotated[int, whole_number(1, 128)] | None = None
    landing: Annotated[Fraction, fields.beats(Fraction(1, 8), 16)] = Fraction(1)
    rest: Annotated[
        Literal["to-barline", "to-beat", "none"] | Fraction,
        fields.number_or_word(fields.beats(Fraction(1, 8), 64), "to-barline", "to-beat", "none"),
    ] = "to-barline"
    rest_at_least: Annotated[Fraction, fields.beats(Fraction(0), 16)] = Fraction(1)
    swing: fields.Flag = False
    displace: Displacement | None = None
    accents: Annotated[
        Literal["bursts", "beats", "none"] | int | None,
        fields.number_or_word(whole_number(2, 16), "bursts", "beats", "none"),
    ] = None

    @model_validator(mode="after")
    def _check(self) -> Self:
        if self.notes_per_beat is not None and self.durations is not None:
            found = "both notes-per-beat and durations"
            raise Unreadable("one of the two", "take one out", found, ("durations",)).for_pydantic()
        if self.swing and 2 not in self._per_beat():
            expected = "swing together with notes-per-beat: 2"
            raise Unreadable(expected, "two notes a beat swing, long and short", at=("swing",)).for_pydantic()
        self._check_groups()
        return self

    def _check_groups(self) -> None:
        meter, groups = self.meter, self.groups or []
        if not needs_groups(meter):
            if groups:
                raise Unreadable(f"no groups: the beats of {meter} are equal", at=("groups",)).for_pydantic()
        elif not groups:
            example = _example_groups(meter.count)
            raise Unreadable(f"a key 'groups' that adds up to {meter.count}", f"for example groups: {example}",
                             f"{meter} without groups", ("meter",)).for_pydantic()  # fmt: skip
        elif sum(groups) != meter.count:
            found = f"groups that add up to {sum(groups)}"
            raise Unreadable(f"groups that add up to {meter.count}", "", found, ("groups",)).for_pydantic()

    def rule(self) -> RhythmRule:
        """The rule of theory."""
        meter = Meter(self.meter.count, self.meter.unit, tuple(self.groups or ()))
        return RhythmRule(
            meter=meter,
            notes_per_beat=self._per_beat() or None,
            durations=None if self.durations is None else tuple(self.durations),
            burst=self.burst,
            landing=self.landing,
            rest=self.rest,
            rest_at_least=self.rest_at_least,
            swing=self.swing,
            displace=_listed(self.displace) or (Fraction(0),),
            accents=self.accents or "bursts",
        )

    def _per_beat(self) -> tuple[int, ...]:
        """How many notes fill each beat in turn: four where the spec says nothing, none where it gives lengths."""
        return _listed(self.notes_per_beat) or (() if self.durations else (4,))


def needs_groups(meter: Meter) -> bool:
    """Whether the beats of *meter* differ in length, as in 5/8: short notes that don't fall into threes.

    >>> needs_groups(Meter(7, 8)), needs_groups(Meter(6, 8)), needs_groups(Meter(3, 8)), needs_groups(Meter(5, 4))
    (True, False, False, False)
    """
    return meter.unit >= 8 and meter.count > 4 and meter.beat == Fraction(1, meter.unit)


def _example_groups(count: int) -> list[int]:
    return [2] * (count // 2 - count % 2) + [3] * (count % 2)


class PlaceModel(Part):
    """A string and a fret."""

    string: fields.StringNumber
    fret: fields.Fret


PlacesChoice = Annotated[
    Annotated[
        Literal["each-string", "every-place"],
        choice("each-string", "every-place", otherwise="a list of {string: N, fret: N}"),
        Tag("<word>"),
    ]
    | Annotated[list[PlaceModel], Field(min_length=1, max_length=64), Tag("<list>")],
    Discriminator(word_or_list),
]


class StartModel(Part):
    """Where the studies begin."""

    note: fields.NoteText | None = None
    places: PlacesChoice = "each-string"

    @model_validator(mode="after")
    def _check(self) -> Self:
        if not isinstance(self.places, list):
            return self
        if self.note is not None:
            hint = "take the note out, or say places: each-string"
            raise Unreadable(
                "no note where the places are listed", hint, "a note beside them", ("note",)
            ).for_pydantic()
        listed = [(place.string, place.fret) for place in self.places]
        again = next((i for i, place in enumerate(listed) if place in listed[:i]), None)
        if again is not None:
            raise Unreadable("every place once", "", "the same place twice", ("places", again)).for_pydantic()
        return self

    def listed_places(self) -> Literal["each-string", "every-place"] | tuple[Place, ...]:
        """The places of theory."""
        if isinstance(self.places, str):
            return self.places
        return tuple(Place(place.string, place.fret) for place in self.places)


def parse_path(value: Any) -> tuple[str, int | None]:
    """Read `one-string`, or `{per-string: 3}` as the kind and its number."""
    kinds = registered("builder.paths", "PATH")
    counted = [kind for kind, path in kinds.items() if path.counted]
    word = next(iter(value), None) if isinstance(value, dict) else None
    if word in counted:
        return word, fields.counted(word, 1, 6, value)
    if isinstance(value, str) and value in counted:
        raise Unreadable(f"{{{value}: N}}", f"write {{{value}: 3}}")
    written = {kind: f"{{{kind}: N}}" if kind in counted else kind for kind in kinds}
    if isinstance(word, str):
        raise Unreadable(one_of(written.values()), near_miss(word, counted))
    return kind_of(value, written), None


def _parse_strokes(value: Any) -> str:
    return kind_of(value, {kind: kind for kind in registered("builder.strokes", "STROKES")})


class NeckModel(Part):
    """Where on the neck."""

    path: Annotated[tuple[str, int | None], Reads(parse_path, "a path", {"type": ["string", "object"]})] = (
        "position",
        None,
    )
    strings: Annotated[list[fields.StringNumber], Field(min_length=1, max_length=64)] | None = None
    position: Annotated[int | Literal["auto"] | None, fields.number_or_word(whole_number(1, 36), "auto")] = None
    open_strings: fields.Flag | None = None
    shift_in_burst: fields.Flag = False
    shift_on: Annotated[list[fields.StringNumber], Field(min_length=1, max_length=12)] | None = None
    start: StartModel = StartModel()

    def rule(self) -> NeckRule:
        """The rule of theory."""
        return NeckRule(
            path=self.path[0],
            count=self.path[1],
            strings=None if self.strings is None else tuple(self.strings),
            position=self.position if isinstance(self.position, int) else None,
            open_strings=self.open_strings,
            shift_in_burst=self.shift_in_burst or self.shift_on is not None,
            shift_on=None if self.shift_on is None else tuple(self.shift_on),
            note=self.start.note,
            places=self.start.listed_places(),
        )


class StrokesModel(Part):
    """How the other hand plays."""

    rule_: Annotated[str, Reads(_parse_strokes, "a rule", {"type": "string"}), Field(alias="rule")] = "alternate"
    first: Annotated[Literal["down", "up"], choice("down", "up")] = "down"
    after_rest: Annotated[Literal["reset", "carry", "grid"], choice("reset", "carry", "grid")] = "reset"
    ends: Annotated[Literal["same"] | None, choice("same")] = None
    pluck: Annotated[list[Annotated[int, whole_number(1, 32)]], Field(min_length=1, max_length=32)] | None = None
    pluck_in: Annotated[Literal["string", "beat", "burst"], choice("string", "beat", "burst")] = "string"
    order: (
        Annotated[
            list[Annotated[Literal["p", "i", "m", "a"], choice("p", "i", "m", "a")]], Field(min_length=1, max_length=16)
        ]
        | None
    ) = None
    pattern: (
        Annotated[
            list[Annotated[Literal["down", "up", "miss"], choice("down", "up", "miss")]],
            Field(min_length=1, max_length=32),
        ]
        | None
    ) = None

    @model_validator(mode="after")
    def _check(self) -> Self:
        kind = registered("builder.strokes", "STROKES")[self.rule_]
        own = {"pluck": self.pluck, "pluck-in": "pluck_in" in self.model_fields_set or None,
               "order": self.order, "pattern": self.pattern}  # fmt: skip
        for key, value in own.items():
            if value is not None and key not in kind.used:
                takers = [
                    other.kind for other in registered("builder.strokes", "STROKES").values() if key in other.used
                ]
                hint = f"it belongs to the rule {one_of(takers)}" if takers else ""
                raise Unreadable(f"no '{key}' with the rule '{self.rule_}'", hint, at=(key,)).for_pydantic()
            if value is None and key in kind.needed:
                raise Unreadable(f"a key '{key}' with the rule '{self.rule_}'", "", at=("rule",)).for_pydantic()
        return self

    def rule(self) -> StrokeRule:
        """The rule of theory."""
        usual = StrokeRule()
        return StrokeRule(
            rule=self.rule_,
            first=self.first,
            after_rest=self.after_rest,
            ends_same=self.ends == "same",
            pluck=tuple(self.pluck or usual.pluck),
            pluck_in=self.pluck_in,
            order=tuple(self.order or usual.order),
            pattern=tuple(self.pattern or usual.pattern),
        )
