"""What makes a study hard, measured from its notes.

Stage:    compose (pure)
In, Out:  `Played` notes with fingers and strokes; the amounts that `theory.difficulty` turns into a score
Not here: what is counted hand by hand (`handwork`)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from builder.compose.drafts import Draft
from builder.compose.handwork import Fretting, Plucking, fretting, moments_of, plucking
from builder.compose.placing import Answer
from builder.compose.played import Played
from builder.spec.plan import ExercisePlan
from builder.theory import rhythm
from builder.theory.difficulty import DifficultyModel, Part, total
from builder.theory.fingering import Fingering
from builder.theory.harmony import Key
from builder.theory.rhythm import Meter
from builder.theory.score import Metrics

# The slowest mark of a mechanical metronome: common practice. Slower beats are counted in halves, and holds with them.
_SLOWEST = 40
# The partial of frets 4 and 9, counted from the string's own note: the highest that a study of natural harmonics needs.
_HIGHEST_PARTIAL = 4


@dataclass(frozen=True, slots=True)
class Measures:
    """The amounts that do not depend on the tempo; *density* is onsets a beat in the fastest run, *held_beats* beats.

    *tablature*: the music is printed with it, so that no one has to read the key signature.
    """

    density: Fraction
    widest_reach_mm: float
    shifts_per_16: float
    string_change_share: float
    rhythm_class: int
    notes_at_once: int
    longest_run: int
    key_signs: int
    onsets: int
    held_beats: Fraction
    fretting: Fretting
    plucking: Plucking
    tablature: bool

    def notes_per_second(self, tempo: int) -> float:
        """Onsets a second in the fastest run at *tempo* beats a minute."""
        return float(self.density * tempo / 60)

    def held_seconds(self, tempo: int) -> float:
        """How long a barre or a stretch is held at most between two rests."""
        return float(self.held_beats * 60 / tempo)

    def parts(self, tempo: int, model: DifficultyModel) -> tuple[Part, ...]:
        """What each term adds to the score at *tempo*.

        Faster, a hold is shorter; yet music is at least as hard as the same music played slower, as the way to a tempo
        leads through the slower ones. So the hardest of them, *tempo* included, is judged: our own choice.
        """
        slowest = min(_SLOWEST, tempo) if self.held_beats else tempo
        hardest = max(range(slowest, tempo + 1), key=lambda slower: (self._moving_points(slower, model), slower))
        return model.parts(self._amounts(hardest))

    def score(self, tempo: int, model: DifficultyModel) -> float:
        """The score at *tempo*."""
        return total(self.parts(tempo, model))

    def metrics(self, tempo: int, model: DifficultyModel) -> Metrics:
        """The published figures at *tempo*."""
        parts = self.parts(tempo, model)
        return Metrics(
            notes_per_second=round(self.notes_per_second(tempo), 4),
            widest_reach_mm=self.widest_reach_mm,
            shifts_per_16=round(self.shifts_per_16, 4),
            string_change_share=round(self.string_change_share, 4),
            rhythm_class=self.rhythm_class,
            notes_at_once=self.notes_at_once,
            longest_run=self.longest_run,
            key_signs=self.key_signs,
            score=total(parts),
            onsets=self.onsets,
            crossings_outside=self.plucking.crossings_outside,
            crossings_inside=self.plucking.crossings_inside,
            string_skips=self.plucking.string_skips,
            thumb_moves=self.plucking.thumb_moves,
            finger_repeats=self.plucking.finger_repeats,
            slurs=self.plucking.slurs,
            weak_pair_share=round(self.fretting.weak_pair_share, 4),
            held_seconds=round(self.held_seconds(tempo), 4),
            finger_moves=self.fretting.finger_moves,
            bend_half_steps=self.fretting.bend_half_steps,
            slides=self.fretting.slides,
            harmonic_partials=self.fretting.harmonic_partials,
            parts=tuple(Part(part.term, round(part.points, 4)) for part in parts),
        )

    def _moving_points(self, tempo: int, model: DifficultyModel) -> float:
        """The points of the two terms that change with the tempo."""
        speed = model.terms["speed"].value(self.notes_per_second(tempo))
        return speed + model.terms["held"].value(self.held_seconds(max(tempo, _SLOWEST)))

    def _amounts(self, tempo: int) -> Mapping[str, float]:
        """The amount of every term of the model."""
        fretting, plucking = self.fretting, self.plucking
        return {
            "speed": self.notes_per_second(tempo),
            "reach": self.widest_reach_mm,
            "shifts": self.shifts_per_16,
            "string_changes": self._share(plucking.string_changes),
            "rhythm": self.rhythm_class,
            "notes_at_once": self.notes_at_once,
            "longest_run": self.longest_run,
            "key_signs": 0 if self.tablature else self.key_signs,
            "weak_pairs": fretting.weak_pair_share,
            "held": self.held_seconds(max(tempo, _SLOWEST)),
            "finger_moves": 16 * fretting.finger_moves / self.onsets,
            "inside_crossings": self._share(plucking.crossings_inside),
            "outside_crossings": self._share(plucking.crossings_outside),
            "string_skips": self._share(plucking.string_skips),
            "thumb_moves": 16 * plucking.thumb_moves / self.onsets,
            "finger_repeats": self._share(plucking.finger_repeats),
            "slurs": plucking.slurs / self.onsets,
            "bends": fretting.bend_half_steps / self.onsets,
            "slides": fretting.slides / self.onsets,
            "harmonics": fretting.harmonic_partials / _HIGHEST_PARTIAL / self.onsets,
        }

    def _share(self, count: int) -> float:
        """The share of successive onsets."""
        return count / (self.onsets - 1) if self.onsets > 1 else 0.0


def measure(
    draft: Draft,
    played: Sequence[Played],
    hand: Fingering,
    answers: Sequence[Answer],
    key: Key,
    plan: ExercisePlan,
    model: DifficultyModel,
    tablature: bool = True,
) -> Measures:
    """Measure a study; *model* knows which pairs of fingers are weak."""
    meter = plan.rhythm.meter
    moments = moments_of(played, hand, answers, draft.group_of)
    work = fretting(moments, plan.instrument, plan.hand, model)
    changes = sum(a[0].string != b[0].string for a, b in pairwise(moments))
    return Measures(
        density=_density(played, meter),
        widest_reach_mm=hand.widest_reach_mm,
        shifts_per_16=16 * _shifts(played, hand) / len(moments),
        string_change_share=changes / (len(moments) - 1) if len(moments) > 1 else 0.0,
        rhythm_class=max(rhythm.rhythm_class(voice, meter) for voice in draft.voices),
        notes_at_once=_most_at_once(played),
        longest_run=_longest_run(played),
        key_signs=abs(key.signature),
        onsets=len(moments),
        held_beats=work.held / meter.beat,
        fretting=work,
        plucking=plucking(moments),
        tablature=tablature,
    )


def _density(played: Sequence[Played], meter: Meter) -> Fraction:
    """Onsets a beat in the fastest run: the notes of a burst over the time until the last one begins."""
    bursts: list[list[Fraction]] = []
    for note in played:
        if note.first and not (bursts and bursts[-1][-1] == note.slot.onset):
            bursts.append([])
        if not bursts[-1] or bursts[-1][-1] != note.slot.onset:
            bursts[-1].append(note.slot.onset)
    rates = [(len(burst) - 1) / (burst[-1] - burst[0]) for burst in bursts if len(burst) > 1]
    single = 1 / min(note.duration for note in played)
    return (max(rates) if rates else single) * meter.beat


def _shifts(played: Sequence[Played], hand: Fingering) -> int:
    """How often the hand moves without a rest to do it in."""
    held = [(note, position) for note, position in zip(played, hand.positions, strict=True) if note.place.fret]
    moved = 0
    fresh_since = False
    before: int | None = None
    fretted = iter(held)
    current = next(fretted, None)
    for note in played:
        fresh_since = fresh_since or note.fresh
        if current is None or note is not current[0]:
            continue
        moved += before is not None and before != current[1] and not fresh_since
        before, fresh_since = current[1], False
        current = next(fretted, None)
    return moved


def _most_at_once(played: Sequence[Played]) -> int:
    """The most notes that sound together."""
    most = 1
    sounding: list[Fraction] = []  # when each sounding note ends
    for note in played:
        sounding = [end for end in sounding if end > note.slot.onset] + [note.slot.onset + note.duration]
        most = max(most, len(sounding))
    return most


def _longest_run(played: Sequence[Played]) -> int:
    """Onsets in the longest stretch without a rest."""
    longest = count = 0
    before: Fraction | None = None
    for note in played:
        if note.slot.onset == before:
            continue
        count = 1 if note.fresh else count + 1
        longest, before = max(longest, count), note.slot.onset
    return longest
