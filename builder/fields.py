"""Field types a spec may use: how each value is read, what is expected in words, its JSON schema.

Stage:    1 read
In, Out:  a plain YAML value (text, number, true/false, list, mapping); a value of theory
Units:    tempo in beats a minute, lengths in mm, durations in whole notes, rests and landings in beats
Source:   limits are our own choice: wide enough for any printed etude, narrow enough to catch a slip of the keyboard
Not here: which keys a spec has (`spec.models`), where a key stands in its file (`spec.yaml_reader`)
"""

from __future__ import annotations

import re
import unicodedata
from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from difflib import get_close_matches
from fractions import Fraction
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from builder.theory.harmony import Key, parse_key
from builder.theory.pitch import NoteName, Pitch
from builder.theory.rhythm import Meter

# Every character that all eight TeX Gyre Schola and Heros faces of LilyPond 2.25.12 hold (read from their `cmap`
# tables), without control, private-use and combining characters and the soft hyphen: those don't print as they are.
PRINTABLE_RANGES = (
    (0x20, 0x7E), (0xA0, 0xAC), (0xAE, 0x137), (0x139, 0x148), (0x14A, 0x165), (0x168, 0x17F), (0x18E, 0x18E),
    (0x192, 0x192), (0x1A0, 0x1A1), (0x1AF, 0x1B0), (0x1CD, 0x1D4), (0x1D7, 0x1DD), (0x1E6, 0x1E7), (0x1EA, 0x1EB),
    (0x1F0, 0x1F0), (0x1F4, 0x1F5), (0x1FA, 0x201), (0x204, 0x205), (0x208, 0x209), (0x20C, 0x20D), (0x210, 0x211),
    (0x214, 0x215), (0x218, 0x21B), (0x237, 0x237), (0x258, 0x259), (0x391, 0x3A1), (0x3A3, 0x3A9), (0x3B1, 0x3C9),
    (0x1E0C, 0x1E0F), (0x1E24, 0x1E27), (0x1E2A, 0x1E2B), (0x1E2E, 0x1E2F), (0x1E36, 0x1E39), (0x1E42, 0x1E47),
    (0x1E58, 0x1E5D), (0x1E62, 0x1E63), (0x1E6C, 0x1E6F), (0x1E80, 0x1E85), (0x1E92, 0x1E93), (0x1EA0, 0x1EF9),
    (0x2010, 0x2011), (0x2013, 0x2014), (0x2018, 0x201A), (0x201C, 0x201E), (0x2020, 0x2022), (0x2026, 0x2026),
    (0x2030, 0x2031), (0x2039, 0x203A), (0x2044, 0x2044), (0x20AC, 0x20AC), (0x2116, 0x2117), (0x2122, 0x2122),
    (0x2190, 0x2193), (0x2212, 0x2212), (0x221E, 0x221E), (0x2248, 0x2248), (0x2260, 0x2260), (0x2264, 0x2265),
)  # fmt: skip
_RANGE_STARTS = [low for low, _ in PRINTABLE_RANGES]
_CHARACTER_HINTS = {"♭": "write 'Bb' or 'B flat'", "♯": "write 'F#' or 'F sharp'", "\n": "write it on one line"}

ID_PATTERN = r"[a-z0-9]+(-[a-z0-9]+)*"
ID_LENGTH = 40


class Unreadable(ValueError):
    """A value that can't be read: what was *expected*, and where it helps a *hint*.

    *found* words the value when it is not simply the value as written; *at* leads from the field to the part at fault.
    """

    def __init__(self, expected: str, hint: str = "", found: str = "", at: tuple[str | int, ...] = ()) -> None:
        self.expected, self.hint, self.found, self.at = expected, hint, found, at
        super().__init__(expected)

    def for_pydantic(self) -> PydanticCustomError:
        """The same as an error that pydantic collects."""
        context = {"expected": self.expected, "hint": self.hint, "found": self.found, "at": self.at}
        return PydanticCustomError("unreadable", "{expected}", context)


