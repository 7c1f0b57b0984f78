"""Small dealings with PDF objects that the parts of the book share.

Stage:    7 write
"""

from __future__ import annotations

from typing import TypeVar

from pypdf import PdfWriter
from pypdf.generic import DictionaryObject, PdfObject, StreamObject

Kind = TypeVar("Kind", bound=PdfObject)


def typed(value: PdfObject | None, kind: type[Kind]) -> Kind:
    """Return the object *value* is or points to, which must be of *kind*."""
    found = value.get_object() if value is not None else None
    if not isinstance(found, kind):
        raise TypeError(f"a PDF {kind.__name__} was expected, found {type(found).__name__}")
    return found


def dictionary(value: PdfObject | None) -> DictionaryObject:
    """Return the dictionary *value* is or points to."""
    return typed(value, DictionaryObject)


def compressed(data: bytes) -> StreamObject:
    """Return *data* as a stream, packed as small as it gets."""
    stream = StreamObject()
    stream.set_data(data)
    return stream.flate_encode(level=9)


def copied(value: PdfObject, writer: PdfWriter) -> PdfObject:
    """Return *value* as an object of *writer*: a reference where it was one, else the value itself."""
    copy: PdfObject = value.clone(writer)
    return getattr(copy, "indirect_reference", None) or copy
