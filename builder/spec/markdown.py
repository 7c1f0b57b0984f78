"""Markdown files into pages to read; what they may not hold is a problem with its line.

Stage:    1 read
In, Out:  the bytes of a file in the book's folder; a `ProseText` and every `Problem`
Source:   CommonMark 0.31 with tables, parsed by markdown-it-py
Not here: whether a study that is quoted exists (`quoting`), how pages look

HTML is recognised only to be refused: printed as it stands it would look like a mistake, and it is never run.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path, PurePosixPath

from markdown_it import MarkdownIt
from markdown_it.token import Token

from builder.errors import Location, Problem
from builder.fields import ID_PATTERN, Unreadable, near_miss, printable
from builder.spec import prose
from builder.spec.picture import read_picture
from builder.spec.yaml_reader import read_yaml

# Our own choice, to catch a file that is no page to read: thirty printed pages, what a line of a table can hold, what a
# reader can follow.
_MOST_BYTES, _MOST_COLUMNS, _MOST_ROWS, _DEEPEST, _MOST_BARS = 200_000, 6, 100, 4, 16
_ADDRESS = re.compile(r"https?://[A-Za-z0-9.-]+(:[0-9]{1,5})?(/[!-~]*)?", re.ASCII)
_LONGEST_ADDRESS = 200
_BARS = re.compile(r"([1-9][0-9]{0,3})(?:\s*-\s*([1-9][0-9]{0,3}))?")
_MUSIC = "```music"
_MARKDOWN = "headings, paragraphs, lists, tables, quotations, pictures, emphasis, links, ```music"


def read_prose(raw: bytes, path: Path, folder: Path) -> tuple[prose.ProseText | None, tuple[Problem, ...]]:
    """Read a page; *path* is its file, *folder* the book's."""
    reader = _Reader(str(path), path, folder)
    text = reader.decoded(raw)
    if text is None:
        return None, tuple(reader.problems)
    markdown = MarkdownIt("commonmark", {"html": True}).enable("table")
    markdown.validateLink = lambda url: True  # type: ignore[method-assign]  # refused with a reason, not left as text
    tokens = markdown.parse(text)
    title, rest = reader.title(tokens)
    blocks = reader.blocks(_Tokens(rest), 0)
    if reader.problems:
        return None, tuple(sorted(dict.fromkeys(reader.problems), key=lambda problem: problem.where))
    return prose.ProseText(path.stem, title, blocks, Location(str(path))), ()


@dataclass(slots=True)
class _Tokens:
    """Tokens of one level, read from the left."""

    rest: Sequence[Token]
    at: int = 0

    def take(self) -> Token | None:
        """The next token; None at the end."""
        if self.at >= len(self.rest):
            return None
        self.at += 1
        return self.rest[self.at - 1]

    def inside(self, opened: Token) -> _Tokens:
        """The tokens up to the one that closes *opened*, which was taken last."""
        began, depth = self.at, 1
        while depth:
            depth += self.rest[self.at].nesting
            self.at += 1
        return _Tokens(self.rest[began : self.at - 1])


