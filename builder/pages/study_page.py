"""What is printed for a study: title, instruction, neck map, tempo row, music, practice notes, log.

Stage:    4 lay out (pure)
In, Out:  a `Study`, its `BookPlan`, the words; `StudyPage`s, one for each rung of the ladder, best first
Units:    millimetres
Not here: note values (`notation`), room on the page (`layout`), LilyPond text (`engraving.lilypond_source`)
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise
from math import ceil
from typing import Literal

from builder.pages.hand import barres, diagrams, shifts, without_told_fingers
from builder.pages.joining import joined
from builder.pages.large_print import LARGE_STRING_GAP_MM, large_head_mm, with_large_head
from builder.pages.layout import Room, ladder
from builder.pages.listening import practice_notes
from builder.pages.measure import Measure
from builder.pages.notation import Value, WrittenBar, written_bars
from builder.pages.note_names import chord_symbol, spoken, tonality, written
from builder.pages.one_staff import circled, positions
from builder.pages.page import ChordName, Cue, Dot, Music, NeckMap, Paper, StudyPage, TempoStep, TrackCode, paper_of
from builder.pages.phrases import Phrases, capitalised
from builder.pages.signs import ORDER, SHORT, drawn, octave_up, signs_of
from builder.pages.staff import middle_line
from builder.spec.plan import BookPlan, Notation
from builder.theory.fretboard import Instrument
from builder.theory.pitch import NoteName
from builder.theory.score import Note, Rest, Study, Technique

_MAP_GAP_MM = 8.0  # between the neck map and what stands beside it
_LEAST_FRET_MM = 5.3  # a disc of 4.5 mm and air
_STRING_GAP_MM = 4.5
_LARGE_FRET_MM = 18.0  # in large print short maps don't grow beyond this
_AROUND = 2  # frets shown on each side of the working area
_MOST_STEPS_BESIDE = {False: 6, True: 5}  # on narrow paper or not: more columns would be narrower than their circles
# Letters of title and aim in a millimetre of their line; longer ones take two lines: see `heading` in style.ily.
_TITLE_LETTERS, _AIM_LETTERS = 0.3, 0.6
_CONTINUED_LETTER_MM = 1.75  # 12 pt italics, shrunk by as much as does not show
_INSTRUCTION_LETTERS, _INSTRUCTION_LINE_MM = 0.66, 3.4  # at 8 pt, where it takes two
_WARNING_LETTERS = 0.6  # bold at 8 pt
_CODE_GAP_MM, _CODE_WORDS_MM = 2.0, 14.0  # between a code's quiet zone and words; the words beside it
# What a code with its quiet zone takes less, as it begins over the title (`beside-code` in track_code.ily), and what is
# saved below the instruction, so that a page with a code is as high as one without.
_CODE_OVER_MM, _CODE_SAVED_MM = 2.2, 1.3
_FACTS_MM, _TEMPO_MM = 9.5, 20.5
_SIGN_LINE_MM, _SIGN_MM, _SIGN_LETTER_MM = 5.4, 9.0, 1.5  # a line of signs; a sign and its gaps; a letter at 8.5 pt
_SLURS: tuple[Technique, ...] = ("hammer-on", "pull-off")


def study_pages(
    study: Study, book: BookPlan, phrases: Phrases, cues: Mapping[str, str], code: TrackCode | None = None
) -> tuple[StudyPage, ...]:
    """Return the page of *study* on every rung of its ladder, the most generous first."""
    paper, study = paper_of(book), without_told_fingers(study)
    music = music_of(study, book, phrases, cues)
    neck_map, wide = neck_map_of(study, paper, phrases)
    kinds = signs_of(study, book.notation)
    signs_below = paper.narrow or not kinds <= SHORT
    # In large print they would fill the side; the book's own page explains them.
    signs = () if paper.large else _signs(kinds, paper, phrases, signs_below)
    notes = practice_notes(study, phrases)
    warnings = _warnings(study, phrases)
    beat = _beat_value(study.meter.beat)
    caution = (phrases("caution.strong"), phrases("caution.rest"))
    caution_lines = paper.caution_lines(caution)
    tempo_below = paper.large or len(study.tempo_steps) > _MOST_STEPS_BESIDE[paper.narrow]
    title_mm, aim_mm = _title_widths_mm(paper, code)
    head_mm = _titles_mm(study, title_mm, aim_mm, code) + _head_mm(study, neck_map, wide, tempo_below)
    if signs_below:
        lines = _lines(_instruction(study, phrases), _INSTRUCTION_LETTERS * paper.line_mm)
        head_mm += len(signs) * _SIGN_LINE_MM + (lines - 1) * _INSTRUCTION_LINE_MM
    measure = Measure(music, study.meter, study.key.signature, paper.line_mm)
    warning_lines = sum(_lines(line, _WARNING_LETTERS * paper.line_mm) for line in warnings)
    room = Room(paper, head_mm, len(notes), warning_lines, caution_lines, book.press.sides == "two")
    rungs = ladder(measure, room, book.staff_size)
    if paper.large:
        rungs = with_large_head(rungs, room, large_head_mm(study, neck_map, _facts(study, phrases), paper), notes)
    return tuple(
        StudyPage(
            study=study.id,
            paper=paper,
            title=study.title,
            title_mm=title_mm,
            aim=study.aim,
            aim_mm=aim_mm,
            code=code,
            instruction=_instruction(study, phrases),
            start_line=start_line(study, phrases),
            facts=_facts(study, phrases),
            neck_map=neck_map,
            wide_map=wide,
            tempo_below=tempo_below,
            beat=beat,
            tempo=_tempo(study, phrases),
            signs=signs,
            signs_below=signs_below,
            music=music,
            shortest=measure.shortest,
            warnings=warnings,
            notes_title=phrases("notes.title"),
            notes=notes,
            log_title=phrases("log.title"),
            log_heads=_log_heads(phrases, paper),
            caution=caution,
            caution_lines=caution_lines,
            tempo_heads=(phrases("tempo.rate"), phrases("tempo.level"), phrases("tempo.clean")),
            continued=_continued(study, paper, phrases),
            rung=rung,
        )
        for rung in rungs
    )


def start_line(study: Study, phrases: Phrases, wording: str = "start") -> str:
    """The start position in words: `Start: string 3, fret 7: D`; *wording* chooses among the phrases for it."""
    key = f"{wording}.open" if study.start.fret == 0 else f"{wording}.fret"
    return phrases(key, string=study.start.string, fret=study.start.fret, note=spoken(study.start_pitch.name, phrases))


def _title_widths_mm(paper: Paper, code: TrackCode | None) -> tuple[float, float]:
    """How wide title and aim may be; the words of a code stand beside the title only."""
    aim_mm = paper.line_mm - (code.side_mm + code.quiet_mm + _CODE_GAP_MM if code else 0.0)
    return round(aim_mm - (_CODE_WORDS_MM if code else 0.0), 2), round(aim_mm, 2)


def _continued(study: Study, paper: Paper, phrases: Phrases) -> str:
    """The head of a study's later sides, on one line: of a long title only the beginning."""
    most = int(paper.line_mm / _CONTINUED_LETTER_MM) - len(phrases("page.continued", title=""))
    title = study.title if len(study.title) <= most or paper.large else f"{study.title[: most - 1].rstrip()}…"
    return phrases("page.continued", title=title)


