"""The neck map over a study against its document: where the notes lie, what they are called, where to start.

Stage:    page critic
In, Out:  `Expected` and the first page of its study; `Finding`s
Units:    millimetres from the upper left corner
Not here: small maps that stand for a whole study; names of notes in other customs than letters

A map is as many level lines as the instrument has strings with upright lines, its frets, through all of them. A number
under a space between two frets tells which fret that is, so all of them tell the same.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence

from builder.critic.asked import Asked
from builder.critic.expected import Expected
from builder.critic.finding import WHOLE_PAGE, Finding
from builder.critic.ink import Box, Glyphs, Ink
from builder.critic.neck_lines import Neck, find_neck, line_findings
from builder.critic.places import StudyPage

# Shares of the way from string to string; our own choice, with room on both sides of what the demo measures.
_SMALLEST, _LARGEST = 0.7, 1.35  # a disc is as wide (measured 0.94 to 1)
_LONGEST = 2.2
_ON = 0.2  # and stands this near to its string
_LABELS = 1.9  # fret numbers stand this near under the last string
_BESIDE = 3.2  # names of strings this near beside the map
_DARK = 0.5
_SIGNS = {"accidentals.sharp": "#", "accidentals.flat": "b"}

_Spot = tuple[int, int]  # string and fret


def neck_findings(wanted: Expected, first: StudyPage, asked: Asked) -> Iterator[Finding]:
    """Return what is wrong with the map of a study, on its *first* page."""
    page, ink = first.number, first.ink
    staves = [part.top for reading in first.readings for part in reading.system.parts]
    found = find_neck(ink, wanted.strings, staves)
    if wanted.start is None:
        return
    if found is None:
        yield Finding(page, WHOLE_PAGE, "neck", f"no map of {wanted.strings} strings with frets from end to end")
        return
    frets, wrong = _numbered(found, ink.texts, asked.left_handed)
    for text in wrong:
        yield Finding(page, (text.x, text.y), "neck", f"{text.text.strip()} is not the number of the fret over it")
    spots: dict[_Spot, tuple[Box, bool]] = {}
    for box, black in _discs(found, ink):
        string, _ = found.string((box.y0 + box.y1) / 2)
        space = found.space(box.middle, asked.left_handed)
        if space and frets is None:
            return  # no number tells which frets are shown
        spots[string, space + (frets or 0) if space else 0] = box, black
    meant = {place for _, places in wanted.fretted for place in places}
    here = found.frets[0], found.ys[0]
    for string, fret in sorted(meant - spots.keys()):
        yield Finding(page, here, "neck", f"string {string} fret {fret} is not on the map")
    for string, fret in sorted(spots.keys() - meant):
        box = spots[string, fret][0]
        yield Finding(page, (box.x0, box.y0), "neck", f"string {string} fret {fret} is on the map, not in the study")
    blacks = {spot for spot, (_, black) in spots.items() if black}
    if not asked.low_ink and blacks != {wanted.start}:
        yield Finding(
            page, here, "neck", f"the black disc does not stand on string {wanted.start[0]} fret {wanted.start[1]}"
        )
    yield from _names(wanted, page, ink, {spot: box for spot, (box, _) in spots.items()}, asked)
    yield from line_findings(wanted, first, found, frets, asked)


def _numbered(found: Neck, texts: Sequence[Glyphs], turned: bool) -> tuple[int | None, list[Glyphs]]:
    """What to add to the number of a space to get that of its fret, and the numbers that say otherwise."""
    floor = found.ys[-1] + _LABELS * found.gap
    labels = [
        (int(text.text) - found.space(text.ink_box.middle, turned), text)
        for text in texts
        if text.text.strip().isdigit()
        and text.text.strip().isascii()
        and found.ys[-1] < text.y < floor
        and found.frets[0] - found.gap < text.ink_box.middle < found.frets[-1] + found.gap
    ]
    rows = Counter(round(text.y) for _, text in labels).most_common(1)
    # Numbers of frets stand in one row; a finger of the music under it may stand as near.
    labels = [(step, text) for step, text in labels if abs(text.y - rows[0][0]) < 1]
    if not labels:
        return None, []
    steps = sorted(step for step, _ in labels)
    usual = steps[len(steps) // 2]
    return usual, [text for step, text in labels if step != usual]


def _discs(found: Neck, ink: Ink) -> list[tuple[Box, bool]]:
    """Round things on strings, each once, and whether they are black."""
    met: dict[tuple[float, float], tuple[Box, bool]] = {}
    for area in ink.areas:
        box = area.box
        if not area.curved or abs(box.width - box.height) > 0.1 * found.gap:
            continue
        if not _SMALLEST * found.gap < box.width < _LARGEST * found.gap:
            continue
        string, off = found.string((box.y0 + box.y1) / 2)
        near = found.frets[0] - _BESIDE * found.gap < box.middle < found.frets[-1] + _BESIDE * found.gap
        if off > _ON or not 1 <= string <= len(found.ys) or not near:
            continue
        place = round(box.middle), round(box.y0 + box.y1)
        known = met.get(place, (box, False))
        met[place] = known[0], known[1] or (area.filled and area.grey < _DARK)
    # Names of syllables stand on long discs, drawn as short thick lines with round ends, white on black.
    for line in ink.lines:
        box = line.around
        string, off = found.string((box.y0 + box.y1) / 2)
        near = found.frets[0] - _BESIDE * found.gap < box.middle < found.frets[-1] + _BESIDE * found.gap
        thick = _SMALLEST * found.gap < line.width < _LARGEST * found.gap and box.width < _LONGEST * found.gap
        if thick and near and off < _ON and 1 <= string <= len(found.ys):
            met[round(box.middle), round(box.y0 + box.y1)] = box, line.grey < _DARK
    return list(met.values())


def _names(wanted: Expected, page: int, ink: Ink, spots: dict[_Spot, Box], asked: Asked) -> Iterator[Finding]:
    """Every disc has a name; letters and signs in it are those of the pitches there."""
    for spot, box in spots.items():
        if not any(text.box is not None and text.box.common(box) for text in ink.texts):
            message = f"the disc on string {spot[0]} fret {spot[1]} has no name"
            yield Finding(page, (box.x0, box.y0), "neck", message)
    if asked.german:
        return
    pitches: dict[_Spot, set[str]] = defaultdict(set)
    for moment in wanted.moments:
        for note in moment.struck:
            pitches[int(note["string"]), int(note["fret"])].add(str(note["pitch"]).rstrip("0123456789-"))
    for spot, box in spots.items():
        within = [text for text in ink.texts if text.box is not None and text.box.common(box)]
        letters = "".join(text.text.strip() for text in within)
        signs = [sign for sign in ink.signs if sign.sign in _SIGNS and sign.box is not None and sign.box.common(box)]
        read = letters + "".join(_SIGNS[sign.sign] for sign in signs)
        if len(letters) == 1 and letters in "ABCDEFG" and spot in pitches and read not in pitches[spot]:
            meant = " or ".join(sorted(pitches[spot]))
            yield Finding(page, (box.x0, box.y0), "neck", f"the map reads {read} on string {spot[0]}, not {meant}")
