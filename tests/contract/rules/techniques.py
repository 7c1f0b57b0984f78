"""What the materials of one technique each have to play: double notes, slides, bends, harmonics, drones, holds.

In, Out:  a `Reading`, the exercise; violations in words, none = good
Units:    frets count from the capo, intervals are half steps
Source:   the keys of each kind as its page describes them; product contract, section 4
Not here: what a slur, a bend or a harmonic is anywhere (`strokes`, `sound`)
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from tests.contract.rules.hand import TWO_FRETS_A_FINGER
from tests.contract.rules.reading import Json, Reading, kind_of, label, midi_of, of_rhythm
from tests.contract.rules.theory import degrees_of, line_of, there_and_back

# How many letters above the lower note the upper one stands.
LETTERS_UP = {"third": 2, "fourth": 3, "fifth": 4, "sixth": 5, "octave": 7, "tenth": 9}
WIDEST_BEND = 3


def _letter(pitch: str) -> int:
    """The place of a spelled pitch among all letters: C4 and C#4 alike, D4 one more."""
    return "CDEFGAB".index(pitch[0]) + 7 * int(pitch.lstrip("ABCDEFG#b"))


def _low_start(reading: Reading) -> int:
    return midi_of(reading.study["start"]["pitch"])


def starts_where_it_says(reading: Reading, spec: Json) -> Iterator[str]:
    """The start position is the place of the lowest note of the first moment."""
    if kind_of(spec) not in ("double-notes", "slides", "bends", "drone", "holds"):
        return
    contour = spec.get("contour") or {}
    if (contour.get("passes") or [contour])[0].get("order", [1])[0] != 1:
        return
    start = reading.study["start"]
    notes = [note for moment in _figures(reading, spec)[:1] for note in moment]
    if kind_of(spec) == "drone":
        notes = [note for note in notes if note["string"] not in _drones(spec)]
    lowest = min(notes, key=lambda note: note["midi"])
    if (lowest["string"], lowest["fret"]) != (start["string"], start["fret"]):
        yield f"start {start}, the first note on string {lowest['string']} fret {lowest['fret']}"


def _figures(reading: Reading, spec: Json) -> list[list[Json]]:
    """The notes in the groups the material makes: pairs, bends with their release, or moments."""
    notes = [list(moment.notes) for moment in reading.moments]
    size = 1
    if kind_of(spec) == "double-notes" and spec["material"].get("play", "together") != "together":
        size = 2
    if kind_of(spec) == "slides":
        size = 2
    if kind_of(spec) == "bends":
        size = 3 if spec["material"].get("release") else 2
    return [[note for moment in notes[at : at + size] for note in moment] for at in range(0, len(notes), size)]


# --- double notes ----------------------------------------------------------------------------------------------------


def double_notes(reading: Reading, spec: Json) -> Iterator[str]:
    """Each pair spans the interval's letters, lies in the scale and on allowed strings, and climbs in turn."""
    material, degrees = spec["material"], degrees_of(spec)
    if kind_of(spec) != "double-notes":
        return
    pairs = _figures(reading, spec)
    for pair in pairs:
        if len(pair) != 2:
            yield f"{label(pair[0])}: {len(pair)} notes in a double note"
            continue
        yield from _double_note(pair, material, degrees)
    if spec.get("contour"):
        return
    line = line_of(spec, _low_start(reading))
    expected = there_and_back(line, material.get("turn", False))
    found = [min(note["midi"] for note in pair) for pair in pairs]
    if line and found != expected:
        yield f"lower notes {found}, expected {expected}"