def _titles_mm(study: Study, title_mm: float, aim_mm: float, code: TrackCode | None) -> float:
    """How high title and aim are with a code beside them; measured on trial pages."""
    title, aim = _lines(study.title, _TITLE_LETTERS * title_mm), _lines(study.aim, _AIM_LETTERS * aim_mm)
    title_high = 9.5 if title == 1 else 1.5 + 6.8 * title
    aim_high = 5.6 if aim == 1 else 0.6 + 4.0 * aim if study.aim else 0.0
    if code is None:
        return title_high + aim_high
    return max(title_high + aim_high, code.side_mm + 2 * code.quiet_mm - _CODE_OVER_MM) - _CODE_SAVED_MM


def _lines(text: str, letters: float) -> int:
    """How many lines of so many letters a text takes; one more where a word too long for a line goes on in the next."""
    longest = max(map(len, text.split()), default=0)
    return ceil(len(text) / letters) + (letters < longest < len(text))


def _head_mm(study: Study, neck_map: NeckMap, wide: bool, tempo_below: bool) -> float:
    """How high instruction, map and tempo row are together; measured on trial pages."""
    neck = neck_map.gap_mm * (len(neck_map.strings) - 1) + 8.0
    beside = _FACTS_MM if tempo_below else _FACTS_MM + _TEMPO_MM
    block = neck + 3 + (_FACTS_MM if tempo_below else _TEMPO_MM) if wide else max(neck, beside)
    return 10.4 + block + (_TEMPO_MM if tempo_below else 0.0)


def _instruction(study: Study, phrases: Phrases) -> str:
    return phrases("instruction.loop" if study.repeats else "instruction.once")


def _facts(study: Study, phrases: Phrases) -> str:
    key = tonality(study.key, phrases)
    parts = [capitalised(key) if phrases.naming == "solfege" else key, str(study.meter)]
    if study.meter.groups:
        parts[-1] += " (" + "+".join(map(str, study.meter.groups)) + ")"
    strokes = f"stroke-rule.{study.stroke_rule}"
    if strokes in phrases:
        parts.append(phrases(strokes))
    if study.instrument.capo:
        parts.append(phrases("facts.capo", fret=study.instrument.capo))
    return "  ·  ".join(parts)


