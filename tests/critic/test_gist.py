"""A page in short: how far its ink reaches to the sides."""

from __future__ import annotations

from builder.critic.gist import gist
from tests.critic.test_content import ink_of

INCH = 25.4


def test_of_turned_letters_only_the_place_is_known() -> None:
    # The same word at the same place: level it runs an inch and a half to the right, turned it runs up.
    level = ink_of("BT /F 36 Tf 1 0 0 1 648 72 Tm (abcdef)Tj ET")
    turned = ink_of("BT /F 36 Tf 0 1 -1 0 648 72 Tm (abcdef)Tj ET")
    (wide,), (narrow,) = gist(level, ()).outer, gist(turned, ()).outer
    assert wide.x0 == narrow.x0 == narrow.x1 == 9 * INCH
    assert wide.x1 > 10 * INCH
