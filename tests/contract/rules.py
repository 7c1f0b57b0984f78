"""What every study has to keep, worked out again from its JSON and the spec it came from.

In, Out:  one study of `studies --json` and the plain data of its exercise file; violations in words, none = good
Units:    onsets and durations are fractions of a whole note, lengths mm, frets count from the capo
Source:   product contract, sections 2, 4 and 7; check values d (oracles 4 to 7, 9), e (strokes), f (rests, tempo
          steps), k (score and levels)
Not here: anything of the engine; this module imports nothing of `builder`, so that it can disagree with it
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import pairwise
from typing import Any

Json = dict[str, Any]
Violations = list[str]

LETTERS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
# Place of a mode's tonic in its parent major scale, counted in fifths above the parent's tonic.
MODE_FIFTHS = {
    "major": 0, "ionian": 0, "minor": 3, "aeolian": 3, "dorian": 2, "phrygian": 4, "lydian": -1, "mixolydian": 1,
    "locrian": 5, "harmonic minor": 3, "melodic minor": 3,
}  # fmt: skip
SCALE_STEPS = {"major": (0, 2, 4, 5, 7, 9, 11), "minor": (0, 2, 3, 5, 7, 8, 10), "dorian": (0, 2, 3, 5, 7, 9, 10)}
CHORD_TONES = {"": (0, 4, 7), "m": (0, 3, 7), "7": (0, 4, 7, 10), "m7": (0, 3, 7, 10), "maj7": (0, 4, 7, 11)}
LEVEL_BOUNDS = (0, 8, 16, 24, 34, 44, 55, 67)
# Oracle d (9): three notes of one string under the hand, as steps in frets, and the fingers that play them.
TRIPLES: dict[tuple[int, ...], tuple[int, ...]] = {(2, 2): (1, 2, 4), (1, 2): (1, 2, 4), (2, 1): (1, 3, 4)}

# Hard constraint 4 of the fingering model, as the span of frets a finger may use while the hand lies still.
WANDERING = {1: 1, 2: 2, 3: 2, 4: 3}


def midi_of(pitch: str) -> int:
    """Return the MIDI number of a spelled pitch, worked out letter by letter.

    >>> midi_of("C4"), midi_of("C#4"), midi_of("Bb3"), midi_of("Cb4"), midi_of("B#3"), midi_of("F##4")
    (60, 61, 58, 59, 60, 67)
    """
    match = re.fullmatch(r"([A-G])(#*|b*)(-?\d+)", pitch)
    if not match:
        raise ValueError(f"not a pitch: {pitch}")
    return LETTERS[match[1]] + len(match[2]) * (-1 if "b" in match[2] else 1) + 12 * (int(match[3]) + 1)


def pitch_class(name: str) -> int:
    """Return 0 to 11 for a note name."""
    return midi_of(name + "4") % 12


def signs_of(key: str) -> int:
    """Return the number of sharps or flats of a key's signature.

    >>> signs_of("D minor"), signs_of("F# dorian"), signs_of("Bb major"), signs_of("C lydian")
    (1, 4, 2, 1)
    """
    name, mode = key.split(" ", 1)
    fifths = "FCGDAEB".index(name[0]) - 1 + 7 * (name.count("#") - name[1:].count("b"))
    return abs(fifths - MODE_FIFTHS[mode])


@dataclass(frozen=True, slots=True)
class Moment:
    """The notes of one voice that sound from *onset* to *end*; *tied* = all of them continue."""

    onset: Fraction
    end: Fraction
    notes: tuple[Json, ...]

    @property
    def tied(self) -> bool:
        return all(note["tied"] for note in self.notes)


Burst = tuple[Moment, ...]


@dataclass(frozen=True)
class Reading:
    """A study with its fractions read and its events in order."""

    study: Json

    @cached_property
    def bar(self) -> Fraction:
        count, unit = re.match(r"(\d+)/(\d+)", self.study["meter"]).groups()  # type: ignore[union-attr]
        return Fraction(int(count), int(unit))

    @cached_property
    def beat(self) -> Fraction:
        return Fraction(self.study["beat"])

    @cached_property
    def notes(self) -> tuple[Json, ...]:
        return tuple(event for event in self.study["events"] if event["kind"] == "note")

    @cached_property
    def voices(self) -> dict[int, list[tuple[Fraction, Fraction, list[Json]]]]:
        """Voice → moments in order: onset, end, the events that begin there."""
        found: dict[int, dict[Fraction, list[Json]]] = {}
        for event in self.study["events"]:
            found.setdefault(event["voice"], {}).setdefault(Fraction(event["onset"]), []).append(event)
        return {
            voice: [(onset, onset + Fraction(events[0]["duration"]), events) for onset, events in sorted(at.items())]
            for voice, at in sorted(found.items())
        }

    @cached_property
    def bursts(self) -> tuple[Burst, ...]:
        """The runs of voice 1 between rests, ties merged into the note they continue."""
        runs: list[list[Moment]] = [[]]
        for onset, end, events in self.voices[1]:
            notes = tuple(event for event in events if event["kind"] == "note")
            if not notes:
                runs.append([])
            elif runs[-1] and all(note["tied"] for note in notes):
                held = runs[-1][-1]
                runs[-1][-1] = Moment(held.onset, end, held.notes)
            else:
                runs[-1].append(Moment(onset, end, notes))
        return tuple(tuple(run) for run in runs if run)

    @cached_property
    def moments(self) -> tuple[Moment, ...]:
        return tuple(moment for burst in self.bursts for moment in burst)

    @cached_property
    def sounding(self) -> tuple[tuple[Fraction, list[Json]], ...]:
        """Each onset of a note, with all notes that sound there, held ones included."""
        held: list[tuple[Fraction, Json]] = []
        found: list[tuple[Fraction, list[Json]]] = []
        for note in sorted(self.notes, key=lambda note: Fraction(note["onset"])):
            at = Fraction(note["onset"])
            held = [*((end, one) for end, one in held if end > at), (at + Fraction(note["duration"]), note)]
            if found and found[-1][0] == at:
                found.pop()
            found.append((at, [one for _, one in held]))
        return tuple(found)

    @property
    def single(self) -> bool:
        """Whether one voice plays one note at a time."""
        return len(self.voices) == 1 and all(len(moment.notes) == 1 for moment in self.moments)

    def place_mm(self, fret: int) -> float:
        """The distance of a fret from the nut, check values c; *fret* counts from the capo."""
        instrument = self.study["instrument"]
        return float(instrument["scale_length_mm"] * (1 - 2 ** (-(fret + instrument["capo"]) / 12)))

    def reach_mm(self, frets: Sequence[int]) -> float:
        return self.place_mm(max(frets)) - self.place_mm(min(frets))

    @cached_property
    def hand_positions(self) -> tuple[tuple[Json, ...], ...]:
        """The fretted notes of each run, cut where `position` changes and where a chord begins the next burst."""
        chords = {Fraction(chord["onset"]) for chord in self.study["chords"]}
        groups: list[list[Json]] = []
        for burst in self.bursts if len(self.voices) == 1 else ():
            last = None
            for note in (note for moment in burst for note in moment.notes if note["fret"]):
                if note["position"] != last or Fraction(note["onset"]) in chords:
                    groups.append([])
                groups[-1].append(note)
                last = note["position"]
        return tuple(map(tuple, groups))


def _label(event: Json) -> str:
    return f"bar {event['bar']} onset {event['onset']} voice {event['voice']} {event.get('pitch', 'rest')}"


# --- rules that need the study alone ---------------------------------------------------------------------------------


def sounding_places(reading: Reading) -> Iterator[str]:
    """Open string + capo + fret = MIDI = the pitch as spelled, on a string and fret there is."""
    instrument = reading.study["instrument"]
    for note in reading.notes:
        if not 1 <= note["string"] <= len(instrument["strings"]):
            yield f"{_label(note)}: no string {note['string']}"
            continue
        sound = instrument["strings"][note["string"] - 1] + instrument["capo"] + note["fret"]
        if not sound == note["midi"] == midi_of(note["pitch"]):
            yield f"{_label(note)}: string {note['string']} fret {note['fret']} sounds {sound}, midi {note['midi']}"
        if not 0 <= note["fret"] <= instrument["frets"] - instrument["capo"]:
            yield f"{_label(note)}: no fret {note['fret']}"


def full_bars(reading: Reading) -> Iterator[str]:
    """Every voice is contiguous from 0 to one common barline; nothing crosses a barline; chords are equally long."""
    ends = {}
    for voice, moments in reading.voices.items():
        at = Fraction(0)
        for onset, end, events in moments:
            first = events[0]
            if onset != at:
                yield f"{_label(first)}: begins at {onset}, the voice has come to {at}"
            if len({event["duration"] for event in events}) > 1 or len({event["kind"] for event in events}) > 1:
                yield f"{_label(first)}: events of one onset differ in kind or length"
            if len(events) > 1 and first["kind"] == "rest":
                yield f"{_label(first)}: two rests at once"
            if end <= onset or onset // reading.bar != -(-end // reading.bar) - 1:
                yield f"{_label(first)}: from {onset} to {end} crosses a barline"
            if first["bar"] != onset // reading.bar + 1:
                yield f"{_label(first)}: counted as bar {first['bar']}"
            at = end
        ends[voice] = at
        if at % reading.bar:
            yield f"voice {voice}: ends at {at}, inside a bar of {reading.bar}"
    if len(set(ends.values())) > 1:
        yield f"voices end apart: {ends}"


def ties(reading: Reading) -> Iterator[str]:
    """A tied note continues the very note before it, is not struck again and not stressed."""
    for moments in reading.voices.values():
        before: list[Json] = []
        for _, _, events in moments:
            for event in events:
                if event["kind"] == "note" and event["tied"]:
                    if (event["string"], event["midi"]) not in {(one.get("string"), one.get("midi")) for one in before}:
                        yield f"{_label(event)}: tied to nothing"
                    if event["stroke"] is not None or event["accent"]:
                        yield f"{_label(event)}: tied, yet struck or stressed"
            before = events


def fingers(reading: Reading) -> Iterator[str]:
    """Fretted notes have a finger 1 to 4, open strings 0, oracle d (4)."""
    for note in reading.notes:
        if note["finger"] not in ((1, 2, 3, 4) if note["fret"] else (0,)):
            yield f"{_label(note)}: fret {note['fret']} with finger {note['finger']}"


def one_place_a_finger(reading: Reading) -> Iterator[str]:
    """Oracle d (5), at one moment: no string twice, and a finger on two strings only at one fret."""
    for at, sounding in reading.sounding:
        strings = [note["string"] for note in sounding]
        if len(set(strings)) < len(strings):
            yield f"{_label(sounding[0])}: two notes on one string"
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
                yield f"{_label(group[0])}: fret {low} finger {lower}, fret {high} finger {higher}"


def fingers_keep_their_places(reading: Reading) -> Iterator[str]:
    """Within a hand position no finger wanders further than the fingering model's hard constraint 4 allows."""
    for group in reading.hand_positions:
        frets: dict[int, set[int]] = {}
        for note in group:
            frets.setdefault(note["finger"], set()).add(note["fret"])
        for finger, on in frets.items():
            if max(on) - min(on) > WANDERING.get(finger, 0):
                yield f"{_label(group[0])}: finger {finger} on frets {sorted(on)} in one position"


