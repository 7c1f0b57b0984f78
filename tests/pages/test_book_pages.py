"""The pages around the studies: contents, openers, cues, start places, log, furniture."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.pages import (
    PAPERS,
    Entry,
    Group,
    bare_furnishing,
    contents,
    how_to_practise,
    log_page,
    neck_page,
    on_sides,
    opener,
    plain_furnishing,
    scan_page,
    sections,
    signs_page,
    study_furnishing,
    study_pages,
)
from builder.pages.page import paper_of
from builder.spec.plan import PressPlan
from builder.theory.score import Study
from tests.pages import samples
from tests.pages.technique_samples import TECHNIQUES


def studies() -> list[Study]:
    keel = replace(samples.bass_line(), exercise="keel", level=5)
    return [samples.ferry_steps(), samples.ferry_steps(2, 1), keel]


def labels() -> dict[str, str]:
    return {f"study:{study.id}": str(page) for page, study in enumerate(studies(), start=10)} | {"front:signs": "iv"}


def test_the_contents_name_an_exercise_once_with_its_places_page_by_page_below() -> None:
    page = contents(studies(), [("front:signs", "Signs")], [], labels(), PAPERS["a4"], samples.phrases())
    ((matter, three, five),) = page.listing.sides
    assert [(entry.text, entry.label) for entry in matter.entries] == [("Signs", "iv")]
    assert [(entry.text, entry.place, entry.label) for entry in three.entries] == [
        ("Ferry Steps", "", ""),
        ("", "string 3, fret 7: D", "10"),
        ("", "string 2, fret 8: G", "11"),
    ]
    assert [(entry.text, entry.place, entry.label) for entry in five.entries] == [("Keel", "string 4, fret 3: G", "12")]


def test_entries_lead_to_their_study() -> None:
    page = contents(studies(), [], [], labels(), PAPERS["a4"], samples.phrases())
    targets = [entry.target for side in page.listing.sides for group in side for entry in group.entries if entry.target]
    assert sorted(targets) == sorted(study.id for study in studies())


def test_numbers_not_known_yet_are_left_open() -> None:
    page = contents(studies(), [], [], {}, PAPERS["a4"], samples.phrases())
    assert {entry.label for side in page.listing.sides for group in side for entry in group.entries} == {""}


def test_an_opener_counts_its_studies() -> None:
    three, five = sections(studies())
    assert (
        opener(three, labels(), PAPERS["a4"], samples.phrases()).lead
        == "One exercise, 2 studies, from 4.0 to 7.2 notes a second."
    )
    assert opener(five, labels(), PAPERS["a4"], samples.phrases()).lead == "One study, from 4.0 to 7.2 notes a second."


def test_an_opener_names_at_most_five_things_to_listen_for_the_most_asked_first() -> None:
    common = ("landing", "timing")
    rare = ("tone", "muting", "reading", "stretch", "scales", "bursts")
    made = [
        replace(samples.ferry_steps(), id=f"boat-{n}", exercise=f"boat-{n}", skills=(skill, *common))
        for n, skill in enumerate(rare)
    ]
    (part,) = sections(made)
    phrases = samples.phrases()
    notes = opener(part, {}, PAPERS["a4"], phrases).notes
    assert len(notes) == 5
    assert notes[:2] == tuple(phrases(f"listen.{skill}") for skill in common)


def test_a_full_opener_gives_up_its_notes_before_a_second_side() -> None:
    made = [replace(samples.ferry_steps(), id=f"boat-{n}", exercise=f"boat-{n}") for n in range(40)]
    (part,) = sections(made)
    page = opener(part, {}, PAPERS["a4"], samples.phrases())
    assert len(page.listing.sides) == 1
    assert page.notes == ()


def test_an_opener_with_many_places_names_each_exercise_once() -> None:
    made = [
        replace(samples.ferry_steps(), id=f"boat-{n}-{place}", exercise=f"boat-{n:02}", title=f"Boat {n}")
        for n in range(20)
        for place in range(4)
    ]
    (part,) = sections(made)
    page = opener(part, {}, PAPERS["a4"], samples.phrases())
    ((group,),) = page.listing.sides
    assert [(entry.text, entry.place) for entry in group.entries] == [(f"Boat {n}", "at 4 places") for n in range(20)]


def test_sides_of_a_list_are_about_equally_full() -> None:
    groups = [Group("", str(n), tuple(Entry(f"{n}.{k}", "", "1", "", False) for k in range(9))) for n in range(12)]
    sides = on_sides(groups, PAPERS["a4"], 24.0).sides
    lines = [sum(len(group.entries) for group in side) for side in sides]
    assert len(lines) > 1
    assert max(lines) - min(lines) <= 9


def test_places_of_an_exercise_are_not_left_alone() -> None:
    def exercise(number: int) -> tuple[Entry, ...]:
        places = tuple(Entry("", f"place {k}", "1", "", True) for k in range(3))
        return (Entry(f"Boat {number}", "", "", "", False), *places)

    entries = tuple(entry for number in range(40) for entry in exercise(number))
    for side in on_sides([Group("1", "Level 1", entries)], PAPERS["a4"], 24.0).sides:
        for group in side:
            assert group.entries[0].text
            assert not group.entries[-1].text


def test_the_scan_goes_through_the_cues_of_the_book_in_their_order() -> None:
    page = scan_page(["breath", "jaw"], PAPERS["a4"], samples.phrases(), samples.CUES, samples.SAYS)
    assert [words for words, _ in page.cues] == ["jaw", "breathe out"]
    assert sum(page.widths_mm) == PAPERS["a4"].line_mm


def test_a_book_without_checkpoints_still_has_a_scan() -> None:
    page = scan_page([], PAPERS["a4"], samples.phrases(), samples.CUES, samples.SAYS)
    assert len(page.cues) == len(samples.CUES)


def test_start_places_stand_on_the_neck_of_their_own_instrument() -> None:
    page = neck_page(studies(), PAPERS["a4"], labels(), samples.phrases())
    groups = [group for side in page.listing.sides for group in side]
    assert [group.heading for group in groups] == ["Guitar", "String 2", "String 3", "Bass", "String 4"]
    maps = [group.neck_map for group in groups if group.neck_map]
    assert [[(dot.string, dot.fret) for dot in neck.dots] for neck in maps] == [[(2, 8), (3, 7)], [(4, 3)]]


def test_the_log_is_as_wide_as_the_line() -> None:
    for paper in PAPERS.values():
        page = log_page(paper, samples.phrases())
        assert len(page.heads) == len(page.widths_mm) == 8
        assert abs(sum(page.widths_mm) - paper.line_mm) < 0.1


def test_the_advice_ends_with_the_long_caution() -> None:
    last = how_to_practise(samples.phrases()).sections[-1]
    assert "not medical advice" in last.paragraphs[-1] or "Nothing here is medical advice" in last.paragraphs[-1]


def test_every_sign_has_a_name_and_a_meaning() -> None:
    every = [make() for make in (*samples.ALL.values(), *TECHNIQUES.values())]
    page = signs_page(every, samples.book(), samples.phrases())
    kinds = [kind for kind, _, _ in page.signs]
    # The samples print every sign there is; where tablature shows the strings, none is named.
    assert kinds == [kind for kind in samples.phrases().lines("signs.order") if kind != "string"]
    assert len(set(kinds)) == len(kinds)
    assert all(name and meaning for _, name, meaning in page.signs)


def test_signs_that_do_not_occur_are_not_explained() -> None:
    kinds = {kind for kind, _, _ in signs_page([samples.two_voices()], samples.book(), samples.phrases()).signs}
    assert kinds == {"finger", "start-disc", "used-disc", "band", "circles"}


@pytest.mark.parametrize("name", TECHNIQUES)
def test_the_book_explains_whatever_a_page_explains(name: str) -> None:
    study = TECHNIQUES[name]()
    page = study_pages(study, samples.book(), samples.phrases(), samples.CUES)[0]
    shown = {kind for line in page.signs for kind, _ in line}
    assert shown <= {kind for kind, _, _ in signs_page([study], samples.book(), samples.phrases()).signs}


def test_the_fewer_the_signs_the_more_air_between_them() -> None:
    few = signs_page([samples.two_voices()], samples.book(), samples.phrases())
    some = signs_page([samples.ferry_steps(), samples.high_frets()], samples.book(), samples.phrases())
    assert 4.0 <= some.gap_mm <= few.gap_mm == 9.5


def test_the_outer_edge_is_left_on_even_sides_of_a_book_printed_on_both() -> None:
    book, phrases = replace(samples.book(), press=PressPlan(sides="two")), samples.phrases()
    for side in (1, 2, 3, 4):
        made = study_furnishing(studies()[0], 3, book, phrases, side, str(side))
        assert made.outer_left == (side % 2 == 0)
        assert (made.head, made.level) == ("Harbour Lane Music School", "Level 3")
        assert made.foot.startswith("ferry-steps-s3f7  ·  Autumn 2026")
        assert plain_furnishing(book, "Contents", side, "i").level == "Contents"
        assert bare_furnishing().bare
        assert not plain_furnishing(samples.book(), "Contents", side, "i").outer_left


@given(
    st.lists(st.lists(st.booleans(), min_size=1, max_size=40), min_size=1, max_size=8),
    st.sampled_from(["a4", "letter"]),
)
def test_lists_are_dealt_on_sides_whole_and_in_order(shape: list[list[bool]], paper: str) -> None:
    groups = [
        Group(
            "",
            str(n),
            tuple(Entry(f"{n}.{k}", "", "1" if numbered else "", "", False) for k, numbered in enumerate(row)),
        )
        for n, row in enumerate(shape)
    ]
    listing = on_sides(groups, PAPERS[paper], 60.0)
    sides, pitch = listing.sides, listing.pitch_mm
    dealt = [entry for side in sides for group in side for entry in group.entries]
    assert dealt == [entry for group in groups for entry in group.entries]
    for side in sides:
        height = sum(group.heading_mm + pitch * len(group.entries) for group in side) + (60 if side is sides[0] else 0)
        assert height <= PAPERS[paper].height_mm - 40
    assert [group.heading for side in sides for group in side if group.heading] == [group.heading for group in groups]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_cues_in_large_print_have_room_for_their_longest_word(paper: str) -> None:
    sheet = paper_of(samples.book(paper, large_print=True))
    cues = {f"cue-{n}": words for n, words in enumerate(["Greif-Handgelenk", "Kiefer", "Schlag-Ellbogen", "Füße"] * 5)}
    says = dict.fromkeys(cues, "Bring das Handgelenk dorthin zurück, wo es gerade ist, und vergiss es dann wieder.")
    page = scan_page([], sheet, samples.phrases(), cues, says)
    assert page.widths_mm[0] >= len("Greif-Handgelenk") * 3.2
    assert sum(page.widths_mm) == pytest.approx(sheet.line_mm)
    assert min(page.widths_mm) >= 30
    assert page.cues_a_side * page.row_mm <= sheet.height_mm
    assert len(page.cues) == 20
    # Two sentences of six lines more would not fit.
    assert 3 <= page.cues_a_side < 10
