"""What the parameters of all materials share: the model they derive from and the field types only they use.

Stage:    1 read (pure)
In, Out:  plain values of a spec; chords, scales, numbers
Source:   limits are our own choice: more than any printed etude needs, little enough to stay on a few pages
Not here: the fields of each kind (its own module), field types of all specs (`fields`)
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, ConfigDict, Field

from builder.fields import Reads, Unreadable, near_miss, one_of, whole_number
from builder.theory.harmony import Chord, Key, Scale, parse_chord, parse_scale
from builder.theory.pitch import Pitch

ScaleChoice = str | Scale
"""A word such as `key` or `chord` that says where the scale comes from, or the scale itself."""

Complaint = tuple[tuple[str | int, ...], str, str, str]
"""Path below `material`, found, expected, hint: what a material's `check` returns."""

T = TypeVar("T")
_A_SCALE = "a scale such as D lydian, or its notes in a list, the tonic first"
_A_CHORD = "a chord symbol such as Dm, F#m7b5 or C/E, or a mapping {chord: …, scale: …}"


def _hyphened(name: str) -> str:
    return name.replace("_", "-")


class Parameters(BaseModel):
    """The base of all parameters: unchangeable, no unknown keys, hyphens in the spec."""

    model_config = ConfigDict(frozen=True, extra="forbid", alias_generator=_hyphened, populate_by_name=False)


@dataclass(frozen=True, slots=True)
class ChordChoice:
    """One chord of a list; *scale* None = as the rest."""

    chord: Chord
    scale: ScaleChoice | None


def _worded(parse: Callable[[Any], T], value: Any, expected: str, at: tuple[str | int, ...] = ()) -> T:
    """Let theory read *value*; its complaint becomes the hint."""
    try:
        return parse(value)
    except ValueError as error:
        raise Unreadable(expected, str(error), at=at) from None


def _scale_reader(*words: str, at: tuple[str | int, ...] = ()) -> Reads:
    """The reader of a scale that may also be one of *words*; *at* leads from the field to the scale."""
    expected = f"{one_of(words)}, or {_A_SCALE}"

    def parse(value: Any) -> ScaleChoice:
        if isinstance(value, str) and value in words:
            return value
        if isinstance(value, str) and " " not in value.strip() and (hint := near_miss(value, words)):
            raise Unreadable(expected, hint, at=at)
        if not isinstance(value, str) and not _is_list_of_texts(value):
            raise Unreadable(expected, at=at)
        return _worded(parse_scale, value, expected, at)

    texts = {"type": "array", "items": {"type": "string"}, "minItems": 3, "maxItems": 12}
    return Reads(parse, expected, {"anyOf": [{"type": "string"}, texts]})


def _is_list_of_texts(value: Any) -> bool:
    return isinstance(value, list | tuple) and all(isinstance(item, str) for item in value)


def _read_chord(value: Any) -> ChordChoice:
    if isinstance(value, str):
        return ChordChoice(_worded(parse_chord, value, _A_CHORD), None)
    if not isinstance(value, Mapping) or not isinstance(value.get("chord"), str):
        raise Unreadable(_A_CHORD)
    for name in value:
        if name not in ("chord", "scale"):
            raise Unreadable("one of chord, scale", near_miss(str(name), ("chord", "scale")), "an unknown key", (name,))
    chord = _worded(parse_chord, value["chord"], "a chord symbol such as Dm, F#m7b5 or C/E", ("chord",))
    return ChordChoice(chord, _CHORDS_OWN.parse(value["scale"]) if "scale" in value else None)


_CHORDS_OWN = _scale_reader("auto", "key", "chord", at=("scale",))
_CHORD_SCHEMA = {
    "anyOf": [
        {"type": "string"},
        {
            "type": "object",
            "properties": {"chord": {"type": "string"}, "scale": dict(_CHORDS_OWN.schema)},
            "required": ["chord"],
            "additionalProperties": False,
        },
    ]
}

OverChords = Annotated[ScaleChoice, _scale_reader("auto", "key", "chord")]
OfLine = Annotated[ScaleChoice, _scale_reader("key")]
Chords = Annotated[
    tuple[Annotated[ChordChoice, Reads(_read_chord, _A_CHORD, _CHORD_SCHEMA)], ...], Field(min_length=1, max_length=32)
]
Octaves = Annotated[int, whole_number(1, 4)]
NoteCount = Annotated[int, whole_number(2, 64)]


def scale_in_key(choice: ScaleChoice, key: Key) -> Scale:
    """The scale of a line: *choice* itself, or the key's for the word `key`."""
    return choice if isinstance(choice, Scale) else key.scale


def walk_up(scale: Scale, first: Pitch, octaves: int | None, notes: int | None) -> tuple[Pitch, ...]:
    """Walk up *scale* from *first*: *notes* of them, or so many whole octaves (1) with the top note included."""
    return scale.pitches_from(first, notes or (octaves or 1) * len(scale.notes) + 1)


def there_and_back(line: tuple[T, ...]) -> tuple[T, ...]:
    """The line up and down again: its top note once, its bottom note at both ends."""
    return line + line[-2::-1]
