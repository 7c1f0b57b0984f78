"""What each hand has to do from onset to onset: counts for the score and for the page.

Stage:    compose (pure)
In, Out:  `Played` notes with fingers and strokes; a `Fretting` and a `Plucking`
Source:   outside and inside crossings, home strings, no finger twice running: common practice; what counts as held and
          as a chord is our own choice, given with each
Not here: what does not need both a string and a hand (`measures`), what the counts are worth (`theory.difficulty`)
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby, pairwise

from builder.compose.placing import Answer
from builder.compose.played import Played
from builder.theory.difficulty import DifficultyModel
from builder.theory.fingering import Fingering
from builder.theory.fretboard import Hand, Instrument
from builder.theory.score import Stroke

_CHORD = 3  # notes struck together that are a chord: two are a double note, whose moves are shifts already
_PICK = ("down", "up")
_SLURS = ("hammer-on", "pull-off")


@dataclass(frozen=True, slots=True)
class Touch:
    """One note and what both hands do for it; *set* numbers the stretches of one set, one after the other."""

    note: Played
    finger: int
    answer: Answer
    set: int

    @property
    def string(self) -> int:
        """Its string."""
        return self.note.place.string


Moment = tuple[Touch, ...]
"""What begins together, voice by voice, lowest sound first."""


@dataclass(frozen=True, slots=True)
class Fretting:
    """The fretting hand's work: *held* is a length of music, the others are counted.

    *bend_half_steps*, *slides* and *harmonic_partials* as in `Metrics`.
    """

    weak_pair_share: float
    held: Fraction
    finger_moves: int
    bend_half_steps: int
    slides: int
    harmonic_partials: int


@dataclass(frozen=True, slots=True)
class Plucking:
    """The other hand's work, all of it counted; *string_changes* leaves out fingers that stay on their own string."""

    crossings_outside: int
    crossings_inside: int
    string_skips: int
    string_changes: int
    thumb_moves: int
    finger_repeats: int
    slurs: int


def moments_of(
    played: Sequence[Played], hand: Fingering, answers: Sequence[Answer], group_of: Sequence[int]
) -> tuple[Moment, ...]:
    """The notes by onset, in order; *group_of* names the set of each run."""
    found: list[Touch] = []
    for note, finger, answer in zip(played, hand.fingers, answers, strict=True):
        before = found[-1] if found else None
        opens = before is None or group_of[note.slot.run] != group_of[before.note.slot.run]
        again = note.first and note.fresh and (before is None or before.note.slot.onset != note.slot.onset)
        found.append(Touch(note, finger, answer, (before.set if before else 0) + (opens or again)))
    return tuple(tuple(group) for _, group in groupby(found, key=lambda one: one.note.slot.onset))


# --- the fretting hand ------------------------------------------------------------------------------------------------


def fretting(moments: Sequence[Moment], instrument: Instrument, hand: Hand, model: DifficultyModel) -> Fretting:
    """Measure the fretting hand's work."""
    return Fretting(
        weak_pair_share=_weak_pair_share(moments, model),
        held=_longest_hold(moments, instrument, hand),
        finger_moves=_finger_moves(moments),
        bend_half_steps=_bend_half_steps(moments),
        slides=sum(any(one.answer.technique == "slide" for one in moment) for moment in moments),
        harmonic_partials=sum(max(_above_first_partial(one, instrument) for one in moment) for moment in moments),
    )


def _bend_half_steps(moments: Sequence[Moment]) -> int:
    """How far bends go, up and down again, from the note before on the string; at one moment the widest."""
    sounding: dict[int, int] = {}  # what each string sounded last
    total = 0
    for moment in moments:
        bent = [one for one in moment if one.answer.technique == "bend" and one.string in sounding]
        total += max((abs(one.note.pitch.midi - sounding[one.string]) for one in bent), default=0)
        sounding |= {one.string: one.note.pitch.midi for one in moment}
    return total


