"""Pages for those around the player: parents, teachers; how to measure a hand; an exercise's other places.

Stage:    6 assemble (pure)
In, Out:  a book, an exercise's plan and studies, page labels; values for the templates
Units:    millimetres
Source:   what parents are told of minutes, breaks and pain: the studies and guides named in shared/planning.yaml; the
          bank card to check a printer by: ISO/IEC 7810, format ID-1, 85.60 mm wide
Not here: the words (shared/phrases)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from builder.pages.back import starts_map
from builder.pages.front import Labels, Prose, ProsePage
from builder.pages.note_names import chord_symbol, tonality
from builder.pages.order import study_key
from builder.pages.page import NeckMap, Paper, paper_of
from builder.pages.phrases import Phrases
from builder.pages.sides import dealt, room_mm
from builder.pages.study_page import neck_map_of, start_line
from builder.spec.plan import BookPlan, ExercisePlan
from builder.theory.contour import Pass
from builder.theory.fretboard import Hand
from builder.theory.score import Study

_RULER_MM, _CARD_MM = 150, 85.6
_FIGURE_MM = 6  # room for what stands of the figures before the first line and behind the last
_DAYS, _DAY_MM, _MIDDLE_MM = 5, 20.0, 24.0
_MEASURE_MM, _MEASURE_ROW_MM = 192.0, 8.5  # the page without its rows; a row, as templates/book/measure.ly draws it
_MEASURE_TABLE_MM = 84.0  # the same where its table has a side of its own, on narrow paper
_MOST_SKILLS = 5  # more is not looked for in one lesson (our own choice)
# Heights as templates/book/teacher.ly draws them, measured on trial pages; what is left is ruled to write on.
_TEACHER_MM, _ANSWER_MM, _SKILL_MM, _PLACE_MM, _TEACHER_SPARE_MM = 66.0, 6.6, 3.7, 6.0, 16.0
_SKILL_LETTER_MM, _SKILL_AIR_MM, _ANSWER_LETTERS = 1.62, 3.4, 82
_NOTE_MM, _MOST_LINES = 8.0, 12
_MAP_GAP_MM = 4.5
_SMALL_MAP_MM, _WIDE_MAP_MM, _PLACE_TEXT_MM = 14.0, 14.0, 15.0


@dataclass(frozen=True, slots=True)
class MeasurePage:
    """How to measure a hand, with a ruler in true millimetres: *mm* is one of them on the page as engraved."""

    title: str
    lead: str
    steps: tuple[str, ...]
    sides: int
    mm: float
    ruler_mm: int
    card_mm: float
    card: str
    heads: tuple[str, ...]
    widths_mm: tuple[float, ...]
    rows: int
    hands: str
    hint: str


@dataclass(frozen=True, slots=True)
class SkillRow:
    """A skill with what to listen for, what to look for, and what often goes wrong."""

    skill: str
    listen: str
    look: str
    fault: str


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """One study of an exercise: where it starts, on which page, and its levels at its tempos."""

    study: str
    place: str
    label: str
    levels: str


@dataclass(frozen=True, slots=True)
class TeacherPage:
    """An exercise as its teacher sees it."""

    title: str
    aim: str
    facts: str
    answers: tuple[tuple[str, str], ...]
    skill_heads: tuple[str, str, str, str]
    skills: tuple[SkillRow, ...]
    places_title: str
    neck_map: NeckMap
    place_heads: tuple[str, str, str, str]
    places: tuple[PlaceRow, ...]
    notes_title: str
    note_lines: int


@dataclass(frozen=True, slots=True)
class OtherPlace:
    """A place that is not printed in full: its map and how it is cited."""

    study: str
    line: str
    levels: str
    neck_map: NeckMap
    wide: bool

    @property
    def height_mm(self) -> float:
        """Its height with its words."""
        return _PLACE_TEXT_MM + _SMALL_MAP_MM + self.neck_map.gap_mm * (len(self.neck_map.strings) - 1)


@dataclass(frozen=True, slots=True)
class PlacesPage:
    """The other places of an exercise as small maps, rows of one or two, side by side of paper."""

    title: str
    lead: str
    sides: tuple[tuple[tuple[OtherPlace, ...], ...], ...]


# --- parents ----------------------------------------------------------------------------------------------------------


def parents_guide(book: BookPlan, phrases: Phrases) -> ProsePage:
    """One page for parents; the minutes are the term's where the book plans one."""
    names = phrases.lines("parents.order")
    sections = tuple(Prose(phrases(f"parents.{name}.title"), _paragraphs(name, book, phrases)) for name in names)
    return ProsePage(phrases("parents.title"), phrases("parents.lead"), sections)


