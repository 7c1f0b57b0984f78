"""YAML text into plain data, with the place of every key.

Stage:    1 read
In, Out:  the bytes of a file; a `Document`: mappings, lists, text, numbers, true/false, null, and where each stands
Source:   YAML 1.2.2 (2021), section 10.2 for what a plain scalar means, narrowed: only `true`/`false` are booleans, and
          only decimal digits make a number, so that `6:8`, `no`, `on`, `1_000` and dates stay the text a user typed
Not here: which keys there may be (`models`), opening files (`load`)
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any, Final

import yaml

from builder.errors import Location, Problem
from builder.spec.plan import KeyPath, Places

MAX_BYTES: Final = 1_000_000  # our own choice: a spec is a page of text; what is larger was not meant for us
MAX_DEPTH: Final = 20  # our own choice: the deepest key of a spec lies six levels down
MAX_DIGITS: Final = 15  # our own choice: every value of a spec is far smaller, and 15 digits survive as a float
MAX_COMPLAINTS: Final = 5  # of one kind in one file: the sixth tab teaches nothing new

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_INTEGER = re.compile(r"[-+]?[0-9]+")
_DECIMAL = re.compile(r"[-+]?([0-9]+\.[0-9]*|\.[0-9]+)")
_WORDS: dict[str, bool | None] = {"true": True, "false": False, "null": None, "~": None, "": None}
_LINE_BREAK = re.compile(r"\r\n|\n|\r")

# What the YAML library says, and what a user should look at.
_SYNTAX_HINTS = (
    ("mapping values are not allowed", "put text with ': ' in it in quotes, or begin all keys in one column"),
    ("could not find expected ':'", "write 'key: value', with a space after the colon"),
    ("cannot start any token", "put text that begins with a special character such as @, ` or % in quotes"),
    ("expected ',' or ']'", "close the list with ']' and put commas between its items"),
    ("expected ',' or '}'", "close the mapping with '}' and put commas between its keys"),
    ("unexpected end of stream", "close the quotes"),
    ("expected <block end>", "begin all keys of a mapping, or all '-' of a list, in one column"),
    ("expected '-' indicator", "begin all '-' of a list in one column"),
    ("expected key", "begin all keys of a mapping in one column"),
    ("expected alphabetic or numeric", "put text that begins with * or & in quotes"),
    ("unknown escape", "double a backslash in double quotes, or use single quotes"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Complaint:
    """A problem and the path it stands at, so that no later stage complains about the same value again.

    *whole*: what stands below is wrong as a whole and not worth a word of its own.
    """

    path: KeyPath
    problem: Problem
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Document:
    """One file as read. *written* is every scalar as typed; *readable* is False when *data* is not worth checking."""

    data: dict[str, Any]
    places: Places
    written: dict[KeyPath, str]
    complaints: tuple[Complaint, ...]
    readable: bool


@dataclass(slots=True)
class _Frame:
    """A mapping or list still open; *key* is the key whose value comes next."""

    path: KeyPath
    holds: dict[str, Any] | list[Any]
    key: str | None = None


class _Stop(Exception):
    """Nothing after this can be trusted."""


@dataclass(slots=True)
class _Builder:
    """Builds plain data from parser events, without recursion, so that no input can exhaust the stack."""

    file: str
    data: Any = None
    documents: int = 0
    frames: list[_Frame] = field(default_factory=list)
    locations: dict[KeyPath, Location] = field(default_factory=dict)
    written: dict[KeyPath, str] = field(default_factory=dict)
    complaints: list[Complaint] = field(default_factory=list)

    def complain(self, path: KeyPath, where: Location, found: str, expected: str, hint: str = "") -> None:
        key = Places(self.file, {}).problem(path, "", "").key
        self.complaints.append(Complaint(path, Problem(where, key, found, expected, hint)))

    def take(self, event: yaml.Event) -> None:
        """Handle one event."""
        where = _location(self.file, event)
        match event:
            case yaml.DocumentStartEvent():
                self._start_document(where)
            case yaml.MappingEndEvent() | yaml.SequenceEndEvent():
                self.frames.pop()
            case yaml.NodeEvent():
                if self.frames and isinstance(self.frames[-1].holds, dict) and self.frames[-1].key is None:
                    self._take_key(self.frames[-1], event, where)
                else:
                    self._take_value(event, where)
            case _:
                pass

    def _start_document(self, where: Location) -> None:
        self.documents += 1
        if self.documents > 1:
            self.complain((), where, "a second document", "one document a file", "take out the line '---'")
            raise _Stop

    def _take_key(self, frame: _Frame, event: yaml.NodeEvent, where: Location) -> None:
        if not isinstance(event, yaml.ScalarEvent):
            found = "an alias as a key" if isinstance(event, yaml.AliasEvent) else "a list or mapping as a key"
            self.complain(frame.path, where, found, "a word as a key")
            raise _Stop
        key, path = event.value[:80], (*frame.path, event.value[:80])
        if key == "<<" and not event.style:
            self.complain(path, where, "a merge key", "every key written out", "copy the keys to here")
        elif not isinstance(_plain_value(event), str) and not re.fullmatch(r"[1-9][0-9]?", event.value):
            self.complain(path, where, f"the key {event.value[:80] or '(nothing)'}", "a word as a key")
        elif key in frame.holds:
            first = self.locations[path].line
            self.complain(path, where, "the same key twice", "every key once", f"it stands in line {first} already")
        elif _unprintable(key):
            self.complain(frame.path, where, "a key with an invisible character", "a word as a key")
        self._refuse_extras(path, event, where)
        self.locations[path], frame.key = where, key

    def _take_value(self, event: yaml.NodeEvent, where: Location) -> None:
        path = self._value_path(where)
        self._refuse_extras(path, event, where)
        match event:
            case yaml.ScalarEvent():
                self._store(self._scalar(path, event, where))
            case yaml.MappingStartEvent() | yaml.SequenceStartEvent():
                holds: dict[str, Any] | list[Any] = {} if isinstance(event, yaml.MappingStartEvent) else []
                if len(self.frames) >= MAX_DEPTH:
                    self.complain((), where, "brackets or lists nested too deeply", f"at most {MAX_DEPTH} levels")
                    raise _Stop
                self._store(holds)
                self.frames.append(_Frame(path, holds))
            case _:
                self._store(None)

    def _value_path(self, where: Location) -> KeyPath:
        if not self.frames:
            self.locations[()] = where
            return ()
        frame = self.frames[-1]
        if isinstance(frame.holds, dict):
            return (*frame.path, frame.key or "")
        path = (*frame.path, len(frame.holds))
        self.locations[path] = where
        return path

    def _store(self, value: Any) -> None:
        if not self.frames:
            self.data = value
            return
        frame = self.frames[-1]
        if isinstance(frame.holds, dict):
            frame.holds[frame.key or ""], frame.key = value, None
        else:
            frame.holds.append(value)

    def _scalar(self, path: KeyPath, event: yaml.ScalarEvent, where: Location) -> Any:
        self.written[path] = event.value
        if not event.style and len(event.value) > MAX_DIGITS and re.fullmatch(r"[-+.0-9]+", event.value):
            self.complain(path, where, f"a number of {len(event.value)} digits", f"at most {MAX_DIGITS} digits")
            return None
        if bad := _unprintable(event.value):
            self.complain(path, where, bad, "text without invisible characters", "leave it out")
            return ""
        return _plain_value(event)

    def _refuse_extras(self, path: KeyPath, event: yaml.NodeEvent, where: Location) -> None:
        if isinstance(event, yaml.AliasEvent):
            self.complain(
                path,
                where,
                f"the alias *{event.anchor}",
                "every value written out",
                "copy the value to here; text that begins with * needs quotes",
            )
        elif event.anchor is not None:
            self.complain(path, where, f"the anchor &{event.anchor}", "a value without a name", "take the anchor out")
        tag = getattr(event, "tag", None)
        if tag is not None:
            self.complain(path, where, f"the tag {tag[:40]}", "a plain value", "take the tag out, or use quotes")


def read_yaml(raw: bytes, file: str) -> Document:
    """Read *raw*, which came from *file*; never raises: what is wrong is in the document's complaints."""
    builder = _Builder(file)
    text = _decoded(raw, builder)
    if text is not None and _check_characters(text, builder):
        _parse(text, builder)
    complete = text is not None and not builder.frames and isinstance(builder.data, dict)
    return Document(
        data=builder.data if complete else {},
        places=Places(file, builder.locations),
        written=builder.written,
        complaints=tuple(builder.complaints),
        readable=complete,
    )


