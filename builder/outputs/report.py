"""The report: what a build made, what could not be placed and why, what to know about each study.

In, Out:  a `BookResult` or failures; plain text
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from builder.critic.finding import Finding
from builder.curriculum.coverage import Coverage
from builder.errors import Problem
from builder.result import BookResult
from builder.theory.difficulty import TERMS
from builder.theory.score import Study

_FAULTY = "These pages are not what they should be: look at them before you print them"
_MOST_HOLES = 12  # more is a table to look at, which the JSON holds (our own choice)

# The heads of the columns: seven letters at most, so that a row stays readable.
_HEADS = {
    "speed": "speed",
    "reach": "reach",
    "shifts": "shift",
    "string_changes": "string",
    "rhythm": "rhythm",
    "notes_at_once": "notes",
    "longest_run": "run",
    "key_signs": "key",
    "weak_pairs": "weak",
    "held": "held",
    "finger_moves": "chord",
    "inside_crossings": "inside",
    "outside_crossings": "outside",
    "string_skips": "skip",
    "thumb_moves": "thumb",
    "finger_repeats": "repeat",
    "slurs": "slur",
    "bends": "bend",
    "slides": "slide",
    "harmonics": "harm.",
}


def report_text(result: BookResult, coverage: Coverage, findings: Sequence[Finding] = ()) -> str:
    """The report of a finished book; *findings* are what is wrong with its pages."""
    lines = [result.book.title, "", f"{len(result.studies)} studies on {len(result.pages)} pages", ""]
    if findings:
        lines += [_FAULTY, *(f"  {finding}" for finding in findings), ""]
    lines.append("Studies")
    for study in result.studies:
        pinned = " (pinned)" if study.level_pinned else ""
        steps = "  ".join(f"{tempo}·{level}" for tempo, level in zip(study.tempo_steps, study.levels, strict=True))
        page = result.first_side[study.id]
        lines.append(
            f"  page {page:>3}  level {study.level}{pinned}  score {study.metrics.score:5.2f}  {study.id}  [{steps}]"
        )
    lines += ["", "What the scores are made of, in points, at the first tempo", *_parts_table(result.studies)]
    lines += ["", "Places left out"]
    lines += [
        f"  {one.exercise}: string {one.start.string}, fret {one.start.fret}: {one.reason}" for one in result.skipped
    ] or ["  none"]
    lines += ["", "What the book covers", *_coverage_lines(coverage, result.book.name)]
    lines += ["", "Warnings"]
    lines += [f"  {study.id} {warning}" for study in result.studies for warning in study.warnings] or ["  none"]
    return "\n".join(lines) + "\n"


def _coverage_lines(coverage: Coverage, name: str) -> Iterator[str]:
    """Each neck as a row a string and a column a fret, then every hole and jump, the worst first."""
    for each in coverage.instruments:
        yield f"  {each.instrument}: notes played, a row a string, a column a fret, the first one open"
        frets = len({place.fret for place in each.places})
        times = [place.times for place in each.places]
        width = max(4, len(str(max(times, default=0))) + 1)
        yield from (
            "  " + "".join(f"{count or '.':>{width}}" for count in times[start : start + frets])
            for start in range(0, len(times), frets)
        )
        yield ""
    yield f"  {len(coverage.holes)} holes, the worst first"
    yield from (f"  {hole.sentence}" for hole in coverage.holes[:_MOST_HOLES])
    if len(coverage.holes) > _MOST_HOLES:
        yield f"  … all of them in {name}-coverage.json"
    yield ""
    yield f"  {len(coverage.jumps)} jumps, the steepest first"
    yield from (f"  {jump.sentence}" for jump in coverage.jumps)


def _parts_table(studies: Sequence[Study]) -> Iterator[str]:
    """A row a study, a column a measure; measures that add nothing anywhere are left out, 0.0 is left blank."""
    rows = [(study, {part.term: f"{part.points:.1f}" for part in study.metrics.parts}) for study in studies]
    used = [term for term in TERMS if any(points.get(term, "0.0") != "0.0" for _, points in rows)]
    width = max((len(study.id) for study in studies), default=0)
    yield f"  {'':{width}}  score" + "".join(f"{_HEADS[term]:>8}" for term in used)
    for study, points in rows:
        cells = (points[term] if points[term] != "0.0" else "" for term in used)
        yield (f"  {study.id:{width}}  {study.metrics.score:5.1f}" + "".join(f"{cell:>8}" for cell in cells)).rstrip()
    yield ""
    yield from (f"  {_HEADS[term]:<7}  {term.replace('_', ' ')}" for term in used)


def failure_text(title: str, problems: Iterable[Problem]) -> str:
    """The report of a book with pages that could not be engraved."""
    lines = [title, "", "These pages could not be engraved; the earlier book was left as it is.", ""]
    return "\n".join([*lines, *map(str, problems)]) + "\n"
