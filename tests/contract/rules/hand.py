"""What the fretting hand has to keep: fingers, positions, reach.

In, Out:  a `Reading`; violations in words, none = good
Units:    lengths are mm, frets count from the capo
Source:   check values d, oracles 4 to 7 and 9
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from tests.contract.rules.reading import Json, Reading, kind_of, label, rests_divide

# Oracle d (9): three notes of one string under the hand, as steps in frets, and the fingers that play them.
TRIPLES: dict[tuple[int, ...], tuple[int, ...]] = {(2, 2): (1, 2, 4), (1, 2): (1, 2, 4), (2, 1): (1, 3, 4)}
# Common practice: a mandolin is fingered as a violin, two frets a finger; the frets of each, counted from the position.
TWO_FRETS_A_FINGER = ("mandolin",)
OWN_FRETS = {1: (-1, 0), 2: (1, 2), 3: (3, 4), 4: (5, 6)}
# Hard constraint 4 of the fingering model, as the span of frets a finger may use while the hand lies still.
WANDERING = {1: 1, 2: 2, 3: 2, 4: 3}


def fingers(reading: Reading) -> Iterator[str]:
    """Fretted notes have a finger 1 to 4, open strings 0, oracle d (4)."""
    for note in reading.notes:
        if note["finger"] not in ((1, 2, 3, 4) if note["fret"] else (0,)):
            yield f"{label(note)}: fret {note['fret']} with finger {note['finger']}"


def one_place_a_finger(reading: Reading) -> Iterator[str]:
    """Oracle d (5), at one moment: no string twice, and a finger on two strings only at one fret."""
    for at, sounding in reading.sounding:
        strings = [note["string"] for note in sounding]
        if len(set(strings)) < len(strings):
            yield f"{label(sounding[0])}: two notes on one string"
        frets: dict[int, set[int]] = {}
        for note in sounding:
            frets.setdefault(note["finger"], set()).add(note["fret"])
        yield from (f"at {at}: finger {one} on frets {sorted(on)}" for one, on in frets.items() if len(on) > 1)


def finger_order(reading: Reading) -> Iterator[str]:
    """Oracle d (6): within a hand position a higher fret never has a lower finger."""
    for group in reading.hand_positions:
        used = sorted({(note["fret"], note["finger"]) for note in group})
        for (low, lower), (high, higher) in pairwise(used):
            if higher < lower and high > low:
                yield f"{label(group[0])}: fret {low} finger {lower}, fret {high} finger {higher}"


def fingers_keep_their_places(reading: Reading) -> Iterator[str]:
    """Within a hand position no finger wanders further than the fingering model's hard constraint 4 allows."""
    for group in reading.hand_positions:
        frets: dict[int, set[int]] = {}
        for note in group:
            frets.setdefault(note["finger"], set()).add(note["fret"])
        for finger, on in frets.items():
            if max(on) - min(on) > WANDERING.get(finger, 0):
                yield f"{label(group[0])}: finger {finger} on frets {sorted(on)} in one position"


def position_is_under_finger_one(reading: Reading) -> Iterator[str]:
    """`position` = the fret under finger 1, which may stretch back by one."""
    for note in reading.notes:
        if note["finger"] == 1 and note["fret"] not in (note["position"] - 1, note["position"]):
            yield f"{label(note)}: finger 1 on fret {note['fret']}, position {note['position']}"
        if note["finger"] > 1 and note["fret"] < note["position"] - 1:
            yield f"{label(note)}: finger {note['finger']} on fret {note['fret']}, below position {note['position']}"


def reach_within_limit(reading: Reading) -> Iterator[str]:
    """Oracle d (7), and the warning over comfort."""
    hand, widest = reading.study["hand"], 0.0
    for group in reading.stays:
        reach = reading.reach_mm([note["fret"] for note in group])
        widest = max(widest, reach)
        if reach > hand["limit_mm"] + 0.005:
            yield f"{label(group[0])}: reach {reach:.2f} mm over the limit {hand['limit_mm']}"
    if widest > hand["comfort_mm"] + 0.005 and not reading.study["warnings"]:
        yield f"reach {widest:.2f} mm over comfort {hand['comfort_mm']} without a warning"


