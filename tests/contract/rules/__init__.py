"""What every study has to keep, worked out again from its JSON and the spec it came from.

In, Out:  one study of `studies --json` and the plain data of its exercise file; violations in words, none = good
Units:    onsets and durations are fractions of a whole note, lengths mm, frets count from the capo
Source:   product contract, sections 2, 4 and 7; check values d (oracles 4 to 7, 9), e (strokes), f (rests, tempo
          steps), k (score and levels)
Not here: anything of the engine; this package imports nothing of `builder`, so that it can disagree with it
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from tests.contract.rules import chords, hand, lines, rhythm, score, sound, strokes, techniques
from tests.contract.rules.reading import Json, Reading

__all__ = ["SPEC_RULES", "STUDY_RULES", "violations"]

STUDY_RULES: tuple[Callable[[Reading], Iterator[str]], ...] = (
    sound.sounding_places, sound.full_bars, sound.ties, sound.identity, sound.chords_in_order,
    hand.fingers, hand.one_place_a_finger, hand.finger_order, hand.fingers_keep_their_places,
    hand.position_is_under_finger_one, hand.reach_within_limit, hand.reach_together,
    hand.barres_lie_flat, hand.barres_marked,
    score.levels, score.score, score.metrics_of_the_notes,
    strokes.strokes, strokes.one_sweep_together, strokes.slurs, strokes.slurs_under_one_hand, rhythm.checkpoints,
)  # fmt: skip
SPEC_RULES: tuple[Callable[[Reading, Json], Iterator[str]], ...] = (
    rhythm.note_lengths, rhythm.swing, rhythm.beats_in_turn, rhythm.landings, rhythm.accents, rhythm.bursts_cut,
    rhythm.rests_by_rule, rhythm.cues_after_landings,
    hand.triples, hand.one_position_a_burst, hand.shifts_where_allowed, hand.open_strings_as_asked,
    strokes.strokes_by_rule, strokes.uneven_ends_warn, strokes.legato_counts, strokes.fingers_in_turn,
    strokes.plucking_by_string, strokes.strum_by_pattern,
    score.tempo_steps, score.speed, score.rhythm_class,
    lines.start_note, lines.contour_followed, lines.contour_strings, lines.chords_over_bursts, lines.scale_followed,
    lines.fingers_followed, lines.written_notes,
    techniques.starts_where_it_says, techniques.double_notes, techniques.slides, techniques.bends,
    techniques.harmonics, techniques.drone, techniques.holds,
    chords.shapes_are_chords, chords.shapes_can_be_held, chords.notes_of_the_shape, chords.kept_fingers,
    chords.pattern_plucked, chords.no_finger_twice_running, chords.plucked_strings, chords.strums,
    chords.starts_in_the_first_shape,
)  # fmt: skip


def violations(study: Json, spec: Json | None) -> list[str]:
    """Return everything in which *study* breaks the contract, each with the rule's name."""
    reading = Reading(study)
    found = [f"{rule.__name__}: {text}" for rule in STUDY_RULES for text in rule(reading)]
    if spec is not None:
        found += [f"{rule.__name__}: {text}" for rule in SPEC_RULES for text in rule(reading, spec)]
    return [f"{study['id']}: {text}" for text in found]
