"""The keys of a book file and of an exercise file, as pydantic models without unknown keys.

Stage:    1 read
In, Out:  plain data of a `Document`; models whose values are theory's
Not here: the sections of an exercise (`answers`, `practice`), the keys of a material (its own module in `materials`),
          checks against an instrument (`expand`)
"""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, Discriminator, Field, Tag, model_validator
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue

from builder import fields
from builder.fields import Reads, Unreadable, choice, near_miss, one_of, whole_number
from builder.registry import registered
from builder.spec.answers import ContourModel, NeckModel, RhythmModel, StrokesModel
from builder.spec.curriculum import LevelsModel, SyllabusModel, TermModel
from builder.spec.fonts import FontsModel
from builder.spec.look import LookModel
from builder.spec.matter import BackParts, FrontParts
from builder.spec.part import Part, kind_of, word_or_mapping
from builder.spec.practice import CheckpointsModel, OverrideModel, TempoModel
from builder.theory.fretboard import Hand, Instrument

# Comfort and limit in mm from index to little finger: our own proposal, to be replaced by the teacher's ruler; no
# published percentile of this reach was found. A measured hand takes medium's ratio of limit to comfort, rounded.
HANDS = {"small": Hand("small", 78, 98), "medium": Hand("medium", 98, 127), "large": Hand("large", 112, 142)}
MEASURED_LIMIT = 1.28

# A staff under 11 pt (4 mm) is smaller than any printed for players (E. Gould, Behind Bars, 2011, on staff sizes);
# above 30 pt two bars of sixteenths no longer fit a line of A4. 18 is the size at which eight bars fill a page; a
# staff or a tablature alone leaves room for a larger one. Large print takes 28 pt (9.8 mm), above what she names for
# beginners' books (9 mm).
STAFF_SIZES = (11, 30)
_LARGEST_STAFF = {"both": 18.0, "staff": 22.0, "tab": 20.0}
_LARGE_PRINT_STAFF = 28.0
_LONGEST_WORD = 80  # letters and hyphens; German words of law have 63 (our own choice)


class InstrumentModel(Part):
    """An instrument spelled out."""

    name: fields.Name = "own instrument"
    strings: Annotated[list[fields.SoundingPitch], Field(min_length=1, max_length=12)]
    frets: Annotated[int, whole_number(1, 36)]
    scale_length: Annotated[float, fields.any_number(200, 1200, "mm")]
    capo: fields.Fret = 0
    position_width: Annotated[int, whole_number(2, 7, "frets")] = 4
    frets_per_finger: Annotated[int, whole_number(1, 2, "frets")] = 1
    clef: Annotated[
        Literal["treble_8", "bass_8", "treble", "bass"] | None, choice("treble_8", "bass_8", "treble", "bass")
    ] = None

    @model_validator(mode="after")
    def _check(self) -> Self:
        if self.capo >= self.frets:
            raise Unreadable(f"a fret below the last one, {self.frets}", at=("capo",)).for_pydantic()
        heights = [pitch.midi for pitch in self.strings]
        if len(heights) > 2 and heights == sorted(set(heights)):
            expected, hint = "string 1, the highest-sounding, first", "turn the list round"
            raise Unreadable(expected, hint, "strings from low to high", ("strings",)).for_pydantic()
        return self

    def instrument(self) -> Instrument:
        """The instrument of theory; without a clef, one that is written low where its highest string sounds low."""
        clef = self.clef or ("bass_8" if self.strings[0].midi < 48 else "treble_8")
        strings = tuple(self.strings)
        return Instrument(
            name=self.name,
            open_strings=strings,
            frets=self.frets,
            scale_length_mm=self.scale_length,
            capo=self.capo,
            position_width=self.position_width,
            clef=clef,
            frets_per_finger=self.frets_per_finger,
        )


_INSTRUMENT_NAME = fields.identifier(
    "an instrument's name, or a mapping with strings, frets, scale-length", "instruments"
)
InstrumentChoice = Annotated[
    Annotated[str, _INSTRUMENT_NAME, Tag("<word>")] | Annotated[InstrumentModel, Tag("<mapping>")],
    Discriminator(word_or_mapping),
]


