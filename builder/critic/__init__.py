"""The page critic: a finished book read back from its file and held against its document.

Stage:    page critic, after 7 write
In, Out:  the PDF of a book and the JSON document of its studies; `Finding`s
Not here: how pages are made: nothing of it is imported, so that a mistake there can't hide itself here

What the critic knows it reads strictly; signs it does not know it leaves alone. Layers, each on those before it: `ink`
(values), `fonts`, `words`, `drawn` and `content` (a page's stream as ink), `staves`, `notes`, `pitches`, `signs`,
`values` and `music` (a system as notes and signs), `asked` and `expected` (print keys, the document), `places` and
`aligning` (what was read beside what is meant), `marks`, `techniques`, `joins`, `durations`, `bars`, `chord_names`,
`grids`, `diagrams`, `necks`, `rows` and `study` (what is wrong with a study), `sheet`, `hiding` and `spelling` (with a
page), `gist`, `paper`, `frame` and `book` (with the file), `memory` and `reading` (all of it).
"""

from builder.critic.asked import USUAL_FAMILIES, Asked
from builder.critic.finding import Finding
from builder.critic.memory import Memory
from builder.critic.reading import read_book

__all__ = ["USUAL_FAMILIES", "Asked", "Finding", "Memory", "read_book"]