def position_is_under_finger_one(reading: Reading) -> Iterator[str]:
    """`position` = the fret under finger 1, which may stretch back by one."""
    for note in reading.notes:
        if note["finger"] == 1 and note["fret"] not in (note["position"] - 1, note["position"]):
            yield f"{_label(note)}: finger 1 on fret {note['fret']}, position {note['position']}"
        if note["finger"] > 1 and note["fret"] < note["position"] - 1:
            yield f"{_label(note)}: finger {note['finger']} on fret {note['fret']}, below position {note['position']}"


def reach_within_limit(reading: Reading) -> Iterator[str]:
    """Oracle d (7), and the warning over comfort."""
    hand, widest = reading.study["hand"], 0.0
    for group in reading.hand_positions:
        reach = reading.reach_mm([note["fret"] for note in group])
        widest = max(widest, reach)
        if reach > hand["limit_mm"] + 0.005:
            yield f"{_label(group[0])}: reach {reach:.2f} mm over the limit {hand['limit_mm']}"
    if widest > hand["comfort_mm"] + 0.005 and not reading.study["warnings"]:
        yield f"reach {widest:.2f} mm over comfort {hand['comfort_mm']} without a warning"


def triples(reading: Reading) -> Iterator[str]:
    """Oracle d (9), where the hand stops these three frets and no others; not on a bass, which plays 1 2 4."""
    if reading.study["instrument"]["scale_length_mm"] > 750 or not reading.single:
        return
    for group in reading.hand_positions:
        by_string: dict[int, dict[int, int]] = {}
        for note in group:
            by_string.setdefault(note["string"], {})[note["fret"]] = note["finger"]
        stopped = sorted({note["fret"] for note in group})
        for string, used in by_string.items():
            frets = sorted(used)
            steps = tuple(high - low for low, high in pairwise(frets))
            expected = TRIPLES.get(steps) if frets == stopped else None
            if expected and tuple(used[fret] for fret in frets) != expected:
                found = [used[fret] for fret in frets]
                yield f"{_label(group[0])}: string {string} frets {frets} with fingers {found}, expected {expected}"


