"""Margins, gutter, bleed, large print: what the keys of `print` and the paper together mean for the printer.

Stage:    2 expand
In, Out:  a `BookModel`, in a layout or as it is; its `PressPlan`, and what of it can't be printed
Units:    millimetres on the paper that is printed
Not here: where a page then stands (`pages.press`), the PDF (`outputs`)
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from builder.spec.layouts import LaidOut
from builder.spec.models import BookModel
from builder.spec.plan import KeyPath, PressPlan

Finding = tuple[KeyPath, str, str, str]
"""The path of a key, what was found there, what was expected, what to do."""

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


def press_findings(laid: LaidOut) -> Iterator[Finding]:
    """What can't be printed, each where it was written: a gutter that leaves no outer edge, large print made small."""
    yield from _gutter_findings(laid)
    if laid.book.print_.large_print and laid.book.paper == "a5":
        yield _large_on_a5(laid)


def _gutter_findings(laid: LaidOut) -> Iterator[Finding]:
    settings, paper = laid.book.print_, laid.book.paper
    least = TAB_MM + _TAB_AIR_MM if settings.thumb_index else _LEAST_MM
    most = MARGINS_MM[paper] - least
    if settings.gutter is not None and settings.gutter > most:
        tab = " with a thumb index" if settings.thumb_index else ""
        expected = f"at most {most:g} mm on {paper}{tab}, so that the outer edge keeps {least:g} mm"
        yield laid.written_at("print", "gutter") or ("print", "gutter"), f"{settings.gutter:g}", expected, ""


def _large_on_a5(laid: LaidOut) -> Finding:
    """Said at the key that the book's author wrote; a layout that everybody has may have brought the other one."""
    reason = "A5 pages are printed smaller than they are engraved, and words fall under 16 points"
    hint = f"build without --layout {laid.layout}" if laid.shared else "write paper: a4 or paper: letter"
    large = laid.written_at("print", "large-print")
    if large is None:
        return ("paper",), f"a5 in the layout '{laid.layout}'", f"a4 or letter for large print: {reason}", hint
    hint += f", or set {large[-1]}: false"
    return large, "true on paper a5", f"false, or another paper: {reason}", hint