def _double_note(pair: Sequence[Json], material: Json, degrees: set[int]) -> Iterator[str]:
    low, high = sorted(pair, key=lambda note: note["midi"])
    if _letter(high["pitch"]) - _letter(low["pitch"]) != LETTERS_UP[material["interval"]]:
        yield f"{label(low)}: to {high['pitch']} is no {material['interval']}"
    yield from (f"{label(note)}: not in the scale" for note in pair if degrees and note["midi"] % 12 not in degrees)
    if material["interval"] == "octave" and high["midi"] - low["midi"] != 12:
        yield f"{label(low)}: an octave of {high['midi'] - low['midi']} half steps"
    strings = material.get("strings")
    if strings:
        allowed = strings if isinstance(strings[0], list) else [strings]
        if [low["string"], high["string"]] not in allowed:
            yield f"{label(low)}: on strings {low['string']} and {high['string']}, allowed {allowed}"
    play = material.get("play", "together")
    if play != "together" and (pair[0] is low) != (play == "broken-up"):
        yield f"{label(pair[0])}: {play} begins with it"


# --- slides ----------------------------------------------------------------------------------------------------------


def slides(reading: Reading, spec: Json) -> Iterator[str]:
    """Every second note is reached by a slide of the asked steps of the scale, by the asked finger, on one string."""
    if kind_of(spec) != "slides":
        return
    material, degrees = spec["material"], degrees_of(spec)
    for pair in _figures(reading, spec):
        if [note["technique"] for note in pair] != [None, "slide"]:
            yield f"{label(pair[0])}: techniques {[note['technique'] for note in pair]}"
        if pair[-1]["slurred"] != (material.get("arrive", "slurred") == "slurred"):
            yield f"{label(pair[-1])}: slurred {pair[-1]['slurred']}"
    yield from _one_string_one_finger(reading, material.get("finger", 1))
    yield from _line_in_scale(reading, degrees)
    yield from _slide_line(reading, spec, degrees)


def _slide_line(reading: Reading, spec: Json, degrees: set[int]) -> Iterator[str]:
    """The slides leave the notes of the line in turn; on the way back each goes down by as many steps."""
    material = spec["material"]
    line = line_of(spec, _low_start(reading))
    if not line:
        return
    steps = material.get("steps", 1)
    steps = steps if isinstance(steps, list) else [steps]
    pairs = _figures(reading, spec)
    up = pairs[: len(line)]
    if [pair[0]["midi"] for pair in up] != line:
        yield f"slides leave {[pair[0]['midi'] for pair in up]}, expected {line}"
    jumps = [_steps_between(pair[0]["midi"], pair[-1]["midi"], degrees) for pair in pairs]
    wanted = [steps[number % len(steps)] for number in range(len(line))]
    if jumps[: len(line)] != wanted:
        yield f"slides of {jumps} steps, expected {wanted}"
    back = jumps[len(line) :]
    if bool(back) != bool(material.get("turn")) or any(jump >= 0 or -jump not in steps for jump in back):
        yield f"on the way back slides of {back} steps"


def _steps_between(low: int, high: int, degrees: set[int]) -> int:
    """Steps of the scale from one note to another, negative if it goes down."""
    between = [midi for midi in range(min(low, high), max(low, high)) if midi % 12 in degrees]
    return len(between) if high >= low else -len(between)


def _one_string_one_finger(reading: Reading, finger: int) -> Iterator[str]:
    start = reading.study["start"]
    for note in reading.notes:
        if note["string"] != start["string"] or note["finger"] != finger or note["fret"] == 0:
            yield f"{label(note)}: string {note['string']} fret {note['fret']} finger {note['finger']}"


def _line_in_scale(reading: Reading, degrees: set[int]) -> Iterator[str]:
    yield from (f"{label(note)}: not in the scale" for note in reading.notes if note["midi"] % 12 not in degrees)


# --- bends -----------------------------------------------------------------------------------------------------------


def bends(reading: Reading, spec: Json) -> Iterator[str]:
    """A fretted note, its bend by what was asked, where asked its release; the fingers that help have frets."""
    if kind_of(spec) != "bends":
        return
    material, degrees = spec["material"], degrees_of(spec)
    figures, finger = _figures(reading, spec), material.get("finger", 3)
    for figure in figures:
        yield from _bend(figure, material, degrees)
    yield from _one_string_one_finger(reading, finger)
    for note in reading.notes:
        if note["fret"] < finger:
            yield f"{label(note)}: finger {finger} on fret {note['fret']} has no help"
    line = line_of(spec, _low_start(reading))
    expected = there_and_back(line, material.get("turn", False))
    if line and [figure[0]["midi"] for figure in figures] != expected:
        yield f"fretted notes {[figure[0]['midi'] for figure in figures]}, expected {expected}"


