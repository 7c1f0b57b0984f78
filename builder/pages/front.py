"""The pages before and between the studies: cover, contents, how to practise, signs, cues, level openers.

Stage:    6 assemble (pure)
In, Out:  a book, its studies in order, the page labels by sheet key; values for the book templates
Source:   advice on practice and health: the studies named beside the phrases it is worded in
Not here: the words themselves (shared/phrases), LilyPond text (`engraving.lilypond_source`)
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil

from builder.pages.order import Section, sections, study_key
from builder.pages.page import NeckMap, Paper, paper_of
from builder.pages.phrases import Phrases
from builder.pages.signs import ALWAYS, book_signs, drawn
from builder.pages.study_page import start_line
from builder.spec.plan import BookPlan
from builder.theory.score import Study

Labels = Mapping[str, str]
# Heights on the sides of lists, as style.ily draws them; the rest is kept free, so that no side is ever squeezed.
_PITCHES_MM = (6.0, 5.8, 5.6, 5.4, 5.2, 5.0)  # from line to line; below 5 mm the dots of a leader are hard to follow
_HEADING_MM, _MINOR_HEADING_MM, _NO_HEADING_MM, _MAP_HEADING_MM = 19.5, 12.0, 3.5, 33.0
_SPARE_MM = 18.0
# The share of a line of the contents that `entry` in style.ily gives a title, with a place behind it and without; the
# room for a page number; a letter at 10.5 pt, shrunk by as much as does not show.
_NAME_AND_PLACE, _NAME_ALONE, _LABEL_MM, _ENTRY_LETTER_MM = 0.6, 0.85, 8.0, 1.7
_LONG_TITLE = 50  # letters; more take four lines and more at 32 pt on A5
_TITLE_MM, _OPENER_MM, _NOTES_MM, _NOTE_MM = 24.0, 42.0, 18.0, 7.5
_PLACES_TOGETHER = 3
_MOST_NOTES = 5  # more is not listened for (our own choice)
# The page of signs: text begins behind sign and name; a letter and a line of it at 11 on 15 pt; least and most air.
_SIGN_TEXT_FROM_MM, _SIGN_LETTER_MM, _SIGN_LINE_MM, _SIGN_GAPS_MM, _SIGNS_HEAD_MM = 66.0, 1.95, 5.3, (4.0, 9.5), 62.0


@dataclass(frozen=True, slots=True)
class Cover:
    """The first side; author and edition share a line; *student* is whom the edition is for, empty for none."""

    school: str
    title: str
    subtitle: str
    student: str
    author: str
    edition: str
    licence: str
    author_mm: float
    edition_mm: float

    @property
    def long(self) -> bool:
        """Whether the title needs a smaller size and the air over it."""
        return len(self.title) > _LONG_TITLE


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the contents; *target* is the study id it leads to, empty for none; *place* is set smaller.

    *goes_on*: the title is too long for a line, its end is the next entry.
    """

    text: str
    place: str
    label: str
    target: str
    indented: bool
    goes_on: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """Entries under a heading; *mark* is the large figure beside it, *neck_map* a map below it.

    *minor* headings are smaller: one of several under a map, with their entries in two columns.
    """

    mark: str
    heading: str
    entries: tuple[Entry, ...]
    minor: bool = False
    neck_map: NeckMap | None = None

    @property
    def columns(self) -> int:
        """How many entries share a line."""
        return 2 if self.minor else 1

    @property
    def heading_mm(self) -> float:
        """The height of heading and map, as style.ily draws them."""
        if self.neck_map:
            return _MAP_HEADING_MM + self.neck_map.gap_mm * (len(self.neck_map.strings) - 1)
        if not self.heading:
            return _NO_HEADING_MM
        return _MINOR_HEADING_MM if self.minor else _HEADING_MM


Sides = tuple[tuple[Group, ...], ...]


@dataclass(frozen=True, slots=True)
class Listing:
    """Groups dealt on sides, and the way from line to line."""

    sides: Sides
    pitch_mm: float


@dataclass(frozen=True, slots=True)
class ListPage:
    """Entries, side by side of paper: contents, a level opener."""

    title: str
    lead: str
    listing: Listing
    notes_title: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Prose:
    """A heading and its paragraphs."""

    heading: str
    paragraphs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ProsePage:
    """A page to read."""

    title: str
    lead: str
    sections: tuple[Prose, ...]


@dataclass(frozen=True, slots=True)
class SignsPage:
    """Every sign of the book with its meaning; the kinds are known to style.ily. *gap_mm* is the air between them,
    *sides* how many they are likely to fill."""

    title: str
    lead: str
    signs: tuple[tuple[str, str, str], ...]
    gap_mm: float
    sides: int