def _decoded(raw: bytes, builder: _Builder) -> str | None:
    start = Location(builder.file, 1, 1)
    if len(raw) > MAX_BYTES:
        builder.complain((), start, f"a file of {len(raw)} bytes", f"at most {MAX_BYTES} bytes")
        return None
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        builder.complain((), start, "text in UTF-16", "text in UTF-8", "save the file again as UTF-8")
        return None
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start].decode("utf-8-sig", "replace")
        where = _place_in(before, builder.file, len(before))
        found = f"the byte 0x{raw[error.start]:02X}, which is not UTF-8"
        builder.complain((), where, found, "text in UTF-8", "save the file again as UTF-8")
        return None


def _check_characters(text: str, builder: _Builder) -> bool:
    """Complain about tabs and invisible characters; say whether the text may go to the parser."""
    tabs = [m.start() for m in re.finditer(r"(?m)^[^\t\r\n]*(\t)", text)][:MAX_COMPLAINTS]
    for start in tabs:
        where = _place_in(text, builder.file, text.index("\t", start))
        builder.complain((), where, "a tab", "spaces", "set your editor to indent with spaces")
    hidden = [m.start() for m in _matches(_is_hidden, text)]
    for start in hidden[:MAX_COMPLAINTS]:
        where = _place_in(text, builder.file, start)
        builder.complain((), where, _unprintable(text[start]), "text without invisible characters", "leave it out")
    return not tabs and not hidden


