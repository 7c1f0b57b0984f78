"""How a school's books look: its logo, its own words in head and foot, the weight of rules and headings.

Stage:    1 read
In, Out:  the mapping `look`; a `Look` whose logo is known to hold only what can be printed
Source:   the weights are our own choice: seen apart at arm's length, and no rule lost in a copier
Not here: what may be a logo (`logo`), where it is written anew (`engraving.logo_text`)
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Literal

from builder import fields
from builder.fields import Unreadable, choice
from builder.spec.logo import Logo, read_logo
from builder.spec.part import Part

Rules = Literal["light", "normal", "heavy"]
Headings = Literal["regular", "bold"]
_RULE_WEIGHTS: dict[Rules, float] = {"light": 0.6, "normal": 1, "heavy": 1.8}
_SERIES: dict[Headings, str] = {"regular": "normal", "bold": "bold"}  # as LilyPond calls them


class LookModel(Part):
    """A school's look."""

    logo: fields.Title | None = None
    head: fields.Title | None = None
    foot: fields.Title | None = None
    logo_in_heads: fields.Flag = False
    rules: Annotated[Rules, choice("light", "normal", "heavy")] = "normal"
    headings: Annotated[Headings, choice("regular", "bold")] = "bold"


@dataclass(frozen=True, slots=True)
class Look:
    """What is printed in place of the usual: *head* for the school's name, *foot* behind edition and author."""

    logo: Logo | None = None
    head: str = ""
    foot: str = ""
    logo_in_heads: bool = False
    rules: Rules = "normal"
    headings: Headings = "bold"

    @property
    def rule_weight(self) -> float:
        """How many times as thick as usual a rule is."""
        return _RULE_WEIGHTS[self.rules]

    @property
    def heading_series(self) -> str:
        """The weight of headings in LilyPond's words."""
        return _SERIES[self.headings]


NO_LOOK = Look()


def read_look(model: LookModel | None, folder: Path) -> Look:
    """The look a book asks for; raise Unreadable at the logo that can't be printed."""
    if model is None:
        return NO_LOOK
    if model.logo_in_heads and model.logo is None:
        raise Unreadable("a logo to print", "name it: logo: logo.png", "'true', but no logo", ("logo-in-heads",))
    try:
        logo = None if model.logo is None else read_logo(model.logo, folder)
    except Unreadable as wrong:
        hint = wrong.hint.replace("the Markdown file", "the book file")
        raise Unreadable(wrong.expected, hint, wrong.found, ("logo",)) from wrong
    return Look(logo, model.head or "", model.foot or "", model.logo_in_heads, model.rules, model.headings)
