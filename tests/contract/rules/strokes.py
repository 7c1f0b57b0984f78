"""What the other hand does under each stroke rule.

In, Out:  a `Reading`, the exercise; violations in words, none = good
Source:   check values e; product contract, section 4
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from tests.contract.rules.reading import (
    Burst,
    Json,
    Moment,
    Reading,
    kind_of,
    label,
    lands,
    rests_divide,
    steady,
)

ALLOWED: dict[str, tuple[str | None, ...]] = {
    "down": ("down",), "none": (None,), "fingers": ("i", "m", "a"), "pima": ("p", "i", "m", "a"),
}  # fmt: skip


def strokes(reading: Reading) -> Iterator[str]:
    """Every note that is struck has a stroke of its rule, `none` has none; tied and slurred notes are not struck."""
    rule = reading.study["stroke_rule"]
    for note in reading.notes:
        if note["tied"] or note["slurred"]:
            if note["stroke"] is not None:
                yield f"{label(note)}: not struck, yet stroke {note['stroke']}"
        elif note["stroke"] not in ALLOWED.get(rule, ("down", "up")):
            yield f"{label(note)}: stroke {note['stroke']} under {rule}"


def one_sweep_together(reading: Reading) -> Iterator[str]:
    """Notes begun together share a stroke of the pick, and are plucked by as many fingers, the lower by the lower."""
    at_once: dict[Fraction, list[Json]] = {}
    for note in reading.notes:
        if not note["tied"] and not note["slurred"]:
            at_once.setdefault(Fraction(note["onset"]), []).append(note)
    for together in at_once.values():
        given = [note["stroke"] for note in sorted(together, key=lambda note: -note["string"])]
        if reading.study["stroke_rule"] in ("pima", "fingers"):
            if set(given) != {"p"} and given != [letter for letter in "pima" if letter in given]:
                yield f"{label(together[0])}: plucked {given} from the last string up"
        elif len(set(given)) > 1:
            yield f"{label(together[0])}: struck {given} at once"


def strokes_by_rule(reading: Reading, spec: Json) -> Iterator[str]:
    """Strokes in turn, burst by burst, as check values e list them; only struck notes count."""
    rule = reading.study["stroke_rule"]
    if rule != spec["strokes"]["rule"] or reading.study["after_rest"] != spec["strokes"].get("after-rest", "reset"):
        yield f"stroke rule {rule}, {reading.study['after_rest']}"
    if rule not in ("alternate", "economy", "legato") or len(reading.voices) > 1:
        return
    before: Json | None = None
    for burst in reading.struck:
        for index, moment in enumerate(burst):
            expected = _stroke(reading, spec, moment, None if index == 0 else before, before)
            note = moment.notes[0]
            if expected and note["stroke"] != expected:
                yield f"{label(note)}: struck note {index + 1} of its burst {note['stroke']}, expected {expected}"
            before = note


def _stroke(reading: Reading, spec: Json, moment: Moment, inside: Json | None, before: Json | None) -> str | None:
    """The stroke of a moment; *inside* is the note struck before it in its burst, *before* that of any burst.

    None where the contract leaves it open: on a grid without one slot length, and what several strings at once climb.
    """
    rule, after_rest, note = reading.study["stroke_rule"], reading.study["after_rest"], moment.notes[0]
    last = before if after_rest == "carry" else inside
    if after_rest == "grid" and (rule in ("alternate", "legato") or inside is None):
        return _grid_stroke(reading, spec, moment)
    if rule == "economy" and len(moment.notes) > 1:
        return None
    if last is None:
        return str(spec["strokes"].get("first", "down"))
    strings = reading.study["instrument"]["strings"]
    climb = strings[note["string"] - 1] - strings[last["string"] - 1]
    if rule == "economy" and climb:
        return "down" if climb > 0 else "up"
    return {"down": "up", "up": "down"}.get(last["stroke"])


def _grid_stroke(reading: Reading, spec: Json, moment: Moment) -> str | None:
    """Slots run on from the barline, slot 1 down; None where the spec gives no one slot length."""
    per_beat = steady(spec)
    if per_beat is None or "notes-per-beat" not in spec.get("rhythm", {}) or kind_of(spec) == "notes":
        return None
    slot = (moment.onset % reading.bar) / (reading.beat / per_beat)
    return ("down", "up")[int(slot) % 2] if slot.denominator == 1 else None


def uneven_ends_warn(reading: Reading, spec: Json) -> Iterator[str]:
    """Under `alternate`, a landing that gets another stroke than the first note is a warning."""
    if reading.study["stroke_rule"] != "alternate" or not rests_divide(spec):
        return
    landing = [burst for number, burst in enumerate(reading.bursts) if lands(reading, spec, number)]
    uneven = [burst for burst in landing if burst[0].notes[0]["stroke"] != burst[-1].notes[0]["stroke"]]
    if uneven and not any("stroke" in warning for warning in reading.study["warnings"]):
        yield f"{label(uneven[0][0].notes[0])}: a burst begins and lands on different strokes, no warning"


def slurs(reading: Reading) -> Iterator[str]:
    """Hammer-on: same string, higher fret; pull-off: same string, lower fret; each by a finger of its own."""
    for moments in reading.voices.values():
        before: list[Json] = []
        for _, _, events in moments:
            for note in events:
                if note["kind"] == "note" and not note["tied"]:
                    yield from _slur(note, before)
            before = events


def _slur(note: Json, before: list[Json]) -> Iterator[str]:
    """What is wrong with how *note* is reached from the events before it."""
    technique = note["technique"]
    if note["slurred"] and technique not in ("hammer-on", "pull-off", "slide", "bend"):
        yield f"{label(note)}: slurred by {technique}"
    if technique in ("hammer-on", "pull-off") and not note["slurred"]:
        yield f"{label(note)}: {technique}, yet struck"
    if technique in (None, "harmonic"):
        return
    origin = next((one for one in before if one.get("string") == note["string"]), None)
    if origin is None:
        yield f"{label(note)}: {technique} from no note of its string"
        return
    climb, same = note["fret"] - origin["fret"], note["finger"] == origin["finger"]
    right = {
        "hammer-on": climb > 0 and not same,
        "pull-off": climb < 0 and not same,
        "slide": climb != 0 and same and origin["fret"] > 0,
        "bend": climb == 0 and same and note["fret"] > 0 and note["midi"] != origin["midi"],
    }
    if not right[technique]:
        places = [f"fret {one['fret']} finger {one['finger']}" for one in (origin, note)]
        yield f"{label(note)}: {technique} from {places[0]} to {places[1]}"


def slurs_under_one_hand(reading: Reading) -> Iterator[str]:
    """A hammer-on needs the finger before it down and a higher one to fall, a pull-off a lower one: no shift."""
    notes = sorted((note for note in reading.notes if not note["tied"]), key=lambda note: Fraction(note["onset"]))
    for one, other in pairwise(notes):
        if other["technique"] not in ("hammer-on", "pull-off") or not (one["fret"] and other["fret"]):
            continue
        climb = other["finger"] - one["finger"]
        if one["position"] != other["position"] or (climb > 0) != (other["technique"] == "hammer-on"):
            fingers = f"{one['finger']} at fret {one['fret']} to {other['finger']} at fret {other['fret']}"
            yield f"{label(other)}: {other['technique']} from finger {fingers}"


def legato_counts(reading: Reading, spec: Json) -> Iterator[str]:
    """Struck are the first note of a burst, its landing, the notes `pluck` numbers, and where the hand shifts."""
    if reading.study["stroke_rule"] != "legato" or not rests_divide(spec):
        return
    if spec["strokes"].get("pluck-in") == "beat" and "groups" in spec["rhythm"]:
        return  # whether the groups or the notes they count are meant is left open
    numbers = spec["strokes"].get("pluck", [1])
    for at, burst in enumerate(reading.bursts):
        edges = {0, len(burst) - 1} if lands(reading, spec, at) else {0}
        counts = _counts(reading, spec, burst)
        for index, (moment, count) in enumerate(zip(burst, counts, strict=True)):
            moved = index > 0 and moment.notes[0]["position"] != burst[index - 1].notes[0]["position"]
            expected = index in edges or count in numbers or moved
            if moment.notes[0]["slurred"] == expected:
                yield f"{label(moment.notes[0])}: note {count} of its {spec['strokes'].get('pluck-in', 'string')}, " + (
                    "not struck" if expected else "struck"
                )


def _counts(reading: Reading, spec: Json, burst: Burst) -> list[int]:
    """The number of each note within its string, beat or burst, from 1."""
    where = spec["strokes"].get("pluck-in", "string")
    found: list[int] = []
    last: object = None
    for moment in burst:
        group: object = {
            "string": moment.notes[0]["string"],
            "beat": moment.onset // reading.beat,
            "burst": 0,
        }[where]
        found.append(found[-1] + 1 if found and group == last else 1)
        last = group
    return found


def fingers_in_turn(reading: Reading, spec: Json) -> Iterator[str]:
    """`fingers` takes the letters of `order` in turn, anew after a rest unless the exercise carries on."""
    if reading.study["stroke_rule"] != "fingers" or len(reading.voices) > 1 or reading.study["after_rest"] == "grid":
        return
    order, turn = spec["strokes"].get("order", ["i", "m"]), 0
    for burst in reading.struck:
        turn = 0 if reading.study["after_rest"] == "reset" else turn
        for moment in burst:
            note = moment.notes[0]
            if note["stroke"] != order[turn % len(order)]:
                yield f"{label(note)}: plucked {note['stroke']}, expected {order[turn % len(order)]}"
            turn += 1


def plucking_by_string(reading: Reading, spec: Json) -> Iterator[str]:
    """`pima` plays string 4 and lower with the thumb or, in answer to it, i and m; no finger two notes running."""
    if reading.study["stroke_rule"] != "pima" or kind_of(spec) == "right-hand":
        return
    for note in reading.notes:
        if note["stroke"] == "p" and note["string"] < 4 and not reading.study["shapes"]:
            yield f"{label(note)}: the thumb on string {note['string']}"
    for burst in reading.struck if reading.single else ():
        for one, other in pairwise(moment.notes[0] for moment in burst):
            if one["stroke"] == other["stroke"]:
                yield f"{label(other)}: {one['stroke']} twice running"


def strum_by_pattern(reading: Reading, spec: Json) -> Iterator[str]:
    """Over sets and lines a strum takes the pattern's stroke of the slot, counted from the barline; none on a miss."""
    per_beat = steady(spec)
    if reading.study["stroke_rule"] != "strum" or per_beat is None or kind_of(spec) in ("chord-changes", "notes"):
        return
    pattern = spec["strokes"]["pattern"]
    for moment in reading.moments:
        slot = (moment.onset % reading.bar) / (reading.beat / per_beat)
        if slot.denominator == 1 and moment.notes[0]["stroke"] != pattern[int(slot) % len(pattern)]:
            given, wanted = moment.notes[0]["stroke"], pattern[int(slot) % len(pattern)]
            yield f"{label(moment.notes[0])}: {given} in slot {slot}, the pattern says {wanted}"
