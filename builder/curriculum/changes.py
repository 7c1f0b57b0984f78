"""What has changed since an earlier edition, study by study.

Stage:    curriculum (pure)
In, Out:  the studies of two editions as `Record`s, of ours from values, of the earlier one from its JSON; `Change`s
Not here: reading the file
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from builder.theory.score import Note, Study

Kind = Literal["added", "removed", "renamed", "notes", "tempo", "level", "fingering"]


@dataclass(frozen=True, slots=True)
class Record:
    """What of a study an edition's reader would notice: *notes* are onset, duration, MIDI number, string and fret."""

    id: str
    title: str
    tempo_steps: tuple[int, ...]
    levels: tuple[int, ...]
    notes: tuple[tuple[str, str, int, int, int], ...]
    fingers: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """One difference; *before* and *after* are empty where there is nothing, or too much, to say."""

    study: str
    kind: Kind
    before: str = ""
    after: str = ""

    @property
    def sentence(self) -> str:
        """The same in words."""
        told = f"{self.study}: {_WORDS[self.kind]}"
        return f"{told} from {self.before} to {self.after}" if self.before and self.after else told


_WORDS: Mapping[Kind, str] = {
    "added": "new in this edition",
    "removed": "no longer in this edition",
    "renamed": "title changed",
    "notes": "other notes, strings or frets",
    "tempo": "tempo steps changed",
    "level": "level changed",
    "fingering": "other fingers",
}


def record_of(study: Study) -> Record:
    """Return what to compare of a study of this edition."""
    notes = [event for event in study.events if isinstance(event, Note)]
    return Record(
        id=study.id,
        title=study.title,
        tempo_steps=study.tempo_steps,
        levels=study.levels,
        notes=tuple((str(n.onset), str(n.duration), n.pitch.midi, n.string, n.fret) for n in notes),
        fingers=tuple(note.finger for note in notes),
    )


def record_from(values: Mapping[str, Any]) -> Record:
    """Return what to compare of a study in an edition's JSON; raise ValueError where it is not one."""
    try:
        notes = [event for event in values["events"] if event["kind"] == "note"]
        return Record(
            id=values["id"],
            title=values["title"],
            tempo_steps=tuple(values["tempo_steps"]),
            levels=tuple(values["levels"]),
            notes=tuple((n["onset"], n["duration"], n["midi"], n["string"], n["fret"]) for n in notes),
            fingers=tuple(note["finger"] for note in notes),
        )
    except (KeyError, TypeError) as error:
        raise ValueError(f"not a study of an edition's JSON: {error}") from error


def changes(earlier: Iterable[Record], now: Sequence[Record]) -> tuple[Change, ...]:
    """Return every change, in the order of this edition; what was removed comes last, in the earlier one's."""
    before = {record.id: record for record in earlier}
    kept = {record.id for record in now}
    found = [
        change
        for record in now
        for change in (_changes(before[record.id], record) if record.id in before else [Change(record.id, "added")])
    ]
    return (*found, *(Change(name, "removed") for name in before if name not in kept))


def _changes(before: Record, after: Record) -> list[Change]:
    """How one study differs; where its notes do, its fingers say nothing."""
    found = []
    if before.title != after.title:
        found.append(Change(after.id, "renamed", f"'{before.title}'", f"'{after.title}'"))
    if before.notes != after.notes:
        found.append(Change(after.id, "notes"))
    elif before.fingers != after.fingers:
        found.append(Change(after.id, "fingering"))
    if before.tempo_steps != after.tempo_steps:
        found.append(Change(after.id, "tempo", _listed(before.tempo_steps), _listed(after.tempo_steps)))
    if before.levels[0] != after.levels[0]:
        found.append(Change(after.id, "level", str(before.levels[0]), str(after.levels[0])))
    return found


def _listed(numbers: Sequence[int]) -> str:
    return " ".join(map(str, numbers))