def _above_first_partial(one: Touch, instrument: Instrument) -> int:
    """How many partials a harmonic lies above its string's own note; 0 for any other note.

    Source: a string touched at one n-th of its length sounds its n-th partial, n times its frequency.
    """
    if one.answer.technique != "harmonic":
        return 0
    above = one.note.pitch.midi - instrument.open_midi(one.string)
    return round(2 ** (above / 12)) - 1


def _weak_pair_share(moments: Sequence[Moment], model: DifficultyModel) -> float:
    """How weak successive fingers are, the mean over each two fretted notes that follow one another in a burst."""
    weakness, pairs, direction = 0.0, 0, 0
    before: int | None = None
    for moment in moments:
        finger = _lone_finger(moment)
        if finger is None or before is None or any(one.note.first for one in moment):
            direction = 0
        else:
            step = (finger > before) - (finger < before)
            weakness += model.weakness(before, finger, direction * step < 0)
            pairs += 1
            direction = step or direction
        before = finger
    return weakness / pairs if pairs else 0.0


def _lone_finger(moment: Moment) -> int | None:
    """The one finger that comes down, if it is one; those of a chord whose notes ring are down already."""
    down = [one for one in moment if one.note.place.fret]
    return down[0].finger if len(down) == 1 and not down[0].note.sound.rings else None


def _longest_hold(moments: Sequence[Moment], instrument: Instrument, hand: Hand) -> Fraction:
    """How long, between two rests, one finger lies on several strings or fingers that are down at once are stretched.

    A line played from a stretched hand is none: each finger is free again after its note, and `reach` counts it.
    """
    presses = sorted(_presses(moments), key=lambda press: press.start)
    rests = {moment[0].note.slot.onset for moment in moments if moment[0].note.fresh}
    times = sorted(rests | {time for press in presses for time in (press.start, press.end)})
    longest = total = Fraction(0)
    down: list[_Press] = []
    coming = 0
    for time, until in pairwise(times):
        if time in rests:
            total = Fraction(0)
        down = [press for press in down if press.end > time]
        while coming < len(presses) and presses[coming].start == time:
            down.append(presses[coming])
            coming += 1
        if _strained(down, instrument, hand):
            total += until - time
            longest = max(longest, total)
    return longest


@dataclass(frozen=True, slots=True)
class _Press:
    """A finger on a string, from *start* to *end*."""

    start: Fraction
    end: Fraction
    finger: int
    string: int
    fret: int


def _presses(moments: Sequence[Moment]) -> Iterator[_Press]:
    """Each fretted note as a press; the first ones of a chord that rings come down together, when it begins."""
    begins: dict[int, Fraction] = {}
    known: set[tuple[int, int]] = set()
    for one in (one for moment in moments for one in moment):
        onset = one.note.slot.onset
        begin = begins.setdefault(one.set, onset)
        if one.note.place.fret:
            start = begin if one.note.sound.rings and (one.set, one.string) not in known else onset
            yield _Press(start, onset + one.note.held, one.finger, one.string, one.note.place.fret)
        known.add((one.set, one.string))


def _strained(down: Sequence[_Press], instrument: Instrument, hand: Hand) -> bool:
    """Whether the notes held *down* need a barre or a stretch."""
    if len(down) < 2:
        return False
    frets = [press.fret for press in down]
    places = {(press.finger, press.string) for press in down}
    barre = len({finger for finger, _ in places}) < len(places)
    return barre or instrument.reach_mm(min(frets), max(frets)) > hand.comfort_mm


@dataclass(frozen=True, slots=True)
class _Chord:
    """The strings under each finger; *fresh* when the hand had a rest to take it in."""

    fresh: bool
    fret: Mapping[int, int]
    strings: Mapping[int, frozenset[int]]


def _finger_moves(moments: Sequence[Moment]) -> int:
    """How many fingers are put down anew where one chord follows another without a rest; fingers that stay are none.

    A stroke over some of a chord's strings is the same chord: the other fingers are still down.
    """
    moves = 0
    fret: dict[int, int] = {}
    strings: dict[int, frozenset[int]] = {}
    known = False
    for chord in _chords(moments):
        moved = [f for f in chord.fret if chord.fret[f] != fret.get(f) or not chord.strings[f] & strings[f]]
        if known and not chord.fresh:
            moves += len(moved)
        if moved or chord.fresh:
            fret, strings = dict(chord.fret), dict(chord.strings)
        else:
            strings |= {f: strings[f] | chord.strings[f] for f in chord.fret}
        known = True
    return moves


