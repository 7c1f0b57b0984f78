"""What a file holds beside its pages' ink: notes pinned to pages, actions, attachments, its title and language.

Stage:    page critic
In, Out:  an open PDF; `Finding`s
Source:   ISO 32000-1:2008, 7.7.2 (catalogue), 12.5 (annotations), 12.6 (actions), 14.3 (metadata), 14.9.2 (language)
Not here: links and the outline (`book`)

A book has links and an outline, and nothing that a reader's machine would do or show on top of what is printed.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from builder.critic.asked import Asked
from builder.critic.finding import WHOLE_PAGE, Finding
from builder.critic.ink import POINT_MM
from builder.critic.paper import array

_ACTS = {"/OpenAction": "an action", "/AA": "an action", "/AcroForm": "a form", "/OCProperties": "layers"}
_NAMED = {"/JavaScript": "a script", "/EmbeddedFiles": "an attached file"}


def extras_findings(reader: PdfReader, asked: Asked) -> Iterator[Finding]:
    """Return what a file should not hold, and what it calls itself."""
    root = _dictionary(reader.trailer.get("/Root"))
    held = [words for key, words in _ACTS.items() if key in root]
    held += [words for key, words in _NAMED.items() if key in _dictionary(root.get("/Names"))]
    for words in held:
        yield Finding(0, WHOLE_PAGE, "file", f"the file holds {words}")
    title = str(reader.metadata.title or "") if reader.metadata else ""
    if asked.title and asked.title not in title:
        yield Finding(0, WHOLE_PAGE, "file", f"the file calls itself '{title}', not '{asked.title}'")
    language = str(root.get("/Lang", ""))
    if asked.language and not language.startswith(asked.language):
        yield Finding(0, WHOLE_PAGE, "file", f"the file says its language is '{language}', not '{asked.language}'")
    for number, page in enumerate(reader.pages, 1):
        yield from _pinned(number, page)


def _pinned(number: int, page: DictionaryObject) -> Iterator[Finding]:
    if "/AA" in page:
        yield Finding(number, WHOLE_PAGE, "file", "the page holds an action")
    for entry in array(page.get("/Annots")):
        note = _dictionary(entry)
        kind = str(note.get("/Subtype", "/note")).strip("/")
        if kind != "Link":
            rectangle = [float(side) * POINT_MM for side in array(note.get("/Rect"))]
            place = (rectangle[0], rectangle[3]) if len(rectangle) == 4 else WHOLE_PAGE
            yield Finding(number, place, "file", f"a {kind} is pinned to the page")


def _dictionary(value: Any) -> DictionaryObject:
    found = value.get_object() if value is not None else None
    return found if isinstance(found, DictionaryObject) else DictionaryObject()