def on_sides(groups: Sequence[Group], paper: Paper, first_mm: float) -> Listing:
    """Deal groups of entries on as few sides as tight lines allow, then as loosely and evenly as those sides allow.

    *first_mm* is what the first side has already given away. A heading stays with its first entry, a neck map with
    its first heading, the name of an exercise with its places, of which none is left alone.
    """
    room = paper.height_mm - paper.top_mm - paper.foot_mm - _SPARE_MM
    fewest = len(_dealt(groups, room, first_mm, _PITCHES_MM[-1]))
    pitch = next(pitch for pitch in _PITCHES_MM if len(_dealt(groups, room, first_mm, pitch)) == fewest)
    sides = _dealt(groups, room, first_mm, pitch)
    # Lower the ceiling as far as the number of sides allows: the last side is then about as full as the others.
    lower = room
    while fewest > 1 and lower > room / 2:
        lower -= pitch
        closer = _dealt(groups, lower, first_mm, pitch)
        if len(closer) > fewest:
            break
        sides = closer
    return Listing(sides, pitch)


def _dealt(groups: Sequence[Group], room: float, first_mm: float, pitch: float) -> Sides:
    """Deal groups on sides of *room* millimetres, lines *pitch* apart."""
    sides: list[list[Group]] = [[]]
    left = room - first_mm
    for number, group in enumerate(groups):
        ahead = groups[number + 1].heading_mm + 2 * pitch if group.neck_map and number + 1 < len(groups) else 0.0
        if group.heading_mm + ahead > left and sides[-1]:
            sides.append([])
            left = room
        left -= group.heading_mm
        begun = replace(group, entries=())
        step = group.columns
        for place in range(0, len(group.entries), step):
            if pitch * (_together(group.entries[place:]) if step == 1 else 1) > left:
                sides[-1] += [begun] if begun.entries else []
                sides.append([])
                begun = replace(group, entries=()) if not place else Group("", "", (), group.minor)
                left = room - begun.heading_mm
            begun = replace(begun, entries=(*begun.entries, *group.entries[place : place + step]))
            left -= pitch
        sides[-1].append(begun)
    return tuple(tuple(side) for side in sides if side)


def _together(entries: Sequence[Entry]) -> int:
    """How many lines from here on stay on one side: a name and up to three places; never the last place alone."""
    if entries[0].goes_on:
        return 1 + _together(entries[1:])
    if entries[0].label or not entries[0].text:
        return 2 if len(entries) > 1 and entries[0].indented and not _follows(entries[2:]) else 1
    places = 0
    while places < _PLACES_TOGETHER and _follows(entries[places + 1 :]):
        places += 1
    return 1 + places


def _follows(entries: Sequence[Entry]) -> bool:
    """Whether another place of the same exercise comes next."""
    return bool(entries) and entries[0].indented


def cover(book: BookPlan) -> Cover:
    """The cover of *book*."""
    line = paper_of(book).line_mm
    texts = (book.school, book.title, book.subtitle, book.student, book.author, book.edition, book.licence)
    return Cover(*texts, author_mm=round(line * 0.62, 1), edition_mm=round(line * 0.35, 1))


def contents(
    studies: Sequence[Study],
    matter: Sequence[tuple[str, str]],
    back: Sequence[tuple[str, str]],
    labels: Labels,
    paper: Paper,
    phrases: Phrases,
) -> ListPage:
    """The contents: *matter* and *back* are (sheet key, title) of the pages before and after the studies."""
    groups = [Group("", "", tuple(_plain(key, title, labels) for key, title in matter))]
    for part in sections(studies):
        name = phrases("level.name", level=part.level)
        groups.append(Group(str(part.level), name, study_entries(part, labels, paper, phrases)))
    groups.append(Group("", phrases("contents.back"), tuple(_plain(key, title, labels) for key, title in back)))
    listing = on_sides([group for group in groups if group.entries], paper, _TITLE_MM)
    return ListPage(phrases("contents.title"), "", listing, "", ())


def study_entries(part: Section, labels: Labels, paper: Paper, phrases: Phrases) -> tuple[Entry, ...]:
    """An exercise once by name, its places indented below; on one line where there is only one."""
    entries: list[Entry] = []
    for members in part.exercises:
        if len(members) == 1:
            *begun, last = _title_lines(members[0].title, _NAME_AND_PLACE, paper, phrases)
            entries += [Entry(line, "", "", "", False, goes_on=True) for line in begun]
            entries.append(_study_entry(members[0], last, labels, phrases, False))
            continue
        *begun, last = _title_lines(members[0].title, _NAME_ALONE, paper, phrases)
        entries += [Entry(line, "", "", "", False, goes_on=True) for line in begun]
        entries.append(Entry(last, "", "", "", False))
        # Places that share a page of small maps stand behind those with pages of their own.
        paged = sorted(members, key=lambda study: int(labels.get(study_key(study.id), "0")))
        entries += [_study_entry(study, "", labels, phrases, True) for study in paged]
    return tuple(entries)


def _exercise_entries(part: Section, labels: Labels, paper: Paper, phrases: Phrases) -> tuple[Entry, ...]:
    """An exercise a line, with the number of its places; the contents name them all."""
    entries: list[Entry] = []
    for members in part.exercises:
        *begun, last = _title_lines(members[0].title, _NAME_AND_PLACE, paper, phrases)
        entries += [Entry(line, "", "", "", False, goes_on=True) for line in begun]
        first = min(members, key=lambda study: int(labels.get(study_key(study.id), "0")))
        entry = _study_entry(first, last, labels, phrases, False)
        many = len(members) > 1
        entries.append(replace(entry, place=phrases("answer.place.places", count=len(members))) if many else entry)
    return tuple(entries)