@dataclass(slots=True)
class _Reader:
    """Turns tokens into blocks and collects what is wrong."""

    file: str
    path: Path
    folder: Path
    problems: list[Problem] = field(default_factory=list)

    def refuse(self, line: int, found: str, expected: str, hint: str = "", key: str = "") -> None:
        """Note a problem in a *line* counted from 1."""
        self.problems.append(Problem(Location(self.file, line, 1), key, found, expected, hint))

    def decoded(self, raw: bytes) -> str | None:
        """The text of the file; None where it has none."""
        if len(raw) > _MOST_BYTES:
            self.refuse(1, f"a file of {len(raw)} bytes", f"at most {_MOST_BYTES} bytes")
            return None
        try:
            text = raw.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            line = raw[: error.start].count(b"\n") + 1
            self.refuse(line, f"the byte 0x{raw[error.start]:02X}", "text in UTF-8", "save the file as UTF-8")
            return None
        if "\0" in text:
            self.refuse(text[: text.index("\0")].count("\n") + 1, "a zero byte", "text in UTF-8")
            return None
        return text

    def title(self, tokens: Sequence[Token]) -> tuple[str, Sequence[Token]]:
        """The heading `#` at the beginning, and the tokens behind it."""
        if not tokens or tokens[0].type != "heading_open" or tokens[0].tag != "h1":
            line = _line(tokens[0]) if tokens else 1
            self.refuse(line, "no title", "a heading at the beginning", "for example # Foreword")
            return "", tokens
        words = prose.plain(self.run(tokens[1]))
        if len(words) > 100:
            self.refuse(_line(tokens[0]), f"a title of {len(words)} characters", "at most 100 characters")
        return words, tokens[3:]

    # --- blocks -------------------------------------------------------------------------------------------------------

    def blocks(self, tokens: _Tokens, depth: int) -> tuple[prose.Block, ...]:
        """Every block of *tokens*, *depth* lists or quotations deep."""
        found: list[prose.Block] = []
        while (token := tokens.take()) is not None:
            inner = tokens.inside(token) if token.nesting == 1 else _Tokens(())
            block = self.block(token, inner, depth)
            if block is not None:
                found.append(block)
        return tuple(found)

    def block(self, token: Token, inner: _Tokens, depth: int) -> prose.Block | None:
        """One block; None where it is refused."""
        kind = token.type
        if depth and kind in ("heading_open", "table_open", "fence", "hr"):
            self.refuse(_line(token), f"{_NAMES[kind]} inside a list or a quotation", "paragraphs and lists there")
        elif kind == "heading_open":
            return self.heading(token, inner)
        elif kind == "paragraph_open":
            return self.paragraph(inner.rest[0], depth)
        elif kind in ("bullet_list_open", "ordered_list_open"):
            return self.item_list(token, inner, depth)
        elif kind == "blockquote_open" and self.deep_enough(token, depth):
            return prose.Quotation(self.blocks(inner, depth + 1))
        elif kind == "table_open":
            return self.table(token, inner)
        elif kind == "fence":
            return self.example(token)
        elif kind == "hr":
            return prose.Break()
        elif kind == "code_block":
            self.refuse(_line(token), "text indented by four spaces", "a paragraph", "take the spaces out")
        elif kind == "html_block":
            self.refuse(_line(token), "HTML", _MARKDOWN, "write it in Markdown, or leave it out")
        return None

    def heading(self, token: Token, inner: _Tokens) -> prose.Block | None:
        level = int(token.tag[1:])
        if level not in (2, 3):
            found = "a second heading '#'" if level == 1 else f"a heading of level {level}"
            self.refuse(_line(token), found, "headings ## and ### below one title")
            return None
        return prose.Heading(level, self.run(inner.rest[0]))

    def paragraph(self, inline: Token, depth: int) -> prose.Block | None:
        """A paragraph; a picture where it stands in one of its own."""
        children = inline.children or []
        if len(children) == 1 and children[0].type == "image":
            if depth:
                self.refuse(_line(inline), "a picture inside a list or a quotation", "a paragraph of its own for it")
                return None
            return self.picture(children[0], _line(inline))
        lines: list[list[Token]] = [[]]
        for child in children:
            if child.type == "hardbreak":
                lines.append([])
            else:
                lines[-1].append(child)
        runs, line, state = [], _line(inline), _State()
        for part in lines:
            runs.append(self.spans(part, line, state))
            line += 1 + sum(child.type == "softbreak" for child in part)
        return prose.Paragraph(tuple(run for run in runs if run)) if any(runs) else None

    def deep_enough(self, token: Token, depth: int) -> bool:
        """Whether one more level is allowed."""
        if depth >= _DEEPEST:
            self.refuse(_line(token), f"more than {_DEEPEST} lists inside each other", "fewer levels")
        return depth < _DEEPEST

    def item_list(self, token: Token, inner: _Tokens, depth: int) -> prose.Block | None:
        if not self.deep_enough(token, depth):
            return None
        items = []
        while (item := inner.take()) is not None:
            items.append(self.blocks(inner.inside(item), depth + 1))
        first = int(token.attrGet("start") or 1) if token.type == "ordered_list_open" else None
        if first is not None and first + len(items) > 1000:
            self.refuse(_line(token), f"a list that begins with {first}", "numbers below 1000")
        return prose.ItemList(first, tuple(items))

    def table(self, token: Token, inner: _Tokens) -> prose.Block | None:
        """A table from its cells: every row stands between `tr_open` and `tr_close`."""
        rows: list[list[prose.Run]] = []
        aligns: list[prose.Align] = []
        for place, cell in enumerate(inner.rest):
            if cell.type == "tr_open":
                rows.append([])
            elif cell.type in ("th_open", "td_open"):
                rows[-1].append(self.run(inner.rest[place + 1]))
                if cell.type == "th_open":
                    aligns.append(_align(str(cell.attrGet("style") or "")))
        if len(aligns) > _MOST_COLUMNS or len(rows) > _MOST_ROWS:
            found = f"a table of {len(aligns)} columns and {len(rows)} rows"
            self.refuse(_line(token), found, f"at most {_MOST_COLUMNS} columns and {_MOST_ROWS} rows")
            return None
        return prose.Table(tuple(rows[0]), tuple(map(tuple, rows[1:])), tuple(aligns))

    def picture(self, token: Token, line: int) -> prose.Picture | None:
        """A picture that lies beside the file."""
        source = str(token.attrGet("src") or "")
        caption = self.text(token.content, line)
        try:
            return replace(read_picture(source, self.path.parent, self.folder), caption=caption)
        except Unreadable as error:
            self.refuse(line, error.found or f"the picture '{source[:80]}'", error.expected, error.hint)
            return None

    def example(self, token: Token) -> prose.Example | None:
        """A fenced block that quotes music."""
        line = _line(token)
        if token.info.strip() != "music":
            found = f"a block of {token.info.strip()[:40] or 'code'}"
            self.refuse(line, found, f"{_MUSIC}, the only block with a fence", "write it as a paragraph")
            return None
        document = read_yaml(token.content.encode("utf-8"), self.file)
        for complaint in document.complaints:
            where = complaint.problem.where
            self.problems.append(replace(complaint.problem, where=Location(self.file, where.line + line, where.column)))
        if document.complaints or not document.readable:
            return None
        return self.quoted(document.data, line)

    def quoted(self, data: dict[str, object], line: int) -> prose.Example | None:
        """The study and the bars that a block names."""
        known = ("study", "bars")
        for key in data:
            if key not in known:
                self.refuse(line, f"an unknown key '{key[:40]}'", "the keys study and bars", near_miss(key, known))
        study, bars = data.get("study"), str(data.get("bars", ""))
        if not isinstance(study, str) or not re.fullmatch(ID_PATTERN, study):
            self.refuse(line, "no study" if study is None else f"'{str(study)[:80]}'", "the id of a study", key="study")
            return None
        match = _BARS.fullmatch(bars)
        if match is None:
            self.refuse(line, f"'{bars[:40]}'" if bars else "no bars", "bars such as 1-2", key="bars")
            return None
        first, last = int(match[1]), int(match[2] or match[1])
        if not first <= last < first + _MOST_BARS:
            self.refuse(line, bars, f"bars from a lower to a higher number, at most {_MOST_BARS} of them", key="bars")
            return None
        return prose.Example(study, first, last, Location(self.file, line, 1))

    # --- text ---------------------------------------------------------------------------------------------------------

    def run(self, inline: Token) -> prose.Run:
        """Text on one line."""
        children = [child for child in inline.children or [] if child.type != "hardbreak"]
        return self.spans(children, _line(inline), _State())

    def spans(self, children: Sequence[Token], line: int, state: _State) -> prose.Run:
        """The text of *children*; *state* goes on from line to line."""
        found: list[prose.Span] = []
        for child in children:
            if child.type == "softbreak":
                line += 1
                found.append(state.span(" "))
            elif child.type in ("text", "code_inline", "text_special"):
                text = self.text(child.content, line)
                found.append(replace(state.span(text), code=child.type == "code_inline"))
            elif child.type == "image":
                self.refuse(line, "a picture inside a line", "a paragraph of its own for it")
            elif child.type == "html_inline":
                self.refuse(line, f"HTML, '{child.content[:40]}'", _MARKDOWN, "write it in Markdown, or leave it out")
            else:
                found += self.marked(child, line, state)
        return tuple(span for span in found if span.text)

    def marked(self, child: Token, line: int, state: _State) -> Iterator[prose.Span]:
        """Begin or end emphasis or a link; behind a link whose words are others, its address in brackets."""
        state.bold += child.nesting if child.type.startswith("strong") else 0
        state.italic += child.nesting if child.type.startswith("em") else 0
        if child.type == "link_open":
            state.address, state.said = self.address(str(child.attrGet("href") or ""), line), ""
        elif child.type == "link_close":
            address, state.address = state.address, ""
            shown = re.sub(r"^https?://|/$", "", address)
            if address and shown not in state.said:
                yield prose.Span(f" ({shown})", address=address)

    def address(self, href: str, line: int) -> str:
        """A place on the web; empty where it is refused."""
        if len(href) > _LONGEST_ADDRESS or not _ADDRESS.fullmatch(href):
            expected = f"an address with http or https, at most {_LONGEST_ADDRESS} characters"
            self.refuse(line, f"a link to '{href[:60]}'", expected)
            return ""
        return href

    def text(self, text: str, line: int) -> str:
        """Text that the printed fonts hold."""
        try:
            return printable(text.replace("\n", " ").replace("\t", " "))
        except Unreadable as error:
            self.refuse(line, error.found, error.expected, error.hint)
            return ""


@dataclass(slots=True)
class _State:
    """What emphasis and which link are open."""

    bold: int = 0
    italic: int = 0
    address: str = ""
    said: str = ""

    def span(self, text: str) -> prose.Span:
        """*text* as it is marked just now."""
        self.said += text
        return prose.Span(text, self.bold > 0, self.italic > 0, address=self.address)


_NAMES = {"heading_open": "a heading", "table_open": "a table", "fence": "a block with a fence", "hr": "a line"}


def _line(token: Token) -> int:
    return token.map[0] + 1 if token.map else 1


def _align(style: str) -> prose.Align:
    for name in ("right", "center"):
        if name in style:
            return "right" if name == "right" else "center"
    return "left"


def is_markdown(name: str) -> bool:
    """Whether *name* is that of a Markdown file."""
    return PurePosixPath(name).suffix == ".md"
