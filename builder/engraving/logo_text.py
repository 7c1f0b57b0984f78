"""The school's logo where it is printed: on covers, in running heads.

Stage:    5 engrave (in)
In, Out:  a `Look`; the size of its logo and the PostScript that draws it, for templates/book
Units:    millimetres
Not here: what may be a logo (`spec.logo`), how dots, outlines and PDFs become text (`picture_text`, `drawing_text`,
          `pdf_drawing`)
"""

from __future__ import annotations

from dataclasses import dataclass

from builder.engraving.drawing_text import drawing_text
from builder.engraving.pdf_drawing import Undrawable, dots_of, shown_on
from builder.engraving.picture_text import dots_text, picture_text
from builder.errors import Location, Problem, SpecError
from builder.spec.drawing import Drawing
from builder.spec.logo import Logo
from builder.spec.look import Look
from builder.spec.prose import Picture

_COVER_MM = (60.0, 30.0)  # the widest and the highest that leaves the title the first thing seen (our own choice)
_HEAD_MM = (14.0, 5.0)  # from over the letters of the running head to just above its rule (our own choice)

_LONGEST = 30_000  # letters of a drawing: a longer one, on every page, would be most of the book (our own choice)


@dataclass(frozen=True, slots=True)
class LogoText:
    """A logo as templates draw it: *text* is PostScript that fills the unit square."""

    width_mm: float
    height_mm: float
    text: str


def cover_logo(look: Look) -> LogoText | None:
    """The logo as a cover shows it, None for a book without."""
    return _within(look, _COVER_MM)


def head_logo(look: Look) -> LogoText | None:
    """The logo as running heads show it, None where they don't."""
    return _within(look, _HEAD_MM) if look.logo_in_heads else None


def cover_logo_mm(look: Look) -> tuple[float, float]:
    """Width and height of the logo on a cover, where it is largest; nothing for a book without."""
    return _size(look.logo, _COVER_MM) if look.logo is not None else (0.0, 0.0)


def _within(look: Look, most_mm: tuple[float, float]) -> LogoText | None:
    logo = look.logo
    if logo is None:
        return None
    width, height = _size(logo, most_mm)
    return LogoText(round(width, 2), round(height, 2), _text(logo, round(width, 1)))


def _size(logo: Logo, most_mm: tuple[float, float]) -> tuple[float, float]:
    width = min(most_mm[0], most_mm[1] * logo.ratio)
    return width, width / logo.ratio


def _text(logo: Logo, width_mm: float) -> str:
    shown = _of_page(logo.path, logo.shown, logo.ratio) if isinstance(logo.shown, bytes) else logo.shown
    if isinstance(shown, Drawing):
        text = drawing_text(shown)
        if len(text) <= _LONGEST:
            return text
        shown = dots_of(text, logo.ratio)
    return picture_text(shown, width_mm) if isinstance(shown, Picture) else dots_text(shown, width_mm)


def _of_page(path: str, page: bytes, ratio: float) -> Drawing | bytes:
    """What the page of a PDF shows; raise SpecError where it can't be drawn."""
    try:
        return shown_on(page, ratio)
    except Undrawable as error:
        expected, hint = "a PDF that Ghostscript draws in half a minute", "save it as SVG or PNG"
        where = Location(path)
        raise SpecError([Problem(where, "look.logo", "a page that can't be drawn", expected, hint)]) from error
