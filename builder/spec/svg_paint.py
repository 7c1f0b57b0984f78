"""How the shapes of an SVG file are painted: properties as attributes, as `style`, by class.

Stage:    1 read
In, Out:  attributes and style sheets; greys and `Stroke`s, or Unreadable whose *found* names what can't be drawn
Source:   Scalable Vector Graphics 1.1 (W3C, 2011): 6.4 (names of properties), 11 (painting), 4.4 (colours)
Not here: elements and shapes (`svg`)
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from builder.fields import Unreadable
from builder.spec.drawing import Stroke, grey_of

_INHERITED = {
    "fill": "black",
    "fill-rule": "nonzero",
    "fill-opacity": "1",
    "stroke": "none",
    "stroke-width": "1",
    "stroke-linecap": "butt",
    "stroke-linejoin": "miter",
    "stroke-miterlimit": "4",
    "stroke-dasharray": "none",
    "stroke-dashoffset": "0",
    "stroke-opacity": "1",
    "color": "black",
    "visibility": "visible",
    "display": "inline",
}
# What would change the look and isn't drawn, and the values by which it does not.
_HARMLESS = {
    "opacity": ("1", "1.0"),
    "clip-path": ("none",),
    "mask": ("none",),
    "filter": ("none",),
    "marker": ("none",),
    "marker-start": ("none",),
    "marker-mid": ("none",),
    "marker-end": ("none",),
    "mix-blend-mode": ("normal",),
    "vector-effect": ("none",),
    "transform": ("none",),
}
_CAPS, _JOINS = {"butt": 0, "round": 1, "square": 2}, {"miter": 0, "round": 1, "bevel": 2}
_LONGEST_SHEET = 10_000  # a hundred classes; much longer ones take too long to take apart (our own choice)
_RULE = re.compile(r"([^{}]*)\{([^{}]*)\}")
_NUMBER = re.compile(r"([-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?)(?:px)?")


@dataclass(frozen=True, slots=True)
class Inherited:
    """The properties that hold for an element."""

    properties: Mapping[str, str] = field(default_factory=lambda: _INHERITED)

    @property
    def even_odd(self) -> bool:
        """Whether what is enclosed twice is left out."""
        return self.properties["fill-rule"] == "evenodd"

    def with_own(self, attributes: Mapping[str, str], rules: Mapping[str, Mapping[str, str]]) -> Inherited:
        """The same with an element's own: by attribute, by class, by `style`, the later over the earlier."""
        own = {name: value.strip() for name, value in attributes.items() if name != "transform"}
        for name in attributes.get("class", "").split():
            own |= rules.get(name, {})
        own |= _declarations(attributes.get("style", ""))
        for name, value in own.items():
            if name in _HARMLESS and value not in _HARMLESS[name]:
                raise _unfit(f"{name}: {value}")
        hidden = {"display": "none"} if self.properties["display"] == "none" else {}
        known = {name: value for name, value in own.items() if name in _INHERITED and value != "inherit"}
        return Inherited({**self.properties, **known, **hidden})


def class_rules(sheet: str) -> dict[str, dict[str, str]]:
    """What a style sheet says of each class.

    >>> class_rules(".a, .b {fill: red}")
    {'a': {'fill': 'red'}, 'b': {'fill': 'red'}}
    """
    if len(sheet) > _LONGEST_SHEET:
        raise _unfit(f"a style sheet of more than {_LONGEST_SHEET} letters")
    plain = re.sub(r"/\*.*?\*/|<!--|-->", "", sheet, flags=re.DOTALL)
    if "@" in plain or _RULE.sub("", plain).strip():
        raise _unfit("a style sheet with more than rules for classes")
    rules: dict[str, dict[str, str]] = {}
    for selectors, body in _RULE.findall(plain):
        for selector in map(str.strip, selectors.split(",")):
            if not re.fullmatch(r"\.[\w-]+", selector):
                raise _unfit(f"a style for '{selector[:40]}'")
            rules[selector[1:]] = {**rules.get(selector[1:], {}), **_declarations(body)}
    return rules


def painted(inherited: Inherited) -> tuple[float | None, Stroke | None]:
    """What a shape is filled and drawn with; both None for one that is not seen."""
    of = inherited.properties
    if of["display"] == "none" or of["visibility"] != "visible":
        return None, None
    fill = _grey(of["fill"], of["fill-opacity"], of["color"])
    grey, width = _grey(of["stroke"], of["stroke-opacity"], of["color"]), _number(of["stroke-width"])
    if grey is None or width <= 0:
        return fill, None
    dash = () if of["stroke-dasharray"] == "none" else _dash(of["stroke-dasharray"])
    cap, join = _one(of["stroke-linecap"], _CAPS), _one(of["stroke-linejoin"], _JOINS)
    miter = max(1.0, _number(of["stroke-miterlimit"]))
    return fill, Stroke(grey, width, cap, join, miter, dash, _number(of["stroke-dashoffset"]))


def _dash(text: str) -> tuple[float, ...]:
    lengths = tuple(_number(part) for part in re.split(r"[\s,]+", text.strip()))
    if len(lengths) > 16 or min(lengths) < 0:
        raise _unfit(f"stroke-dasharray: {text}")
    return lengths if sum(lengths) > 0 else ()


def _grey(colour: str, opacity: str, current: str) -> float | None:
    if colour in ("none", "transparent") or opacity in ("0", "0.0", "0%"):
        return None
    if _number(opacity.replace("100%", "1")) < 1:
        raise _unfit(f"an opacity of {opacity}")
    from PIL import ImageColor

    try:
        found = ImageColor.getrgb(current if colour.lower() == "currentcolor" else colour)
    except ValueError:
        raise _unfit(f"the colour '{colour[:40]}'") from None
    if len(found) > 3 and found[3] < 255:
        raise _unfit(f"the colour '{colour[:40]}'")
    return grey_of(*(part / 255 for part in found[:3]))


def _declarations(text: str) -> dict[str, str]:
    pairs = (part.partition(":") for part in text.split(";") if part.strip())
    return {name.strip().lower(): value.replace("!important", "").strip() for name, _, value in pairs}


def _number(text: str) -> float:
    found = _NUMBER.fullmatch(text.strip())
    if not found or abs(float(found[1])) > 1e6:
        raise _unfit(f"'{text[:40]}' in place of a number")
    return float(found[1])


def _one(word: str, known: Mapping[str, int]) -> int:
    if word not in known:
        raise _unfit(f"'{word[:40]}', which is none of {', '.join(known)}")
    return known[word]


def _unfit(found: str) -> Unreadable:
    return Unreadable("an SVG of plain shapes", found=found[:80])
