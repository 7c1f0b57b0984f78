"""The fingers of every figure of the demonstration book: a table, read through by hand.

Stage:    tests of 3 compose, on the book a newcomer builds first
Source:   `cases/demo_fingers.txt`: what the hand takes, read through figure by figure against common practice (a finger
          a fret, 1 2 4 for two whole steps, moves between strings, 1-2-4 on the bass, two frets a finger on the
          mandolin); a change of prices that changes a finger has to be read through again
Not here: the figures of the product contract (`theory/test_fingering_figures`)
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from pathlib import Path

from builder import resources
from builder.compose import compose
from builder.composing import knowledge_from
from builder.spec import load_library, read_book
from builder.theory.score import Note, Study

TABLE = Path(__file__).parent / "cases" / "demo_fingers.txt"


def bursts(study: Study) -> Iterator[list[Note]]:
    """The notes struck between two rests of the first voice."""
    rests = sorted(event.onset for event in study.events if not isinstance(event, Note) and event.voice == 1)
    notes = [event for event in study.events if isinstance(event, Note) and not event.tied]
    for _, group in groupby(
        sorted(notes, key=lambda note: (note.onset, -note.string)),
        key=lambda note: sum(rest <= note.onset for rest in rests),
    ):
        yield list(group)


def figure(burst: list[Note]) -> str:
    """Places and fingers, notes struck together joined by +."""
    moments = [list(group) for _, group in groupby(burst, key=lambda note: note.onset)]
    places = " ".join("+".join(f"{note.string}/{note.fret}" for note in moment) for moment in moments)
    fingers = " ".join("+".join(str(note.finger) for note in moment) for moment in moments)
    return f"  {places}\n  {fingers}\n"


def test_every_figure_of_the_demo_has_the_fingers_of_the_table(golden) -> None:
    library = load_library()
    book = read_book(resources.folder("books") / "harbour-lane" / "book.yaml", library)
    knowledge, table = knowledge_from(library), ""
    for plan in book.exercises:
        for study in compose(plan, knowledge).studies:
            figures = dict.fromkeys(figure(burst) for burst in bursts(study))
            table += f"{study.id} ({study.instrument.name})\n" + "".join(figures)
    golden(TABLE, table)
