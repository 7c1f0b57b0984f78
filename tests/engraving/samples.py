"""Small bodies and a small style for tests of engraving; one page takes a twentieth of a second."""

from __future__ import annotations

from builder.engraving import Body, Sheet
from builder.errors import Location

STYLE = r"""
#(set-global-staff-size 18)
\paper {
  #(set-paper-size "a4")
  property-defaults.fonts.serif = "TeX Gyre Schola"
  property-defaults.fonts.sans = "TeX Gyre Heros"
  indent = 0
  print-page-number = ##f
}
\header { tagline = ##f }
#(define-markup-command (fit layout props width arg) (number? markup?)
   (let ((s (interpret-markup layout props arg)))
     (if (> (interval-length (ly:stencil-extent s X)) width) (ly:warning "TEXT-OVERFLOW: ~a" width))
     s))
"""


def body(name: str, music: str = r"d'8\2 e'\2 f'\2 g'\2 a'2\2 |", paper: str = "page-count = 1") -> str:
    """One page with a title, a staff and a tab staff."""
    return rf"""\bookpart {{
  \paper {{ {paper} }}
  \markup \fit #90 \bold "{name}"
  \score {{
    <<
      \new Staff {{ \clef "treble_8" \omit StringNumber {music} \bar "|." }}
      \new TabStaff {{ {music} \bar "|." }}
    >>
    \layout {{ }}
  }}
}}
"""


def sheet(name: str, *bodies: str, sides: int | None = 1, line: int = 1) -> Sheet:
    """A sheet with these attempts."""
    return Sheet(name, Location(f"exercises/{name}.yaml", line, 1), tuple(Body(text, sides) for text in bodies))


OVERFULL = " ".join([r"d'4\2 e'\2 f'\2 g'\2 | \break"] * 40)

FAULTS = {
    "unknown command": body("Pier", r"\ferry d'1\2 |"),
    "brace missing": body("Pier", r"{ d'1\2 |"),
    "brace too many": body("Pier", r"d'1\2 | }"),
    "scheme error": body("Pier", r"#(car 1) d'1\2 |"),
    "throw while setting": body(
        "Pier", r"\override NoteHead.after-line-breaking = #(lambda (grob) (throw 'oops)) d'1\2 |"
    ),
    "open quote": body("Pier").replace('"Pier"', '"Pier'),
    "impossible fret": body("Pier", r"d2\1 e2\1 |"),
    "bar check": body("Pier", r"d'1\2 e'8\2 |"),
    "missing glyph": body("Pier \uae30"),
    "text too long": body("A ferry that never comes to its pier " * 8),
    "music too much": body("Pier", OVERFULL),
    "no music at all": "\\bookpart { \\paper { } }\n",
}
