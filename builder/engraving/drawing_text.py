"""A drawing as PostScript text: outlines filled and drawn in grey, clipped to its box.

Stage:    5 engrave (in)
In, Out:  a `Drawing`; words that fill the unit square with it
Source:   PostScript Language Reference, 3rd edition, 4.4 (paths), 4.5 (painting)
Not here: where drawings come from (`spec.svg`, `pdf_drawing`)

Every word is written from numbers: nothing of a file reaches the page as it stood there.
"""

from __future__ import annotations

from collections.abc import Iterator

from builder.spec.drawing import Drawing, Outline, Stroke

_WORDS = {"m": "moveto", "l": "lineto", "c": "curveto", "h": "closepath"}


def drawing_text(drawing: Drawing) -> str:
    """The PostScript that draws *drawing* in the unit square, the right way up."""
    scale = f"{1 / drawing.wide:.9g} {-1 / drawing.high:.9g} scale"
    box = " ".join(map(_number, (drawing.left, drawing.top, drawing.wide, drawing.high)))
    to_corner = f"{_number(-drawing.left)} {_number(-drawing.top)} translate"
    lines = [f"0 1 translate {scale} {to_corner} {box} rectclip"]
    for outline in drawing.outlines:
        lines += _outline(outline)
    return "\n".join(lines)


def _outline(outline: Outline) -> Iterator[str]:
    yield f"gsave [{' '.join(f'{number:.9g}' for number in outline.matrix)}] concat newpath"
    for step in outline.steps:
        yield " ".join((*(_number(number) for point in step.points for number in point), _WORDS[step.kind]))
    if outline.fill is not None:
        fill = f"{_number(outline.fill)} setgray {'eofill' if outline.even_odd else 'fill'}"
        yield f"gsave {fill} grestore" if outline.stroke else fill
    if outline.stroke:
        yield _stroke(outline.stroke)
    yield "grestore"


def _stroke(line: Stroke) -> str:
    dash = f"[{' '.join(map(_number, line.dash))}] {_number(line.dash_from)} setdash"
    return (
        f"{_number(line.grey)} setgray {_number(line.width)} setlinewidth {line.cap} setlinecap "
        f"{line.join} setlinejoin {_number(line.miter)} setmiterlimit {dash} stroke"
    )


def _number(number: float) -> str:
    return f"{number:.7g}"
