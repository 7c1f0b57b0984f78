"""Score and levels by the metrics, the metrics by the notes, the tempo steps.

In, Out:  a `Reading`; violations in words, none = good
Source:   check values f (tempo steps), k (score and levels)
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from tests.contract.rules.reading import MODE_FIFTHS, Json, Reading, differs, kind_of, signs_of, steady

# A string touched at one n-th of its length sounds its n-th partial.
PARTIALS = {12: 2, 7: 3, 19: 3, 5: 4, 24: 4, 4: 5, 9: 5, 16: 5}
LEVEL_BOUNDS = (0, 8, 16, 24, 34, 44, 55, 67)


def levels(reading: Reading) -> Iterator[str]:
    """One level a tempo step, never falling as the tempo rises, worked out again from the metrics."""
    study = reading.study
    if len(study["levels"]) != len(study["tempo_steps"]):
        yield f"{len(study['tempo_steps'])} tempo steps, {len(study['levels'])} levels"
        return
    if sorted(study["tempo_steps"]) != study["tempo_steps"] or sorted(study["levels"]) != study["levels"]:
        yield f"not rising: tempo {study['tempo_steps']}, levels {study['levels']}"
    if study["level"] != study["levels"][0] and not study["level_pinned"]:
        yield f"level {study['level']}, first step {study['levels'][0]}"
    for tempo, level in zip(study["tempo_steps"], study["levels"], strict=True):
        score = score_at(study, tempo)
        if level not in {level_of(score - 0.01), level_of(score + 0.01)}:
            yield f"level {level} at {tempo}, score {score:.3f}"


def score_at(study: Json, tempo: int) -> float:
    """The score at a tempo: that of the hardest tempo up to it, where a hold that gets shorter makes a difference."""
    metrics, first = study["metrics"], study["tempo_steps"][0]
    slower = range(min(40, tempo), tempo + 1) if metrics["held_seconds"] else (tempo,)
    scaled = (
        {
            **metrics,
            "notes_per_second": metrics["notes_per_second"] * one / first,
            "held_seconds": metrics["held_seconds"] * first / max(one, 40),
        }
        for one in slower
    )
    plucked = study["stroke_rule"] in ("fingers", "pima")
    own = next(part["points"] for part in metrics["parts"] if part["term"] == "string_changes")
    changes = own if plucked else points(10, 0, 0.75, metrics["string_change_share"])
    return max(map(score_of, scaled)) + changes


def points(most: float, zero: float, full: float, amount: float) -> float:
    """Points growing from nothing at *zero* to all at *full*."""
    return most * min(1.0, max(0.0, (amount - zero) / (full - zero)))


def score_of(metrics: Json) -> float:
    """The score by check values k and the model's terms for the hands, all but the changes of string.

    Every page prints tablature, so the key signature is worth nothing.

    >>> walk = dict(notes_per_second=1, widest_reach_mm=77.24, shifts_per_16=0, rhythm_class=0, notes_at_once=1)
    >>> counts = ("crossings_inside", "crossings_outside", "string_skips", "thumb_moves", "finger_repeats", "slurs")
    >>> bent = ("bend_half_steps", "slides", "harmonic_partials")
    >>> idle = dict.fromkeys([*counts, *bent, "finger_moves", "held_seconds"], 0)
    >>> idle |= {"weak_pair_share": 0.125, "onsets": 4}
    >>> round(score_of({**walk, **idle, "longest_run": 4}), 2)
    3.69
    """
    successive = max(1, metrics["onsets"] - 1)
    terms = (
        (30, 1, 13, metrics["notes_per_second"]),
        (15, 60, 130, metrics["widest_reach_mm"]),
        (15, 0, 4, metrics["shifts_per_16"]),
        (10, 0, 4, metrics["rhythm_class"]),
        (10, 1, 4, metrics["notes_at_once"]),
        (5, 4, 64, metrics["longest_run"]),
        (5, 0.2, 0.8, metrics["weak_pair_share"]),
        (8, 0, 10, metrics["held_seconds"]),
        (8, 0, 32, 16 * metrics["finger_moves"] / metrics["onsets"]),
        (3, 0, 0.75, metrics["crossings_inside"] / successive),
        (1, 0, 0.75, metrics["crossings_outside"] / successive),
        (4, 0, 0.5, metrics["string_skips"] / successive),
        (4, 0, 4, 16 * metrics["thumb_moves"] / metrics["onsets"]),
        (4, 0, 0.5, metrics["finger_repeats"] / successive),
        (3, 0, 0.75, metrics["slurs"] / metrics["onsets"]),
        (18, 0, 1.5, metrics["bend_half_steps"] / metrics["onsets"]),
        (3, 0, 0.5, metrics["slides"] / metrics["onsets"]),
        (4, 0, 1, metrics["harmonic_partials"] / 4 / metrics["onsets"]),
    )
    return sum(points(*term) for term in terms)


def level_of(score: float) -> int:
    """The level by its lower bounds."""
    return max(number for number, bound in enumerate(LEVEL_BOUNDS, start=1) if max(score, 0) >= bound)


def score(reading: Reading) -> Iterator[str]:
    """The score follows from the metrics printed beside it, and is the sum of its parts."""
    metrics = reading.study["metrics"]
    expected, found = score_at(reading.study, reading.study["tempo_steps"][0]), metrics["score"]
    if abs(expected - found) > 0.011:
        yield f"score {found}, by the metrics {expected:.3f}"
    if abs(sum(part["points"] for part in metrics["parts"]) - found) > 0.011:
        yield f"score {found} is not the sum of its parts"


def metrics_of_the_notes(reading: Reading) -> Iterator[str]:
    """The metrics, counted again from the events: single lines only, where no reading of the words is in doubt."""
    metrics = reading.study["metrics"]
    if reading.study["key"].split(" ", 1)[1] in MODE_FIFTHS:
        yield from differs(metrics, "key_signs", signs_of(reading.study["key"]))
    yield from differs(metrics, "notes_at_once", max(len(sounding) for _, sounding in reading.sounding))
    if not reading.single:
        return
    yield from differs(metrics, "longest_run", max(len(burst) for burst in reading.bursts))
    reaches = [reading.reach_mm([note["fret"] for note in group]) for group in reading.stays]
    yield from differs(metrics, "widest_reach_mm", max(reaches, default=0.0), 0.006)
    pairs = [(one.notes[0], other.notes[0]) for burst in reading.bursts for one, other in pairwise(burst)]
    shifts = sum(one["position"] != other["position"] for one, other in pairs)
    yield from differs(metrics, "shifts_per_16", 16 * shifts / len(reading.moments), 0.006)
    strings = [moment.notes[0]["string"] for moment in reading.moments]
    changes = [one != other for one, other in pairwise(strings)]
    yield from differs(metrics, "string_change_share", sum(changes) / max(1, len(changes)), 0.006)
    yield from differs(metrics, "onsets", len(reading.moments))
    techniques = [note["technique"] for note in reading.notes]
    yield from differs(metrics, "slides", techniques.count("slide"))
    pushed = [
        abs(one["midi"] - other["midi"])
        for one, other in pairwise(reading.notes)
        if other["technique"] == "bend" and one["string"] == other["string"]
    ]
    yield from differs(metrics, "bend_half_steps", sum(pushed))
    partials = [PARTIALS[note["fret"]] - 1 for note in reading.notes if note["technique"] == "harmonic"]
    yield from differs(metrics, "harmonic_partials", sum(partials))
    yield from differs(metrics, "slurs", sum(note["technique"] in ("hammer-on", "pull-off") for note in reading.notes))
    yield from _crossings_counted(reading)


def _crossings_counted(reading: Reading) -> Iterator[str]:
    """Check values e: outside = down then up to a higher string, or up then down to a lower one; inside = the other."""
    counted = {"crossings_outside": 0, "crossings_inside": 0, "string_skips": 0}
    for burst in reading.bursts:
        picked = [moment.notes[0] for moment in burst if moment.notes[0]["stroke"] in ("down", "up")]
        for one, other in pairwise(picked):
            step = one["string"] - other["string"]
            counted["string_skips"] += abs(step) > 1
            strokes = (one["stroke"], other["stroke"])
            if step and strokes[0] != strokes[1]:
                outside = strokes == (("down", "up") if step > 0 else ("up", "down"))
                counted["crossings_outside" if outside else "crossings_inside"] += 1
    for name, count in counted.items():
        yield from differs(reading.study["metrics"], name, count)


def _equal_run(reading: Reading, spec: Json) -> bool:
    """Whether the study is one voice of runs of equal notes."""
    return len(reading.voices) == 1 and kind_of(spec) not in ("notes", "holds", "chord-changes", "right-hand")


def speed(reading: Reading, spec: Json) -> Iterator[str]:
    """Notes a second = tempo × notes per beat ÷ 60, check values f; more than 12 is a warning."""
    per_beat = steady(spec) if "notes-per-beat" in spec.get("rhythm", {}) else None
    if not per_beat or not _equal_run(reading, spec) or max(map(len, reading.bursts)) < 3:
        return
    steps = reading.study["tempo_steps"]
    yield from differs(reading.study["metrics"], "notes_per_second", steps[0] * per_beat / 60, 0.006)
    if steps[-1] * per_beat / 60 > 12 and not reading.study["warnings"]:
        yield f"{steps[-1] * per_beat / 60:.1f} notes a second without a warning"


def rhythm_class(reading: Reading, spec: Json) -> Iterator[str]:
    """Check values k, for runs of equal notes: how the beat is divided, then rests and dots."""
    per_beat = steady(spec) if "notes-per-beat" in spec.get("rhythm", {}) else None
    if not per_beat or not _equal_run(reading, spec) or "displace" in spec["rhythm"]:
        return
    parts = (reading.beat / per_beat).denominator
    odd = parts // (parts & -parts)
    silent = any(event["kind"] == "rest" for event in reading.study["events"])
    lengths = {moment.end - moment.onset for moment in reading.moments}
    dots = {length for length in lengths if length.numerator & (length.numerator - 1)}
    # The beat of a compound meter is written with a dot; whether that counts is left open.
    plain = {0, 1} if dots or len(lengths) > 1 else {0}
    dotted = any(length % reading.beat for length in dots)
    if odd in (5, 7):
        allowed = {4}
    elif odd == 3:
        allowed = {3} if per_beat % 6 == 0 else {2}
    else:
        allowed = {1} if silent or dotted else plain
    if reading.study["metrics"]["rhythm_class"] not in allowed:
        yield f"rhythm class {reading.study['metrics']['rhythm_class']}, expected {sorted(allowed)}"


def tempo_steps(reading: Reading, spec: Json) -> Iterator[str]:
    """Evenly spaced or in equal ratios, rounded half up, check values f."""
    tempo = spec["tempo"]
    low, high, gaps = tempo["from"], tempo["to"], max(1, tempo["steps"] - 1)
    if tempo.get("spacing") == "ratio":
        expected = [int(low * (high / low) ** (k / gaps) + 0.5) for k in range(tempo["steps"])]
    else:
        expected = [int(Fraction((high - low) * k, gaps) + low + Fraction(1, 2)) for k in range(tempo["steps"])]
    if reading.study["tempo_steps"] != expected:
        yield f"tempo steps {reading.study['tempo_steps']}, expected {expected}"