def parse_hand(value: Any) -> Hand:
    """Read a hand: a name, or its comfortable reach in mm."""
    if isinstance(value, str):
        if value not in HANDS:
            raise Unreadable(_HAND_WORDS, near_miss(value, HANDS))
        return HANDS[value]
    try:
        comfort = fields.any_number(40, 200).parse(value)
    except ValueError:
        raise Unreadable(_HAND_WORDS) from None
    return Hand("measured", comfort, round(comfort * MEASURED_LIMIT, 2))


_HAND_WORDS = f"{one_of(HANDS)}, or a comfortable reach from 40 to 200 mm"
HandChoice = Annotated[
    Hand,
    Reads(
        parse_hand, _HAND_WORDS, {"anyOf": [{"enum": list(HANDS)}, {"type": "number", "minimum": 40, "maximum": 200}]}
    ),
]


class PrintModel(Part):
    """How studies are printed."""

    staff_size: Annotated[float, fields.any_number(*STAFF_SIZES)] | None = None
    fingering: Annotated[Literal["hints", "all", "none"], choice("hints", "all", "none")] = "hints"
    note_names: Annotated[Literal["letters", "german", "solfege"] | None, choice("letters", "german", "solfege")] = None
    notation: Annotated[Literal["both", "staff", "tab"], choice("both", "staff", "tab")] = "both"
    large_print: fields.Flag = False
    low_ink: fields.Flag = False
    left_handed: fields.Flag = False
    sides: Annotated[Literal["one", "two"], choice("one", "two")] = "one"
    gutter: Annotated[float, fields.any_number(0, 10, "mm")] | None = None
    bleed: Annotated[float, fields.any_number(0, 5, "mm")] = 0
    thumb_index: fields.Flag = False
    creep: Annotated[float, fields.any_number(0, 0.5, "mm")] = 0
    places: Annotated[Literal["each", "one"], choice("each", "one")] = "each"

    @property
    def largest_staff(self) -> float:
        """The largest staff in points; what is left out depends on who reads."""
        return self.staff_size or (_LARGE_PRINT_STAFF if self.large_print else _LARGEST_STAFF[self.notation])


class LayoutModel(Part):
    """Print settings with a name, to be taken in place of the book's; what they leave out stays as the book has it."""

    paper: Annotated[Literal["a4", "a5", "letter"], choice("a4", "a5", "letter")] | None = None
    print_: Annotated[PrintModel | None, Field(alias="print")] = None
    impose: Annotated[Literal["none", "booklet"], choice("none", "booklet")] = "none"


LayoutName = Annotated[str, fields.identifier("a layout's name")]


def parse_web_address(value: Any) -> str:
    """Read an address under which a folder is put on the web: http or https, nothing behind the path."""
    address = value.strip().rstrip("/") if isinstance(value, str) else ""
    if not re.fullmatch(r"https?://[A-Za-z0-9.-]+(:[0-9]{1,5})?(/[A-Za-z0-9._~%-]+)*", address) or len(address) > 120:
        raise ValueError
    return address


_ADDRESS = "an address such as https://example.org/tracks, with http or https, at most 120 characters"


class TracksModel(Part):
    """Practice tracks: where they are on the web, and how they count in."""

    base_url: Annotated[str, Reads(parse_web_address, _ADDRESS, {"type": "string"})] | None = None
    clicks_per_beat: Annotated[int, whole_number(1, 4)] = 1
    drone: fields.Flag = False
    soundfont: fields.Title | None = None


def _parse_broken_word(value: Any) -> str:
    text = fields.printable(value if isinstance(value, str) else "")
    pieces = text.split("-")
    if len(text) > _LONGEST_WORD or len(pieces) < 2 or not all(piece.isalpha() for piece in pieces):
        raise ValueError
    return text


