"""How a school's books look: its logo on the cover, its own words in head and foot.

Stage:    1 read
In, Out:  the mapping `look`; a `Look` whose logo is known to be a picture of a size that can be printed
Not here: what is a picture (`picture`), where its dots are written anew (`engraving.picture_text`)
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from builder import fields
from builder.fields import Unreadable
from builder.spec.part import Part
from builder.spec.picture import read_picture
from builder.spec.prose import Picture


class LookModel(Part):
    """A school's look."""

    logo: fields.Title | None = None
    head: fields.Title | None = None
    foot: fields.Title | None = None


@dataclass(frozen=True, slots=True)
class Look:
    """What is printed in place of the usual: *head* for the school's name, *foot* behind edition and author."""

    logo: Picture | None = None
    head: str = ""
    foot: str = ""


NO_LOOK = Look()


def read_look(model: LookModel | None, folder: Path) -> Look:
    """The look a book asks for; raise Unreadable at the logo that can't be printed."""
    if model is None:
        return NO_LOOK
    try:
        logo = None if model.logo is None else read_picture(model.logo, folder, folder)
    except Unreadable as wrong:
        hint = wrong.hint.replace("the Markdown file", "the book file")
        raise Unreadable(wrong.expected, hint, wrong.found, ("look", "logo")) from wrong
    return Look(logo, model.head or "", model.foot or "")
