"""LilyPond on batches: good pages come out the same whatever their company, bad ones are found by name."""

from __future__ import annotations

import io
import subprocess
import sys

import pytest
from pypdf import PdfReader

from builder.engraving import lilypond_run
from builder.engraving.engine import Engine, find_lilypond
from builder.engraving.lilypond_run import run_batch
from builder.engraving.messages import Account, Complaint
from builder.errors import MachineError
from tests.engraving.samples import FAULTS, STYLE, body

GOOD = [
    body("Ferry"),
    body("Jetty", r"a'4\1-1 b'\1-3 c''\1-4 b'\1 |"),
    body("Lantern & Quay", r"g16\4 a\4 b\3 c'\3 r2. |"),
]


def fates(bodies):
    """Run bodies until every one is settled, as `engrave` does."""
    settled, groups, runs = {}, [tuple(range(len(bodies)))], 0
    while groups:
        group = groups.pop()
        result = run_batch(find_lilypond(), STYLE, [bodies[index] for index in group])
        settled.update({group[index]: engraved for index, engraved in result.settled.items()})
        groups += [tuple(group[index] for index in again) for again in result.again]
        runs += 1
    return settled, runs


@pytest.mark.engraves
def test_a_page_is_the_same_bytes_in_any_company():
    together, runs = fates(GOOD)
    turned, _ = fates(GOOD[::-1])
    alone, _ = fates([GOOD[1]])
    assert runs == 1
    assert [together[index].pages for index in range(3)] == [turned[2 - index].pages for index in range(3)]
    assert alone[0].pages == together[1].pages
    assert len({page for engraved in together.values() for page in engraved.pages}) == 3


@pytest.mark.engraves
def test_pages_have_the_paper_of_the_style_and_their_own_text():
    settled, _ = fates([*GOOD, body("Long", " ".join([r"d'1\2 | \pageBreak"] * 3), "")])
    assert [settled[index].sides for index in range(4)] == [1, 1, 1, 3]
    for index, name in enumerate(("Ferry", "Jetty", "Lantern & Quay", "Long")):
        page = PdfReader(io.BytesIO(settled[index].pages[0])).pages[0]
        assert name in page.extract_text()
        assert [float(side) for side in page.mediabox] == pytest.approx([0, 0, 595.276, 841.89], abs=0.01)


@pytest.mark.engraves
@pytest.mark.parametrize("fault", sorted(FAULTS))
def test_one_bad_body_costs_the_others_nothing(fault):
    settled, runs = fates([GOOD[0], FAULTS[fault], GOOD[1]])
    assert [bool(settled[index].complaints) for index in range(3)] == [False, True, False]
    assert [len(settled[index].pages) for index in range(3)] == [1, 0, 1]
    # A warning that can be pinned to its page needs no second run.
    assert runs == 1 or fault not in ("bar check", "missing glyph", "text too long", "music too much")


@pytest.mark.engraves
def test_an_endless_body_is_stopped_and_not_held_against_it_for_good(monkeypatch):
    monkeypatch.setattr(lilypond_run, "_ALONE_LIMIT_S", 2)
    monkeypatch.setattr(lilypond_run, "_START_LIMIT_S", 2)
    monkeypatch.setattr(lilypond_run, "_BODY_LIMIT_S", 0)
    settled, _ = fates([GOOD[0], body("Pier", r"#(let loop () (loop)) d'1\2 |"), GOOD[1]])
    assert settled[1].complaints == ("LilyPond was stopped by a limit of time or memory",)
    assert not settled[1].lasting
    assert [len(settled[index].pages) for index in (0, 2)] == [1, 1]


@pytest.mark.engraves
def test_a_complaint_holds_no_folder_of_this_machine():
    settled, _ = fates([FAULTS["missing glyph"]])
    assert "no glyph for character" in settled[0].complaints[0]
    assert "/" not in settled[0].complaints[0]


@pytest.mark.engraves
def test_a_fault_of_the_style_is_our_bug_with_its_line():
    with pytest.raises(RuntimeError, match="line 3: unknown command"):
        run_batch(find_lilypond(), "\\paper { indent = 0 }\n%\n\\nonsense\n", [GOOD[0]])


@pytest.mark.parametrize(
    ("named", "at_work", "groups"),
    [((1,), 0, ((1,), (0, 2, 3))), ((), 2, ((2,), (0, 1, 3))), ((0, 1, 2, 3), 0, ((0, 1), (2, 3)))],
)
def test_a_doubtful_batch_is_made_smaller(named, at_work, groups):
    complaints = tuple(Complaint("x", body) for body in named)
    assert lilypond_run._smaller(4, Account(complaints, {}, at_work)) == groups


@pytest.mark.parametrize(("bodies", "collects"), [(GOOD[:1], True), (GOOD, False)])
def test_only_a_body_alone_collects_garbage(monkeypatch, bodies, collects):
    environments = []

    def silent(command, **options):
        environments.append(options["env"])
        return subprocess.CompletedProcess(command, 1, b"")

    monkeypatch.setattr(subprocess, "run", silent)
    run_batch(Engine(lilypond="lilypond", ghostscript="gs", version="2.25.12", fonts=""), STYLE, bodies)
    assert ["GC_DONT_GC" not in environment for environment in environments] == [collects]


def test_a_program_that_does_not_start_is_a_machine_error(monkeypatch):
    def broken(*arguments, **options):
        raise OSError(8, "Exec format error")

    monkeypatch.setattr(subprocess, "run", broken)
    engine = Engine(lilypond=sys.executable, ghostscript=sys.executable, version="2.25.12", fonts="")
    with pytest.raises(MachineError, match="Exec format error"):
        run_batch(engine, STYLE, GOOD[:1])
