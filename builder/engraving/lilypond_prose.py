"""Pages to read as LilyPond text: every word through the escaping of `lilypond_source`, every block a piece.

Stage:    5 engrave (in)
In, Out:  a `ProseText`, the studies it quotes; a sheet with its title
Units:    millimetres, points
Source:   headings stay with two lines of what follows, no line of a paragraph stands alone on its page: R. Bringhurst,
          The Elements of Typographic Style, 2.4.8; see templates/prose.ily
Not here: reading Markdown (`spec.markdown`), the bars of an example (`pages.excerpt`)
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil

from builder.engraving.escaping import ly_string
from builder.engraving.lilypond_curriculum import Matter, TitledSheet
from builder.engraving.lilypond_notes import Writer
from builder.engraving.lilypond_source import music_tokens, render
from builder.engraving.picture_text import picture_text
from builder.engraving.sheet import Body, Sheet
from builder.pages.excerpt import excerpt
from builder.pages.order import study_key
from builder.pages.page import Paper
from builder.pages.sides import room_mm
from builder.spec import prose
from builder.spec.breaks import Breaks
from builder.theory.score import Study

_SIZE_PT, _LEAD_PT = 11.0, 15.0  # `Paper.text_mm` is made for this size
_STEP_MM = 6.5  # a list inside a list, a quotation
_PARAGRAPH_MM, _ITEM_MM, _TABLE_MM, _AIR_MM = 2.2, 1.2, 3.5, 4.0
_HEADINGS = {2: (7.0, 14.0, 12.0, 2.2), 3: (4.4, 11.5, 10.0, 1.4)}  # air over it, size, least size, air under it
_CELL_PT, _CELL_LEAD_PT, _CELL_LETTER_MM, _CELL_GAP_MM = 10.0, 13.0, 1.95, 4.0
_LETTER_MM = 2.6  # of the widest letters at 11 points: a word of more letters than fit is cut
_LARGE_LETTERS = 1.55  # letters of large print to those of other pages, measured: 16.1 to 10 and to 11 points
_SYSTEM_AIR_MM = 2.0
# For guessing how many sides a text takes: 68 letters on 136 mm, lines of 15 points; our own choice for other blocks,
# about what they take in the demonstration book.
_LIKELY_LETTER_MM, _LIKELY_LINE_MM = 2.0, 5.3
_LIKELY_MM: Mapping[type, float] = {prose.Heading: 14.0, prose.Picture: 70.0, prose.Example: 45.0, prose.Break: 8.0}
_HIGHEST_SHARE = 0.45  # of the page, for a picture


@dataclass(frozen=True, slots=True)
class _Column:
    """Where text stands: its indent from the left margin, its width; *letters*: how large they are to the usual."""

    indent_mm: float
    width_mm: float
    letters: float

    def deeper(self, step_mm: float) -> _Column:
        """A column further to the right."""
        return _Column(round(self.indent_mm + step_mm, 1), round(self.width_mm - step_mm, 1), self.letters)


def prose_sheet(matter: Matter, key: str, text: prose.ProseText, quoted: Mapping[str, Study]) -> TitledSheet:
    """The sheet of *text* under its *key*; *quoted* are the studies of its examples by id."""
    letters = _LARGE_LETTERS if matter.paper.large else 1.0
    writer = _Setter(matter, quoted, _Column(matter.paper.indent_mm, matter.paper.text_mm, letters))
    pieces = tuple(writer.pieces(text.blocks))
    breaks = Breaks(matter.book.language, matter.book.hints)
    body = render("book/prose_text.ly", title=text.title, breaks=breaks, pieces=pieces, line_mm=matter.paper.line_mm)
    likely = likely_sides(text.blocks, matter.paper)
    return TitledSheet(Sheet(key, text.where, (Body(body, None, likely=likely),)), text.title)


def likely_sides(blocks: Sequence[prose.Block], paper: Paper) -> int:
    """How many sides *blocks* are likely to take; a wrong guess only costs engraving the numbers once more."""
    return max(1, ceil(sum(_likely_mm(block, paper.text_mm) for block in blocks) / room_mm(paper)))


def _likely_mm(block: prose.Block, width_mm: float) -> float:
    if isinstance(block, prose.Paragraph):
        lines = sum(ceil(len(prose.plain(run)) * _LIKELY_LETTER_MM / width_mm) for run in block.lines)
        return lines * _LIKELY_LINE_MM + _PARAGRAPH_MM
    if isinstance(block, prose.ItemList):
        return sum(_likely_mm(each, width_mm) for item in block.items for each in item)
    if isinstance(block, prose.Quotation):
        return sum(_likely_mm(each, width_mm) for each in block.blocks)
    return (len(block.rows) + 1) * _LIKELY_LINE_MM if isinstance(block, prose.Table) else _LIKELY_MM[type(block)]


@dataclass(frozen=True, slots=True)
class _Setter:
    """Writes blocks as pieces of LilyPond text."""

    matter: Matter
    quoted: Mapping[str, Study]
    column: _Column

    def pieces(self, blocks: Sequence[prose.Block]) -> Iterator[str]:
        """Every block in order; headings wait for the block they stand over."""
        above: list[prose.Heading] = []
        for block in blocks:
            if isinstance(block, prose.Heading):
                above.append(block)
                continue
            yield from self.piece(block, self.headings(above))
            above = []
        if above:
            yield rf"\markup {self.headings(above)}"

    def headings(self, headings: Sequence[prose.Heading]) -> str:
        """Headings on top of each other, as one markup."""
        if not headings:
            return r"\null"
        parts = []
        for number, heading in enumerate(headings):
            over, size, least, below = _HEADINGS[heading.level]
            if heading.level == 2:
                indent, line = 0.0, self.matter.paper.line_mm
            else:
                indent, line = self.column.indent_mm, self.column.width_mm
            words = rf"\headed \heading #{line} #{size} #{least} {ly_string(prose.plain(heading.run))}"
            words = rf"\concat {{ \mm-gap #{indent} {words} }}"
            parts.append(rf"\mm-space #{over if not number else 0.5} {words} \mm-space #{below}")
        return r"\stack { " + " ".join(parts) + " }"

    def piece(self, block: prose.Block, above: str) -> Iterator[str]:
        """The pieces of one block under *above*."""
        before = 0.0 if above != r"\null" else _PARAGRAPH_MM
        if isinstance(block, prose.Paragraph):
            yield _lines(block, self.column, before, above)
        elif isinstance(block, prose.ItemList):
            yield from self.items(block, self.column, before, above)
        elif isinstance(block, prose.Quotation):
            yield from self.flow(block.blocks, self.column.deeper(_STEP_MM), before, above, "")
        elif isinstance(block, prose.Table):
            yield from self.table(block, above)
        elif isinstance(block, prose.Picture):
            yield self.picture(block, above)
        elif isinstance(block, prose.Example):
            yield self.example(block, above)
        elif isinstance(block, prose.Break):
            rule = rf"\concat {{ \mm-gap #{self.column.indent_mm} \mm-rule #30 #0.2 }}"
            yield rf"\markup \stack {{ {above} \mm-space #{_AIR_MM} {rule} \mm-space #{_AIR_MM} }}"

    # --- text ---------------------------------------------------------------------------------------------------------

    def items(self, block: prose.ItemList, column: _Column, before: float, above: str) -> Iterator[str]:
        """A list: a dot or a number before the first line of each item."""
        for number, item in enumerate(block.items):
            mark = "•" if block.first is None else f"{block.first + number}."
            gap = before if not number else _ITEM_MM
            yield from self.flow(item, column.deeper(_STEP_MM), gap, above if not number else r"\null", mark)

    def flow(
        self, blocks: Sequence[prose.Block], column: _Column, before: float, above: str, mark: str
    ) -> Iterator[str]:
        """Paragraphs and lists of an item or a quotation."""
        if not blocks or not isinstance(blocks[0], prose.Paragraph):
            blocks = (prose.Paragraph(((prose.Span(" "),),)), *blocks) if mark else blocks
        for number, block in enumerate(blocks):
            gap, over, sign = (before, above, mark) if not number else (_ITEM_MM, r"\null", "")
            if isinstance(block, prose.Paragraph):
                yield _lines(block, column, gap, over, sign)
            elif isinstance(block, prose.ItemList):
                yield from self.items(block, column, gap, over)
            elif isinstance(block, prose.Quotation):
                yield from self.flow(block.blocks, column.deeper(_STEP_MM), gap, over, "")

    # --- tables -------------------------------------------------------------------------------------------------------

    def table(self, block: prose.Table, above: str) -> Iterator[str]:
        """The rows of a table; its head stays with the first of them."""
        places = self.columns(block)

        def row(cells: Sequence[prose.Run], thick: float, bold: bool) -> str:
            texts = (
                f"(list {x} {width} '{align} {_words(_bold(cell) if bold else cell, width / self.column.letters)})"
                for (x, width), align, cell in zip(places, block.aligns, cells, strict=True)
            )
            return rf"\prose-row #{_CELL_PT} #{_CELL_LEAD_PT} #{thick} #(list {' '.join(texts)})"

        first, *rest = [row(cells, 0.12, False) for cells in block.rows] or [r"\null"]
        yield rf"\markup \stack {{ {above} \mm-space #{_TABLE_MM} {row(block.head, 0.3, True)} {first} }}"
        yield from (rf"\markup {one}" for one in rest)
        yield rf"\markup \mm-space #{_TABLE_MM}"

    def columns(self, block: prose.Table) -> tuple[tuple[float, float], ...]:
        """Where each column begins and how wide it is: by its longest text, shared out where that is too much."""
        count = len(block.head)
        texts = [[prose.plain(row[k]) for row in (block.head, *block.rows)] for k in range(count)]
        longest = [max(map(len, column)) for column in texts]
        words = [max(len(word) for text in column for word in (text or "x").split() or "x") for column in texts]
        room, letter_mm = self.column.width_mm - _CELL_GAP_MM * (count - 1), _CELL_LETTER_MM * self.column.letters
        wanted = [max(8.0, letters * letter_mm) for letters in longest]
        if sum(wanted) > room:
            wholes = [letters * letter_mm for letters in words]
            floors = [min(want, whole, room / count) for want, whole in zip(wanted, wholes, strict=True)]
            spare, asked = room - sum(floors), sum(wanted) - sum(floors)
            wanted = [floor + (want - floor) * spare / asked for floor, want in zip(floors, wanted, strict=True)]
        places, x = [], self.column.indent_mm
        for width in wanted:
            places.append((round(x, 2), round(width, 2)))
            x += width + _CELL_GAP_MM
        return tuple(places)

    # --- pictures and music -------------------------------------------------------------------------------------------

    def picture(self, block: prose.Picture, above: str) -> str:
        """A picture as wide as the text unless that makes it too high, its caption below."""
        most_mm = self.matter.paper.height_mm * _HIGHEST_SHARE
        width = min(self.column.width_mm, most_mm * block.wide_px / block.high_px)
        height = width * block.high_px / block.wide_px
        drawn = picture_text(block, round(width, 1))
        shown = rf"\picture-data #{width:.2f} #{height:.2f} {ly_string(drawn)}"
        caption = ""
        if block.caption:
            words = rf"\italic \para #{self.column.width_mm} #9.5 #12.5 {ly_string(block.caption)}"
            caption = rf"\mm-space #1.8 \concat {{ \mm-gap #{self.column.indent_mm} {words} }}"
        return (
            rf"\markup \stack {{ {above} \mm-space #{_AIR_MM} "
            rf"\concat {{ \mm-gap #{self.column.indent_mm} {shown} }} {caption} \mm-space #{_AIR_MM} }}"
        )

    def example(self, block: prose.Example, above: str) -> str:
        """Bars of a study under their source; that leads to the study where this book holds it."""
        study, matter, column = self.quoted[block.study], self.matter, self.column
        made = excerpt(study, block.first, block.last, column.width_mm, matter.book, matter.phrases, matter.cues)
        key = "example.bar" if block.first == block.last else "example.bars"
        label = matter.labels.get(study_key(study.id), "")
        source = matter.phrases(key, title=study.title, first=block.first, last=block.last, study=study.id)
        words = rf"\abs-fontsize #9 \sans \cut-to #{column.width_mm - 14} #0.85 {ly_string(source)}"
        if label:
            page = rf"\abs-fontsize #9 \sans \bold {ly_string(label)}"
            words = rf"\with-url #{ly_string('mark:' + study.id)} \concat {{ {words} \mm-gap #3 {page} }}"
        caption = rf"\concat {{ \mm-gap #{column.indent_mm} {words} }}"
        layout = rf"indent = {column.indent_mm}\mm short-indent = {column.indent_mm}\mm"
        score = render(
            "parts/score.ly",
            page=made,
            layout=layout + (r" ragged-right = ##t" if made.short else ""),
            music=music_tokens(made.music, made.rung, made.shortest, Writer(made.music, ly_string, {})),
        ).strip()
        head = rf"\stack {{ {above} \mm-space #{_AIR_MM} {caption} }}"
        # The brackets around it are looked for in the bare text, in strings as well: none may stand inside.
        bare = score.replace("#{", "# {").replace("#}", "# }")
        return rf"\markuplist \prose-score #{_SYSTEM_AIR_MM} {head} ##{{ {bare} #}}"


# --- words ------------------------------------------------------------------------------------------------------------


def _lines(block: prose.Paragraph, column: _Column, before: float, above: str, mark: str = "") -> str:
    """A paragraph that may break between lines."""
    texts = " ".join(_words(run, column.width_mm / column.letters) for run in block.lines)
    sign = ly_string(mark) if mark else r"\null"
    return (
        rf"\markuplist \prose-lines #{column.indent_mm} #{column.width_mm} #{_SIZE_PT} #{_LEAD_PT} #{before} "
        rf"{sign} {above} #(list {texts})"
    )


def _words(run: prose.Run, width_mm: float) -> str:
    """The words of *run* as a Scheme list; what touches without a blank is one word, however it is set."""
    words: list[list[prose.Span]] = [[]]
    for span in run:
        first, *rest = span.text.split(" ")
        for number, part in enumerate((first, *rest)):
            if number:
                words.append([])
            if part:
                words[-1].append(replace(span, text=part))
    most = max(4, int(width_mm / _LETTER_MM))
    cut = [piece for word in words if word for piece in _cut(word, most)]
    return "(list " + " ".join(map(_word, cut)) + ")"


def _cut(word: list[prose.Span], most: int) -> list[list[prose.Span]]:
    """A word that no line could hold in pieces, behind a slash where there is one: an address, mostly."""
    if sum(len(span.text) for span in word) <= most:
        return [word]
    pieces: list[list[prose.Span]] = [[]]
    room = most
    for span in word:
        text = span.text
        while text:
            if not room:
                pieces.append([])
                room = most
            end = len(text) if len(text) <= room else text.rfind("/", 0, room) + 1 or room
            pieces[-1].append(replace(span, text=text[:end]))
            text, room = text[end:], 0 if text[end:] else room - end
    return pieces


def _word(spans: Sequence[prose.Span]) -> str:
    """One word in Scheme."""
    parts = [_span(span) for span in spans]
    return parts[0] if len(parts) == 1 else f"(make-concat-markup (list {' '.join(parts)}))"


def _span(span: prose.Span) -> str:
    text = ly_string(span.text)
    for wanted, name in ((span.bold, "bold"), (span.italic, "italic"), (span.code, "sans")):
        text = f"(make-{name}-markup {text})" if wanted else text
    return f"(make-with-url-markup {ly_string(span.address)} {text})" if span.address else text


def _bold(run: prose.Run) -> prose.Run:
    return tuple(replace(span, bold=True) for span in run)