def identity(reading: Reading) -> Iterator[str]:
    """The id is `<exercise>-s<string>f<fret>`; the start's pitch sounds there."""
    study, start = reading.study, reading.study["start"]
    if study["id"] != f"{study['exercise']}-s{start['string']}f{start['fret']}":
        yield f"id {study['id']} with start {start}"
    sound = study["instrument"]["strings"][start["string"] - 1] + study["instrument"]["capo"] + start["fret"]
    if midi_of(start["pitch"]) != sound:
        yield f"start {start} sounds {sound}"


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
    >>> idle = dict.fromkeys([*counts, "finger_moves", "held_seconds"], 0) | {"weak_pair_share": 0.125, "onsets": 4}
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
        yield from _differs(metrics, "key_signs", signs_of(reading.study["key"]))
    yield from _differs(metrics, "notes_at_once", max(len(sounding) for _, sounding in reading.sounding))
    if not reading.single:
        return
    yield from _differs(metrics, "longest_run", max(len(burst) for burst in reading.bursts))
    reaches = [reading.reach_mm([note["fret"] for note in group]) for group in reading.hand_positions]
    yield from _differs(metrics, "widest_reach_mm", max(reaches, default=0.0), 0.006)
    pairs = [(one.notes[0], other.notes[0]) for burst in reading.bursts for one, other in pairwise(burst)]
    shifts = sum(one["position"] != other["position"] for one, other in pairs)
    yield from _differs(metrics, "shifts_per_16", 16 * shifts / len(reading.moments), 0.006)
    strings = [moment.notes[0]["string"] for moment in reading.moments]
    changes = [one != other for one, other in pairwise(strings)]
    yield from _differs(metrics, "string_change_share", sum(changes) / max(1, len(changes)), 0.006)
    yield from _differs(metrics, "onsets", len(reading.moments))
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
        yield from _differs(reading.study["metrics"], name, count)


