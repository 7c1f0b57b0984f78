"""What an edition's list of changes tells, against the JSON of an earlier one."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest

from builder.curriculum.changes import Change, changes, record_from, record_of
from builder.outputs.study_json import study_json
from builder.theory.score import Note, Study
from tests.pages.samples import FOUR, bursts

STUDY = bursts([[(3, 7), (3, 9), (3, 10), (3, 7)]], FOUR, 4)


def told(before: Study, after: Study) -> list[Change]:
    earlier = json.loads(json.dumps(study_json(before)))
    return list(changes([record_from(earlier)], [record_of(after)]))


def with_notes(change: Callable[[Note], Note]) -> Study:
    return replace(STUDY, events=tuple(change(each) if isinstance(each, Note) else each for each in STUDY.events))


def test_an_edition_does_not_differ_from_its_own_json():
    assert told(STUDY, STUDY) == []


@pytest.mark.parametrize(
    ("after", "sentence"),
    [
        (replace(STUDY, title="Ferry Stairs"), "title changed from 'Ferry Steps' to 'Ferry Stairs'"),
        (replace(STUDY, tempo_steps=(60, 90), levels=(3, 4)), "tempo steps changed from 60 72 84 96 108 to 60 90"),
        (replace(STUDY, levels=(4, 4, 4, 4, 4)), "level changed from 3 to 4"),
        (with_notes(lambda note: replace(note, finger=note.finger % 4 + 1)), "other fingers"),
        (with_notes(lambda note: replace(note, string=2, fret=note.fret - 4)), "other notes, strings or frets"),
        (with_notes(lambda note: replace(note, duration=Fraction(1, 32))), "other notes, strings or frets"),
    ],
)
def test_a_change_is_told_in_words(after, sentence):
    assert [change.sentence for change in told(STUDY, after)] == [f"ferry-steps-s3f7: {sentence}"]


def test_other_notes_are_not_told_again_as_other_fingers():
    both = with_notes(lambda note: replace(note, fret=note.fret + 1, finger=note.finger % 4 + 1))
    assert [change.kind for change in told(STUDY, both)] == ["notes"]


def test_studies_come_and_go_by_their_ids():
    other = replace(STUDY, id="pier-s1f0")
    found = changes([record_of(STUDY)], [record_of(other)])
    assert [change.sentence for change in found] == [
        "pier-s1f0: new in this edition",
        "ferry-steps-s3f7: no longer in this edition",
    ]


def test_the_order_of_the_book_changes_nothing():
    other = replace(STUDY, id="pier-s1f0")
    assert changes([record_of(STUDY), record_of(other)], [record_of(other), record_of(STUDY)]) == ()


@pytest.mark.parametrize("values", [{}, {"id": "x"}, {"events": 3}, {"events": [{}]}])
def test_json_of_something_else_is_refused(values):
    with pytest.raises(ValueError, match="not a study"):
        record_from(values)