def _paragraphs(name: str, book: BookPlan, phrases: Phrases) -> tuple[str, ...]:
    if name != "minutes" or book.term is None:
        return phrases.lines(f"parents.{name}.text")
    planned = phrases("parents.minutes.term", minutes=book.term.minutes, days=book.term.days)
    return (planned, *phrases.lines("parents.minutes.text"))


# --- measuring a hand -------------------------------------------------------------------------------------------------


def measure_page(hands: Mapping[str, Hand], paper: Paper, phrases: Phrases) -> MeasurePage:
    """How to measure a hand; *hands* are those a spec may name."""
    days, middle = (round(paper.across(_DAY_MM), 1),) * _DAYS, round(paper.across(_MIDDLE_MM), 1)
    named = ", ".join(
        phrases("measure.hand", name=phrases.named("hand", hand.name), comfort=phrases.number(f"{hand.comfort_mm:g}"))
        for hand in hands.values()
    )
    return MeasurePage(
        title=phrases("measure.title"),
        lead=phrases("measure.lead"),
        steps=phrases.lines("measure.steps"),
        sides=2 if paper.narrow else 1,
        mm=round(1 / paper.scale, 4),
        ruler_mm=min(_RULER_MM, 10 * int((paper.line_mm * paper.scale - _FIGURE_MM) / 10)),
        card_mm=round(_CARD_MM / paper.scale, 2),
        card=phrases("measure.card"),
        heads=phrases.lines("measure.heads"),
        widths_mm=(round(paper.line_mm - sum(days) - middle, 1), *days, middle),
        rows=int((paper.height_mm - (_MEASURE_TABLE_MM if paper.narrow else _MEASURE_MM)) / _MEASURE_ROW_MM),
        hands=phrases("measure.hands", hands=named),
        hint=phrases("measure.hint"),
    )


# --- the teacher's edition --------------------------------------------------------------------------------------------


def teacher_page(
    plan: ExercisePlan,
    studies: Sequence[Study],
    skills: Mapping[str, str],
    labels: Labels,
    paper: Paper,
    phrases: Phrases,
) -> TeacherPage:
    """The page of one exercise; *studies* are its own, easiest first, *skills* the printed words of every skill."""
    answers = answers_of(plan, studies, phrases)
    rows = tuple(
        SkillRow(skills.get(skill, skill), *(phrases(key) if key in phrases else "" for key in _told(skill)))
        for skill in plan.skills[:_MOST_SKILLS]
    )
    levels = sorted({level for study in studies for level in study.levels})
    span = str(levels[0]) if len(levels) == 1 else f"{levels[0]}–{levels[-1]}"
    left = paper.height_mm - _teacher_mm(answers, rows, studies, paper)
    return TeacherPage(
        title=plan.title,
        aim=plan.aim,
        facts=phrases(
            "teach.facts", exercise=plan.id, levels=span, instrument=phrases.named("instrument", plan.instrument.name)
        ),
        answers=answers,
        skill_heads=(phrases("teach.skill"), phrases("teach.listen"), phrases("teach.look"), phrases("teach.fault")),
        skills=rows,
        places_title=phrases("teach.places"),
        neck_map=starts_map(studies, paper, _MAP_GAP_MM, phrases),
        place_heads=(phrases("teach.start"), phrases("teach.id"), phrases("teach.page"), phrases("teach.levels")),
        places=tuple(
            PlaceRow(
                study.id, start_line(study, phrases, "place"), labels.get(study_key(study.id), ""), levels_line(study)
            )
            for study in studies
        ),
        notes_title=phrases("teach.notes"),
        note_lines=max(0, min(_MOST_LINES, int(left / _NOTE_MM))),
    )