def _bend(figure: Sequence[Json], material: Json, degrees: set[int]) -> Iterator[str]:
    fretted, bent, *released = figure
    rise = bent["midi"] - fretted["midi"]
    by = material.get("by", "scale")
    wanted = _next_in_scale(fretted["midi"], degrees) - fretted["midi"] if by == "scale" else by
    if rise != wanted or not 0 < rise <= WIDEST_BEND:
        yield f"{label(bent)}: bent by {rise}, expected {wanted}"
    techniques = [note["technique"] for note in figure]
    if techniques != [None, *["bend"] * (len(figure) - 1)] or not all(note["slurred"] for note in figure[1:]):
        yield f"{label(fretted)}: techniques {techniques}"
    yield from (f"{label(note)}: released to another note" for note in released if note["midi"] != fretted["midi"])


def _next_in_scale(midi: int, degrees: set[int]) -> int:
    return next(one for one in range(midi + 1, midi + 13) if one % 12 in degrees)


# --- harmonics, drones, holds ----------------------------------------------------------------------------------------


def harmonics(reading: Reading, spec: Json) -> Iterator[str]:
    """Each string is touched at the asked frets in turn, by the asked finger; with a contour, in its order."""
    if kind_of(spec) != "harmonics":
        return
    material = spec["material"]
    start = reading.study["start"]
    strings = material.get("strings", list(range(start["string"], 0, -1)))
    frets = material.get("frets", [12, 7, 5])
    notes = [moment.notes[0] for moment in reading.moments]
    for note in notes:
        if note["technique"] != "harmonic" or note["slurred"] or note["finger"] != material.get("finger", 3):
            yield f"{label(note)}: {note['technique']} by finger {note['finger']}"
    contour = spec.get("contour") or {"order": list(range(1, len(frets) + 1))}
    played = contour["order"] * contour.get("times", 1) + ([contour["land"]] if "land" in contour else [])
    found = [(note["string"], note["fret"]) for note in notes]
    # A contour counts from the lowest note; frets written from the lowest partial up are in that order already.
    if sorted(frets, reverse=True) == frets and min(frets) >= 4 and max(frets) <= 12 and 9 not in frets:
        expected = [(string, frets[number - 1]) for string in strings for number in played]
        if found != expected:
            yield f"touches {found}, expected {expected}"
    elif set(found) != {(string, frets[number - 1]) for string in strings for number in played}:
        yield f"touches {sorted(set(found))}"


def _drones(spec: Json) -> list[int]:
    drone = spec["material"]["drone"]
    return drone if isinstance(drone, list) else [drone]


def drone(reading: Reading, spec: Json) -> Iterator[str]:
    """The drone's strings sound open and the line keeps off them; it is struck when asked, the line is the scale."""
    if kind_of(spec) != "drone":
        return
    material, drones = spec["material"], _drones(spec)
    for note in reading.notes:
        if note["string"] in drones and note["fret"]:
            yield f"{label(note)}: drone string {note['string']} at fret {note['fret']}"
    line = [note for note in reading.notes if note["string"] not in drones and not note["tied"]]
    allowed = material.get("strings", [reading.study["start"]["string"]])
    yield from (f"{label(note)}: the line on string {note['string']}" for note in line if note["string"] not in allowed)
    up = line_of(spec, _low_start(reading))
    expected = there_and_back(up, material.get("turn", False))
    if up and [note["midi"] for note in line] != expected:
        yield f"line {[note['midi'] for note in line]}, expected {expected}"
    yield from _drone_struck(reading, material.get("strike", "together"), drones, line)


