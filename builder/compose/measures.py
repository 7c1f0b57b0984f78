"""What makes a study hard, measured from its notes.

Stage:    compose (pure)
In, Out:  `Played` notes with fingers; the amounts that `theory.difficulty` turns into a score
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from builder.compose.drafts import Draft
from builder.compose.placing import Played
from builder.theory import rhythm
from builder.theory.difficulty import DifficultyModel
from builder.theory.fingering import Fingering
from builder.theory.harmony import Key
from builder.theory.rhythm import Meter
from builder.theory.score import Metrics


@dataclass(frozen=True, slots=True)
class Measures:
    """The amounts that do not depend on the tempo; *density* is onsets a beat in the fastest run."""

    density: Fraction
    widest_reach_mm: float
    shifts_per_16: float
    string_change_share: float
    rhythm_class: int
    notes_at_once: int
    longest_run: int
    key_signs: int

    def notes_per_second(self, tempo: int) -> float:
        """Onsets a second in the fastest run at *tempo* beats a minute."""
        return float(self.density * tempo / 60)

    def score(self, tempo: int, model: DifficultyModel) -> float:
        """The score at *tempo*."""
        return model.score(
            {
                "speed": self.notes_per_second(tempo),
                "reach": self.widest_reach_mm,
                "shifts": self.shifts_per_16,
                "string_changes": self.string_change_share,
                "rhythm": self.rhythm_class,
                "notes_at_once": self.notes_at_once,
                "longest_run": self.longest_run,
                "key_signs": self.key_signs,
            }
        )

    def metrics(self, tempo: int, model: DifficultyModel) -> Metrics:
        """The published figures at *tempo*."""
        return Metrics(
            notes_per_second=round(self.notes_per_second(tempo), 4),
            widest_reach_mm=self.widest_reach_mm,
            shifts_per_16=round(self.shifts_per_16, 4),
            string_change_share=round(self.string_change_share, 4),
            rhythm_class=self.rhythm_class,
            notes_at_once=self.notes_at_once,
            longest_run=self.longest_run,
            key_signs=self.key_signs,
            score=self.score(tempo, model),
        )


def measure(draft: Draft, played: Sequence[Played], hand: Fingering, key: Key, meter: Meter) -> Measures:
    """Measure a study."""
    at: dict[Fraction, list[int]] = {}
    for k, note in enumerate(played):
        at.setdefault(note.slot.onset, []).append(k)
    onsets = sorted(at)
    changes = sum(played[at[a][0]].place.string != played[at[b][0]].place.string for a, b in pairwise(onsets))
    return Measures(
        density=_density(played, meter),
        widest_reach_mm=hand.widest_reach_mm,
        shifts_per_16=16 * _shifts(played, hand) / len(onsets),
        string_change_share=changes / (len(onsets) - 1) if len(onsets) > 1 else 0.0,
        rhythm_class=max(rhythm.rhythm_class(voice, meter) for voice in draft.voices),
        notes_at_once=_most_at_once(played),
        longest_run=_longest_run(played),
        key_signs=abs(key.signature),
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