@dataclass(frozen=True, slots=True, eq=False)
class Reads:
    """The annotation of a field: *parse* turns the plain value into ours and raises ValueError where it can't.

    *listed_in*: the value must also be in the validation context's collection of that name, where there is one.
    """

    parse: Callable[[Any], Any]
    expected: str
    schema: Mapping[str, Any] = field(default_factory=dict)
    listed_in: str = ""

    def _read(self, value: Any, info: ValidationInfo) -> Any:
        try:
            return look_up(self.parse(value), (info.context or {}).get(self.listed_in))
        except Unreadable as error:
            raise error.for_pydantic() from None
        except (ValueError, TypeError):
            raise Unreadable(self.expected, _quotes_hint(value, self.schema)).for_pydantic() from None

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(self._read)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"description": self.expected, **self.schema}


def near_miss(word: str, choices: Iterable[str]) -> str:
    """Return `did you mean '…'?` for the choice that looks like *word*, or nothing.

    >>> near_miss("rythm", ["neck", "rhythm"]), near_miss("xyz", ["neck"])
    ("did you mean 'rhythm'?", '')
    """
    plain = word[:80].lower().strip().replace("_", "-").replace(" ", "-")
    close = get_close_matches(plain, list(choices), n=1, cutoff=0.6)
    return f"did you mean '{close[0]}'?" if close else ""


def look_up(name: str, known: Iterable[str] | None) -> str:
    """Return *name* when it is among the *known* ones (None = anything goes); raise Unreadable otherwise."""
    if known is not None and name not in known:
        raise Unreadable(one_of(known), near_miss(name, known))
    return name


def one_of(choices: Iterable[str]) -> str:
    """Return the choices in words.

    >>> one_of(["down", "up"]), one_of(["a4"])
    ('one of down, up', 'a4')
    """
    listed = list(choices)
    return listed[0] if len(listed) == 1 else "one of " + ", ".join(listed)


# What the fonts of the book that is being read hold besides; a field is read far from the book it belongs to.
_MORE: ContextVar[frozenset[int]] = ContextVar("characters of a book's own fonts", default=frozenset())


@contextmanager
def also_printable(characters: frozenset[int]) -> Iterator[None]:
    """Let texts hold *characters*, too, as long as this lasts."""
    token = _MORE.set(characters)
    try:
        yield
    finally:
        _MORE.reset(token)


def can_print(character: str) -> bool:
    """Say whether the printed fonts hold *character*."""
    if ord(character) in _MORE.get():
        return True
    index = bisect_right(_RANGE_STARTS, ord(character)) - 1
    return index >= 0 and ord(character) <= PRINTABLE_RANGES[index][1]


def printable(text: str) -> str:
    """Return *text* with its accents composed; raise Unreadable at the first character the printed fonts lack.

    >>> printable("E\\u0301tude")
    'Étude'
    """
    composed = unicodedata.normalize("NFC", text)
    for number, character in enumerate(composed, start=1):
        if not can_print(character):
            name = unicodedata.name(character, "no name").lower()
            raise Unreadable(
                "characters the printed fonts hold (Latin letters with accents, Greek, digits, common signs)",
                _CHARACTER_HINTS.get(
                    character,
                    "leave it out, write it in words, or name a font file that holds it in the book's 'fonts'",
                ),
                "a line break" if character == "\n" else f"U+{ord(character):04X} ({name}) as character {number}",
            )
    return composed


def _quotes_hint(value: Any, schema: Mapping[str, Any]) -> str:
    if schema.get("type") != "string" or isinstance(value, (str, list, dict)) or value is None:
        return ""
    return f'put it in quotes: "{str(value).lower() if isinstance(value, bool) else value}"'