def _differs(metrics: Json, name: str, expected: float, tolerance: float = 0.0) -> Iterator[str]:
    if abs(metrics[name] - expected) > tolerance:
        yield f"{name} {metrics[name]}, counted {expected}"


def strokes(reading: Reading) -> Iterator[str]:
    """`down` strikes everything down, `none` has no strokes, the others give every struck note one."""
    rule = reading.study["stroke_rule"]
    allowed = {"down": ("down",), "none": (None,)}.get(rule, ("down", "up"))
    for note in reading.notes:
        if not note["tied"] and note["stroke"] not in allowed:
            yield f"{_label(note)}: stroke {note['stroke']} under {rule}"


def checkpoints(reading: Reading) -> Iterator[str]:
    """Cues stand on rests of a beat or more, and never the same twice running."""
    rests = [event for event in reading.study["events"] if event["kind"] == "rest" and event["checkpoint"]]
    for rest in rests:
        if Fraction(rest["duration"]) < reading.beat:
            yield f"{_label(rest)}: cue {rest['checkpoint']} on a rest of {rest['duration']}"
    for one, other in pairwise(rests):
        if one["checkpoint"] == other["checkpoint"]:
            yield f"{_label(other)}: cue {one['checkpoint']} twice running"


def chords_in_order(reading: Reading) -> Iterator[str]:
    """Each chord begins with a burst, later than the one before."""
    onsets = [Fraction(chord["onset"]) for chord in reading.study["chords"]]
    if onsets != sorted(set(onsets)):
        yield f"chord onsets {[str(onset) for onset in onsets]}"
    struck = {moment.onset for moment in reading.moments}
    yield from (f"chord at {onset}, where no note begins" for onset in onsets if onset not in struck)


# --- rules that need the spec too ------------------------------------------------------------------------------------


def _passes(spec: Json) -> list[Json]:
    contour = spec.get("contour") or {}
    return contour.get("passes") or [contour]


