"""Margins, gutter and bleed: what the keys of `print` and the paper together mean for the printer.

Stage:    2 expand
In, Out:  a `BookModel`; its `PressPlan`, and what of it can't be printed
Units:    millimetres on the paper that is printed
Not here: where a page then stands (`pages.press`), the PDF (`outputs`)
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from builder.spec.models import BookModel
from builder.spec.plan import KeyPath, PressPlan

PaperName = Literal["a4", "a5", "letter"]

# The blank edge left and right of text and music; our own choice: a thumb finds room on either side of the stand.
MARGINS_MM: dict[PaperName, float] = {"a4": 18, "a5": 12, "letter": 18}
# How far a page bound at its spine moves away from it, where the book does not say: our own choice.
_GUTTERS_MM: dict[PaperName, float] = {"a4": 4, "a5": 2, "letter": 4}
# What has to stay blank at the outer edge: printers leave 5 mm, and trimming may be 1 to 2 mm off; our own choice.
_LEAST_MM = 8.0
TAB_MM = 8.5  # how wide a tab of the thumb index is: a figure 5 mm from the edge and air beside it
_TAB_AIR_MM = 1.5


def press_plan(model: BookModel, impose: Literal["none", "booklet"]) -> PressPlan:
    """How the pages of *model* stand on the sheets that are printed; a booklet has two sides whatever the book says."""
    settings = model.print_
    sides = "two" if impose == "booklet" else settings.sides
    usual = _GUTTERS_MM[model.paper] if sides == "two" else 0.0
    return PressPlan(
        sides=sides,
        gutter_mm=usual if settings.gutter is None else settings.gutter,
        bleed_mm=settings.bleed,
        thumb_index=settings.thumb_index,
        creep_mm=settings.creep,
        impose=impose,
    )


def press_findings(model: BookModel) -> Iterator[tuple[KeyPath, str, str, str]]:
    """What can't be printed: a gutter that leaves too little at the outer edge."""
    settings = model.print_
    least = TAB_MM + _TAB_AIR_MM if settings.thumb_index else _LEAST_MM
    most = MARGINS_MM[model.paper] - least
    if settings.gutter is not None and settings.gutter > most:
        tab = " with a thumb index" if settings.thumb_index else ""
        expected = f"at most {most:g} mm on {model.paper}{tab}, so that the outer edge keeps {least:g} mm"
        yield ("print", "gutter"), f"{settings.gutter:g}", expected, ""
