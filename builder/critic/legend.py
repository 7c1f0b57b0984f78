"""The line of signs over a study against its document: each sign of its music is told in words.

Stage:    page critic
In, Out:  `Expected` and the first page of its study; `Finding`s
Units:    millimetres from the upper left corner
Not here: signs of which the document does not say whether they are drawn: barres, new positions, strings in circles
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from builder.critic.asked import Asked
from builder.critic.expected import Entry, Expected
from builder.critic.finding import Finding
from builder.critic.ink import Box, Glyphs, Ink
from builder.critic.places import StudyPage

_BESIDE = 0.9  # sizes of the type: a sign ends this near before its words (measured 0.4); our own choice


def legend_findings(wanted: Expected, first: StudyPage, asked: Asked) -> Iterator[Finding]:
    """Every sign in the music has its words over it, and these have the sign before them."""
    if not asked.signs or not first.readings:
        return
    top = min(reading.system.top for reading in first.readings)
    over = [text for text in first.ink.texts if text.y < top]
    kinds = set(_kinds(wanted))
    for kind, words in asked.signs:
        if kind not in kinds:
            continue
        told = [text for text in over if text.text.strip() == words]
        if not told:
            place = first.readings[0].system.x0, top
            yield Finding(first.number, place, "legend", f"the sign told as '{words}' is not told over the music")
        elif not any(_has_sign(text, first.ink) for text in told):
            yield Finding(first.number, (told[0].x, told[0].y), "legend", f"no sign stands before '{words}'")


def _kinds(wanted: Expected) -> Iterator[str]:
    """The kinds of signs that a study has, by the names of its phrases."""
    opens = wanted.opens
    for moment in wanted.moments:
        if set(moment.fingers) - set(moment.told):
            yield "finger"
        for note in (*moment.struck, *moment.going_on):
            if note["stroke"]:
                yield str(note["stroke"]) if note["stroke"] in ("down", "up") else "pluck"
            if note["accent"]:
                yield "accent"
            if note["kept"] and wanted.shapes:
                yield "kept"
            if note["technique"]:
                yield _technique(note, opens)
    if wanted.checkpoints:
        yield "cue"
    if wanted.shapes:
        yield "shape"


def _technique(note: Entry, opens: Sequence[int]) -> str:
    if note["technique"] != "bend":
        return str(note["technique"])
    return "bend" if int(note["midi"]) > opens[int(note["string"]) - 1] + int(note["fret"]) else "release"


def _has_sign(words: Glyphs, ink: Ink) -> bool:
    """Whether anything is drawn or set just before *words*, at their height."""
    size = words.size
    before = Box(words.x - _BESIDE * size, words.y - size, words.x - 0.05 * size, words.y + 0.3 * size)
    return (
        any(sign.ink_box.common(before) for sign in ink.signs)
        or any(text.ink_box.common(before) for text in ink.texts if text is not words)
        or any(area.box.common(before) for area in ink.areas)
        or any(line.around.common(before) for line in ink.lines)
    )
