"""What stands around the music of a study against its document: aim, advice, cues, the code.

Stage:    page critic
In, Out:  a study's pages; `Finding`s
Units:    millimetres from the upper left corner
Source:   ISO/IEC 18004:2015, 6.3.8 (four modules of quiet around a code), 6.3.3 (three finder patterns, 7 modules wide)
Not here: what a code says; tempo steps (`tempos`), the line of signs (`legend`)
"""

from __future__ import annotations

import unicodedata
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence

from builder.critic.aligning import aligned
from builder.critic.asked import Asked
from builder.critic.expected import Checkpoint, Expected
from builder.critic.finding import WHOLE_PAGE, Finding
from builder.critic.ink import Area, Box, Glyphs, Ink
from builder.critic.notes import Mark
from builder.critic.places import StudyPage, Systems

# Our own choice.
_CUES_MM = 24.0  # cues stand this near under their system
_BLANK = 0.6  # of the type size
_LEAST_CODE_MM = 14.9  # 15 mm and a hair
_FEWEST = 60  # rows of dark modules: the smallest code has more
_QUIET, _FINDER = 4, 7  # modules
_DARK = 0.3


def words_findings(wanted: Expected, pages: Sequence[StudyPage], asked: Asked) -> Iterator[Finding]:
    """What an exercise is for stands under its title, what every study says on one of its pages."""
    aim = dict(asked.aims).get(wanted.exercise)
    said = [_runs(page) for page in pages]
    for words, where in ((aim, said[:1]), *((one, said) for one in asked.always)):
        if words and not any(_tight(words) in run for runs in where for run in runs):
            yield Finding(pages[0].number, WHOLE_PAGE, "words", f"'{words}' is not printed whole")


def _runs(page: StudyPage) -> list[str]:
    """The words of a page by their type: what is set in one font and size is read on from line to line."""
    found: dict[tuple[str, float], list[Glyphs]] = {}
    for text in page.ink.texts:
        found.setdefault((text.font.family, round(text.size, 1)), []).append(text)
    ordered = (sorted(texts, key=lambda text: (round(text.y), text.x)) for texts in found.values())
    return [_tight("".join(text.text for text in texts)) for texts in ordered]


def _tight(text: str) -> str:
    """Blanks may be gaps, and a word may be broken."""
    return "".join(letter for letter in unicodedata.normalize("NFC", text) if letter.isalnum())


def cue_findings(wanted: Expected, systems: Systems, cues: Mapping[str, str]) -> Iterator[Finding]:
    """Every checkpoint says its cue, in the order of the study; *cues* are the words by id."""
    if not cues:
        return
    names = {"".join(words.split()): cue for cue, words in cues.items()}
    read = [(page, mark) for page, mark in _cue_marks(systems) if "".join(mark.value.split()) in names]

    def same(seen: tuple[StudyPage, Mark], one: Checkpoint) -> bool:
        return names["".join(seen[1].value.split())] == one.cue

    place = systems[0][0].number, WHOLE_PAGE
    for seen, one in aligned(read, wanted.checkpoints, same, lambda seen: False):
        if seen is not None:
            place = seen[0].number, (seen[1].x, seen[1].y)
        if one is None:
            assert seen is not None
            yield Finding(*place, "cue", f"'{seen[1].value}' stands where the study has no checkpoint")
        elif seen is None:
            yield Finding(*place, "cue", f"bar {one.bar}: '{cues[one.cue]}' is missing")
        elif not same(seen, one):
            yield Finding(*place, "cue", f"bar {one.bar}: reads '{seen[1].value}', not '{cues[one.cue]}'")