def _told(skill: str) -> tuple[str, str, str]:
    return f"listen.{skill}", f"look.{skill}", f"fault.{skill}"


def levels_line(study: Study) -> str:
    """The level at each tempo step: `60 · 3   84 · 4`, a step whose level is that of the one before left out."""
    told = []
    before = 0
    for tempo, level in zip(study.tempo_steps, study.levels, strict=True):
        if level != before:
            told.append(f"{tempo} · {level}")
        before = level
    return "   ".join(told)


def _teacher_mm(
    answers: Sequence[tuple[str, str]], rows: Sequence[SkillRow], studies: Sequence[Study], paper: Paper
) -> float:
    """What the page needs before the lines to write on; paragraphs by their letters, as trial pages took them."""
    room = paper.top_mm + paper.foot_mm + _TEACHER_SPARE_MM + _TEACHER_MM
    lines = sum(-(-len(text) // _ANSWER_LETTERS) - 1 for _, text in answers)
    letters = (paper.line_mm - 32) / 3 / _SKILL_LETTER_MM
    skills = sum(
        _SKILL_AIR_MM
        + _SKILL_MM * max(-(-len(text) // int(letters)) for text in (row.listen, row.look, row.fault, "x"))
        for row in rows
    )
    strings = studies[0].instrument.strings if studies else 0
    return (
        room + _ANSWER_MM * len(answers) + _SKILL_MM * lines + skills + _PLACE_MM * len(studies) + _MAP_GAP_MM * strings
    )


# --- the answers of a spec in words -----------------------------------------------------------------------------------


def answers_of(plan: ExercisePlan, studies: Sequence[Study], phrases: Phrases) -> tuple[tuple[str, str], ...]:
    """The five answers of the exercise, its tempo and its checkpoints, each as (question, answer)."""
    given = (
        ("notes", _material(plan, studies, phrases)),
        ("order", _order(plan, phrases)),
        ("time", _time(plan, phrases)),
        ("place", _place(plan, studies, phrases)),
        ("strokes", _strokes(plan, phrases)),
        ("tempo", _tempo(plan, phrases)),
        ("checkpoints", _checkpoints(plan, phrases)),
    )
    return tuple((phrases(f"answer.{name}.question"), text) for name, text in given if text)


def _material(plan: ExercisePlan, studies: Sequence[Study], phrases: Phrases) -> str:
    parts = [phrases(f"answer.notes.{plan.material_kind}")]
    symbols = tuple(dict.fromkeys(mark.symbol for study in studies[:1] for mark in study.chords))
    if symbols:
        parts.append(
            phrases("answer.notes.over", chords=", ".join(chord_symbol(symbol, phrases) for symbol in symbols))
        )
    parts += [phrases("answer.notes.key", tonality=tonality(study.key, phrases)) for study in studies[:1]]
    return ", ".join(parts)


def _order(plan: ExercisePlan, phrases: Phrases) -> str:
    """The contour, pass by pass; empty where the material brings its own order."""
    if plan.contour is None:
        return ""
    passes = "; ".join(_pass(one, phrases) for one in plan.contour.passes)
    return passes + (", " + phrases("answer.order.turn") if plan.contour.turn else "")


def _pass(one: Pass, phrases: Phrases) -> str:
    order = " ".join(map(str, one.order)) if one.order else phrases("answer.order.own")
    parts = [order]
    if one.times > 1:
        parts.append(phrases("answer.order.twice" if one.times == 2 else "answer.order.times", times=one.times))
    if one.land is not None:
        parts.append(phrases("answer.order.land", note=one.land))
    return ", ".join(parts)


def _time(plan: ExercisePlan, phrases: Phrases) -> str:
    rule = plan.rhythm
    parts = [str(rule.meter)]
    if rule.durations:
        parts.append(phrases("answer.time.lengths", lengths=" ".join(map(str, rule.durations))))
    elif rule.notes_per_beat:
        counts = ", ".join(map(str, rule.notes_per_beat))
        parts.append(phrases("answer.time.one" if counts == "1" else "answer.time.beat", count=counts))
    if rule.burst:
        parts.append(phrases("answer.time.burst", count=rule.burst))
    if rule.swing:
        parts.append(phrases("answer.time.swing"))
    if any(rule.displace):
        parts.append(phrases("answer.time.displace", beats=", ".join(map(str, rule.displace))))
    if isinstance(rule.rest, str):
        parts.append(phrases(f"answer.time.rest.{rule.rest}"))
    else:
        parts.append(phrases("answer.time.rest.beats", beats=rule.rest))
    return ", ".join(parts)


def _place(plan: ExercisePlan, studies: Sequence[Study], phrases: Phrases) -> str:
    rule = plan.neck
    parts = [phrases(f"answer.place.{rule.path}", count=rule.count or "")]
    if rule.position is not None:
        parts.append(phrases("answer.place.in-position", position=rule.position))
    if rule.strings:
        parts.append(phrases("answer.place.strings", strings=" ".join(map(str, rule.strings))))
    parts.append(phrases("answer.place.one" if len(studies) == 1 else "answer.place.places", count=len(studies)))
    return ", ".join(parts)


def _strokes(plan: ExercisePlan, phrases: Phrases) -> str:
    rule = plan.strokes
    parts = [phrases(f"answer.strokes.{rule.rule}", order=" ".join(rule.order), pattern=" ".join(rule.pattern))]
    if rule.rule in ("alternate", "economy", "legato"):
        parts.append(phrases(f"answer.strokes.first.{rule.first}"))
        parts.append(phrases(f"answer.strokes.after.{rule.after_rest}"))
    return ", ".join(parts)


def _tempo(plan: ExercisePlan, phrases: Phrases) -> str:
    rule = plan.tempo
    if rule.steps == 1:
        return phrases("answer.tempo.one", tempo=rule.low)
    return phrases("answer.tempo.steps", low=rule.low, high=rule.high, steps=rule.steps)


def _checkpoints(plan: ExercisePlan, phrases: Phrases) -> str:
    rule = plan.checkpoints
    return phrases(f"answer.checkpoints.{rule.at}", bars=rule.bars or "")


# --- the other places of an exercise ----------------------------------------------------------------------------------


def places_page(others: Sequence[Study], book: BookPlan, phrases: Phrases) -> PlacesPage:
    """The places in *others*, which the book does not print in full: small maps, two side by side where they fit."""
    paper = paper_of(book)
    rows: list[tuple[OtherPlace, ...]] = []
    for study in others:
        drawn, wide = neck_map_of(study, paper, phrases)
        place = OtherPlace(study.id, start_line(study, phrases, "place"), levels_line(study), drawn, wide)
        alone = bool(rows) and len(rows[-1]) == 1 and not rows[-1][0].wide and not wide
        if alone:
            rows[-1] = (*rows[-1], place)
        else:
            rows.append((place,))
    blocks = [(row, max(place.height_mm for place in row)) for row in rows]
    return PlacesPage(
        title=phrases("places.title", title=others[0].title),
        lead=phrases("places.lead"),
        sides=dealt(blocks, room_mm(paper), _WIDE_MAP_MM + 10),
    )
