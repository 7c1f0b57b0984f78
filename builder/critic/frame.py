"""What frames a page: the running head with its rule, the foot with the page number.

Stage:    page critic
In, Out:  gists, labels and studies of a book; `Finding`s
Units:    millimetres from the upper left corner; pages count from 1
Not here: which study stands on which page, whether its number leads there (`book`)

Only the first page may do without: it is the cover.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from statistics import median

from builder.critic.asked import Asked
from builder.critic.finding import WHOLE_PAGE, Finding
from builder.critic.gist import Gist, Words

FOOT_MM = 16.0  # ids and page numbers stand this near to the lower edge, and nothing else does
LABEL = re.compile(r"\d{1,4}|[ivxlc]{1,7}")
_ASTRAY_MM = 1.0  # what stands farther from its place on like pages has been moved
_CUT = "…"  # a text too long for its room ends with it


def frame_findings(
    gists: Sequence[Gist], labels: Sequence[str], levels: Mapping[int, int], asked: Asked
) -> Iterator[Finding]:
    """Return what is wrong with heads and feet; *levels* has the level of each page of a study."""
    framed = [number for number in range(1, len(gists) + 1) if number > 1 or number in levels]
    yield from _rules(gists, framed)
    heights = [page.rule[2] for page in gists if page.rule is not None]
    if heights:
        yield from _heads(gists, framed, levels, asked, median(heights))
    for number in framed:
        yield from _foot(number, gists[number - 1], number in levels, asked)
    if len(labels) == len(gists):
        yield from _numbers(gists, labels, framed)


def foot(page: Gist) -> list[Words]:
    """Return the texts of a page's foot."""
    return [text for text in page.texts if text.y > page.height - FOOT_MM]


def _rules(gists: Sequence[Gist], framed: Sequence[int]) -> Iterator[Finding]:
    """Every head stands over a rule."""
    if all(page.rule is None for page in gists):
        return
    for number in framed:
        if gists[number - 1].rule is None:
            yield Finding(number, WHOLE_PAGE, "head", "no rule under the running head")


def _heads(
    gists: Sequence[Gist],
    framed: Sequence[int],
    levels: Mapping[int, int],
    asked: Asked,
    height: float,
) -> Iterator[Finding]:
    """The running head says what it says everywhere, and on a study's page its level."""
    names = dict(asked.levels)
    running: dict[int, Words] = {}
    told: dict[int, Words] = {}
    for number in framed:
        page = gists[number - 1]
        texts = [text for text in page.texts if text.y < (page.rule[2] if page.rule is not None else height)]
        level = names.get(levels[number]) if number in levels else None
        for wanted, found in ((asked.head, running), (level, told)):
            if not wanted:
                continue
            text = next((text for text in texts if _says(text.text, wanted)), None)
            if text is not None:
                found[number] = text
            elif not _says(" ".join(text.text for text in sorted(texts, key=_reading)), wanted):
                words = ", ".join(repr(text.text.strip()) for text in texts) or "nothing"
                yield Finding(number, WHOLE_PAGE, "head", f"says {words}; '{wanted}' is missing")
    yield from _astray(running, "head")
    yield from _astray(told, "head")
    yield from _flush(gists, told, "head")


def _foot(number: int, page: Gist, of_study: bool, asked: Asked) -> Iterator[Finding]:
    """The foot holds what the book prints in all of them."""
    whole = _plain(" ".join(text.text for text in sorted(foot(page), key=_reading)))
    if _CUT in whole:
        return
    for wanted in (*asked.feet, *(asked.study_feet if of_study else ())):
        if _plain(wanted) not in whole:
            yield Finding(number, WHOLE_PAGE, "foot", f"'{wanted}' is missing")


def _numbers(gists: Sequence[Gist], labels: Sequence[str], framed: Sequence[int]) -> Iterator[Finding]:
    """The number in the foot is what the file calls the page, once, and stands where it stands on like pages."""
    found: dict[int, Words] = {}
    for number in framed:
        page, label = gists[number - 1], labels[number - 1]
        printed = [text for text in foot(page) if LABEL.fullmatch(text.text.strip())]
        right = [text for text in printed if text.text.strip() == label]
        if not printed:
            yield Finding(number, WHOLE_PAGE, "page-label", f"no page number is printed, the file calls it {label}")
        elif not right:
            text = printed[-1]
            message = f"{text.text.strip()} is printed, the file calls it {label}"
            yield Finding(number, (text.x, text.y), "page-label", message)
        elif len(right) > 1:
            yield Finding(number, (right[0].x, right[0].y), "page-label", f"{label} is printed {len(right)} times")
        else:
            found[number] = right[0]
    yield from _astray(found, "page-label")
    yield from _flush(gists, found, "page-label")


def _astray(found: Mapping[int, Words], kind: str) -> Iterator[Finding]:
    """A text that begins or ends where most of its like do, on left pages and on right ones, stands right."""
    for side in (0, 1):
        like = {number: text for number, text in found.items() if number % 2 == side}
        if len(like) < 3:
            continue
        begins, ends, heights = (
            Counter(round(place) for place in places).most_common(1)[0][0]
            for places in (
                [text.x for text in like.values()],
                [text.end for text in like.values()],
                [text.y for text in like.values()],
            )
        )
        for number, text in like.items():
            beside = min(abs(text.x - begins), abs(text.end - ends)) > _ASTRAY_MM
            if beside or abs(text.y - heights) > _ASTRAY_MM:
                yield Finding(
                    number, (text.x, text.y), kind, f"'{text.text.strip()}' stands elsewhere than on like pages"
                )


def _flush(gists: Sequence[Gist], found: Mapping[int, Words], kind: str) -> Iterator[Finding]:
    """A text at the outer edge begins or ends where the rule of the head does."""
    for number, text in found.items():
        rule = gists[number - 1].rule
        if rule is not None and min(abs(text.x - rule[0]), abs(text.end - rule[1])) > _ASTRAY_MM:
            yield Finding(number, (text.x, text.y), kind, f"'{text.text.strip()}' does not stand at the edge")


def _says(text: str, wanted: str) -> bool:
    """Whether a text says what is wanted, or its beginning where it is cut."""
    plain, whole = _plain(text), _plain(wanted)
    return plain == whole or whole in plain or (plain.endswith(_CUT) and whole.startswith(plain.removesuffix(_CUT)))


def _plain(text: str) -> str:
    return "".join(text.split())


def _reading(text: Words) -> tuple[int, float]:
    return round(text.y), text.x
