"""What a book's print keys ask of its pages, as far as its document does not say it.

Stage:    page critic (values)
Units:    millimetres
"""

from __future__ import annotations

from dataclasses import dataclass

# The families that travel with the engraver; a font of the machine's own would print differently elsewhere.
USUAL_FAMILIES = ("TeXGyre", "C059", "Nimbus", "Emmentaler")


@dataclass(frozen=True, slots=True)
class Asked:
    """*families* are what names of fonts that may appear begin with; where chords are called *german*, H stands for B.

    *cues* are the printed words of each cue, by its id; *codes* says whether each study has a code to scan,
    *logo_mm* is the most room a picture of the school's own takes, in whatever colours it has, *pictures* says whether
    pages to read have any, *thumb_index* whether tabs run off the page.
    *words* are all words the book has, in small letters; *aims* what each exercise says under its title, by its id;
    *always* what every study says; *tempo_heads* are the names of the rows under its tempo steps, *signs* are the words
    that tell a sign, by its kind. *head* stands in every running head, in that of a study the name of its level, too,
    one of *levels*; *feet* stand in every foot, *study_feet* in those of studies besides. Where any of these is empty,
    it is not asked for.
    *paper* is the name of a paper, empty for any that is known; *bleed_mm* is what is printed around it to be cut off.
    """

    families: tuple[str, ...] = USUAL_FAMILIES
    german: bool = False
    paper: str = ""
    bleed_mm: float = 0.0
    large_print: bool = False
    low_ink: bool = False
    left_handed: bool = False
    thumb_index: bool = False
    logo_mm: tuple[float, float] = (0.0, 0.0)
    pictures: bool = False
    codes: bool = False
    cues: tuple[tuple[str, str], ...] = ()
    words: tuple[str, ...] = ()
    aims: tuple[tuple[str, str], ...] = ()
    always: tuple[str, ...] = ()
    tempo_heads: tuple[str, ...] = ()
    signs: tuple[tuple[str, str], ...] = ()
    head: str = ""
    levels: tuple[tuple[int, str], ...] = ()
    feet: tuple[str, ...] = ()
    study_feet: tuple[str, ...] = ()
    title: str = ""
    language: str = ""