def triples(reading: Reading, spec: Json) -> Iterator[str]:
    """Oracle d (9), where the hand stops these three frets alone by fingers the spec leaves open; a bass has 1 2 4."""
    paired = reading.study["instrument"]["name"] in TWO_FRETS_A_FINGER
    if reading.study["instrument"]["scale_length_mm"] > 750 or not reading.single or "fingers" in spec["material"]:
        return
    for group in reading.hand_positions:
        by_string: dict[int, dict[int, int]] = {}
        for note in group:
            by_string.setdefault(note["string"], {})[note["fret"]] = note["finger"]
        stopped = sorted({note["fret"] for note in group})
        for string, used in by_string.items():
            frets = sorted(used)
            steps = tuple(high - low for low, high in pairwise(frets))
            alone = len({(note["fret"], note["finger"]) for note in group}) == len(stopped)
            expected = TRIPLES.get(steps) if frets == stopped and alone else None
            found = [used[fret] for fret in frets]
            if expected and paired:
                places = range(frets[0] - 6, frets[0] + 2)
                if not any(all(fret - at in OWN_FRETS[used[fret]] for fret in frets) for at in places):
                    yield f"{label(group[0])}: string {string} frets {frets} with fingers {found}, not two frets each"
            elif expected and tuple(found) != expected:
                yield f"{label(group[0])}: string {string} frets {frets} with fingers {found}, expected {expected}"


def one_position_a_burst(reading: Reading, spec: Json) -> Iterator[str]:
    """A burst is one hand position unless `shift-in-burst: true`."""
    movable = ("slides", "bends", "harmonics", "drone", "double-notes")
    if spec["neck"].get("shift-in-burst") or not rests_divide(spec) or kind_of(spec) in movable:
        return
    for burst in reading.bursts:
        positions = {note["position"] for moment in burst for note in moment.notes}
        if len(positions) > 1:
            yield f"{label(burst[0].notes[0])}: a burst in positions {sorted(positions)}"


def reach_together(reading: Reading) -> Iterator[str]:
    """Oracle d (7) for what the fingers hold at one moment, in any number of voices; a touched string is not held."""
    for at, sounding in reading.sounding:
        frets = [note["fret"] for note in sounding if note["fret"] and note["technique"] != "harmonic"]
        if frets and reading.reach_mm(frets) > reading.study["hand"]["limit_mm"] + 0.005:
            yield f"at {at}: reach {reading.reach_mm(frets):.2f} mm over frets {sorted(frets)}"


def barres_lie_flat(reading: Reading) -> Iterator[str]:
    """Under a finger that stops two strings at once, no string between them sounds open or nearer the nut."""
    for at, sounding in reading.sounding:
        stops: dict[int, list[Json]] = {}
        for note in sounding:
            stops.setdefault(note["finger"], []).append(note)
        for finger, under in stops.items():
            strings = [note["string"] for note in under]
            if finger and len(under) > 1:
                between = [note for note in sounding if min(strings) < note["string"] < max(strings)]
                for note in between:
                    if note["fret"] < under[0]["fret"]:
                        yield f"at {at}: finger {finger} bars fret {under[0]['fret']} over {label(note)}"


def barres_marked(reading: Reading) -> Iterator[str]:
    """Oracle d (5): a barre that is marked is held by one finger; its fret and its number of strings are those held."""
    for barre in reading.study["barres"]:
        spans = [max(on) - min(on) + 1 for on in _fingers_at(reading, barre).values() if len(on) > 1]
        if barre["strings"] not in spans:
            yield f"barre {barre}, one finger over {spans or 'no'} strings"


def _fingers_at(reading: Reading, barre: Json) -> dict[int, list[int]]:
    """The strings each finger stops at a barre's fret while it lies."""
    begin, end = Fraction(barre["onset"]), Fraction(barre["end"])
    found: dict[int, list[int]] = {}
    for note in reading.notes:
        if begin <= Fraction(note["onset"]) < end and note["fret"] == barre["fret"]:
            found.setdefault(note["finger"], []).append(note["string"])
    return found


def shifts_where_allowed(reading: Reading, spec: Json) -> Iterator[str]:
    """Within a burst the hand moves only on the strings of `shift-on`, `neck.strings` bounds a free path."""
    neck = spec["neck"]
    if neck.get("path") == "free" and "strings" in neck:
        for note in reading.notes:
            if note["string"] not in neck["strings"]:
                yield f"{label(note)}: string {note['string']}, allowed {neck['strings']}"
    if "shift-on" not in neck or not rests_divide(spec) or not reading.single:
        return
    for burst in reading.bursts:
        for one, other in pairwise(moment.notes[0] for moment in burst):
            if one["position"] != other["position"] and other["string"] not in neck["shift-on"]:
                yield f"{label(other)}: shift from {one['position']} to {other['position']} on string {other['string']}"


def open_strings_as_asked(reading: Reading, spec: Json) -> Iterator[str]:
    """With `open-strings: false` nothing sounds open."""
    if spec["neck"].get("open-strings") is False:
        yield from (f"{label(note)}: open" for note in reading.notes if not note["fret"])