def _string(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError("not text")
    return value


def _is_whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def line_of_text(longest: int) -> Reads:
    """One line of printable text of at most *longest* characters."""

    def parse(value: Any) -> str:
        text = printable(_string(value).strip())
        if not text:
            raise Unreadable("text that is not empty", found="empty text")
        if len(text) > longest:
            raise Unreadable(f"at most {longest} characters", found=f"text of {len(text)} characters")
        return text

    expected = f"one line of text, at most {longest} characters"
    return Reads(parse, expected, {"type": "string", "minLength": 1, "maxLength": longest})


def whole_number(low: int, high: int, unit: str = "") -> Reads:
    """A whole number from *low* to *high*."""

    def parse(value: Any) -> int:
        if not _is_whole(value) or not low <= value <= high:
            raise ValueError
        return int(value)

    expected = f"a whole number from {low} to {high}{unit and ' ' + unit}"
    return Reads(parse, expected, {"type": "integer", "minimum": low, "maximum": high})


def any_number(low: float, high: float, unit: str = "") -> Reads:
    """A number from *low* to *high*."""

    def parse(value: Any) -> float:
        if not (_is_whole(value) or isinstance(value, float)) or not low <= value <= high:
            raise ValueError
        return float(value)

    expected = f"a number from {low:g} to {high:g}{unit and ' ' + unit}"
    return Reads(parse, expected, {"type": "number", "minimum": low, "maximum": high})


def true_or_false() -> Reads:
    """`true` or `false`, nothing else."""

    def parse(value: Any) -> bool:
        if not isinstance(value, bool):
            raise ValueError
        return value

    return Reads(parse, "true or false", {"type": "boolean"})


def choice(*words: str, otherwise: str = "") -> Reads:
    """One of *words*; *otherwise* words an alternative."""
    expected = one_of(words) + (f", or {otherwise}" if otherwise else "")

    def parse(value: Any) -> str:
        if not isinstance(value, str) or value not in words:
            raise Unreadable(expected, near_miss(value, words) if isinstance(value, str) else "")
        return value

    return Reads(parse, expected, {"enum": list(words)})


def number_or_word(number: Reads, *words: str) -> Reads:
    """What *number* reads, or one of *words* as it stands."""
    expected = f"{number.expected}, or {one_of(words)}"

    def parse(value: Any) -> Any:
        if isinstance(value, str) and value in words:
            return value
        try:
            return number.parse(value)
        except (ValueError, TypeError):
            raise Unreadable(expected, near_miss(value, words) if isinstance(value, str) else "") from None

    return Reads(parse, expected, {"anyOf": [dict(number.schema), {"enum": list(words)}]})


def identifier(what: str, listed_in: str = "") -> Reads:
    """An id in the manner of `ferry-steps`."""
    expected = f"{what}: lower-case letters, digits and single hyphens, at most {ID_LENGTH} characters"

    def parse(value: Any) -> str:
        text = _string(value)
        if len(text) > ID_LENGTH or not re.fullmatch(ID_PATTERN, text):
            raise Unreadable(expected, _id_hint(text))
        return text

    return Reads(parse, expected, {"type": "string", "pattern": f"^{ID_PATTERN}$", "maxLength": ID_LENGTH}, listed_in)


def _id_hint(text: str) -> str:
    ascii_text = unicodedata.normalize("NFKD", text[:200]).encode("ascii", "ignore").decode().lower()
    suggestion = re.sub(r"[^a-z0-9]+", "-", ascii_text).strip("-")[:ID_LENGTH].strip("-")
    return f"for example '{suggestion}'" if suggestion else ""


def _fraction(value: Any, denominators: frozenset[int] | None) -> Fraction:
    """A fraction from a number or from text such as 3/16; floats are taken at their written decimals."""
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise TypeError("not a number")
    if isinstance(value, str) and not re.fullmatch(r"[0-9]{1,4}/[1-9][0-9]{0,3}", value):
        raise ValueError
    result = Fraction(str(value) if isinstance(value, float) else value)
    if denominators is not None and result.denominator not in denominators:
        raise ValueError
    return result


def _parse_duration(value: Any) -> Fraction:
    length = _fraction(value, frozenset({1, 2, 4, 8, 16, 32, 64}))
    if not 0 < length <= 2 or isinstance(value, float):
        raise ValueError
    return length


def beats(low: Fraction, high: int) -> Reads:
    """A number of beats, `1.5` or `1/2`; thirds of a beat are the finest that print cleanly in a compound meter."""

    def parse(value: Any) -> Fraction:
        length = _fraction(value, frozenset({1, 2, 3, 4, 6, 8, 12, 16}))
        if not low <= length <= high:
            raise ValueError
        return length

    least = "0" if low == 0 else str(low)
    number = {"type": "number", "minimum": float(low), "maximum": high}
    written = {"type": "string", "pattern": "^[0-9]{1,4}/[1-9][0-9]{0,3}$"}
    return Reads(
        parse, f"a number of beats from {least} to {high}, such as 1, 1.5 or 1/2", {"anyOf": [number, written]}
    )


def _parse_meter(value: Any) -> Meter:
    text = _string(value)
    match = re.fullmatch(r"([1-9][0-9]?)/(2|4|8|16)", text)
    if not match or int(match[1]) > 24:
        raise Unreadable(METER.expected, f"write '{text.replace(':', '/')}'" if re.fullmatch(r"\d+:\d+", text) else "")
    return Meter(int(match[1]), int(match[2]))


def _parse_key(value: Any) -> Key:
    text = _string(value)
    if len(text) > 40:
        raise ValueError
    try:
        return parse_key(text)
    except ValueError as error:
        raise Unreadable(KEY.expected, str(error)) from None


def parse_pitch(value: Any) -> Pitch:
    """Read a sounding pitch any fretted instrument could give; raise ValueError for anything else."""
    pitch = Pitch.parse(_string(value))
    if not 12 <= pitch.midi <= 108:
        raise ValueError
    return pitch


def _parse_note(value: Any) -> NoteName | Pitch:
    text = _string(value)
    return parse_pitch(text) if re.search(r"[0-9]$", text) else NoteName.parse(text)


def counted(word: str, low: int, high: int, value: Any) -> int:
    """Read the mapping `{word: N}`; raise Unreadable otherwise."""
    number = value.get(word) if isinstance(value, dict) and set(value) == {word} else None
    if not _is_whole(number) or not low <= (number or 0) <= high:
        raise Unreadable(f"{{{word}: N}} with N from {low} to {high}")
    return int(number or 0)


METER = Reads(
    _parse_meter,
    "a meter: 1 to 24 over 2, 4, 8 or 16, such as 4/4 or 6/8",
    {"type": "string", "pattern": "^[1-9][0-9]?/(2|4|8|16)$"},
)
DURATION = Reads(
    _parse_duration,
    "a note length from 1/64 to 2/1 whole notes in halves, quarters … 64ths, such as 1/8 or 3/16",
    {"type": ["string", "integer"], "pattern": "^[0-9]+/(1|2|4|8|16|32|64)$"},
)
KEY = Reads(_parse_key, "a key: a note and a mode, such as D minor, F# dorian or Bb major", {"type": "string"})
PITCH = Reads(
    parse_pitch,
    "a pitch from C0 to C8, such as C#4 or Bb3",
    {"type": "string", "pattern": "^[A-G](#{0,3}|b{0,3})[0-9]$"},
)
NOTE = Reads(
    _parse_note,
    "a note such as D (every octave) or D4 (that one)",
    {"type": "string", "pattern": "^[A-G](#{0,3}|b{0,3})[0-9]?$"},
)

ENTRY_ID = identifier("an id")
Id = Annotated[str, ENTRY_ID]
Title = Annotated[str, line_of_text(120)]
Sentence = Annotated[str, line_of_text(200)]
Name = Annotated[str, line_of_text(80)]
Flag = Annotated[bool, true_or_false()]
KeyName = Annotated[Key, KEY]
MeterText = Annotated[Meter, METER]
Duration = Annotated[Fraction, DURATION]
SoundingPitch = Annotated[Pitch, PITCH]
NoteText = Annotated[NoteName | Pitch, NOTE]
Tempo = Annotated[int, whole_number(20, 400, "beats a minute")]
Steps = Annotated[int, whole_number(1, 12)]
Times = Annotated[int, whole_number(1, 64)]
Level = Annotated[int, whole_number(1, 8)]
Fret = Annotated[int, whole_number(0, 36)]
StringNumber = Annotated[int, whole_number(1, 12)]
