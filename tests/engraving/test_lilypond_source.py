"""Bodies of pages as LilyPond text: escaping, tokens, golden pages, and a few engraved for real."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jinja2 import UndefinedError

from builder.engraving import Engine, Sheet, Store, engrave, find_lilypond
from builder.engraving.lilypond_lanes import closing_cues, lane
from builder.engraving.lilypond_notes import name_token, pitch_token, tuning_token
from builder.engraving.lilypond_source import (
    back_sheets,
    front_sheets,
    furniture_sheet,
    ly_string,
    opener_sheets,
    render,
    standalone,
    study_sheet,
    style_text,
)
from builder.errors import Location
from builder.pages import study_furnishing, study_pages
from builder.resources import folder
from builder.theory.pitch import NoteName, Pitch
from builder.theory.score import BarreMark, Note, Study
from tests.pages import samples
from tests.pages.technique_samples import TECHNIQUES, part

CASES = Path(__file__).parent / "cases"
WHERE = Location("books/harbour-lane/exercises/ferry-steps.yaml")
HOSTILE = 'Fun" } #(call-with-output-file "boo.txt" (lambda (p) (display "x" p))) \\markup { " %{ $x \x00\u202e'


def sheet_of(study: Study, paper: str = "a4") -> Sheet:
    return study_sheet(study, samples.book(paper), WHERE, samples.phrases(), samples.CUES)


def strings_removed(text: str) -> str:
    """LilyPond text without its quoted strings: what is left is ours."""
    return re.sub(r'"(?:[^"\\]|\\.)*"', '""', text)


@given(st.text())
def test_a_quoted_text_is_one_string(text: str) -> None:
    quoted = ly_string(text)
    assert strings_removed(quoted) == '""'
    assert "\n" not in quoted


@given(st.text(alphabet=st.characters(exclude_categories=("Cc", "Cs", "Cf", "Zl", "Zp"))))
def test_a_quoted_text_keeps_its_letters(text: str) -> None:
    inner = ly_string(text)[1:-1]
    assert re.sub(r"\\(.)", r"\1", inner) == text


@given(st.builds(Pitch, st.builds(NoteName, st.integers(0, 6), st.integers(-2, 2)), st.integers(0, 8)))
def test_pitches_are_written_in_lilyponds_names(pitch: Pitch) -> None:
    token = pitch_token(pitch)
    match = re.fullmatch(r"([a-g])((?:is|es){0,2})([',]*)", token)
    assert match
    letter = "cdefgab".index(match[1])
    alter = match[2].count("is") - match[2].count("es")
    octave = 3 + match[3].count("'") - match[3].count(",")
    assert Pitch(NoteName(letter, alter), octave) == pitch


def test_tunings_go_from_the_last_string_to_the_first() -> None:
    assert tuning_token(samples.GUITAR) == "<e, a, d g b e'>"
    assert tuning_token(samples.UKULELE) == "<g' c' e' a'>"
    assert tuning_token(replace(samples.GUITAR, capo=2)) == "<fis, b, e a cis' fis'>"
    assert name_token(NoteName.parse("Eb")) == "ees"


def test_words_of_a_lane_stand_at_their_onsets() -> None:
    assert lane([], Fraction(2)) == ""
    assert lane([(Fraction(3, 4), "x"), (Fraction(7, 4), "y")], Fraction(2)) == r"\skip 1*3/4 x 1*1/1 y 1*1/4"


EVERY = {**samples.ALL, **TECHNIQUES}
REVIEWED = ["ferry", "nut", "sevens", "compound", "uke", "voices"]
# One for every sign: slurs and their letters; slides and bends; harmonics; letters in one and two voices; diagrams,
# kept fingers and barres; strums; guide fingers and shifts.
REVIEWED += ["slurs", "slides", "harmonics", "plucked", "strums", "shifting"]


@pytest.mark.parametrize("name", REVIEWED)
def test_pages_are_as_reviewed(name: str, golden: Callable[[Path, str], None]) -> None:
    golden(CASES / f"{name}.ly", sheet_of(EVERY[name]()).bodies[0].text)


@pytest.mark.parametrize("name", EVERY)
def test_bodies_stand_alone_and_balance(name: str) -> None:
    for body in sheet_of(EVERY[name]()).bodies:
        text = strings_removed(body.text)
        assert text.startswith("\\bookpart {")
        assert text.count("{") == text.count("}")
        assert text.replace("\\(", "").count("(") == text.count(")")
        assert "\\version" not in text
        assert body.sides == 1 + text.count("\\pageBreak")


@pytest.mark.parametrize("name", samples.ALL)
def test_every_bar_ends_with_a_check_and_every_tab_note_names_its_string(name: str) -> None:
    study = samples.ALL[name]()
    voices = len({event.voice for event in study.events})
    for body in sheet_of(study).bodies:
        staff, tab = body.text.split("\\new TabStaff")
        tab = tab.split(">>\n", 1)[0] if voices == 1 else tab
        assert len(re.findall(r" \|(?:$| )", staff.split("\\new Staff {")[1], re.MULTILINE)) == study.bars * voices
        heads = re.findall(
            r"(?<![\\\w'])[a-g](?:is|es)*[',]*(\d*\.*)(\\\d)?", tab.split("} {", 1)[1].split("\\layout")[0]
        )
        named = [string for _, string in heads if string]
        assert len(named) >= len({(e.onset, e.string) for e in study.events if hasattr(e, "string")})


def test_hostile_texts_never_leave_their_quotes() -> None:
    study = replace(samples.ferry_steps(), title=HOSTILE, aim=HOSTILE, warnings=(HOSTILE,))
    cues = dict.fromkeys(samples.CUES, HOSTILE)
    book = replace(samples.book(), school=HOSTILE, title=HOSTILE, author=HOSTILE, licence=HOSTILE, edition=HOSTILE)
    phrases = samples.phrases()
    sheets = [
        study_sheet(study, book, WHERE, phrases, cues),
        *front_sheets(book, [study], {}, WHERE, phrases, cues, cues),
        *opener_sheets(book, [study], {}, WHERE, phrases),
        *back_sheets(book, [study], {}, WHERE, phrases),
        furniture_sheet([study_furnishing(study, study.level, book, phrases, 1, HOSTILE)], book, WHERE),
    ]
    for sheet in sheets:
        for body in sheet.bodies:
            left = strings_removed(body.text)
            assert "call-with-output-file" not in left
            assert "%{" not in left
            assert not {"\x00", "\u202e"} & set(body.text)


def test_only_the_last_cue_of_a_system_claims_room() -> None:
    page = study_pages(samples.ferry_steps(), samples.book(), samples.phrases(), samples.CUES)[0]
    closing = closing_cues(page.music, page.rung)
    assert closing == {Fraction(7, 4) + start for start in page.rung.system_starts}
    crowded = replace(page.rung, cues_kept=(True, False, True, True))
    assert closing_cues(page.music, crowded) == closing - {Fraction(15, 4)}


def test_a_name_a_template_does_not_get_is_an_error() -> None:
    with pytest.raises(UndefinedError, match="paper"):
        render("parts/paper.ly")


def test_templates_print_texts_only_through_the_filter() -> None:
    """Whatever is printed unescaped is a number or a token of ours; this lists them all."""
    plain = set()
    for path in sorted(folder("templates").rglob("*.ly")):
        found = re.findall(r"\[\[(.*?)\]\]", path.read_text("utf-8"))
        plain |= {expression.strip() for expression in found if "|text" not in expression}
    texts = (
        "title",
        "aim",
        "words",
        "say",
        "name",
        "school",
        "author",
        "edition",
        "licence",
        "lead",
        "heading",
        "line",
    )
    assert {e for e in plain if e.split(".")[-1] in texts} == {"paper.name"}  # chosen from our own table


def test_the_style_names_the_paper_and_only_fonts_that_travel() -> None:
    letter = style_text(samples.book("letter"))
    assert '"letter"' in letter
    assert set(re.findall(r'fonts\.\w+ = "([^"]+)"', letter)) == {"TeX Gyre Schola", "TeX Gyre Heros"}


def test_inner_strokes_stand_in_the_first_bar_of_a_system_only() -> None:
    tab = sheet_of(samples.ferry_steps()).bodies[0].text.split("\\new TabStaff")[1]
    bars = [bar for bar in tab.split("|") if "\\stroke" in bar]
    assert [("Small" in bar) for bar in bars] == [True, False] * 4
    assert all(len(re.findall(r"\\stroke(?:Down|Up)(?!Small)", bar)) == 2 for bar in bars)


def test_inner_strokes_wait_for_the_first_bar_that_has_any() -> None:
    """A bar that only holds a landing tells nothing; the next one in the system does."""
    whole = samples.ferry_steps()
    first = [event for event in whole.events if event.bar == 1]
    struck = [event for event in first if isinstance(event, Note)]
    lone = replace(struck[-1], onset=Fraction(0), duration=Fraction(1))
    later = [replace(event, bar=event.bar + 1, onset=event.onset + 1) for event in first]
    study = replace(whole, events=(lone, *later), bars=2, chords=(), section_starts=())
    bars = [bar for bar in tab_of(study).split("|") if "\\stroke" in bar]
    assert [("Small" in bar) for bar in bars] == [False, True]


def test_every_bar_tells_its_strokes_where_they_are_not_down_and_up_in_turn() -> None:
    swept = samples.ferry_steps(stroke_rule="economy")
    turn = ("down", "down", "up", "up", "down", "down", "up", "up", "down")
    events, struck = [], 0
    for event in swept.events:
        if isinstance(event, Note):
            events.append(replace(event, stroke=turn[struck % len(turn)]))
            struck += 1
        else:
            events.append(event)
    bars = [bar for bar in tab_of(replace(swept, events=tuple(events))).split("|") if "\\stroke" in bar]
    assert len(bars) == swept.bars
    assert all("Small" in bar for bar in bars)


def tab_of(study: Study) -> str:
    """The text of the tablature on the first rung."""
    text = sheet_of(study).bodies[0].text
    return text.split("\\new TabStaff")[1].split(">>\n    \\layout")[0]


def staff_of(study: Study) -> str:
    return sheet_of(study).bodies[0].text.split("\\new Staff {")[1].split("\\new TabStaff")[0]


def bars(text: str, *strokes: str) -> Study:
    """A study of eighths."""
    return samples.study(part(text, Fraction(1, 8), strokes), len(text.split()) // 8, samples.FOUR)


def test_slurred_notes_carry_letters_and_struck_ones_strokes() -> None:
    tab = tab_of(bars("3/5 3/7h 3/9h 3/7p 2/5 2/7h 2/5p -", "down", "up"))
    assert re.findall(r"\\3(\S*)", tab)[0] == r"\strokeDown("
    assert re.findall(r'\\slurLetter #(\S+) "(\w)"', tab) == [
        ("0/1", "H"),
        ("1/8", "H"),
        ("1/4", "P"),
        ("1/2", "H"),
        ("5/8", "P"),
    ]
    assert len(re.findall(r"\\stroke(?:Down|Up)", tab)) == 2


def test_a_bend_stays_on_its_fret_and_names_its_goal() -> None:
    study = bars("2/8 2/8b2 2/8r 2/5p 2/8 2/8b3 2/8r -")
    assert re.findall(r'\\bendUp #\S+ "([^"]*)" (\S+?)8\\2', tab_of(study)) == [("1", "g'"), ("1½", "g'")]
    assert re.findall(r"\\bendBack #(\S+) g'8\\2", tab_of(study)) == ["1/8", "5/8"]
    assert "a'8" in staff_of(study)  # the staff shows what sounds
    assert "ais'8" in staff_of(study)


def test_a_harmonic_sounds_on_the_staff_and_is_touched_in_tablature() -> None:
    study = bars("1/7o 6/12o - - - - - -")
    assert re.findall(r"\S+harmonic", staff_of(study)) == [r"b''8\harmonic", r"e8\harmonic"]
    assert re.findall(r"\S+harmonic", tab_of(study)) == [r"b'8\1\harmonic", r"e8\6\harmonic"]


def test_letters_of_the_thumb_stand_below_and_the_others_above() -> None:
    tab = tab_of(TECHNIQUES["plucked"]())
    assert set(re.findall(r'([_^])\\pluck "(\w+)"', tab)) == {("_", "p"), ("^", "i"), ("^", "m"), ("^", "a")}


def test_letters_are_told_in_the_first_bar_of_a_system_and_where_they_change() -> None:
    same = "1/5 1/7 1/8 1/7 1/5 1/7 1/8 1/7 "
    again = bars(same * 4, "i", "m")
    counts = [len(re.findall(r"\\pluck", bar)) for bar in tab_of(again).split(" |")[:4]]
    starts = study_pages(again, samples.book(), samples.phrases(), samples.CUES)[0].rung.system_starts
    assert counts == [8 if Fraction(bar) in starts else 0 for bar in range(4)]
    # Seven strokes a bar: i and m change places from bar to bar.
    odd = bars((same[:-4] + "- ") * 4, "i", "m")
    assert [len(re.findall(r"\\pluck", bar)) for bar in tab_of(odd).split(" |")[:4]] == [7] * 4


def test_fingers_that_pluck_together_share_a_sign() -> None:
    letters = {3: "i", 2: "m", 1: "a"}
    events = [
        replace(event, stroke=letters[event.string]) if isinstance(event, Note) else event  # type: ignore[arg-type]
        for event in part("3/0+2/1+1/0 -", Fraction(1, 2))
    ]
    assert r'^\pluck "ima"' in tab_of(samples.study(events, 1, samples.FOUR))


def test_every_strummed_chord_has_one_stroke() -> None:
    study = TECHNIQUES["strums"]()
    onsets = {event.onset for event in study.events}
    strokes = re.findall(r"\\stroke(?:Down|Up)(\w*)", tab_of(study))
    assert len(strokes) == len(onsets)
    assert set(strokes) == {"", "Strum"}


def test_one_stroke_serves_two_voices() -> None:
    upper = part("1/5 1/7 - 1/8", Fraction(1, 4), ["down"])
    lower = part("4/0 - 4/0 4/0", Fraction(1, 4), ["up"], voice=2)
    tab = tab_of(samples.study([*upper, *lower], 1, samples.FOUR))
    assert re.findall(r"\\stroke(Down|Up)", tab) == ["Down", "Down", "Down", "Up"]


def test_a_guide_finger_has_its_dash() -> None:
    events = part(".3/5 .3/7 - -", Fraction(1, 4))
    guided = [replace(event, guide=True) if getattr(event, "fret", 0) == 7 else event for event in events]
    staff = staff_of(samples.study(guided, 1, samples.FOUR))
    assert re.findall(r"4(-\d|\\guideFinger #\d)", staff) == ["-1", r"\guideFinger #3"]


def test_a_barre_begins_and_ends_with_its_notes_and_a_short_one_is_a_word() -> None:
    text = sheet_of(TECHNIQUES["shifting"]()).bodies[0].text.split("\\handLane {")[1].split("}")[0]
    spans = re.findall(r'\\barreFrom "[^"]*"|\\stopTextSpan', text)
    assert spans == [r'\barreFrom "½C V"', r"\stopTextSpan", r'\barreFrom "C V"', r"\stopTextSpan"]
    lengths = [Fraction(length) for length in re.findall(r"s1\*(\d+/\d+)", text)]
    assert sum(lengths) == 4
    lone = replace(bars("3/5 3/7 - - - - - -"), barres=(BarreMark(Fraction(0), Fraction(1, 8), 5, 6),))
    assert r'\handSign "C V"' in sheet_of(lone).bodies[0].text


# --- with the real engraver ------------------------------------------------------------------------------------------


def engraved(texts: list[str], folder_: Path) -> tuple[str, int]:
    """Engrave complete files in one run; what LilyPond complained of, and how many pages came out."""
    import subprocess

    from pypdf import PdfReader

    names = []
    for number, text in enumerate(texts):
        names.append(folder_ / f"page-{number}.ly")
        names[-1].write_text(text, "utf-8")
    command = [str(lilypond()), "--loglevel=WARN", "-dno-point-and-click", *map(str, names)]
    done = subprocess.run(
        command,
        cwd=folder_,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
        env={"LC_ALL": "C", "XDG_CACHE_HOME": str(folder_), "PATH": "/usr/bin:/bin"},
    )
    pages = sum(len(PdfReader(path.with_suffix(".pdf")).pages) for path in names)
    return done.stderr.strip() + ("" if done.returncode == 0 else f"exit {done.returncode}"), pages


def lilypond() -> Path:
    engine: Engine = find_lilypond()
    return engine.lilypond


@pytest.mark.engraves
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_sample_fits_and_most_at_the_first_attempt(paper: str, tmp_path: Path) -> None:
    """The samples are extremes, and tight on purpose: what is asked of the demonstration book is more."""
    sheets = [sheet_of(make(), paper) for make in EVERY.values()]
    sheets = [replace(sheet, key=f"{sheet.key}-{number}") for number, sheet in enumerate(sheets)]
    done = engrave(sheets, style_text(samples.book(paper)), Store(tmp_path), 1, lambda done, total: None)
    assert done.problems == ()
    rungs = [sheet.rung for sheet in done.sheets.values()]
    assert len(rungs) == len(EVERY)
    assert sum(rung > 0 for rung in rungs) <= 5
    sides = {sheet.key: sheet.bodies[0].sides for sheet in sheets}
    # Six systems of septuplets on one side are hoped for, not promised.
    assert sum(sheet.sides > sides[key] for key, sheet in done.sheets.items()) <= 1


@pytest.mark.engraves
def test_the_pages_around_engrave_even_with_hostile_texts(tmp_path: Path) -> None:
    study = replace(samples.ferry_steps(), title='"} #(exit 3) {"')
    book, phrases = replace(samples.book(), school='\\"} #(exit 3)'), samples.phrases()
    sheets = [
        *front_sheets(book, [study], {}, WHERE, phrases, samples.CUES, samples.SAYS),
        *opener_sheets(book, [study], {}, WHERE, phrases),
        *back_sheets(book, [study], {}, WHERE, phrases),
        furniture_sheet([study_furnishing(study, study.level, book, phrases, 1, "1")], book, WHERE),
    ]
    texts = [standalone(sheet.bodies[0].text, style_text(book)) for sheet in sheets]
    complaints, pages = engraved(texts, tmp_path)
    assert complaints == ""
    assert pages == len(sheets)