def _drone_struck(reading: Reading, strike: str, drones: Sequence[int], line: Sequence[Json]) -> Iterator[str]:
    """Whether the drone is struck when the exercise says."""
    struck = [note for note in reading.notes if note["string"] in drones and not note["tied"]]
    at = sorted({Fraction(note["onset"]) for note in struck})
    onsets = [Fraction(note["onset"]) for note in line]
    if strike == "alternate":
        order = [note["string"] in drones for note in reading.notes if not note["tied"]]
        if any(one == other == False for one, other in pairwise(order)) or order[0]:  # noqa: E712
            yield f"line and drone don't take turns: {order}"
        return
    if strike == "on-beats":
        onsets = [onset for onset in onsets if onset % reading.bar % reading.beat == 0]
    if at != onsets:
        yield f"the drone is struck at {list(map(str, at))}, expected {list(map(str, onsets))}"
    each = {onset: {note["string"] for note in struck if Fraction(note["onset"]) == onset} for onset in at}
    yield from (f"at {onset}: strings {on} of {drones}" for onset, on in each.items() if on != set(drones))


def holds(reading: Reading, spec: Json) -> Iterator[str]:
    """A shape stands as asked, moves by `shift`, is held for `hold` beats and rested from for at least as long."""
    if kind_of(spec) != "holds":
        return
    material, start = spec["material"], reading.study["start"]
    hold = Fraction(material.get("hold", 4)) * reading.beat
    if len(reading.bursts) != material.get("rounds", 1):
        yield f"{len(reading.bursts)} holds, expected {material.get('rounds', 1)}"
    for number, burst in enumerate(reading.bursts):
        if burst[-1].end - burst[0].onset != hold:
            yield f"{label(burst[0].notes[0])}: held for {burst[-1].end - burst[0].onset}, expected {hold}"
        fret = start["fret"] + number * material.get("shift", -1)
        expected = _hold_places(material, start["string"], reading.study["instrument"], fret)
        notes = [moment.notes[0] for moment in burst]
        found = [(note["string"], note["fret"], note["finger"]) for note in notes]
        if found != expected:
            yield f"{label(notes[0])}: holds (string, fret, finger) {found}, expected {expected}"
    for one, other in pairwise(reading.bursts):
        if other[0].onset - one[-1].end < hold:
            yield f"{label(other[0].notes[0])}: rest of {other[0].onset - one[-1].end} after a hold of {hold}"
    asked = of_rhythm(spec, "rest", "to-barline")
    last = reading.bursts[-1][-1].end
    silent = max(end for moments in reading.voices.values() for _, end, _ in moments) - last
    if isinstance(asked, int) and silent < min(hold, asked * reading.beat):
        yield f"rest of {silent} behind the last hold of {hold}"


def _hold_places(material: Json, start: int, instrument: Json, fret: int) -> list[tuple[int, int, int]]:
    """String, fret and finger of each note of a shape as set; the last finger of a stretch opens by a fret."""
    strings = material.get("strings")
    if material["shape"] == "barre":
        strings = list(range(start, start - strings, -1)) if isinstance(strings, int) else strings
        strings = strings or list(range(start, 0, -1))
        return [(string, fret, 1) for string in strings]
    fingers = material.get("fingers", [1, 4])
    # A finger a fret; two on the mandolin; 1-2-4 over three frets on a bass, where 3 and 4 share the last.
    two_each, long = instrument["name"] in TWO_FRETS_A_FINGER, instrument["scale_length_mm"] > 750
    at_ease = (0, 0, 2, 4, 5) if two_each else (0, 0, 1, 2, 2) if long else (0, 0, 1, 2, 3)
    frets = material.get("frets") or [
        at_ease[finger] - at_ease[fingers[0]] + (finger == fingers[-1]) for finger in fingers
    ]
    strings = strings or [start]
    strings = strings * len(fingers) if len(strings) == 1 else strings
    return [(string, fret + above, finger) for string, above, finger in zip(strings, frets, fingers, strict=True)]