BrokenWord = Annotated[
    str,
    Reads(
        _parse_broken_word,
        "a word with hyphens where it may break, such as Finger-übungs-buch",
        {"type": "string", "minLength": 3, "maxLength": _LONGEST_WORD},
    ),
]


class BookModel(Part):
    """A book file."""

    title: fields.Title
    subtitle: fields.Title | None = None
    school: fields.Name | None = None
    author: fields.Name | None = None
    edition: fields.Name | None = None
    licence: fields.Title | None = None
    language: Annotated[str, fields.identifier("a language", "languages")] = "en"
    paper: Annotated[Literal["a4", "a5", "letter"], choice("a4", "a5", "letter")] = "a4"
    print_: Annotated[PrintModel, Field(alias="print")] = PrintModel()
    instrument: InstrumentChoice
    hand: HandChoice = HANDS["medium"]
    exercises: Annotated[list[fields.Title], Field(min_length=1, max_length=1000)]
    levels: LevelsModel | None = None
    term: TermModel | None = None
    syllabus: SyllabusModel | None = None
    students: fields.Title | None = None
    needs: fields.Title | None = None
    tracks: TracksModel | None = None
    fonts: FontsModel | None = None
    layouts: dict[LayoutName, LayoutModel] | None = None
    front: FrontParts | None = None
    back: BackParts | None = None
    look: LookModel | None = None
    breaks: Annotated[list[BrokenWord], Field(min_length=1, max_length=200)] | None = None


def parse_material_kind(value: Any) -> str:
    """Read the kind of a material that is installed."""
    return kind_of(value, {kind: kind for kind in registered("builder.materials", "MATERIAL")})


SkillId = Annotated[str, fields.identifier("a skill", "skills")]


def _parse_mapping(value: Any) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise ValueError
    return value


class ExerciseModel(Part):
    """An exercise file; *material* stays plain data, as its keys depend on its kind."""

    id: fields.Id | None = None
    title: fields.Title
    aim: fields.Sentence | None = None
    skills: Annotated[list[SkillId], Field(min_length=1, max_length=8)] | None = None
    instrument: InstrumentChoice | None = None
    key: fields.KeyName | None = None
    level: fields.Level | None = None
    material: Annotated[dict[str, Any], Reads(_parse_mapping, "a mapping with a key 'kind'", {"type": "object"})]
    contour: ContourModel | None = None
    rhythm: RhythmModel = RhythmModel()
    neck: NeckModel = NeckModel()
    strokes: StrokesModel = StrokesModel()
    tempo: TempoModel = TempoModel()
    checkpoints: CheckpointsModel = CheckpointsModel()
    fingering: Annotated[Literal["hints", "all", "none"] | None, choice("hints", "all", "none")] = None
    overrides: Annotated[list[OverrideModel], Field(min_length=1, max_length=200)] | None = None


class _LenientSchema(GenerateJsonSchema):
    """A value whose schema is unknown is any value, so that one material can't stop the listing of all others."""

    def handle_invalid_for_json_schema(self, schema: Any, error_info: str) -> JsonSchemaValue:
        return {}


def _schema(model: type[BaseModel]) -> dict[str, Any]:
    return model.model_json_schema(by_alias=True, schema_generator=_LenientSchema)


def book_schema() -> dict[str, Any]:
    """Return the JSON schema of a book file."""
    return _schema(BookModel)


def exercise_schema() -> dict[str, Any]:
    """Return the JSON schema of an exercise file, with the keys of every installed material."""
    schema = _schema(ExerciseModel)
    definitions = schema.setdefault("$defs", {})
    choices = []
    for kind, material in registered("builder.materials", "MATERIAL").items():
        part = _schema(material.parameters)
        definitions |= part.pop("$defs", {})
        part["properties"] = {"kind": {"const": kind}} | part.get("properties", {})
        part["required"] = ["kind", *part.get("required", [])]
        definitions[f"material-{kind}"] = part
        choices.append({"$ref": f"#/$defs/material-{kind}"})
    schema["properties"]["material"] = {"oneOf": choices}
    return schema
