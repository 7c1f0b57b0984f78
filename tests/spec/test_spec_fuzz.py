"""Whatever stands in a file, reading it gives plans or problems and never an error of ours."""

from __future__ import annotations

import re
import tempfile
from pathlib import Path

from hypothesis import example, given, settings
from hypothesis import strategies as st

from builder.errors import Problem
from builder.spec import load_library, read_book, read_exercise

LIBRARY = load_library()
EXERCISE = b"""\
id: ferry-steps
title: Ferry Steps
skills: [alternate-picking, tone]
instrument: {strings: [E4, B3, G3], frets: 20, scale-length: 648}
key: D minor
material: {kind: chord-loop, chords: [Dm, {chord: Gm, scale: G dorian}], set-size: 3, range: [C3, C5]}
contour: {order: [1, 2, 3], times: 2, land: 1}
rhythm: {meter: 7/8, groups: [2, 2, 3], durations: [1/8, 1/16], landing: 1/2, rest: 1.5}
neck: {path: {per-string: 3}, strings: [1, 2], start: {places: [{string: 1, fret: 3}]}}
strokes: {rule: economy, first: up}
tempo: {from: 60, to: 108, steps: 5, spacing: ratio}
checkpoints: {at: {bars: 4}, cues: [jaw, breath]}
"""
BOOK = b"""\
title: Loose Hands
print: {staff-size: 18, fingering: hints}
instrument: guitar
hand: 98
exercises: ["*.yaml"]
"""
LINES = st.sampled_from([line for line in EXERCISE.splitlines() if b": " in line])
SCRAPS = st.sampled_from([
    *(b"[", b"]", b"{", b"}", b": ", b"\n", b"- ", b"'", b'"', b"#", b"&a", b"*a", b"!!int ", b"<<: ", b"? ", b"| "),
    *(b"null", b"true", b"-1", b"0", b"1.5", b"9" * 30, b"\t", b"\r", b"\0", b"\xff", "\u202e".encode(), "é".encode()),
    *(b"kind: scale", b"kind: fingers", b"kind: notes", b"kind: arpeggio", b"rotate", b"auto", b"---\n", b"%", b"@"),
    *(b"\xef\xbb\xbf", b"\xed\xa0\x80", b"[[[", b"{a: {b: [", b"voices: ['E4 1/4 | rest 1/8@2']", b"pattern: [[1], 5]"),
])  # fmt: skip


@st.composite
def mutated(draw: st.DrawFn, original: bytes) -> bytes:
    """*original* with a few pieces cut out, put in, doubled or exchanged."""
    text = original
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        end = draw(st.integers(start, min(len(text), start + 20)))
        text = text[:start] + draw(st.one_of(SCRAPS, LINES, st.binary(max_size=3))) + text[end:]
    return text


words = st.sampled_from(["D", "Dm", "1/8", "4/4", "", "rests", "scale", "x y"])
keys = st.sampled_from(["kind", "order", "note", "places", "chord", "bars"])
plain = st.recursive(
    st.none() | st.booleans() | st.integers(-10, 500) | words,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(keys, inner, max_size=3),
    max_leaves=6,
)


def flow(value: object) -> str:
    """*value* on one line of YAML."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {flow(each)}" for key, each in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(flow, value)) + "]"
    if value is None or isinstance(value, bool):
        return str(value).replace("None", "null").lower()
    return str(value) if value != "" else "''"


@st.composite
def misfitted(draw: st.DrawFn) -> bytes:
    """The exercise with the values of some keys replaced by well-formed ones of any kind."""
    lines = EXERCISE.decode().splitlines()
    for _ in range(draw(st.integers(1, 3))):
        index = draw(st.integers(0, len(lines) - 1))
        lines[index] = f"{lines[index].partition(':')[0]}: {flow(draw(plain))}"
    return "\n".join(lines).encode()


def check(exercise: bytes, book: bytes) -> None:
    """Read both ways; what is not a plan is a problem with a place."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "ferry-steps.yaml")
        path.write_bytes(exercise)
        Path(folder, "book.yaml").write_bytes(book)
        alone = read_exercise(path, LIBRARY, None, None)
        together = read_book(Path(folder, "book.yaml"), LIBRARY)
    assert bool(alone.problems) == (not alone.exercises)
    assert together.problems or (together.plan and together.exercises)
    for problem in (*alone.problems, *together.problems):
        assert isinstance(problem, Problem)
        assert problem.found
        assert problem.expected
        assert not re.search("<(word|list|mapping)>", problem.key), "names of alternatives stay out of keys"
        assert "pydantic" not in str(problem)
        assert "Input should" not in str(problem)


def test_the_originals_are_good():
    check(EXERCISE, BOOK)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "ferry-steps.yaml")
        path.write_bytes(EXERCISE)
        assert read_exercise(path, LIBRARY, None, None).problems == ()


@settings(deadline=None, max_examples=100)
@given(st.binary(max_size=200))
@example(b"\xff\xfe\x00")
@example(b"a: !!python/object/apply:os.system ['true']")
def test_any_bytes_are_read(raw):
    check(raw, raw)


@settings(deadline=None, max_examples=120)
@given(mutated(EXERCISE), mutated(BOOK))
def test_damaged_specs_are_read(exercise, book):
    check(exercise, book)


@settings(deadline=None, max_examples=120)
@given(misfitted())
def test_values_of_the_wrong_kind_are_read(exercise):
    check(exercise, BOOK)