def _warnings(study: Study, phrases: Phrases) -> tuple[str, ...]:
    """What the player should know before playing; the rest of the study's warnings is for the report."""
    reach, comfort = study.metrics.widest_reach_mm, study.hand.comfort_mm
    # Half a millimetre over is not felt, and would print as a reach of 98 mm over 98 mm.
    return (
        (phrases("reach", reach=f"{reach:.0f}", comfort=phrases.number(f"{comfort:g}")),)
        if reach >= comfort + 0.5
        else ()
    )


def _tempo(study: Study, phrases: Phrases) -> tuple[TempoStep, ...]:
    rows = zip(study.tempo_steps, study.rates, study.levels, strict=True)
    return tuple(TempoStep(bpm, phrases.number(f"{rate:.1f}"), level) for bpm, rate, level in rows)


def _beat_value(beat: Fraction) -> Value:
    return Value(beat.denominator // 2, 1) if beat.numerator == 3 else Value(beat.denominator)


def _signs(
    kinds: frozenset[str], paper: Paper, phrases: Phrases, below: bool
) -> tuple[tuple[tuple[str, str], ...], ...]:
    """The signs this page uses, each with its meaning, in lines: a mark without meaning is noise."""
    lines: list[list[tuple[str, str]]] = [[]]
    left = paper.line_mm
    for kind in (kind for kind in ORDER if kind in kinds):
        meaning = phrases(f"sign.{kind}")
        width = _SIGN_MM + len(meaning) * _SIGN_LETTER_MM
        if width > left and below:
            lines.append([])
            left = paper.line_mm
        lines[-1].append((drawn(kind, phrases), meaning))
        left -= width
    return tuple(tuple(line) for line in lines if line)


def _log_heads(phrases: Phrases, paper: Paper) -> tuple[tuple[str, float], ...]:
    narrow = [32.0, 28.0, 34.0, 34.0] if paper.large else [24.0, 20.0, 24.0, 24.0]
    heads = list(zip(("date", "tempo", "clean", "ease"), narrow, strict=True))
    rest = paper.line_mm - sum(width for _, width in heads)
    return tuple((phrases(f"log.{key}"), width) for key, width in [*heads, ("changed", rest)])


# --- neck map ---------------------------------------------------------------------------------------------------------


def neck_map_of(study: Study, paper: Paper, phrases: Phrases) -> tuple[NeckMap, bool]:
    """The working area and two frets on each side; across the page when it is too long to stand beside the tempo."""
    notes = [event for event in study.events if isinstance(event, Note)]
    fretted = sorted({note.fret for note in notes if note.fret}) or [1]
    low, high = fretted[0], fretted[-1]
    open_used = any(note.fret == 0 for note in notes)
    first = 0 if open_used else max(0, low - 1 - _AROUND)
    last = min(study.instrument.last_fret, high + _AROUND)
    beside = paper.map_cell_mm - _MAP_GAP_MM
    wide = paper.large or (last - first) * _LEAST_FRET_MM > beside
    if paper.large:
        width = min(paper.line_mm - 14, (last - first) * _LARGE_FRET_MM)
    else:
        width = paper.line_mm - 14 if wide else min(beside - (5.0 if open_used else 0.0), (last - first) * 11.0)
    names = open_names(study.instrument, phrases)
    places = {(note.string, note.fret): written(note.pitch.name, phrases) for note in reversed(notes)}
    start = (study.start.string, study.start.fret)
    places.setdefault(start, written(study.start_pitch.name, phrases))
    dots = [Dot(*place, name, "start" if place == start else "used") for place, name in sorted(places.items())]
    return (
        NeckMap(
            strings=names,
            first=first,
            last=last,
            band=(low, high) if any(note.fret for note in notes) else None,
            used_frets=tuple(fretted),
            bold_strings=tuple(sorted({note.string for note in notes})),
            dots=tuple(dots),
            width_mm=round(width, 1),
            gap_mm=LARGE_STRING_GAP_MM if paper.large else _STRING_GAP_MM,
        ),
        wide,
    )


def open_names(instrument: Instrument, phrases: Phrases) -> tuple[str, ...]:
    """What the open strings are called from string 1 on, capo on, as written beside a neck."""
    capo = instrument.capo
    names = (sharp_name(pitch.midi + capo) if capo else pitch.name for pitch in instrument.open_strings)
    return tuple(written(name, phrases) for name in names)


def sharp_name(midi: int) -> NoteName:
    """A name for a MIDI note that nothing spells: a natural, or a sharp."""
    return NoteName.parse(("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")[midi % 12])


# --- music ------------------------------------------------------------------------------------------------------------


def music_of(study: Study, book: BookPlan, phrases: Phrases, cues: Mapping[str, str]) -> Music:
    """The notes of *study* as written."""
    notation = book.notation
    bars = joined(written_bars(study))
    notes = [event for event in study.events if isinstance(event, Note)]
    rests = [event for event in study.events if isinstance(event, Rest) and event.checkpoint]
    voices = len(bars[0]) if bars else 1
    return Music(
        instrument=study.instrument,
        meter=str(study.meter),
        signature=study.key.parent_major,
        bars=bars,
        bar_length=study.meter.bar,
        stems=_stems(notes, study.instrument.clef, notation) if voices == 1 else None,
        octave_up=octave_up(study) if notation != "tab" else frozenset(),
        lane_above=any(_over_tab(note) for note in notes),
        lane_below=any((note.stroke or note.technique in _SLURS) and not _over_tab(note) for note in notes),
        notation=book.notation,
        large=book.large_print,
        circled=circled(study) if notation == "staff" else frozenset(),
        letters=tuple((technique, phrases(f"letter.{technique}")) for technique in _SLURS),
        told_bars=_told_bars(bars),
        chords=_chords(study, phrases),
        cues=tuple(Cue(rest.onset, cues[rest.checkpoint]) for rest in rests if rest.checkpoint),
        labels=_labels(study, phrases),
        repeats=study.repeats,
        barres=barres(study),
        shifts=positions(study) if notation == "staff" else shifts(study),
    )


def _chords(study: Study, phrases: Phrases) -> tuple[ChordName, ...]:
    """The chord symbols, with a diagram where a shape is met first."""
    grids = diagrams(study)
    symbols = {shape.onset: shape.symbol for shape in study.shapes} | {mark.onset: mark.symbol for mark in study.chords}
    named = ((onset, symbols[onset], grids.get(onset)) for onset in sorted(symbols))
    return tuple(
        ChordName(onset, chord_parts(chord_symbol(symbol, phrases)), grid)
        for onset, symbol, grid in named
        if symbol or grid
    )


def _told_bars(bars: tuple[WrittenBar, ...]) -> frozenset[int]:
    """The bars in which the plucking hand does something else than in the bar before, or than down and up in turn."""
    told = [[(i.length, [note.stroke for note in i.notes]) for voice in bar for i in voice if i.fresh] for bar in bars]
    anew = {number for number, now in enumerate(told, 1) if number == 1 or now != told[number - 2]}
    mixed = {"down", "up"} <= {stroke for bar in told for _, strokes in bar for stroke in strokes}
    return frozenset(anew | {number for number, bar in enumerate(bars, 1) if mixed and _keeps_direction(bar)})


def _keeps_direction(bar: WrittenBar) -> bool:
    """Whether two notes struck one after the other, no rest between them, get the same stroke."""
    line = [item.notes[0].stroke if item.notes else None for item in bar[0] if item.fresh or not item.notes]
    return any(one == other and one in ("down", "up") for one, other in pairwise(line))


def _over_tab(note: Note) -> bool:
    """Whether anything stands over the tablature for *note*: letters of a lower voice stand under it."""
    lettered = note.technique in _SLURS or bool(note.stroke)
    return note.stroke in ("down", "up") or (lettered and note.voice == 1)


def _labels(study: Study, phrases: Phrases) -> tuple[tuple[int, str], ...]:
    """A label over every pass but the first, which needs none."""
    named = enumerate(study.section_starts, start=1)
    return tuple(
        (bar, phrases(f"pass.{n}") if f"pass.{n}" in phrases else phrases("pass.other", number=n))
        for n, bar in named
        if n > 1
    )


def _stems(notes: list[Note], clef: str, notation: Notation) -> Literal["up", "down"]:
    """One direction for the whole study, from its mean pitch: a page of flipping beams looks restless.

    Under a tablature, which has the strokes above it.
    """
    if notation == "tab":
        return "down"
    mean = sum(note.pitch.step for note in notes) / len(notes) if notes else 0
    return "down" if mean >= middle_line(clef) else "up"


def chord_parts(symbol: str) -> tuple[str, ...]:
    """Split a symbol into letters and signs, so that real accidentals can be drawn.

    >>> chord_parts("F#m7b5"), chord_parts("Bbmaj7"), chord_parts("G7/Bb")
    (('F', '#', 'm7', 'b', '5'), ('B', 'b', 'maj7'), ('G7/B', 'b'))
    """
    parts: list[str] = []
    text = ""
    for index, letter in enumerate(symbol):
        before, after = symbol[index - 1 : index], symbol[index + 1 : index + 2]
        if letter in "#b" and (before in tuple("ABCDEFGH") or after.isdigit()):
            parts += [text] if text else []
            parts.append(letter)
            text = ""
        else:
            text += letter
    return tuple([*parts, text] if text else parts)