def lands(reading: Reading, spec: Json, number: int) -> bool:
    """Whether burst *number* (from 0) is to end on a landing note."""
    passes = _passes(spec)
    return "land" in passes[number * len(passes) // len(reading.bursts)]


def _rhythm(spec: Json, key: str, default: Any) -> Any:
    return spec.get("rhythm", {}).get(key, default)


def rests_divide(spec: Json) -> bool:
    """Whether silence stands between all bursts, so that they can be read off the JSON."""
    rest = _rhythm(spec, "rest", "to-barline")
    if spec["material"]["kind"] == "notes" or rest in ("none", "to-beat"):
        return False
    if isinstance(spec.get("checkpoints", {}).get("at"), dict):
        return False  # a bar of rest after every so many bars falls where it falls, inside a burst too
    return rest != "to-barline" or bool(_rhythm(spec, "rest-at-least", 1))


def note_lengths(reading: Reading, spec: Json) -> Iterator[str]:
    """Run notes last a beat divided by `notes-per-beat`, or one of `durations`; landing notes `landing` beats."""
    if not rests_divide(spec):
        return
    allowed = {Fraction(length) for length in _rhythm(spec, "durations", [])}
    allowed = allowed or {reading.beat / _rhythm(spec, "notes-per-beat", 4)}
    for number, burst in enumerate(reading.bursts):
        landing = lands(reading, spec, number)
        run = burst[:-1] if landing else burst
        for moment in run:
            if moment.end - moment.onset not in allowed:
                wanted = sorted(map(str, allowed))
                yield f"{_label(moment.notes[0])}: lasts {moment.end - moment.onset}, expected {wanted}"
        last = burst[-1]
        if landing and last.end - last.onset != _rhythm(spec, "landing", 1) * reading.beat:
            yield f"{_label(last.notes[0])}: landing lasts {last.end - last.onset}"


def landings(reading: Reading, spec: Json) -> Iterator[str]:
    """The landing note stands on a beat."""
    if rests_divide(spec):
        for number, burst in enumerate(reading.bursts):
            if lands(reading, spec, number) and burst[-1].onset % reading.bar % reading.beat:
                yield f"{_label(burst[-1].notes[0])}: landing inside a beat"


def accents(reading: Reading, spec: Json) -> Iterator[str]:
    """The first note and the landing of each burst are stressed, no others."""
    if not rests_divide(spec):
        return
    for number, burst in enumerate(reading.bursts):
        stressed = {0, len(burst) - 1} if lands(reading, spec, number) else {0}
        for index, moment in enumerate(burst):
            if any(note["accent"] != (index in stressed) for note in moment.notes):
                yield f"{_label(moment.notes[0])}: note {index + 1} of {len(burst)}, accent {moment.notes[0]['accent']}"


def bursts_cut(reading: Reading, spec: Json) -> Iterator[str]:
    """A scale is one run, or cut into bursts of `burst` notes, the last one shorter where they don't come out even."""
    if spec["material"]["kind"] != "scale" or spec.get("contour") or not rests_divide(spec):
        return
    count = len(reading.moments)
    size = _rhythm(spec, "burst", count)
    expected = [min(size, count - first) for first in range(0, count, size)]
    if [len(burst) for burst in reading.bursts] != expected:
        yield f"bursts of {[len(burst) for burst in reading.bursts]} notes, expected {expected}"


def one_position_a_burst(reading: Reading, spec: Json) -> Iterator[str]:
    """A burst is one hand position unless `shift-in-burst: true`."""
    if spec["neck"].get("shift-in-burst") or not rests_divide(spec):
        return
    for burst in reading.bursts:
        positions = {note["position"] for moment in burst for note in moment.notes}
        if len(positions) > 1:
            yield f"{_label(burst[0].notes[0])}: a burst in positions {sorted(positions)}"


def rests_by_rule(reading: Reading, spec: Json) -> Iterator[str]:
    """The next burst begins where `rest` says, or within its first beat as a pick-up that ends on a beat."""
    if not rests_divide(spec):
        return
    for number, (one, other) in enumerate(pairwise(reading.bursts), start=1):
        slot = _next_slot(reading, spec, one[-1].end)
        late = other[0].onset - slot
        run = other[-1].onset - other[0].onset
        expected = -run % reading.beat if lands(reading, spec, number) else 0
        if late != expected:
            place = _label(other[0].notes[0])
            yield f"{place}: begins {late} after {slot}, expected {expected}; the last one ended {one[-1].end}"


def _next_slot(reading: Reading, spec: Json, end: Fraction) -> Fraction:
    """Where the next burst's first beat begins, check values f."""
    rest = _rhythm(spec, "rest", "to-barline")
    if rest != "to-barline":
        return -(-(end + Fraction(rest) * reading.beat) // reading.beat) * reading.beat
    barline = -(-end // reading.bar) * reading.bar
    short = barline - end < Fraction(_rhythm(spec, "rest-at-least", 1)) * reading.beat
    return barline + (reading.bar if short else 0)


def strokes_by_rule(reading: Reading, spec: Json) -> Iterator[str]:
    """Alternate and economy strokes, burst by burst, as check values e list them."""
    rule = reading.study["stroke_rule"]
    if rule != spec["strokes"]["rule"] or reading.study["after_rest"] != spec["strokes"].get("after-rest", "reset"):
        yield f"stroke rule {rule}, {reading.study['after_rest']}"
    if rule not in ("alternate", "economy") or not reading.single:
        return
    before: Json | None = None
    for burst in reading.bursts:
        for index, moment in enumerate(burst):
            expected = _stroke(reading, spec, moment, None if index == 0 else before, before)
            note = moment.notes[0]
            if expected and note["stroke"] != expected:
                yield f"{_label(note)}: note {index + 1} of its burst {note['stroke']}, expected {expected}"
            before = note


def _stroke(reading: Reading, spec: Json, moment: Moment, inside: Json | None, before: Json | None) -> str | None:
    """The stroke of a moment; *inside* is the note before it in its burst, *before* that of any burst."""
    after_rest, note = reading.study["after_rest"], moment.notes[0]
    last = before if after_rest == "carry" else inside
    if after_rest == "grid" and (reading.study["stroke_rule"] == "alternate" or inside is None):
        return _grid_stroke(reading, spec, moment)
    if last is None:
        return str(spec["strokes"].get("first", "down"))
    strings = reading.study["instrument"]["strings"]
    climb = strings[note["string"] - 1] - strings[last["string"] - 1]
    if reading.study["stroke_rule"] == "economy" and climb:
        return "down" if climb > 0 else "up"
    return {"down": "up", "up": "down"}.get(last["stroke"])


def _grid_stroke(reading: Reading, spec: Json, moment: Moment) -> str | None:
    """Slots run on from the barline, slot 1 down; None where the spec gives no one slot length."""
    per_beat = _rhythm(spec, "notes-per-beat", None)
    if per_beat is None or spec["material"]["kind"] == "notes":
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
        yield f"{_label(uneven[0][0].notes[0])}: a burst begins and lands on different strokes, no warning"


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


def speed(reading: Reading, spec: Json) -> Iterator[str]:
    """Notes a second = tempo × notes per beat ÷ 60, check values f; more than 12 is a warning."""
    per_beat = _rhythm(spec, "notes-per-beat", None)
    if not per_beat or spec["material"]["kind"] == "notes" or max(map(len, reading.bursts)) < 3:
        return
    steps = reading.study["tempo_steps"]
    yield from _differs(reading.study["metrics"], "notes_per_second", steps[0] * per_beat / 60, 0.006)
    if steps[-1] * per_beat / 60 > 12 and not reading.study["warnings"]:
        yield f"{steps[-1] * per_beat / 60:.1f} notes a second without a warning"


def rhythm_class(reading: Reading, spec: Json) -> Iterator[str]:
    """Check values k, for runs of equal notes: how the beat is divided, then rests and dots."""
    per_beat = _rhythm(spec, "notes-per-beat", None)
    if not per_beat or spec["material"]["kind"] == "notes":
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


def cues_after_landings(reading: Reading, spec: Json) -> Iterator[str]:
    """`at: rests` marks the first rest of a beat or more after each landing; `none` marks nothing."""
    at = spec.get("checkpoints", {}).get("at", "rests")
    marked = [event for event in reading.study["events"] if event.get("checkpoint")]
    if at == "none" and marked:
        yield f"{_label(marked[0])}: a checkpoint where none was asked"
    if at != "rests" or not rests_divide(spec):
        return
    rests = [event for event in reading.study["events"] if event["kind"] == "rest"]
    ends = [*(burst[0].onset for burst in reading.bursts[1:]), Fraction(10**6)]
    for number, (burst, until) in enumerate(zip(reading.bursts, ends, strict=True)):
        after = [rest for rest in rests if burst[-1].end <= Fraction(rest["onset"]) < until]
        first = [rest for rest in after if Fraction(rest["duration"]) >= reading.beat][:1]
        cues = [rest for rest in after if rest["checkpoint"]]
        if cues != first and (cues or lands(reading, spec, number)):
            shown = ", ".join(f"{rest['onset']}+{rest['duration']} {rest['checkpoint']}" for rest in after)
            yield f"after {burst[-1].end}, rests {shown or 'none'}"


def start_note(reading: Reading, spec: Json) -> Iterator[str]:
    """The start is the lowest note of the first set, wherever in the set the contour begins."""
    start = reading.study["start"]
    if spec["material"]["kind"] == "notes":
        first = min(Fraction(note["onset"]) for note in reading.notes)
        sounding = [note for note in reading.notes if Fraction(note["onset"]) == first]
    elif any(1 not in one.get("order", [1]) for one in _passes(spec)[:1]):
        return
    else:
        count = _first_set_notes(reading, spec)
        sounding = [note for moment in reading.moments[:count] for note in moment.notes]
    lowest = min(sounding, key=lambda note: note["midi"])
    if (lowest["string"], lowest["fret"]) != (start["string"], start["fret"]):
        yield f"start {start}, the first set's lowest note on string {lowest['string']} fret {lowest['fret']}"


def _first_set_notes(reading: Reading, spec: Json) -> int:
    """How many notes of the study play the first set."""
    if "order" in _passes(spec)[0]:
        return len(_passes(spec)[0]["order"])
    pattern = spec["material"].get("pattern")
    if isinstance(pattern, list):
        return len(pattern[0]) if isinstance(pattern[0], list) else len(pattern)
    return 1


def contour_followed(reading: Reading, spec: Json) -> Iterator[str]:
    """Over chords, each burst plays its set in the contour's order, as often as asked, and lands where asked."""
    if spec["material"]["kind"] != "chord-loop" or not rests_divide(spec):
        return
    chords, passes = spec["material"]["chords"], _passes(spec)
    if len(reading.bursts) != len(chords) * len(passes):
        yield f"{len(reading.bursts)} bursts for {len(chords)} chords and {len(passes)} passes"
        return
    for number, burst in enumerate(reading.bursts):
        one = passes[number // len(chords)]
        asked = one["order"] * one.get("times", 1) + ([one["land"]] if "land" in one else [])
        midi = [moment.notes[0]["midi"] for moment in burst]
        if dense_ranks(midi) != dense_ranks(asked):
            yield f"{_label(burst[0].notes[0])}: plays {midi} for order {asked}"


def dense_ranks(values: Sequence[int]) -> list[int]:
    """Return the place of each value among the distinct values.

    >>> dense_ranks([62, 64, 65, 64]), dense_ranks([1, 5, 1])
    ([0, 1, 2, 1], [0, 1, 0])
    """
    places = sorted(set(values))
    return [places.index(value) for value in values]


def chords_over_bursts(reading: Reading, spec: Json) -> Iterator[str]:
    """Each burst of a loop stands under its chord, holds two of its tones, and no set follows itself."""
    if spec["material"]["kind"] != "chord-loop" or not rests_divide(spec):
        return
    written = [chord if isinstance(chord, str) else chord["chord"] for chord in spec["material"]["chords"]]
    symbols = written * len(_passes(spec))
    found = [(Fraction(chord["onset"]), chord["symbol"]) for chord in reading.study["chords"]]
    expected = [(burst[0].onset, symbol) for burst, symbol in zip(reading.bursts, symbols, strict=False)]
    if found != expected:
        yield f"chords {reading.study['chords']}, expected {[(str(onset), symbol) for onset, symbol in expected]}"
    if set(_passes(spec)[0]["order"]) != set(range(1, spec["material"].get("set-size", 3) + 1)):
        return
    once = reading.bursts[: len(written)]
    sets = [sorted({moment.notes[0]["midi"] for moment in burst}) for burst in once]
    for symbol, one in zip(symbols, sets, strict=False):
        tones = chord_tones(symbol)
        if tones and len([midi for midi in one if midi % 12 in tones]) < 2:
            yield f"{one} over {symbol}: less than two chord tones"
    if not spec["material"].get("may-stay"):
        yield from (f"{one} follows itself" for one, other in pairwise(sets) if one == other)


def chord_tones(symbol: str) -> set[int]:
    """Return the pitch classes of a plain chord symbol, none of one that is not in our small table.

    >>> sorted(chord_tones("Bb")), sorted(chord_tones("F#m7"))
    ([2, 5, 10], [1, 4, 6, 9])
    """
    match = re.fullmatch(r"([A-G][#b]?)(.*)", symbol)
    if not match:
        raise ValueError(symbol)
    return {(pitch_class(match[1]) + step) % 12 for step in CHORD_TONES.get(match[2], ())}


def scale_followed(reading: Reading, spec: Json) -> Iterator[str]:
    """A scale without a contour is played note by note from the start, up and, where asked, down."""
    material = spec["material"]
    if material["kind"] != "scale" or (spec.get("contour") or {"order": [1]}) != {"order": [1]}:
        return
    tonic, mode = material.get("scale", spec.get("key", "")).split(" ", 1)
    if "from" in material or mode not in SCALE_STEPS:
        return
    degrees = {(pitch_class(tonic) + step) % 12 for step in SCALE_STEPS[mode]}
    low = midi_of(reading.study["start"]["pitch"])
    if "notes" in material:
        up = [midi for midi in range(low, low + 60) if midi % 12 in degrees][: material["notes"]]
    else:
        up = [midi for midi in range(low, low + 12 * material.get("octaves", 1) + 1) if midi % 12 in degrees]
    expected = up + up[-2::-1] if material.get("turn") else up
    found = [moment.notes[0]["midi"] for moment in reading.moments]
    if found != expected:
        yield f"plays {found}, expected {expected}"


def fingers_followed(reading: Reading, spec: Json) -> Iterator[str]:
    """A finger pattern is played with the fingers it names, one finger a fret, on the strings it names."""
    material = spec["material"]
    if material["kind"] != "fingers" or spec.get("contour") or not {"strings", "pattern"} <= set(material):
        return
    if not all(isinstance(finger, int) for finger in material["pattern"]):
        return
    strings, fret = material["strings"], reading.study["start"]["fret"]
    walk = strings + strings[-2::-1] if material.get("back") else strings
    pattern, shift = material["pattern"], material.get("shift", 0)
    expected = [
        (string, fret - min(pattern) + finger + shift * turn, finger)
        for turn in range(material.get("rounds", 1))
        for string in walk
        for finger in pattern
    ]
    notes = [moment.notes[0] for moment in reading.moments]
    found = [(note["string"], note["fret"], note["finger"]) for note in notes]
    if found != expected:
        yield f"plays (string, fret, finger) {found}, expected {expected}"


def written_notes(reading: Reading, spec: Json) -> Iterator[str]:
    """Written music comes back as it was written: pitches, lengths, strings."""
    if spec["material"]["kind"] != "notes":
        return
    for voice, text in enumerate(spec["material"]["voices"], start=1):
        expected = [item.split("@")[0].split() + item.split("@")[1:] for item in re.split("[,|]", text)]
        found: list[list[str]] = []
        for onset, end, events in reading.voices.get(voice, []):
            if found and events[0]["kind"] == "note" and all(event.get("tied") for event in events):
                found[-1][1] = str(Fraction(found[-1][1]) + end - onset)
                continue
            events = sorted(events, key=lambda event: event.get("midi", 0))
            if any(event["kind"] == "rest" for event in events):
                found.append(["rest", str(end - onset)])
            else:
                strings = "+".join(str(event["string"]) for event in events)
                found.append(["+".join(event["pitch"] for event in events), str(end - onset), strings])
        wanted = [[part.strip() for part in item] for item in expected]
        if [_without_rests(found)] != [_without_rests(wanted)]:
            yield f"voice {voice}: {found}, written {wanted}"


def _without_rests(items: list[list[str]]) -> list[list[str]]:
    return [item for item in items if item[0] != "rest"]


STUDY_RULES: tuple[Callable[[Reading], Iterator[str]], ...] = (
    sounding_places, full_bars, ties, fingers, one_place_a_finger, finger_order,
    fingers_keep_their_places, position_is_under_finger_one,
    reach_within_limit, triples, identity, levels, score, metrics_of_the_notes, strokes, checkpoints, chords_in_order,
)  # fmt: skip
SPEC_RULES: tuple[Callable[[Reading, Json], Iterator[str]], ...] = (
    note_lengths, landings, accents, bursts_cut, one_position_a_burst, rests_by_rule, strokes_by_rule, uneven_ends_warn,
    tempo_steps, speed, rhythm_class, cues_after_landings, start_note, contour_followed, chords_over_bursts,
    scale_followed, fingers_followed, written_notes,
)  # fmt: skip


def violations(study: Json, spec: Json | None) -> Violations:
    """Return everything in which *study* breaks the contract, each with the rule's name."""
    reading = Reading(study)
    found = [f"{rule.__name__}: {text}" for rule in STUDY_RULES for text in rule(reading)]
    if spec is not None:
        found += [f"{rule.__name__}: {text}" for rule in SPEC_RULES for text in rule(reading, spec)]
    return [f"{study['id']}: {text}" for text in found]
