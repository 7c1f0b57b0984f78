"""The pages of a term: the rules it was planned by, and its weeks.

Stage:    6 assemble (pure)
In, Out:  a `TermPlan`, its rule and limits, the studies, page labels; values for the templates, side by side of paper
Units:    minutes of playing, lengths in `_mm`
Not here: slips to cut out and the log (`slip_pages`), planning (`curriculum.term`), the words of rules and
          evidence (shared/planning.yaml)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from builder.curriculum.limits import Evidence, Limits
from builder.curriculum.term import MOST_WEEKS, Shortfall, Sitting, TermPlan, Turn
from builder.curriculum.timetable import TermRule
from builder.pages.front import Labels
from builder.pages.order import study_key
from builder.pages.page import Paper
from builder.pages.phrases import Phrases
from builder.pages.sides import even_pieces, pieces, room_mm
from builder.theory.score import Study

# Heights as templates/book/week.ly draws them; the pitch is chosen between the loosest that reads as a table
# and the tightest in which 9 point can be followed across the page (our own choice).
_PITCHES_MM = (7.0, 6.6, 6.2, 5.8, 5.4, 5.0, 4.7, 4.4)
_WEEK_MM, _BETWEEN_MM, _DAY_MM, _FREE_MM = 18.5, 8.0, 7.0, 8.0
_WEEKS_A_SIDE = 2
MOST_TURNS = 30  # of a day or a slip in one piece: what a letter-size side holds
_NOTE_MM, _NOTES_HEAD_MM, _MOST_NOTES = 8.0, 12.0, 9
_TABLE_WEEKS, _LARGE_TABLE_WEEKS = 13, 10  # a line of the table of minutes; the same in large print


@dataclass(frozen=True, slots=True)
class WeekMinutes:
    """A column of the table of minutes."""

    week: str
    minutes: str


@dataclass(frozen=True, slots=True)
class RuleRow:
    """A rule of the plan, what speaks for it and how strongly, in words."""

    rule: str
    evidence: str
    strength: str


@dataclass(frozen=True, slots=True)
class RulesPage:
    """What the term was planned by: *rules* with what speaks for each; *shortfall* empty where everything fits."""

    title: str
    lead: str
    shortfall: str
    minutes_heads: tuple[str, str]
    minutes: tuple[tuple[WeekMinutes, ...], ...]
    rules_title: str
    rules: tuple[RuleRow, ...]
    strengths: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class TurnRow:
    """A turn as it is printed; *rest* is said below it where a break follows."""

    study: str
    fresh: str
    title: str
    label: str
    tempo: str
    minutes: str
    cue: str
    rest: str


@dataclass(frozen=True, slots=True)
class DayRows:
    """A day of practice."""

    heading: str
    minutes: str
    turns: tuple[TurnRow, ...]

    def height_mm(self, pitch: float) -> float:
        """How high it is, lines *pitch* apart."""
        return _DAY_MM + pitch * sum(1 + bool(turn.rest) for turn in self.turns)


@dataclass(frozen=True, slots=True)
class WeekRows:
    """A week, or the part of it that stands on a side; *free* names the days without practice, on its last part."""

    number: int
    heading: str
    minutes: str
    days: tuple[DayRows, ...]
    free: str

    def height_mm(self, pitch: float) -> float:
        """How high it is, lines *pitch* apart."""
        return _WEEK_MM + sum(day.height_mm(pitch) for day in self.days) + (_FREE_MM if self.free else 0.0)


@dataclass(frozen=True, slots=True)
class WeekSide:
    """One side of the plan; *note_lines* are left to write on."""

    heads: tuple[str, ...]
    weeks: tuple[WeekRows, ...]
    pitch_mm: float
    notes_title: str
    note_lines: int


# --- the rules --------------------------------------------------------------------------------------------------------


def weeks_a_row(paper: Paper) -> int:
    """How many weeks a line of the table of minutes holds."""
    return _LARGE_TABLE_WEEKS if paper.large else _TABLE_WEEKS


def rules_page(plan: TermPlan, rule: TermRule, limits: Limits, paper: Paper, phrases: Phrases) -> RulesPage:
    """Say what the term holds, what does not fit, and the rules it was planned by with what speaks for each."""
    named = [WeekMinutes(str(week), str(minutes)) for week, minutes in enumerate(plan.week_minutes, start=1)]
    strengths = dict.fromkeys(each.strength for each in limits.evidence)
    return RulesPage(
        title=phrases("plan.title"),
        lead=phrases(
            "plan.lead",
            weeks=rule.weeks,
            days=rule.days,
            minutes=rule.minutes,
            studies=len(plan.studies),
            all=plan.minutes,
        ),
        shortfall=_shortfall(plan.shortfall, phrases) if plan.shortfall else "",
        minutes_heads=(phrases("plan.week"), phrases("plan.minutes-head")),
        minutes=even_pieces(named, weeks_a_row(paper)),
        rules_title=phrases("plan.rules"),
        rules=tuple(_rule(each, phrases) for each in limits.evidence),
        strengths=tuple(
            (phrases(f"plan.strength.{strength}.name"), phrases(f"plan.strength.{strength}.text"))
            for strength in strengths
        ),
    )


def _rule(each: Evidence, phrases: Phrases) -> RuleRow:
    return RuleRow(
        rule=phrases.own(f"rule.{each.id}.rule", each.rule),
        evidence=phrases.own(f"rule.{each.id}.evidence", each.evidence),
        strength=phrases(f"plan.strength.{each.strength}.name"),
    )


def _shortfall(missing: Shortfall, phrases: Phrases) -> str:
    """What was asked for and does not fit, in words."""
    parts = [_left_out(missing, phrases)] if missing.held < missing.asked else []
    if missing.planned < missing.allowed:
        parts.append(phrases("plan.shortfall.unfilled", planned=missing.planned, allowed=missing.allowed))
    elif missing.allowed < missing.given and not parts:
        parts.append(phrases("plan.shortfall.slow", allowed=missing.allowed, given=missing.given))
    return " ".join(parts)


def _left_out(missing: Shortfall, phrases: Phrases) -> str:
    way = "both" if missing.weeks and missing.minutes else "weeks" if missing.weeks else "minutes"
    more = phrases(
        f"plan.shortfall.{way if missing.weeks or missing.minutes else 'never'}",
        weeks=missing.weeks,
        minutes=missing.minutes,
        most=MOST_WEEKS,
    )
    return phrases("plan.shortfall.studies", held=missing.held, asked=missing.asked, more=more)


# --- the weeks --------------------------------------------------------------------------------------------------------


def week_sides(
    plan: TermPlan,
    limits: Limits,
    studies: Sequence[Study],
    cues: Mapping[str, str],
    labels: Labels,
    paper: Paper,
    phrases: Phrases,
) -> tuple[WeekSide, ...]:
    """The plan week by week: two weeks on a side where they fit, on two sides a week that is too long for one."""
    titles = {study.id: study.title for study in studies}
    words = _Words(titles, cues, labels, phrases, phrases("plan.break", minutes=limits.break_minutes))
    weeks = tuple(_week(number, sittings, words) for number, sittings in by_week(plan))
    room = room_mm(paper)
    fewest = len(_dealt(weeks, room, _PITCHES_MM[-1], phrases))
    pitch = next(pitch for pitch in _PITCHES_MM if len(_dealt(weeks, room, pitch, phrases)) == fewest)
    return tuple(_side(part, room, pitch, phrases) for part in _dealt(weeks, room, pitch, phrases))


@dataclass(frozen=True, slots=True)
class _Words:
    """What rows are worded from."""

    titles: Mapping[str, str]
    cues: Mapping[str, str]
    labels: Labels
    phrases: Phrases
    rest: str


def by_week(plan: TermPlan) -> tuple[tuple[int, tuple[Sitting, ...]], ...]:
    """The sittings of each week."""
    weeks: dict[int, list[Sitting]] = {}
    for sitting in plan.sittings:
        weeks.setdefault(sitting.week, []).append(sitting)
    return tuple((week, tuple(sittings)) for week, sittings in sorted(weeks.items()))


def _week(number: int, sittings: Sequence[Sitting], words: _Words) -> WeekRows:
    phrases = words.phrases
    names = phrases.lines("term-log.days")
    free = [name for day, name in enumerate(names, start=1) if day not in {sitting.day for sitting in sittings}]
    minutes = phrases("plan.minutes", minutes=sum(sitting.minutes for sitting in sittings))
    days = tuple(part for sitting in sittings for part in _day(sitting, words))
    return WeekRows(
        number, phrases("plan.heading", week=number), minutes, days, phrases("plan.free", days=", ".join(free))
    )


def _day(sitting: Sitting, words: _Words) -> tuple[DayRows, ...]:
    """A day; in pieces where it has more turns than a side holds."""
    name = words.phrases.lines("term-log.days")[sitting.day - 1]
    minutes = words.phrases("plan.minutes", minutes=sitting.minutes)
    rows = [
        _turn(turn, words, words.rest if number in sitting.breaks_after else "")
        for number, turn in enumerate(sitting.turns, start=1)
    ]
    continued = words.phrases("page.continued", title=name)
    return tuple(
        DayRows(continued if place else name, "" if place else minutes, piece)
        for place, piece in enumerate(even_pieces(rows, MOST_TURNS))
    )


def _turn(turn: Turn, words: _Words, rest: str) -> TurnRow:
    return TurnRow(
        study=turn.study,
        fresh=words.phrases("plan.fresh") if turn.fresh else "",
        title=words.titles.get(turn.study, turn.study),
        label=words.labels.get(study_key(turn.study), ""),
        tempo=str(turn.tempo),
        minutes=str(turn.minutes),
        cue=words.cues.get(turn.cue, "") if turn.cue else "",
        rest=rest,
    )


def _dealt(weeks: Sequence[WeekRows], room: float, pitch: float, phrases: Phrases) -> tuple[tuple[WeekRows, ...], ...]:
    """Deal weeks on sides of *room* millimetres, lines *pitch* apart."""
    sides: list[list[WeekRows]] = []
    left = 0.0
    for week in weeks:
        height = week.height_mm(pitch)
        if sides and _BETWEEN_MM + height <= left and len(sides[-1]) < _WEEKS_A_SIDE:
            sides[-1].append(week)
            left -= _BETWEEN_MM + height
        elif height <= room:
            sides.append([week])
            left = room - height
        else:
            sides += [[part] for part in _parts(week, room, pitch, phrases)]
            left = 0.0
    return tuple(tuple(side) for side in sides)


def _parts(week: WeekRows, room: float, pitch: float, phrases: Phrases) -> tuple[WeekRows, ...]:
    """A week too long for a side in as few parts as hold it, with as many days in each as can be."""
    for parts in range(2, len(week.days) + 1):
        shares = pieces(week.days, -(-len(week.days) // parts))
        found = tuple(
            replace(
                week,
                heading=week.heading if not place else phrases("page.continued", title=week.heading),
                days=days,
                free=week.free if place + 1 == len(shares) else "",
            )
            for place, days in enumerate(shares)
        )
        if all(part.height_mm(pitch) <= room for part in found):
            break
    return found


def _side(weeks: tuple[WeekRows, ...], room: float, pitch: float, phrases: Phrases) -> WeekSide:
    taken = sum(week.height_mm(pitch) for week in weeks) + _BETWEEN_MM * (len(weeks) - 1)
    left = room - taken - _NOTES_HEAD_MM
    lines = min(_MOST_NOTES, max(0, int(left / _NOTE_MM)))
    heads = tuple(phrases(f"plan.head.{name}") for name in ("study", "page", "tempo", "minutes", "cue"))
    return WeekSide(heads, weeks, pitch, phrases("plan.noticed"), lines if lines > 1 else 0)
