"""Systems put together by hand, read back: clefs, signatures, accidentals, ties, octave lines, strings."""

from __future__ import annotations

from dataclasses import replace

import pytest
from pypdf.generic import DictionaryObject

from builder.critic.fonts import Font
from builder.critic.ink import Area, Box, Glyphs, Ink, Line
from builder.critic.music import read_music
from builder.critic.notes import Reading
from builder.critic.staves import find_systems

FONT = Font(DictionaryObject())
TOP, LEFT, RIGHT = 100.0, 20.0, 180.0
HEAD = 1.2  # how wide a head is here; staff lines lie 1 mm apart


def sign(name: str, x: float, y: float, width: float = HEAD, size: float = 4.0) -> Glyphs:
    return Glyphs(FONT, size, x, x + width, y, 0.0, True, "", name, Box(x, y - 0.5, x + width, y + 0.5))


def word(text: str, x: float, y: float) -> Glyphs:
    box = Box(x, y - 1, x + len(text), y)
    return Glyphs(FONT, 2.0, x, x + len(text), y, 0.0, True, text, "", box)


def lines(top: float, count: int, gap: float) -> list[Line]:
    return [Line(LEFT, top + k * gap, RIGHT, top + k * gap, 0.1, 0.0) for k in range(count)]


def y_of(step: int) -> float:
    """The height of a step over the bottom line."""
    return TOP + 4 - step / 2


def page(*signs: Glyphs, texts: tuple[Glyphs, ...] = (), clef: str = "clefs.G", **more: tuple[object, ...]) -> Ink:
    """A staff with a tablature of six lines."""
    clef_y = {"clefs.G": y_of(2), "clefs.F": y_of(6)}[clef]
    clefs = (sign(clef, LEFT + 1, clef_y, 2.5), sign("clefs.tab", LEFT + 1, 118, 2.5))
    drawn = (*lines(TOP, 5, 1.0), *lines(114.25, 6, 1.5), *more.get("lines", ()))
    return Ink(210, 297, texts, (*clefs, *signs), drawn, more.get("areas", ()))  # type: ignore[arg-type]


def read(ink: Ink) -> Reading:
    (system,) = find_systems(ink)
    return read_music(system, ink)


def pitches(ink: Ink) -> list[str]:
    return [" ".join(head.pitch for head in chord.heads) for chord in read(ink).chords]


def head(step: int, x: float) -> Glyphs:
    return sign("noteheads.s2", x, y_of(step))


def barline(x: float) -> Line:
    return Line(x, TOP, x, TOP + 4, 0.2, 0.0)


def test_the_clef_names_the_lines():
    assert pitches(page(head(0, 50), head(1, 60), head(-3, 70))) == ["E4", "F4", "B3"]
    assert pitches(page(head(0, 50), clef="clefs.F")) == ["G2"]


def test_an_eight_under_the_clef_sounds_an_octave_lower():
    assert pitches(page(head(0, 50), texts=(word("8", LEFT + 2, TOP + 6),))) == ["E3"]
    assert pitches(page(head(0, 50), texts=(word("8", LEFT + 2, TOP - 1.5),))) == ["E5"]


def test_a_signature_holds_in_every_octave():
    signature = sign("accidentals.sharp", LEFT + 4.5, y_of(8), 1.0)
    reading = read(page(signature, head(1, 50), head(8, 60), head(2, 70)))
    assert reading.signature == 1
    assert [chord.heads[0].pitch for chord in reading.chords] == ["F#4", "F#5", "G4"]


def test_an_accidental_holds_to_the_end_of_its_bar_and_in_its_octave():
    flat = sign("accidentals.flat", 48.6, y_of(4), 1.0)
    ink = page(flat, head(4, 50), head(4, 60), head(11, 65), head(4, 80), lines=(barline(70),))
    assert pitches(ink) == ["Bb4", "Bb4", "B5", "B4"]


def test_a_natural_undoes_the_signature():
    ink = page(
        sign("accidentals.sharp", LEFT + 4.5, y_of(8), 1.0),
        sign("accidentals.natural", 48.6, y_of(8), 1.0),
        head(8, 50),
    )
    assert pitches(ink) == ["F5"]


def test_heads_over_each_other_sound_together():
    assert pitches(page(head(0, 50), head(2, 50), head(4, 60))) == ["E4 G4", "B4"]


def test_an_octave_line_lifts_what_is_under_it():
    line = Line(55, TOP - 4, 75, TOP - 4, 0.1, 0.0)
    assert pitches(page(head(0, 50), head(0, 60), head(0, 90), texts=(word("8", 53, TOP - 3.5),), lines=(line,))) == [
        "E4",
        "E5",
        "E4",
    ]


@pytest.mark.parametrize(("second", "goes_on"), [(0, True), (1, False)])
def test_a_curve_ties_only_heads_of_one_step(second: int, goes_on: bool):
    curve = Area(Box(51.5, y_of(0) + 0.6, 59.7, y_of(0) + 1.4), True, True, 0.0)
    chords = read(page(head(0, 50), head(second, 60), areas=(curve,))).chords
    assert chords[1].heads[0].may_go_on is goes_on


def test_digits_stand_on_the_line_of_their_string():
    ink = page(texts=(word("7", 50, 115.75 + 0.5), word("12", 60, 121.75 + 0.5), word("(5)", 70, 114.25 + 0.5)))
    found = [(digit.string, digit.fret) for column in read(ink).digits for digit in column.digits]
    assert found == [(2, 7), (6, 12), (1, 5)]


def test_a_digit_between_two_lines_is_known_to_be_off():
    (column,) = read(page(texts=(word("7", 50, 116.5 + 0.5),))).digits
    assert column.digits[0].off == pytest.approx(0.5)


def test_the_note_value_of_the_tempo_is_no_note():
    assert pitches(page(sign("noteheads.s2", 100, TOP - 25), head(0, 50))) == ["E4"]


def test_rests_have_the_value_of_their_glyph_and_dots():
    rest = sign("rests.2", 50, y_of(4))
    dot = sign("dots.dot", 51.6, y_of(4), 0.4)
    assert [str(one.length) for one in read(page(rest, dot, sign("rests.3", 60, y_of(4)))).rests] == ["3/8", "1/8"]


def test_a_table_and_a_neck_map_are_no_staves():
    ink = page(head(0, 50))
    table = tuple(replace(line, y0=line.y0 + 80, y1=line.y1 + 80) for line in ink.lines)
    assert len(find_systems(replace(ink, lines=(*ink.lines, *table)))) == 1


def test_a_rule_over_the_staff_does_not_join_it():
    ink = page(head(0, 50))
    rule = Line(LEFT, 16, RIGHT, 16, 0.25, 0.0)
    (system,) = find_systems(replace(ink, lines=(rule, *ink.lines)))
    assert system.staff is not None
    assert system.staff.ys == (100, 101, 102, 103, 104)
