"""Chord diagrams of a study against its document.

Stage:    page critic
In, Out:  `Expected` with its shapes, `Grid`s over its systems; `Finding`s
Units:    millimetres from the upper left corner
Source:   a diagram stands where a shape is met first, and names the first fret it shows unless that is the first of the
          neck; a black disc is put down, a ring stays down from the shape before: the book's own page of signs
Not here: names under diagrams (`chord_names`)
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from builder.critic.aligning import aligned
from builder.critic.asked import Asked
from builder.critic.expected import Expected, Shape
from builder.critic.finding import Finding
from builder.critic.grids import Dot, Grid, read_grids
from builder.critic.places import StudyPage, Systems

_LEAST_ROWS = 4  # a shape that reaches no farther is shown from the nut on


def diagram_findings(wanted: Expected, systems: Systems, asked: Asked) -> Iterator[Finding]:
    """Return diagrams that are missing, wrong, or too many."""
    if not wanted.diagrams:
        return
    read = [(page, grid) for page, reading in systems for grid in read_grids(reading.system, page.ink)]
    place = systems[0][0].number, (systems[0][1].system.x0, systems[0][1].system.top)
    for seen, shape in aligned(
        read, wanted.diagrams, lambda seen, one: not _differs(seen, one, asked), lambda _: False
    ):
        if seen is not None:
            place = seen[0].number, (seen[1].x, seen[1].y)
        if shape is None:
            yield Finding(*place, "diagram", "a chord diagram where no new shape begins")
        elif seen is None:
            yield Finding(*place, "diagram", f"the diagram of {shape.symbol} is missing")
        else:
            different = _differs(seen, shape, asked)
            if different:
                yield Finding(*place, "diagram", f"the diagram of {shape.symbol}: {different}")


def _differs(seen: tuple[StudyPage, Grid], shape: Shape, asked: Asked) -> str:
    """Say how a grid differs from a shape; empty where it does not."""
    read, meant = _shown(seen[1], asked), _meant(shape, asked)
    said = [f"reads {', '.join(sorted(read - meant))}"] if read - meant else []
    said += [f"lacks {', '.join(sorted(meant - read))}"] if meant - read else []
    said += [f"{seen[1].strays} signs stand beside their string or fret"] if seen[1].strays else []
    return "; ".join(said)


def _shown(grid: Grid, asked: Asked) -> set[str]:
    """All that a grid says."""

    def name(string: int) -> int:
        return grid.strings + 1 - string if asked.left_handed else string

    return {
        f"{grid.strings} strings",
        f"first fret {grid.first}",
        *(f"string {name(string)} open" for string in grid.open),
        *(f"string {name(string)} not played" for string in grid.muted),
        *(_finger(name(dot.string), dot.row + grid.first - 1, dot.finger, _stays(dot, asked)) for dot in grid.dots),
        *(_barre(name(low), name(high), row + grid.first - 1) for low, high, row in grid.barres),
    }


def _stays(dot: Dot, asked: Asked) -> bool:
    """A finger that stays down is a ring, or a square where black would cost ink."""
    return dot.square if asked.low_ink else dot.ring


def _finger(string: int, fret: int, finger: str, stays: bool) -> str:
    return f"string {string} fret {fret} {f'finger {finger}' if finger else 'no finger'}{' staying' if stays else ''}"


def _barre(one: int, other: int, fret: int) -> str:
    return f"barre over strings {min(one, other)} to {max(one, other)} at fret {fret}"


def _meant(shape: Shape, asked: Asked) -> set[str]:
    """All that the grid of a shape must say."""
    stopped = {string: fret for string, fret in enumerate(shape.frets, 1) if fret}
    top = max(stopped.values(), default=1)
    under: dict[tuple[int, int], list[int]] = defaultdict(list)
    for string, fret in stopped.items():
        under[shape.fingers[string - 1] or 0, fret].append(string)
    laid = {key: strings for key, strings in under.items() if key[0] and len(strings) > 1}
    told = {string for strings in laid.values() for string in strings if string != max(strings)}
    return {
        f"{len(shape.frets)} strings",
        f"first fret {1 if top <= _LEAST_ROWS else min(stopped.values())}",
        *(f"string {string} open" for string, fret in enumerate(shape.frets, 1) if fret == 0),
        *(f"string {string} not played" for string, fret in enumerate(shape.frets, 1) if fret is None),
        *(
            # The number of a barre stands once, at its low end.
            _finger(string, fret, str(shape.fingers[string - 1] or ""), string in shape.kept)
            for string, fret in stopped.items()
            if string not in told
        ),
        *(_barre(min(strings), max(strings), fret) for (_, fret), strings in laid.items()),
    }