def _cue_marks(systems: Systems) -> Iterator[tuple[StudyPage, Mark]]:
    for page, reading in systems:
        system = reading.system
        floor = min(system.bottom + _CUES_MM, system.below + _CUES_MM)
        here = [text for text in page.ink.texts if system.bottom < text.y < floor]
        words: list[Glyphs] = []
        for text in sorted(here, key=lambda text: (round(text.y), text.x)):
            if words and not _goes_on(words[-1], text):
                yield page, _joined(words)
                words = []
            words.append(text)
        if words:
            yield page, _joined(words)


def _goes_on(before: Glyphs, text: Glyphs) -> bool:
    """Whether a text is the next word of a cue: in large type blanks are drawn as gaps."""
    return abs(before.y - text.y) < 0.1 and -0.1 < text.x - before.end < _BLANK * text.size


def _joined(words: Sequence[Glyphs]) -> Mark:
    return Mark(words[0].x, words[0].y, " ".join(word.text.strip() for word in words))


def code_findings(number: int, ink: Ink) -> Iterator[Finding]:
    """A code to scan is there, large enough, whole, and nothing is near it."""
    modules = _modules(ink)
    if len(modules) < _FEWEST:
        yield Finding(number, WHOLE_PAGE, "code", "no code to scan")
        return
    side = modules[0].box.height
    box = Box(
        min(area.box.x0 for area in modules),
        min(area.box.y0 for area in modules),
        max(area.box.x1 for area in modules),
        max(area.box.y1 for area in modules),
    )
    place = box.x0, box.y0
    if min(box.width, box.height) < _LEAST_CODE_MM:
        yield Finding(number, place, "code", f"the code is {min(box.width, box.height):.1f} mm wide, 15 are needed")
    if abs(box.width - box.height) > side / 2 or not all(
        _has_finder(modules, corner, side) for corner in _corners(box)
    ):
        yield Finding(number, place, "code", "the code is not whole")
    air = (_QUIET - 0.2) * side
    around = Box(box.x0 - air, box.y0 - air, box.x1 + air, box.y1 + air)
    if any(around.common(glyphs.box) for glyphs in (*ink.texts, *ink.signs) if glyphs.box is not None):
        yield Finding(number, place, "code", f"something stands within {_QUIET} modules of the code")


def _modules(ink: Ink) -> Sequence[Area]:
    """The rows of dark modules of a code: of all areas of one height that stand together the most."""
    dark = [area for area in ink.areas if area.filled and not area.curved and area.grey < _DARK]
    heights = Counter(round(area.box.height, 2) for area in dark if 0.2 < area.box.height < 1.5)
    if not heights:
        return ()
    side = heights.most_common(1)[0][0]
    found = [area for area in dark if abs(area.box.height - side) < 0.01]
    found = _together(found, lambda area: (area.box.y0, area.box.y1), _QUIET * side)
    return _together(found, lambda area: (area.box.x0, area.box.x1), _QUIET * side)


def _together(areas: Sequence[Area], ends: Callable[[Area], tuple[float, float]], nearest: float) -> list[Area]:
    """The most areas with no gap as wide as *nearest* between them."""
    groups: list[list[Area]] = []
    reached = -nearest
    for area in sorted(areas, key=ends):
        if not groups or ends(area)[0] - reached > nearest:
            groups.append([])
        groups[-1].append(area)
        reached = max(reached, ends(area)[1]) if len(groups[-1]) > 1 else ends(area)[1]
    return max(groups, key=len)


def _corners(box: Box) -> tuple[tuple[float, float, int], ...]:
    """Where the first row of each finder pattern begins, and which of its ends that is."""
    return ((box.x0, box.y0, 1), (box.x1, box.y0, -1), (box.x0, box.y1, 1))


def _has_finder(modules: Sequence[Area], corner: tuple[float, float, int], side: float) -> bool:
    x, y, way = corner
    near = side / 4
    return any(
        abs((area.box.x0 if way == 1 else area.box.x1) - x) < near
        and min(abs(area.box.y0 - y), abs(area.box.y1 - y)) < near
        and abs(area.box.width - _FINDER * side) < near
        for area in modules
    )
