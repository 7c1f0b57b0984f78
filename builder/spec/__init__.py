"""Reading specs: YAML files into plans, and every mistake in them as a problem at its place."""

from builder.spec.expand import BookSpec, expand_book, read_book, read_exercise
from builder.spec.library import Cue, Library, load_library
from builder.spec.load import load_book, load_exercise
from builder.spec.models import book_schema, exercise_schema

__all__ = [
    "BookSpec",
    "Cue",
    "Library",
    "book_schema",
    "exercise_schema",
    "expand_book",
    "load_book",
    "load_exercise",
    "load_library",
    "read_book",
    "read_exercise",
]