def _title_lines(title: str, share: float, paper: Paper, phrases: Phrases) -> list[str]:
    """A title in as many lines as its *share* of a line of the contents asks for; large print makes its own."""
    letters = int(share * (paper.line_mm - _LABEL_MM) / _ENTRY_LETTER_MM)
    return [title] if paper.large or len(title) <= letters else phrases.breaks.lines(title, letters)


def _study_entry(study: Study, text: str, labels: Labels, phrases: Phrases, indented: bool) -> Entry:
    return Entry(text, start_line(study, phrases, "place"), labels.get(study_key(study.id), ""), study.id, indented)


def _plain(key: str, title: str, labels: Labels) -> Entry:
    return Entry(title, "", labels.get(key, ""), key, False)


def how_to_practise(phrases: Phrases) -> ProsePage:
    """How to use the book, ending with the long caution."""
    names = phrases.lines("practise.order")
    sections = tuple(Prose(phrases(f"practise.{name}.title"), phrases.lines(f"practise.{name}.text")) for name in names)
    return ProsePage(phrases("practise.title"), phrases("practise.lead"), sections)


def signs_page(studies: Sequence[Study], book: BookPlan, phrases: Phrases) -> SignsPage:
    """The signs that occur in *studies*, in the order of the phrases; the closer, the more there are."""
    used = set().union(*(book_signs(study, book.notation) for study in studies)) | ALWAYS
    paper, ways = paper_of(book), _ways_of_print(book)
    rows = tuple(
        (
            drawn(kind, phrases),
            _worded(f"signs.{kind}.name", ways, phrases),
            _worded(f"signs.{kind}.text", ways, phrases),
        )
        for kind in phrases.lines("signs.order")
        if kind in used
    )
    letters = (paper.line_mm - _SIGN_TEXT_FROM_MM) / _SIGN_LETTER_MM
    lines_mm = sum(_SIGN_LINE_MM * ceil(len(text) / letters) for _, _, text in rows)
    room = paper.height_mm - _SIGNS_HEAD_MM
    sides = ceil((lines_mm + _SIGN_GAPS_MM[0] * len(rows)) / room)
    gap = min(_SIGN_GAPS_MM[1], max(_SIGN_GAPS_MM[0], (room * sides - lines_mm) / max(1, len(rows))))
    return SignsPage(phrases("signs.title"), phrases("signs.lead"), rows, round(gap, 1), sides)


def _ways_of_print(book: BookPlan) -> tuple[str, ...]:
    """The ways in which *book* differs from what the usual words say."""
    ways = {"left-handed": book.left_handed, "low-ink": book.low_ink, f"{book.notation}-only": book.notation != "both"}
    return tuple(way for way, there in ways.items() if there)


def _worded(key: str, ways: Sequence[str], phrases: Phrases) -> str:
    """The phrase at *key*, in the wording of the first of *ways* that has one of its own."""
    return phrases(next((own for way in ways if (own := f"{key}-{way}") in phrases), key))


def opener(part: Section, labels: Labels, paper: Paper, phrases: Phrases) -> ListPage:
    """The page before a level: its number, what is in it, its studies, what they ask for where there is room."""
    studies, exercises = part.studies, len(part.exercises)
    count = f"{_one_or_many(exercises)}-{_one_or_many(len(studies))}"
    slow, fast = min(study.rates[0] for study in studies), max(study.rates[-1] for study in studies)
    rates = {"slow": phrases.number(f"{slow:.1f}"), "fast": phrases.number(f"{fast:.1f}")}
    lead = phrases(f"opener.{count}", exercises=exercises, studies=len(studies), **rates)
    # What most of the level's exercises ask for comes first; of equals, what is met first.
    skills = Counter(skill for members in part.exercises for skill in members[0].skills)
    notes = [phrases(key) for skill, _ in skills.most_common() if (key := f"listen.{skill}") in phrases][:_MOST_NOTES]
    groups = [Group("", "", study_entries(part, labels, paper, phrases))]
    if len(on_sides(groups, paper, _opener_mm(0)).sides) > 1:
        groups = [Group("", "", _exercise_entries(part, labels, paper, phrases))]
    while notes and len(on_sides(groups, paper, _opener_mm(len(notes))).sides) > 1:
        notes.pop()
    listing = on_sides(groups, paper, _opener_mm(len(notes)))
    return ListPage(phrases("level.name", level=part.level), lead, listing, phrases("notes.title"), tuple(notes))


def _opener_mm(notes: int) -> float:
    """What the first side of an opener gives away to its title and so many notes."""
    return _OPENER_MM + (_NOTES_MM + notes * _NOTE_MM if notes else 0)


def _one_or_many(count: int) -> str:
    return "one" if count == 1 else "many"
