"""A layout chosen by name: its print settings in place of the book's.

Stage:    2 expand
In, Out:  a `BookModel` and a name; the same book with that layout's paper and print keys
Not here: the keys of a layout (`models`), the layouts that everybody has (shared/layouts.yaml)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from builder.fields import look_up
from builder.spec.models import BookModel, LayoutModel, PrintModel
from builder.spec.plan import KeyPath


@dataclass(frozen=True, slots=True)
class LaidOut:
    """A book with a layout's print settings in place of its own, and how its pages go on sheets.

    *layout* is its name, "" for the book as it is; *shared*: the layout is one that everybody has.
    """

    book: BookModel
    impose: Literal["none", "booklet"] = "none"
    layout: str = ""
    shared: bool = False
    changed: frozenset[KeyPath] = frozenset()

    def written_at(self, *key: str) -> KeyPath | None:
        """The path in the book's file at which `paper` or a key of `print` was set; None where a shared layout did."""
        if key not in self.changed:
            return key
        return None if self.shared else ("layouts", self.layout, *key)


def laid_out(book: BookModel, name: str, shared: Mapping[str, LayoutModel]) -> LaidOut:
    """Return *book* in the layout *name*, its own or a *shared* one; raise Unreadable for a name nobody gave.

    Only what the layout says is changed: print keys it leaves out stay as the book has them.
    """
    own = book.layouts or {}
    known = {**shared, **own}
    layout = known[look_up(name, known)]
    changes: dict[str, object] = {}
    changed: set[KeyPath] = set()
    if layout.paper is not None:
        changes["paper"] = layout.paper
        changed.add(("paper",))
    if layout.print_ is not None:
        changes["print_"] = _over(book.print_, layout.print_)
        changed |= {("print", name.replace("_", "-")) for name in layout.print_.model_fields_set}
    return LaidOut(book.model_copy(update=changes), layout.impose, name, name not in own, frozenset(changed))


def _over(below: PrintModel, above: PrintModel) -> PrintModel:
    """*below* with what was written in *above*."""
    return below.model_copy(update={key: getattr(above, key) for key in above.model_fields_set})