def _chords(moments: Sequence[Moment]) -> Iterator[_Chord]:
    """The chords in order: what rings of one set, or what is struck together."""
    for _, group in groupby(moments, key=lambda moment: moment[0].set):
        stretch = list(group)
        ringing = [one for moment in stretch for one in moment if one.note.sound.rings]
        if ringing:
            yield _chord(ringing, stretch[0])
        else:
            yield from (_chord(moment, moment) for moment in stretch if len(moment) >= _CHORD)


def _chord(notes: Sequence[Touch], opening: Moment) -> _Chord:
    fretted = [one for one in notes if one.note.place.fret]
    strings: dict[int, frozenset[int]] = {}
    for one in fretted:
        strings[one.finger] = strings.get(one.finger, frozenset()) | {one.string}
    return _Chord(opening[0].note.fresh, {one.finger: one.note.place.fret for one in fretted}, strings)


# --- the other hand ---------------------------------------------------------------------------------------------------


def plucking(moments: Sequence[Moment]) -> Plucking:
    """Count the other hand's work; during a rest it has time for any move, so a rest begins the count anew."""
    runs = tuple(_runs(moments))
    crossings = [pair for run in runs for pair in _crossings(run)]
    outside = sum(_outside(a, b) for a, b in crossings)
    turning = sum(a.answer.stroke != b.answer.stroke for a, b in crossings)
    plucked = [[letters for moment in run if (letters := _letters(moment))] for run in runs]
    moved = [fingers for run in plucked for fingers in _moved(run)]
    across = [b for a, b in pairwise(moments) if a[0].string != b[0].string]
    return Plucking(
        crossings_outside=outside,
        crossings_inside=turning - outside,
        string_skips=sum(abs(a.string - b.string) > 1 for a, b in crossings),
        string_changes=sum(not _letters(moment) for moment in across) + sum(bool(one - {"p"}) for one in moved),
        thumb_moves=sum("p" in one for one in moved),
        finger_repeats=sum(bool(a.keys() & b.keys()) for run in plucked for a, b in pairwise(run)),
        slurs=sum(any(one.answer.technique in _SLURS for one in moment) for moment in moments),
    )


def _runs(moments: Sequence[Moment]) -> Iterator[list[Moment]]:
    """The stretches between rests."""
    run: list[Moment] = []
    for moment in moments:
        if run and moment[0].note.fresh:
            yield run
            run = []
        run.append(moment)
    yield run


def _crossings(run: Sequence[Moment]) -> Iterator[tuple[Touch, Touch]]:
    """Each two strokes of the pick, one after the other, on different strings.

    A stroke over several strings is left out: where the pick comes out and goes in is the player's.
    """
    strokes = [[one for one in moment if one.answer.stroke in _PICK] for moment in run]
    for a, b in pairwise(stroke for stroke in strokes if stroke):
        if len(a) == len(b) == 1 and a[0].string != b[0].string:
            yield a[0], b[0]


def _outside(a: Touch, b: Touch) -> bool:
    """Whether the strokes turn around both strings: *a* carries the pick beyond its string towards that of *b*.

    Strings go by their number, as the pick meets them, also where a lower one sounds higher.
    """
    towards = "down" if b.string < a.string else "up"
    return a.answer.stroke == towards != b.answer.stroke


def _letters(moment: Moment) -> dict[Stroke, int]:
    """The fingers that pluck, each with its string."""
    return {one.answer.stroke: one.string for one in moment if one.answer.stroke and one.answer.stroke not in _PICK}


def _moved(plucked: Sequence[Mapping[Stroke, int]]) -> Iterator[set[Stroke]]:
    """For each plucked moment of a run, the fingers that come from another string."""
    string_of: dict[Stroke, int] = {}
    for letters in plucked:
        yield {finger for finger, string in letters.items() if string_of.get(finger, string) != string}
        string_of |= letters
