"""Every bar is written full, in values that exist, and shows its beats."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.pages import Item, Voice, written_bars
from builder.pages.notation import beat_starts
from builder.theory.rhythm import Meter
from builder.theory.score import Note, Rest
from tests.pages import samples

METERS = [
    Meter(2, 4),
    Meter(3, 4),
    Meter(4, 4),
    Meter(3, 8),
    Meter(6, 8),
    Meter(9, 8),
    Meter(12, 8),
    Meter(5, 8, (3, 2)),
    Meter(7, 8, (2, 2, 3)),
    Meter(2, 2),
]


def written(meter: Meter, *lengths: str, rests: tuple[int, ...] = ()) -> Voice:
    """The first bar of notes of these lengths; *rests* says which of them are silent."""
    events: list[Note | Rest] = []
    now = Fraction(0)
    for number, length in enumerate(map(Fraction, lengths)):
        if number in rests:
            events.append(Rest(1, now, length, 1))
        else:
            events.append(samples.note(1, now, length, "D4", "3/7"))
        now += length
    assert now == meter.bar
    return written_bars(samples.study(events, 1, meter))[0][0]


def spelled(voice: Voice) -> str:
    """A compact reading: values, dots, `~` for ties, `r` for rests, brackets with their ratio."""
    words = []
    for item in voice:
        opening = f"{item.opens[0]}:{item.opens[1]}(" if item.opens else ""
        value = f"{item.value.base}{'.' * item.value.dots}"
        rest = "" if item.notes else "r"
        words.append(f"{opening}{rest}{value}{'~' if any(item.held) else ''}{')' if item.closes else ''}")
    return " ".join(words)


def sounding(voice: Voice) -> Fraction:
    """What the written values and brackets of a voice add up to."""
    total, scale = Fraction(0), Fraction(1)
    for item in voice:
        scale = Fraction(item.opens[1], item.opens[0]) if item.opens else scale
        value = Fraction(1, item.value.base) * (Fraction(3, 2) if item.value.dots else 1)
        assert value * scale == item.length
        total += value * scale
        scale = Fraction(1) if item.closes else scale
    return total


@st.composite
def bars(draw: st.DrawFn) -> tuple[Meter, list[Fraction], tuple[int, ...]]:
    """A bar cut beat by beat into equal parts, some of them joined over the next cut, some silent."""
    meter = draw(st.sampled_from(METERS))
    beats = int(meter.bar / meter.beat)
    parts = [meter.beat / count for _ in range(beats) for count in [draw(st.integers(1, 8))] for _ in range(count)]
    lengths: list[Fraction] = []
    for part in parts:
        if lengths and draw(st.integers(0, 4)) == 0:
            lengths[-1] += part
        else:
            lengths.append(part)
    rests = draw(st.sets(st.integers(1, max(1, len(lengths) - 1)))) if len(lengths) > 1 else set()
    return meter, lengths, tuple(sorted(rests))


@given(bars())
def test_every_bar_is_written_full(bar: tuple[Meter, list[Fraction], tuple[int, ...]]) -> None:
    meter, lengths, rests = bar
    voice = written(meter, *map(str, lengths), rests=rests)
    assert sum(item.length for item in voice) == meter.bar
    assert sounding(voice) == meter.bar


@given(bars())
def test_ties_join_the_pieces_of_one_note_and_nothing_else(bar: tuple[Meter, list[Fraction], tuple[int, ...]]) -> None:
    meter, lengths, rests = bar
    voice = written(meter, *map(str, lengths), rests=rests)
    starts = [sum(lengths[:k], Fraction(0)) for k in range(len(lengths))]
    for item, after in zip(voice, [*voice[1:], None], strict=True):
        assert item.fresh == (bool(item.notes) and item.onset in starts) or not item.notes
        goes_on = bool(item.notes) and after is not None and bool(after.notes) and not after.fresh
        assert any(item.held) == goes_on


@given(bars())
def test_brackets_open_and_close_in_turn(bar: tuple[Meter, list[Fraction], tuple[int, ...]]) -> None:
    meter, lengths, rests = bar
    inside = False
    for item in written(meter, *map(str, lengths), rests=rests):
        assert not (item.opens and inside)
        inside = (inside or item.opens is not None) and not item.closes
    assert not inside


@pytest.mark.parametrize(
    ("meter", "lengths", "rests", "reading"),
    [
        (Meter(4, 4), "5/16 3/16 1/2", (), "4~ 16 8. 2"),
        (Meter(4, 4), "1/4 1/2 1/4", (), "4 4~ 4 4"),
        (Meter(4, 4), "1/16 1/8 1/16 3/4", (3,), "16 8 16 r4 r2"),
        (Meter(4, 4), "3/16 1/16 3/4", (0,), "r8 r16 16 4~ 2"),
        (Meter(3, 4), "1/4 1/2", (1,), "4 r4 r4"),
        (Meter(3, 4), "1/4 1/2", (), "4 2"),
        (Meter(2, 4), "1/28 1/28 1/28 1/28 1/28 1/28 1/28 1/4", (), "7:4(16 16 16 16 16 16 16) 4"),
        (Meter(2, 4), "1/12 1/12 1/12 1/4", (), "3:2(8 8 8) 4"),
        (Meter(2, 4), "1/20 1/20 1/20 1/20 1/20 1/4", (5,), "5:4(16 16 16 16 16) r4"),
        (Meter(2, 4), "1/24 1/24 1/24 1/24 1/24 1/24 1/4", (), "6:4(16 16 16 16 16 16) 4"),
        (Meter(2, 4), "1/12 1/24 1/24 1/12 1/4", (), "3:2(8 16 16 8) 4"),
        (Meter(2, 4), "1/7 1/28 1/28 1/28 1/4", (0,), "7:4(r4 16 16 16) 4"),
        (Meter(4, 4), "1/6 1/6 1/6 1/2", (), "3:2(4 4 4) 2"),
        (Meter(2, 4), "1/12 5/12", (1,), "3:2(8 r4) r4"),
        (Meter(4, 4), "1/12 11/12", (), "3:2(8 4~) 4~ 2"),
        (Meter(6, 8), "3/32 3/32 3/32 3/32 3/8", (), "4:3(8 8 8 8) 4."),
        (Meter(6, 8), "3/40 3/40 3/40 3/40 3/40 3/8", (5,), "5:3(8 8 8 8 8) r4."),
        (Meter(6, 8), "3/16 3/16 3/8", (), "8. 8. 4."),
        (Meter(6, 8), "1/4 1/8 1/8 1/4", (), "4 8 8 4"),
        (Meter(7, 8, (2, 2, 3)), "1/8 3/4", (1,), "8 r8 r4 r4."),
        (Meter(12, 8), "3/8 9/8", (1,), "4. r4. r2."),
    ],
)
def test_values_read_as_musicians_write_them(meter: Meter, lengths: str, rests: tuple[int, ...], reading: str) -> None:
    assert spelled(written(meter, *lengths.split(), rests=rests)) == reading


@pytest.mark.parametrize(("count", "ratio"), [(7, (7, 6)), (8, (8, 6))])
def test_compound_beats_take_sixteenths_for_seven_and_eight(count: int, ratio: tuple[int, int]) -> None:
    voice = written(Meter(6, 8), *[f"3/{8 * count}"] * count, "3/8")
    assert voice[0].opens == ratio
    assert voice[0].value.base == 16


def test_a_silent_bar_is_one_rest() -> None:
    events = [samples.note(1, Fraction(0), Fraction(1), "D4", "3/7"), Rest(2, Fraction(1), Fraction(1), 1, "jaw")]
    (item,) = written_bars(samples.study(events, 2, Meter(4, 4)))[1][0]
    assert item.full_bar
    assert item.checkpoint == "jaw"


def test_a_note_over_the_barline_is_tied() -> None:
    first = samples.note(1, Fraction(1, 2), Fraction(1, 2), "D4", "3/7")
    events = [
        Rest(1, Fraction(0), Fraction(1, 2), 1),
        first,
        samples.note(2, Fraction(1), Fraction(1), "D4", "3/7", tied=True),
    ]
    one, two = written_bars(samples.study(events, 2, Meter(4, 4)))
    assert one[0][-1].held == (True,)
    assert not two[0][0].fresh


def beams(voice: Voice) -> list[int]:
    """How many notes each beam joins."""
    found, run = [], 0
    for item in voice:
        run += 1
        if item.beam == "[":
            run = 1
        elif item.beam == "]":
            found.append(run)
    return found


@pytest.mark.parametrize(
    ("meter", "lengths", "joined"),
    [
        (Meter(4, 4), ["1/16"] * 16, [4, 4, 4, 4]),
        (Meter(7, 8, (2, 2, 3)), ["1/8"] * 7, [2, 2, 3]),
        (Meter(7, 8, (3, 2, 2)), ["1/8"] * 7, [3, 2, 2]),
        (Meter(6, 8), ["1/8"] * 6, [3, 3]),
        (Meter(3, 8), ["1/8"] * 3, [3]),
        (Meter(2, 2), ["1/8"] * 8, [2, 2, 2, 2]),
    ],
)
def test_beams_show_the_beats(meter: Meter, lengths: list[str], joined: list[int]) -> None:
    assert beams(written(meter, *lengths)) == joined


def test_a_rest_ends_a_beam() -> None:
    assert beams(written(Meter(2, 4), *["1/16"] * 8, rests=(2,))) == [2, 4]


@pytest.mark.parametrize("meter", METERS)
def test_beats_begin_at_the_barline_and_inside_the_bar(meter: Meter) -> None:
    starts = beat_starts(meter)
    assert starts[0] == 0
    assert list(starts) == sorted(set(starts))
    assert starts[-1] < meter.bar


def test_two_voices_fill_every_bar_each() -> None:
    for bar in written_bars(samples.two_voices()):
        assert [sum(item.length for item in voice) for voice in bar] == [1, 1]
        assert all(isinstance(item, Item) for voice in bar for item in voice)