def _parse(text: str, builder: _Builder) -> None:
    try:
        for event in yaml.parse(text, Loader=_LOADER):
            builder.take(event)
    except _Stop:
        return
    except yaml.MarkedYAMLError as error:
        _complain_of_syntax(error, builder)
        return
    except (yaml.YAMLError, ValueError, OverflowError) as error:
        builder.complain((), Location(builder.file, 1, 1), "text that is not YAML", "YAML", str(error)[:80])
        return
    top = builder.locations.get((), Location(builder.file, 1, 1))
    if builder.data is None and not builder.complaints:
        builder.complain((), Location(builder.file), "an empty file", "keys and values, such as 'title: Ferry Steps'")
    elif not isinstance(builder.data, dict) and not builder.complaints:
        found = "a list" if isinstance(builder.data, list) else "a single value"
        builder.complain((), top, found, "keys and values, such as 'title: Ferry Steps'")


def _complain_of_syntax(error: yaml.MarkedYAMLError, builder: _Builder) -> None:
    unclosed = "unexpected end of stream" in (error.problem or "")  # then the end says nothing, the beginning does
    mark = (error.context_mark if unclosed else None) or error.problem_mark or error.context_mark
    where = Location(builder.file, mark.line + 1, mark.column + 1) if mark else Location(builder.file)
    said = error.problem or "unreadable text"
    builder.frames.append(_Frame((), {}))  # an open frame: what was built so far is only half the file
    if "nesting depth" in said:
        builder.complain((), where, "brackets or lists nested too deeply", f"at most {MAX_DEPTH} levels")
        return
    hint = next((hint for words, hint in _SYNTAX_HINTS if words in said), "")
    builder.complain((), where, f"text that is not YAML ({said})", "YAML", hint)


def _plain_value(event: yaml.ScalarEvent) -> Any:
    text: str = event.value
    if event.style:
        return text
    if text in _WORDS:
        return _WORDS[text]
    if len(text) > MAX_DIGITS:
        return text
    if _INTEGER.fullmatch(text):
        return int(text)
    return float(text) if _DECIMAL.fullmatch(text) else text


def _is_hidden(character: str) -> bool:
    """Control, format (bidi overrides, byte-order marks …), surrogate and line-separator characters, but no newline."""
    return character not in "\n\r\t" and unicodedata.category(character) in ("Cc", "Cf", "Cs", "Zl", "Zp")


def _unprintable(text: str) -> str:
    """Name the first invisible character of *text*, or nothing."""
    hidden = next((c for c in text if _is_hidden(c) or c == "\t"), "")
    return f"the invisible character U+{ord(hidden):04X}" if hidden else ""


def _matches(is_wanted: Callable[[str], bool], text: str) -> Iterator[re.Match[str]]:
    """The places of wanted characters outside ASCII text, which a pattern can pass over quickly."""
    return (m for m in re.finditer(r"[^ -~\n\r\t]", text) if is_wanted(m[0]))


def _place_in(text: str, file: str, offset: int) -> Location:
    lines = _LINE_BREAK.split(text[:offset])
    return Location(file, len(lines), len(lines[-1]) + 1)


def _location(file: str, event: yaml.Event) -> Location:
    mark = event.start_mark
    return Location(file, mark.line + 1, mark.column + 1) if mark else Location(file)
