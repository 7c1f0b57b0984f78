"""What the small books beside the book list: the levels of a syllabus at a glance, the pages of a teacher's edition.

Stage:    6 assemble (pure)
In, Out:  a `Syllabus`, the studies, page labels; `ListPage`s
Not here: the sheets they list (`assessment_pages`, `guide_pages`)

Figures there are pages of the book; a small book's own pages have Roman numerals.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from builder.curriculum.syllabus import Requirement, Syllabus, SyllabusLevel
from builder.pages.front import Entry, Group, Labels, ListPage, on_sides
from builder.pages.order import sections, study_key
from builder.pages.page import Paper
from builder.pages.phrases import Phrases
from builder.theory.score import Study

_TITLE_MM, _LEAD_LINE_MM, _LEAD_LETTERS = 26.0, 5.5, 88  # as templates/book/list.ly sets them


def levels_page(
    syllabus: Syllabus, titles: Mapping[str, str], labels: Labels, paper: Paper, phrases: Phrases
) -> ListPage:
    """Every level with what it asks for, each study at its tempo and on its page of the book."""
    groups = [
        Group(
            str(level.level),
            level.name or phrases("level.name", level=level.level),
            _asked(level, titles, labels, phrases),
        )
        for level in syllabus.levels
    ]
    return _list_page(phrases("syllabus.levels"), phrases("syllabus.lead"), groups, paper)


def _asked(level: SyllabusLevel, titles: Mapping[str, str], labels: Labels, phrases: Phrases) -> tuple[Entry, ...]:
    def entry(one: Requirement, indented: bool) -> Entry:
        place = phrases("syllabus.at", tempo=one.tempo)
        label = labels.get(study_key(one.study), "")
        return Entry(titles.get(one.study, one.study), place, label, one.study, indented)

    entries = [entry(one, False) for one in level.required]
    if level.choose and level.choice:
        heading = "assess.choice-one" if level.choose == 1 else "assess.choice"
        entries.append(Entry(phrases(heading, count=level.choose), "", "", "", False))
        entries += [entry(one, True) for one in level.choice]
    return tuple(entries)


def syllabus_contents(titles: Sequence[tuple[str, str]], labels: Labels, paper: Paper, phrases: Phrases) -> ListPage:
    """The contents of a syllabus; *titles* are the keys and titles of its sheets."""
    entries = tuple(Entry(title, "", labels.get(key, ""), key, False) for key, title in titles)
    return _list_page(phrases("contents.title"), "", [Group("", "", entries)], paper)


def teachers_contents(studies: Sequence[Study], labels: Labels, paper: Paper, phrases: Phrases) -> ListPage:
    """The exercises level by level, each with its page in the teacher's edition; *labels* are those of its sheets."""
    groups = [
        Group(
            str(part.level),
            phrases("level.name", level=part.level),
            tuple(_exercise(members[0], labels) for members in part.exercises),
        )
        for part in sections(studies)
    ]
    return _list_page(phrases("contents.title"), phrases("teacher.lead"), groups, paper)


def _exercise(study: Study, labels: Labels) -> Entry:
    key = f"teach:{study.exercise}"
    return Entry(study.title, "", labels.get(key, ""), key, False)


def _list_page(title: str, lead: str, groups: Sequence[Group], paper: Paper) -> ListPage:
    lines = -(-len(lead) // _LEAD_LETTERS)
    return ListPage(title, lead, on_sides(groups, paper, _TITLE_MM + _LEAD_LINE_MM * lines), "", ())
