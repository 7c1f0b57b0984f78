"""Messages of LilyPond are known to be about one body of a batch, or about nobody for certain."""

from __future__ import annotations

import pytest

from builder.engraving.messages import BatchText, read_messages


def account(said, *bodies):
    return read_messages(said, BatchText("2.25.12", "", bodies or ("a\n", "b\nb\n", "c\n")))


@pytest.mark.parametrize(
    ("said", "culprit"),
    [
        ("@@ read 0 0\nwarning: something\n@@ read 1 0\n@@ read 2 0\n", 0),
        ("@@ read 0 0\n@@ read 1 0\n@@ read 2 0\nwarning: compressing over-full page by 3.0 staff-spaces\n", 0),
        ("@@ read 2 0\n@@ page 0 1\nwarning: anything\n@@ page 1 1\n@@ page 2 1\n", 1),
        ("@@ read 2 0\n@@ page 0 1\n@@ page 1 1\nprogramming error: x\ncontinuing, cross fingers\n@@ page 2 1\n", 2),
        ("@@ read 2 0\nwarning: Requested string for pitch requires negative fret\n@@ page 0 1\n", None),
        ("@@ read 2 0\n@@ page 0 1\n@@ page 1 1\n@@ page 2 1\nwarning: at the end\n", None),
        ("Fontconfig error: cannot load\n@@ read 0 0\n", None),
    ],
)
def test_a_message_without_a_line_is_known_by_its_neighbours(said, culprit):
    assert [complaint.body for complaint in account(said).complaints] == [culprit]


def test_a_shape_of_a_slur_that_was_not_weighed_is_no_complaint():
    harmless = "programming error: no solution found for Bezier intersection\ncontinuing, cross fingers\n"
    assert account("@@ read 2 0\n" + harmless + "@@ page 0 1\n").complaints == ()
    both = account("@@ read 2 0\n" + harmless + "programming error: x\ncontinuing, cross fingers\n@@ page 0 1\n")
    assert "programming error: x" in [complaint.text for complaint in both.complaints]
    assert account("programming error: no solution found for Bezier intersection in this page\n").complaints


def test_a_message_with_a_line_is_known_by_it():
    source = BatchText("2.25.12", "% style", ("first\n", "second\nsecond\n", "third\n"))
    lines = source.text.splitlines()
    for number, line in enumerate(lines, start=1):
        expected = {"first": 0, "second": 1, "third": 2}.get(line)
        if expected is not None:
            assert source.body_at(number) == expected
    assert source.body_at(2) is None
